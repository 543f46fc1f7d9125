"""The one bibliography: every calculator, test and page names sources by these keys."""

from calculators.declaring import Source

SOURCES = {
    source.key: source
    for source in (
        Source(
            "iso-9613-1",
            "ISO 9613-1:1993, Acoustics — Attenuation of sound during propagation outdoors, Part 1, Formula A.5",
            "Speed of sound in dry air: 343.2 m/s at 20 °C, rising with the root of the absolute temperature.",
        ),
        Source(
            "cramer-1993",
            "O. Cramer, “The variation of the specific heat ratio and the speed of sound in air with temperature, "
            "pressure, humidity, and CO2 concentration”, J. Acoust. Soc. Am. 93 (1993) 2510",
            "Speed of sound in humid air; fitted from 0 to 30 °C.",
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
        Source(
            "iso-266", "ISO 266:1997, Acoustics — Preferred frequencies", "Names of the third-octave bands."
        ),
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
            "rice-1945",
            "S. O. Rice, “Mathematical analysis of random noise”, Bell System Technical Journal 24 (1945) 46",
            "How often noise passes a level; with Cartwright and Longuet-Higgins (1956) for its highest peak; from memory.",
        ),
        Source("bendat-piersol", "J. S. Bendat and A. G. Piersol, Random Data, Wiley; from memory"),
        Source(
            "butterworth-1930",
            "S. Butterworth, “On the theory of filter amplifiers”, Experimental Wireless and the Wireless Engineer 7 (1930) 536",
        ),
        Source(
            "linkwitz-riley-1976",
            "S. H. Linkwitz, “Active crossover networks for noncoincident drivers”, J. Audio Eng. Soc. 24 (1976) 2",
        ),
        Source(
            "thomson-1949",
            "W. E. Thomson, “Delay networks having maximally flat frequency characteristics”, Proc. IEE 96 (1949) 487",
            "Bessel filters; here scaled to −3.01 dB at the corner.",
        ),
        Source(
            "kinsler",
            "L. E. Kinsler, A. R. Frey, A. B. Coppens and J. V. Sanders, Fundamentals of Acoustics, 4th edition, "
            "Wiley, 2000",
            "Radiation of the plane circular piston: 2·J1(x)/x; from memory.",
        ),
        Source(
            "abramowitz-stegun",
            "M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, National Bureau of Standards, 1964",
            "Bessel function J1: integral 9.1.20, table 9.1.",
        ),
        Source(
            "wright-1990",
            "J. R. Wright, “An empirical model for loudspeaker motor impedance”, J. Audio Eng. Soc. 38 (1990) 749",
            "A voice coil in iron is no plain inductance; from memory.",
        ),
        Source(
            "leach-2002",
            "W. M. Leach, “Loudspeaker voice-coil inductance losses”, J. Audio Eng. Soc. 50 (2002) 442",
            "Re + K·(jω)^n, n about 0.6 to 0.7; from memory.",
        ),
        Source("geometry-of-arrival", "Definition: delay is path difference divided by the speed of sound"),
        Source(
            "audio-eq-cookbook",
            "R. Bristow-Johnson, Audio EQ Cookbook, W3C Working Group Note, 8 June 2021",
            "Peak, shelf, pass, notch and all-pass filters, analogue and digital.",
        ),
        Source(
            "bilinear-transform",
            "A. V. Oppenheim and R. W. Schafer, Discrete-Time Signal Processing, bilinear transformation",
        ),
        Source(
            "projected-newton",
            "D. P. Bertsekas, “Projected Newton methods for optimization problems with simple constraints”, "
            "SIAM Journal on Control and Optimization 20 (1982) 221",
            "Gains that come nearest to a wanted curve, none beyond its limit.",
        ),
        Source(
            "valimaki-liski-2017",
            "V. Välimäki and J. Liski, “Accurate cascade graphic equalizer”, IEEE Signal Processing Letters 24 "
            "(2017) 176",
            "A graphic equaliser is solved at its bands and half-way between them.",
        ),
        Source(
            "cox-dantonio",
            "T. J. Cox and P. D'Antonio, Acoustic Absorbers and Diffusers, chapter on porous absorption (from memory)",
            "A tenth of a wavelength absorbs a good part, a quarter nearly all.",
        ),
        Source(
            "ramos-lopez-2006",
            "G. Ramos and J. J. López, “Filter design method for loudspeaker equalization based on IIR parametric "
            "filters”, J. Audio Eng. Soc. 54 (2006) 1162",
            "Few filters, placed one by one and then moved together; from memory.",
        ),
        Source(
            "pudil-1994",
            "P. Pudil, J. Novovičová and J. Kittler, “Floating search methods in feature selection”, Pattern Recognition "
            "Letters 15 (1994) 1119",
            "Adding and taking away in turn; from memory.",
        ),
        Source(
            "marquardt-1963",
            "D. W. Marquardt, “An algorithm for least-squares estimation of nonlinear parameters”, J. Soc. Indust. Appl. "
            "Math. 11 (1963) 431",
        ),
        Source(
            "bode-1945",
            "H. W. Bode, Network Analysis and Feedback Amplifier Design, Van Nostrand, 1945",
            "The phase of a minimum-phase network from its levels.",
        ),
        Source(
            "iso-18233",
            "ISO 18233:2006, Acoustics — Application of new measurement methods in building and room acoustics",
            "Sweeps ask for a linear path that does not change while they play; from memory.",
        ),
        Source("phasors", "Sum of phasors, textbook"),
        Source(
            "johnson-nyquist",
            "J. B. Johnson; H. Nyquist, Physical Review 32 (1928) 97 and 110",
            "Noise of a resistor: √(4·k·T·R·Δf).",
        ),
        Source(
            "worst-peak",
            "A. V. Oppenheim and R. W. Schafer, Discrete-Time Signal Processing, stability of a system",
            "No signal comes out higher than the sum of the magnitudes of the impulse response lets it.",
        ),
        Source(
            "clark-dutton-vanderlyn-1957",
            "H. A. M. Clark, G. F. Dutton and P. B. Vanderlyn, “The ‘Stereosonic’ recording and reproducing "
            "system”, Proceedings of the IEE 104 B (1957) 417 (from memory)",
            "The law of sines: where a voice from two speakers stands.",
        ),
        Source(
            "woodworth-1938",
            "R. S. Woodworth, Experimental Psychology (1938), localisation of sound (from memory)",
            "Delay between the ears: radius of the head over the speed of sound, times angle and its sine.",
        ),
        Source(
            "neely-allen-1979",
            "S. T. Neely and J. B. Allen, “Invertibility of a room impulse response”, JASA 66 (1979) 165",
            "A weaker reflection has an exact inverse, at the one point where it was measured.",
        ),
        Source(
            "everest-pohlmann",
            "F. A. Everest and K. C. Pohlmann, Master Handbook of Acoustics, chapter on comb filters",
            "Notches at odd multiples of c/2d, peaks at multiples of c/d.",
        ),
        Source(
            "iso-1996-1",
            "ISO 1996-1, Acoustics — Description of environmental noise, Part 1",
            "Sum of levels.",
        ),
        Source("least-squares", "Method of least squares, textbook: normal equations"),
        Source(
            "iso-226-2003", "ISO 226:2003, Equal-loudness-level contours, clause 4.1, Table 1 (from memory)"
        ),
        Source("blauert-laws-1978", "J. Blauert and P. Laws, JASA 63 (1978) 1478 (figures from memory)"),
        Source("phasor-sum", "Definition: tones of one frequency add as phasors"),
        Source("level-difference", "Definition: a trim is the difference of two levels"),
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
        Source(
            "zverev",
            "A. I. Zverev, Handbook of Filter Synthesis, singly terminated ladders",
            "Parts of passive filters of order 1 to 4 between an amplifier and a resistor.",
        ),
        Source(
            "small-1971",
            "R. H. Small, “Constant-voltage crossover network design”, J. Audio Eng. Soc. 19 (1971) 12",
            "From memory; the parts are worked out from the filter's polynomial and checked by working the ladder.",
        ),
        Source(
            "iec-60063", "IEC 60063, Preferred number series for resistors and capacitors", "E12 and E24."
        ),
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
            "30 V DC elsewhere (clause 414.4.5). From memory.",
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
            "Level I read in print (2003, clause 4.5.3), levels II to IV from memory.",
        ),
        Source(
            "bci-manual",
            "Battery Council International, Battery Service Manual: voltage at rest",
            "From memory; the rounded rule 12.6, 12.4, 12.2, 12.0 V was seen in print.",
        ),
        Source(
            "acid-freezing",
            "US Army Ordnance, subcourse OD1002: freezing points of battery acid by specific gravity",
            "Read in print: 1.100 at −7 °C, 1.150 at −15 °C, 1.200 at −27 °C. Gravity by charge: the battery "
            "council's manual, from memory.",
        ),
        Source("ohm", "Textbook: Ohm's law, P = V²/R, resistances in series and in parallel"),
        Source(
            "capacitor",
            "Textbook: charge and energy of a capacitor, C·V²/2, and its charging through a resistor",
        ),
        Source("arithmetic", "Arithmetic: ampere-hours are ampere times hours"),
        Source(
            "piston",
            "L. L. Beranek and T. J. Mellow, Acoustics, piston in half space; R. H. Small, J. Audio Eng. Soc. 20 (1972)",
            "Pressure from cone area, travel and frequency.",
        ),
        Source(
            "small-1972",
            "R. H. Small, “Direct-Radiator Loudspeaker System Analysis”, J. Audio Eng. Soc. 20 (1972) 383",
            "What a driver's parameters mean, and how they are measured. Formulas from memory, checked against the "
            "circuit they stand for.",
        ),
        Source(
            "small-closed-box",
            "R. H. Small, “Closed-Box Loudspeaker Systems”, J. Audio Eng. Soc. 20 (1972) 798 and 21 (1973) 11",
            "Resonance, Q, corner and travel of a closed box. From memory, checked against the circuit.",
        ),
        Source(
            "small-vented-box",
            "R. H. Small, “Vented-Box Loudspeaker Systems”, J. Audio Eng. Soc. 21 (1973) 363, 438, 549, 635",
            "The vented box with its losses as a leak; air in the port up to a twentieth of the speed of sound. "
            "From memory, checked against the circuit.",
        ),
        Source(
            "thiele-1971",
            "A. N. Thiele, “Loudspeakers in Vented Boxes”, J. Audio Eng. Soc. 19 (1971) 382 and 471, Table I",
            "Alignments without losses. From memory.",
        ),
        Source(
            "levine-schwinger",
            "H. Levine and J. Schwinger, Phys. Rev. 73 (1948) 383; J.-P. Dalmont, C. J. Nederveen and N. Joly, "
            "J. Sound Vib. 244 (2001) 505",
            "What the open ends of a pipe add to its length.",
        ),
        Source(
            "inverse-distance",
            "Textbook: level falls 6 dB for each doubling of distance and rises 10 dB for ten times the power",
        ),
        Source(
            "iso-1683",
            "ISO 1683, Acoustics — Preferred reference values for acoustical and vibratory levels",
            "0 dB is 20 µPa.",
        ),
        Source(
            "bies",
            "D. A. Bies, C. H. Hansen and C. Q. Howard, Engineering Noise Control, 5th edition, CRC Press, 2018",
            "Mass law, coincidence, double walls and walls with holes: equations 7.3, 7.40, 7.42, 7.62.",
        ),
        Source(
            "fahy",
            "F. Fahy, Foundations of Engineering Acoustics, Academic Press, 2001",
            "Sound through single and double partitions; from memory.",
        ),
        Source(
            "cremer-heckl",
            "L. Cremer, M. Heckl and B. A. T. Petersson, Structure-Borne Sound, 3rd edition, Springer, 2005",
            "Bending of plates, their modes, and how fast they stop ringing.",
        ),
        Source(
            "leissa-1973",
            "A. W. Leissa, “The free vibration of rectangular plates”, Journal of Sound and Vibration 31 (1973) 257",
            "Modes of supported and clamped plates; figures from memory, worked out anew.",
        ),
        Source(
            "iso-6721-3",
            "ISO 6721-3 and ASTM E756, vibration-damping properties of materials by the bent beam",
            "A free layer on a panel (Oberst); from memory.",
        ),
        Source(
            "ungar-1962",
            "E. E. Ungar, “Loss factors of viscoelastically damped beam structures”, J. Acoust. Soc. Am. 34 (1962) 1082",
            "A constrained layer: soft core under a foil (Ross, Kerwin, Ungar); from memory.",
        ),
        Source(
            "van-t-hoff",
            "Rule of thumb: a reaction takes twice as long for each 10 K less",
            "From textbooks of chemistry; a product's own curve stands above it.",
        ),
        Source(
            "diffusion",
            "Textbook: what diffuses through a layer takes a time that grows as the square of its depth",
        ),
        Source(
            "iso-3795",
            "ISO 3795, Road vehicles — Determination of burning behaviour of interior materials",
            "100 mm/min at most, as UN R118 asks of buses; FMVSS 302 has 102 mm/min. From memory.",
        ),
        Source(
            "euclid-solids",
            "Textbook: areas of polygons (sum of cross products), volumes of prism, cone and cylinder (Euclid, book XII)",
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
            "timoshenko-plates",
            "S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd edition, McGraw-Hill, 1959, "
            "articles 16, 29, 30, 34 and 85",
            "Deflection of plates and strips under a load in their middle.",
        ),
        Source(
            "finnish-plywood",
            "Handbook of Finnish Plywood, birch, thin veneers, sanded (from memory)",
            "12, 15, 18 mm: 8.2, 10.2, 12.2 kg/m²; bending modulus along and across 17.5 GPa together, at "
            "12 mm 10.7 and 6.8; panel shear modulus 0.62 GPa.",
        ),
        Source(
            "eu-2021-535",
            "Commission Implementing Regulation (EU) 2021/535, masses and dimensions (from memory)",
            "Mass in running order holds a driver of 75 kg.",
        ),
        Source("aes17", "AES17-2020, Measurement of digital audio equipment", "0 dBFS is a full-scale sine."),
        Source(
            "farina-2000", "A. Farina, AES 108th Convention, Paris (2000)", "A sweep parts its harmonics."
        ),
        Source("novak-2015", "A. Novak, P. Lotton, L. Simon, JAES 63 (2015) 786", "Synchronised sweeps."),
        Source("kirkeby-nelson-1999", "O. Kirkeby, P. A. Nelson, JAES 47 (1999) 583", "Bounded inverses."),
        Source(
            "wav-format",
            "Microsoft and IBM, Multimedia Data Specifications 1.0 (1991)",
            "The parts of a WAV file.",
        ),
        Source(
            "itu-bs-1770",
            "ITU-R BS.1770-4 (2015), Algorithms to measure audio programme loudness and true-peak audio level, Annex 1",
            "Loudness of a sound: weighted, in blocks of 0.4 s, what is quiet left out.",
        ),
        Source("own-sounds", "Sounds of our own, worked out from formulas: no recording, and not your car"),
        Source("clipped-sine", "Fourier series of a sine that is cut off at a limit (textbook)"),
        Source("damped-vibration", "Free vibration with damping: loss factor and decay (textbook)"),
        Source("binomial", "Binomial distribution: tosses of a coin (textbook)"),
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
            "decimal-arithmetic",
            "General Decimal Arithmetic Specification; IEEE 754-2008, roundTiesToAway",
            "Half a unit is rounded away from zero, of credits too.",
        ),
        Source(
            "kelley-walker",
            "J. E. Kelley and M. R. Walker, “Critical-path planning and scheduling”, Proc. Eastern Joint Computer "
            "Conference (1959) 160 (from memory)",
            "Longest chain and float of each task.",
        ),
        Source(
            "eu-2003-88",
            "Directive 2003/88/EC, article 4 (from memory)",
            "An example of a law: a break in every day of more than six hours.",
        ),
        Source(
            "common-practice",
            "Common practice, no source",
            "A fact of the trade that no standard states; the maker's figure beats it.",
        ),
    )
}
