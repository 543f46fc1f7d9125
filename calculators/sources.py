"""The one bibliography: every calculator, test and page names sources by these keys.

Standards, rules of law and agencies' criteria are in `standards.py`; papers, books and methods here.
"""

from calculators.declaring import Source
from calculators.standards import STANDARDS

SOURCES = {
    source.key: source
    for source in (
        *STANDARDS,
        Source(
            "cramer-1993",
            "O. Cramer, “The variation of the specific heat ratio and the speed of sound in air with temperature, "
            "pressure, humidity, and CO2 concentration”, J. Acoust. Soc. Am. 93 (1993) 2510",
            "Speed of sound in humid air; fitted from 0 to 30 °C.",
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
        Source("least-squares", "Method of least squares, textbook: normal equations"),
        Source(
            "duda-martens-1998",
            "R. O. Duda and W. L. Martens, JASA 104 (1998) 3048 (from memory)",
            "A plane wave on a rigid sphere: what stands for a head with its two ears.",
        ),
        Source("blauert-laws-1978", "J. Blauert and P. Laws, JASA 63 (1978) 1478 (figures from memory)"),
        Source("phasor-sum", "Definition: tones of one frequency add as phasors"),
        Source("level-difference", "Definition: a trim is the difference of two levels"),
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
        Source("arithmetic", "Arithmetic: sums, products, ratios; ampere-hours are amperes times hours"),
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
            "euclid-solids",
            "Textbook: areas of polygons (sum of cross products), volumes of prism, cone and cylinder (Euclid, book XII)",
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
            "farina-2000", "A. Farina, AES 108th Convention, Paris (2000)", "A sweep parts its harmonics."
        ),
        Source("novak-2015", "A. Novak, P. Lotton, L. Simon, JAES 63 (2015) 786", "Synchronised sweeps."),
        Source(
            "oppenheim-schafer",
            "A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing",
            "Every stable filter is one of least phase and an all-pass in a row.",
        ),
        Source("kirkeby-nelson-1999", "O. Kirkeby, P. A. Nelson, JAES 47 (1999) 583", "Bounded inverses."),
        Source(
            "wav-format",
            "Microsoft and IBM, Multimedia Data Specifications 1.0 (1991)",
            "The parts of a WAV file.",
        ),
        Source(
            "zip-format",
            ".ZIP File Format Specification 6.3.10 (2022)",
            "The parts of a ZIP without compression.",
        ),
        Source(
            "lipshitz-1992",
            "Lipshitz, Wannamaker and Vanderkooy, J. Audio Eng. Soc. 40 (1992) 355",
            "Dither.",
        ),
        Source("own-sounds", "Sounds of our own, worked out from formulas: no recording, and not your car"),
        Source("clipped-sine", "Fourier series of a sine that is cut off at a limit (textbook)"),
        Source("damped-vibration", "Free vibration with damping: loss factor and decay (textbook)"),
        Source("binomial", "Binomial distribution: tosses of a coin (textbook)"),
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
            "common-practice",
            "Common practice, no source",
            "A fact of the trade that no standard states; the maker's figure beats it.",
        ),
    )
}
