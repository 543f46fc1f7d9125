"""Sounds made block by block, and the WAV files they become."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Choice, InputError, Made, Number, Output
from calculators.declaring.quantities import COUNT, FREQUENCY, LEVEL, TIME
from calculators.physics import wav
from calculators.physics.arrays import FloatArray

BLOCK = 1 << 15
"""Samples made at once: few enough for a page to listen in between."""
MOST_BYTES = 100_000_000

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


def wav_file(name: str, sound: Sound, layout: str, sample_format: str, about: str = "duration") -> Made:
    """A WAV file of a sound. Raises InputError, about the field given, for one that is too large."""
    form, shares = FORMATS[sample_format], np.array(LAYOUTS[layout])
    head = wav.header(sound.frames, shares.size, int(sound.sample_rate), form.bits, form.floating)
    size = len(head) + sound.frames * shares.size * form.bits // 8
    size += size % 2
    if size > MOST_BYTES:
        raise InputError(
            about,
            f"This file would have {size / 1e6:.0f} MB, and a page makes {MOST_BYTES / 1e6:.0f} MB at most: "
            "make it shorter, or take one channel or fewer bits.",
        )

    def pieces() -> Iterator[bytes]:
        yield head
        for start in range(0, sound.frames, BLOCK):
            samples = sound.samples(start, min(BLOCK, sound.frames - start))
            yield wav.encoded(samples[:, np.newaxis] * shares, form.bits, form.floating)
        if (len(head) + sound.frames * shares.size * form.bits // 8) % 2:
            yield b"\0"

    return Made(name, "audio/wav", size, pieces)
