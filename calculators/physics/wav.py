"""Sound files of the kind WAV: how samples become bytes."""

from __future__ import annotations

import numpy as np

from calculators.physics.arrays import FloatArray

PLAIN, FLOATING = 1, 3


def header(frames: int, channels: int, sample_rate: int, bits: int, floating: bool = False) -> bytes:
    """The bytes that stand before the samples.

    frames: count of samples of each channel. channels: how many. sample_rate: Hz. bits: number in one
    sample. floating: whether they are floating-point numbers.
    Source: Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0 (1991).
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
    Source: as in `header`.
    """
    if floating:
        return bytes(samples.astype("<f4").tobytes())
    full = 2.0 ** (bits - 1)
    whole = np.clip(np.rint(samples * full), -full, full - 1)
    if bits == 24:
        return bytes(whole.astype("<i4").view(np.uint8).reshape(-1, 4)[:, :3].tobytes())
    return bytes(whole.astype(f"<i{bits // 8}").tobytes())


def _bytes(number: int, length: int) -> bytes:
    return number.to_bytes(length, "little")
