"""Recordings: a WAV file's channels as samples, and one of our own where there is none."""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from calculators.declaring import InputError, Kept, Steps, Working
from calculators.physics import wav
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.exact_waves import chance
from calculators.physics.sweeps import Signal, Sweep, signal_samples

LONGEST_RECORDING = 600.0
"""Seconds of a recording that are read."""
BYTES_AT_ONCE = 1 << 20

type Samples = NDArray[np.float32]
"""A recording in memory: four bytes a sample are more than any recorder tells."""


def read_recording(
    kept: Kept, field: str, channel: int, channel_field: str = "recording_channel"
) -> Steps[tuple[Samples, float, bool]]:
    """One channel of a WAV file, its sample rate in Hz, and whether the file ends before its sound does.

    Raises InputError, about the field, for what cannot be read; about the channel's for one there is not.
    """
    try:
        layout = wav.layout_of(kept.read, kept.size)
        if layout.frames > LONGEST_RECORDING * layout.sample_rate:
            raise ValueError(f"This recording is longer than {LONGEST_RECORDING / 60:.0f} minutes: cut it.")
        if not layout.frames:
            raise ValueError("This WAV file holds no sound.")
        if channel > layout.channels:
            raise InputError(
                channel_field,
                f"This recording has {layout.channels} channel(s), and no number {channel}.",
            )
        found = np.empty(layout.frames, dtype=np.float32)
        at_once = max(1, BYTES_AT_ONCE // layout.frame_size)
        for start in range(0, layout.frames, at_once):
            count = min(at_once, layout.frames - start)
            part = kept.read(layout.start + start * layout.frame_size, count * layout.frame_size)
            found[start : start + count] = wav.decoded(part, layout)[:, channel - 1]
            yield Working("Reading the recording", start / layout.frames)
    except ValueError as error:
        raise InputError(field, str(error)) from None
    return found, float(layout.sample_rate), layout.cut_short


DEMONSTRATION = Signal(Sweep(20.0, 20_000.0, 1.0), lead=0.4, gap=0.4)
DEMONSTRATION_RATE = 48_000.0
_REFLECTIONS = ((0.00083, -0.42), (0.0019, 0.31), (0.0031, 0.26), (0.0052, -0.2), (0.0094, 0.14))


@cache
def demonstration() -> Samples:
    """A simulated recording, made by us: a door speaker 0.9 m away, five reflections, noise 50 dB below."""
    frames = round((DEMONSTRATION.length + 0.2) * DEMONSTRATION_RATE)
    played = 0.25 * signal_samples(DEMONSTRATION, 0, DEMONSTRATION_RATE, 0, frames)
    size = 1 << (frames - 1).bit_length()
    frequency = np.fft.rfftfreq(size, 1 / DEMONSTRATION_RATE)
    heard = np.fft.irfft(np.fft.rfft(played, size) * _door(frequency), size)[:frames]
    # Four numbers of 16 bits from each of 64 make noise that is near enough to a bell curve.
    parts = chance(1, 0, frames).view(np.uint16).reshape(-1, 4).sum(axis=1) - 2 * 65_535.0
    return np.asarray(heard + 0.0004 * parts / 37_837, dtype=np.float32)


def _door(frequency: FloatArray) -> ComplexArray:
    """Response of that speaker: 70 Hz, Q 0.8, a fall from 9 kHz on."""
    s = 1j * np.maximum(frequency, 1e-3)
    low = s / 70
    speaker = low**2 / (low**2 + low / 0.8 + 1) / ((s / 9000) ** 2 + 1.4 * s / 9000 + 1)
    turn = -2j * np.pi * frequency
    room = np.exp(turn * 0.00262)
    for delay, gain in _REFLECTIONS:
        room = room + gain * np.exp(turn * (0.00262 + delay))
    return np.asarray(speaker * room, dtype=np.complex128)
