"""Third-octave bands: checks AC-53 to AC-83, AC-85 and AC-86.

Nominal frequencies: ISO 266:1997. Exact centres 1000·10^(n/10) and edges: IEC 61260-1:2014, base
ten. Printed to three decimals, as given by pyfar's and phonometry's tables (lib, page).
"""

import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator

TABLE = """
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
"""
ROWS = [tuple(float(cell) for cell in line.split()) for line in TABLE.strip().splitlines()]
PRINTED = 0.5e-3


@pytest.fixture(scope="module")
def bands():  # type: ignore[no-untyped-def]
    return run_values(find_calculator("third-octave"), {}).result.bands


def test_there_are_31_bands(bands) -> None:  # type: ignore[no-untyped-def]
    assert len(bands) == len(ROWS) == 31


@pytest.mark.parametrize(
    "number", range(31), ids=[f"AC-{number + 53}-{row[0]:g}" for number, row in enumerate(ROWS)]
)
def test_published_bands(bands, number: int) -> None:  # type: ignore[no-untyped-def]
    nominal, exact, lower, upper = ROWS[number]
    assert bands[number].nominal == nominal
    assert bands[number].exact == pytest.approx(exact, rel=0, abs=PRINTED + 1e-9)
    assert bands[number].lower == pytest.approx(lower, rel=0, abs=PRINTED + 1e-9)
    assert bands[number].upper == pytest.approx(upper, rel=0, abs=PRINTED + 1e-9)


def test_half_a_band(bands) -> None:  # type: ignore[no-untyped-def]
    """AC-85: G^(1/6) = 1.122018 with G = 10^0.3 (calc)."""
    for band in bands:
        assert band.upper / band.exact == pytest.approx(1.122018, abs=0.5e-6)
        assert band.exact / band.lower == pytest.approx(1.122018, abs=0.5e-6)


def test_edges_of_the_octave_round_1_khz(bands) -> None:  # type: ignore[no-untyped-def]
    """AC-86: 707.946 Hz and 1412.538 Hz: from the lower edge of 800 Hz to the upper of 1250 Hz (calc)."""
    assert bands[16].lower == pytest.approx(707.946, abs=PRINTED)
    assert bands[18].upper == pytest.approx(1412.538, abs=PRINTED)
