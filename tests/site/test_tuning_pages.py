"""What the tuning pages order, in which order, and whether their limits can be met."""

import re

import numpy as np
import pytest

from calculators.physics import filters, levels
from tests.site.test_electrics_pages import place, section, steps
from tests.site.test_pages import sources

PAGES = sources()
CROSSOVERS = PAGES["stages/tuning/crossovers/"]
PASSIVE = PAGES["stages/design/passive-crossovers/"]


def one_line(markdown: str) -> str:
    return " ".join(markdown.replace("*", "").split())


def notch(family: filters.Family, order: int) -> float:
    """dB between the fuller and the thinner sum of two filters at their corner."""
    low, high = (
        filters.response(filters.crossover_filter(side, family, order, 80.0), np.array([80.0]))
        for side in ("low-pass", "high-pass")
    )
    return float(abs(levels.level(low + high) - levels.level(low - high))[0])


def test_the_join_check_can_be_passed_by_every_family_it_is_asked_of() -> None:
    """Bessel 24 dB/oct has 4.5 dB between its polarities: no tuning makes them 10."""
    loose = [6 * order for order in range(1, 9) if notch("bessel", order) < 10]
    assert loose == [6, 24, 30, 36]
    words = "Bessel of 6, 24, 30 and 36 dB/oct"
    assert words in one_line(section(CROSSOVERS, "Accept when"))
    assert words in one_line(section(CROSSOVERS, "Steps"))
    assert all(notch("butterworth", order) < 0.01 for order in (1, 3, 5, 7))
    assert all(notch("butterworth", order) > 40 for order in (2, 4, 6, 8))
    assert notch("bessel", 2) > 10 > notch("bessel", 4)
    assert "Bessel of order 4 excepted" in one_line(section(PASSIVE, "Accept when"))


@pytest.mark.parametrize(
    ("page", "own"),
    [(CROSSOVERS, "turned over from the polarity of step 8"), (PASSIVE, "With the polarity of the family")],
)
def test_a_join_is_proven_against_its_own_polarity(page: str, own: str) -> None:
    """Where the table says "high reversed", the high as wired makes the notch."""
    accepted = one_line(section(page, "Accept when"))
    assert own in accepted
    assert not re.search(r"with the (high|tweeter) reversed", accepted, re.IGNORECASE)


def test_at_a_subwoofers_join_the_subwoofer_is_turned() -> None:
    lines = steps(CROSSOVERS)
    check = lines[place(lines, "join check, with delays and levels set")]
    assert "the subwoofer at the subwoofer's join and never a door" in check
    assert "Reverse the high" not in check


def test_a_delay_is_never_shifted_to_fill_a_notch() -> None:
    text = one_line(section(CROSSOVERS, "Steps"))
    assert "or the delay by half a cycle" not in text
    assert "measured again, never shifted by ear or by the sum" in text
    passive = one_line(section(PASSIVE, "Steps"))
    assert "Keep the polarity that fills" not in passive
    assert "If neither does, the distances differ" in passive
    assert "on the axis you listen on" in passive


def test_a_tweeter_is_looked_at_from_its_danger_line_up() -> None:
    """Half an octave under 3 kHz is 2121 Hz, below a danger line of 2200 Hz."""
    for text in (
        *steps(CROSSOVERS),
        *re.findall(r"^- (.*(?:\n  .*)*)", section(CROSSOVERS, "Accept when"), re.M),
    ):
        if "half an octave" in text or "Sweep each driver" in text:
            assert "danger line" in text, text


def test_a_join_is_reversed_in_the_processor_after_the_wiring_is_proven() -> None:
    lines = steps(CROSSOVERS)
    text = lines[place(lines, "set the polarity that the family and slope ask for")]
    assert "in the processor, after the wiring is proven positive" in text
    assert "job sheet" in text
    identity = one_line(PAGES["stages/commissioning/channel-identity/"])
    assert "the reversal that a join asks for" in identity
