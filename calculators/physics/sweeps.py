"""The measuring signal: one exponential sweep played twice, the second half as large, between markers.

The second, softer sweep shows what two alike cannot: a recorder or a unit that turns its gain by itself
makes the step between them other than 6.02 dB.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from calculators.physics.arrays import FloatArray
from calculators.physics.checking import require_positive
from calculators.physics.exact_waves import power_of_e, sine_of_turns

FADE_OCTAVES = 1 / 3
"""Octaves over which a sweep swells at its start and dies at its end."""
SECOND_SHARE = 0.5
"""The second sweep, as a part of the first: 6.02 dB lower."""
SOFT_MARKER_SHARE = 0.25
"""The soft marker, as a part of the loud one: 12.04 dB lower."""
MARKER_LENGTH = 0.3
"""Length of a marker, s."""
MARKER_PAUSE = 0.2
"""Silence after a marker, s."""
STEPS_A_SECOND = 100
"""Parts begin on hundredths of a second: whole samples at 44.1, 48 and 96 kHz alike."""


@dataclass(frozen=True)
class Sweep:
    """An exponential sweep whose harmonics fall onto itself (synchronised).

    low, high: Hz, the frequencies it runs between. duration: s, about; it is rounded so that it holds a
    whole number of turns before its start. falling: whether it runs from high to low.
    """

    low: float
    high: float
    duration: float
    falling: bool = False

    @cached_property
    def turns_before(self) -> int:
        """Number of turns that it would have made from zero frequency up to its start."""
        return max(1, round(self.low * self.duration / math.log(self.high / self.low)))

    @property
    def rate(self) -> float:
        """Time, s, in which its frequency grows e-fold."""
        return self.turns_before / self.low

    @property
    def length(self) -> float:
        """Its true length, s."""
        return self.rate * math.log(self.high / self.low)

    def frames(self, sample_rate: float) -> int:
        """Number of its samples. sample_rate: Hz."""
        return math.ceil(self.length * sample_rate)


def checked_sweep(low: float, high: float, duration: float, falling: bool = False) -> Sweep:
    """A sweep over a third of an octave or more, of Hz and s.

    low, high: Hz, above 0. duration: s, above 0. falling: whether it runs down.
    Raises ValueError for less than two thirds of an octave, and at or below 0.
    Source: Farina, AES 108th Convention, Paris 2000; Novak, Lotton and Simon, JAES 63 (2015) 786.
    """
    require_positive(low=low, high=high, duration=duration)
    if high < low * 2 ** (2 * FADE_OCTAVES):
        raise ValueError("a sweep must run over two thirds of an octave or more")
    return Sweep(low, high, duration, falling)


def samples(sweep: Sweep, sample_rate: float, start: int = 0, count: int | None = None) -> FloatArray:
    """Samples of a sweep, its peak 1 (a ratio); zero before and after it.

    sample_rate: Hz. start, count: number of the first sample, and how many (all of it, if None).
    Source: as in `checked_sweep`.
    """
    count = sweep.frames(sample_rate) if count is None else count
    time = np.arange(start, start + count, dtype=np.float64) / sample_rate
    if sweep.falling:
        time = sweep.length - time
    inside = (time >= 0) & (time <= sweep.length)
    held = np.clip(time, 0.0, sweep.length)
    wave = sine_of_turns(sweep.turns_before * power_of_e(held / sweep.rate))
    fade = sweep.rate * math.log(2) * FADE_OCTAVES
    near = np.clip(np.minimum(held, sweep.length - held) / fade, 0.0, 1.0)
    return np.asarray(wave * sine_of_turns(near / 4) ** 2 * inside, dtype=np.float64)


def envelope(sweep: Sweep, frequency: FloatArray) -> FloatArray:
    """How strong a sweep is (a ratio) as it passes a frequency: 1 but for the fades at its ends.

    frequency: Hz, above 0. Source: definition, as in `samples`.
    """
    near = np.clip(
        np.log2(np.minimum(frequency / sweep.low, sweep.high / frequency)) / FADE_OCTAVES, 0.0, 1.0
    )
    return np.asarray(np.sin(np.pi / 2 * near) ** 2, dtype=np.float64)


def harmonic_lead(sweep: Sweep, harmonic: int) -> float:
    """How long, s, a harmonic stands before the straight response once the sweep is taken out.

    harmonic: number, 2 or more. Source: as in `checked_sweep`.
    """
    return sweep.rate * math.log(harmonic)


def on_grid(time: float) -> float:
    """The next hundredth of a second, s. time: s. Source: definition of our own."""
    return math.ceil(time * STEPS_A_SECOND - 1e-6) / STEPS_A_SECOND


@dataclass(frozen=True)
class Play:
    """Where the parts of one play stand.

    first, second: s, the two sweeps. loud, soft: s, the markers before and after them; none without markers.
    """

    first: float
    second: float
    loud: tuple[float, ...]
    soft: tuple[float, ...]


@dataclass(frozen=True)
class Signal:
    """A whole measuring signal.

    lead: s, of silence before it. gap: s, of silence after each sweep. plays: how many, one after another,
    each on its own channel. markers: whether there are any.
    """

    sweep: Sweep
    lead: float
    gap: float
    plays: int = 1
    markers: bool = True

    @property
    def marker(self) -> Sweep:
        """A marker: the same band in a third of a second."""
        return Sweep(self.sweep.low, self.sweep.high, MARKER_LENGTH)

    @property
    def marker_time(self) -> float:
        """How long, s, the two markers of one end take."""
        return 2 * self.marker_step if self.markers else 0.0

    @property
    def marker_step(self) -> float:
        """From one marker to the next, s."""
        return on_grid(self.marker.length + MARKER_PAUSE)

    @property
    def spacing(self) -> float:
        """From the start of the first sweep to that of the second, s."""
        return on_grid(self.sweep.length + self.gap)

    @property
    def play_length(self) -> float:
        """From one play to the next, s."""
        return 2 * self.marker_time + 2 * self.spacing

    @property
    def length(self) -> float:
        """Length of the whole, s."""
        return on_grid(self.lead) + self.plays * self.play_length

    def play(self, number: int) -> Play:
        """Where the parts of a play stand; number: 0 for the first."""
        start = on_grid(self.lead) + number * self.play_length
        first = start + self.marker_time
        ends = (start, first + 2 * self.spacing) if self.markers else ()
        return Play(first, first + self.spacing, ends, tuple(end + self.marker_step for end in ends))


def signal_samples(signal: Signal, number: int, sample_rate: float, start: int, count: int) -> FloatArray:
    """Samples of one play alone within the whole signal, the first sweep's peak 1 (a ratio).

    number: of the play, 0 for the first. sample_rate: Hz. start, count: number of the first sample of the
    whole, and how many.
    Source: as in `checked_sweep`.
    """
    made = np.zeros(count)
    play = signal.play(number)
    parts = [(signal.sweep, play.first, 1.0), (signal.sweep, play.second, SECOND_SHARE)]
    parts += [(signal.marker, at, 1.0) for at in play.loud]
    parts += [(signal.marker, at, SOFT_MARKER_SHARE) for at in play.soft]
    for sweep, at, share in parts:
        # Each part begins on a sample, so that both sweeps have the same ones.
        begins = round(at * sample_rate)
        low, high = max(start, begins), min(start + count, begins + sweep.frames(sample_rate))
        if low < high:
            made[low - start : high - start] += share * samples(sweep, sample_rate, low - begins, high - low)
    return made
