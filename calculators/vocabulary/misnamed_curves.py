"""Measurements that bear another speaker's name: curves louder outside of their channel's band than in it."""

import math
from collections.abc import Sequence

import numpy as np

from calculators.declaring import Advice
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.mixed_up_speakers import louder_outside
from calculators.physics.speaker_system import Setting, chain, grid
from calculators.vocabulary.tune_measurements import RUNS_AT
from calculators.vocabulary.tune_plan import Channel


def misnamed(
    channels: Sequence[Channel],
    gains: Sequence[ComplexArray],
    points: Sequence[int],
    rate: float | None = RUNS_AT,
) -> tuple[Advice, ...]:
    """What to look at where a curve cannot be its channel's: at every seat, each point judged by itself.

    ``gains``: ratio, of each seat, what each channel does without its crossover, shape (points, channels,
    216). ``points``: their numbers, from 0 on. ``rate``: Hz, at which that crossover ran.
    """
    found = []
    for number, each in enumerate(channels):
        through = chain(Setting(each.high_pass, each.low_pass), grid(), rate)
        power = [np.abs(seat[:, number] * through) ** 2 for seat in gains]
        where = _where([[_is_outside(each, point) for point in seat] for seat in power], points)
        found += [f"{each.name}, {place}" for place in where]
    if not found:
        return ()
    return (
        Advice(
            "measurements",
            f"Louder outside of its own band than in it: {'; '.join(found)}. That is another speaker's "
            "curve, or it was measured with another crossover. Type nothing in. Was a name, seat or point "
            "wrong, read the recording again with the right one; otherwise see which speaker plays, and "
            "measure again.",
            danger=True,
        ),
    )


def _where(outside: list[list[bool]], points: Sequence[int]) -> list[str]:
    """Seats and points of those that are, in words: "every point" alone where none is not."""
    if all(map(all, outside)):
        return ["every point"]
    places = []
    for seat, marks in enumerate(outside, start=1):
        told = [str(point + 1) for point, mark in zip(points, marks, strict=True) if mark]
        if all(marks):
            places.append(f"seat {seat}, every point")
        elif told:
            named = " and ".join(filter(None, [", ".join(told[:-1]), told[-1]]))
            places.append(f"seat {seat}, {'point' if len(told) == 1 else 'points'} {named}")
    return places


def _is_outside(channel: Channel, power: FloatArray) -> bool:
    """Whether a curve is louder beyond its channel's crossovers than between them."""
    return louder_outside(power, grid(), channel.high_pass or 0.0, channel.low_pass or math.inf)
