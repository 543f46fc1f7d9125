"""Recordings of a measuring signal, simulated apart from the calculators: speaker, room, clocks, faults.

A speaker is a minimum-phase filter, a room a direct sound with reflections and a diffuse tail; both are given
as complex responses, so a delay may be any part of a sample. The player's sweep is sampled on the recorder's
own clock.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import signal as filters

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.sweeps import MARKER_LENGTH, SECOND_SHARE, SOFT_MARKER_SHARE, Signal, Sweep

Response = Callable[[FloatArray], ComplexArray]
"""Complex response at frequencies, Hz."""


def sweep_at(sweep: Sweep, time: FloatArray) -> FloatArray:
    """A sweep by its formula, with the library's own sine."""
    held = np.clip(time, 0, sweep.length)
    wave = np.sin(2 * np.pi * sweep.turns_before * np.exp(held / sweep.rate))
    fade = sweep.rate * np.log(2) / 3
    near = np.clip(np.minimum(held, sweep.length - held) / fade, 0, 1)
    return np.asarray(wave * np.sin(np.pi / 2 * near) ** 2 * (time == held))


def played(
    signal: Signal, sample_rate: float, start: float, length: float, drift: float = 0.0, play: int = 0
) -> FloatArray:
    """The signal as a recorder would get it over a wire; its clock runs fast by a drift, in parts of 1."""
    rate = sample_rate * (1 + drift)
    made = np.zeros(round(length * rate))
    where = signal.play(play)
    marker = Sweep(signal.sweep.low, signal.sweep.high, MARKER_LENGTH)
    parts = [(signal.sweep, where.first, 1.0), (signal.sweep, where.second, SECOND_SHARE)]
    parts += [(marker, at, 1.0) for at in where.loud] + [(marker, at, SOFT_MARKER_SHARE) for at in where.soft]
    for sweep, at, share in parts:
        begins = (start + at) * rate
        low = max(0, int(begins))
        high = min(made.size, int(begins + sweep.length * rate) + 2)
        if low < high:
            made[low:high] += share * sweep_at(sweep, (np.arange(low, high) - begins) / rate)
    return made


def through(sound: FloatArray, response: Response, sample_rate: float) -> FloatArray:
    """What is left of a sound behind a response."""
    size = int(2 ** np.ceil(np.log2(sound.size + sample_rate)))
    spectrum = np.fft.rfft(sound, size) * response(np.fft.rfftfreq(size, 1 / sample_rate))
    return np.asarray(np.fft.irfft(spectrum, size)[: sound.size])


def speaker(
    low: float, high: float, low_order: int = 2, high_order: int = 2, q: float = 0.8, reversed_: bool = False
) -> Response:
    """A driver with its roll-offs: Butterworth, but for the Q of a second-order low end."""

    def respond(frequency: FloatArray) -> ComplexArray:
        s = 1j * np.maximum(frequency, 1e-3)
        x = s / low
        found = x**2 / (x**2 + x / q + 1)
        if low_order == 4:  # A crossover's filter on top of the driver's own end.
            found = (x**2 / (x**2 + np.sqrt(2) * x + 1)) ** 2
        b, a = filters.butter(high_order, 1, analog=True)
        found = found * np.polyval(b, s / high) / np.polyval(a, s / high)
        return np.asarray(-found if reversed_ else found)

    return respond


@dataclass(frozen=True)
class Cabin:
    """A direct sound and what follows it: delays in s, gains, and a diffuse tail."""

    direct: float
    delays: tuple[float, ...]
    gains: tuple[float, ...]
    tail: float = 0.0
    seed: int = 0

    def __call__(self, frequency: FloatArray) -> ComplexArray:
        turn = -2j * np.pi * frequency
        found = np.exp(turn * self.direct)
        for delay, gain in zip(self.delays, self.gains, strict=True):
            # Trim takes more off the top than off the bottom.
            found = found + gain * np.exp(turn * (self.direct + delay)) / (1 + 1j * frequency / 9000)
        return np.asarray(found)


def random_cabin(random: Any, loudest: float = 0.9) -> Cabin:
    """Six to twelve reflections between 0.3 and 12 ms after the direct sound."""
    count = int(random.integers(6, 13))
    delays = np.sort(np.exp(random.uniform(np.log(0.3e-3), np.log(12e-3), count)))
    gains = random.uniform(0.1, loudest, count) * (delays / delays[0]) ** -0.4 * random.choice([-1, 1], count)
    return Cabin(float(random.uniform(1.5e-3, 6e-3)), tuple(delays.tolist()), tuple(gains.tolist()))


def with_noise(
    sound: FloatArray, signal: Signal, start: float, sample_rate: float, ratio: float, random: Any
) -> FloatArray:
    """Sound and white noise, ratio dB under the first sweep (RMS of each)."""
    low = round((start + signal.play(0).first) * sample_rate)
    one = sound[low : low + signal.sweep.frames(sample_rate)]
    level = np.sqrt(np.mean(one**2)) * 10 ** (-ratio / 20)
    return np.asarray(sound + random.normal(0, level, sound.size))


def gain_rider(
    sound: FloatArray, sample_rate: float, ratio: float, threshold: float, attack: float, release: float
) -> FloatArray:
    """A recorder that turns its gain down by itself: above a threshold (dB of full scale) by a ratio."""
    step = max(1, round(sample_rate * 1e-3))
    count = -(-sound.size // step)
    loud = np.max(np.abs(np.pad(sound, (0, count * step - sound.size)).reshape(count, step)), axis=1)
    held, gains = 1e-6, np.empty(count)
    up, down = np.exp(-1e-3 / attack), np.exp(-1e-3 / release)
    for place, value in enumerate(loud):
        share = up if value > held else down
        held = share * held + (1 - share) * value
        over = 20 * np.log10(max(held, 1e-9)) - threshold
        gains[place] = -over * (1 - 1 / ratio) if over > 0 else 0.0
    slow = np.interp(np.arange(sound.size), (np.arange(count) + 0.5) * step, gains)
    return np.asarray(sound * 10 ** (slow / 20))


def chosen(values: Sequence[float], random: Any) -> float:
    """One of a few."""
    return float(values[int(random.integers(len(values)))])
