"""What keeps a tweeter, a factory unit and two pairs of ears whole while a page is followed."""

import re

import numpy as np
import pytest

from calculators.physics import filters
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


def test_the_volts_on_the_tone_leave_a_volt_at_most_in_the_tweeters_band() -> None:
    """|H| at the tone, Linkwitz-Riley: r²/(1 + r²) and r⁴/(1 + r⁴), r = tone over corner (Linkwitz 1976)."""
    rows = re.findall(r"^\| ([\d.]+) kHz \| ([\d.]+) V \| ([\d.]+) V \|", PAGES["tuning/measuring/"], re.M)
    assert [float(corner) for corner, *_ in rows] == [2.5, 3, 4, 5, 6]
    for corner, *volts in rows:
        ratio = 5 / float(corner)
        for order, set_to in zip((2, 4), volts, strict=True):
            left = [ratio**order / (1 + ratio**order)]
            for rate in (44_100.0, 48_000.0, None):
                sections = filters.crossover_filter(
                    "high-pass", "linkwitz-riley", order, float(corner) * 1000, rate
                )
                left.append(float(np.abs(filters.response(sections, np.array([5000.0]))[0])))
            assert left[0] == pytest.approx(left[3])
            assert min(left) - 0.02 < float(set_to) <= min(left) + 1e-9
    octave = re.findall(
        r"^\| any.*octave over it \| ([\d.]+) V \| ([\d.]+) V", PAGES["tuning/measuring/"], re.M
    )
    assert octave == [("0.80", "0.94")]  # 4/5 and 16/17


def test_a_full_sweep_reaches_a_tweeter_only_behind_its_high_pass_read_back() -> None:
    page = PAGES["tuning/test-signals/"]
    (row,) = re.findall(r"^\| Tweeter \|.*high-pass.*", page, re.M)
    behind, without = row.split("Without a high-pass:")
    assert re.search(
        "lowest safe frequency, loaded and read back today: 1 kHz, in the guided tune 20 Hz", behind
    )
    assert "its lowest safe frequency" in without
    loss = 0.82**4 / (1 + 0.82**4)
    assert 20 * np.log10(loss) == pytest.approx(-10, abs=0.2)
    assert "10 dB less at 0.82 of the corner" in page
