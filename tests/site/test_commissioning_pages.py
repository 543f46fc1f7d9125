"""What first power, channel identity, noise and heat order, in which order, and with which figures."""

import math
import re

import pytest

from calculators.physics import decibels
from calculators.self_checks import commissioning, question
from calculators.self_checks.asking import Figure
from tests.site.test_electrics_pages import (
    FIRST_POWER,
    FUSE_OUT,
    NOISE,
    SUPPLY_PROOF,
    place,
    section,
    steps,
)
from tests.site.test_gain_pages import GAIN, IDENTITY, JOB
from tests.site.test_pages import sources

PAGES = sources()


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


def test_a_tweeters_gate_is_read_with_the_tone_off_and_on() -> None:
    """Behind 2 kΩ and 2.2 nF some 9 mV of a 0.1 V carrier at 400 kHz stay: more than the 5 mV that pass."""
    left = 0.1 / math.hypot(1.0, 2 * math.pi * 400e3 * 2e3 * 2.2e-9)
    assert 0.005 < left == pytest.approx(0.009, abs=0.0005)
    cost = 1 / math.hypot(1.0, 2 * math.pi * 6e3 * 2e3 * 2.2e-9)
    assert float(decibels.level(cost)) == pytest.approx(-0.1, abs=0.03)
    gate = steps(IDENTITY)[place(steps(IDENTITY), "once more, with 50 Hz and 400 Hz")]
    assert "tone off, then on" in gate
    pairs = [(0, 5), *((int(off), int(on)) for off, on in re.findall(r"off (\d), on (\d+)[;.]", gate))]
    assert "off nothing, on 5 mV at most" in gate
    assert len(pairs) == 3
    for off, on in pairs:
        assert on == pytest.approx(math.hypot(off, 5), abs=0.5)
    for page in (IDENTITY, GAIN, PAGES["stages/pick-up/flattening/"], PAGES["stages/pick-up/chimes/"]):
        assert "a hundredth of" in section(page, "Steps")
        assert "next to nothing" not in page
    assert "2.2 nF" in section(IDENTITY, "Before you start")


def test_a_healthy_system_that_idles_over_two_amperes_has_a_test_fuse() -> None:
    """By the sheets, within a tenth of the main fuse; what opens at the wake alone is tried once more."""
    before = " ".join(section(FIRST_POWER, "Before you start").replace("*", "").split())
    assert "the smallest size over the idle current of all data sheets added up, 2 A at least" in before
    assert "Neither over a tenth of the main fuse" in before
    wake = steps(FIRST_POWER)[place(steps(FIRST_POWER), "Turn-on line on")]
    assert "opens as an amplifier wakes" in wake
    assert wake.index("asleep all was right") < wake.index("wake it once on the second test fuse")
    assert "Never a third size" in wake


def test_heat_is_judged_by_the_rise_and_by_the_case() -> None:
    """64 °C in a bay of 5 °C is 59 K over its air: in one of 45 °C that is 104 °C."""
    accepted = " ".join(section(SUPPLY_PROOF, "Accept when").split())
    assert "Case 40 K or less over the air that goes into it, and 65 °C or less" in accepted
    assert "65 °C, and 40 K over its air" in section(SUPPLY_PROOF, "Numbers")
    assert "| 65 °C, and 40 K over its air |" in PAGES["look-up/good-enough/"]
    assert not re.search(r"65 °C\W*(or less)?,? or 40 K", "".join(PAGES.values()))


def test_what_is_accepted_between_two_grounds_is_measured() -> None:
    """As the tree of engine whine does: meter on both terminals, DC then AC, engine at 2000 rpm."""
    line = steps(NOISE)[place(steps(NOISE), "ground terminal")]
    assert "Doors open or extraction coupled" in line
    assert "music at the usual step" in line
    assert "DC and then AC" in line
    assert "0.02 V" in line
    assert "multimeter that shows 1 mV" in section(NOISE, "Before you start")
    assert "DC and AC between any two audio grounds" in " ".join(section(NOISE, "Accept when").split())


def test_a_bank_of_resistors_is_off_while_the_capacitors_fill() -> None:
    """0.27 ohm for 50 A behind 47 ohm leave 0.07 V on the terminals: nothing fills."""
    assert "a bank of resistors behind a switch" in section(SUPPLY_PROOF, "Before you start").replace("*", "")
    drop = steps(SUPPLY_PROOF)[place(steps(SUPPLY_PROOF), "The drop, in milliohm")]
    assert (
        drop.index("a bank's switch off") < drop.index("main fuse in, resistor off") < drop.index("switch on")
    )


def test_a_clip_comes_with_its_supply_and_a_tweeters_from_its_twin() -> None:
    """By hand: +3 dB over 8.39 V is 11.9 V, far under 17.72; 14.4 against 12.5 V is 1.2 dB."""
    clip = steps(GAIN)[place(steps(GAIN), "Clip, loaded")]
    assert "write the volts at the amplifier beside the clip" in clip
    lost = -float(decibels.level(12.5 / 14.4))
    assert f"clips {lost:.1f} dB sooner at 12.5 V than at 14.4" in clip
    reached = math.sqrt(JOB["commissioning"]["tweeter_power"] * 4) * 10 ** (3 / 20)
    assert reached < JOB["commissioning"]["front_clip"]
    assert f"+3 dB over their own target is {reached:.1f} V" in " ".join(GAIN.split())
    assert "takes the clip of a channel of the same amplifier" in clip
