"""What a customer can have done: hours of work, share of a whole system, what it needs first.

All figures are common practice, no source: one careful shop's experience.
"""

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class Upgrade:
    """One thing to have done.

    short: its title in 16 signs at most, for a phone's bar. least, most: hours of work by one person,
    without what every job costs once. share: typical part of the price of a whole system, 0 to 1, parts
    included. away: how long the vehicle is gone, if this alone is done. needs: names of upgrades that it
    cannot do without. inside: whether its hours lie inside those of what it needs. parts: whether
    anything is bought for it beside work.
    """

    title: str
    short: str
    least: float
    most: float
    share: float
    away: str
    needs: tuple[str, ...] = ()
    inside: bool = False
    parts: bool = True


UPGRADES = {
    "treatment": Upgrade("Quieter, stiffer doors and floor", "quieter doors", 4, 8, 0.14, "1 to 2 days"),
    "front-speakers": Upgrade("Front speakers", "front speakers", 2, 6, 0.115, "1 to 2 days"),
    "amplifier": Upgrade("Amplifier", "amplifier", 3, 7, 0.18, "1 to 2 days"),
    "subwoofer": Upgrade("Subwoofer", "subwoofer", 3, 8, 0.13, "1 to 2 days", ("amplifier",)),
    "processor": Upgrade(
        "Sound processor", "processor", 2, 4, 0.1, "1 to 2 days, with tuning", ("amplifier",)
    ),
    "timing": Upgrade(
        "Timing for one seat",
        "timing",
        0.5,
        0.5,
        0.01,
        "1 day, as part of tuning",
        ("tone",),
        inside=True,
        parts=False,
    ),
    "tone": Upgrade("Tuning: even tone", "even tone", 3, 5, 0.045, "1 day", ("processor",), parts=False),
    "hold-up": Upgrade("No gap at the lights", "no gap", 1, 1.5, 0.02, "half a day", ("processor",)),
    "bass-knob": Upgrade("Bass knob", "bass knob", 0.5, 1, 0.01, "half a day", ("processor",)),
    "two-seats": Upgrade(
        "A second setting for two", "second setting", 1, 1.5, 0.02, "half a day", ("timing",), parts=False
    ),
}

ONCE_WHOLE = (20.0, 22.0)
"""Hours that a whole system costs once, least and most: survey, opening and closing, first power,
checks, handover."""
ONCE_SMALL = (2.0, 5.0)
"""The same hours for one small upgrade, least and most; several together lie in between."""
WHOLE = ("treatment", "front-speakers", "amplifier", "subwoofer", "processor", "tone")
"""What a whole system is made of; timing is part of its tuning, which stands under tone."""

MARKS = (0.05, 0.1, 0.15)
"""Shares of a whole system up to which an upgrade gets one, two, three marks; above, four."""


def marks(share: float) -> int:
    """From 1 to 4: how dear an upgrade is among the others. share: part of a whole system, 0 to 1."""
    return 1 + sum(share > limit for limit in MARKS)


def hours_with_needs(name: str) -> tuple[float, float]:
    """The least and the most hours of an upgrade and of all that it cannot do without.

    What lies inside another's hours is not counted again.
    """
    counted = [each for each in (*needed_first(name), name) if not UPGRADES[each].inside]
    return sum(UPGRADES[each].least for each in counted), sum(UPGRADES[each].most for each in counted)


def needed_first(name: str) -> Iterator[str]:
    """The names of all that an upgrade cannot do without, the first to be done first."""
    for need in UPGRADES[name].needs:
        yield from needed_first(need)
        yield need
