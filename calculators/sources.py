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
            "geometry-of-arrival",
            "Definition: delay is path difference divided by the speed of sound",
        ),
        Source(
            "common-practice",
            "Common practice, no source",
            "A fact of the trade that no standard states; the maker's figure beats it.",
        ),
    )
}
