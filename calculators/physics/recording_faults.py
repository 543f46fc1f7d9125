"""What can be wrong with a recording before anything is read from it."""

from __future__ import annotations

import numpy as np

from calculators.physics.arrays import FloatArray

FLAT_RUN = 3
"""So many equal samples at the top, entered by a jump, are a clipped peak."""
SMALLEST_STEP = 2.0**-15
SILENT = 10 ** (-80 / 20)
STUCK_TIME = 2e-3
"""A recorder that repeats one value so long, s, while a sweep plays has lost a piece."""
EDGE_DROP = 40.0
"""dB that a coder takes away within a sixth of an octave."""


def clipped_peaks(recording: FloatArray, noise: float) -> int:
    """Number of peaks cut flat: equal samples within a step of the highest or lowest, entered by a jump.

    recording: ratio to full scale. noise: ratio, RMS of what is recorded in silence; a step of 16 bits is
    the least that is reckoned with, for rounding too makes equal samples.
    Source: search of the project's own; a slow sine's own flat top is entered without a jump.
    """
    if not recording.size:
        return 0
    highest, lowest = float(np.max(recording)), float(np.min(recording))
    high = (recording >= highest - SMALLEST_STEP) | (recording <= lowest + SMALLEST_STEP)
    same = np.concatenate([[False], (np.diff(recording) == 0) & high[1:] & high[:-1], [False]])
    edges = np.flatnonzero(np.diff(same.astype(np.int8)))
    starts, ends = edges[0::2], edges[1::2]
    jump = 3 * SMALLEST_STEP + 6 * max(noise, SMALLEST_STEP)
    count = 0
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        before = abs(recording[start] - recording[start - 1]) if start > 0 else 0.0
        after = abs(recording[end + 1] - recording[end]) if end + 1 < recording.size else 0.0
        count += end - start + 1 >= FLAT_RUN and max(before, after) > jump
    return count


def stuck_length(recording: FloatArray) -> int:
    """Number of samples in the longest run of one and the same value.

    recording: ratio to full scale. Source: definition.
    """
    changes = np.flatnonzero(np.diff(recording) != 0)
    if not changes.size:
        return int(recording.size)
    return int(np.max(np.diff(np.concatenate([[-1], changes, [recording.size - 1]]))))


def lossy_edge(level: FloatArray, frequency: FloatArray) -> float | None:
    """Frequency, Hz, over which a coder has left nothing; None where there is no such edge.

    level: dB, at frequency: Hz, rising evenly by ratio, 24 to the octave or more.
    Source: definition of the project's own, 40 dB within a sixth of an octave between 14 and 20 kHz.
    """
    per_octave = 1 / np.log2(frequency[1] / frequency[0])
    apart = max(1, round(per_octave / 6))
    drop = level[:-apart] - level[apart:]
    found = np.flatnonzero((drop > EDGE_DROP) & (frequency[:-apart] > 14e3) & (frequency[:-apart] < 20e3))
    return float(frequency[found[0]]) if found.size else None
