"""Bands against ISO 266 and IEC 61260-1."""

import numpy as np
import pyfar
import pytest

from calculators.physics import bands

# ISO 266:1997 nominal, IEC 61260-1:2014 exact and edges.
TABLE = np.array([[float(cell) for cell in row.split()] for row in """
20 19.953 17.783 22.387
25 25.119 22.387 28.184
31.5 31.623 28.184 35.481
40 39.811 35.481 44.668
50 50.119 44.668 56.234
63 63.096 56.234 70.795
80 79.433 70.795 89.125
100 100.000 89.125 112.202
125 125.893 112.202 141.254
160 158.489 141.254 177.828
200 199.526 177.828 223.872
250 251.189 223.872 281.838
315 316.228 281.838 354.813
400 398.107 354.813 446.684
500 501.187 446.684 562.341
630 630.957 562.341 707.946
800 794.328 707.946 891.251
1000 1000.000 891.251 1122.018
1250 1258.925 1122.018 1412.538
1600 1584.893 1412.538 1778.279
2000 1995.262 1778.279 2238.721
2500 2511.886 2238.721 2818.383
3150 3162.278 2818.383 3548.134
4000 3981.072 3548.134 4466.836
5000 5011.872 4466.836 5623.413
6300 6309.573 5623.413 7079.458
8000 7943.282 7079.458 8912.509
10000 10000.000 8912.509 11220.185
12500 12589.254 11220.185 14125.375
16000 15848.932 14125.375 17782.794
20000 19952.623 17782.794 22387.211
""".strip().splitlines()])  # fmt: skip


def test_nominal_frequencies_of_iso_266() -> None:
    assert list(bands.NOMINAL_THIRD_OCTAVES) == list(TABLE[:, 0])
    library = pyfar.constants.fractional_octave_frequencies_nominal(3, (20, 20000))
    np.testing.assert_allclose(bands.NOMINAL_THIRD_OCTAVES, library)


def test_exact_frequencies_and_edges_of_iec_61260_1() -> None:
    np.testing.assert_allclose(bands.exact_third_octaves(), TABLE[:, 1], atol=5.1e-4)
    np.testing.assert_allclose(bands.third_octave_edges(), TABLE[:, 2:4], atol=5.1e-4)


def test_neighbouring_bands_meet() -> None:
    edges = bands.third_octave_edges()
    np.testing.assert_allclose(edges[1:, 0], edges[:-1, 1], rtol=1e-12)


def test_octave_edges_of_base_ten() -> None:
    # IEC 61260-1:2014: the octave of 1 kHz is the three third octaves around it.
    edges = bands.third_octave_edges()
    assert edges[16, 0] == pytest.approx(707.946, abs=1e-3)
    assert edges[18, 1] == pytest.approx(1412.538, abs=1e-3)


# ISO 16:1975: A4 is 440 Hz. The keys of a piano: A0 27.5 Hz, middle C 261.626 Hz, C8 4186.01 Hz.
@pytest.mark.parametrize(
    ("frequency", "name"),
    [
        (440, "A4"), (27.5, "A0"), (261.626, "C4"), (4186.01, "C8"),
        (41.2, "E1"), (466.164, "B♭4"), (452, "A4"),
    ],
)  # fmt: skip
def test_nearest_note(frequency: float, name: str) -> None:
    assert bands.nearest_note(frequency) == name


def test_no_note_below_nothing() -> None:
    with pytest.raises(ValueError, match="above 0"):
        bands.nearest_note(0)
