"""Delays of a tune where parts of one side meet: refined for left and right together."""

import math
from dataclasses import replace

import numpy as np

from calculators.declaring import Steps, Working
from calculators.physics import joins, speaker_system
from calculators.physics.arrays import ComplexArray
from calculators.physics.speaker_system import Setting, grid
from calculators.vocabulary.tune_bass import JOINING, ROUNDING, bass_joined, from_nothing, in_steps
from calculators.vocabulary.tune_plan import Channel, Joined, Plan, meetings

PAIR_TOGETHER = 0.05e-3
"""s by which left and right of a pair may arrive apart before it is told: the limit of time alignment. Common
practice, no source."""
PLACED_BY_TIME = 1500.0
"""Hz under which a sound is placed by what comes first (duplex theory: Rayleigh, 1907, from memory). A pair
that joins there stays together whatever its joins lose by it."""
KEEPS_STEP = 0.7
"""Part of what joins may be off, up to which a pair that joins higher stays together too."""
ANSWERS = 1 / 3
"""Octaves by which two joins may lie apart, of which one answers the other on the other side."""

type Meeting = tuple[int, int, float]
"""Numbers of the low and the high channel, and Hz."""


def sides_joined(channels: tuple[Channel, ...]) -> list[tuple[Meeting, ...]]:
    """From the lowest up: joins of left and right that answer each other, and each that has no answer.

    A part in the middle answers itself: its joins with left and right.

    Of several that could answer, the nearest by frequency, then the first to arrive: of front and rear the
    front, in whatever order they were typed.
    """
    waiting = sorted(meetings(channels), key=lambda each: (each[2], sum(channels[each[1]].arrival)))
    found: list[tuple[Meeting, ...]] = []
    while waiting:
        one = waiting.pop(0)
        answers = [each for each in waiting if _answers(channels, one, each)]
        answer = min(answers, key=lambda each: round(abs(math.log2(each[2] / one[2])), 6), default=None)
        if answer:
            waiting.remove(answer)
        found.append((one, answer) if answer else (one,))
    return found


def _answers(channels: tuple[Channel, ...], one: Meeting, other: Meeting) -> bool:
    """Whether the same kinds meet on the other side, at about the same frequency."""
    near = abs(math.log2(one[2] / other[2])) < ANSWERS
    return near and all(
        a == b or (channels[a].kind == channels[b].kind and channels[a].side == -channels[b].side != 0)
        for a, b in zip(one[:2], other[:2], strict=True)
    )


def join_of(plan: Plan, through: ComplexArray, low: int, high: int, frequency: float) -> joins.Join:
    """Two channels as they meet at the driver's near points."""
    inside = joins.octave_about(grid(), frequency)
    near = plan.gains[0][list(plan.near)][:, :, inside]
    return joins.Join(
        grid()[inside], near[:, low] * through[low, inside], near[:, high] * through[high, inside]
    )


def joined(plan: Plan, settings: tuple[Setting, ...], share: float) -> Steps[tuple[Setting, ...]]:
    """Delays refined where parts meet: what plays higher moves, polarity stays; subwoofers come last."""
    now = settings
    # From the lowest join up: what is moved takes along what it meets above.
    for meets in sides_joined(plan.channels):
        now = _brought_together(plan, now, meets, None, 0.0)
        yield Working(JOINING, share)
    return (yield from bass_joined(plan, now, share))


def joined_in_steps(plan: Plan, settings: tuple[Setting, ...], loose: float) -> Steps[tuple[Setting, ...]]:
    """Joins that have come apart brought together by whole steps of the processor's delay; bass stays.

    ``loose``: part of what a join may be off, up to which it stays: moved, it fits its filters no longer.
    """
    now, step = settings, plan.processor.delay_step
    for meets in sides_joined(plan.channels):
        now = _brought_together(plan, now, meets, step, loose)
        yield Working(ROUNDING, 0.95)
    in_whole = (replace(each, delay=in_steps(each.delay, step)) for each in now)
    return from_nothing(tuple(in_whole))


def _brought_together(
    plan: Plan, settings: tuple[Setting, ...], meets: tuple[Meeting, ...], step: float | None, loose: float
) -> tuple[Setting, ...]:
    """The settings with the high part of each of these joins moved, and what it meets above as much.

    ``step``: s, of which a move is a whole number, or None. Joins off by no more than ``loose`` stay.
    """
    through = speaker_system.chains(settings, grid(), plan.processor.limits.sample_rate)
    tried = [joins.within_half_a_cycle(join_of(plan, through, *each), each[2], step) for each in meets]
    stay = [each.stands <= loose for each in tried]
    if all(stay):
        return settings
    moves = [0.0 if stays else each.best for stays, each in zip(stay, tried, strict=True)]
    highs = [high for _, high, _ in meets]
    if len(meets) > 1:
        late = _late(plan, settings, *highs)
        # Not yet in steps, it leaves room for them.
        most = PAIR_TOGETHER if step else max(0.0, PAIR_TOGETHER - plan.processor.delay_step)
        one_part = highs[0] == highs[1]
        if one_part:  # It has one delay, but for what the places looked at lie apart.
            most = float(np.diff(tried[0].delays[:2])[0]) / 2
        kept, off = joins.best_together(tried[0], tried[1], late, most)
        if one_part or off <= KEEPS_STEP or meets[0][2] < PLACED_BY_TIME:
            moves = kept
    now = list(settings)
    for high, move in dict(zip(highs, moves, strict=True)).items():
        for number in _with_above(plan.channels, high):
            now[number] = replace(now[number], delay=now[number].delay - move)
    return tuple(now)


def _late(plan: Plan, settings: tuple[Setting, ...], one: int, other: int) -> float:
    """s by which the direct sound of the other channel comes after that of the one."""
    arrives = plan.mean_arrivals()
    return arrives[other] + settings[other].delay - arrives[one] - settings[one].delay


def _with_above(channels: tuple[Channel, ...], number: int) -> set[int]:
    """The channel, and all of its side that it meets above, or that those meet."""
    found = {number}
    for low, high, _ in sorted(meetings(channels), key=lambda each: each[2]):
        if low in found:
            found.add(high)
    return found


def found_joins(plan: Plan, settings: tuple[Setting, ...]) -> tuple[Joined, ...]:
    """How each join stands, beside the best that its delay alone could reach."""
    through = speaker_system.chains(settings, grid(), plan.processor.limits.sample_rate)
    rows = []
    for low, high, frequency in meetings(plan.channels):
        join = join_of(plan, through, low, high, frequency)
        stands = joins.Found(0.0, 1.0, join.loss(0.0), join.phase(0.0))
        rows.append(Joined(low, high, frequency, stands, joins.least_loss(join, frequency)))
    return tuple(rows)
