"""The part of the bibliography that is standards, rules of law and agencies' criteria; `sources.py` has all of it."""

from calculators.declaring import Source

STANDARDS = (
    Source(
        "iso-9613-1",
        "ISO 9613-1:1993, Acoustics — Attenuation of sound during propagation outdoors, Part 1, Formula A.5",
        "Speed of sound in dry air: 343.2 m/s at 20 °C, rising with the root of the absolute temperature.",
    ),
    Source(
        "iec-60027-3",
        "IEC 60027-3, Letter symbols to be used in electrical technology, Part 3: Logarithmic and related quantities",
        "What a decibel is, for powers and for voltages.",
    ),
    Source(
        "itu-r-bs-645",
        "ITU-R BS.645, Test signals and metering to be used on international sound programme connections",
        "0 dBu is the voltage that puts 1 mW into 600 Ω: 0.7746 V.",
    ),
    Source("iso-266", "ISO 266:1997, Acoustics — Preferred frequencies", "Names of the third-octave bands."),
    Source(
        "iec-61260-1",
        "IEC 61260-1:2014, Electroacoustics — Octave-band and fractional-octave-band filters, Part 1",
        "Exact band centres and edges, base ten.",
    ),
    Source(
        "iso-3382-1",
        "ISO 3382-1:2009, Acoustics — Measurement of room acoustic parameters, Part 1: Performance spaces",
        "Levels over points are averaged as energy; from memory.",
    ),
    Source(
        "iso-18233",
        "ISO 18233:2006, Acoustics — Application of new measurement methods in building and room acoustics",
        "Sweeps ask for a linear path that does not change while they play; from memory.",
    ),
    Source(
        "iso-1996-1",
        "ISO 1996-1, Acoustics — Description of environmental noise, Part 1",
        "Sum of levels.",
    ),
    Source(
        "iso-2969-2015",
        "ISO 2969:2015, B-chain electro-acoustic response of motion-picture control rooms and indoor theatres, Table 1; "
        "SMPTE ST 202:2010 (values from memory)",
        "Level to 2 kHz, 3 dB an octave down from there, 6 dB from 10 kHz; rooms over 125 m³.",
    ),
    Source(
        "itu-r-bs-1116-3",
        "Recommendation ITU-R BS.1116-3 (2015), operational room response curve; EBU Tech 3276, 2nd edition (1998), "
        "section 2.4 (limits from memory)",
        "Level within 3 dB from 50 Hz to 2 kHz; above, the lower limit sinks to −6 dB at 16 kHz.",
    ),
    Source("iso-226-2003", "ISO 226:2003, Equal-loudness-level contours, clause 4.1, Table 1 (from memory)"),
    Source(
        "niosh-98-126",
        "NIOSH Publication 98-126 (1998), Criteria for a Recommended Standard: Occupational Noise Exposure, section 1.1",
        "85 dB(A) for 8 hours; every 3 dB more halves the time.",
    ),
    Source(
        "directive-2003-10-ec",
        "Directive 2003/10/EC of the European Parliament and of the Council, articles 2 and 3",
        "Daily level LEX,8h; action values 80 and 85 dB(A), limit value 87 dB(A).",
    ),
    Source("iso-16", "ISO 16:1975, Acoustics — Standard tuning frequency", "A4 is 440 Hz."),
    Source(
        "itu-t-h-870",
        "ITU-T H.870 (2018), Guidelines for safe listening devices and systems, clause 7; WHO-ITU standard, 2019",
        "40 hours a week at 80 dB(A) for an adult, equal energy.",
    ),
    Source("iec-60063", "IEC 60063, Preferred number series for resistors and capacitors", "E12 and E24."),
    Source(
        "iec-60028",
        "IEC 60028:1925, International standard of resistance for copper",
        "1/58 Ω·mm²/m at 20 °C, 0.393 % more for each degree.",
    ),
    Source(
        "iec-60228",
        "IEC 60228:2004, Conductors of insulated cables, table 3: class 5, flexible",
        "Most resistance per metre at 20 °C; read in print. Higher than road-vehicle cable's by 4 to 8 %. "
        "Replaced by the edition of 2023, whose class 5 is the same as far as we know.",
    ),
    Source(
        "iso-6722-1",
        "ISO 6722-1:2011, Road vehicles — 60 V and 600 V single-core cables",
        "Resistances per metre: from memory, so check the cable's data sheet. Replaced by ISO 19642.",
    ),
    Source(
        "iso-19642",
        "ISO 19642, Road vehicles — Automotive cables",
        "In place of ISO 6722-1; sheath classes A 85, B 100, C 125, D 150 °C: from memory.",
    ),
    Source(
        "astm-b258",
        "ASTM B258, Standard nominal diameters and cross-sectional areas of AWG sizes of solid round wires",
        "Areas of wire gauges; the stranding's 16 % is common practice.",
    ),
    Source(
        "iso-13297",
        "ISO 13297:2020, Small craft — Electrical systems — Alternating and direct current installations",
        "In place of ISO 10133, whose continuous currents in annex A are used here, from memory.",
    ),
    Source(
        "iso-8820-3",
        "ISO 8820-3, Road vehicles — Fuse-links, Part 3: blade type (medium)",
        "Ratings, colours, 32 V, 1000 A, and how long a fuse may take; 110 % and 135 % as data sheets quote them, "
        "the rest from memory.",
    ),
    Source(
        "iso-8820-5",
        "ISO 8820-5, Road vehicles — Fuse-links, Part 5: fuse-links with axial terminals (strip fuse-links) types SF 30 and SF 51",
        "What a strip breaks and how soon it opens, by type: from memory, so check the fuse's data sheet.",
    ),
    Source(
        "iec-60364-4-43",
        "IEC 60364-4-43, Low-voltage electrical installations — Protection against overcurrent, clauses 433.1 and 434.5.2",
        "Fuse not above the cable; the fault's energy not above what the cable survives. By analogy: its "
        "parent, IEC 60364-1, leaves motor vehicles out.",
    ),
    Source(
        "iec-60364-5-52",
        "IEC 60364-5-52, Low-voltage electrical installations — Wiring systems, table B.52.17",
        "What is left of each cable's current when several lie in one sleeve: from memory, by analogy.",
    ),
    Source(
        "en-50342-1",
        "EN 50342-1, Lead-acid starter batteries, cold-cranking test",
        "7.5 V left after 10 s at the rated current and −18 °C; a warm battery has about half that "
        "resistance (common practice, no source).",
    ),
    Source(
        "iec-60364-4-41",
        "IEC 60364-4-41, Low-voltage electrical installations — Protection against electric shock",
        "50 V AC as the limit of what may be touched; bare parts up to 25 V AC or 60 V DC in the dry, 12 V AC or "
        "30 V DC elsewhere (clause 414.4.5, a quotation of it read). The 50 V from memory.",
    ),
    Source(
        "iec-60268-5",
        "IEC 60268-5, Sound system equipment — Loudspeakers; AES2, methods of measuring loudspeaker drive units",
        "Rated noise power: pink noise, shaped, for hours; from memory. Not “music” and not “peak” power.",
    ),
    Source(
        "iec-60364-5-54",
        "IEC 60364-5-54, Low-voltage electrical installations — Earthing arrangements, annex A",
        "The constant k of the short-circuit rule; from memory.",
    ),
    Source(
        "iso-16750-2",
        "ISO 16750-2, Road vehicles — Environmental conditions and testing — Electrical loads: starting profile",
        "Level I read in print (2003, clause 4.5.3), levels II to IV from memory; jump start at 24 V for 60 s "
        "(clause 4.3) from memory.",
    ),
    Source(
        "bci-manual",
        "Battery Council International, Battery Service Manual: voltage at rest",
        "From memory; the rounded rule 12.6, 12.4, 12.2, 12.0 V was seen in print.",
    ),
    Source(
        "iso-1683",
        "ISO 1683, Acoustics — Preferred reference values for acoustical and vibratory levels",
        "0 dB is 20 µPa.",
    ),
    Source(
        "iso-6721-3",
        "ISO 6721-3 and ASTM E756, vibration-damping properties of materials by the bent beam",
        "A free layer on a panel (Oberst); from memory.",
    ),
    Source(
        "iso-3795",
        "ISO 3795, Road vehicles — Determination of burning behaviour of interior materials",
        "100 mm/min at most, as UN R118 asks of buses; FMVSS 302 has 102 mm/min. From memory.",
    ),
    Source(
        "en-315",
        "EN 315, Plywood — Tolerances for dimensions",
        "Sanded: +(0.2 + 0.03 t), −(0.4 + 0.03 t) mm; from memory.",
    ),
    Source(
        "iso-898-1",
        "ISO 898-1:2013, Mechanical properties of fasteners, Part 1: bolts, screws and studs (from memory)",
        "Stress areas of threads, and loads at which bolts break: M8 of class 8.8 at 29.3 kN.",
    ),
    Source(
        "en-1993-1-3",
        "EN 1993-1-3:2006, Eurocode 3, Part 1-3: cold-formed thin gauge members and sheeting, tables 8.2 "
        "and 8.4, clause 8.3 (from memory)",
        "What thin sheet bears under a washer and beside a bolt; an estimate for body sheet.",
    ),
    Source(
        "en-1993-1-8",
        "EN 1993-1-8:2005, Eurocode 3, Part 1-8: design of joints, tables 3.1 and 3.4 (from memory)",
        "What a bolt holds: 0.9 of its nominal strength along it, 0.6 or 0.5 across it, by its class.",
    ),
    Source(
        "en-10130",
        "EN 10130:2006, Cold rolled low carbon steel flat products for cold forming (from memory)",
        "Body sheet DC04: tensile strength 270 MPa or more.",
    ),
    Source(
        "un-r17",
        "UN Regulation No. 17, seats and their anchorages, annex 9; Nos. 67 and 110, gas tanks; EN 1789, "
        "ambulances (from memory)",
        "Background of 20 g and 10 g: gas tanks in M1 and N1 vehicles 20 g forward, 8 g across; what is fixed in "
        "an ambulance 10 g each way; the sled's pulse for luggage between about 20 and 28 g.",
    ),
    Source(
        "eu-2021-535",
        "Commission Implementing Regulation (EU) 2021/535, masses and dimensions (from memory)",
        "Mass in running order holds a driver of 75 kg.",
    ),
    Source("aes17", "AES17-2020, Measurement of digital audio equipment", "0 dBFS is a full-scale sine."),
    Source(
        "itu-bs-1770",
        "ITU-R BS.1770-4 (2015), Algorithms to measure audio programme loudness and true-peak audio level, Annex 1",
        "Loudness of a sound: weighted, in blocks of 0.4 s, what is quiet left out.",
    ),
    Source(
        "iso-4217",
        "ISO 4217:2015, Codes for the representation of currencies (from memory)",
        "Three letters for each currency, and the decimals of its smallest unit: 0, 2 or 3. XTS is kept for tests.",
    ),
    Source(
        "en-16931",
        "EN 16931-1:2017, Electronic invoicing, rules BR-CO-10 (read) and BR-CO-17 (from memory)",
        "Line amounts are rounded and then summed; tax is rounded once for each rate.",
    ),
    Source(
        "eu-2003-88",
        "Directive 2003/88/EC, article 4 (summary read)",
        "An example of a law: a break in every day of more than six hours.",
    ),
)
