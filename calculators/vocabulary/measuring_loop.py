"""A loop: a channel of the recording that got what was played, by a cable. It tells clock and time."""

from dataclasses import dataclass, replace

import numpy as np

from calculators.declaring import InputError, Kept, Number, Steps, lived
from calculators.declaring.quantities import COUNT
from calculators.physics.deconvolution import Inverse
from calculators.physics.sweeps import Signal
from calculators.vocabulary import measuring, measuring_faults, recordings
from calculators.vocabulary.measuring import Clock, Tape

EARLIEST, LATEST = 0.5, 0.05
"""Seconds before and after the microphone in which the loop is looked for: no processor is later."""
LOOP_CHANNEL = Number(
    "Channel of the loop",
    COUNT,
    1,
    32,
    whole=True,
    optional=True,
    empty="no loop",
    seldom=True,
    help="It records the player's output by a cable: line level, never an amplifier's output.",
)


@dataclass(frozen=True)
class Loop:
    """What the loop says: how the clocks run, and when the first play left, s by the player's clock."""

    clock: Clock
    time: float


def loop_of(kept: Kept, channel: int, signal: Signal, inverse: Inverse, place: float) -> Steps[Loop]:
    """The loop on a channel; ``place``: where the microphone heard the first play, s.

    Raises InputError beside its field where the channel holds no such sweep.
    """
    samples, rate, _ = yield from recordings.read_recording(kept, "loop_channel", channel, "loop_channel")
    whole, once = Tape(samples, rate, signal), replace(signal, plays=1)
    # The cable may hear every play or one of them, and it hears a play before the microphone does.
    for number in range(signal.plays):
        later = signal.play(number).first - signal.play(0).first
        begins = round((place + later - EARLIEST) * rate)
        count = round((EARLIEST + LATEST + signal.spacing + signal.sweep.length) * rate)
        tape = Tape(whole.piece(begins, count).astype(np.float32), rate, once)
        try:
            measuring_faults.refuse_silent(tape)
            found = yield from measuring.found_place(tape)
        except InputError:
            continue
        step = "Looking at the loop", 0.6
        clock = yield from lived(measuring.clock_of(tape, inverse, found), *step)
        heard = yield from lived(measuring.heard(tape, inverse, clock, found, 0), *step)
        return Loop(clock, heard.time + begins / rate / clock.stretch - later)
    raise InputError(
        "loop_channel", "Nothing of the sweep is on this channel: plug the loop, or leave this empty."
    )
