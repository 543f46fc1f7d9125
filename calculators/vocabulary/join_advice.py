"""What is said of a join whose sum strays: arrival first, then corners, then polarity."""

import math

import numpy as np

from calculators.declaring import Advice
from calculators.declaring.numerals import figures
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.crossover_joins import (
    EVEN_ENOUGH,
    Join,
    JoinResponse,
    driven_gain,
    lowest_place,
    same_corner,
)
from calculators.vocabulary.responses import LOWEST_SHOWN

# A sum this far from level, dB, with either polarity has a gap or an overlap for its cause.
MUCH_ASTRAY = 3.0


def join_advice(set_to: Join, around: JoinResponse, low_pass: float, high_pass: float) -> tuple[Advice, ...]:
    """A word on a sum that strays.

    While the arrivals differ no polarity can be judged, and while the corners differ none can be read
    off the filters: a gap is not filled by turning a driver over.
    """
    late = _late_advice(set_to.delay, math.sqrt(low_pass * high_pass))
    if set_to.driven:
        return late or _driven_advice(set_to, low_pass, high_pass)
    if not same_corner(low_pass, high_pass):
        return (*late, *_corners_advice(set_to, around.frequency, low_pass, high_pass))
    return late or _polarity_advice(set_to, around, low_pass)


def _late_advice(delay: float, meeting: float) -> tuple[Advice, ...]:
    if not delay:
        return ()
    text = (
        f"The high is {'late' if delay > 0 else 'early'}: {360 * meeting * abs(delay):.0f}° at "
        f"{figures(meeting, 4)} Hz. First take the delay out, then judge the polarity: reversing a driver "
        "does not mend a difference in arrival."
    )
    return (Advice("delay", text),)


def _driven_advice(set_to: Join, low_pass: float, high_pass: float) -> tuple[Advice, ...]:
    stronger = -set_to.sign * driven_gain(set_to, low_pass, high_pass)
    if stronger < EVEN_ENOUGH:
        return ()
    text = (
        f"With these drivers the sum round the meeting point would be {stronger:.1f} dB stronger the "
        "other way round. Prove each driver's polarity first, then set it at this join alone."
    )
    return (Advice("polarity", text),)


def _corners_advice(
    set_to: Join, frequency: FloatArray, low_pass: float, high_pass: float
) -> tuple[Advice, ...]:
    differ = Advice(
        "polarity",
        "Corners differ: the polarity is that of family and slope at the acoustic corner (table).",
    )
    strays = min(float(np.max(np.abs(set_to.in_step(sign).sum_level(frequency)))) for sign in (1.0, -1.0))
    if strays <= MUCH_ASTRAY:
        return (differ,)
    cure = "close the gap" if low_pass < high_pass else "take the overlap out"
    text = (
        f"Whichever way the high is turned, the sum of the filters strays by {strays:.1f} dB or more: "
        f"{cure}, unless the drivers' own roll-off does. Reversing a driver does not."
    )
    return (differ, Advice("high_pass", text))


def _polarity_advice(set_to: Join, around: JoinResponse, corner: float) -> tuple[Advice, ...]:
    now, other = (
        float(np.max(np.abs(each.sum_level(around.frequency)))) for each in (set_to, set_to.turned())
    )
    if now - other < EVEN_ENOUGH:
        return ()
    dip = lowest_place(around, corner)
    fault = (
        f"the sum falls into a null at {figures(around.frequency[dip], 4)} Hz"
        if around.sum_level[dip] < LOWEST_SHOWN / 2
        else f"the sum strays by {now:.1f} dB"
    )
    cure = (
        "Reverse the subwoofer at the subwoofer's join, both tweeters at theirs"
        if set_to.sign > 0
        else "Set low and high the same way round"
    )
    rest = "it is level" if other < EVEN_ENOUGH else f"it strays by {other:.1f} dB"
    return (Advice("polarity", f"{cure}: as set, {fault}; then {rest}."),)
