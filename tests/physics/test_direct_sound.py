"""The direct sound of a curve: against a sound whose echo was put in, and all-passes of known delay."""

import numpy as np
import pytest

from calculators.physics import direct_sound
from calculators.physics.biquads import biquad
from calculators.physics.filters import group_delay, response
from calculators.physics.speaker_system import grid

SPEAKER = response(biquad("peak", 1000.0, 6.0, 1.0), grid())


def test_an_echo_after_the_gate_is_gone_and_one_within_it_stays() -> None:
    flight = np.exp(-2j * np.pi * grid() * 2.5e-3)
    inside = (grid() > 1200) & (grid() < 5000)
    alone = direct_sound.gated(SPEAKER * flight, grid(), 2.5e-3, 2e-3)
    # The bump rings for less than a millisecond: the gate leaves it and takes the flight time.
    assert np.abs(alone / SPEAKER)[inside] == pytest.approx(1.0, abs=0.05)
    assert np.angle(alone / SPEAKER)[inside] == pytest.approx(0.0, abs=0.08)
    for late, gone in ((3e-3, True), (4e-4, False)):
        heard = SPEAKER * flight * (1 + 0.5 * np.exp(-2j * np.pi * grid() * late))
        found = direct_sound.gated(heard, grid(), 2.5e-3, 2e-3)
        assert (np.max(np.abs(found / alone - 1)[inside]) < 0.02) == gone


@pytest.mark.parametrize(("early", "left"), [(7.5e-4, 0.0), (2.5e-4, 0.25)])
def test_the_gate_opens_half_a_millisecond_before_the_arrival(early: float, left: float) -> None:
    """Half as strong as a flat sound and before it: gone, or halved again midway up half a Hann window."""
    flight = np.exp(-2j * np.pi * grid() * 2.5e-3)
    inside = (grid() > 1200) & (grid() < 5000)
    alone, both = (
        direct_sound.gated(flight * (1 + part * np.exp(2j * np.pi * grid() * early)), grid(), 2.5e-3, 2e-3)
        for part in (0.0, 0.5)
    )
    assert np.max(np.abs(both / alone - 1)[inside]) == pytest.approx(left, abs=0.01)


@pytest.mark.parametrize(("frequency", "q"), [(600.0, 0.7), (1200.0, 0.7), (2500.0, 1.0)])
def test_unevenness_is_that_of_the_group_delay(frequency: float, q: float) -> None:
    sections = biquad("all-pass", frequency, q=q)
    delay = group_delay(sections, grid())
    wanted = np.sqrt(np.mean((delay - np.median(delay)) ** 2))
    assert direct_sound.unevenness(np.angle(response(sections, grid())), grid()) == pytest.approx(
        wanted, rel=0.02
    )


def test_a_delay_alone_is_even() -> None:
    assert direct_sound.unevenness(-2 * np.pi * grid() * 1e-3, grid()) == pytest.approx(0.0, abs=1e-9)
