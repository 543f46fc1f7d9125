"""What an impulse response tells: level by band, phase, arrival, polarity, decay."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.in_parts import InParts

EDGE_SLOPE_OCTAVES = 1 / 3
"""Octaves at a band's edge whose slope is taken to go on outside it."""


def window_of(before: int, after: int, fade_share: float = 0.4) -> FloatArray:
    """Weight (ratio, 0 to 1) that keeps what lies around a place: a rise, a flat top, a fall.

    before, after: number of samples before the place and from it on. fade_share: part of those after in
    which it falls.
    Source: raised cosine, common practice.
    """
    rise = np.sin(np.pi / 2 * (np.arange(before) + 0.5) / max(before, 1)) ** 2
    falling = max(1, round(after * fade_share))
    fall = np.cos(np.pi / 2 * (np.arange(falling) + 0.5) / falling) ** 2
    return np.concatenate([rise, np.ones(max(0, after - falling)), fall])


def power_behind(density: FloatArray, window: FloatArray) -> FloatArray:
    """Mean power (ratio) of noise behind a window: a line of hum is spread over its neighbours.

    density: power for each sample, ratio, one for each frequency of a real transform. window: weight, ratio,
    at most half as long as that transform.
    Source: the density convolved with the window's power spectrum, textbook; by both autocorrelations.
    """
    size = 2 * (density.size - 1)
    overlap = np.fft.irfft(np.abs(np.fft.rfft(window, size)) ** 2, size)
    power = np.fft.rfft(np.fft.irfft(density, size) * overlap).real
    return np.asarray(np.maximum(power, 0.0), dtype=np.float64)


def windowed(response: FloatArray, at: int, before: int, after: int) -> FloatArray:
    """The part of an impulse response (ratio) around a place, softly cut; it begins `before` samples earlier.

    at: place, in samples; a response goes round, so places below 0 are its end. before, after: number of
    samples.
    Source: as in `window_of`.
    """
    places = np.arange(at - before, at + after)
    return np.asarray(np.take(response, places, mode="wrap") * window_of(before, after), dtype=np.float64)


def spectrum_of(
    part: FloatArray, begins: float, arrival: float, sample_rate: float, size: int
) -> ComplexArray:
    """Spectrum (ratio) of a cut response, with the flight time taken out.

    part: ratio, samples. begins, arrival: s, where it begins and where time is counted from. sample_rate: Hz.
    size: number of samples of the transform.
    Source: shift theorem, textbook.
    """
    turn = 2 * np.pi * np.fft.rfftfreq(size, 1 / sample_rate)
    return np.asarray(np.fft.rfft(part, size) * np.exp(1j * turn * (arrival - begins)), dtype=np.complex128)


def gated_spectrum(
    response: FloatArray,
    at: int,
    before: int,
    gate: float,
    cycles: float | None,
    arrival: float,
    sample_rate: float,
    size: int,
) -> ComplexArray:
    """Spectrum (ratio) of what arrives within a gate, or within so many cycles of each frequency.

    response: impulse response, ratio. at: place of the direct sound, samples. before: number of samples kept
    before it. gate: s. cycles: number, or None. arrival: s, where time is counted from. sample_rate: Hz.
    size: number of samples of the transform.
    Source: Hatziantoniou and Mourjopoulos, J. Audio Eng. Soc. 48 (2000) 259 (windows by frequency).
    """

    def whole(length: float) -> ComplexArray:
        after = max(2, round(length * sample_rate))
        part = windowed(response, at, before, after)
        return spectrum_of(part, (at - before) / sample_rate, arrival, sample_rate, size)

    if cycles is None:
        return whole(gate)
    frequency = np.fft.rfftfreq(size, 1 / sample_rate)
    longest = cycles / gate
    centres = longest * 2.0 ** np.arange(math.ceil(math.log2(sample_rate / 2 / longest)) + 1)
    place = np.clip(np.log2(np.maximum(frequency, longest) / longest), 0, centres.size - 1)
    total = np.zeros(frequency.size, dtype=np.complex128)
    for number, centre in enumerate(centres):
        share = np.clip(1 - np.abs(place - number), 0.0, 1.0)
        if np.any(share > 0):
            total += share * whole(cycles / centre)
    return total


def band_means(values: FloatArray, frequency: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    """Means (ratio) of values over bands, every octave weighing alike.

    values: ratio, one for each frequency. frequency: Hz, rising evenly from 0. low, high: Hz, the bands'
    edges, above 0.
    Source: definition (pink weighting); IEC 61260-1 for the edges.
    """
    place = np.log(frequency[1:])
    heights = values[1:]
    steps = np.diff(place) * (heights[1:] + heights[:-1]) / 2
    sums = np.concatenate([[0.0], np.cumsum(steps)])
    left, right = np.log(low), np.log(high)

    def at(where: FloatArray) -> FloatArray:
        # Between two frequencies the values run straight, so their sum runs along a parabola.
        index = np.clip(np.searchsorted(place, where) - 1, 0, place.size - 2)
        part = where - place[index]
        slope = (heights[index + 1] - heights[index]) / (place[index + 1] - place[index])
        return np.asarray(sums[index] + part * (heights[index] + slope * part / 2), dtype=np.float64)

    return np.asarray((at(right) - at(left)) / (right - left), dtype=np.float64)


def smoothed(spectrum: ComplexArray, frequency: FloatArray, at: FloatArray, octaves: float) -> ComplexArray:
    """A spectrum (ratio) averaged over bands: its power for the size, its sum for the phase.

    frequency: Hz. at: Hz, above 0. octaves: octaves, the width of the bands.
    Source: IEC 61260-1 for the edges, f·2^(±octaves/2).
    """
    low, high = at * 2 ** (-octaves / 2), at * 2 ** (octaves / 2)
    size = np.sqrt(np.maximum(band_means(spectrum.real**2 + spectrum.imag**2, frequency, low, high), 0.0))
    real, imaginary = (band_means(part, frequency, low, high) for part in (spectrum.real, spectrum.imag))
    return np.asarray(size * np.exp(1j * np.arctan2(imaginary, real)), dtype=np.complex128)


def group_delay(spectrum: ComplexArray, frequency: FloatArray, at: FloatArray, octaves: float) -> FloatArray:
    """By how much, s, a narrow tone burst of each frequency is late; what is loud weighs more.

    spectrum: ratio, at frequency: Hz, rising evenly from 0. at: Hz, above 0. octaves: octaves, the width of
    the bands over which it is averaged.
    Source: definition, the negative slope of the phase over angular frequency; the averaged turn from one
    frequency to the next stands for the slope.
    """
    turn = spectrum[1:] * np.conj(spectrum[:-1])
    middle = (frequency[1:] + frequency[:-1]) / 2
    low, high = at * 2 ** (-octaves / 2), at * 2 ** (octaves / 2)
    real, imaginary = (band_means(part, middle, low, high) for part in (turn.real, turn.imag))
    return np.asarray(-np.arctan2(imaginary, real) / (2 * np.pi * frequency[1]), dtype=np.float64)


def least_phase(level: FloatArray) -> FloatArray:
    """Phase, rad, of the system of least delay that has these levels, known from 0 to half the sample rate.

    level: dB, at frequencies that rise evenly. Source: as in `minimum_phase`.
    """
    size = 2 * (level.size - 1)
    cepstrum = np.fft.irfft(level * (math.log(10) / 20), size)
    cepstrum[1 : size // 2] *= 2
    cepstrum[size // 2 + 1 :] = 0
    return np.asarray(np.fft.rfft(cepstrum, size).imag, dtype=np.float64)


def minimum_phase(level: FloatArray, frequency: FloatArray, low: float, high: float) -> FloatArray:
    """Phase, degrees, of the system of least delay that has these levels.

    level: dB, at frequency: Hz, rising evenly from 0 to half the sample rate. low, high: Hz, the band in
    which the levels are known; outside they go on with the slope that they have at its edges.
    Source: Hilbert transform of the logarithm, by the cepstrum (Oppenheim and Schafer, Discrete-Time Signal
    Processing).
    """
    known = np.array(level)
    place = np.log2(np.maximum(frequency, frequency[1] / 2))
    for edge, outside, inwards in ((low, frequency < low, 1), (high, frequency > high, -1)):
        near = np.sort([edge, edge * 2 ** (inwards * EDGE_SLOPE_OCTAVES)])
        chosen = (frequency >= near[0]) & (frequency <= near[1])
        if np.count_nonzero(chosen) < 2:
            continue
        slope, start = np.polyfit(place[chosen] - math.log2(edge), known[chosen], 1)
        # A slope may only fall away from the band, and a passband's own ripple does not go on.
        slope = max(slope, 0.0) if inwards == 1 else min(slope, 0.0)
        known[outside] = np.maximum(start + slope * (place[outside] - math.log2(edge)), start - 80)
    return np.degrees(least_phase(known))


SOFT_OCTAVES = 1.5
"""Octaves under a sweep's top over which it is faded out before a beginning is looked for, so that nothing
rings in front of it by more than an eighth."""
STANDS_OUT = 0.15
MOST_MISSING = 0.075
"""How much may be missing under a sweep's start, as a part of what was swept."""
START_BAND = (1.05, 1.5)
"""Where the response is looked at for that, as parts of the sweep's start."""
ONSET_SHARE = 0.1
FINER = 16
RISE_FACTOR, TOP_FACTOR = 1.5, 1.6
"""How a beginning follows from the rise of the first excursion and the sweep's top; fitted to 120 simulated
tweeters and 120 doors, whose delay was known: 95 % lie within 5 and 35 µs."""
ERROR_FACTOR, BARE_RISE, OWN_SHARE = 0.07, 0.75, 1.35
"""Within how much that is: what the sweep's top leaves open, and a part of what the speaker's own top adds to
the rise, for its order is not known. Fitted to 50 pairs of each; the long tests count it on others."""
BASS_TO = 1000.0
"""Hz: what is swept or plays no higher begins as a subwoofer does: the first reflections of a cabin stand
within its rise."""
PLAYS_WITHIN = 20.0
"""dB under its loudest half octave within which a speaker is taken to play."""
LOWEST_PLAYED = 20.0
"""Hz, from where on that is looked at."""


def softened(response: FloatArray, sample_rate: float, high: float) -> InParts[FloatArray]:
    """An impulse response (ratio) without the edge that the sweep's end cuts into it.

    response: ratio. sample_rate: Hz. high: Hz, where the sweep ends.
    Source: raised cosine over `SOFT_OCTAVES`.
    """
    frequency = np.fft.rfftfreq(response.size, 1 / sample_rate)
    share = np.clip(np.log2(high / np.maximum(frequency, 1.0)) / SOFT_OCTAVES, 0.0, 1.0)
    yield
    spectrum = np.fft.rfft(response)
    yield
    spectrum *= np.sin(np.pi / 2 * share) ** 2
    yield
    soft = np.fft.irfft(spectrum, response.size)
    yield
    return np.asarray(soft, dtype=np.float64)


@dataclass(frozen=True)
class Beginning:
    """How a response begins.

    time: s, from the first sample to where the sound comes in. error: s, within which 95 of 100 simulated
    speakers lay. sign: number, 1 or -1, of the first excursion. certain: whether that sign is beyond doubt.
    rings: whether so much is missing under the sweep's start that the response rings ahead of its arrival:
    then neither the time nor the sign counts. bass_alone: whether it plays so low that no sign is certain.
    """

    time: float
    error: float
    sign: int
    certain: bool
    rings: bool
    bass_alone: bool


def rings_ahead(response: FloatArray, sample_rate: float, low: float, high: float) -> bool:
    """Whether a sweep began so far inside a speaker's band that its response rings ahead of its arrival.

    response: softened, ratio, the direct sound within. sample_rate: Hz. low, high: Hz, the sweep's ends.
    What is missing, as high as the response stands where the sweep begins, is compared with what was swept.
    Source: rule of the project's own, fitted to simulated tweeters and doors: in each that was told early or
    upside down the missing part is over 0.085 of the rest.
    """
    size = 4 * response.size
    frequency = np.fft.rfftfreq(size, 1 / sample_rate)
    height = np.abs(np.fft.rfft(response, size))
    begins = height[(frequency > START_BAND[0] * low) & (frequency < START_BAND[1] * low)]
    swept = float(np.sum(height[(frequency > low) & (frequency < high)]) * frequency[1])
    return bool(begins.size) and low * float(np.mean(begins)) > MOST_MISSING * swept


def beginning_of(response: FloatArray, sample_rate: float, low: float, high: float) -> Beginning:
    """Where a response begins, s, and which way it goes first.

    response: softened, ratio, the direct sound within. sample_rate: Hz. low, high: Hz, the sweep's ends;
    low is 0 for a response that lacks nothing.
    The first excursion over a part of the largest counts, not the largest: through correct filters the
    largest is often the other way round. Of bass alone no sign is certain: reflections that come upside down
    within its rise, and together are stronger than the direct sound, turn the first excursion over.
    Source: search of the project's own, fitted to simulations.
    """
    peak = int(np.argmax(np.abs(response)))
    start = max(0, peak - round(0.02 * sample_rate))
    part = response[start : peak + 64]
    spectrum = np.fft.rfft(part, 2 * part.size)
    fine = np.fft.irfft(spectrum, 2 * part.size * FINER)[: part.size * FINER] * FINER
    first = _first_turn(fine, STANDS_OUT)
    sign = 1 if fine[first] > 0 else -1
    opposite = np.flatnonzero(-sign * fine[first:] > 0)
    after = fine[first + int(opposite[0]) :] if opposite.size else fine[:1] * 0
    second = float(np.max(-sign * after[: max(1, 4 * first)])) if after.size else 0.0
    shares = (0.1, STANDS_OUT, 0.3) if high < BASS_TO else (STANDS_OUT, 0.3)
    alike = all((fine[_first_turn(fine, share)] > 0) == (sign > 0) for share in shares)
    height = abs(float(fine[first]))
    # No rise is longer than two cycles of the sweep's top: what is slower rings from its low end.
    place, last = first, max(0, first - round(2 * FINER * sample_rate / high))
    while place > last and sign * fine[place] > ONSET_SHARE * height:
        place -= 1
    crossing = (start + place / FINER) / sample_rate
    rise = (first - place) / FINER / sample_rate
    time = crossing - RISE_FACTOR * rise + TOP_FACTOR / high
    error = ERROR_FACTOR / high + OWN_SHARE * max(0.0, rise - BARE_RISE / high)
    rings = rings_ahead(response, sample_rate, low, high)
    bass_alone = high <= BASS_TO or plays_to(response, sample_rate, high) < BASS_TO
    certain = alike and height > 0.2 * second and not rings and not bass_alone
    return Beginning(time, error, sign, certain, rings, bass_alone)


def plays_to(response: FloatArray, sample_rate: float, high: float) -> float:
    """Up to where, Hz, a speaker plays: there a half octave last stands within `PLAYS_WITHIN` of the loudest.

    response: softened, ratio, the direct sound within. sample_rate: Hz. high: Hz, where the sweep ends.
    Source: definition of the project's own.
    """
    at = np.asarray(np.geomspace(min(LOWEST_PLAYED, high / 32), 0.8 * high, 200), dtype=np.float64)
    power = half_octaves(response, sample_rate, at)
    return float(at[np.flatnonzero(power > np.max(power) * 10 ** (-PLAYS_WITHIN / 10))[-1]])


def half_octaves(response: FloatArray, sample_rate: float, at: FloatArray) -> FloatArray:
    """Power, a ratio, of the half octaves around frequencies.

    response: ratio. sample_rate: Hz. at: Hz, above 0.
    Source: definition (pink weighting).
    """
    size = 4 * response.size
    power = np.asarray(np.abs(np.fft.rfft(response, size)) ** 2, dtype=np.float64)
    frequency = np.asarray(np.fft.rfftfreq(size, 1 / sample_rate), dtype=np.float64)
    return np.maximum(band_means(power, frequency, at * 2**-0.25, at * 2**0.25), 1e-30)


def _first_turn(values: FloatArray, least: float) -> int:
    """Place of the first turn over a part of the largest."""
    size = np.abs(values)
    turns = np.flatnonzero((size[1:-1] >= size[:-2]) & (size[1:-1] > size[2:])) + 1
    high = turns[size[turns] >= least * float(np.max(size))]
    return int(high[0]) if high.size else int(np.argmax(size))


def decay_curve(response: FloatArray) -> FloatArray:
    """Level, dB, of what is still to come, against the whole (backward integration).

    response: ratio, from the direct sound on.
    Source: Schroeder, J. Acoust. Soc. Am. 37 (1965) 409; ISO 3382-1.
    """
    left = np.cumsum(response[::-1] ** 2)[::-1]
    return np.asarray(10 * np.log10(np.maximum(left / max(left[0], 1e-300), 1e-20)), dtype=np.float64)
