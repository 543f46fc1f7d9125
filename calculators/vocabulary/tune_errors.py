"""What small errors of measurement cost a tune, worked out on the simulated cabin: invented, no vehicle."""

from dataclasses import dataclass, replace
from functools import cache
from typing import Annotated

import numpy as np

from calculators.declaring import Output, OutputText, Steps, Working
from calculators.declaring.quantities import LEVEL
from calculators.physics import air, simulated_cabin, speaker_system
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.simulated_cabin import Cabin
from calculators.vocabulary import tune_demonstration
from calculators.vocabulary.tune_plan import Tune

ASIDE, WARMER, GAIN_ERROR = 0.02, 3.0, 0.5
"""m, K and dB: the errors looked at."""
MEASURED_AT = 20.0


@dataclass(frozen=True, kw_only=True)
class ErrorCost:
    """What an error does to a finished tune, heard at the driver's seat."""

    name: Annotated[str, OutputText("Error")]
    after: Annotated[float, Output("RMS with it", LEVEL, decimals=2)]
    change: Annotated[float, Output("Moves the third octaves by, RMS", LEVEL, decimals=2)]
    most_moved: Annotated[float, Output("One of them by", LEVEL, decimals=1)]


def error_costs(found: Tune) -> Steps[tuple[ErrorCost, ...]]:
    """The costs of three errors: microphone aside, air warmer, one channel's gain."""
    here = yield from _heard("Microphone", 0.0, 0.0)
    aside = yield from _heard("Microphone", ASIDE, 0.0)
    warmer = yield from _heard("Warmer air", 0.0, WARMER)
    bare = _left(found, here)
    louder = [_left(found, here, number) for number in range(len(found.settings))]
    worst = max(louder, key=lambda left: round(speaker_system.rms(left - bare), 6))
    return (
        _cost("Every point measured 20 mm aside of where the head is", _left(found, aside), bare),
        _cost("Air 3 °C warmer than while measuring", _left(found, warmer), bare),
        _cost("One channel 0.5 dB too loud, the one that matters most", worst, bare),
    )


def _cost(name: str, left: FloatArray, bare: FloatArray) -> ErrorCost:
    change = left - bare
    return ErrorCost(
        name=name,
        after=speaker_system.rms(left),
        change=speaker_system.rms(change),
        most_moved=float(change[int(np.argmax(np.round(np.abs(change), 6)))]),
    )


def _left(found: Tune, gains: ComplexArray, louder: int | None = None) -> FloatArray:
    """What the driver's seat is over its target, dB, with one channel louder by the error or none."""
    through = found.plan.with_fir(found.through).copy()
    if louder is not None:
        through[louder] *= 10 ** (GAIN_ERROR / 20)
    return found.plan.off_target(0, speaker_system.summed(gains, through))


def _heard(step: str, aside: float, warmer: float) -> Steps[ComplexArray]:
    """What the wide points of the driver's seat hear, without noise, shape (points, speakers, 216)."""
    parts = []
    for number in range(len(tune_demonstration.shown_cabin().speakers)):
        parts.append(_of_speaker(number, aside, warmer))
        yield Working(f"{step}: what an error costs", 0.97)
    return np.stack(parts, axis=1)


@cache
def _of_speaker(number: int, aside: float, warmer: float) -> ComplexArray:
    cabin = tune_demonstration.shown_cabin()
    speaker = cabin.speakers[number]
    frequency = speaker_system.grid()
    first = 1 + simulated_cabin.NEAR_POINTS
    wide = [0, *range(first, first + simulated_cabin.WIDE_POINTS)]
    places = cabin.heads[0] + cabin.points[wide]
    known = tune_demonstration.played(number)[0, 0]
    plain = simulated_cabin.response_at(cabin, speaker, places[:1], frequency)[0]
    level = float(np.sqrt(np.sum(np.abs(known) ** 2) / np.sum(np.abs(plain) ** 2)))
    altered = warmed(cabin, warmer)
    shrunk = altered.size[0] / cabin.size[0]
    moved = (places + np.array([aside, 0.0, 0.0])) * shrunk
    found = simulated_cabin.response_at(altered, altered.speakers[number], moved, frequency)
    return np.asarray(found * (level * shrunk), dtype=np.complex128)


def warmed(cabin: Cabin, warmer: float) -> Cabin:
    """A cabin as sound meets it in air so much warmer, K: each length less by what sound gains in speed."""
    faster = air.speed_of_sound(MEASURED_AT + warmer) / air.speed_of_sound(MEASURED_AT)
    modes = cabin.modes.copy()
    modes[:, 3] *= faster
    return replace(
        cabin,
        size=cabin.size / faster,
        modes=modes,
        speakers=tuple(replace(each, place=each.place / faster) for each in cabin.speakers),
        heads=cabin.heads / faster,
        points=cabin.points / faster,
    )
