"""Sounds to compare by ear: made when they are asked for, equally loud, and written as WAV files."""

from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass
from math import log10

import numpy as np

from calculators.declaring import Drawing, Listening, Made, Take
from calculators.physics import loudness, wav
from calculators.physics.arrays import FloatArray
from calculators.physics.sound_material import SAMPLES, SOUND_RATE, Making

LOUDNESS_PLAYED = -26.0
"""LKFS: low enough that a drum's peaks fit, high enough above what a phone hisses."""
HIGHEST_PEAK = -3.0
"""dB under full scale that no sample passes."""
_BITS = 16
_AT_ONCE = 1 << 16
"""Samples that are written as one piece."""

type Render = Callable[[], Making]
"""Makes a sound, shape (channels, samples), step by step."""


@dataclass(frozen=True)
class Heard:
    """A take before it is made: its name, what is heard, its picture, and what makes it."""

    name: str
    words: str
    picture: Drawing
    render: Render


class _Renders:
    """The sounds of one comparison, made once, when the first of their files is asked for."""

    def __init__(self, takes: Sequence[Heard], alike: bool) -> None:
        self.takes, self.alike = takes, alike
        self.made: list[FloatArray] | None = None

    def pieces(self, place: int) -> Iterator[bytes]:
        """The bytes of one file; empty ones go before, so that whoever waits hears of it."""
        if self.made is None:
            rendered = []
            for take in self.takes:
                rendered.append((yield from _between(take.render())))
            self.made = yield from _between(matched(rendered, self.alike))
        sound = self.made[place].T
        yield wav.header(len(sound), sound.shape[1], round(SOUND_RATE), _BITS)
        for start in range(0, len(sound), _AT_ONCE):
            yield wav.encoded(sound[start : start + _AT_ONCE], _BITS)


def _between[Result](steps: Generator[None, None, Result]) -> Generator[bytes, None, Result]:
    """Work that goes on, with empty bytes after each of its steps, the last one too."""
    while True:
        try:
            next(steps)
        except StopIteration as end:
            result: Result = end.value
            yield b""
            return result
        yield b""


def listening(takes: Sequence[Heard], channels: int, alike: bool = True) -> Listening:
    """The takes as sounds of that many channels; nothing is made yet.

    ``alike`` makes each equally loud. Otherwise one gain goes for all, because the difference in level is
    what is to be heard.
    """
    renders = _Renders(takes, alike)
    size = len(wav.header(SAMPLES, channels, round(SOUND_RATE), _BITS)) + SAMPLES * channels * _BITS // 8
    return Listening(
        tuple(
            Take(
                take.name,
                take.words,
                take.picture,
                Made(
                    f"{number}-{_file_name(take.name)}.wav", "audio/wav", size, _pieces(renders, number - 1)
                ),
            )
            for number, take in enumerate(takes, 1)
        )
    )


def _pieces(renders: _Renders, place: int) -> Callable[[], Iterator[bytes]]:
    return lambda: renders.pieces(place)


def _file_name(name: str) -> str:
    return "-".join("".join(sign if sign.isalnum() else " " for sign in name.lower()).split())


def matched(sounds: Sequence[FloatArray], alike: bool) -> Generator[None, None, list[FloatArray]]:
    """The sounds equally loud, or all by the gain of the loudest; none with a peak over the highest."""
    levels = []
    for sound in sounds:
        levels.append((yield from loudness.loudness(sound, SOUND_RATE)))
        yield
    gains = [LOUDNESS_PLAYED - (level if alike else max(levels)) for level in levels]
    peaks = [
        20 * log10(float(np.max(np.abs(sound)))) + gain for sound, gain in zip(sounds, gains, strict=True)
    ]
    lower = max(0.0, max(peaks) - HIGHEST_PEAK)
    yield
    return [sound * 10 ** ((gain - lower) / 20) for sound, gain in zip(sounds, gains, strict=True)]


def mono(sound: FloatArray) -> FloatArray:
    """One channel, which plays on both sides."""
    return sound[np.newaxis]
