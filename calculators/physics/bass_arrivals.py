"""Where a subwoofer's sound comes in: its low-pass taken off, and as steep an edge as noise leaves."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.deconvolution import good_size
from calculators.physics.impulse_responses import half_octaves, window_of

ORDERS = (0, 2, 4, 6, 8)
"""Low-passes that a subwoofer is taken to play behind: none, 12, 24, 36, 48 dB an octave."""
LOWEST_CORNER = 40.0
FITTED_TO = 0.8
"""Part of a sweep's top up to which its last half octave is as good as whole."""
STEEPER_BY = 0.05
"""dB², by which a steeper low-pass must fit better: a cable has none."""
OVER_NOISE = 10.0
"""Power over noise from which on a half octave tells how a response falls."""
WIDEST, NARROWER, TRIES = 1 / 3, 0.85, 16
"""How far an edge's bell reaches up, one standard deviation as a part of the sweep's top, and by how much
less each next one."""
EDGE_SHARE, EDGE_OVER_NOISE = 0.1, 4.0
"""An edge counts from that part of the largest on, and there stands so many times over the noise's RMS."""
EDGE_LEAD = 2.2
"""How long before the middle of a bell that is, in its standard deviations; echoes that follow add a little:
the bell alone has 2.15."""
CLEAR_FALL = 4.0
"""From a sweep's top this many times over a low-pass's corner on, its order is read right in 96 of 100."""
CLEAR_ERROR, DOUBTFUL_ERROR = 0.45, 1.2
"""Within how many of a bell's standard deviations 95 of 100 simulated subwoofers then lay, and the others."""
RINGS_UNDER = 40.0
"""Hz: what is lower is taken off, for a sweep's own start rings ahead of an arrival; that moves no edge."""
RISE_TIME = 0.01
"""s, over which what is looked at is faded in."""


@dataclass(frozen=True)
class LowPass:
    """A low-pass that a response falls like. order: number. corner: Hz."""

    order: int
    corner: float

    def undone(self, frequency: FloatArray) -> ComplexArray:
        """What takes it off again, a ratio at frequencies, Hz. Source: Butterworth's poles, textbook."""
        turns = (2 * np.arange(self.order) + self.order + 1) / (4 * self.order)
        poles = np.exp(2j * np.pi * turns)
        return np.asarray(np.prod(1j * frequency[:, np.newaxis] / self.corner - poles, axis=1))


def low_pass_of(response: FloatArray, quiet: int, sample_rate: float, high: float) -> LowPass:
    """The low-pass that fits best to how a response falls, from its loudest half octave into the noise.

    response: ratio, `quiet` samples of noise alone first. sample_rate: Hz. high: Hz, where the sweep ends.
    Source: least squares in dB, textbook; Butterworth.
    """
    at = np.asarray(np.geomspace(high / 32, FITTED_TO * high, 60), dtype=np.float64)
    sound, noise = response[quiet:], response[:quiet]
    rise = round(RISE_TIME * sample_rate)
    fading, bell = window_of(rise, sound.size - rise), np.hanning(noise.size)
    power = half_octaves(sound * fading, sample_rate, at)
    floor = half_octaves(noise * bell, sample_rate, at) * float(np.sum(fading**2) / np.sum(bell**2))
    loudest = int(np.argmax(power))
    drowned = np.flatnonzero(power[loudest:] < OVER_NOISE * floor[loudest:])
    last = loudest + max(2, int(drowned[0])) if drowned.size else at.size
    inside, level = at[loudest:last], 10 * np.log10(power[loudest:last])
    corners = np.geomspace(LOWEST_CORNER, max(high, 2 * LOWEST_CORNER), 60)
    best, found = math.inf, LowPass(ORDERS[0], LOWEST_CORNER)
    for order in ORDERS:
        off = level + 10 * np.log10(1 + (inside / corners[:, np.newaxis]) ** (2 * order))
        misfit = np.var(off, axis=1)
        place = int(np.argmin(misfit))
        if misfit[place] < best - STEEPER_BY:
            best, found = float(misfit[place]), LowPass(order, float(corners[place]))
    return found


def bass_onset(response: FloatArray, quiet: int, sample_rate: float, high: float) -> tuple[float, float]:
    """Where a subwoofer's response comes in, s, from its first sample on, and within how much, s.

    response: ratio, not softened: `quiet` samples of noise alone, then the direct sound and what follows.
    sample_rate: Hz. high: Hz, where the sweep ends.
    With its low-pass taken off, a response begins with a pulse as short as the noise lets it be told. The
    pulse is made a bell; where that begins to rise, echoes within it count for least. A low-pass whose corner
    is off leaves something behind the pulse, nothing before it: only its order matters.
    Source: search of the project's own, fitted to simulated cabins.
    """
    low_pass = low_pass_of(response, quiet, sample_rate, high)
    fade = round(RISE_TIME * sample_rate)
    size = good_size(response.size + response.size // 4)
    frequency = np.asarray(np.fft.rfftfreq(size, 1 / sample_rate), dtype=np.float64)
    kept = (1j * frequency / (1j * frequency + RINGS_UNDER)) ** 2
    faded = response * window_of(fade, response.size - fade)
    whole = np.fft.rfft(faded, size) * kept * low_pass.undone(frequency)
    width = WIDEST * high
    for _ in range(TRIES):
        bells = np.fft.irfft(whole * np.exp(-((frequency / width) ** 2) / 2), size)[: response.size]
        noise = math.sqrt(float(np.mean(bells[fade:quiet] ** 2)))
        least = EDGE_SHARE * float(np.max(np.abs(bells[quiet:])))
        if least >= EDGE_OVER_NOISE * noise:
            break
        width *= NARROWER
    size_after = np.abs(bells[quiet:])
    first = int(np.argmax(size_after >= least))
    before, after = (float(size_after[place]) for place in (max(0, first - 1), first))
    part = (least - before) / (after - before) if after > before else 1.0
    deviation = 1 / (2 * math.pi * width)
    clear = low_pass.order <= 4 and high >= CLEAR_FALL * low_pass.corner
    time = (quiet + first - 1 + part) / sample_rate + EDGE_LEAD * deviation
    return time, deviation * (CLEAR_ERROR if clear else DOUBTFUL_ERROR)
