"""Equalisers and gains of several speakers fitted together, to what is heard at several points."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from calculators.physics import sides_alike
from calculators.physics.arrays import ComplexArray, FloatArray, IndexArray
from calculators.physics.filter_limits import STEEP, Beyond, Limits, beyond
from calculators.physics.flattening import TO_LEVELS
from calculators.physics.peaks import equalisers, slopes
from calculators.physics.power_sums import MEETING, Joins, Lost, Meetings, lost_in_joins, meetings
from calculators.physics.sides_alike import Parted
from calculators.physics.speaker_system import PER_BAND, THIRDS, grid, in_bands

PEAK_PRICE = 1e-4
"""Cost for each dB² of a filter's gain, beside the mean square of what is left: boosts need a reason."""
GAIN_PRICE = 1e-3
"""The same for a channel's gain: none is turned down to nothing for hardly a better sum, and a little more or
less of a measured curve moves no gain far."""
TO_LOGS = math.log(10) / 20
SIDE_WEIGHT = 0.2
"""What one side alone counts against all together."""
JOIN_WEIGHT = 0.3
"""What a dB lost where subwoofers meet what plays above counts, beside a dB off the target."""
GRAIN = 1e-4, 1e-4, 1e-4, 1e-4, 1e-5
"""ln Hz, dB and ln Q of a peak, dB of a gain, ms of a delay: after each step every value is a whole number of
these. What is finer nobody hears, but it grows, and other last digits would choose other filters."""
COARSE = 10.0
"""Times these, in a search, where fit follows fit."""
NOT_BETTER, MOST_TURNS = 1e-4, 40
LINES_AT_ONCE = 25


@dataclass(frozen=True, eq=False)
class View:
    """One way of listening: at a seat or at one point of it, to some of the channels.

    heard: number, among a task's. plays: factor, 1 or 0 for each channel. weight: ratio, what it counts, or
    what on each of the third octaves. target: dB on these, shape (27,). scatters: whether it counts by what
    it differs from the mean of all that do.
    """

    heard: int
    plays: FloatArray
    weight: float | FloatArray
    target: FloatArray
    scatters: bool = False


@dataclass(frozen=True, eq=False)
class Task:
    """What is to be fitted.

    heard: `cross_powers` of every channel through its crossover, delay and polarity, ratios, of every seat,
    then of points that count for themselves, each of shape (channels, channels, 216). views: what is
    listened to. pairs: numbers of two views of one target, to be alike from 300 Hz to 16 kHz. paired:
    numbers of the third octaves in which they are compared, or None for all. bands: lowest and highest Hz of
    each channel's filters, shape (channels, 2). groups: of each channel the number of the delay that it
    shares, or -1; reach: s, how far those may move. judged: numbers of the third octaves that levels are
    fitted in, or None for all. joins: numbers of each subwoofer and of what it meets, for what they lose.
    fir: complex ratio, of a filter that stays, and is in what is heard, for what all of a channel's do
    together, shape (channels, 216), or None. highest: dB, to which these may lift, of that shape, or None
    for their limits. steep: ratio, of a dB that they do beyond. held: whether pairs are held together.
    own: ratio, as in `filter_limits.beyond`.
    """

    heard: tuple[ComplexArray, ...]
    views: tuple[View, ...]
    pairs: tuple[tuple[int, int], ...]
    bands: FloatArray
    limits: Limits
    groups: tuple[int, ...] = ()
    reach: float = 0.0
    judged: IndexArray | None = None
    joins: Joins = ()
    fir: ComplexArray | None = None
    highest: FloatArray | None = None
    steep: float = STEEP
    held: bool = False
    paired: IndexArray | None = None
    own: FloatArray | None = None

    @cached_property
    def inside(self) -> IndexArray:
        """Numbers of the third octaves that are judged."""
        return np.arange(THIRDS) if self.judged is None else self.judged

    @cached_property
    def channels(self) -> int:
        """How many."""
        return self.heard[0].shape[0]

    @cached_property
    def delays(self) -> int:
        """How many delays move."""
        return max(self.groups, default=-1) + 1

    @cached_property
    def shares(self) -> FloatArray:
        """Which channel moves with which delay: factor 1 or 0, shape (delays, channels)."""
        groups = np.array(self.groups or (-1,) * self.channels)
        return np.asarray(groups == np.arange(self.delays)[:, np.newaxis], dtype=np.float64)

    @cached_property
    def weights(self) -> FloatArray:
        """What each view counts on the third octaves that are judged, ratio, shape (views, bands)."""
        return np.stack([np.broadcast_to(view.weight, THIRDS)[self.inside] for view in self.views])

    @cached_property
    def counts(self) -> FloatArray:
        """`weights`, so that all squares together are a mean square."""
        total = float(np.sum(np.mean(self.weights**2, axis=1)))
        return self.weights / math.sqrt(total * self.inside.size)

    @cached_property
    def targets(self) -> FloatArray:
        """dB, of each view, shape (views, 27)."""
        return np.stack([view.target for view in self.views])

    @cached_property
    def scattered(self) -> IndexArray:
        """Numbers of the views that count by their scatter."""
        return np.flatnonzero([view.scatters for view in self.views])

    @cached_property
    def played(self) -> ComplexArray:
        """`cross_powers` of each view, ratios, of what it plays, shape (views, channels, channels, 216)."""
        both = [np.multiply.outer(view.plays, view.plays)[:, :, np.newaxis] for view in self.views]
        return np.stack(
            [self.heard[view.heard] * plays for view, plays in zip(self.views, both, strict=True)]
        )

    @cached_property
    def meetings(self) -> Meetings:
        """What joins are made of."""
        return meetings(self.heard, self.joins)

    @cached_property
    def both(self) -> IndexArray:
        """Numbers of the third octaves that are judged and that both sides play."""
        return self.inside if self.paired is None else np.intersect1d(self.paired, self.inside)

    @cached_property
    def side_means(self) -> FloatArray:
        """As `sides_alike.side_means` has it."""
        return sides_alike.side_means(self.both)

    @cached_property
    def notes_within(self) -> FloatArray:
        """As `sides_alike.notes_within` has it."""
        bare = _levels(_power(_pulls(self, np.ones((self.channels, 1), dtype=np.complex128))))
        return sides_alike.notes_within(self.both, self.between_sides(bare))

    def between_sides(self, levels: FloatArray) -> FloatArray:
        """By how much the first view of each pair is over the second, dB, shape (…, pairs, 27).

        levels: as in `off`.
        """
        first, second = np.array(self.pairs, dtype=np.intp).reshape(-1, 2).T
        return np.asarray(levels[..., first, :] - levels[..., second, :])

    def off(self, levels: FloatArray) -> FloatArray:
        """What counts of what views are over their targets, dB: each but for its mean, and pairs apart.

        levels: of the views, or what these grow by, shape (…, views, 27). The last axis becomes one of rows.
        """
        judged = levels[..., self.inside]
        apart = judged - np.mean(judged, axis=-1, keepdims=True)
        if self.scattered.size:
            apart[..., self.scattered, :] -= np.mean(apart[..., self.scattered, :], axis=-2, keepdims=True)
        pairs = sides_alike.PAIR_WEIGHT * (self.between_sides(levels) @ self.side_means)
        rows = (apart * self.counts, pairs)
        return np.concatenate([each.reshape(*levels.shape[:-2], -1) for each in rows], axis=-1)


@dataclass(frozen=True, eq=False)
class Fit:
    """Settings that were found.

    peaks: ln Hz, dB and ln Q of every peak, shape (channels, n, 3). gains: dB. delays: s, those shared.
    cost: a sum of squares of dB: of what is left, of what filters do beyond limits together, and of a price.
    """

    task: Task
    peaks: FloatArray
    gains: FloatArray
    delays: FloatArray
    cost: float = math.inf

    @property
    def left(self) -> list[FloatArray]:
        """What each view is over its target, dB, in the bands judged, but for what these have in common."""
        task = self.task
        through = equalisers(task.limits, self.peaks) * _moved(task, self)
        apart = (_levels(_power(_pulls(task, through))) - task.targets)[:, task.inside]
        return [np.asarray(each - np.mean(each)) for each in apart]


def _moved(task: Task, fit: Fit) -> ComplexArray:
    """What gains and delays do to each channel: complex ratio, shape (channels, 216) or (channels, 1)."""
    raised = (10 ** (fit.gains / 20))[:, np.newaxis].astype(np.complex128)
    if not task.delays:
        return raised
    late = fit.delays @ task.shares
    return np.asarray(raised * np.exp(-2j * math.pi * late[:, np.newaxis] * grid()), dtype=np.complex128)


def _pulls(task: Task, through: ComplexArray) -> ComplexArray:
    """What each channel has of the power of each view: half its slope by the logarithm of the gain.

    Shape (views, channels, 216).
    """
    return np.asarray(np.conj(np.sum(task.played * through, axis=2)) * through, dtype=np.complex128)


def _power(pulls: ComplexArray) -> FloatArray:
    # Both sides by power, and each wholly in step with a middle against them, add up to less than nothing.
    return np.maximum(in_bands(np.sum(pulls.real, axis=1)), 1e-30)


def _levels(power: FloatArray) -> FloatArray:
    return np.asarray(TO_LEVELS * np.log(power), dtype=np.float64)


def _lost(task: Task, through: ComplexArray) -> tuple[float, Lost]:
    """What joins lose, and what its rows count, so that all together count as their mean square."""
    lost = lost_in_joins(task.meetings, through)
    return JOIN_WEIGHT / math.sqrt(max(1, lost.rows.size)), lost


def _grown(pulls: ComplexArray, by_value: ComplexArray) -> FloatArray:
    """What each third octave grows by with values of the channels, shape (channels, n, views, bands).

    pulls: shape (views, channels, places). by_value: slopes of the logarithm of each channel's gain, or of
    every one's, shape (channels or 1, n, places). It is the mean over each third octave of the real part of
    their product, as a product of matrices: real and imaginary parts stand side by side.
    """
    shape = pulls.shape[-1] // PER_BAND, 2 * PER_BAND
    one = np.conj(pulls).view(np.float64).reshape(*pulls.shape[:2], *shape)
    other = by_value.view(np.float64).reshape(*by_value.shape[:2], *shape)
    found = other.transpose(0, 2, 1, 3) @ one.transpose(1, 2, 3, 0)
    return np.asarray(np.moveaxis(found, 1, -1) / PER_BAND, dtype=np.float64)


def _beyond(task: Task, filters: ComplexArray) -> Beyond:
    together = filters if task.fir is None else filters * task.fir
    return beyond(task.limits, together, task.steep, task.highest, task.own)


def beyond_limits(fit: Fit) -> Beyond:
    """What the filters of each channel, in dB, do together beyond their limits. Source: definition."""
    return _beyond(fit.task, equalisers(fit.task.limits, fit.peaks))


def _parted(task: Task, levels: FloatArray) -> Parted:
    over = task.between_sides(levels)
    return sides_alike.parted(over, task.notes_within, task.side_means, task.held)


def cost_of(task: Task, fit: Fit) -> float:
    """Cost of settings, a sum of squares of dB, as in `Fit`. Source: definition."""
    filters = equalisers(task.limits, fit.peaks)
    past = _beyond(task, filters).rows
    return _cost(task, filters * _moved(task, fit)) + float(past @ past) + _price(fit)


def _cost(task: Task, through: ComplexArray) -> float:
    """What levels and joins cost, by what is done to each channel."""
    levels = _levels(_power(_pulls(task, through)))
    left, parted = task.off(levels - task.targets), _parted(task, levels).rows
    scale, lost = _lost(task, through)
    return float(left @ left + parted @ parted + scale**2 * np.sum(lost.rows**2))


def costs_turned(task: Task, fit: Fit, channel: int, turns: ComplexArray) -> FloatArray:
    """Costs, sums of squares of dB, of settings with one channel turned in phase, in each of some ways.

    channel: its number. turns: complex ratios, shape (n, 216). Source: superposition; `cost_of`.
    """
    filters = equalisers(task.limits, fit.peaks)
    through, past = filters * _moved(task, fit), _beyond(task, filters).rows
    costs = []
    for turn in turns:
        turned = through.copy()
        turned[channel] = turned[channel] * turn
        costs.append(_cost(task, turned))
    return np.asarray(costs) + float(past @ past) + _price(fit)


def _price(fit: Fit) -> float:
    return PEAK_PRICE * float(np.sum(fit.peaks[:, :, 1] ** 2)) + GAIN_PRICE * float(np.sum(fit.gains**2))


def residuals(task: Task, fit: Fit) -> tuple[FloatArray, FloatArray]:
    """What is left, dB, rows whose squares add up to the cost without its price, and its slopes.

    Slopes are by the peaks, by the gains (dB) and by the delays (ms), shape (rows, values).
    Source: d|S|² = 2 Re(S* dS), averaged over points and places.
    """
    filters, by_peak = slopes(task.limits, fit.peaks)
    through = filters * _moved(task, fit)
    by_peak = by_peak.reshape(task.channels, -1, by_peak.shape[-1])
    pulls = _pulls(task, through)
    power = _power(pulls)
    scale, lost = _lost(task, through)
    past = _beyond(task, filters)
    levels = _levels(power)
    parted = _parted(task, levels)
    left = [task.off(levels - task.targets), parted.rows, scale * lost.rows.ravel(), past.rows]
    by_channel = np.stack([np.full(THIRDS * PER_BAND, TO_LOGS), -2j * math.pi * 1e-3 * grid()])[np.newaxis]
    by_level = _by_level(task, _by_values(task, pulls, by_peak, by_channel) * (2 * TO_LEVELS / power), parted)
    by_join = scale * _by_values(task, lost.pulls, by_peak[..., MEETING], by_channel[..., MEETING])
    steep = np.zeros((len(by_level), past.rows.size))
    steep[: fit.peaks.size] = past.slopes(by_peak)
    lines = np.concatenate([by_level, by_join.reshape(len(by_join), -1), steep], axis=1)
    return np.concatenate(left), lines.T


def _by_level(task: Task, grown: FloatArray, parted: Parted) -> FloatArray:
    """What rows of levels and of sides grow by where third octaves grow so, shape (…, rows)."""
    return np.concatenate([task.off(grown), parted.slopes(task.between_sides(grown))], axis=-1)


def _by_values(
    task: Task, pulls: ComplexArray, by_peak: ComplexArray, by_channel: ComplexArray
) -> FloatArray:
    """`_grown` by all values in a row: peaks, then gains, then delays."""
    peaks, others = _grown(pulls, by_peak), _grown(pulls, by_channel)
    delays = np.sum(task.shares[:, :, np.newaxis, np.newaxis] * others[:, 1], axis=1)
    return np.concatenate([*peaks, others[:, 0], delays])


def gain_lines(fit: Fit, by_gain: ComplexArray) -> FloatArray:
    """Slopes of `residuals`, dB for each dB, by the gain of more peaks, shape (channels times n, rows).

    by_gain: slopes of the logarithm of each, as in `slopes`, shape (n, 216). Source: as in `residuals`.
    """
    task = fit.task
    filters = equalisers(task.limits, fit.peaks)
    through = filters * _moved(task, fit)
    pulls = _pulls(task, through)
    scale, lost = _lost(task, through)
    power = _power(pulls)
    parted = _parted(task, _levels(power))
    by_level = _by_level(task, _grown(pulls, by_gain[np.newaxis]) * (2 * TO_LEVELS / power), parted)
    by_join = scale * _grown(lost.pulls, by_gain[np.newaxis, :, MEETING])
    count = len(by_gain) * task.channels
    steep = _beyond(task, filters).slopes(np.broadcast_to(by_gain, (task.channels, *by_gain.shape)))
    return np.concatenate([by_level.reshape(count, -1), by_join.reshape(count, -1), steep], axis=1)


def _ends(task: Task, fit: Fit) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest of all values, in the order of `_values`."""
    limits, bands = task.limits, np.log(task.bands)
    shape = fit.peaks.shape[:2]
    low, high = np.empty(fit.peaks.shape), np.empty(fit.peaks.shape)
    low[..., 0], high[..., 0] = (np.broadcast_to(bands[:, [end]], shape) for end in (0, 1))
    low[..., 1], high[..., 1] = -limits.max_cut, limits.max_boost
    low[..., 2], high[..., 2] = math.log(limits.q_low), math.log(limits.q_high)
    gains, delays = np.ones(fit.gains.size), np.full(fit.delays.size, 1e3 * task.reach)
    return (
        np.concatenate([low.ravel(), gains * limits.gain_low, -delays]),
        np.concatenate([high.ravel(), gains * limits.gain_high, delays]),
    )


def values_of(fit: Fit) -> FloatArray:
    """All values of a fit in a row: ln Hz, dB and ln Q of the peaks, gains in dB, delays in ms.

    Source: definition.
    """
    return np.concatenate([fit.peaks.ravel(), fit.gains, fit.delays * 1e3])


def with_values(fit: Fit, values: FloatArray) -> Fit:
    """A fit with other values; its cost is not yet known.

    values: shape as in `values_of`. Source: definition.
    """
    peaks = fit.peaks.size
    return replace(
        fit,
        peaks=values[:peaks].reshape(fit.peaks.shape),
        gains=values[peaks : peaks + fit.gains.size],
        delays=values[peaks + fit.gains.size :] / 1e3,
        cost=math.inf,
    )


def limits_of(fit: Fit) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest that `values_of` may be: ln Hz, dB, ln Q, ms. Source: definition."""
    return _ends(fit.task, fit)


def prices_of(fit: Fit) -> FloatArray:
    """What the square of each of `values_of` costs, a ratio. Source: definition."""
    peaks = np.zeros(fit.peaks.shape)
    peaks[..., 1] = PEAK_PRICE
    return np.concatenate([peaks.ravel(), np.full(fit.gains.size, GAIN_PRICE), np.zeros(fit.delays.size)])


def polished(
    fit: Fit, turns: int = MOST_TURNS, least: float = NOT_BETTER, coarse: bool = False
) -> Generator[None, None, Fit]:
    """Settings moved, all together, to where the cost is least nearby.

    turns: number of steps at most. least: ratio by which one must better the cost. coarse: whether the grains
    that each step ends at (`GRAIN`) are ten times as large, as in a search. Yields after each step.
    Damped Gauss-Newton steps; a value at its limit that would go beyond it is held.
    Source: Levenberg (1944), Marquardt (1963); limits as in `flattening.polished`.
    """
    task = fit.task
    low, high = limits_of(fit)
    prices = prices_of(fit)
    grain = _grains(fit) * (COARSE if coarse else 1.0)
    values, damping = np.clip(_rounded(values_of(fit), grain), low, high), 1e-2
    now = with_values(fit, values)
    left, slope = residuals(task, now)
    cost = float(left @ left + prices @ values**2)
    for _ in range(turns):
        down = -(slope.T @ left + prices * values)
        held = ((values <= low) & (down < 0)) | ((values >= high) & (down > 0))
        free = np.flatnonzero(~held)
        if not free.size:
            break
        bend = crossed(slope.T[free])
        bend[np.diag_indices_from(bend)] += prices[free]
        scale = np.diag(bend) + 1e-6
        bettered = False
        for _ in range(8):
            step = np.linalg.solve(bend + np.diag(damping * scale), down[free])
            tried = values.copy()
            tried[free] += step
            tried = np.clip(_rounded(tried, grain), low, high)
            trial = with_values(fit, tried)
            new = cost_of(task, trial) if np.all(np.isfinite(tried)) else math.inf
            if new < cost:
                bettered = True
                break
            damping *= 5
            yield
        yield
        if not bettered:
            break
        gone = cost - new
        values, now, damping = tried, trial, max(damping / 6, 1e-7)
        left, slope = residuals(task, now)
        cost = new
        if gone < least * cost:
            break
    return replace(now, cost=cost)


def crossed(lines: FloatArray) -> FloatArray:
    """Products of all lines with one another, shape (n, n).

    lines: ratio, shape (n, m). Where no library multiplies matrices, as in a page, it pays that what mirrors
    the rest is not reckoned. Source: definition.
    """
    found = np.empty((len(lines), len(lines)))
    for begin in range(0, len(lines), LINES_AT_ONCE):
        some = slice(begin, begin + LINES_AT_ONCE)
        found[begin:, some] = lines[begin:] @ lines[some].T
        found[some, begin:] = found[begin:, some].T
    return found


def _grains(fit: Fit) -> FloatArray:
    """What each of `values_of` is a whole number of."""
    *peak, gain, delay = GRAIN
    peaks = np.tile(peak, fit.peaks[..., 0].size)
    return np.concatenate([peaks, np.full(fit.gains.size, gain), np.full(fit.delays.size, delay)])


def _rounded(values: FloatArray, grain: FloatArray) -> FloatArray:
    return np.asarray(np.round(values / grain) * grain)


def plain(task: Task, peaks: FloatArray) -> Fit:
    """A fit to begin with: these peaks (as in `Fit`), gains of 0 dB, no delay. Source: definition."""
    return Fit(task, peaks, np.zeros(task.channels), np.zeros(task.delays))
