"""Third-octave bands: nominal frequencies, exact centres and edges.

Nominal frequencies: ISO 266:1997. Exact centres 1000·10^(n/10) and edges: IEC 61260-1:2014, base
ten. Printed to three decimals, as given by pyfar's and phonometry's tables (lib, page).
"""

import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator
from tests.third_octaves import ROWS

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
    """G^(1/6) = 1.122018 with G = 10^0.3 (calc)."""
    for band in bands:
        assert band.upper / band.exact == pytest.approx(1.122018, abs=0.5e-6)
        assert band.exact / band.lower == pytest.approx(1.122018, abs=0.5e-6)


def test_edges_of_the_octave_round_1_khz(bands) -> None:  # type: ignore[no-untyped-def]
    """707.946 Hz and 1412.538 Hz: from the lower edge of 800 Hz to the upper of 1250 Hz (calc)."""
    assert bands[16].lower == pytest.approx(707.946, abs=PRINTED)
    assert bands[18].upper == pytest.approx(1412.538, abs=PRINTED)
