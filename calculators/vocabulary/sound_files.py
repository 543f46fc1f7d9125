"""Sounds made block by block, and the WAV files they become."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Choice, InputError, Made, Number, Output
from calculators.declaring.kept import MOST_BYTES
from calculators.declaring.quantities import COUNT, FREQUENCY, LEVEL, TIME
from calculators.physics import wav
from calculators.physics.arrays import FloatArray

BLOCK = 1 << 13
"""Samples made at once: few enough for a page to listen in between."""

type Blocks = Callable[[int, int], FloatArray]
"""Samples from a place on, so many, part of full scale."""


@dataclass(frozen=True)
class SampleFormat:
    """How one sample is written."""

    words: str
    bits: int
    floating: bool = False


FORMATS = {
    "16-bit": SampleFormat("16 bit, which every player takes", 16),
    "24-bit": SampleFormat("24 bit", 24),
    "32-bit": SampleFormat("32 bit, whole numbers", 32),
    "float": SampleFormat("32 bit, floating point", 32, floating=True),
}

LAYOUTS = {
    "mono": (1.0,),
    "both": (1.0, 1.0),
    "left": (1.0, 0.0),
    "right": (0.0, 1.0),
    "reversed": (1.0, -1.0),
}
"""What of a sound stands on each channel of its file."""

SAMPLE_FORMAT = Choice("Samples", {key: form.words for key, form in FORMATS.items()}, seldom=True)
CHANNELS = Choice(
    "Channels",
    {
        "mono": "one channel, which plays on both sides",
        "both": "two channels, the same on both",
        "left": "left alone",
        "right": "right alone",
        "reversed": "both, the right one upside down",
    },
)
FILE_RATE = Number(
    "Sample rate",
    FREQUENCY,
    44_100,
    96_000,
    options=(("44.1 kHz", 44_100.0), ("48 kHz", 48_000.0), ("96 kHz", 96_000.0)),
    help="44.1 kHz is what most factory units take.",
)
LENGTH = Number("Length", TIME, 0.1, 600, units=("min",))
FILE_SIZE = Annotated[float, Output("Size, in bytes", COUNT, decimals=0)]
PEAK = Annotated[float, Output("Highest peak, below the largest sample", LEVEL, decimals=2)]


@dataclass(frozen=True)
class Sound:
    """One channel of sound: so many samples, made from any place on."""

    frames: int
    sample_rate: float
    samples: Blocks


def shared_wav_file(
    name: str, sound: Sound, layout: str, sample_format: str, about: str = "duration"
) -> Made:
    """A WAV file of one sound on the channels of a layout. Raises InputError as `wav_file` does."""
    shares = np.array(LAYOUTS[layout])

    def samples(start: int, count: int) -> FloatArray:
        return np.asarray(sound.samples(start, count)[:, np.newaxis] * shares)

    return wav_of_blocks(name, sound.frames, sound.sample_rate, shares.size, samples, sample_format, about)


def wav_file(name: str, channels: tuple[Sound, ...], sample_format: str, about: str = "duration") -> Made:
    """A WAV file of a sound on each channel, all of one length.

    Raises InputError, about the field given, for one that is too large.
    """

    def samples(start: int, count: int) -> FloatArray:
        return np.stack([sound.samples(start, count) for sound in channels], axis=1)

    first = channels[0]
    return wav_of_blocks(name, first.frames, first.sample_rate, len(channels), samples, sample_format, about)


def wav_of_blocks(
    name: str, frames: int, sample_rate: float, channels: int, samples: Blocks, sample_format: str, about: str
) -> Made:
    """A WAV file of blocks of shape (frames, channels). Raises InputError as `wav_file` does."""
    form = FORMATS[sample_format]
    head = wav.header(frames, channels, int(sample_rate), form.bits, form.floating)
    length = frames * channels * form.bits // 8
    size = len(head) + length + length % 2
    if size > MOST_BYTES:
        raise InputError(
            about,
            f"This file would have {size / 1e6:.0f} MB, and a page makes {MOST_BYTES / 1e6:.0f} MB at most: "
            "make it shorter, or take one channel or fewer bits.",
        )

    def pieces() -> Iterator[bytes]:
        yield head
        for start in range(0, frames, BLOCK):
            block = samples(start, min(BLOCK, frames - start))
            yield wav.encoded(block, form.bits, form.floating)
        if length % 2:
            yield b"\0"

    return Made(name, "audio/wav", size, pieces)
