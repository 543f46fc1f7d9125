"""Off-axis loss: the flat disc, from tabulated values of J1."""

from math import log10, pi

import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator
from tests.published.rows import Row, check, every

TABLE = "Abramowitz and Stegun, table 9.1: J1(1) = 0.4400506, J1(2) = 0.5767248, J1(3) = 0.3390590"
BY_J1 = "scipy.special.j1, 2 J1(x)/x"
# At 90 degrees and 20 °C (343.2 m/s) a disc of 20 cm has x = 1 at 546.2 Hz.
OF_ONE = 343.2 / (2 * pi * 0.1)

ROWS = [
    *(
        Row(
            f"OA-0{x}",
            "off-axis",
            {"diameter": 0.2, "angle": 90.0, "frequency": x * OF_ONE},
            "off_axis_loss",
            -20 * log10(2 * value / x),
            1e-5,
            TABLE,
            "memory",
        )
        for x, value in ((1, 0.4400506), (2, 0.5767248), (3, 0.3390590))
    ),
    # 13 cm at 60 degrees: what a door loses at the near seat, worked out apart from the project.
    *(
        Row(
            "OA-04",
            "off-axis",
            {"diameter": 0.13, "frequency": frequency},
            "off_axis_loss",
            loss,
            1e-4,
            BY_J1,
            "lib",
        )
        for frequency, loss in ((1300.0, 2.0277), (2000.0, 5.1130), (2500.0, 8.6241), (3000.0, 14.1218))
    ),
    Row("OA-05", "off-axis", {"diameter": 0.165}, "off_axis_loss", 34.557, 0.005, BY_J1, "lib"),
    Row("OA-06", "off-axis", {"diameter": 0.13}, "three_lost_at", 1567.0, 2.0, BY_J1, "lib"),
    Row("OA-07", "off-axis", {"diameter": 0.13}, "six_lost_at", 2147.0, 3.0, BY_J1, "lib"),
]


@every(ROWS)
def test_published_values(row: Row) -> None:
    check(row)


@pytest.mark.parametrize("frequency", [100.0, 3000.0, 20e3])
def test_nothing_is_lost_on_the_axis(frequency: float) -> None:
    result = run_values(
        find_calculator("off-axis"), {"diameter": 0.13, "angle": 0.0, "frequency": frequency}
    ).result
    assert result.off_axis_loss == pytest.approx(0, abs=1e-12)
    assert result.three_lost_at is None
