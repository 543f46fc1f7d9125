"""What is said of a measured join: levels, clocks, polarity, the delay, and the phase that stays."""

import math
from dataclasses import dataclass, replace

import numpy as np

from calculators.declaring import Advice
from calculators.declaring.numerals import figures
from calculators.physics import decibels, joins
from calculators.physics.arrays import FloatArray
from calculators.physics.bass_joins import POLARITY_WINS_BY
from calculators.vocabulary.crossover_joins import Join
from calculators.vocabulary.phased_curves import IN_STEP

WANTED_POINTS = 5
"""The fixed one, and four within 30 mm of it."""
WAVERS = 15.0
"""Degrees, RMS, about a smooth bend: half of what a join may be apart."""
WORTH_TURNING = 5.0
"""Degrees by which a delay must bring the two nearer to be worth setting, where little is lost."""
ANOTHER_CYCLE = 0.375
"""Cycles from the slope's delay to the best one, over which half a cycle is likelier than unlike slopes."""
MEETS_WITHIN = 1 / 3
"""Octaves from the corner within which low and high should be level."""
LEVEL_WITHIN = 3.0
"""dB by which the sum may stand over or under both bands beside what family and slope do by themselves."""


@dataclass(frozen=True, eq=False)
class MeasuredJoin:
    """What is judged of a join.

    octave: about where they meet, the phase that is asked for taken out. whole: all that is shown, as it is.
    pair: family and slope by themselves, or None where low and high differ in them. asked: degrees by which
    those have the high lead the low at their corner, or 0. meeting: Hz, or None where they are level nowhere
    near. corner: Hz. better: the delay of least strain, and over: with the high turned over.
    """

    octave: joins.Join
    whole: joins.Join
    pair: Join | None
    asked: float
    meeting: float | None
    corner: float
    better: joins.Found
    over: joins.Found

    @property
    def centre(self) -> float:
        """Hz, about which is judged."""
        return self.meeting or self.corner

    @property
    def wavers(self) -> float:
        """Degrees, RMS, by which the phase between the two wavers at the first point."""
        return at_one(self.octave, 0).wavers_by()

    @property
    def apart(self) -> str:
        """What an angle between the two is called."""
        return "off the phase asked for" if self.asked else "apart"


def turned(octave: joins.Join) -> joins.Join:
    """The same with the high turned over."""
    return replace(octave, high=-octave.high)


def against(octave: joins.Join, delay: float | FloatArray) -> FloatArray:
    """Degrees by which the high leads at the first point, the low later by a delay, s; a line for each."""
    turn = np.exp(2j * math.pi * np.multiply.outer(delay, octave.frequency))
    return decibels.phase(octave.high[0] * np.conj(octave.low[0]) * turn)


def at_one(octave: joins.Join, place: int) -> joins.Join:
    """Low and high at one point."""
    return replace(octave, low=octave.low[[place]], high=octave.high[[place]])


def measured_advice(join: MeasuredJoin) -> tuple[Advice, ...]:
    """What stands between this join and a signature."""
    advice = [*_asked_advice(join), *_meeting_advice(join), *_level_advice(join)]
    if join.wavers > WAVERS:
        text = (
            f"The phase between the two wavers by {join.wavers:.0f}° from place to place: noise, or a "
            "reflection. Its slope tells no delay and no polarity; a delay below is by the sum alone. Read "
            "the recording again with less kept after the arrival, or measure again before it is believed, "
            "by a longer sweep and never a louder one."
        )
        advice.append(Advice("points", text))
    advice += _setting_advice(join)
    points = len(join.octave.low)
    if points < WANTED_POINTS:
        text = f"Judged at {points} of {WANTED_POINTS} points: a join has to hold 30 mm beside too."
        advice.append(Advice("points", text))
    return tuple(advice)


def _asked_advice(join: MeasuredJoin) -> list[Advice]:
    if not join.asked:
        return []
    side = "ahead of" if join.asked > 0 else "behind"
    lacks = -20 * math.log10(math.cos(math.radians(join.asked / 2)))
    text = (
        f"Family and slope by themselves have the high {abs(join.asked):.0f}° {side} the low at the corner, "
        f"with the polarity of their table: the sum lacks {lacks:.1f} dB there beside two in step, and "
        "shall. The phase is judged from that angle, and no delay is to close it."
    )
    return [Advice("family", text)]


def _meeting_advice(join: MeasuredJoin) -> list[Advice]:
    corner = figures(join.corner, 4)
    if join.meeting is None:
        text = (
            f"Low and high are level nowhere within an octave of {corner} Hz, as far as the "
            "curves reach half an octave beyond: look at gains and corners. What follows is judged about "
            "that corner."
        )
        return [Advice("points", text)]
    off = math.log2(join.meeting / join.corner)
    if abs(off) <= MEETS_WITHIN:
        return []
    loud, under = ("low", "over") if off > 0 else ("high", "under")
    text = (
        f"Low and high are level at {figures(join.meeting, 4)} Hz, {abs(off):.1f} octaves {under} "
        f"{corner} Hz: the {loud} is too loud there for the other, or a driver falls by itself. Look at "
        "gains and corners before any delay."
    )
    if off < 0:
        text += " Under its high-pass a tweeter is heard where that should spare it."
    return [Advice("points", text)]


def _level_advice(join: MeasuredJoin) -> list[Advice]:
    """The sum in the phase asked for, against low and high an octave away."""
    centre, at = join.centre, join.whole.frequency
    if at[0] > centre / 2 ** (7 / 6) or at[-1] < centre * 2 ** (7 / 6):
        text = (
            "The curves do not reach a good octave either side of the join: gap and overlap are not judged."
        )
        return [Advice("points", text)]
    low, high = (np.abs(each[0]) for each in (join.whole.low, join.whole.high))
    whole = _sum_level(at, low, high, centre, join.asked)
    bands = _level(at, low, centre / 2), _level(at, high, 2 * centre)
    usual = 0.0
    if join.pair:
        own = join.pair.at(at * join.corner / centre)
        filters = np.abs(own.below), np.abs(own.above)
        beside = _level(at, filters[0], centre / 2) + _level(at, filters[1], 2 * centre)
        usual = _sum_level(at, *filters, centre, join.asked) - beside / 2
    over, under = whole - max(bands) - usual, min(bands) + usual - whole
    if max(over, under) <= LEVEL_WITHIN:
        return []
    cause = (
        "they overlap: look at both corners, and for what else plays there"
        if over > 0
        else "a gap is between them, which no delay fills: look at both corners, and at what falls by itself"
    )
    text = (
        f"In the phase asked for the two would make {whole:.1f} dB where they meet, with the low at "
        f"{bands[0]:.1f} dB an octave below and the high at {bands[1]:.1f} dB an octave above: {cause}."
    )
    return [Advice("points", text)]


def _sum_level(at: FloatArray, low: FloatArray, high: FloatArray, centre: float, angle: float) -> float:
    """dB, about a centre, Hz, of two amplitudes that stand an angle, degrees, apart."""
    return _level(at, np.abs(low + high * np.exp(1j * math.radians(angle))), centre)


def _level(at: FloatArray, amplitude: FloatArray, centre: float) -> float:
    """dB, the mean power of a third of an octave about a centre, Hz: noise and reflections cross it."""
    near = np.abs(np.log2(at / centre)) <= 1 / 6
    return float(10 * np.log10(np.mean(amplitude[near] ** 2)))


def _setting_advice(join: MeasuredJoin) -> list[Advice]:
    """Clock, polarity, delay, and what stays; a phase that wavers has no slope that tells a delay."""
    octave, centre, better = join.octave, join.centre, join.better
    has_slope = join.wavers <= WAVERS
    late = -at_one(octave, 0).late_by_slope()
    if has_slope and abs(late) > 0.5 / centre:
        who = "late" if late > 0 else "early"
        text = (
            f"By the slope of the phase the high is {1e3 * abs(late):.2f} ms {who}, more than half a cycle. "
            "See that both have one clock, take that out by the measured arrivals, and measure again. Touch "
            "no polarity before that."
        )
        return [Advice("delay", text)]
    gained = join.over.loss - better.loss
    another = has_slope and abs(better.delay - late) > ANOTHER_CYCLE / centre
    if another or gained > POLARITY_WINS_BY:
        first = (
            f"Turned over, the two would {_turned_gains(join, gained)}."
            if gained > POLARITY_WINS_BY
            else f"The slope of the phase asks for {1e3 * abs(late):.3f} ms, and another delay adds best."
        )
        text = (
            f"{first} Half a cycle and a turned polarity look nearly alike by loss: prove each driver's "
            "polarity by its impulse, set the one that family and slope ask for, and measure the arrivals "
            "again. Turn nothing to fill a notch."
        )
        return [Advice("polarity", text)]
    advice = []
    tells_polarity = gained < (0.0 if has_slope else -POLARITY_WINS_BY)
    if not tells_polarity:
        text = (
            "Turned over, with a delay of its own, the two would join about as well: the sum cannot tell the "
            "polarity here. Prove each driver's by its impulse first. Turn nothing to fill a notch."
        )
        advice.append(Advice("polarity", text))
    return advice + _delay_advice(join, has_slope and tells_polarity)


def _turned_gains(join: MeasuredJoin, gained: float) -> str:
    return "stand nearer the phase asked for" if join.asked else f"lose {gained:.1f} dB less"


def _delay_advice(join: MeasuredJoin, proven: bool) -> list[Advice]:
    """``proven``: whether slope and sum agree on the polarity."""
    octave, better = join.octave, join.better
    lost = joins.least_loss(octave, join.centre) - octave.loss(0.0)
    as_set, best = (np.abs(against(octave, each)) for each in (0.0, better.delay))
    delay, advice = 0.0, []
    is_apart = np.max(as_set) > IN_STEP and np.max(as_set) > np.max(best) + WORTH_TURNING
    if is_apart or joins.strain(lost, octave.phase(0.0)) > 1:
        delay = better.delay
        provided = "" if proven else "if the impulse proved the polarity, "
        text = (
            f"Up to {np.max(as_set):.0f}° {join.apart}, and {lost:.2f} dB lost beside the best delay: "
            f"{provided}delay the {_who(delay)} by {1e3 * abs(delay):.3f} ms more. That "
            f"leaves {np.max(best):.0f}° at most."
        )
        advice.append(Advice("delay", text))
    stays = best if delay else as_set
    if float(np.max(stays)) > IN_STEP:
        advice.append(_phase_advice(join, stays, "stay" if delay else "stand"))
    return advice


def _phase_advice(join: MeasuredJoin, stays: FloatArray, verb: str) -> Advice:
    """On an angle over the limit, after the delay with the least farthest angle is searched."""
    octave = join.octave
    reach = 0.5 / join.centre
    delays = np.linspace(-reach, reach, 4 * joins.STEPS_PER_CYCLE + 1)
    farthest = np.round(np.max(np.abs(against(octave, delays)), axis=1), 6)
    least, nearest = float(np.min(farthest)), float(delays[int(np.argmin(farthest))])
    where = f"At {figures(float(octave.frequency[np.argmax(np.round(stays, 6))]), 3)} Hz they {verb}"
    if least <= IN_STEP:
        setting = (
            f"With the {_who(nearest)} {1e3 * abs(nearest):.3f} ms later than now" if nearest else "As set"
        )
        text = (
            f"{where} {np.max(stays):.0f}° {join.apart}. {setting} it is {least:.0f}° at most, with "
            f"{octave.loss(nearest):.2f} dB of mean loss: within the {IN_STEP:.0f}°, so that one."
        )
        return Advice("delay", text)
    text = (
        f"{where} {np.max(stays):.0f}° {join.apart}: slopes that differ, or a reflection. No delay mends "
        f"that: the least that any leaves is {least:.0f}°. Look at both acoustic slopes."
    )
    return Advice("phase", text)


def _who(delay: float) -> str:
    """Which waits, for a delay of the low."""
    return "low" if delay > 0 else "high"
