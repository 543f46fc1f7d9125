"""What a finished sheet breaks of the limits of its page."""

from collections.abc import Sequence

import numpy as np

from calculators.declaring import Advice
from calculators.physics.filter_limits import Limits
from calculators.physics.sides_alike import NOTES_FROM_TO
from calculators.physics.speaker_system import in_band
from calculators.vocabulary.tune_levels import levels_in_band
from calculators.vocabulary.tune_plan import Plan, Tune
from calculators.vocabulary.tune_seats import SIDES_APART
from calculators.vocabulary.tune_sheet import SeatFound, nominal

SIDES_UNLIKE = 3.0
"""dB by which left and right may end apart in a broad band; more is a danger. Common practice, no source."""
JOIN_LOSES = 1.0
"""dB that a join of tweeter and woofer loses whatever its delay, from which on it is told. Our own rule."""
LARGEST_TRIM = 12.0
"""dB that a channel is under the loudest, from which on it is told. The limit of the page on levels: common
practice, no source."""
THIRD_APART, PARTED_BY = 3.0, 1.0
"""dB in a third octave from which on it is told, where filters add so much to it. Our own rule."""
LITTLE_CUT = 3.0
"""dB: where a filter may cut less, most of what is off stays, and that is told. Our own rule."""


def limit_advice(found: Tune, expected: Sequence[SeatFound]) -> tuple[Advice, ...]:
    """What is told of each limit that is broken."""
    plan = found.plan
    little = little_allowed(plan.processor.limits)
    notes = _sides_apart(max((row.apart or 0.0 for row in expected), default=0.0), bool(little))
    names = [each.name for each in plan.channels]
    lossy = [
        f"{names[each.high]} and {names[each.low]} {-each.best:.1f} dB"
        for each in found.joins
        if round(each.best, 2) < -JOIN_LOSES
    ]
    if lossy:
        notes.append(
            Advice(
                "channels",
                f"Loses more than {JOIN_LOSES:g} dB where they meet, whatever the delay: {'; '.join(lossy)}. "
                "Try another crossover, and measure again.",
            )
        )
    levels = levels_in_band(plan, found.settings)
    soft = [
        f"{name} by {max(levels) - level:.1f} dB"
        for name, level in zip(names, levels, strict=True)
        if round(max(levels) - level, 2) > LARGEST_TRIM
    ]
    if soft:
        notes.append(
            Advice(
                "channels",
                f"Trimmed by more than {LARGEST_TRIM:g} dB, gain and filters in its own band together: "
                f"{'; '.join(soft)}. Look for a gain set wrong, or "
                "a measurement at another volume.",
            )
        )
    return tuple(notes + unlike_sides(plan) + little)


def unlike_sides(plan: Plan) -> list[Advice]:
    """That left is not held against right where one side plays alone."""
    alone = plan.one_sided
    if not alone.size or not {-1, 1} <= {each.side for each in plan.channels}:
        return []
    return [
        Advice(
            "channels",
            f"From {nominal(alone[0]):g} to {nominal(alone[-1]):g} Hz there are octaves that one side plays "
            "and the other does not: left against right is not looked at there. If a speaker is dead or not "
            "typed, mend that and measure again.",
        )
    ]


def _sides_apart(apart: float, little: bool) -> list[Advice]:
    """That left and right end so far apart, dB, in a broad band; ``little``: filters may cut but little."""
    if apart > SIDES_UNLIKE:
        first = "Allow a deeper cut first. If it stays, look" if little else "Look"
        text = (
            f"Left and right end more than {SIDES_UNLIKE:.0f} dB apart in a broad band: one side carries "
            f"there what both should. {first} for a speaker that is dead, covered or at another volume, and "
            "measure again."
        )
        return [Advice("channels", text, danger=True)]
    if round(apart, 2) > SIDES_APART:
        text = (
            f"Left and right end {apart:.1f} dB apart in a broad band, and the limit is {SIDES_APART:g} dB. "
            "Look at the two speakers there, and hear where a voice stands before this is kept."
        )
        return [Advice("channels", text)]
    return []


def thirds_apart(before: Tune, found: Tune) -> tuple[Advice, ...]:
    """Where filters part left from right, by third octaves: the level of both is bought with one side there.

    ``before``: without filters.
    """
    over, bare = found.left_over_right, before.left_over_right
    if over is None or bare is None:
        return ()
    inside = np.intersect1d(in_band(*NOTES_FROM_TO), found.plan.paired)
    apart, as_found = np.round(np.abs(over[inside]), 6), np.round(np.abs(bare[inside]), 6)
    parted = np.flatnonzero((apart > THIRD_APART) & (apart > as_found + PARTED_BY))
    if not parted.size:
        return ()
    worst = parted[int(np.argmax(apart[parted]))]
    others = (
        f", and in {parted.size - 1} more third octave{'s' * (parted.size > 2)}" if parted.size > 1 else ""
    )
    return (
        Advice(
            "filters",
            f"Filters part left from right by {apart[worst]:.1f} dB at {nominal(inside[worst]):g} Hz, where "
            f"{as_found[worst]:.1f} dB were without{others}. Hear mono speech and single notes: if the voice "
            "moves at one, type the hand's limits (most lift 3, most cut 3, highest Q 2) and make the sheet "
            "again.",
        ),
    )


def little_allowed(limits: Limits) -> list[Advice]:
    """That a filter may cut so little that the equaliser can hardly do anything."""
    if limits.max_cut >= LITTLE_CUT:
        return []
    return [
        Advice(
            "max_cut",
            f"A filter may cut {limits.max_cut:g} dB at most: that leaves the equaliser little to do. What "
            "stays off below may be no more than that.",
        )
    ]
