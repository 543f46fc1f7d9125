"""Two feeds on the two channels of one recording: levels and phases by one clock, from one start."""

import math
from dataclasses import dataclass

import numpy as np

from calculators.declaring import Advice, Curve, InputError, Kept, Steps, lived
from calculators.physics import decibels, deconvolution, impulse_responses
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.deconvolution import Inverse
from calculators.physics.in_parts import InParts
from calculators.physics.sweeps import Signal
from calculators.vocabulary import measuring, measuring_faults
from calculators.vocabulary.measuring import BEFORE, Clock, Gate, Tape
from calculators.vocabulary.recordings import read_recording

KEPT_AFTER = 0.3
"""Seconds of a feed's response that are kept: a wire has no room, and the bass is short of that."""
POINTS_PER_OCTAVE = 48
HIGHEST_SHOWN = 20e3
INSIDE_SWEEP = 1.1
"""By how much less than the sweep's own band is shown: its ends are faded."""


@dataclass(frozen=True)
class RecordedFeeds:
    """Both feeds, and the lesser of their sweeps over noise, dB."""

    low: Curve
    high: Curve
    signal_to_noise: float


def unread_advice(given: str, recording: Kept | None) -> tuple[Advice, ...]:
    """That a recording was chosen and not read, so that nobody takes another answer for what was measured."""
    if recording is None or given == "recorded":
        return ()
    words = (
        f"{recording.name} is not read: nothing here was measured in it. Say that the feeds are "
        "“a recording of the measuring sweep”, or take the file away."
    )
    return (Advice("recording", words),)


def recorded_feeds(recording: Kept, signal: Signal) -> Steps[RecordedFeeds]:
    """The first channel as the low feed, the second as the high one.

    Raises InputError where either is damaged, the noise or the clocks are not known, or the gain moved.
    """
    tapes = []
    for channel in (1, 2):
        try:
            samples, rate, _ = yield from read_recording(recording, "recording", channel)
        except InputError as error:
            if error.field != "recording":
                message = "This recording has one channel: both feeds must be in it, one on each."
                raise InputError("recording", message) from None
            raise
        tapes.append(Tape(samples, rate, signal))
        measuring_faults.refuse_silent(tapes[-1])
    fuller = max(tapes, key=lambda tape: float(np.sum(np.square(tape.samples, dtype=np.float64))))
    place = yield from measuring.found_place(fuller)
    silences = [measuring.silence_on(tape, place) for tape in tapes]
    for tape, silence in zip(tapes, silences, strict=True):
        measuring_faults.refuse_damaged(tape, place, silence)
    step = "Finding how the clocks run", 0.6
    work = deconvolution.inverse_of(signal.sweep, fuller.sample_rate, fuller.size)
    inverse = yield from lived(work, *step)
    clock = yield from lived(measuring.clock_of(fuller, inverse, place), *step)
    work = deconvolution.inverse_of(signal.sweep, fuller.sample_rate, fuller.size, clock.stretch)
    inverse = yield from lived(work, "Taking the sweep out", 0.75)
    ratios = []
    for tape, silence in zip(tapes, silences, strict=True):
        trusted = _trusted(tape, inverse, clock, place, silence)
        ratios.append((yield from lived(trusted, "Looking at the softer sweep", 0.9)))
    low, high = yield from lived(_curves(tapes, inverse, place), "Working out both curves", 0.95)
    return RecordedFeeds(low, high, min(ratios))


def _trusted(tape: Tape, inverse: Inverse, clock: Clock, place: float, silence: FloatArray) -> InParts[float]:
    """Sweep over noise of one feed, dB. Raises InputError where levels or phases cannot be trusted."""
    ratio = measuring_faults.signal_to_noise(tape, place, silence, "wire")
    if ratio is None:
        raise InputError(
            "recording",
            "Digital silence: the noise is not known. Record over a wire, and not inside the player."
            if silence.size
            else "No silence was recorded: record 3 s before the sweep.",
        )
    if clock.drift is None:
        raise InputError(
            "recording",
            "How the two clocks run was not found, so no delay can be told: record again, at the sample rate "
            "of the interface.",
        )
    one = yield from measuring.heard(tape, inverse, clock, place, 0)
    kept = Gate(min(KEPT_AFTER, tape.signal.gap), None)
    spectrum = measuring.spectrum_of(tape, inverse, one, kept, silence)
    inside = measuring.bands_inside(spectrum, tape.signal.sweep.low, tape.signal.sweep.high, tape.sample_rate)
    steps = yield from measuring.marker_steps(tape, place, clock)
    if moved := measuring_faults.gain_moved(spectrum, inside, kept, clock, steps, ratio):
        raise InputError(
            "recording",
            f"Something turns the gain by itself: {moved}. Turn automatic gain off in the recorder; if it is "
            "the unit, sum nothing of it.",
        )
    return ratio


def _curves(tapes: list[Tape], inverse: Inverse, place: float) -> InParts[list[Curve]]:
    """Both responses, cut at the same places, so that what one is late stays in its phase."""
    rate, sweep = tapes[0].sample_rate, tapes[0].signal.sweep
    begin = round((place - BEFORE) * rate)
    responses = []
    for tape in tapes:
        responses.append((yield from measuring.impulse(tape, inverse, begin)))
    fuller = max(responses, key=lambda response: float(np.max(np.abs(response))))
    at, before = int(np.argmax(np.abs(fuller))), round(BEFORE * rate)
    after = round(min(KEPT_AFTER, tapes[0].signal.gap) * rate)
    top = min(HIGHEST_SHOWN, sweep.high / INSIDE_SWEEP, 0.45 * rate)
    count = int(POINTS_PER_OCTAVE * math.log2(top / (INSIDE_SWEEP * sweep.low)))
    frequency = INSIDE_SWEEP * sweep.low * 2 ** (np.arange(count + 1) / POINTS_PER_OCTAVE)
    return [
        _curve(frequency, impulse_responses.windowed(response, at, before, after), before, rate)
        for response in responses
    ]


def _curve(frequency: FloatArray, part: FloatArray, before: int, rate: float) -> Curve:
    size = 1 << math.ceil(math.log2(4 * part.size))
    grid = np.fft.rfftfreq(size, 1 / rate)
    spectrum = np.fft.rfft(part, size) * np.exp(2j * np.pi * grid * before / rate)
    gain: ComplexArray = np.asarray(
        np.interp(frequency, grid, spectrum.real) + 1j * np.interp(frequency, grid, spectrum.imag)
    )
    return Curve(
        tuple(frequency.tolist()), tuple(decibels.level(gain).tolist()), tuple(decibels.phase(gain).tolist())
    )
