"""Parts of a test file: what sounds from when to when, on which side, how strong; and their file."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from calculators.declaring import Made
from calculators.physics import noise, probe_signals, sweeps, tones
from calculators.physics.arrays import FloatArray
from calculators.physics.decibels import SINE_CREST
from calculators.physics.sweeps import Signal, Sweep
from calculators.vocabulary import sound_files
from calculators.vocabulary.sound_files import Blocks

type Wave = Callable[[float], Blocks]
"""Samples of a sound, its peak or its sine's peak 1, for a sample rate in Hz."""

HIGHEST_SHARE = 0.49
"""Of the sample rate: the highest frequency that a file may hold."""
NOISE_PEAK = 10 ** (-SINE_CREST / 20)
ON_LEFT, ON_RIGHT, ON_BOTH, ON_TURNED = (1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, -1.0)


@dataclass(frozen=True)
class Part:
    """A sound within a file: start, length, fade in s; level in dBFS (AES17), of a pulse that of its peak."""

    wave: Wave
    start: float
    length: float
    level: float
    sides: tuple[float, float] = ON_BOTH
    fade: float = 0.0

    @property
    def end(self) -> float:
        """When it is over, s."""
        return self.start + self.length


def one_after_another(parts: tuple[Part, ...], pause: float = 0.0) -> tuple[Part, ...]:
    """The same parts, each after the one before it and a pause, s."""
    placed: list[Part] = []
    at = 0.0
    for part in parts:
        placed.append(Part(part.wave, at, part.length, part.level, part.sides, part.fade))
        at = placed[-1].end + pause
    return tuple(placed)


def tone(
    frequency: float, level: float, length: float, sides: tuple[float, float] = ON_BOTH, start: float = 0.0
) -> Part:
    """A sine, faded at both ends."""

    def wave(rate: float) -> Blocks:
        return lambda first, count: tones.tone(frequency, rate, first, count)

    return Part(wave, start, length, level, sides, min(tones.fade_length(frequency), length / 4))


def bare_tone(frequency: float, level: float, start: float, cycles: int) -> Part:
    """So many whole cycles of a sine, without a fade: it begins and ends at zero."""
    return Part(tone(frequency, level, 1.0).wave, start, cycles / frequency, level)


# Its filter is made anew for every file; of two neighbours in one file both stay at hand.
_band_noise = lru_cache(maxsize=2)(noise.band_noise)


def band(
    low: float,
    high: float,
    level: float,
    length: float,
    sides: tuple[float, float] = ON_BOTH,
    seed: int = 1,
    pink: bool = True,
    start: float = 0.0,
) -> Part:
    """Noise of a band, faded at both ends; its top ends where the sample rate ends it."""

    def wave(rate: float) -> Blocks:
        def samples(first: int, count: int) -> FloatArray:
            made = _band_noise(low, min(high, HIGHEST_SHARE * rate), rate, pink, seed)
            return NOISE_PEAK * made.samples(first, count)

        return samples

    return Part(wave, start, length, level, sides, min(tones.fade_length(low), length / 4))


GATE, GATE_EDGE = 0.25, 0.002
"""s: gated noise sounds so long in every second, with edges so long."""


def held_band(peak: float, share: float, level: float, length: float, gated: bool = False) -> Part:
    """Pink noise, 40 Hz to 16 kHz, whose highest peak is cut at so many times its RMS."""
    plain = band(40, 16_000, level, length)

    def wave(rate: float) -> Blocks:
        free = plain.wave(rate)

        def samples(first: int, count: int) -> FloatArray:
            held = NOISE_PEAK * probe_signals.held_noise(free(first, count) / NOISE_PEAK, peak, share)
            if not gated:
                return held
            at = np.arange(first, first + count) % rate / rate
            return np.asarray(held * np.clip(np.minimum(at, GATE - at) / GATE_EDGE, 0.0, 1.0))

        return samples

    return Part(wave, 0.0, length, level, ON_BOTH, plain.fade)


def pulse(level: float, start: float) -> Part:
    """One short sawtooth."""

    def wave(rate: float) -> Blocks:
        return lambda first, count: probe_signals.pulse(rate, first, count)

    return Part(wave, start, probe_signals.RISE + probe_signals.FALL, level)


def dither(length: float, start: float = 0.0) -> Part:
    """Silence with the smallest noise of a 16-bit file."""
    return Part(lambda _: lambda first, count: probe_signals.dither(first, count, 1), start, length, 0.0)


def nothing(length: float) -> Part:
    """Digital zero."""
    return Part(lambda _: lambda _first, count: np.zeros(count), 0.0, length, 0.0)


def many_tones(level: float, length: float, seed: int) -> Part:
    """A tone in each third octave, all at once."""

    def wave(rate: float) -> Blocks:
        return lambda first, count: probe_signals.many_tones(rate, first, count, seed)

    return Part(wave, 0.0, length, level, ON_BOTH, 0.05)


def one_sweep(sweep: Sweep, level: float, start: float = 0.0, fade: float = 0.0) -> Part:
    """An exponential sweep, once."""

    def wave(rate: float) -> Blocks:
        return lambda first, count: sweeps.samples(sweep, rate, first, count)

    return Part(wave, start, sweep.length, level, ON_BOTH, fade)


def measuring_sweep(
    low: float, high: float, level: float, plays: int = 1, falling: bool = False
) -> tuple[Part, ...]:
    """The measuring sweep as `sweep` makes it with these settings and its usual ones."""
    signal = Signal(sweeps.checked_sweep(low, high, 5.0, falling), 3.0, 1.0, plays)

    def wave(number: int) -> Wave:
        return lambda rate: lambda first, count: sweeps.signal_samples(signal, number, rate, first, count)

    sides = (ON_BOTH,) if plays == 1 else (ON_LEFT, ON_RIGHT)
    return tuple(Part(wave(number), 0.0, signal.length, level, side) for number, side in enumerate(sides))


def file_of(name: str, parts: tuple[Part, ...], sample_rate: float, sample_format: str) -> Made:
    """The WAV file of these parts: one channel where both sides are alike, else two."""
    frames = round(max(part.end for part in parts) * sample_rate)
    channels = 1 if all(part.sides[0] == part.sides[1] for part in parts) else 2
    sizes = {level: tones.amplitude(level) for level in {part.level for part in parts}}
    sounding = [
        (part, part.wave(sample_rate), sizes[part.level], np.array(part.sides[:channels])) for part in parts
    ]

    def samples(start: int, count: int) -> FloatArray:
        made = np.zeros((count, channels))
        for part, wave, size, shares in sounding:
            begins, length = round(part.start * sample_rate), round(part.length * sample_rate)
            low, high = max(start, begins), min(start + count, begins + length)
            if low >= high:
                continue
            sound = size * wave(low - begins, high - low)
            if part.fade:
                fade = round(part.fade * sample_rate)
                sound *= tones.faded(low - begins, high - low, length, fade)
            made[low - start : high - start] += sound[:, np.newaxis] * shares
        return made

    return sound_files.wav_of_blocks(name, frames, sample_rate, channels, samples, sample_format, "signals")
