"""The tune in the order a fitter works: delays, joins, levels, equalisers, the processor's own steps."""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from calculators.declaring import Steps, Working, anew, lived
from calculators.physics import (
    begun_anew,
    filters_alike,
    joins,
    tuning_fit,
    tuning_search,
)
from calculators.physics.arrays import FloatArray
from calculators.physics.bass_joins import POLARITY_WINS_BY
from calculators.physics.filter_limits import STEEPEST, Limits
from calculators.physics.speaker_system import Setting
from calculators.physics.tuning_fit import Fit
from calculators.vocabulary import tune_stacked
from calculators.vocabulary.tune_all_pass import best_all_pass
from calculators.vocabulary.tune_bass import ROUNDING, bass_in_steps, bass_joins, from_nothing, in_steps
from calculators.vocabulary.tune_beginnings import channel_filters
from calculators.vocabulary.tune_joins import found_joins, joined, joined_in_steps
from calculators.vocabulary.tune_levels import by_arrival, leveled
from calculators.vocabulary.tune_order import by_part, in_order, put_back
from calculators.vocabulary.tune_plan import Plan, Processor, Tune
from calculators.vocabulary.tune_seats import (
    LEAST_WON,
    SIDES_APART,
    begun_again,
    evened,
    left_at_seats,
    sides_apart,
    strained,
)
from calculators.vocabulary.tune_task import task_at, task_of

COUNTS = (1, 2, 3, 4, 6, 8, 10)
"""Numbers of filters a channel that are tried."""
NO_WORSE = 0.05
"""dB by which points left out may be farther off with fewer filters: the fewer are taken."""
BEGINNINGS, SPREAD = 7, 0.12
"""Times that a fit is begun, and parts of each value's range by which a beginning is drawn off the best."""
ROUGHLY = 30, 3e-4
"""Steps of a beginning, and the ratio by which one must better it, before it is known to be the best."""
IDLE = 0.45
"""dB: a filter that does less is left out."""
ALL_PASS_WORTH = 0.97
"""Times the cost: an all-pass that leaves more is left out."""
ONCE_MORE = 5
"""Times at most that a strained nearest tune is gone through once more: of a hundred sheets of simulated
cabins one wanted as many."""
COUNTS_FINISHED = 3
"""Numbers of filters that are fitted to the end at most, for a join's sake."""
LOOSE, NEAREST_LOOSE = (0.5, 0.5), (0.7, 0.85)
"""Parts of what a join may be off, over which it is brought together: while the filters still follow, and
after them. A nearest fit pays for each step of delay; between the points a join well in step is worth it."""
MOVING = "Moving all filters together"


def chosen_count(
    plan: Plan, settings: tuple[Setting, ...], most: int
) -> Steps[tuple[int, list[tuple[int, float]]]]:
    """Filters a channel: as few as do as well, within 0.05 dB, at points left out of the fit in turn."""
    counts = [count for count in COUNTS if count <= most]
    if len(plan.wide) < 3:
        return min(most, 3), []
    errors = np.zeros((len(counts), len(plan.wide)))
    for fold in range(len(plan.wide)):
        task = task_of(plan, settings, plan.wide[fold])
        check = task_at(task, plan, settings, (plan.wide[fold],))
        share = 0.05 + 0.55 * fold / len(plan.wide)
        ready = yield from channel_filters(task, plan.asked, counts[-1], share)
        for place, count in enumerate(counts):
            work = tuning_fit.polished(tuning_fit.plain(task, ready[count]), 10, 1e-2)
            fit = yield from lived(work, "Trying how many filters", share)
            errors[place, fold] = _error(replace(fit, task=check))
    means = np.round(np.mean(errors, axis=1), 3)
    best = next(n for n in range(len(counts)) if means[n] <= float(np.min(means)) + NO_WORSE)
    return counts[best], [(count, float(mean)) for count, mean in zip(counts, means, strict=True)]


def _error(fit: Fit) -> float:
    """RMS, dB, of all channels together at the task's points, over the seats."""
    seats = left_at_seats(fit)
    return math.sqrt(float(np.mean(seats**2)))


def fitted(
    plan: Plan,
    settings: tuple[Setting, ...],
    count: int,
    starts: int = BEGINNINGS,
    other: tuple[Setting, ...] = (),
) -> Steps[Fit]:
    """All filters and gains moved together from the channels' own, and from beginnings near them.

    ``other``: finished settings of the same channels, to begin with as well. For two seats, and for the
    measured points alone, filters are put elsewhere instead. Between the points of one seat that wins
    nothing: in fifty simulated cabins the nearer fit lay as far off at points left out.
    """
    task = task_of(plan, settings)
    ready = yield from channel_filters(task, plan.asked, count, 0.6)
    # What channels do alone may stand in its own way together: the same places, and nothing done there yet.
    begins = [tuning_fit.plain(task, ready[count]), tuning_fit.plain(task, ready[count] * (1.0, 0.0, 1.0))]
    if other:
        begins.append(_begun_with(begins[0], settings, other))
    fits = []
    for begun in begins:
        fit = yield from lived(tuning_fit.polished(begun, *ROUGHLY, coarse=_nearest(plan)), MOVING, 0.62)
        if _nearest(plan):
            fit = yield from lived(tuning_search.searched(fit, 2 * (starts - 1) // 3), MOVING, 0.65)
        fits.append(fit)
    best = min(fits, key=lambda fit: round(fit.cost, 9))
    if _nearest(plan):
        best = yield from lived(tuning_search.searched(best, starts - 1), MOVING, 0.8)
        return (yield from begun_again(best, starts - 1, 0.85))
    for start in range(1, starts):
        # A peak that does little is put where most is left, and all are shaken, in turn.
        begun = (
            begun_anew.begun_near(best, start, SPREAD)
            if start % 2
            else begun_anew.begun_at_worst(best, start // 2 - 1)
        )
        step = MOVING, 0.62 + 0.3 * start / starts
        fit = yield from lived(tuning_fit.polished(begun, *ROUGHLY), *step)
        if fit.cost < best.cost * (1 - 1e-6):
            best = fit
    return (yield from lived(tuning_fit.polished(best), MOVING, 0.92))


def _nearest(plan: Plan) -> bool:
    """Whether the nearest fit at the points is the best tune: for two seats, and for those points alone."""
    return len(plan.gains) > 1 or not plan.between


def _begun_with(fit: Fit, settings: tuple[Setting, ...], other: tuple[Setting, ...]) -> Fit:
    """A fit with the filters and gains of finished settings, as many filters as it has."""
    peaks = fit.peaks.copy()
    for number, each in enumerate(other):
        own = _filters(each)
        strongest = own[np.argsort(-np.round(np.abs(own[:, 1]), 6), kind="stable")][: peaks.shape[1]]
        peaks[number, : len(strongest)] = _as_fitted(strongest)
        peaks[number, len(strongest) :, 1] = 0.0
    gains = np.array([each.gain - bare.gain for each, bare in zip(other, settings, strict=True)])
    begun = replace(fit, peaks=peaks, gains=gains - np.mean(gains))
    return tuning_fit.with_values(begun, np.clip(tuning_fit.values_of(begun), *tuning_fit.limits_of(begun)))


def all_passed(plan: Plan, bare: tuple[Setting, ...], fit: Fit) -> Steps[tuple[Setting, ...]]:
    """Settings of a fit with all-passes, one a channel at most, as long as another betters what is heard.

    For one seat subwoofers alone may have one: in one side it would pull the image apart.
    """
    free = [
        number
        for number, each in enumerate(plan.channels)
        if each.kind == "subwoofer" or (len(plan.gains) > 1 and each.kind != "tweeter")
    ]
    while free:
        ways = []
        # A fit turns down what takes from the rest, and then nothing that turns it is worth much.
        even = replace(fit, gains=np.zeros_like(fit.gains))
        for number in free:
            ways.append((*best_all_pass(even, number), number))
            yield Working("Looking for all-passes", 0.92)
        _, found, number = min(ways, key=lambda way: (round(way[0], 9), way[2]))
        turned = tuple(replace(each, all_pass=found) if n == number else each for n, each in enumerate(bare))
        work = tuning_fit.polished(replace(even, task=task_of(plan, turned)))
        trial = yield from lived(work, MOVING, 0.93)
        if trial.cost > ALL_PASS_WORTH * fit.cost:
            break
        bare, fit = turned, trial
        free.remove(number)
    return with_fit(bare, fit)


def with_fit(settings: tuple[Setting, ...], fit: Fit) -> tuple[Setting, ...]:
    """Settings with the filters and gains of a fit."""
    rows = []
    for setting, peaks, gain in zip(settings, fit.peaks, fit.gains, strict=True):
        rows.append(replace(setting, gain=setting.gain + float(gain), filters=_as_typed(peaks)))
    return tuple(rows)


def to_steps(plan: Plan, settings: tuple[Setting, ...]) -> tuple[Setting, ...]:
    """Settings as the processor takes them: steps of delay, of gain, of Q, three figures of frequency.

    The loudest channel stays at 0 dB and the others come down to it. A filter under 0.45 dB is left out.
    """
    processor = plan.processor
    settings = from_nothing(settings)
    loudest = max(each.gain for each in settings)
    rows = []
    for each in settings:
        kept = [_filter_in_steps(processor, *one) for one in _filters(each) if abs(one[1]) >= IDLE]
        rows.append(
            replace(
                each,
                gain=in_steps(each.gain - loudest, processor.gain_step),
                delay=in_steps(each.delay, processor.delay_step),
                filters=np.array(sorted(kept)).reshape(-1, 3),
            )
        )
    return tuple(rows)


def _rounded(plan: Plan, settings: tuple[Setting, ...], loose: float) -> Steps[tuple[Setting, ...]]:
    """Settings as they are typed: one filter where it does as two do, whole steps, and joins together."""
    rows = []
    for each in settings:
        work = filters_alike.merged(plan.processor.limits, _as_fitted(_filters(each)))
        rows.append(replace(each, filters=_as_typed((yield from lived(work, ROUNDING, 0.95)))))
    return (yield from joined_in_steps(plan, to_steps(plan, tuple(rows)), loose))


def _filter_in_steps(
    processor: Processor, frequency: float, gain: float, q: float
) -> tuple[float, float, float]:
    limits = processor.limits
    digits = 2 - math.floor(math.log10(frequency))
    low, high = limits.q_low, limits.q_high
    lowest, highest = (math.ceil(low / processor.q_step - 1e-9), math.floor(high / processor.q_step + 1e-9))
    cut, boost = (math.floor(end / processor.gain_step + 1e-9) for end in (limits.max_cut, limits.max_boost))
    step = min(max(round(gain / processor.gain_step), -cut), boost)
    # Where no step of Q lies within its limits, the highest is taken, as `flatten` does.
    nearest = min(max(round(q / processor.q_step), lowest), highest) * processor.q_step
    return (
        round(frequency, digits),
        round(step * processor.gain_step, 6),
        round(nearest if lowest <= highest else high, 6),
    )


def gains_polished(plan: Plan, settings: tuple[Setting, ...]) -> Steps[tuple[Setting, ...]]:
    """Gains of channels and filters moved by a step as long as that betters what is heard."""
    task = replace(task_of(plan, settings), steep=STEEPEST)
    most = max(len(_filters(each)) for each in settings)
    processor = plan.processor
    peaks = np.zeros((len(settings), most, 3))
    peaks[..., 0] = math.log(1000.0)
    for number, each in enumerate(settings):
        own = _filters(each)
        peaks[number, : len(own)] = _as_fitted(own)
    fit = tuning_fit.plain(task, peaks)
    cost = tuning_fit.cost_of(task, fit)
    for number, each in enumerate(settings):
        for place in range(-1, len(_filters(each))):
            for way in (-1, 1):
                tried = _nudged(fit, number, place, way * processor.gain_step, each.gain, processor.limits)
                new = math.inf if tried is None else tuning_fit.cost_of(task, tried)
                if tried is not None and new < cost - 1e-9:
                    fit, cost = tried, new
            yield Working(ROUNDING, 0.95 + 0.05 * number / len(settings))
    fit, rows = (yield from _within(plan, fit)), []
    for number, each in enumerate(settings):
        filters = _filters(each).copy()
        filters[:, 1] = np.round(fit.peaks[number, : len(filters), 1], 6)
        gain = round(each.gain + float(fit.gains[number]), 6) + 0.0
        rows.append(replace(each, gain=gain, filters=filters[filters[:, 1] != 0]))
    return tuple(rows)


def _within(plan: Plan, fit: Fit) -> Steps[Fit]:
    """A fit whose filters do together no more than they may: gains taken back by steps, the cheapest first.

    The cost keeps them there; this is for what rounding adds, and for tones between the places of the grid.
    """
    step = plan.processor.gain_step
    while True:
        past = _past(plan, fit)
        ways = []
        for number in np.flatnonzero(np.abs(past) > tune_stacked.ROUNDED_BEYOND):
            way = np.sign(past[number])
            for place in np.flatnonzero(way * fit.peaks[number, :, 1] > 0):
                peaks = fit.peaks.copy()
                peaks[number, place, 1] = way * max(round(abs(peaks[number, place, 1]) - step, 6), 0.0)
                tried = replace(fit, peaks=peaks)
                ways.append((round(tuning_fit.cost_of(fit.task, tried), 9), tried))
            yield Working(ROUNDING, 1.0)
        if not ways:
            return fit
        fit = min(ways, key=lambda each: each[0])[1]


def _past(plan: Plan, fit: Fit) -> FloatArray:
    """dB by which each channel's filters together pass what they may where they do most, below 0 in cuts."""
    past = tuning_fit.beyond_limits(fit).level
    found = past[np.arange(len(past)), np.argmax(np.round(np.abs(past), 6), axis=1)]
    bare = [Setting(filters=_as_typed(peaks)) for peaks in fit.peaks]
    for number, tones in enumerate(tune_stacked.tones(plan, bare)):
        over = float(np.max(tones.level - plan.channels[number].most_lift(tones.frequency)))
        if over > max(abs(found[number]), tune_stacked.ROUNDED_BEYOND):
            found[number] = over
    return np.asarray(found, dtype=np.float64)


def _nudged(fit: Fit, number: int, place: int, by: float, gain: float, limits: Limits) -> Fit | None:
    """A fit with one gain moved: the channel's own for place -1; None where a limit would be broken."""
    peaks, gains = fit.peaks.copy(), fit.gains.copy()
    if place < 0:
        gains[number] += by
        return replace(fit, gains=gains) if gain + gains[number] <= 1e-9 else None
    peaks[number, place, 1] += by
    inside = -limits.max_cut - 1e-9 <= peaks[number, place, 1] <= limits.max_boost + 1e-9
    return replace(fit, peaks=peaks) if inside else None


def _as_fitted(filters: FloatArray) -> FloatArray:
    """Filters in Hz, dB and Q as `tuning_fit.Fit` has them."""
    return np.column_stack([np.log(filters[:, 0]), filters[:, 1], np.log(filters[:, 2])])


def _as_typed(peaks: FloatArray) -> FloatArray:
    """Peaks of a channel, as `tuning_fit.Fit` has them, in Hz, dB and Q."""
    return np.column_stack([np.exp(peaks[:, 0]), peaks[:, 1], np.exp(peaks[:, 2])])


def _filters(setting: Setting) -> FloatArray:
    return np.empty((0, 3)) if setting.filters is None else setting.filters


def tuned(
    plan: Plan, count: int | None = None, starts: int = BEGINNINGS, other: tuple[Setting, ...] = ()
) -> Steps[Tune]:
    """The whole tune.

    ``count`` is how many filters a channel; None: as points left out can tell apart, but the next best number
    where filters so many turn a join out of step. ``other``: finished settings of the same channels, for more
    seats perhaps, to begin the fit with as well. The order of the channels decides nothing.
    """
    order = by_part(plan.channels)
    begun = tuple(other[number] for number in order) if other else ()
    tune = yield from _sought(in_order(plan, order), count, starts, begun)
    return put_back(tune, order)


def _sought(plan: Plan, count: int | None, starts: int, other: tuple[Setting, ...]) -> Steps[Tune]:
    settings = yield from joined(plan, leveled(plan, by_arrival(plan)), 0.02)
    left_out: list[tuple[int, float]] = []
    if count is None:
        count, left_out = yield from chosen_count(plan, settings, plan.processor.filters)
    rest = sorted((row for row in left_out if row[0] != count), key=lambda row: row[1])
    tunes: list[Tune] = []
    for number in [count, *(number for number, _ in rest)][:COUNTS_FINISHED]:
        work = _finished(plan, settings, number, starts, other)
        tune = yield from (anew(work, "With another number of filters") if tunes else work)
        if starts > 1 and _nearest(plan):
            tune = yield from _nearer(plan, tune, starts, other)
        if (sides_apart(tune) or 0.0) > SIDES_APART:
            work = _finished(replace(plan, held=True), settings, number, starts, other)
            again = yield from anew(work, "Once more, left and right held together")
            tune = _better_of(tune, again, lambda each: sides_apart(each) or 0.0)
        tunes.append(replace(tune, left_out=tuple(left_out)))
        if _strain(tunes[-1]) <= 1:
            break
    return min(tunes, key=lambda tune: round(_strain(tune), 6))


def _nearer(plan: Plan, tune: Tune, starts: int, other: tuple[Setting, ...]) -> Steps[Tune]:
    """A strained tune, or the best of those it is gone through to from where the last one ended.

    Its joins are set by then, and what fits them may lie elsewhere. Twice in a row for nothing is enough.
    """
    ended, idle = tune, 0
    for time in range(ONCE_MORE):
        if idle == 2 or not strained(tune.seats_off):
            break
        bare = tuple(replace(each, filters=None) for each in ended.settings)
        work = _finished(plan, bare, tune.count, starts, other)
        ended = yield from anew(work, f"Once more from where it ended, {time + 1} of {ONCE_MORE} at most")
        better = _better_of(tune, ended, lambda each: float(np.max(each.seats_off)))
        won = float(np.max(tune.seats_off)) - float(np.max(better.seats_off))
        tune, idle = better, 0 if won >= LEAST_WON else idle + 1
    return tune


def _better_of(tune: Tune, again: Tune, off: Callable[[Tune], float]) -> Tune:
    """The one that is off by less, but the first where the other brings a join out of step.

    Nor is it paid for with the bass: where a subwoofer joins so much worse that its other polarity would be
    taken the first stays, and of two as near, within 0.01 dB, one that joins so much better is taken.
    """
    bass_won = _bass_level(again) - _bass_level(tune)
    if _strain(again) > max(1.0, _strain(tune)) or bass_won < -POLARITY_WINS_BY:
        return tune
    as_near = LEAST_WON if bass_won > POLARITY_WINS_BY else 0.0
    return again if round(off(again) - off(tune) - as_near, 6) < 0 else tune


def _strain(tune: Tune) -> float:
    """That of its worst join."""
    strains = [joins.strain(each.best - each.found.loss, each.found.phase) for each in tune.joins]
    return float(max(strains, default=0.0))


def _finished(
    plan: Plan, bare: tuple[Setting, ...], count: int, starts: int, other: tuple[Setting, ...]
) -> Steps[Tune]:
    """The tune with so many filters a channel, in the processor's steps."""
    fit = yield from fitted(plan, bare, count, starts, other)
    seats_even = len(plan.gains) > 1 and len(set(plan.weights)) == 1
    if seats_even:
        plan, fit = yield from evened(plan, bare, fit)
    if plan.processor.all_passes:
        settings = yield from all_passed(plan, bare, fit)
    else:
        settings = with_fit(bare, fit)
    # Filters turn phase: the joins are looked at once more, and the fit follows. Polarity was chosen by what
    # was measured: chosen again by filters, a file's last decimals could turn a subwoofer.
    again = yield from joined(replace(plan, turn_bass=False), settings, 0.93)
    if _moved(again, settings):
        bare, fit = yield from _refitted(plan, again, 0.93, starts - 1)
        if seats_even:
            plan, fit = yield from evened(plan, bare, fit)
        settings = with_fit(bare, fit)
    # Filters follow the delays that the processor has, for the finest of a fit hangs on them.
    loose, looser = NEAREST_LOOSE if _nearest(plan) else LOOSE
    placed = yield from _rounded(plan, settings, loose)
    delayed = tuple(replace(one, delay=other.delay) for one, other in zip(settings, placed, strict=True))
    settings = with_fit(*(yield from _refitted(plan, delayed, 0.94)))
    stepped = yield from _rounded(plan, settings, looser)
    nearer = yield from bass_in_steps(plan, stepped)
    if _moved(nearer, stepped):
        moved = tuple(replace(one, delay=other.delay) for one, other in zip(settings, nearer, strict=True))
        refitted = with_fit(*(yield from _refitted(plan, moved, 0.95)))
        followed = yield from _rounded(plan, refitted, looser)
        if _betters(plan, followed, stepped):
            stepped = followed
    typed = yield from gains_polished(plan, stepped)
    return Tune(plan, typed, found_joins(plan, typed), count, ())


def _betters(plan: Plan, new: tuple[Setting, ...], old: tuple[Setting, ...]) -> bool:
    """Whether subwoofers brought back join better at their worst, and nothing else pays for it.

    Filters that follow may turn them away again, and farther; or leave more of the rest.
    """
    after, before = (Tune(plan, each, (), 0, ()) for each in (new, old))
    off, off_before = (np.round(each.seats_off, 6) for each in (after, before))
    most = max(plan.processor.longest_delay, max(each.delay for each in old))
    in_time = max(each.delay for each in new) <= most + 1e-12
    nearer = bool(np.all(off <= off_before + NO_WORSE))
    return _bass_level(after) > _bass_level(before) and in_time and nearer


def _bass_level(tune: Tune) -> float:
    """Of the subwoofer that joins worst, dB over all channels in step: 0 or less."""
    return round(min((join.loss(0.0) for _, join in bass_joins(tune)), default=0.0), 6)


def _refitted(
    plan: Plan, settings: tuple[Setting, ...], share: float, tries: int = 0
) -> Steps[tuple[tuple[Setting, ...], Fit]]:
    """Filters and gains of settings moved together once more, and filters put elsewhere as in `fitted`.

    With no ``tries`` it is the end, where filters are held to what they may do together. Gives the settings
    without filters, and the fit.
    """
    bare = tuple(replace(each, filters=None) for each in settings)
    peaks = np.stack([_as_fitted(_filters(each)) for each in settings])
    task = task_of(plan, bare) if tries else replace(task_of(plan, bare), steep=STEEPEST)
    begun = tuning_fit.plain(task, peaks)
    if not _nearest(plan):
        return bare, (yield from lived(tuning_fit.polished(begun, 25), MOVING, share))
    fit = yield from lived(tuning_search.searched(begun, tries), MOVING, share)
    return bare, (yield from begun_again(fit, tries, share))


def _moved(after: tuple[Setting, ...], before: tuple[Setting, ...]) -> bool:
    """Whether any channel's delay or polarity is another."""
    return any(abs(a.delay - b.delay) > 1e-6 or a.sign != b.sign for a, b in zip(after, before, strict=True))
