"""From a recording and the sweep's settings to what a speaker did: the steps, and what comes of them."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calculators.declaring import InputError, Steps, lived
from calculators.physics import bass_arrivals, deconvolution, excess_phase, impulse_responses
from calculators.physics.arrays import ComplexArray, FloatArray, power_of
from calculators.physics.bands import exact_third_octaves, third_octave_edges
from calculators.physics.deconvolution import MOST_DRIFT, Inverse
from calculators.physics.impulse_responses import Beginning
from calculators.physics.in_parts import InParts
from calculators.physics.sweeps import MARKER_PAUSE, SECOND_SHARE, Signal, envelope, harmonic_lead
from calculators.vocabulary.recordings import Samples

BEFORE = 0.02
"""Seconds kept before the direct sound."""
AHEAD, NOISE_ALONE, HEARD_AFTER = 0.08, 0.06, 0.12
"""Seconds more ahead of that, where a bass speaker is looked at; how much of it is noise alone; and how many
after its direct sound."""
STEP = -20 * math.log10(SECOND_SHARE)
"""dB from the first sweep to the second."""
HARMONICS = (2, 3, 4, 5)
NOISE_FLOOR = 10.0
"""dB over noise from which on a band is shown."""
HARMONIC_CYCLES = 8
"""A harmonic's own window holds so many of its cycles, or it is not told from its neighbour."""
SURE_TOGETHER = 210.0
"""Power over noise, times how many values of their own stand in it, from which on noise moves a harmonic by
less than 1 dB in 98 of 100: a standard deviation of 0.42 dB."""
THIRD_OCTAVE = 2 ** (1 / 6) - 2 ** (-1 / 6)
LONGEST_TAIL = 1.0
LARGEST_TRANSFORM = 1 << 21
NEXT_TO_NOTHING = 1e-30
FARTHEST_DRIFT = 2e-3
"""As far as a wrong clock is looked for, as a ratio."""
ONE_SPEAKER, LIKE_FOR = 0.999, 0.06
"""How alike the responses of one speaker are, played twice, over so many seconds."""
LIKE_ENOUGH = 0.9
"""How alike the two sweeps' responses are, or nothing is said of the clocks."""


type Bands = NDArray[np.bool_]
"""Yes or no for each third octave."""


@dataclass(frozen=True)
class Tape:
    """One channel of a recording, and the signal that is looked for on it."""

    samples: Samples
    sample_rate: float
    signal: Signal

    def piece(self, start: int, count: int) -> FloatArray:
        """So many samples from a place on; zeros where there are none."""
        low, high = max(0, start), min(self.samples.size, start + count)
        found = np.zeros(count)
        if low < high:
            found[low - start : high - start] = self.samples[low:high]
        return found

    @property
    def frames(self) -> int:
        """How many samples one sweep takes."""
        return self.signal.sweep.frames(self.sample_rate)

    @property
    def size(self) -> int:
        """Size of the transform that holds a sweep and what follows it."""
        tail = min(self.signal.gap, LONGEST_TAIL)
        return deconvolution.good_size(self.frames + round((BEFORE + tail) * self.sample_rate))


@dataclass(frozen=True)
class Clock:
    """How the recorder's clock runs against the player's; ``drift`` is None where that was not found.

    ``far``: the two sweeps are alike, and further apart than two clocks can run.
    """

    drift: float | None
    error: float
    far: float | None = None

    @property
    def stretch(self) -> float:
        """How much longer a time is on the recorder."""
        return 1 + (self.drift or 0.0)


@dataclass(frozen=True)
class Heard:
    """One play: its impulse response from ``BEFORE`` on, the softer sweep's too, and how it begins.

    ``time`` is by the player's clock, in s, against where the signal puts the play; ``by_phase`` is the same
    by the slope of its excess phase, None for what is no wide-band driver. ``repeats``: where it is the same
    speaker as the first play's, within how many s the time from that one to it is known.
    """

    response: FloatArray
    softer: FloatArray
    beginning: Beginning
    time: float
    by_phase: float | None
    repeats: float | None = None

    @property
    def method(self) -> str:
        """How its arrival was found."""
        if self.beginning.bass_alone:
            return "likeliest beginning behind its low-pass: never to align a subwoofer by"
        onset = "onset of the direct sound"
        return onset if self.by_phase is None else f"{onset}; beside it by the slope of its excess phase"


def found_place(tape: Tape) -> Steps[float]:
    """Where the first play's first sweep stands on the tape, s.

    Raises InputError where there is none, or only one of the two.
    """
    signal, rate = tape.signal, tape.sample_rate
    size = deconvolution.good_size(2 * tape.frames)
    if size > LARGEST_TRANSFORM:
        raise InputError("recording", "So long a sweep at that sample rate is too much: record at 48 kHz.")
    step = "Looking for the sweep"
    finder = yield from lived(deconvolution.finder_of(signal.sweep, rate, size), step, 0.1)
    block = max(1, round(deconvolution.BLOCK_TIME * rate))
    hop = (size - tape.frames) // block * block
    energy = []
    for start in range(0, tape.samples.size, hop):
        kept = min(hop, tape.samples.size - start)
        work = deconvolution.pressed_energy(tape.piece(start, size), finder, kept)
        energy.append((yield from lived(work, step, 0.1 + 0.4 * start / tape.samples.size)))
    try:
        place = deconvolution.place_of(np.concatenate(energy), block / rate, signal)
    except ValueError as error:
        raise InputError("recording", str(error)) from None
    if place.quality < deconvolution.FOUND_AT:
        raise InputError(
            "recording",
            "Only one of the two sweeps is on this recording: let it run to the end of the file."
            if place.alone
            else "No sweep with these settings is on this recording: compare low, high, length and pause "
            "with those of the file that was played.",
        )
    return place.start


def clock_of(tape: Tape, inverse: Inverse, place: float) -> InParts[Clock]:
    """The recorder's clock, from how far apart the two like sweeps stand."""
    rate, spacing = tape.sample_rate, tape.signal.spacing
    begins = [round((place + at - BEFORE) * rate) for at in (0.0, spacing)]
    part = round((BEFORE + min(0.08, tape.signal.gap)) * rate)
    first = (yield from impulse(tape, inverse, begins[0]))[:part]
    second = (yield from impulse(tape, inverse, begins[1]))[:part]
    lag = deconvolution.lag_between(first, second, rate, MOST_DRIFT * spacing + 2 / rate)
    drift = ((begins[1] - begins[0]) / rate + lag.time) / spacing - 1
    if lag.likeness > LIKE_ENOUGH and abs(drift) < MOST_DRIFT:
        return Clock(drift, 2 * lag.error / spacing)
    wide = deconvolution.lag_between(first, second, rate, FARTHEST_DRIFT * spacing)
    far = ((begins[1] - begins[0]) / rate + wide.time) / spacing - 1
    alike = wide.likeness > LIKE_ENOUGH and abs(far) > MOST_DRIFT
    return Clock(None, 2 * lag.error / spacing, far if alike else None)


def impulse(tape: Tape, inverse: Inverse, begin: int) -> InParts[FloatArray]:
    """Impulse response of a sweep that begins at a sample."""
    return deconvolution.impulse_of(tape.piece(begin, inverse.size), inverse)


def heard(tape: Tape, inverse: Inverse, clock: Clock, place: float, number: int) -> InParts[Heard]:
    """One play of the signal, its clock put right."""
    signal, rate = tape.signal, tape.sample_rate
    offset = signal.play(number).first - signal.play(0).first
    begins = [
        round((place + (offset + more) * clock.stretch - BEFORE) * rate) for more in (0.0, signal.spacing)
    ]
    response = yield from impulse(tape, inverse, begins[0])
    softer = yield from impulse(tape, inverse, begins[1])
    near = round((BEFORE + 0.06) * rate)
    soft = yield from impulse_responses.softened(response, rate, signal.sweep.high)
    beginning = impulse_responses.beginning_of(soft[:near], rate, signal.sweep.low, signal.sweep.high)
    if beginning.bass_alone:
        ahead, quiet = round(AHEAD * rate), round(NOISE_ALONE * rate)
        part = np.take(response, np.arange(-ahead, round((BEFORE + HEARD_AFTER) * rate)), mode="wrap")
        highest = min(signal.sweep.high, impulse_responses.BASS_TO)
        onset, error = yield from bass_arrivals.bass_onset(part, quiet, rate, signal.sweep.low, highest)
        beginning = replace(beginning, time=onset - ahead / rate, error=error)
    by_phase = None
    if not (beginning.bass_alone or beginning.rings):
        by_phase = excess_phase.arrival_by_excess_phase(
            response[:near], rate, beginning.time, signal.sweep.low, signal.sweep.high
        )

    def on_player(time: float) -> float:
        return (begins[0] / rate + time) / clock.stretch - signal.play(number).first

    return Heard(
        response,
        softer,
        beginning,
        on_player(beginning.time),
        None if by_phase is None else on_player(by_phase),
    )


def repeated(first: Heard, other: Heard, tape: Tape, clock: Clock) -> Heard:
    """The other play; where both are one speaker's, all of its sound tells its time by the first's."""
    near = round((BEFORE + LIKE_FOR) * tape.sample_rate)
    lag = deconvolution.lag_between(
        first.response[:near], other.response[:near], tape.sample_rate, LIKE_FOR / 2
    )
    if lag.likeness < ONE_SPEAKER:
        return other
    apart = lag.time - (other.beginning.time - first.beginning.time)
    later = other.time - first.time + apart / clock.stretch
    return replace(
        other,
        beginning=replace(other.beginning, time=other.beginning.time + apart),
        time=first.time + later,
        by_phase=None if first.by_phase is None else first.by_phase + later,
        repeats=2 * lag.error / clock.stretch,
    )


@dataclass(frozen=True)
class Spectrum:
    """What a play says over frequency: its spectrum, and for each third octave what stands there.

    ``level`` dB; ``over_noise`` dB, None where no silence was recorded; ``step`` dB from the first sweep to
    the second; ``harmonics`` as ratios to the tone that makes them, by that tone's band, 2 to 5;
    ``harmonics_noise`` what noise leaves in a harmonic's window, by the band it lies in.
    """

    frequency: FloatArray
    response: ComplexArray
    level: FloatArray
    over_noise: FloatArray | None
    step: FloatArray
    harmonics: tuple[FloatArray, ...]
    harmonics_noise: FloatArray | None


@dataclass(frozen=True)
class Gate:
    """What is kept: ``length`` s after the direct sound, or so many ``cycles`` of each frequency."""

    length: float
    cycles: float | None


def spectrum_of(tape: Tape, inverse: Inverse, one: Heard, gate: Gate, silence: FloatArray) -> Spectrum:
    """Levels by third octave, against noise, the softer sweep and the harmonics."""
    rate = tape.sample_rate
    size = 1 << max(14, math.ceil(math.log2(2.5 * gate.length * rate)))
    frequency = np.asarray(np.fft.rfftfreq(size, 1 / rate), dtype=np.float64)
    at = round(one.beginning.time * rate)
    before = round(BEFORE * rate)

    def gated(values: FloatArray) -> ComplexArray:
        return impulse_responses.gated_spectrum(
            values, at, before, gate.length, gate.cycles, one.beginning.time, rate, size
        )

    response = gated(one.response)
    power = band_power(power_of(response), frequency)
    # A harmonic is as strong as the tone makes it, and knows nothing of the fade that the inverse undoes.
    faded = envelope(tape.signal.sweep, np.maximum(frequency, 1.0)) ** 2
    harmonics_noise: FloatArray | None = None
    over_noise: FloatArray | None = None
    if silence.size:
        kept = impulse_responses.window_of(before, round(gate.length * rate))
        density = np.interp(frequency, *noise_density(silence, rate))
        density = density * np.interp(frequency, inverse.frequency, power_of(inverse.factor))
        noise = band_power(impulse_responses.power_behind(density, kept), frequency)
        harmonics_noise = band_power(density * faded, frequency)
        over_noise = np.asarray(10 * np.log10(power / noise), dtype=np.float64)
    harmonics, harmonic_kept = [], 1.0
    for number in HARMONICS:
        ratio, harmonic_kept = harmonic_power(tape, one, number, size)
        harmonics.append(np.sqrt(at_multiple(band_power(ratio * faded, frequency), number) / power))
    return Spectrum(
        frequency=frequency,
        response=response,
        level=np.asarray(10 * np.log10(power), dtype=np.float64),
        over_noise=over_noise,
        step=10 * np.log10(power / band_power(power_of(gated(one.softer)), frequency)),
        harmonics=tuple(harmonics),
        harmonics_noise=None if harmonics_noise is None else np.sqrt(harmonics_noise * harmonic_kept),
    )


def band_power(power: FloatArray, frequency: FloatArray) -> FloatArray:
    """Mean power in the 31 third octaves; next to nothing in those above half the sample rate."""
    edges = third_octave_edges()
    inside = edges[:, 1] < frequency[-1]
    found = np.full(edges.shape[0], NEXT_TO_NOTHING)
    low, high = edges[inside].T
    found[inside] = impulse_responses.band_means(power, frequency, low, high)
    return np.maximum(found, NEXT_TO_NOTHING)


def at_multiple(values: FloatArray, number: int) -> FloatArray:
    """For each band the value at so many times its frequency; next to nothing beyond the last band."""
    places = np.arange(values.size) + 10 * math.log10(number)
    return np.asarray(
        np.exp(np.interp(places, np.arange(values.size), np.log(values), right=math.log(NEXT_TO_NOTHING)))
    )


def harmonic_power(tape: Tape, one: Heard, number: int, size: int) -> tuple[FloatArray, float]:
    """Power spectrum of a harmonic's own response, and how much of the noise its window lets through."""
    rate, sweep = tape.sample_rate, tape.signal.sweep
    lead = harmonic_lead(sweep, number)
    half = max(8, round(harmonic_window(tape) * rate))
    at = round((one.beginning.time - lead) * rate)
    part = impulse_responses.windowed(one.response, at, half // 4, half)
    kept = impulse_responses.window_of(half // 4, half)
    return power_of(np.fft.rfft(part, size)), float(np.sum(kept**2))


def harmonic_window(tape: Tape) -> float:
    """How much of a harmonic's response is kept, s: less than half of the way to the next one."""
    nearest = tape.signal.sweep.rate * math.log((HARMONICS[-1] + 1) / HARMONICS[-1])
    return min(0.4 * nearest, 0.1)


def silence_on(tape: Tape, place: float) -> FloatArray:
    """What was recorded before anything played; empty where that is shorter than a quarter of a second."""
    ends = place - tape.signal.play(0).first + tape.signal.play(0).loud[0] if tape.signal.markers else place
    ends -= 0.05
    starts = max(0.0, ends - max(tape.signal.lead - 0.1, 0.0))
    count = round((ends - starts) * tape.sample_rate)
    if count < 0.25 * tape.sample_rate:
        return np.empty(0)
    return tape.piece(round(starts * tape.sample_rate), count)


def noise_density(silence: FloatArray, sample_rate: float) -> tuple[FloatArray, FloatArray]:
    """Frequencies, Hz, and the power of noise in each sample's share of a transform."""
    length = min(1 << 14, 1 << (silence.size.bit_length() - 1))
    window = np.hanning(length)
    starts = range(0, silence.size - length + 1, max(1, length // 2))
    powers = [np.abs(np.fft.rfft(window * silence[start : start + length])) ** 2 for start in starts]
    frequency = np.asarray(np.fft.rfftfreq(length, 1 / sample_rate), dtype=np.float64)
    return frequency, np.asarray(np.mean(powers, axis=0) / float(np.sum(window**2)), dtype=np.float64)


def marker_steps(tape: Tape, place: float, clock: Clock) -> InParts[tuple[float, ...]]:
    """From each loud marker to its soft one, dB; with a recorder that leaves gain alone, 12.04 each."""
    signal, rate = tape.signal, tape.sample_rate
    if not signal.markers:
        return ()
    marker, where = signal.marker, signal.play(0)
    count = round((marker.length + MARKER_PAUSE) * rate)
    size = deconvolution.good_size(2 * count)
    inverse = yield from deconvolution.inverse_of(marker, rate, size, clock.stretch)
    near = round(0.05 * rate)
    steps = []
    for loud, soft in zip(where.loud, where.soft, strict=True):
        energies = []
        for at in (loud, soft):
            begin = round((place + (at - where.first) * clock.stretch) * rate)
            response = yield from impulse(tape, inverse, begin - near // 2)
            energies.append(float(np.sum(response[:near] ** 2)) + NEXT_TO_NOTHING)
        steps.append(10 * math.log10(energies[0] / energies[1]))
    return tuple(steps)


def bands_inside(spectrum: Spectrum, low: float, high: float, sample_rate: float) -> Bands:
    """Which third octaves lie whole between the sweep's fades and stand over the noise."""
    edges = third_octave_edges()
    edge = 2**deconvolution.EDGE_OCTAVES * 0.998  # A band of 16 kHz ends there, if the sweep goes to 20.
    inside = (edges[:, 0] > low * edge) & (edges[:, 1] < min(high / edge, 0.45 * sample_rate))
    if spectrum.over_noise is not None:
        inside &= spectrum.over_noise > NOISE_FLOOR
    # One run of bands without a hole: from the loudest to either side.
    best = int(np.argmax(np.where(inside, spectrum.level, -np.inf)))
    gaps = np.flatnonzero(~inside)
    first = int(gaps[gaps < best].max(initial=-1)) + 1
    last = int(gaps[gaps > best].min(initial=inside.size)) - 1
    places = np.arange(inside.size)
    return np.asarray(inside & (places >= first) & (places <= last), dtype=np.bool_)


def harmonic_of(spectrum: Spectrum, tape: Tape, band: int, place: int) -> float | None:
    """A harmonic as a part of the tone that makes it; None where noise or a neighbour could be it.

    The noise in its place is taken out of it. Where a third octave and the window hold few values of their
    own, noise moves it further: then it must stand higher.
    """
    number, tone = HARMONICS[place], float(exact_third_octaves()[band])
    ratio = float(spectrum.harmonics[place][band])
    highest = min(tape.signal.sweep.high, 0.45 * tape.sample_rate)
    if spectrum.harmonics_noise is None or tone * number * 1.13 > highest:
        return None
    cycles = tone * number * harmonic_window(tape)
    if cycles < HARMONIC_CYCLES:
        return None
    noise = float(at_multiple(spectrum.harmonics_noise, number)[band])
    floor = noise * 10 ** (-float(spectrum.level[band]) / 20)
    least = max(10 ** (NOISE_FLOOR / 10), SURE_TOGETHER / (THIRD_OCTAVE * cycles))
    return math.sqrt(ratio**2 - floor**2) if ratio**2 > least * floor**2 else None
