"""The nearest electrical filter, against a search that leaves none out."""

import math

import numpy as np
import pytest

from calculators.physics import acoustic_slopes, filters
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.decibels import level

CORNERS = 2 ** np.linspace(-1, 1, 193)


def cost_of(heard: ComplexArray, phased: bool) -> FloatArray:
    """What filter and driver cost for each corner, dB, over what is wanted: level, and phase at the join."""
    costs = np.mean(level(heard) ** 2, axis=1)
    if phased:
        lost = level(np.cos(np.angle(heard[:, 12:37]) / 2))
        costs = costs + np.mean(lost**2, axis=1)
    return np.asarray(np.sqrt(costs), dtype=np.float64)


@pytest.mark.parametrize("phased", [True, False])
@pytest.mark.parametrize("side", ["high-pass", "low-pass"])
@pytest.mark.parametrize(
    ("family", "order", "falls", "q"),
    [
        ("linkwitz-riley", 4, 0.875, 0.8),
        ("linkwitz-riley", 4, 0.3, 0.3),
        ("linkwitz-riley", 8, 1.0, 3.0),
        ("linkwitz-riley", 2, 1.7, 0.5),
        ("butterworth", 3, 0.6, 0.7),
        ("butterworth", 1, 1.2, 1.5),
        ("bessel", 6, 0.9, 0.5),
        ("bessel", 2, 2.5, 0.7),
    ],
)
def test_no_filter_that_is_passed_over_is_nearer(
    side: filters.Side, family: filters.Family, order: int, falls: float, q: float, phased: bool
) -> None:
    corner = 90.0
    at = acoustic_slopes.judged_at(corner)
    resonance = corner * falls if side == "high-pass" else corner / falls
    driver = filters.response(acoustic_slopes.roll_off(side, resonance, q), at)
    wanted = filters.response(filters.crossover_filter(side, family, order, corner), at)
    found = acoustic_slopes.nearest_filter(side, wanted, driver, corner, phased)

    def heard(of: filters.Family, steep: int, corners: FloatArray) -> ComplexArray:
        plain = filters.crossover_filter(side, of, steep, 1.0)
        return filters.response(plain, at / corners[:, np.newaxis]) * driver / wanted

    own = heard(found.family, found.order, np.array([found.corner]))
    assert found.miss == pytest.approx(math.sqrt(np.mean(level(own) ** 2)), rel=1e-9)
    least = min(
        float(np.min(cost_of(heard(of, steep, corner * CORNERS), phased)))
        for of, orders in filters.ORDERS.items()
        for steep in orders
    )
    assert float(cost_of(own, phased)[0]) <= least + 1e-3
