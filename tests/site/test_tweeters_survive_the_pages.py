"""What keeps a tweeter, a factory unit and two pairs of ears whole while a page is followed."""

import re

import pytest

from tests.site.test_electrics_pages import place, steps
from tests.site.test_pages import sources

PAGES = {address.removeprefix("stages/"): text for address, text in sources().items()}

ORDERS = {
    "tuning/measuring/": (
        "Crossovers read back.*amplifier off.*5 kHz.*loudest level.*1 V RMS",
        "Play the sweep",
    ),
    "pick-up/flattening/": ("gain chain", "Crossovers back on.*400 Hz.*tweeters plugged"),
    "pick-up/tapping/": ("floats.*1 kΩ.*do not connect", "through 1 kΩ to one leg"),
    "verification/by-ear/": ("meter alone, nobody inside.*100 dB.*protection", "step 7 left out"),
}
"""Page → what one step says, and what a later one says."""

SAID = {
    "tuning/measuring/": "tweeter stays at or under its step, whatever the sound level meter reads",
    "tuning/presets/": "at the ceiling step the limiter must still hold. Nobody inside",
    "verification/measured/": "first run 20 dB softer, and never more than 1 V RMS at a tweeter's terminals",
    "survey/signal/": "no ceiling is searched on a feed that has a tweeter",
    "pick-up/chimes/": "No music before the crossovers are on and read back",
}


@pytest.mark.parametrize("address", ORDERS)
def test_what_guards_comes_first(address: str) -> None:
    lines = steps(PAGES[address])
    first, second = (place(lines, pattern) for pattern in ORDERS[address])
    assert first < second


@pytest.mark.parametrize("address", SAID)
def test_the_step_itself_says_it(address: str) -> None:
    assert any(SAID[address] in line for line in steps(PAGES[address]))


def test_no_row_of_a_speaker_is_louder_than_its_calculator_allows() -> None:
    rows = re.findall(
        r"^\| (Subwoofer|Door|Tweeter) \|.* \| (-\d+) dB \|", PAGES["tuning/test-signals/"], re.M
    )
    assert [level for _, level in rows] == ["-18"] * 3
