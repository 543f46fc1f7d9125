"""WAV files against a reader of another project's making (libsndfile, by soundfile)."""

import io
from contextlib import suppress
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


def layout_and_samples(contents: bytes) -> tuple[wav.Layout, FloatArray]:
    layout = wav.layout_of(lambda start, count: contents[start : start + count], len(contents))
    length = layout.frames * layout.frame_size
    return layout, wav.decoded(contents[layout.start : layout.start + length], layout)


@pytest.mark.parametrize("container", ["WAV", "WAVEX", "RF64"])
@pytest.mark.parametrize("subtype", ["PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"])
def test_what_the_library_writes_is_read(container: str, subtype: str) -> None:
    for channels, rate in ((1, 8_000), (2, 44_100), (5, 192_000)):
        samples, file = sound(101, channels), io.BytesIO()
        soundfile.write(file, samples, rate, subtype, format=container)
        layout, read = layout_and_samples(file.getvalue())
        file.seek(0)
        wanted, _ = soundfile.read(file, always_2d=True)
        assert (layout.sample_rate, layout.channels, layout.frames) == (rate, channels, 101)
        assert not layout.cut_short
        np.testing.assert_array_equal(read, wanted)


def test_a_long_file_s_size_that_is_cut_off_is_damage_in_words() -> None:
    head = b"RF64" + b"\xff" * 4 + b"WAVE" + b"ds64" + (28).to_bytes(4, "little")
    for kept in (0, 8, 15):
        contents = head + bytes(kept)
        with pytest.raises(ValueError, match="holds no sound"):
            wav.layout_of(lambda place, count, held=contents: held[place : place + count], len(contents))


def test_parts_that_say_nothing_are_passed_over_odd_ones_too() -> None:
    plain = whole(sound(7, 1), 48_000, 24, False)
    odd = b"LIST" + (3).to_bytes(4, "little") + b"abc\0"
    contents = plain[:12] + odd + plain[12:36] + odd + plain[36:] + odd
    _, read = layout_and_samples(contents)
    np.testing.assert_array_equal(read, layout_and_samples(plain)[1])


def test_a_recorder_that_was_stopped_hard_leaves_what_it_had() -> None:
    contents = bytearray(whole(sound(10, 1), 48_000, 16, False))
    for told in (0, wav.NOT_TOLD):
        contents[40:44] = told.to_bytes(4, "little")
        layout, _ = layout_and_samples(bytes(contents))
        assert (layout.frames, layout.cut_short) == (10, False)
    contents[40:44] = (40).to_bytes(4, "little")
    layout, _ = layout_and_samples(bytes(contents[:-1]))
    assert (layout.frames, layout.cut_short) == (9, True)


WHOLE = whole(sound(20, 2), 48_000, 16, False)


def changed(place: int, value: int, length: int = 2) -> bytes:
    return WHOLE[:place] + value.to_bytes(length, "little") + WHOLE[place + length :]


@pytest.mark.parametrize(
    ("contents", "words"),
    [
        (b"", "not a WAV"),
        (b"RIFX" + WHOLE[4:], "not a WAV"),
        (b"ID3\x04" + bytes(100), "not a WAV"),
        (WHOLE[:36], "holds no sound"),
        (WHOLE[:43], "holds no sound"),
        (changed(40, 0, 4)[:44], "holds no sound"),
        (changed(40, 0, 4)[:44] + b"LIST\3\0\0\0abc\0id3 \1\0\0\0a", "holds no sound"),
        (WHOLE[:12] + WHOLE[36:], "before it says what it is"),
        (changed(20, 85), "compressed"),
        (changed(20, wav.EXTENSIBLE), "cut off"),
        (changed(34, 8), "8 bits"),
        (changed(22, 0), "0 channels"),
        (changed(22, 33), "33 channels"),
        (changed(24, 7_999, 4), "7999 Hz"),
        (changed(24, 192_001, 4), "192001 Hz"),
    ],
)
def test_what_is_damaged_or_of_another_kind_is_told_in_words(contents: bytes, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        layout_and_samples(contents)


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf, 1e7])
def test_a_sample_that_is_no_number_is_damage(value: float) -> None:
    samples = sound(20, 1)
    samples[3] = value
    contents = wav.header(20, 1, 48_000, 32, True) + samples.astype("<f4").tobytes()
    with np.errstate(all="ignore"), pytest.raises(ValueError, match="no numbers"):
        layout_and_samples(contents)


@given(st.data())
def test_a_mutated_file_is_read_or_refused_and_asks_for_no_more_than_it_is(data: st.DataObject) -> None:
    """Ten thousand of them in the long tests: never another exception, never a place outside."""
    bits, floating, _ = data.draw(st.sampled_from(FORMATS))
    contents = bytearray(whole(sound(30, 2), 48_000, bits, floating))
    for _ in range(data.draw(st.integers(1, 6))):
        place = data.draw(st.integers(0, min(60, len(contents) - 1)))
        contents[place] = data.draw(st.integers(0, 255))
    del contents[data.draw(st.integers(0, len(contents))) :]
    asked = []

    def read(start: int, count: int) -> bytes:
        asked.append(count)
        return bytes(contents[start : start + count])

    with suppress(ValueError):
        layout = wav.layout_of(read, len(contents))
        assert layout.start + layout.frames * layout.frame_size <= len(contents)
    assert sum(asked) <= 20 * len(WHOLE)
