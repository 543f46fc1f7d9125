"""A recording of the sweep taken apart, and what it is good for."""

from dataclasses import dataclass, replace

import numpy as np

from calculators.declaring import Advice, InputError, Kept, Steps, Working, lived
from calculators.physics import deconvolution
from calculators.physics.arrays import FloatArray
from calculators.physics.bands import third_octave_edges
from calculators.physics.sweeps import Signal
from calculators.vocabulary import measuring, measuring_faults, measuring_loop, recordings
from calculators.vocabulary.measuring import Bands, Clock, Gate, Heard, Spectrum, Tape
from calculators.vocabulary.measuring_tables import begun_later
from calculators.vocabulary.measuring_uses import Facts


@dataclass(frozen=True, eq=False)
class Taken:
    """What was heard of each play, by the clock that both machines have in common.

    ``place``: s, where the first sweep begins on the tape. ``inverse`` takes the sweep out at the clock's
    pace. ``chosen``: number of the play that is shown. ``loop``: None where none was recorded.
    """

    tape: Tape
    place: float
    silence: FloatArray
    inverse: deconvolution.Inverse
    clock: Clock
    loop: measuring_loop.Loop | None
    found: tuple[Heard, ...]
    chosen: int
    notes: tuple[Advice, ...]

    @property
    def one(self) -> Heard:
        """The play that is shown."""
        return self.found[self.chosen]


@dataclass(frozen=True)
class Asked:
    """How it was recorded, by the form's own ids. ``calibrated``: whether the level is absolute."""

    microphone: str
    functions: str
    tie: str
    declared_lossy: bool
    rising: bool
    calibrated: bool


@dataclass(frozen=True, eq=False)
class Judged:
    """What the play that is shown is good for.

    ``ratio``: dB of sweep over noise, None where it is not known. ``doubts``: why a play's polarity is not
    certain, None where it is. ``low``, ``high``: Hz, from where to where it is shown.
    """

    spectrum: Spectrum
    inside: Bands
    ratio: float | None
    doubts: tuple[str | None, ...]
    low: float
    high: float
    facts: Facts
    notes: tuple[Advice, ...]


def taken(
    recording: Kept | None, signal: Signal, chosen: int, tie: str, channel: int, loop_channel: int | None
) -> Steps[Taken]:
    """A recording, or without one a simulated one, with the sweep taken out of each play.

    ``chosen``: number of the play to show; ``channel``, ``loop_channel``: those of the file, from 1. Raises
    InputError where there is no such play, and for a recording that is silent, clipped or torn.
    """
    notes: tuple[Advice, ...] = ()
    if recording is None:
        signal, chosen = recordings.DEMONSTRATION, 0
        tape = Tape(recordings.demonstration(), recordings.DEMONSTRATION_RATE, signal)
        text = "No recording is chosen: this is a simulated one of our own, with its own settings."
        notes = (Advice("recording", text),)
    else:
        samples, rate, cut_short = yield from recordings.read_recording(recording, "recording", channel)
        tape = Tape(samples, rate, signal)
        if cut_short:
            notes = (Advice("recording", "The file ends before its sound does: it was cut off."),)
    if chosen >= signal.plays:
        raise InputError("play", "The file has one play only.")
    if tie == "reference" and signal.plays < 2:
        raise InputError("tie", "The untouched speaker is the first of two plays: this file has one.")
    measuring_faults.refuse_silent(tape)
    place = yield from measuring.found_place(tape)
    silence = measuring.silence_on(tape, place)
    measuring_faults.refuse_damaged(tape, place, silence)
    step = "Finding how the clocks run"
    work = deconvolution.inverse_of(signal.sweep, tape.sample_rate, tape.size)
    inverse = yield from lived(work, step, 0.55)
    clock, loop = (yield from lived(measuring.clock_of(tape, inverse, place), step, 0.6)), None
    if loop_channel is not None and recording is not None:
        loop = yield from measuring_loop.loop_of(recording, loop_channel, signal, inverse, place)
        clock = loop.clock
    step = "Taking the sweep out"
    work = deconvolution.inverse_of(signal.sweep, tape.sample_rate, tape.size, clock.stretch)
    inverse = yield from lived(work, step, 0.65)
    found: list[Heard] = []
    for number in range(signal.plays):
        one = yield from lived(
            measuring.heard(tape, inverse, clock, place, number), step, 0.67 + 0.1 * number
        )
        found.append(measuring.repeated(found[0], one, tape, clock) if found else one)
        yield Working(step, 0.7 + 0.1 * number)
    return Taken(tape, place, silence, inverse, clock, loop, tuple(found), chosen, notes)


def judged(take: Taken, gate: Gate, asked: Asked) -> Steps[Judged]:
    """The play that is shown, cut by a gate, and what may be read from it.

    Raises InputError where noise rules in every band, and where another sweep was played.
    """
    tape, clock, silence = take.tape, take.clock, take.silence
    sweep = tape.signal.sweep
    spectrum = measuring.spectrum_of(tape, take.inverse, take.one, gate, silence)
    yield Working("Working out bands", 0.9)
    inside = measuring.bands_inside(spectrum, sweep.low, sweep.high, tape.sample_rate)
    if np.count_nonzero(inside) < 2:
        raise InputError(
            "recording",
            "Noise rules in every band: quieten the place or make the sweep longer. A tweeter never plays "
            "louder than its step.",
        )
    ratio = measuring_faults.signal_to_noise(tape, take.place, silence, asked.microphone)
    measuring_faults.refuse_another_sweep(spectrum, inside, clock, ratio)
    doubts = tuple(measuring_faults.doubt_of_polarity(each, clock, ratio) for each in take.found)
    steps = yield from lived(measuring.marker_steps(tape, take.place, clock), "Working out bands", 0.92)
    moved = measuring_faults.gain_moved(spectrum, inside, gate, clock, steps, ratio)
    if ratio is None:
        # Nothing can be told of a noise that a gate cut away: neither a band over it nor a harmonic.
        spectrum = replace(spectrum, over_noise=None, harmonics_noise=None)
    edges = third_octave_edges()[inside]
    lost = measuring_faults.lost_in(tape, take.place, silence if ratio is not None else silence[:0], spectrum)
    lossy = asked.declared_lossy or lost.anything
    facts = Facts(
        microphone=asked.microphone,
        functions=asked.functions,
        tie="clock" if take.loop else asked.tie,
        moved=moved is not None,
        edge=lost.low,
        lossy=lossy,
        loop=take.loop is not None,
        clocks=clock.drift is not None,
        noise=ratio is not None,
        certain=not any(doubts),
        rings=any(each.beginning.rings for each in take.found),
        plays=len(take.found),
        bass_alone=any(each.beginning.bass_alone for each in take.found),
        rising=asked.rising,
        calibrated=asked.calibrated,
        lowest=float(edges[0, 0]),
    )
    notes = (
        *measuring_faults.silence_advice(silence, asked.microphone, ratio),
        *measuring_faults.trust(clock, moved, lost, lossy, asked.microphone, asked.functions),
        *begun_later(take.found, asked.tie, take.loop),
    )
    return Judged(spectrum, inside, ratio, doubts, facts.lowest, float(edges[-1, 1]), facts, notes)
