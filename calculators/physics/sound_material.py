"""Sounds of our own to listen to: a voice that speaks or sings, drums, bass and chords, a road, a knock.

All are worked out from formulas and from the noise of `noise`, none is a recording. Each goes round and
round: what rings past the end comes in again at the beginning. One that takes long to make is a generator, so
that whoever waits for it is heard between its steps.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial, wraps

import numpy as np

from calculators.physics.arrays import FloatArray
from calculators.physics.biquads import biquad
from calculators.physics.checking import require_positive
from calculators.physics.filters import cascade, crossover_filter, response
from calculators.physics.in_parts import InParts, amplified
from calculators.physics.noise import pink_noise, white_noise

SOUND_RATE = 48e3
"""Samples a second, Hz, of all of it."""
DURATION = 4.0
"""Length, s, of one round."""
SAMPLES = round(SOUND_RATE * DURATION)
BEAT = 0.5
"""From one beat to the next, s: two bars of four to a round."""

type Making = InParts[FloatArray]
"""A sound in the making: it yields between its steps, and returns the sound."""

_kept: dict[str, FloatArray] = {}

# Formants of five vowels, Hz: means of men's voices (Peterson and Barney, JASA 24 (1952) 175, from memory).
_FORMANTS = {
    "a": (730.0, 1090.0, 2440.0),
    "e": (530.0, 1840.0, 2480.0),
    "i": (270.0, 2290.0, 3010.0),
    "o": (570.0, 840.0, 2410.0),
    "u": (300.0, 870.0, 2240.0),
}
_FORMANT_GAINS, _FORMANT_QS = (24.0, 20.0, 16.0), (7.0, 10.0, 12.0)
# Harmonics up to the 20th or so: a pulse as narrow as a voice's.
_PULSE_SHARPNESS = 220.0
# Hz: a voice's pulses have nothing above that.
_VOICED = 10e3
KNOCK_AT = 0.25
"""A knock comes so much, s, after each second."""


@dataclass(frozen=True)
class Syllable:
    """One of a voice. start, length: s. pitch, glide: Hz, at its start and what is added until its end.

    hiss: share of an s before it.
    """

    start: float
    length: float
    vowel: str
    pitch: float
    glide: float = 0.0
    hiss: float = 0.0


_SPEECH = (
    Syllable(0.10, 0.20, "e", 128.0, 8.0, 0.5),
    Syllable(0.34, 0.16, "a", 134.0, -6.0),
    Syllable(0.54, 0.24, "o", 126.0, -8.0, 0.3),
    Syllable(0.86, 0.34, "i", 120.0, -22.0, 0.6),
    Syllable(1.50, 0.18, "u", 118.0, 6.0),
    Syllable(1.72, 0.18, "a", 126.0, 10.0, 0.5),
    Syllable(1.96, 0.22, "e", 138.0, -10.0),
    Syllable(2.22, 0.36, "o", 122.0, -26.0, 0.3),
    Syllable(2.86, 0.16, "i", 132.0, 4.0, 0.6),
    Syllable(3.06, 0.20, "a", 128.0, -8.0),
    Syllable(3.30, 0.46, "e", 116.0, -30.0, 0.4),
)
_SONG = (
    Syllable(0.02, 0.92, "a", 220.0),
    Syllable(1.00, 0.44, "o", 196.0, 0.0, 0.2),
    Syllable(1.50, 0.44, "e", 220.0, 0.0, 0.4),
    Syllable(2.00, 0.92, "i", 247.0, 0.0, 0.5),
    Syllable(3.00, 0.90, "a", 196.0, 0.0, 0.2),
)
_VIBRATO, _VIBRATO_RATE = 0.015, 5.5
_ROOTS = (55.0, 55.0, 43.65, 49.0)
"""Lowest notes, Hz, of four half-bars: A, A, F and G."""


def _kept_once_made(making: Callable[[], Making]) -> Callable[[], Making]:
    """A sound that is kept: asked for again, it is there without a step."""

    @wraps(making)
    def steps() -> Making:
        if making.__name__ not in _kept:
            _kept[making.__name__] = yield from making()
        return _kept[making.__name__]

    return steps


def _times(length: float) -> FloatArray:
    return np.arange(round(length * SOUND_RATE)) / SOUND_RATE


def _laid(track: FloatArray, sound: FloatArray, start: float) -> None:
    """Adds a sound to a round from a time on; what is past the end comes in at the beginning."""
    first = round(start * SOUND_RATE) % track.size
    end = min(sound.size, track.size - first)
    track[first : first + end] += sound[:end]
    track[: sound.size - end] += sound[end:]


def _swell(count: int, rise: float, fall: float) -> FloatArray:
    """From nothing to 1 and back, by half a cosine either way; rise and fall in s."""
    at = np.arange(count) / SOUND_RATE
    left = np.clip(np.minimum(at / rise, (count / SOUND_RATE - at) / fall), 0.0, 1.0)
    return np.asarray((1 - np.cos(math.pi * left)) / 2, dtype=np.float64)


def _voice(syllables: Sequence[Syllable], vibrato: float) -> Making:
    """Pulses of a voice through the formants of each vowel, with hisses before some."""
    frequency = np.fft.rfftfreq(SAMPLES, 1 / SOUND_RATE)
    yield
    by_vowel: dict[str, FloatArray] = {}
    hisses = np.zeros(SAMPLES)
    for number, syllable in enumerate(syllables):
        at = _times(syllable.length)
        wobble = vibrato * np.sin(2 * math.pi * _VIBRATO_RATE * at)
        pitch = (syllable.pitch + syllable.glide * at / syllable.length) * (1 + wobble)
        turn = np.cumsum(pitch) / SOUND_RATE
        pulse = np.exp(_PULSE_SHARPNESS * (np.cos(2 * math.pi * turn) - 1))
        swell = _swell(at.size, 0.03, 0.06)
        if syllable.vowel not in by_vowel:  # Not all at first: a page waits long for so much memory.
            by_vowel[syllable.vowel] = np.zeros(SAMPLES)
        _laid(by_vowel[syllable.vowel], pulse * swell, syllable.start)
        if syllable.hiss:
            hiss = white_noise(round(0.09 * SOUND_RATE), number)
            _laid(hisses, syllable.hiss * hiss * _swell(hiss.size, 0.03, 0.03), syllable.start - 0.07)
        yield
    spectrum = np.zeros(frequency.size, dtype=np.complex128)
    voiced = frequency[frequency < _VOICED]
    yield
    for vowel, pulses in by_vowel.items():
        peaks = biquad("peak", _FORMANTS[vowel], _FORMANT_GAINS, _FORMANT_QS, SOUND_RATE)
        pulsed = np.fft.rfft(pulses)[: voiced.size]
        yield
        spectrum[: voiced.size] += yield from amplified(pulsed, voiced, partial(response, peaks))
        yield
    low_cut = crossover_filter("high-pass", "butterworth", 2, 80.0, SOUND_RATE)
    teeth = biquad("high-pass", 4500.0, 0.0, 0.9, SOUND_RATE)
    yield from amplified(spectrum[: voiced.size], voiced, partial(response, low_cut))
    hissed = 0.4 * np.fft.rfft(hisses)
    yield
    spectrum += yield from amplified(hissed, frequency, partial(response, teeth))
    yield
    voice = np.fft.irfft(spectrum, SAMPLES)
    yield
    return _even(voice)


def _even(sound: FloatArray) -> FloatArray:
    """The sound with an RMS of 1."""
    return np.asarray(sound / math.sqrt(float(np.mean(sound**2))), dtype=np.float64)


@_kept_once_made
def speech() -> Making:
    """A voice that speaks no language, amplitudes with an RMS as a ratio of 1, shape (SAMPLES,).

    Source: pulses through formants (Fant, Acoustic Theory of Speech Production, 1960).
    """
    return (yield from _voice(_SPEECH, 0.0))


@_kept_once_made
def song() -> Making:
    """The same voice singing five notes, amplitudes with an RMS as a ratio of 1, shape (SAMPLES,).

    Source: as in `speech`.
    """
    return (yield from _voice(_SONG, _VIBRATO))


@_kept_once_made
def drums() -> Making:
    """Bass drum, snare and cymbal in time, amplitudes with an RMS as a ratio of 1, shape (SAMPLES,).

    Source: definition: falling tones and bursts of noise.
    """
    track = np.zeros(SAMPLES)
    at = _times(0.4)
    yield
    kick = np.sin(2 * math.pi * (48 * at + 3.2 * (1 - np.exp(-at / 0.03)))) * np.exp(-at / 0.11)
    snare = white_noise(at.size, 101) * np.exp(-at / 0.06) + np.sin(2 * math.pi * 185 * at) * np.exp(
        -at / 0.08
    )
    yield
    cymbal = np.diff(white_noise(at.size + 2, 102), 2) * np.exp(-at / 0.03)
    yield
    for beat in range(round(DURATION / BEAT)):
        _laid(track, (snare * 0.5) if beat % 2 else kick, beat * BEAT)
        for half in (0.0, BEAT / 2):
            _laid(track, 0.06 * cymbal, beat * BEAT + half)
    yield
    return _even(track)


@_kept_once_made
def bass_and_chords() -> Making:
    """A bass of four low notes under plucked chords, RMS a ratio of 1, shape (SAMPLES,).

    Source: definition: sums of dying harmonics.
    """
    track = np.zeros(SAMPLES)
    half_bar = _times(2 * BEAT)
    fade = _swell(half_bar.size, 0.01, 0.05)
    held, dying = fade * np.exp(-half_bar / 0.9), np.exp(-half_bar / 0.5)
    yield
    for place, root in enumerate(_ROOTS):
        turn = np.exp(2j * math.pi * root * half_bar)
        two = turn * turn
        four = two * two
        bass = turn + 0.35 * two + 0.12 * two * turn
        _laid(track, bass.imag * held, place * 2 * BEAT)
        yield
        for step, note in enumerate((four, four * turn, four * two, four * four)):
            z = dying * note  # Its powers are the harmonics, each of which dies sooner.
            pluck = z * (1 + z * (1 / 2 + z * (1 / 3 + z * (1 / 4 + z / 5))))
            _laid(track, 0.16 * pluck.imag * fade, place * 2 * BEAT + step * BEAT / 2)
            yield
    return _even(track)


@_kept_once_made
def music() -> Making:
    """Song, drums, bass and chords together, amplitudes with an RMS as a ratio of 1, shape (SAMPLES,).

    Source: definition: a sum.
    """
    voice = yield from song()
    beats = yield from drums()
    chords = yield from bass_and_chords()
    yield
    return _even(0.8 * voice + 0.9 * beats + 0.9 * chords)


@_kept_once_made
def road() -> Making:
    """The noise of a road: pink noise without its highs, RMS a ratio of 1, shape (SAMPLES,).

    Source: common practice; pink noise falls off over 400 Hz as a cabin's does.
    """
    pink = yield from pink_noise(SAMPLES, 7, SOUND_RATE, 30.0)
    yield
    noise = np.fft.rfft(pink)
    yield
    fall = biquad("low-pass-1", 400.0, sample_rate=SOUND_RATE)
    frequency = np.fft.rfftfreq(SAMPLES, 1 / SOUND_RATE)
    yield from amplified(noise, frequency, partial(response, cascade(fall, fall)))
    return _even(np.fft.irfft(noise, SAMPLES))


def knocks(decay: float, frequency: float = 130.0) -> FloatArray:
    """A knock on a door skin every second, its peak a ratio of about 1, shape (SAMPLES,).

    decay: s, above 0, until its ringing is down to 1/e. frequency: Hz, above 0, at which it rings; a second
    tone lies 2.76 times higher. Raises ValueError outside those ranges.
    Source: free vibration with damping, textbook.
    """
    require_positive(decay=decay, frequency=frequency)
    at = _times(0.9)
    ring = np.sin(2 * math.pi * frequency * at) + 0.4 * np.sin(2 * math.pi * 2.76 * frequency * at)
    knock = ring * np.exp(-at / decay) * _swell(at.size, 0.002, 0.02) / 1.4
    tap = white_noise(round(0.006 * SOUND_RATE), 31)
    track = np.zeros(SAMPLES)
    for second in range(round(DURATION)):
        _laid(track, knock, second + KNOCK_AT)
        _laid(track, 0.5 * tap * _swell(tap.size, 0.001, 0.004), second + KNOCK_AT)
    return track
