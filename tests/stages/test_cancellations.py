"""What is said of cancellations, on every page and by every calculator, is what physics does."""

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calculators.declaring import run_values
from calculators.physics import air, biquads, decibels, filters
from calculators.stages import every_calculator, find_calculator

ROOT = Path(__file__).resolve().parents[2]
PAGES = {path.relative_to(ROOT).as_posix(): path.read_text("utf-8") for path in (ROOT / "docs").rglob("*.md")}
UNTRUE = re.compile(
    r"null test|add 3 dB at|for 3 dB|less than 1\.5 dB|cannot be filled|cannot fill|will not fill it"
    r"|does not fill|no equaliser mends that",
    re.IGNORECASE,
)
ORDER = ["polarity", "crossovers", "delays", "levels", "join check", "equaliser", "join check again"]
TUNING = ("time-alignment", "levels", "equaliser")


@pytest.mark.parametrize("loss", [6.0, 3.0, 1.0, 0.5])
def test_a_filter_lifts_a_cancellation_by_just_its_gain(loss: float) -> None:
    """So no trial boost can tell one. 210 Hz, +3 dB, Q 3, the reflection so much weaker; by complex sums."""
    speed = air.speed_of_sound(20)
    difference = speed / (2 * 210)
    place = np.array([210.0])
    notch = decibels.level(air.comb_response(place, difference, -loss, speed))
    boost = filters.response(biquads.biquad("peak", 210.0, 3.0, 3.0), place)
    filled = decibels.level(boost * air.comb_response(place, difference, -loss, speed))
    assert notch[0] < -5
    assert filled - notch == pytest.approx([3.0], abs=1e-9)
    # A hand farther on the path difference is 10 cm less and the dip elsewhere: the filter is a hump there.
    elsewhere = air.comb_response(place, difference - 0.35, -loss, speed)
    assert decibels.level(boost * elsewhere) - decibels.level(elsewhere) == pytest.approx([3.0], abs=1e-9)


def test_a_weaker_reflection_has_a_stable_inverse_at_its_point() -> None:
    """Neely and Allen 1979: 1 + r z^-n has all its zeros inside the unit circle where r < 1."""
    for strength in (0.5, 0.9, 0.99):
        zeros = np.roots([1, *[0.0] * 11, strength])
        assert np.all(np.abs(zeros) < 1)


@pytest.mark.parametrize("address", sorted(PAGES))
def test_no_page_knows_a_null_test(address: str) -> None:
    assert UNTRUE.findall(PAGES[address]) == []


def test_no_calculator_knows_one() -> None:
    narrow: dict[str, Any] = {"kind": "peak", "gain": 6.0, "q": 4.0}
    filled = [0.0] * 12 + [9.0] + [0.0] * 18
    said = [entry.help for entry in every_calculator()]
    said += [entry.message for entry in run_values(find_calculator("filter"), narrow).advice]
    said += [
        entry.message for entry in run_values(find_calculator("graphic-equaliser"), {"gains": filled}).advice
    ]
    assert any("wanders" in text for text in said)
    assert any("one point" in text for text in said)
    assert [text for text in said if UNTRUE.search(text)] == []


def test_dips_are_judged_by_spread_muting_width_phase_and_power() -> None:
    page = PAGES["docs/stages/tuning/equaliser.md"]
    table = page[page.index("## Is this dip a cancellation?") : page.index("**Why not fill it?**")]
    for words in ("spreads by more than 3 dB", "other channel is muted", "third of an octave", "6 dB",
                  "excess group delay", "Can amplifier and stroke pay"):  # fmt: skip
        assert words in table


@pytest.mark.parametrize("name", TUNING)
def test_tuning_pages_give_one_order(name: str) -> None:
    page = PAGES[f"docs/stages/tuning/{name}.md"]
    line = re.search(r"^Order of tuning: (.*?)\.\n\n", page, re.MULTILINE | re.DOTALL)
    assert line, "the page must give the order of tuning"
    plain = re.sub(r"\]\([^)]*\)|[\[*]", "", line[1]).replace("\n", " ")
    steps = [step.strip() for step in plain.split("→")]
    assert steps[0].startswith("polarity of each driver by impulse")
    assert [step.split(" of ")[0] for step in steps] == ORDER
    assert "join check" in page[page.index("## Steps") :].lower()


def test_levels_are_compared_unweighted_and_per_third_octave() -> None:
    page = PAGES["docs/stages/tuning/levels.md"]
    steps = page[page.index("## Before you start") : page.index("## Numbers")]
    assert "**unweighted**" in steps
    assert "per third" in steps
    assert "learn/decibels.md#adding-sounds" in steps
    limits = page[page.index("## Numbers") : page.index("## The running job")]
    assert "any third octave" not in limits
    equaliser = PAGES["docs/stages/tuning/equaliser.md"]
    assert "any third octave, 300 Hz to 5 kHz" in equaliser
    assert "Q of 2 or less" in equaliser


def test_a_customer_is_not_told_that_85_decibels_are_fine_every_day() -> None:
    page = PAGES["docs/learn/your-ears.md"]
    assert "fine for a day" not in page
    assert "raised.weekly_listening" in page
    # Five such days of 8 h are three of the weeks that the World Health Organization and ITU allow.
    week: Any = run_values(
        find_calculator("noise-dose"), {"exposures": [{"level": 85.0, "duration": 60.0}]}
    ).result
    assert week.weekly_listening == pytest.approx(40 * 3600 / 10**0.5)
    assert 5 * 8 * 3600 / week.weekly_listening == pytest.approx(3.16, abs=0.01)


def test_a_comb_beyond_hearing_is_said_in_words() -> None:
    """1.1 mm: 343.2 m/s / (2 x 1.1 mm) = 156 kHz."""
    outcome = run_values(find_calculator("path-cancellation"), {"direct": 0.5, "reflected": 0.5011})
    assert [entry.about for entry in outcome.advice] == ["first_notch"]
    assert run_values(find_calculator("path-cancellation"), {"direct": 0.5, "reflected": 0.51}).advice == ()
