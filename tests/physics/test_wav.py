"""WAV files against a reader of another project's making (libsndfile, by soundfile)."""

import io
from itertools import product

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import wav
from calculators.physics.arrays import FloatArray

FORMATS = [(16, False, "PCM_16"), (24, False, "PCM_24"), (32, False, "PCM_32"), (32, True, "FLOAT")]
every_format = pytest.mark.parametrize(("bits", "floating", "subtype"), FORMATS)


def sound(frames: int, channels: int, seed: int = 1) -> FloatArray:
    return np.asarray(np.random.default_rng(seed).uniform(-1, 1, (frames, channels)))


def whole(samples: FloatArray, rate: int, bits: int, floating: bool) -> bytes:
    head = wav.header(samples.shape[0], samples.shape[1], rate, bits, floating)
    return head + wav.encoded(samples, bits, floating)


@every_format
def test_what_is_written_the_library_reads(bits: int, floating: bool, subtype: str) -> None:
    for channels, rate in product((1, 2, 3), (8_000, 44_100, 192_000)):
        samples = sound(100, channels)
        contents = whole(samples, rate, bits, floating)
        read, found = soundfile.read(io.BytesIO(contents), always_2d=True)
        assert soundfile.info(io.BytesIO(contents)).subtype == subtype
        assert found == rate
        # Whole numbers are rounded to half a step; a 32-bit floating one has 24 bits of its own.
        np.testing.assert_allclose(read, samples, atol=0.5 * 2.0 ** (1 - min(bits, 25)) + 1e-12)


def test_full_scale_is_held_and_does_not_turn_over() -> None:
    loud = np.array([[1.0], [-1.0], [2.0], [-2.0], [1 - 2**-17]])
    read, _ = soundfile.read(io.BytesIO(whole(loud, 48_000, 16, False)), dtype="int16")
    assert read.tolist() == [32767, -32768, 32767, -32768, 32767]


@given(st.integers(0, 5), st.integers(1, 3), st.sampled_from(FORMATS))
def test_a_head_names_the_length_of_what_follows(
    frames: int, channels: int, form: tuple[int, bool, str]
) -> None:
    bits, floating, _ = form
    contents = whole(sound(frames, channels), 48_000, bits, floating)
    size = frames * channels * bits // 8
    assert int.from_bytes(contents[4:8], "little") == len(contents) - 8 + size % 2
    assert contents[len(contents) - size - 4 :][:4] == size.to_bytes(4, "little")
