"""Where a subwoofer's sound comes in: the beginning that makes most likely what was heard.

What is heard is taken for a direct sound, reflections that nothing is known of but how strong they are on the
whole, both behind a low-pass, and noise. Each moment at which that may have begun has its likelihood, and
what is told is their mean.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.deconvolution import good_size
from calculators.physics.excess_phase import EDGE
from calculators.physics.impulse_responses import half_octaves, window_of
from calculators.physics.in_parts import InParts

LOW_PASS_ORDERS = (0, 2, 4, 6, 8)
"""Low-passes that a subwoofer is taken to play behind: none, 12, 24, 36, 48 dB an octave."""
LOWEST_CORNER = 50.0
FITTED_TO = 0.8
"""Part of a sweep's top up to which its last half octave is as good as whole."""
OVER_NOISE = 10.0
"""Power over noise from which on a half octave tells how a response falls."""
DROWNED = 2.0
"""Power over noise under which a half octave tells nothing more."""
LOOKED_FROM, FROM_AT_MOST = 45.0, 0.25
"""Hz, from where on a response is looked at, for what is lower tells little of when; and the part of a
sweep's top that this is at most."""
LEAST_NOISE = 1e-4
"""Noise, as a part of the loudest: no recording is better, and without any there is no likelihood."""
NOISE_FROM = 0.4
"""Part of a sweep's top from which on its noise is read."""
RINGS_UNDER, RINGING_ORDER = 60.0, 4
"""Hz: what is lower is taken off first, by a high-pass of that order: a sweep's own start rings ahead of an
arrival. Nothing comes earlier by it."""
LOOKED_BEFORE, LOOKED_FOR, RISE_TIME = 0.035, 0.115, 0.015
"""s: how much is looked at, from before it has risen, and over which it is faded in."""
QUIET_RISE = 0.01
"""s over which a whole response is faded in."""
RISEN, RISEN_HIGH, OVER_QUIET = 0.1, 0.3, 1.5
"""What has risen, and high: so much of the largest, and so many times what is there before anything plays."""
EARLIER, LATER, TIME_STEP = 0.003, 0.001, 0.0002
"""s: how much longer than its low-pass is late before a response has risen, and how long after it has risen
high, it may have begun; and how finely that is gone through."""
REFLECTIONS, LAST_REFLECTION = ((600.0, 0.001), (40.0, 0.01)), 0.06
"""Of reflections: their power in each second, as a part of the direct sound's, soon after it and later, and
s in which each is down to 1/e; s after which there is none."""
STRENGTHS = (1 / 16, 1 / 4, 1.0)
"""What the direct sound's power may be, as a part of what is heard."""
LOW_PASS_TRUST = 0.25
"""Power to which the likelihoods of low-passes are taken: none is quite like the one that plays, and what
tells them apart is little."""
SURE = 1.8
"""Within how many standard deviations 95 of 100 simulated subwoofers lay."""
NO_EDGE_UNDER, TURNS_AHEAD = 100.0, 1.5
"""Hz: a sweep that ends lower holds no edge, and rings by so many turns of its top before the arrival."""


@dataclass(frozen=True)
class LowPass:
    """A low-pass that a response falls like. order: number. corner: Hz."""

    order: int
    corner: float

    def passed(self, frequency: FloatArray) -> ComplexArray:
        """What it leaves, a ratio at frequencies, Hz. Source: Butterworth's poles, textbook."""
        return _butterworth(self.order, 1j * frequency / self.corner)

    @property
    def delay(self) -> float:
        """By how much, s, what is lowest is late behind it. Source: the sum over its poles, textbook."""
        return -float(np.sum(_poles(self.order).real)) / (2 * math.pi * self.corner)


def _poles(order: int) -> ComplexArray:
    """Poles of a Butterworth low-pass, the corner at distance 1."""
    turns = (2 * np.arange(order) + order + 1) / max(4 * order, 1)
    return np.asarray(np.exp(2j * np.pi * turns), dtype=np.complex128)


def _butterworth(order: int, place: ComplexArray) -> ComplexArray:
    """What a low-pass leaves at places of its plane, the corner at distance 1."""
    return np.asarray(1 / np.prod(place[:, np.newaxis] - _poles(order), axis=1), dtype=np.complex128)


@dataclass(frozen=True)
class Fall:
    """How a response falls.

    low_passes: of each order the one that it falls most like. drowned_from: Hz, where noise drowns it.
    """

    low_passes: tuple[LowPass, ...]
    drowned_from: float


@dataclass(frozen=True)
class Seen:
    """What is looked at.

    frequency: Hz. spectrum: ratio. noise: ratio, RMS in each of the spectrum's two parts.
    """

    frequency: FloatArray
    spectrum: ComplexArray
    noise: FloatArray

    def heard_at(self, time: FloatArray, low_pass: LowPass) -> FloatArray:
        """Pulses at times, s, behind a low-pass, over the noise: both parts, shape (values, times)."""
        turned = np.exp(-2j * np.pi * np.outer(self.frequency, time))
        return _both_parts((low_pass.passed(self.frequency) / self.noise)[:, np.newaxis] * turned)


def fall_of(response: FloatArray, quiet: int, sample_rate: float, high: float) -> Fall:
    """How a response falls, from its loudest half octave into the noise.

    response: ratio. quiet: number of its samples, the first, that hold noise alone. sample_rate: Hz. high:
    Hz, where the sweep ends.
    Source: least squares in dB, textbook; Butterworth.
    """
    at = np.asarray(np.geomspace(high / 32, FITTED_TO * high, 60), dtype=np.float64)
    sound, noise = response[quiet:], response[:quiet]
    rise = round(QUIET_RISE * sample_rate)
    fading, bell = window_of(rise, sound.size - rise), np.hanning(noise.size)
    power = half_octaves(sound * fading, sample_rate, at)
    floor = half_octaves(noise * bell, sample_rate, at) * float(np.sum(fading**2) / np.sum(bell**2))
    loudest = int(np.argmax(power))

    def falls_to(over_noise: float) -> int:
        drowned = np.flatnonzero(power[loudest:] < over_noise * floor[loudest:])
        return loudest + max(2, int(drowned[0])) if drowned.size else at.size

    last, end = falls_to(OVER_NOISE), falls_to(DROWNED)
    inside, level = at[loudest:last], 10 * np.log10(power[loudest:last])
    corners = np.geomspace(LOWEST_CORNER, max(high / 2, 2 * LOWEST_CORNER), 60)
    found = []
    for order in LOW_PASS_ORDERS:
        off = level + 10 * np.log10(1 + (inside / corners[:, np.newaxis]) ** (2 * order))
        found.append(LowPass(order, float(corners[int(np.argmin(np.var(off, axis=1)))])))
    return Fall(tuple(found), float(at[end]) if end < at.size else high)


def bass_onset(
    response: FloatArray, quiet: int, sample_rate: float, low: float, high: float
) -> InParts[tuple[float, float]]:
    """Where a subwoofer's response comes in, s, from its first sample on, and within how much, s.

    response: ratio, not softened. quiet: number of its samples, the first, that hold noise alone; the direct
    sound and what follows come after. sample_rate: Hz. low, high: Hz, the sweep's ends.
    A low-pass whose corner is off leaves something behind the direct sound, nothing before it, and goes for
    a reflection: only its order matters, and the likelihood weighs that too.
    Source: likelihood of a Gaussian process with its linear part integrated out (Rasmussen and Williams,
    Gaussian Processes for Machine Learning, 2006, chapter 2); what is known of reflections beforehand is the
    project's own.
    """
    fall = fall_of(response, quiet, sample_rate, high)
    clear = _without_ringing(response, sample_rate)
    size, largest = np.abs(clear), float(np.max(np.abs(clear[quiet:])))
    least = OVER_QUIET * float(np.max(size[:quiet]))
    risen, high_up = (
        quiet + int(np.argmax(size[quiet:] >= min(max(share * largest, least), largest)))
        for share in (RISEN, RISEN_HIGH)
    )
    first = max(0, risen - round(LOOKED_BEFORE * sample_rate))
    ends = max(low * EDGE, min(LOOKED_FROM, FROM_AT_MOST * high)), min(high / EDGE, fall.drowned_from)
    seen = _seen(clear, quiet, first, sample_rate, ends, high)
    yield
    latest, earliest = (high_up - first) / sample_rate + LATER, (risen - first) / sample_rate - EARLIER
    counts = [math.ceil((latest - earliest + low_pass.delay) / TIME_STEP) for low_pass in fall.low_passes]
    begins = np.asarray(latest - TIME_STEP * np.arange(max(counts)), dtype=np.float64)
    likely, shares = [], []
    for low_pass, count in zip(fall.low_passes, counts, strict=True):
        likelihood = yield from _likelihoods(seen, low_pass, begins[:count])
        likeliest = float(np.max(likelihood))
        part = np.sum(np.exp(likelihood - likeliest), axis=1)
        likely.append(LOW_PASS_TRUST * (likeliest + math.log(float(np.sum(part)))))
        shares.append(np.pad(part / np.sum(part), (0, begins.size - count)))
    weight = np.exp(np.array(likely) - max(likely))
    weight /= np.sum(weight)
    share = weight @ np.array(shares)
    mean = float(np.sum(share * begins))
    deviation = math.sqrt(float(np.sum(share * (begins - mean) ** 2)) + TIME_STEP**2 / 12)
    least_error = TURNS_AHEAD / high if high < NO_EDGE_UNDER else 0.0
    return first / sample_rate + mean, max(SURE * deviation, least_error)


def _without_ringing(response: FloatArray, sample_rate: float) -> FloatArray:
    """A response without what is under `RINGS_UNDER`."""
    fade = round(QUIET_RISE * sample_rate)
    size = good_size(response.size + response.size // 4)
    frequency = np.asarray(np.fft.rfftfreq(size, 1 / sample_rate), dtype=np.float64)
    spectrum = np.fft.rfft(response * window_of(fade, response.size - fade), size)
    return np.asarray(np.fft.irfft(spectrum * _kept(frequency), size)[: response.size], dtype=np.float64)


def _kept(frequency: FloatArray) -> ComplexArray:
    """What is left of each frequency, Hz, without ringing: a ratio."""
    return _butterworth(RINGING_ORDER, RINGS_UNDER / (1j * np.maximum(frequency, 1.0)))


def _seen(
    response: FloatArray,
    quiet: int,
    first: int,
    sample_rate: float,
    ends: tuple[float, float],
    high: float,
) -> Seen:
    """A piece of a response between two frequencies, and its noise, which rises with frequency."""
    part = response[first : first + round(LOOKED_FOR * sample_rate)]
    rise = round(RISE_TIME * sample_rate)
    window = window_of(rise, part.size - rise, 0.3)
    frequency = np.asarray(np.fft.rfftfreq(part.size, 1 / sample_rate), dtype=np.float64)
    inside = (frequency >= ends[0]) & (frequency <= ends[1])
    inside[int(np.argmin(np.abs(frequency - ends[0])))] = True  # Of the shortest sweep too there is one.
    looked = frequency[inside]
    top = np.asarray(np.geomspace(NOISE_FROM * high, FITTED_TO * high, 20), dtype=np.float64)
    bell = np.hanning(quiet)
    floor = half_octaves(response[:quiet] * bell, sample_rate, np.concatenate([top, looked]))
    # Even noise leaves a sweep rising by 3 dB an octave; a vehicle's may be louder than that where it is low.
    rising = math.exp(float(np.mean(np.log(floor[: top.size] / top)))) * looked
    power = np.maximum(rising, floor[top.size :] / np.abs(_kept(looked)) ** 2) / float(np.sum(bell**2))
    spectrum = np.fft.rfft(part * window)[inside] / _kept(looked)
    noise = np.sqrt(power * float(np.sum(window**2)) / 2)
    return Seen(looked, spectrum, np.maximum(noise, LEAST_NOISE * np.max(np.abs(spectrum))))


def _likelihoods(seen: Seen, low_pass: LowPass, begins: FloatArray) -> InParts[FloatArray]:
    """Logarithms of how likely each beginning is, s, the latest first, for each of `STRENGTHS`."""
    heard = _both_parts(seen.spectrum / seen.noise)
    power = float(np.median(np.abs(seen.spectrum / low_pass.passed(seen.frequency)))) ** 2
    later = begins[0] + TIME_STEP * np.arange(1, round(LAST_REFLECTION / TIME_STEP))
    pulses, directs = seen.heard_at(later, low_pass), seen.heard_at(begins, low_pass)
    # Each kind of reflection as a covariance; with every step earlier the last direct sound becomes one more.
    kinds = [
        (pulses * (strength * TIME_STEP * np.exp((begins[0] - later) / fading))) @ pulses.T
        for strength, fading in REFLECTIONS
    ]
    yield
    count = heard.size
    matrix = np.zeros((count + 2, count + 2))
    diagonal = np.arange(count)
    found = np.empty((begins.size, len(STRENGTHS)))
    for place in range(begins.size):
        direct = directs[:, place]
        reflected = np.sum(kinds, axis=0)
        for number, strength in enumerate(STRENGTHS):
            matrix[:count, :count] = strength * power * reflected
            matrix[diagonal, diagonal] += 1
            found[place, number] = _likelihood(matrix, heard, direct, strength * power)
        kinds = [
            (kind + (strength * TIME_STEP) * np.outer(direct, direct)) * math.exp(-TIME_STEP / fading)
            for kind, (strength, fading) in zip(kinds, REFLECTIONS, strict=True)
        ]
        if place % 10 == 9:
            yield
    return found


FREE = 1e15
"""A variance so large that what stands in its row is bound by nothing."""


def _likelihood(matrix: FloatArray, heard: FloatArray, direct: FloatArray, power: float) -> float:
    """Logarithm of how likely what was heard is, with a direct sound of that power and what else there is.

    The matrix's last two rows are free, and are written: with both vectors in them one factorisation solves
    for both.
    """
    matrix[-2, :-2], matrix[-1, :-2] = heard, direct
    matrix[-2, -2] = matrix[-1, -1] = FREE
    factor = np.linalg.cholesky(matrix)
    rest, sound = factor[-2, :-2], factor[-1, :-2]
    gain = 1 + power * float(sound @ sound)
    fits = float(rest @ rest) - power * float(sound @ rest) ** 2 / gain
    return -float(np.sum(np.log(np.diag(factor)[:-2]))) - (fits + math.log(gain)) / 2


def _both_parts(values: ComplexArray) -> FloatArray:
    """Real parts, then imaginary ones."""
    return np.asarray(np.concatenate([values.real, values.imag]), dtype=np.float64)
