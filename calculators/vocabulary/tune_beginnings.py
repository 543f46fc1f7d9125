"""Where the fit of a tune begins: the filters that bring each channel alone to its share of the target."""

from dataclasses import dataclass

import numpy as np

from calculators.declaring import Steps, lived
from calculators.physics import filter_search, flattening, speaker_system
from calculators.physics.arrays import FloatArray
from calculators.physics.speaker_system import PER_BAND, Setting, band_centres, grid
from calculators.physics.tuning_fit import Task


@dataclass(frozen=True, eq=False)
class Asked:
    """What channels are brought to.

    ``crossed``: each channel's crossover alone. ``targets``: dB, a curve for each seat. ``weights``: what
    each seat counts.
    """

    crossed: tuple[Setting, ...]
    targets: tuple[FloatArray, ...]
    weights: tuple[float, ...]


def channel_filters(task: Task, asked: Asked, most: int, share: float) -> Steps[list[FloatArray]]:
    """Filters that bring each channel alone to its share of the target: for 0, 1, … most of them.

    Each is of the shape (channels, n, 3), as `tuning_fit.Fit` has it; where nothing promises anything, a
    filter of 0 dB in the middle of the band.
    """
    by_channel = []
    for number in range(task.channels):
        work = filter_search.grown(_alone(task, asked, number), most)
        by_channel.append((yield from lived(work, "Looking at each channel alone", share)))
    return [np.stack([_filled(task, n, found, count) for n, found in enumerate(by_channel)])
            for count in range(most + 1)]  # fmt: skip


def _alone(task: Task, asked: Asked, number: int) -> flattening.Task:
    low, high = task.bands[number]
    inside = np.flatnonzero((grid() >= low) & (grid() <= high))
    crossed = speaker_system.chain(asked.crossed[number], grid())
    shape = 20 * np.log10(np.abs(crossed))
    wanted = np.zeros(grid().size)
    for seat, target, weight in zip(task.heard, asked.targets, asked.weights, strict=False):
        level = 10 * np.log10(_smoothed(seat[number, number].real))
        aim = np.interp(np.log(grid()), np.log(band_centres()), target)
        wanted += weight / sum(asked.weights) * (aim + shape - level)
    limits = task.limits
    lowest, most = limits.together
    highest = most if task.highest is None else task.highest[number, inside]
    part = wanted[inside] - float(np.median(wanted[inside]))
    return flattening.Task(
        grid()[inside], np.clip(part, lowest, highest), np.ones(inside.size),
        limits.q_low, limits.q_high, limits.max_boost, limits.max_cut, (0, 0), sample_rate=limits.sample_rate,
    )  # fmt: skip


def _smoothed(power: FloatArray) -> FloatArray:
    """Power averaged over a third of an octave about each place."""
    kernel = np.ones(PER_BAND + 1) / (PER_BAND + 1)
    padded = np.pad(power, PER_BAND // 2, mode="edge")
    return np.asarray(np.convolve(padded, kernel, mode="valid"), dtype=np.float64)


def _filled(task: Task, number: int, found: list[flattening.Found], count: int) -> FloatArray:
    values = found[min(count, len(found) - 1)].values
    low, high = np.log(task.bands[number])
    idle = [(low + (high - low) * (n + 1) / (count + 1), 0.0, 0.0) for n in range(count - len(values))]
    return np.asarray(np.vstack([values.reshape(-1, 3), np.array(idle).reshape(-1, 3)]))
