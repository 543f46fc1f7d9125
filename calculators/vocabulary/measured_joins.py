"""A crossover's low and high as measured: their join at each point, and the delay that would do better."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Axis,
    Chart,
    Choice,
    Curve,
    CurveText,
    InputError,
    Output,
    OutputText,
    Rows,
    Text,
)
from calculators.declaring.quantities import ANGLE, LEVEL, TIME
from calculators.physics import bands, decibels, filters, joins
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.vocabulary.crossover_joins import (
    OCTAVES_SHOWN,
    CrossoverBand,
    Join,
    JoinResponse,
    asked_phase,
    band_rows,
    level_chart,
    lowest_place,
    octave_band,
)
from calculators.vocabulary.measured_join_advice import (
    WANTED_POINTS,
    MeasuredJoin,
    against,
    at_one,
    measured_advice,
    turned,
)
from calculators.vocabulary.phased_curves import (
    FARTHEST_APART,
    drawn_at,
    gain_at,
    judged_places,
    phase_chart,
    phase_is_lost,
    read_at,
)
from calculators.vocabulary.responses import LOWEST_SHOWN, floats

SMOOTHED = 9
"""Places, a third of an octave, over which two levels are compared to find where they meet."""


@dataclass(frozen=True)
class JoinPoint:
    """One point of the microphone, with low and high as measured there, each alone."""

    name: Annotated[str, Text("Point")]
    low_curve: Annotated[Curve, CurveText("Low alone", help="“The curve for the tune”, its first line too.")]
    high_curve: Annotated[Curve, CurveText("High alone", help="At the same point, by the same clock.")]
    measured_with: Annotated[
        str,
        Choice(
            "They were measured",
            {
                "filtered": "with their crossover in",
                "low-raw": "the high with it, the low without",
                "raw": "both without it",
            },
            help="Without it, the filters above come on top. No tweeter is swept without its high-pass.",
        ),
    ] = "filtered"


POINTS_OF_JOIN = Rows(
    "Measured, each alone",
    "point",
    at_least=0,
    at_most=WANTED_POINTS,
    help="The fixed point first. Gain, polarity and lateness above come on top of what was measured.",
    fold=True,
)


@dataclass(frozen=True, kw_only=True)
class JoinSetting:
    """What a setting leaves half an octave either side of where the two meet."""

    setting: Annotated[str, OutputText("Setting")]
    low_later: Annotated[float, Output("Low later by; below 0: the high", TIME, show="ms", decimals=3)]
    mean_loss: Annotated[float, Output("Mean loss", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    worst_loss: Annotated[float, Output("worst", LEVEL, decimals=1, lowest=LOWEST_SHOWN)]
    phase: Annotated[float, Output("High against low", ANGLE, decimals=0)]
    phase_apart: Annotated[float, Output("farthest off", ANGLE, decimals=0)]


@dataclass(frozen=True, kw_only=True)
class JoinAtPoint:
    """What the join loses at one point, as set and with the better delay."""

    name: Annotated[str, OutputText("Point")]
    found_loss: Annotated[float, Output("Mean loss as set", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    better_loss: Annotated[float, Output("with the better delay", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    phase: Annotated[float, Output("High against low as set", ANGLE, decimals=0)]
    high_late: Annotated[float, Output("High late, by the slope", TIME, show="ms", decimals=3)]


@dataclass(frozen=True, kw_only=True)
class MeasuredAnswer:
    """What a crossover's answer says otherwise where low and high were measured."""

    meeting: float
    low_level: float
    high_level: float
    sum_level: float
    phase: float
    lowest_sum: float
    lowest_sum_frequency: float
    highest_sum: float
    better_polarity: str
    polarity_reason: str
    group_delay: None = None
    high_group_delay: None = None
    sum_group_delay: None = None
    turned_group_delay: None = None
    looked_at: float
    low_level_at: float
    high_level_at: float
    sum_level_at: float
    chart: Chart
    delay_chart: None = None
    phase_chart: Chart
    settings: tuple[JoinSetting, ...]
    points: tuple[JoinAtPoint, ...]
    bands: tuple[CrossoverBand, ...]
    low: Curve
    high: Curve
    sum: Curve
    advice: tuple[Advice, ...]


@dataclass(frozen=True, eq=False)
class Measured:
    """The points, and what is set on top of them: filters with their gain, polarity, lateness of the high.

    ``pair``: family and slope by themselves, both at one corner, or None where low and high differ in them.
    """

    points: tuple[JoinPoint, ...]
    set_to: Join
    gains: tuple[float, float]
    pair: Join | None

    def at(self, frequency: FloatArray) -> joins.Join:
        """Low and high at frequencies, Hz, at every point: complex gains, a line for each point."""
        low, high = [], []
        for point in self.points:
            low_bare, high_bare = point.measured_with != "filtered", point.measured_with == "raw"
            low.append(gain_at(point.low_curve, frequency) * self._through(0, low_bare, frequency))
            high.append(gain_at(point.high_curve, frequency) * self._through(1, high_bare, frequency))
        late = self.set_to.sign * np.exp(-2j * math.pi * frequency * self.set_to.delay)
        return joins.Join(frequency, np.stack(low), np.stack(high) * late)

    def _through(self, side: int, is_bare: bool, frequency: FloatArray) -> ComplexArray:
        """What is set for low (0) or high (1): the whole filter, or its gain where the filter was in."""
        if is_bare:
            return filters.response((self.set_to.low, self.set_to.high)[side], frequency)
        return np.full(frequency.shape, decibels.amplitude(self.gains[side]), dtype=np.complex128)

    def ends(self) -> tuple[float, float]:
        """Hz from and to which all curves reach."""
        curves = [curve for point in self.points for curve in (point.low_curve, point.high_curve)]
        return max(curve.frequency[0] for curve in curves), min(curve.frequency[-1] for curve in curves)


def measured_join(measured: Measured, corner: float, at: float | None, beside: float) -> MeasuredAnswer:
    """The join about a corner, Hz, of what was measured; levels at a frequency, Hz, are given beside it.

    ``at``: the frequency that was asked for, or None; then it is ``beside``, or as near as the curves reach.

    Raises InputError beside the field of a curve that cannot be judged.
    """
    _refuse(measured.points, corner)
    low, high = measured.ends()
    shown = judged_places(max(low, corner / 2**OCTAVES_SHOWN), min(high, corner * 2**OCTAVES_SHOWN))
    everywhere = measured.at(shown)
    whole = _pair(everywhere)
    meeting = _meeting(whole, corner)
    centre = meeting or corner
    octave = measured.at(judged_octave(centre))
    looked_at = min(max(beside, low), high) if at is None else at
    if not low <= looked_at <= high:
        raise InputError("at", f"The curves say nothing there: from {low:.0f} to {high:.0f} Hz they do.")
    there, asked = (_pair(measured.at(np.array([place]))) for place in (centre, looked_at))
    lowest = lowest_place(whole, centre)
    thirds = bands.exact_third_octaves()
    inside = thirds[(thirds >= low) & (thirds <= high)]
    asked_for = np.zeros(octave.frequency.size + 1)
    if measured.pair:
        asked_for = asked_phase(measured.pair, np.append(octave.frequency, corner))
    judged = replace(octave, high=octave.high * np.exp(-1j * np.radians(asked_for[:-1])))
    better, over = (joins.best_delay(each, centre) for each in (judged, turned(judged)))
    told = MeasuredJoin(
        judged, everywhere, measured.pair, float(asked_for[-1]), meeting, corner, better, over
    )
    stronger = _stronger(octave)
    return MeasuredAnswer(
        meeting=centre,
        low_level=float(there.low_level[0]),
        high_level=float(there.high_level[0]),
        sum_level=float(there.sum_level[0]),
        phase=float(there.phase[0]),
        lowest_sum=float(whole.sum_level[lowest]),
        lowest_sum_frequency=float(whole.frequency[lowest]),
        highest_sum=float(np.max(whole.sum_level)),
        better_polarity="as proven at each driver: it is not searched",
        polarity_reason=f"as measured and set the sum is {abs(stronger):.1f} dB "
        f"{'stronger' if stronger >= 0 else 'weaker'} than turned over, half an octave round",
        looked_at=looked_at,
        low_level_at=float(asked.low_level[0]),
        high_level_at=float(asked.high_level[0]),
        sum_level_at=float(asked.sum_level[0]),
        chart=_level_chart(whole, centre),
        phase_chart=_phase_chart(whole, better.delay, centre, told.asked),
        settings=_settings(octave, judged, better, over),
        points=_at_points(measured.points, octave, judged, better.delay),
        bands=band_rows(_pair(measured.at(inside)), None),
        low=_curve(shown, whole.below),
        high=_curve(shown, whole.above),
        sum=_curve(shown, whole.below + whole.above),
        advice=measured_advice(told),
    )


def judged_octave(centre: float) -> FloatArray:
    """Places, Hz, half an octave either side of a centre, Hz."""
    return judged_places(centre / 2**0.5, centre * 2**0.5)


def _refuse(points: Sequence[JoinPoint], corner: float) -> None:
    """Raise InputError beside its field for a curve that tells no phase against its partner's."""
    for place, point in enumerate(points):
        for column, curve in (("low_curve", point.low_curve), ("high_curve", point.high_curve)):
            field = f"points[{place}].{column}"
            at = judged_octave(corner)
            read_at(field, curve, at)
            if curve.arrival is None:
                raise InputError(
                    field,
                    "It says no arrival, and without it two phases mean nothing. Paste “The curve for the "
                    "tune”, its first line too: there is none where clocks ran apart. Where the flight time "
                    "is in the phase, write “; arrival 0 ms” above the columns.",
                )
            if curve.arrival == 0 and phase_is_lost(_between(curve, float(at[0]), float(at[-1]))):
                raise InputError(
                    field,
                    "The phase turns by more than 150° from one line to the next: take the flight time out, "
                    "and say it in the first line.",
                )
        apart = abs((point.low_curve.arrival or 0.0) - (point.high_curve.arrival or 0.0))
        if apart > FARTHEST_APART:
            raise InputError(
                f"points[{place}].high_curve",
                f"It arrives {1e3 * apart:.0f} ms apart from the low: no vehicle is so long. Both need one "
                "clock.",
            )


def _between(curve: Curve, low: float, high: float) -> Curve:
    """The part of a curve with phase from low to high, Hz, and a little beyond."""
    inside = [low / 1.1 <= frequency <= high * 1.1 for frequency in curve.frequency]
    frequency, level, phase = (
        tuple(value for value, kept in zip(column, inside, strict=True) if kept)
        for column in (curve.frequency, curve.level, curve.phase or ())
    )
    return Curve(frequency, level, phase)


def _pair(join: joins.Join) -> JoinResponse:
    """Low and high at the first point."""
    return JoinResponse(join.frequency, join.low[0], join.high[0])


def _meeting(whole: JoinResponse, corner: float) -> float | None:
    """Where the two are level, Hz, nearest to a corner (Hz) and within an octave of it, or None.

    Levels are compared over a third of an octave: noise and reflections cross many times.
    """
    over = np.convolve(whole.low_level - whole.high_level, np.ones(SMOOTHED) / SMOOTHED, "valid")
    half = SMOOTHED // 2
    at = whole.frequency[half:-half]
    judged = (at >= whole.frequency[0] * 2**0.5) & (at <= whole.frequency[-1] / 2**0.5)
    near = judged & (np.abs(np.log2(at / corner)) <= 1)
    at, over = at[near], np.round(over[near], 9)
    crossed = np.flatnonzero((over[:-1] >= 0) != (over[1:] >= 0))
    if not crossed.size:
        return None
    share = over[crossed] / (over[crossed] - over[crossed + 1])
    places = at[crossed] * (at[crossed + 1] / at[crossed]) ** share
    return float(places[np.argmin(np.round(np.abs(np.log2(places / corner)), 6))])


def _stronger(octave: joins.Join) -> float:
    """dB by which the sum as set is the stronger at the first point, over the octave."""
    as_set, over = (np.mean(decibels.level(octave.low[0] + sign * octave.high[0])) for sign in (1, -1))
    return float(np.round(as_set - over, 9))


def _settings(
    octave: joins.Join, judged: joins.Join, better: joins.Found, over: joins.Found
) -> tuple[JoinSetting, ...]:
    """``judged``: the same with what family and slope ask for taken out of its phase."""
    return (
        _setting("as set", octave, judged, 0.0),
        _setting("with the better delay", octave, judged, better.delay),
        _setting("turned over, to compare", turned(octave), turned(judged), over.delay),
    )


def _setting(name: str, octave: joins.Join, judged: joins.Join, delay: float) -> JoinSetting:
    lost = octave.losses(np.array([delay]))
    return JoinSetting(
        setting=name,
        low_later=delay,
        mean_loss=float(np.mean(lost)),
        worst_loss=float(np.min(lost)),
        phase=octave.phase(delay),
        phase_apart=float(np.max(np.abs(against(judged, delay)))),
    )


def _at_points(
    points: Sequence[JoinPoint], octave: joins.Join, judged: joins.Join, delay: float
) -> tuple[JoinAtPoint, ...]:
    as_set, better = (np.mean(octave.losses(np.array([each]))[0], axis=1) for each in (0.0, delay))
    return tuple(
        JoinAtPoint(
            name=point.name,
            found_loss=float(as_set[place]),
            better_loss=float(better[place]),
            phase=replace(octave, low=octave.low[[place]], high=octave.high[[place]]).phase(0.0),
            high_late=-at_one(judged, place).late_by_slope(),
        )
        for place, point in enumerate(points)
    )


def _level_chart(whole: JoinResponse, centre: float) -> Chart:
    """Levels as measured, 42 dB of them."""
    top = 6.0 * math.ceil(float(np.max([whole.low_level, whole.high_level, whole.sum_level])) / 6 + 0.1)
    return level_chart(drawn_at(whole.frequency), whole, centre, Axis("Level", "dB", top - 42, top))


def _phase_chart(whole: JoinResponse, delay: float, centre: float, asked: float) -> Chart:
    """Phase of the high against the low, as set and with a delay, s, of the low; 30° about what is asked."""

    def phase(late: float) -> FloatArray:
        turn = np.exp(2j * math.pi * whole.frequency * late)
        return decibels.phase(whole.above * np.conj(whole.below) * turn)

    return phase_chart(
        "Phase of the high against the low",
        whole.frequency,
        {"As set": phase(0.0), "With the better delay": phase(delay)},
        asked,
        octave_band(centre),
        centre,
    )


def _curve(at: FloatArray, gain: ComplexArray) -> Curve:
    return Curve(floats(at), floats(decibels.level(gain)), floats(decibels.phase(gain)))
