"""The most a driver gives: where its travel limit is a guide alone."""

import math
from typing import Any

import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator

SOUND = 343.2
"""Metres a second in air of 20 °C (ISO 9613-1:1993)."""


@pytest.mark.parametrize(("share", "told"), [(0.98, False), (1.02, True)])
def test_a_cone_as_long_round_as_a_wave_is_told_as_no_longer_small(share: float, told: bool) -> None:
    """A piston is small while its circumference is less than a wavelength: ka = 1 (radiation of a piston)."""
    calculator = find_calculator("maximum-level")
    area = 0.0214
    frequency = share * SOUND / math.sqrt(4 * math.pi * area)  # A circle of area S is sqrt(4πS) round.
    outcome = run_values(calculator, {**calculator.example, "area": area, "frequency": frequency})
    result: Any = outcome.result
    assert bool(result.advice) is told
