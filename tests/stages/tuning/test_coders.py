"""Recordings that a coder was at: its edge, its holes, what it thins out; and clean ones, which are not."""

import io
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import soundfile

from calculators.physics.arrays import FloatArray
from tests.conftest import SOAK
from tests.recordings import played, random_cabin, through, with_noise
from tests.stages.tuning.test_response import RATE, TWEETER, answered, kept, signal_of, tweeter

CLEAN = 200 if SOAK else 2


def in_a_cabin(seed: int, loudest: float, noise: float) -> FloatArray:
    """A tweeter in a cabin, reflections up to so loud, noise so many dB under the sweep."""
    random, signal = np.random.default_rng(seed), signal_of(TWEETER)
    cabin, driver = random_cabin(random, loudest), tweeter(random, False)
    sound = 0.1 * played(signal, RATE, 0.3, 0.6 + signal.length)
    return with_noise(through(sound, lambda f: driver(f) * cabin(f), RATE), signal, 0.3, RATE, noise, random)


def without(low: float, high: float) -> Callable[[FloatArray], FloatArray]:
    """What drops a band, whatever stands in it."""

    def drop(sound: FloatArray) -> FloatArray:
        spectrum, at = np.fft.rfft(sound), np.fft.rfftfreq(sound.size, 1 / RATE)
        spectrum[(at > low) & (at < high)] = 0
        return np.asarray(np.fft.irfft(spectrum, sound.size))

    return drop


def coded(**format: Any) -> Callable[[FloatArray], FloatArray]:
    """What a coder of the library's leaves."""

    def through_it(sound: FloatArray) -> FloatArray:
        file = io.BytesIO()
        soundfile.write(file, sound, round(RATE), **format)
        file.seek(0)
        return np.asarray(soundfile.read(file)[0][: sound.size])

    return through_it


LAYER_3 = {"format": "MP3", "subtype": "MPEG_LAYER_III"}
VORBIS = {"format": "OGG", "subtype": "VORBIS"}
THINNED = "gone here and there"


@pytest.mark.parametrize(
    ("coder", "told"),
    [
        (without(11_000, 12_500), "left from 11.0 to 12.7 kHz"),
        (without(13_000, RATE), "left above 13.1 kHz"),
        (coded(**LAYER_3, compression_level=0.3), THINNED),
        (coded(**LAYER_3, compression_level=0.5), "Nothing is left above 16"),
        (coded(**VORBIS, compression_level=0.5), THINNED),
    ],
)
def test_what_a_coder_leaves_out_is_told(coder: Callable[[FloatArray], FloatArray], told: str) -> None:
    """Whatever the smoothing. Before, only an edge over 14 kHz was seen, and on a curve hardly smoothed."""
    result = answered(kept(coder(in_a_cabin(1, 0.6, 45.0)), RATE), TWEETER, smoothing="3")
    assert told in " ".join(entry.message for entry in result.advice)
    assert all(row.second_harmonic is None for row in result.bands)
    assert {row.use: row.may for row in result.uses}["Distortion"] == "no: a lossy coder adds its own"


def test_clean_recordings_raise_no_alarm() -> None:
    """Neither of a coder, a noise suppressor nor a gain that moves: in 2 of 200 at most.

    Reflections up to louder than the direct sound, noise 15 to 60 dB under the sweep, 16 or 24 bit.
    """
    alarms = ("lossy", "noise suppression", "gain by itself")
    called = dict.fromkeys(alarms, 0)
    for seed in range(30_000, 30_000 + CLEAN):
        noise = float(np.random.default_rng(seed).uniform(15, 60))
        file = kept(in_a_cabin(seed, 1.2, noise), RATE, 16 if seed % 2 else 24)
        said = " ".join(entry.message for entry in answered(file, TWEETER).advice)
        for alarm in alarms:
            called[alarm] += alarm in said
    print(f"{called} of {CLEAN} clean recordings")
    assert max(called.values()) <= 0.01 * CLEAN


def test_a_noise_that_becomes_softer_is_no_coder() -> None:
    """A fan that stops before the sweep: 20 dB."""
    sound = in_a_cabin(2, 0.6, 50.0)
    quiet = round((0.3 + signal_of(TWEETER).play(0).first - 0.05) * RATE)
    sound[:quiet] += np.random.default_rng(3).normal(0, 10 * np.std(sound[:quiet]), quiet)
    result = answered(kept(sound, RATE), TWEETER)
    assert "lossy" not in " ".join(entry.message for entry in result.advice)
