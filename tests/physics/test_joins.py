"""A subwoofer's join costs the same wherever it is asked."""

import numpy as np
import pytest

from calculators.physics import bass_joins, joins


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_the_tune_and_the_alignment_cost_a_join_alike(sign: float) -> None:
    """Mean loss and half its spread; one rounds to nine places."""
    rng = np.random.default_rng(7)
    delays = np.linspace(-6e-3, 6e-3, 25)
    for points in (1, 3, 10):
        frequency = np.sort(rng.uniform(40, 140, 24))
        low, high = rng.normal(size=(2, points, 24)) + 1j * rng.normal(size=(2, points, 24))
        aligned = bass_joins.TwoParts(frequency, low, high)
        losses = [aligned.changed(sign, delay, 0.0).lost().ravel() for delay in delays.tolist()]
        wanted = bass_joins.cost_of(np.array(losses))
        costs = joins._uneven(joins.Join(frequency, low, high).losses(delays, sign))
        assert costs == pytest.approx(wanted, abs=2e-9)


def test_the_cost_of_a_join_by_hand() -> None:
    """Half in step, half at right angles: 0 and 3.01 dB lost, so 1.505 dB and half a spread of 1.505 dB."""
    join = bass_joins.TwoParts(np.array([50.0, 100.0]), np.ones((1, 2), complex), np.array([[1.0, 1j]]))
    assert bass_joins.cost_of(join.lost()) == pytest.approx(1.5 * 5 * np.log10(2))


def test_a_null_costs_alike_too() -> None:
    """Silent at one of two places, in step at the other: the floor of all levels, 200 dB, and none lost."""
    frequency, low, high = np.array([50.0, 100.0]), np.ones((1, 2), complex), np.array([[-1.0, 1.0 + 0j]])
    losses = joins.Join(frequency, low, high).losses(np.zeros(1))
    assert losses.tolist() == [bass_joins.TwoParts(frequency, low, high).lost().tolist()] == [[[-200.0, 0.0]]]
    assert joins._uneven(losses).tolist() == [150.0]


@pytest.mark.parametrize(
    ("costs", "inside"),
    [
        ([3, 1, 2], [0, 1, 2]),
        ([1, 2, 1], []),
        ([1, 3, 2, 1], []),
        ([1, 2, 3], []),
        ([3, 2, 1], []),
        ([1, 3, 2, 4, 1], [1, 2, 3]),
    ],
)
def test_a_join_s_least_cost_lies_between_two_hills(costs: list[int], inside: list[int]) -> None:
    """Down to either end there is no place to stand, nor on a single hill."""
    found = joins._inside(np.array(costs, dtype=float))
    assert np.flatnonzero(np.isfinite(found)).tolist() == inside
