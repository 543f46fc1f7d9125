"""Where a subwoofer's sound comes in: its low-pass taken off, and as steep an edge as noise leaves."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.deconvolution import good_size
from calculators.physics.impulse_responses import half_octaves, window_of

LOW_PASS_ORDERS = (0, 2, 4, 6, 8)
"""Low-passes that a subwoofer is taken to play behind: none, 12, 24, 36, 48 dB an octave."""
LOWEST_CORNER = 50.0
FITTED_TO = 0.8
"""Part of a sweep's top up to which its last half octave is as good as whole."""
FINEST_FIT, DOUBT, LEAST_SHARE = 0.01, 3.0, 0.05
"""dB² of misfit under which one fit is as good as another; how fast a low-pass that fits worse loses its
share; and the least share that counts, against the best one's."""
OVER_NOISE = 10.0
"""Power over noise from which on a half octave tells how a response falls."""
WIDEST_BELL, NARROWER, BELLS = 1 / 3, 0.85, 16
"""How far an edge's bell reaches up, one standard deviation as a part of the sweep's top, and by how much
less each next one."""
EDGE_SHARE, EDGE_OVER_NOISE = 0.1, 2.0
"""An edge counts from that part of the largest on, and there stands so many times over the noise's peak."""
EDGE_LEAD = 2.2
"""How long before the middle of a bell that is, in its standard deviations; echoes that follow add a little:
the bell alone has 2.15."""
CLEAR_FALL = 4.0
"""From a sweep's top this many times over a low-pass's corner on, its order is read right in 96 of 100."""
CLEAR_ERROR, DOUBTFUL_ERROR = 0.4, 1.2
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


def low_passes_of(
    response: FloatArray, quiet: int, sample_rate: float, high: float
) -> tuple[tuple[LowPass, float], ...]:
    """The low-passes that fit to how a response falls, from its loudest half octave into the noise.

    Each with its share, a ratio, in what is told: the better it fits, the larger; together 1, best first.

    response: ratio. quiet: number of its samples, the first, that hold noise alone. sample_rate: Hz. high:
    Hz, where the sweep ends.
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
    corners = np.geomspace(LOWEST_CORNER, max(high / 2, 2 * LOWEST_CORNER), 60)
    fits = []
    for order in LOW_PASS_ORDERS:
        off = level + 10 * np.log10(1 + (inside / corners[:, np.newaxis]) ** (2 * order))
        misfit = np.var(off, axis=1)
        place = int(np.argmin(misfit))
        fits.append((float(misfit[place]), LowPass(order, float(corners[place]))))
    fits.sort(key=lambda fit: fit[0])
    least = max(fits[0][0], FINEST_FIT)
    shares = [math.exp(-DOUBT * (max(misfit, FINEST_FIT) / least - 1)) for misfit, _ in fits]
    kept = [share if share > LEAST_SHARE else 0.0 for share in shares]
    return tuple(
        (low_pass, share / sum(kept)) for (_, low_pass), share in zip(fits, kept, strict=True) if share
    )


def bass_onset(response: FloatArray, quiet: int, sample_rate: float, high: float) -> tuple[float, float]:
    """Where a subwoofer's response comes in, s, from its first sample on, and within how much, s.

    response: ratio, not softened. quiet: number of its samples, the first, that hold noise alone; the direct
    sound and what follows come after. sample_rate: Hz. high: Hz, where the sweep ends.
    With its low-pass taken off, a response begins with a pulse as short as the noise lets it be told. The
    pulse is made a bell; where that begins to rise, echoes within it count for least. A low-pass whose corner
    is off leaves something behind the pulse, nothing before it: only its order matters.
    Source: search of the project's own, fitted to simulated cabins.
    """
    time = error = 0.0
    for low_pass, share in low_passes_of(response, quiet, sample_rate, high):
        found, deviation = _edge_behind(low_pass, response, quiet, sample_rate, high)
        clear = low_pass.order <= 4 and high >= CLEAR_FALL * low_pass.corner
        time += share * found
        error += share * deviation * (CLEAR_ERROR if clear else DOUBTFUL_ERROR)
    return time, error


def _edge_behind(
    low_pass: LowPass, response: FloatArray, quiet: int, sample_rate: float, high: float
) -> tuple[float, float]:
    """Where the pulse behind a low-pass begins, s, and the standard deviation of its bell, s."""
    fade = round(RISE_TIME * sample_rate)
    size = good_size(response.size + response.size // 4)
    frequency = np.asarray(np.fft.rfftfreq(size, 1 / sample_rate), dtype=np.float64)
    kept = (1j * frequency / (1j * frequency + RINGS_UNDER)) ** 2
    faded = response * window_of(fade, response.size - fade)
    whole = np.fft.rfft(faded, size) * kept * low_pass.undone(frequency)
    width = WIDEST_BELL * high
    for _ in range(BELLS):
        bells = np.abs(np.fft.irfft(whole * np.exp(-((frequency / width) ** 2) / 2), size)[: response.size])
        least = EDGE_SHARE * float(np.max(bells[quiet:]))
        if least >= EDGE_OVER_NOISE * float(np.max(bells[fade:quiet])):
            break
        width *= NARROWER
    first = quiet + int(np.argmax(bells[quiet:] >= least))
    before, after = float(bells[first - 1]), float(bells[first])
    part = (least - before) / (after - before) if before < least < after else 1.0
    deviation = 1 / (2 * math.pi * width)
    return (first - 1 + part) / sample_rate + EDGE_LEAD * deviation, deviation
