"""A curve that was asked for, beside the one that is built: what is left between them."""

from dataclasses import dataclass

from calculators.declaring import Band, Chart
from calculators.physics import bands, decibels, filters
from calculators.physics.arrays import FloatArray
from calculators.physics.curve_places import LevelsAt
from calculators.vocabulary.responses import (
    Places,
    Wanted,
    level_axis,
    places_of,
    response_chart,
)


@dataclass(frozen=True, eq=False)
class Against:
    """What was asked (dB) at the places where a built curve is looked at, and what that one leaves."""

    places: Places
    asked: FloatArray
    left: FloatArray


def against(wanted: LevelsAt, built: filters.Sections) -> Against:
    """What a built curve leaves of the levels wanted, where either of them turns."""

    def curves(frequency: FloatArray) -> list[FloatArray]:
        got = decibels.level(filters.response(built, frequency))
        return [got, got - wanted(frequency)]

    places = places_of(curves, [Wanted((0, 1), bands.exact_third_octaves())])[0]
    _, left = curves(places.at)
    return Against(places, wanted(places.at), left)


def comparison_chart(title: str, curves: Against, name: str) -> Chart:
    """Asked, got (by its name) and the difference."""
    got = curves.asked + curves.left
    return response_chart(
        title,
        curves.places,
        {"Asked": curves.asked, name: (got, "main"), "Difference": curves.left},
        level_axis(curves.asked, got, curves.left),
        (Band("Within 1 dB of what was asked", -1, 1, axis="y"),),
    )
