"""What first power, channel identity, noise and heat order, in which order, and with which figures."""

import math
import re

import pytest

from calculators.self_checks import commissioning, question
from calculators.self_checks.asking import Figure
from tests.site.test_electrics_pages import FIRST_POWER, FUSE_OUT, place, section, steps


def test_the_resistor_fills_an_amplifier_that_is_plugged_in() -> None:
    """Pulled for the checks, they go in while all is dead: a plug never meets a live feed."""
    assert "the amplifier's power plug and the processor are off and tagged" in section(
        FUSE_OUT, "Accept when"
    )
    lines = steps(FIRST_POWER)
    first = lines[place(lines, "Plug the processor and the amplifier's power in now")]
    assert first.index("Plug the processor") < first.index("Negative terminal on")
    resistor = lines[place(lines, "Resistor first")]
    assert lines.index(first) < lines.index(resistor)
    assert "must jump up and then fall" in resistor
    assert "No jump: nothing is connected" in resistor
    assert "showed the filling" in section(FIRST_POWER, "Accept when")
    plugs, then, *_ = commissioning.POWER
    assert "battery still off" in plugs
    assert "Resistor" in then


def test_the_self_check_sets_the_gain_as_the_page_does() -> None:
    """By hand: the file carries the headroom, so the meter shows the rated volts, √(power × load)."""
    for seed in range(0, 9_000_000, 300_007):
        asked = question("commissioning", "test_volts", seed)
        assert isinstance(asked, Figure)
        power, load, headroom = (
            float(re.findall(pattern, asked.asked)[0])
            for pattern in (r"([\d.]+) W", r"([\d.]+) Ω", r"([\d.]+) dB")
        )
        rated = math.sqrt(power * load)
        assert asked.answer == pytest.approx(rated)
        (lowered,) = (volts for words, volts in asked.mistakes.items() if "lowered as well" in words)
        assert lowered == pytest.approx(rated * 10 ** (-headroom / 20))
