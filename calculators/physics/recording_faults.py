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
WALL = 40.0
"""dB that a coder takes away, or gives back, within a sixth of an octave."""
WALLS_FROM = 4000.0
"""Hz, from where on a coder may leave out a band."""
CELL_TIME = 0.02
"""s, about, of the pieces in which what is faint is looked for."""
MOST_CELLS = 500
FAINT = 1e-3
"""Power against the usual: noise falls so low in 7 places of 10,000 (its power is exponentially spread)."""
MOST_FAINT = 0.005
"""Part of all places that may be so faint: a noise 8 dB softer than in the silence before it has so many."""


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


def lost_band(level: FloatArray, frequency: FloatArray) -> tuple[float, float | None] | None:
    """From where, Hz, and up to where a coder has left nothing; None for its end where that is the top.

    level: dB, at frequency: Hz, rising evenly by ratio, 24 to the octave or more.
    Source: definition of the project's own, walls of `WALL` within a sixth of an octave.
    """
    if level.size < 2:
        return None
    per_octave = 1 / np.log2(frequency[1] / frequency[0])
    apart = max(1, round(per_octave / 6))
    rise = level[apart:] - level[:-apart]
    falls = np.flatnonzero((rise < -WALL) & (frequency[:-apart] > WALLS_FROM))
    if not falls.size:
        return None
    last = int(falls[0]) + apart - 1
    ends = np.flatnonzero(rise[last:] > WALL)
    return float(frequency[last]), float(frequency[last + int(ends[0]) + apart]) if ends.size else None


def faint_share(silence: FloatArray, sound: FloatArray, sample_rate: float) -> float:
    """Part, a ratio, of the places in time and frequency at which a sound is fainter than its noise can be.

    silence: ratio to full scale, what is recorded of noise alone. sound: ratio to full scale, with a sweep in
    it. sample_rate: Hz.
    A coder leaves out, piece by piece, what a louder sound hides, and a noise suppressor what it takes for
    noise; a sweep only adds to the noise. What is usual at a frequency is the median of the silence, or less
    where the noise has become softer, but not where it is gone.
    Source: definition of the project's own; noise through a narrow filter has an exponential power.
    """
    size = 1 << round(np.log2(CELL_TIME * sample_rate))
    frequency = np.fft.rfftfreq(size, 1 / sample_rate)
    inside = (frequency > WALLS_FROM) & (frequency < 0.4 * sample_rate)
    if not inside.any() or min(silence.size, sound.size) < 4 * size:
        return 0.0

    def cells(samples: FloatArray) -> FloatArray:
        step = max(size // 2, samples.size // MOST_CELLS)
        starts = np.arange(0, samples.size - size, step)
        pieces = samples[starts[:, np.newaxis] + np.arange(size)] * np.hanning(size)
        return np.asarray(np.abs(np.fft.rfft(pieces, axis=1)[:, inside]) ** 2, dtype=np.float64)

    before, during = np.median(cells(silence), axis=0), cells(sound)
    # The quartile that is exceeded by a quarter of all is twice the median of noise.
    now = np.quantile(during, 0.75, axis=0) / 2
    usual = np.where(now < FAINT * before, before, np.minimum(now, before))
    return float(np.mean(during < FAINT * usual))
