"""Sound files of the kind WAV: what their bytes say, and how samples become bytes and bytes samples."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from calculators.physics.arrays import FloatArray

PLAIN, FLOATING, EXTENSIBLE = 1, 3, 0xFFFE
LOWEST_RATE, HIGHEST_RATE = 8_000, 192_000
"""Sample rates that are read, Hz."""
MOST_CHANNELS = 32
MOST_CHUNKS = 1000
"""More parts than any recorder writes: what has more is damaged, or made to keep a reader busy."""
NOT_TOLD = 0xFFFFFFFF
"""Written where a length is not known, or does not fit."""
LARGEST_FLOAT = 1e6
"""A sample of a floating-point file may be above full scale, but not by 120 dB."""

_GUID_TAIL = bytes.fromhex("000000001000800000aa00389b71")
_KINDS = {(PLAIN, 16), (PLAIN, 24), (PLAIN, 32), (FLOATING, 32), (FLOATING, 64)}


@dataclass(frozen=True)
class Layout:
    """What a WAV file holds and where.

    sample_rate: Hz. channels: how many. bits: number of them in one sample. floating: whether samples
    are floating-point numbers. start: place of the first byte of sound, number of bytes. frames: count of
    samples of each channel. cut_short: whether the file ends before its sound does.
    """

    sample_rate: int
    channels: int
    bits: int
    floating: bool
    start: int
    frames: int
    cut_short: bool

    @property
    def frame_size(self) -> int:
        """How many bytes one sample of all channels takes."""
        return self.channels * self.bits // 8


def layout_of(read: Callable[[int, int], bytes], size: int) -> Layout:
    """What a WAV file holds, from its parts' heads alone; the sound itself, in samples, is not read.

    read: gives a number of bytes from a place on. size: number of bytes in the file.
    Raises ValueError, in the reader's words, for a file that is no WAV file, is damaged, or is of a kind
    that is not read.
    Source: Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0 (1991);
    EBU Tech 3306 (RF64).
    """
    head = read(0, 12) if size >= 12 else b""
    if head[:4] not in {b"RIFF", b"RF64", b"BW64"} or head[8:12] != b"WAVE":
        raise ValueError("This is not a WAV file. Record or export as WAV, uncompressed.")
    form: tuple[int, int, int, int] | None = None
    long_size = None
    for name, body, length in _parts(read, 12, size):
        if name == b"fmt ":
            form = _form(read(body, min(length, 40)))
        elif name == b"ds64" and length >= 16 and body + 16 <= size:
            long_size = int.from_bytes(read(body + 8, 8), "little")
        elif name == b"data":
            if form is None:
                raise ValueError("This WAV file is damaged: its sound stands before it says what it is.")
            told = long_size if long_size is not None and length == NOT_TOLD else length
            if told == 0 and _is_parts(read, body, size):
                raise ValueError("This WAV file holds no sound.")
            return _layout(form, body, size - body, told)
    raise ValueError("This WAV file is damaged: it holds no sound.")


def _parts(read: Callable[[int, int], bytes], place: int, size: int) -> Iterator[tuple[bytes, int, int]]:
    """Name, first byte and number of bytes of each part from a place on."""
    for _ in range(MOST_CHUNKS):
        if place + 8 > size:
            return
        head = read(place, 8)
        length = int.from_bytes(head[4:], "little")
        yield head[:4], place + 8, length
        place += 8 + length + length % 2


def _is_parts(read: Callable[[int, int], bytes], place: int, size: int) -> bool:
    """Whether nothing stands from a place on but whole parts with names in letters, or nothing at all.

    Of sound, which is there where a recorder was stopped hard, nobody would take it so.
    """
    for name, body, length in _parts(read, place, size):
        if not (name.isascii() and name.decode("ascii").isprintable()):
            return False
        place = body + length + length % 2
    return place in {size, size + 1}  # The last may lack the byte that makes it even.


def _form(body: bytes) -> tuple[int, int, int, int]:
    """Kind, channels, sample rate and bits of a sample, from the part that says so."""
    if len(body) < 16:
        raise ValueError("This WAV file is damaged: what it says of its sound is cut off.")
    kind, channels = int.from_bytes(body[0:2], "little"), int.from_bytes(body[2:4], "little")
    rate = int.from_bytes(body[4:8], "little")
    bits = int.from_bytes(body[14:16], "little")
    if kind == EXTENSIBLE:
        if len(body) < 40:
            raise ValueError("This WAV file is damaged: what it says of its sound is cut off.")
        if body[26:40] != _GUID_TAIL:
            raise ValueError("The sound in this WAV file is compressed. Export it as PCM.")
        kind = int.from_bytes(body[24:26], "little")
    if (kind, bits) not in _KINDS:
        if kind in {PLAIN, FLOATING}:
            raise ValueError(f"A WAV file of {bits} bits is not read: export it with 16, 24 or 32 bits.")
        raise ValueError("The sound in this WAV file is compressed. Export it as PCM.")
    if not 1 <= channels <= MOST_CHANNELS:
        raise ValueError(f"This WAV file names {channels} channels: 1 to {MOST_CHANNELS} are read.")
    if not LOWEST_RATE <= rate <= HIGHEST_RATE:
        raise ValueError(f"This WAV file names a sample rate of {rate} Hz: 8 to 192 kHz are read.")
    return kind, channels, rate, bits


def _layout(form: tuple[int, int, int, int], start: int, there: int, told: int) -> Layout:
    kind, channels, rate, bits = form
    frame = channels * bits // 8
    # A recorder that was stopped hard leaves 0 or the largest length: all that follows is sound.
    length = there if told in {0, NOT_TOLD} else min(told, there)
    return Layout(
        rate, channels, bits, kind == FLOATING, start, length // frame, told > there and told != NOT_TOLD
    )


def decoded(contents: bytes, layout: Layout) -> FloatArray:
    """Samples, part of full scale, shape (frames, channels); full scale is 1.

    contents: whole frames of the sound. Raises ValueError if a floating-point sample is no number or
    120 dB above full scale.
    Source: as in `layout_of`.
    """
    if layout.floating:
        with np.errstate(invalid="ignore"):  # What is no number is refused in the next line.
            samples = np.frombuffer(contents, dtype=f"<f{layout.bits // 8}").astype(np.float64)
        if not np.all(np.abs(samples) < LARGEST_FLOAT):
            raise ValueError("This WAV file is damaged: some of its samples are no numbers.")
    elif layout.bits == 24:
        three = np.frombuffer(contents, dtype=np.uint8).reshape(-1, 3)
        wide = np.zeros((len(three), 4), dtype=np.uint8)
        wide[:, 1:] = three  # The lowest byte stays empty, so the sign lies where it belongs.
        samples = wide.view("<i4")[:, 0] / 2.0**31
    else:
        samples = np.frombuffer(contents, dtype=f"<i{layout.bits // 8}") / 2.0 ** (layout.bits - 1)
    return np.asarray(samples, dtype=np.float64).reshape(-1, layout.channels)


def header(frames: int, channels: int, sample_rate: int, bits: int, floating: bool = False) -> bytes:
    """The bytes that stand before the samples.

    frames: count of samples of each channel. channels: how many. sample_rate: Hz. bits: number in one
    sample. floating: whether they are floating-point numbers.
    Source: as in `layout_of`.
    """
    block = channels * bits // 8
    kind = FLOATING if floating else PLAIN
    form = [(kind, 2), (channels, 2), (sample_rate, 4), (sample_rate * block, 4), (block, 2), (bits, 2)]
    chunks = [b"fmt ", _bytes(18 if floating else 16, 4), *(_bytes(*pair) for pair in form)]
    if floating:
        chunks += [_bytes(0, 2), b"fact", _bytes(4, 4), _bytes(frames, 4)]
    size = frames * block
    head = b"".join(chunks) + b"data" + _bytes(size, 4)
    return b"RIFF" + _bytes(4 + len(head) + size + size % 2, 4) + b"WAVE" + head


def encoded(samples: FloatArray, bits: int, floating: bool = False) -> bytes:
    """The bytes of samples; what lies beyond full scale is held there, for a whole number knows no more.

    samples: part of full scale, shape (frames, channels). bits: number in one sample. floating: whether
    they become floating-point numbers.
    Raises ValueError for a sample that is no number: played, it would be a bang.
    Source: as in `layout_of`.
    """
    if not np.all(np.isfinite(samples)):
        raise ValueError("A sample of this sound is no number.")
    if floating:
        return bytes(samples.astype("<f4").tobytes())
    full = 2.0 ** (bits - 1)
    whole = np.clip(np.rint(samples * full), -full, full - 1)
    if bits == 24:
        return bytes(whole.astype("<i4").view(np.uint8).reshape(-1, 4)[:, :3].tobytes())
    return bytes(whole.astype(f"<i{bits // 8}").tobytes())


def _bytes(number: int, length: int) -> bytes:
    return number.to_bytes(length, "little")
