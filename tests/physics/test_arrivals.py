"""Arrivals and waits."""

import pytest

from calculators.physics.arrivals import waits


def test_each_waits_for_the_last() -> None:
    arrivals = [0.0021, 0.0043, 0.0030]
    delays = waits(arrivals)
    together = [arrival + delay for arrival, delay in zip(arrivals, delays, strict=True)]
    assert together == pytest.approx([0.0043] * 3)
    assert delays[1] == 0
    assert min(delays) == 0


def test_nothing_cannot_wait() -> None:
    with pytest.raises(ValueError, match="arrival"):
        waits([])
