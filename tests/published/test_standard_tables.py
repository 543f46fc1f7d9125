"""Tables that decide what burns, stated once more by column, so that a digit mistyped in a row shows."""

import pytest

from calculators.physics import conductors, fuses

AREAS = (0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0)
"""Cross-sections, mm²."""
AT_60 = (6, 8, 12, 17, 22, 29, 40, 54, 71, 87, 105, 135, 165, 190)
"""Ampere of insulation for 60 °C by ISO 10133 annex A, from memory."""
UNDER_CARPET = (7.5, 10, 14, 20, 28, 36, 52, 75, 100, 130, 170, 215, 250, 290)
"""Ampere to plan with for better insulation: common practice, no source."""


def carried(area: float, insulation_limit: float) -> float:
    """Ampere for hours, of one cable in air for which the tables are made."""
    return conductors.continuous_current(
        area * 1e-6, insulation_limit=insulation_limit, ambient=conductors.REFERENCE_AMBIENT
    )


@pytest.mark.parametrize(("area", "current"), [*zip(AREAS, AT_60, strict=True)])
def test_a_cable_for_60_degrees_carries_what_the_standard_says(area: float, current: float) -> None:
    assert carried(area, 60) == pytest.approx(current)


@pytest.mark.parametrize("limit", [70, 85, 105, 250])
@pytest.mark.parametrize(("area", "current"), [*zip(AREAS, UNDER_CARPET, strict=True)])
def test_better_insulation_never_lifts_the_current_to_plan_with(
    area: float, current: float, limit: float
) -> None:
    assert carried(area, limit) == pytest.approx(current)


@pytest.mark.parametrize(
    ("kind", "multiples", "least", "most"),
    [
        (
            fuses.BLADE,
            (1.1, 1.35, 1.6, 2, 3.5, 6),
            (360_000, 0.75, 0.25, 0.15, 0.04, 0.02),
            (None, 600, 50, 5, 0.5, 0.1),
        ),
        (fuses.SMALL_STRIP, (1, 1.5, 2, 3, 5), (14_400, 90, 3, 0.3, 0.1), (None, 3600, 100, 3, 1)),
        (fuses.LARGE_STRIP, (1, 1.35, 2, 3.5, 6), (14_400, 120, 1, 0.3, 0.1), (None, 1800, 15, 5, 1)),
    ],
    ids=lambda value: getattr(value, "name", ""),
)
def test_a_fuse_opens_when_its_standard_says(
    kind: fuses.FuseType,
    multiples: tuple[float, ...],
    least: tuple[float, ...],
    most: tuple[float | None, ...],
) -> None:
    """ISO 8820-3:2015 and 8820-5: 110 and 135 % of a blade as data sheets quote them, others from memory."""
    times = kind.opening_times
    assert tuple(one.multiple for one in times) == multiples
    assert tuple(one.least for one in times) == least
    assert tuple(one.most for one in times) == most
