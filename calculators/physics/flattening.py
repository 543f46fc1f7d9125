"""Equaliser filters found for a curve: few, within a processor's limits, broad ones first."""

from __future__ import annotations

import math
from collections.abc import Generator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from calculators.physics.arrays import FloatArray, IndexArray
from calculators.physics.biquads import FLATTEST_Q, FilterKind, biquad
from calculators.physics.filters import Sections, cascade

FITTED_KINDS: tuple[FilterKind, ...] = ("peak", "low-shelf", "high-shelf")
PRICE = 1e-4
"""Cost for each dB² of a filter's gain, beside the mean square of what is left: idle filters go to 0 dB."""
TO_LEVELS = 10 / math.log(10)
STEPS_AT_ONCE = 5
"""Steps between two signs of life."""
CANDIDATE_OCTAVE = 1 / 6
CANDIDATE_Q = (0.5, 0.8, 1.3, 2.0, 3.2, 5.0, 8.0)


def warped(log_frequency: FloatArray, sample_rate: float | None) -> tuple[FloatArray, FloatArray]:
    """Place of a frequency on the scale of the bilinear transform, ln of a ratio, and its slope, a ratio.

    log_frequency: ln Hz. sample_rate: Hz, or None for an analogue filter, whose scale is ln Hz itself.
    Source: bilinear transform, tangent of half the angle.
    """
    if sample_rate is None:
        return log_frequency, np.ones_like(log_frequency)
    turn = np.exp(log_frequency) * (math.pi / sample_rate)
    return np.log(np.tan(turn)), 2 * turn / np.sin(2 * turn)


@dataclass(frozen=True, eq=False)
class Task:
    """What is asked: levels (dB) wanted at places of a grid, their weights, and the limits of a filter.

    frequency: Hz, rising, shape (m,). wanted: dB, shape (m,): what the filters should do, up to one level
    common to all. weight: 0 or more, shape (m,), not all 0.
    q_low, q_high: Q of a peak. max_boost, max_cut: dB, 0 or more, of a filter.
    shelves: how many low and high shelves there may be, a number each. shelf_q: lowest and highest Q of them.
    sample_rate: Hz, or None for analogue filters.
    """

    frequency: FloatArray
    wanted: FloatArray
    weight: FloatArray
    q_low: float = 0.5
    q_high: float = 8.0
    max_boost: float = 6.0
    max_cut: float = 12.0
    shelves: tuple[int, int] = (1, 1)
    shelf_q: tuple[float, float] = (0.5, 1.0)
    sample_rate: float | None = 48000.0

    @cached_property
    def share(self) -> FloatArray:
        """Weights whose sum is 1."""
        return np.asarray(self.weight / np.sum(self.weight), dtype=np.float64)

    @cached_property
    def place(self) -> FloatArray:
        """Logarithms of the places on the scale on which a filter keeps its shape."""
        return warped(np.log(self.frequency), self.sample_rate)[0]

    @cached_property
    def squared(self) -> FloatArray:
        """Squares of the places on that scale: over a filter's own, the y of its shape."""
        return np.asarray(np.exp(2 * self.place), dtype=np.float64)

    @cached_property
    def goal(self) -> FloatArray:
        """What is wanted, less its mean."""
        return np.asarray(self.wanted - self.share @ self.wanted, dtype=np.float64)

    @cached_property
    def limits(self) -> tuple[FloatArray, FloatArray]:
        """Lowest and highest of ln f, gain and ln Q, shape (3, 3): a line for each kind."""
        ends = np.log(self.frequency[[0, -1]])
        qs = (self.q_low, self.q_high), self.shelf_q, self.shelf_q
        low = [[ends[0], -self.max_cut, math.log(q[0])] for q in qs]
        high = [[ends[1], self.max_boost, math.log(q[1])] for q in qs]
        return np.array(low), np.array(high)

    @cached_property
    def candidates(self) -> Candidates:
        """Filters that are tried first, with their shapes."""
        return _candidates(self)


@dataclass(frozen=True, eq=False)
class Candidates:
    """Filters to begin with.

    kinds: number of each in `FITTED_KINDS`. values: as in `Found`, of 1 dB of gain. shapes: dB, their levels,
    shape (n, m). square: dB, mean square of each and the price.
    """

    kinds: IndexArray
    values: FloatArray
    shapes: FloatArray
    square: FloatArray


@dataclass(frozen=True, eq=False)
class Found:
    """Filters found for a task.

    kinds: number of each in `FITTED_KINDS`, shape (n,). values: ln of Hz, dB, ln of Q of each, shape (n, 3).
    cost: sum of squares of dB: the mean square of what is left, and the price of the gains.
    """

    task: Task
    kinds: IndexArray
    values: FloatArray
    cost: float

    @cached_property
    def left(self) -> FloatArray:
        """What is wanted less what the filters do, dB, shape (m,), but for its mean."""
        return _left(self.task, _parts(self.task, self.kinds, self.values))

    @property
    def rms(self) -> float:
        """RMS of what is left, dB."""
        return math.sqrt(float(self.task.share @ self.left**2))

    @property
    def frequency(self) -> FloatArray:
        """Hz, shape (n,)."""
        return np.asarray(np.exp(self.values[:, 0]), dtype=np.float64)

    @property
    def gain(self) -> FloatArray:
        """Gains, dB, shape (n,)."""
        return self.values[:, 1]

    @property
    def q(self) -> FloatArray:
        """Q, shape (n,)."""
        return np.asarray(np.exp(self.values[:, 2]), dtype=np.float64)

    def sections(self, sample_rate: float | None) -> Sections:
        """The filters in a row, digital with a sample rate (Hz). Raises ValueError if there is none.

        Source: as in `biquad`.
        """
        settings = zip(self.kinds, self.frequency, self.gain, self.q, strict=True)
        return cascade(
            *(
                biquad(FITTED_KINDS[kind], float(f), float(gain), float(q), sample_rate)
                for kind, f, gain, q in settings
            )
        )


def shapes(task: Task, kinds: IndexArray, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Levels (dB) of filters at the task's places, shape (n, m), and their slopes, shape (n, 3, m).

    kinds, values: as in `Found`. Slopes are by ln f, by gain and by ln Q.
    Source: |H|² of the Audio EQ Cookbook's peak, (d + a)/(d + b), d = (x - 1/x)², a = A²/Q², b = 1/(AQ)²; of
    its low shelf, A²·((A - y)² + Ay/Q²)/((1 - Ay)² + Ay/Q²), y = x², A = 10^(gain/40); the high shelf is the
    low one turned about, y for 1/y.
    """
    parts = _parts(task, kinds, values)
    return TO_LEVELS * np.log(parts.power), _slopes(task, parts)


@dataclass(frozen=True, eq=False)
class _Peaks:
    """Rows that are peaks, and of each at each place what its power is made of: upper over lower.

    y: square of the ratio to its frequency.
    """

    rows: IndexArray
    y: FloatArray
    top: FloatArray
    foot: FloatArray
    upper: FloatArray
    lower: FloatArray


@dataclass(frozen=True, eq=False)
class _Shelves:
    """Rows that are shelves, with the side they lie on, and what the power is made of."""

    rows: IndexArray
    sign: FloatArray
    root: FloatArray
    y: FloatArray
    width: FloatArray
    above: FloatArray
    below: FloatArray


@dataclass(frozen=True, eq=False)
class _Parts:
    """Power gains of filters at the task's places, shape (n, m), and what they are made of."""

    power: FloatArray
    steep: FloatArray
    peak: _Peaks
    shelf: _Shelves | None


def _parts(task: Task, kinds: IndexArray, values: FloatArray) -> _Parts:
    centre, steep = warped(values[:, 0], task.sample_rate)
    ratio = task.squared * np.exp(-2 * centre)[:, np.newaxis]
    growth = values[:, 1:2] * (math.log(10) / 20)
    width = np.exp(-2 * values[:, 2:3])
    power = np.empty((len(kinds), task.place.size))
    rows = np.flatnonzero(kinds == 0)
    y, root = ratio[rows], np.exp(growth[rows])
    distance = y + 1 / y - 2
    top, foot = width[rows] * root, width[rows] / root
    upper, lower = distance + top, distance + foot
    power[rows] = upper / lower
    peak = _Peaks(rows, y, top, foot, upper, lower)
    rows = np.flatnonzero(kinds)
    if not rows.size:
        return _Parts(power, steep, peak, None)
    low = (kinds[rows] == 1)[:, np.newaxis]
    root = np.exp(growth[rows] / 2)
    y = np.where(low, ratio[rows], 1 / ratio[rows])
    middle = root * y * width[rows]
    above, below = (root - y) ** 2 + middle, (1 - root * y) ** 2 + middle
    power[rows] = root**2 * above / below
    shelf = _Shelves(rows, np.where(low, 1.0, -1.0), root, y, width[rows], above, below)
    return _Parts(power, steep, peak, shelf)


def _slopes(task: Task, parts: _Parts) -> FloatArray:
    """Slopes of the levels by ln f, by gain and by ln Q, shape (n, 3, m)."""
    slope = np.empty((len(parts.power), 3, task.place.size))
    peak, shelf = parts.peak, parts.shelf
    upper, lower = 1 / peak.upper, 1 / peak.lower
    slope[peak.rows, 0] = 2 * TO_LEVELS * (upper - lower) * (peak.y - 1 / peak.y)
    slope[peak.rows, 1] = (peak.top * upper + peak.foot * lower) / 2
    slope[peak.rows, 2] = -2 * TO_LEVELS * (peak.top * upper - peak.foot * lower)
    if shelf is not None:
        root, y, width, above, below = shelf.root, shelf.y, shelf.width, 1 / shelf.above, 1 / shelf.below
        near, far = root - y, 1 - root * y
        by_root = 2 / root + (2 * near + y * width) * above - (y * width - 2 * y * far) * below
        by_y = (root * width - 2 * near) * above - (root * width - 2 * root * far) * below
        slope[shelf.rows, 0] = TO_LEVELS * by_y * 2 * y * shelf.sign
        slope[shelf.rows, 1] = TO_LEVELS * by_root * root * (math.log(10) / 40)
        slope[shelf.rows, 2] = -2 * TO_LEVELS * root * y * width * (above - below)
    slope[:, 0] *= -parts.steep[:, np.newaxis]
    return slope


def _candidates(task: Task) -> Candidates:
    low, high = task.limits
    ends = low[0, 0], high[0, 0]
    count = max(int((ends[1] - ends[0]) / (math.log(2) * CANDIDATE_OCTAVE)), 4)
    places = np.linspace(*ends, count + 1)
    qs = sorted({min(max(q, task.q_low), task.q_high) for q in CANDIDATE_Q})
    rows = [(0, place, q) for place in places for q in qs]
    middle = min(max(FLATTEST_Q, task.shelf_q[0]), task.shelf_q[1])
    for number, allowed in enumerate(task.shelves, start=1):
        if allowed:
            rows += [(number, place, middle) for place in places[1:-1:2]]
    kinds = np.array([row[0] for row in rows])
    values = np.array([(row[1], 1.0, math.log(row[2])) for row in rows])
    levels, _ = shapes(task, kinds, values)
    levels -= (levels @ task.share)[:, np.newaxis]
    return Candidates(kinds, values, levels, (levels**2) @ task.share + PRICE)


def _left(task: Task, parts: _Parts) -> FloatArray:
    """What is wanted less what the filters do, dB, but for its mean; their powers multiply."""
    left = task.goal - TO_LEVELS * np.log(np.prod(parts.power, axis=0))
    return np.asarray(left - task.share @ left, dtype=np.float64)


def nothing(task: Task) -> Found:
    """No filter at all. Source: definition."""
    none = np.empty(0, dtype=np.int64)
    return Found(task, none, np.empty((0, 3)), float(task.share @ task.goal**2))


def polished(found: Found, steps: int, fixed: Sequence[int] = (), least: float = 1e-4) -> Found:
    """What `polishing` finds, in one go.

    Source: as in `polishing`, which takes the same.
    """
    work = polishing(found, steps, fixed, least)
    while True:
        try:
            next(work)
        except StopIteration as end:
            best: Found = end.value
            return best


def polishing(
    found: Found, steps: int, fixed: Sequence[int] = (), least: float = 1e-4
) -> Generator[None, None, Found]:
    """The same filters with their values moved, all together, to where the cost is least nearby.

    steps: how many at most, a number. fixed: columns of values that stay, numbers 0 to 2. least: the share of
    the cost by which a step must better it.
    Damped Gauss-Newton steps with the slopes of `shapes`; a value at its limit that would go beyond it is
    held.
    Source: Levenberg (1944), Marquardt (1963); limits as in `solve_graphic_equaliser`.
    """
    task, kinds = found.task, found.kinds
    if not len(kinds):
        return found
    low, high = (ends[kinds] for ends in task.limits)
    free_columns = np.ones_like(low, dtype=bool)
    free_columns[:, list(fixed)] = False
    values, damping = np.clip(found.values, low, high), 1e-3
    here = _look(task, kinds, values)
    for step_number in range(1, steps + 1):
        if step_number % STEPS_AT_ONCE == 0:
            yield
        downhill, bend = _downhill(task, here)
        held = ((values <= low) & (downhill < 0)) | ((values >= high) & (downhill > 0)) | ~free_columns
        free = np.flatnonzero(~held.ravel())
        if not free.size:
            break
        matrix = bend[np.ix_(free, free)]
        push = downhill.ravel()[free]
        bettered = False
        for _ in range(8):
            scaled = matrix + np.diag(damping * (np.diag(matrix) + 1e-9))
            step = np.zeros(values.size)
            step[free] = np.linalg.solve(scaled, push)
            tried = np.clip(values + step.reshape(values.shape), low, high)
            if not np.all(np.isfinite(tried)):
                damping *= 10
                continue
            there = _look(task, kinds, tried)
            if there.cost < here.cost:
                bettered = True
                break
            damping *= 6
        if not bettered:
            break
        gone = here.cost - there.cost
        here, values, damping = there, tried, max(damping / 8, 1e-9)
        if gone < least * here.cost:
            break
    return Found(task, kinds, values, here.cost)


def cost_of(task: Task, kinds: IndexArray, values: FloatArray) -> float:
    """Cost of filters, a sum of squares of dB: mean square of what they leave, and the price of their gains.

    kinds, values: as in `Found`. Source: definition.
    """
    return _look(task, kinds, values).cost


@dataclass(frozen=True, eq=False)
class _Look:
    """Filters at some values: what they are made of, what they leave (dB), and their cost."""

    values: FloatArray
    parts: _Parts
    left: FloatArray
    cost: float


def _look(task: Task, kinds: IndexArray, values: FloatArray) -> _Look:
    parts = _parts(task, kinds, values)
    left = _left(task, parts)
    cost = float(task.share @ left**2 + PRICE * np.sum(values[:, 1] ** 2))
    return _Look(values, parts, left, cost)


def _downhill(task: Task, here: _Look) -> tuple[FloatArray, FloatArray]:
    """Minus half the slope of the cost (n, 3) and half its second derivatives, without the levels' own."""
    lines = _slopes(task, here.parts).reshape(-1, task.place.size)
    lines -= (lines @ task.share)[:, np.newaxis]
    shared = lines * task.share
    downhill = (shared @ here.left).reshape(here.values.shape)
    downhill[:, 1] -= PRICE * here.values[:, 1]
    bend = shared @ lines.T
    gains = np.arange(1, here.values.size, 3)
    bend[gains, gains] += PRICE
    return downhill, bend
