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


PLAIN = (39.0, 26.0, 19.5, 13.3, 7.98, 4.95, 3.30, 1.91, 1.21, 0.780, 0.554, 0.386, 0.272, 0.206, 0.161)
TINNED = (40.1, 26.7, 20.0, 13.7, 8.21, 5.09, 3.39, 1.95, 1.24, 0.795, 0.565, 0.393, 0.277, 0.210, 0.164)
"""Ω per km at 20 °C, from 0.5 mm² on, IEC 60228:2004 table 3, class 5."""
VEHICLE = (54.4, 37.1, 24.7, 18.5, 12.7, 7.60, 4.71, 3.14, 1.82, 1.16, 0.743, 0.527, 0.368, 0.259, 0.196)
"""mΩ per m at 20 °C, from 0.35 to 95 mm², ISO 6722-1:2011, bare copper, from memory."""


@pytest.mark.parametrize(
    ("table", "areas", "resistances"),
    [
        (conductors.FLEXIBLE_SIZES, (0.5, *AREAS), PLAIN),
        (conductors.TINNED_FLEXIBLE_SIZES, (0.5, *AREAS), TINNED),
        (conductors.VEHICLE_SIZES, (0.35, 0.5, *AREAS[:-1]), VEHICLE),
    ],
    ids=lambda value: getattr(value, "standard", ""),
)
def test_a_size_has_the_resistance_of_its_standard(
    table: conductors.SizeTable, areas: tuple[float, ...], resistances: tuple[float, ...]
) -> None:
    assert [size.area * 1e6 for size in table.sizes] == pytest.approx(areas)
    assert [size.resistance * 1e3 for size in table.sizes] == pytest.approx(resistances)
    assert [size.name for size in table.sizes] == [f"{area:g} mm²" for area in areas]


AT_70 = (10, 14, 18, 25, 35, 45, 65, 90, 120, 160, 210, 265, 310, 360)
AT_85 = (12, 18, 21, 30, 40, 50, 70, 100, 140, 185, 230, 285, 330, 400)
AT_105 = (16, 20, 25, 35, 45, 60, 90, 130, 170, 210, 270, 330, 390, 450)
"""Ampere of insulation for 70, 85 and 105 °C by the same annex, from memory."""


@pytest.mark.parametrize(("limit", "row"), [(70, AT_70), (85, AT_85), (105, AT_105)])
def test_no_cable_is_planned_for_more_than_its_insulation_carries(limit: float, row: tuple[int, ...]) -> None:
    """Each row of the standard by itself, before the lower bound to plan with is set on it."""
    assert tuple(conductors._ISO_10133_CURRENTS) == AREAS
    column = conductors._ISO_10133_LIMITS.index(limit)
    assert tuple(each[column] for each in conductors._ISO_10133_CURRENTS.values()) == row


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
