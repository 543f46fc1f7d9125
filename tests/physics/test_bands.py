"""Bands against ISO 266 and IEC 61260-1, weightings against IEC 61672-1 Table 3."""

from collections.abc import Callable

import numpy as np
import pyfar
import pytest
from numpy.typing import ArrayLike

from calculators.physics import bands
from calculators.physics.bands import FloatArray

# ISO 266:1997 nominal, IEC 61260-1:2014 exact and edges, IEC 61672-1:2013 Table 3 A and C,
# then A and C by its Annex E at the exact frequency.
TABLE = np.array([[float(cell) for cell in row.split()] for row in """
20 19.953 17.783 22.387 -50.5 -50.452 -6.2 -6.240
25 25.119 22.387 28.184 -44.7 -44.703 -4.4 -4.405
31.5 31.623 28.184 35.481 -39.4 -39.440 -3.0 -3.010
40 39.811 35.481 44.668 -34.6 -34.630 -2.0 -1.999
50 50.119 44.668 56.234 -30.2 -30.228 -1.3 -1.294
63 63.096 56.234 70.795 -26.2 -26.194 -0.8 -0.818
80 79.433 70.795 89.125 -22.5 -22.504 -0.5 -0.504
100 100.000 89.125 112.202 -19.1 -19.143 -0.3 -0.300
125 125.893 112.202 141.254 -16.1 -16.098 -0.2 -0.169
160 158.489 141.254 177.828 -13.4 -13.350 -0.1 -0.085
200 199.526 177.828 223.872 -10.9 -10.870 0.0 -0.033
250 251.189 223.872 281.838 -8.6 -8.630 0.0 0.000
315 316.228 281.838 354.813 -6.6 -6.611 0.0 0.019
400 398.107 354.813 446.684 -4.8 -4.808 0.0 0.029
500 501.187 446.684 562.341 -3.2 -3.233 0.0 0.033
630 630.957 562.341 707.946 -1.9 -1.900 0.0 0.029
800 794.328 707.946 891.251 -0.8 -0.824 0.0 0.019
1000 1000.000 891.251 1122.018 0.0 0.000 0.0 0.000
1250 1258.925 1122.018 1412.538 0.6 0.591 0.0 -0.033
1600 1584.893 1412.538 1778.279 1.0 0.981 -0.1 -0.085
2000 1995.262 1778.279 2238.721 1.2 1.200 -0.2 -0.169
2500 2511.886 2238.721 2818.383 1.3 1.271 -0.3 -0.300
3150 3162.278 2818.383 3548.134 1.2 1.199 -0.5 -0.504
4000 3981.072 3548.134 4466.836 1.0 0.970 -0.8 -0.818
5000 5011.872 4466.836 5623.413 0.5 0.549 -1.3 -1.294
6300 6309.573 5623.413 7079.458 -0.1 -0.121 -2.0 -1.999
8000 7943.282 7079.458 8912.509 -1.1 -1.111 -3.0 -3.010
10000 10000.000 8912.509 11220.185 -2.5 -2.492 -4.4 -4.405
12500 12589.254 11220.185 14125.375 -4.3 -4.318 -6.2 -6.240
16000 15848.932 14125.375 17782.794 -6.6 -6.603 -8.5 -8.531
20000 19952.623 17782.794 22387.211 -9.3 -9.317 -11.2 -11.249
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


@pytest.mark.parametrize(
    ("weighting", "table", "analytic"), [(bands.a_weighting, 4, 5), (bands.c_weighting, 6, 7)]
)
def test_weightings_of_iec_61672_1(
    weighting: Callable[[ArrayLike], FloatArray], table: int, analytic: int
) -> None:
    found = weighting(bands.exact_third_octaves())
    np.testing.assert_allclose(found, TABLE[:, analytic], atol=1e-3)
    np.testing.assert_allclose(np.round(found, 1), TABLE[:, table], atol=1e-9)


def test_weighting_refuses_no_frequency() -> None:
    with pytest.raises(ValueError, match="above 0"):
        bands.a_weighting([100, 0])
    with pytest.raises(ValueError, match="above 0"):
        bands.c_weighting(-1)


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
