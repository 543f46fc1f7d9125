"""What the equalisers of a tune have to do: what each seat hears, and what it is to hear."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from calculators.physics import power_sums, speaker_system, tuning_fit
from calculators.physics.arrays import ComplexArray, FloatArray, power_of
from calculators.physics.power_sums import Joins
from calculators.physics.speaker_system import Setting, grid
from calculators.physics.tuning_fit import Task, View
from calculators.vocabulary.tune_levels import own_bands
from calculators.vocabulary.tune_plan import Channel, Plan

NEAR_WEIGHT = 0.5
"""What a point within 30 mm of the fixed one counts beside the wider ones."""
FEWEST_TO_SCATTER = 3
"""Points from which on their scatter is told."""
SCATTER_TO = 2000.0
"""Hz, up to which it counts in full by how much the wider points of one seat differ, beside what their power
is off: a place is off by both. Above, left and right scatter against one another whatever filters do, unless
one of them is mute."""
MEETINGS_TO_COUNT = 2
"""Subwoofers times seats from which on what they lose counts, where they meet what plays above."""
SIDE_AT_TWO = 0.2
"""Times what each side by itself counts for one seat, for two: what keeps them alike does the work there. Of
26 cabins 18 then lie within 0.8 dB at both seats, 14 with all of it."""
MIDDLES_TO = 1.4
"""Times its crossover's frequency, to which the middles of a channel's filters may lie beyond it."""


def task_of(plan: Plan, settings: tuple[Setting, ...], left_out: int | None = None) -> Task:
    """What the equalisers have to do, with crossovers, gains, delays and polarity as they are set.

    ``left_out``: number of a point that is not looked at, to learn how many filters do. The others then count
    by their power alone: in fifty cabins that chose better, and it is quicker.
    """
    through = bare_chains(plan, settings)
    sides = np.array([each.side for each in plan.channels])
    wide = [point for point in plan.wide if point != left_out]
    aims = _aims(plan, through, wide)
    scatter = plan.between and len(plan.gains) == 1 and len(wide) >= FEWEST_TO_SCATTER
    one_by_one = wide if scatter and left_out is None else []
    points, weights = wide, np.ones(len(wide))
    if plan.between:
        near = [point for point in plan.near if point not in plan.wide]
        points, weights = [*wide, *near], np.append(weights, np.full(len(near), NEAR_WEIGHT))
    # Of two seats parts add as they do at the points: by power the demonstration ended 0.1 dB farther off.
    apart, parts = sides if plan.between else None, len(plan.gains) == 1
    heard = [power_sums.cross_powers(seat[points] * through, weights, apart, parts) for seat in plan.gains]
    views, pairs = [], []
    for seat, (target, weight) in enumerate(zip(aims, plan.weights, strict=True)):
        views.append(View(seat, np.ones(sides.size), weight, target))
    if {-1, 1} <= set(sides.tolist()) and (plan.between or len(plan.gains) == 1):
        # Left and right as the sheet compares them, over the wider points of both seats together: what is
        # near for one is far for the other.
        of_seats = [power_sums.cross_powers(seat[wide] * through, np.ones(len(wide))) for seat in plan.gains]
        heard.append(np.asarray(np.mean(of_seats, axis=0)))
        # One side that lacks what the other plays cannot be brought to the target alone.
        weight = tuning_fit.SIDE_WEIGHT * (not plan.one_sided.size)
        target = np.mean(aims, axis=0)
        if len(plan.gains) > 1:
            weight *= SIDE_AT_TWO
        for side in (-1, 1):
            plays = np.where(sides == -side, 0.0, 1.0)
            views.append(View(len(heard) - 1, plays, weight, target))
        pairs.append((len(views) - 2, len(views) - 1))
    for point in one_by_one:
        counts = plan.weights[0] * (speaker_system.band_centres() < SCATTER_TO) / math.sqrt(len(one_by_one))
        views.append(View(len(heard), np.ones(sides.size), counts, plan.targets[0], scatters=True))
        heard.append(power_sums.cross_powers(plan.gains[0][[point]] * through, np.ones(1)))
    low, high = float(grid()[0]), float(grid()[-1])
    highest = [min(high, (each.low_pass or 1e9) * MIDDLES_TO) for each in plan.channels]
    bands = np.column_stack([[max(low, _lowest(each)) for each in plan.channels], highest])
    return Task(
        tuple(heard),
        tuple(views),
        tuple(pairs),
        bands,
        plan.processor.limits,
        judged=plan.played,
        joins=_joins(plan),
        fir=plan.fir,
        highest=np.minimum(
            [each.most_lift(grid()) for each in plan.channels], plan.processor.limits.together[1]
        ),
        held=plan.held,
        paired=plan.paired,
        own=np.array([_own_mean(plan, each) for each in plan.channels]),
    )


def _own_mean(plan: Plan, channel: Channel) -> FloatArray:
    """With what levels on the grid of a tweeter add up to their mean in its own band.

    Zeros for any other. Filters that cut it all over do the work of its gain. The gain then comes up, and
    with it what the crossover takes away: a fit fills a hole under the high-pass so, where filters may not
    lift. The measured points alone are for the finest mean: there it is asked of one in the middle alone.
    """
    shares = np.zeros(speaker_system.THIRDS)
    if channel.kind == "tweeter" and (plan.between or channel.side == 0):
        inside = own_bands(channel)
        shares[inside] = 1 / (inside.size * speaker_system.PER_BAND)
    return np.repeat(shares, speaker_system.PER_BAND)


def _lowest(channel: Channel) -> float:
    """Hz, under which no filter of a channel is put: of a tweeter none where its crossover takes it away."""
    high_pass = channel.high_pass or 0.0
    return max(high_pass if channel.kind == "tweeter" else high_pass / MIDDLES_TO, channel.lowest_safe or 0.0)


def _joins(plan: Plan) -> Joins:
    """Each subwoofer and what plays above it, where what they lose counts.

    A fit else finds level in working one part against another, which costs power and holds at no other place.
    One subwoofer joins one seat well by its delay alone, and would only keep filters from the rest. The
    measured points alone are for the finest mean, whatever it costs.
    """
    meeting = tuple(number for number, each in enumerate(plan.channels) if each.kind != "subwoofer")
    bass = [number for number in range(len(plan.channels)) if number not in meeting]
    if not plan.between or not meeting or len(plan.gains) * len(bass) < MEETINGS_TO_COUNT:
        return ()
    return tuple((number, meeting) for number in bass)


def _aims(plan: Plan, through: ComplexArray, points: Sequence[int]) -> list[FloatArray]:
    """Each seat's target for the power of some points together, dB, shape (27,).

    For the places between them it lies higher where they scatter, so that the levels of single places, and
    not their power, are on the target in the mean: at most places a comb takes more than it gives.
    """
    if not plan.between or len(points) < FEWEST_TO_SCATTER:
        return list(plan.targets)
    aims = []
    for seat, target in zip(plan.gains, plan.targets, strict=True):
        power = power_of(speaker_system.summed(seat[list(points)], through))
        aim = target.copy()
        aim[plan.played] += speaker_system.scatter_lowers(power, plan.played)
        aims.append(aim)
    return aims


def bare_chains(plan: Plan, settings: tuple[Setting, ...]) -> ComplexArray:
    """The processor's channels without their filters."""
    bare = tuple(replace(each, filters=None) for each in settings)
    return speaker_system.chains(bare, grid(), plan.processor.limits.sample_rate)


def task_at(task: Task, plan: Plan, settings: tuple[Setting, ...], points: tuple[int, ...]) -> Task:
    """The same task as some points of each seat hear it together, for themselves alone."""
    through, weights = bare_chains(plan, settings), np.ones(len(points))
    here = tuple(power_sums.cross_powers(seat[list(points)] * through, weights) for seat in plan.gains)
    aims = _aims(plan, through, points)
    views = [each for each in task.views if each.heard < len(here)]
    return replace(
        task, heard=here, views=tuple(replace(each, target=aims[each.heard]) for each in views), pairs=()
    )
