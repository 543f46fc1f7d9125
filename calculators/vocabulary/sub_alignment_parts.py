"""Subwoofer and front where they meet: from pasted curves, or of filters, boxes and distances."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from calculators.declaring import Advice, Band, Chart, Curve, InputError
from calculators.declaring.numerals import typographic
from calculators.physics import acoustic_slopes, decibels, filters
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.bass_joins import POLARITY_WINS_BY, BassSetting, TwoParts, best_setting
from calculators.vocabulary.phased_curves import FARTHEST_APART, IN_STEP, drawn_at, judged_places, phase_chart
from calculators.vocabulary.responses import level_axis, response_chart

GOOD_LOSS = -0.5
NEAR_THE_EDGE = 0.01
"""Of half a cycle."""
BASS_BAND, FRONT_BAND = (40.0, 63.0), (100.0, 160.0)
"""Hz: exact ends of the third octaves by which the two levels are compared lie half a band beyond."""


@dataclass(frozen=True)
class Part:
    """One part as a model: its filter, its driver's own fall (Hz and Q, or None), and its distance (m)."""

    side: filters.Side
    family: filters.Family
    order: int
    corner: float
    resonance: float | None
    q: float
    distance: float

    def gain(self, at: FloatArray, speed: float) -> ComplexArray:
        """What arrives of it at frequencies, Hz, without the loss of distance."""
        electric = filters.response(
            filters.crossover_filter(self.side, self.family, self.order, self.corner), at
        )
        if self.resonance is not None:
            electric = electric * filters.response(
                acoustic_slopes.roll_off("high-pass", self.resonance, self.q), at
            )
        return np.asarray(electric * np.exp(-2j * math.pi * at * self.distance / speed), dtype=np.complex128)


def over_the_front(bass: Sequence[ComplexArray], front: Sequence[ComplexArray]) -> float:
    """dB by which the subwoofer stands over the front, each in its own band, as mean power."""
    power = [float(np.mean(np.abs(np.stack(gains)) ** 2)) for gains in (bass, front)]
    if min(power) < 1e-30:
        raise InputError("points", "One of the parts is silent in its own band: look at the columns.")
    return 10 * math.log10(power[0] / power[1])


def setting_words(best: BassSetting, gain: float) -> str:
    """What is typed into the processor, in words."""
    words = ["subwoofer: turn its polarity" if best.sign < 0 else "subwoofer: polarity as it is"]
    late = 1e3 * abs(best.delay)
    if late >= 0.005:
        who = "delay it" if best.delay > 0 else "delay all others"
        words.append(f"{who} by {late:.2f} ms more")
    if abs(gain) >= 0.05:
        words.append(typographic(f"{gain:+.1f} dB"))
    return ", ".join(words)


def setting_in_short(best: BassSetting, gain: float, advice: Iterable[Advice], is_inside: bool) -> str:
    """The setting in 16 signs, or what the advice asks for before it is believed.

    ``is_inside``: whether the slope's delay was inside the search.
    """
    asked = {entry.about for entry in advice}
    if "points" in asked:
        return "arrivals first"
    if asked & {"whole_cycle", "search_about"} and not is_inside:
        return "search again"
    if asked & {"whole_cycle", "search_about", "largest_phase", "polarity"}:
        return "prove polarity"
    if "mean_loss" in asked:
        return "filter first"
    late = f"{1e3 * abs(best.delay):.2f} ms"
    if late == "0.00 ms":
        level = typographic(f"{gain:+.1f} dB") if abs(gain) >= 0.05 else "leave as it is"
        return "turn polarity" if best.sign < 0 else level
    if best.sign < 0:
        return "turn and delay"
    return f"{'sub' if best.delay > 0 else 'others'} +{late}"


def sum_chart(before: TwoParts, after: TwoParts) -> Chart:
    """Both parts and their sum before and after, as mean power over the places, under their top."""

    def mean(gains: ComplexArray) -> FloatArray:
        return decibels.level(np.sqrt(np.mean(np.abs(gains) ** 2, axis=0)))

    lines = {
        "Subwoofer": mean(after.low),
        "Front": mean(after.high),
        "Sum as found": mean(before.low + before.high),
        "Sum so set": mean(after.low + after.high),
    }
    top = float(np.max(np.stack(list(lines.values()))))
    shown = {name: line - top for name, line in lines.items()}
    return response_chart(
        "Subwoofer, front and their sum, under the top",
        drawn_at(before.frequency),
        {name: (line, "main") if name == "Sum so set" else line for name, line in shown.items()},
        level_axis(*shown.values()),
        read_at=before.frequency[before.frequency.size // 2].item(),
    )


def join_phase_chart(before: TwoParts, after: TwoParts) -> Chart:
    """Phase of the subwoofer against the front, all places together."""
    frequency = before.frequency
    return phase_chart(
        "Phase of the subwoofer against the front",
        frequency,
        {"So set": decibels.phase(after.against()), "As found": decibels.phase(before.against())},
        0.0,
        Band("The join", float(frequency[0]), float(frequency[-1])),
        frequency[frequency.size // 2].item(),
    )


def whole_cycle(after: TwoParts) -> str:
    """Whether the slope of the phase says that a cycle too many or too few stands between them."""
    late = after.late_by_slope()
    if abs(late) < 1 / (2 * after.middle):
        return "none"
    return f"the subwoofer is about a cycle {'late' if late > 0 else 'early'}"


def flight_advice(curves: Iterable[Curve]) -> tuple[Advice, ...]:
    """What is asked where a curve says no arrival: two phases without their flight times mean nothing."""
    if all(curve.arrival is not None for curve in curves):
        return ()
    text = (
        "Is the flight time in these phases? “Response” takes it out: paste its “The curve for the tune”, "
        "whose first line says the arrival. Where it is in them, write “; arrival 0 ms” above the columns."
    )
    return (Advice("points", text),)


def bass_advice(
    best: BassSetting, other: BassSetting, after: TwoParts, free: bool, searched_about: float
) -> tuple[Advice, ...]:
    """What should be looked at before the setting is believed; where the search began, s.

    A search in the wrong place comes first, and then no word of polarity: half a cycle and a turned polarity
    look nearly alike by loss.
    """
    advice = []
    searched = is_searched(best, after, searched_about)
    again = (
        "The slope's delay was inside the search: look at polarity, by the impulse, and at both slopes."
        if searched
        else _search_again(_slope_delay(best, after))
    )
    wait = "" if searched else " Touch no polarity before that."
    if whole_cycle(after) != "none":
        text = (
            "By the slope of the phase a whole cycle stands between the two: right by level and without "
            f"attack. {again}{wait} And look at the first three cycles of a burst."
        )
        advice.append(Advice("whole_cycle", text))
    elif at_the_edge(best, after, searched_about):
        advice.append(Advice("search_about", f"The search ended at its edge. {again}{wait}"))
    else:
        if float(np.max(np.abs(decibels.phase(after.against())))) > IN_STEP:
            text = (
                f"More than {IN_STEP:.0f}° apart in the join: half a cycle and a turned polarity look nearly "
                f"alike by loss. First prove its polarity by the impulse, and set it as proven. {again}"
            )
            advice.append(Advice("largest_phase", text))
        if free and best.cost > other.cost - POLARITY_WINS_BY:
            text = "Both polarities do nearly as well: the one that was proven stays. See the slope."
            advice.append(Advice("polarity", text))
        if not free and other.cost < best.cost - POLARITY_WINS_BY:
            text = (
                "Turned over, the subwoofer would lose less. First prove its polarity again by the impulse "
                "and look at the box's and the doors' slopes; at this join alone the polarity may then be "
                "chosen."
            )
            advice.append(Advice("polarity", text))
    if float(np.mean(after.lost())) < GOOD_LOSS:
        text = (
            "More than half a dB is lost on average. Slopes that differ are not mended by delay: choose the "
            "doors' filter so that filter and door together turn as the subwoofer's low-pass and its box do "
            "together. Where both fall by 12 dB/oct by themselves, that is the same filter on both."
        )
        advice.append(Advice("mean_loss", text))
    return tuple(advice)


def _slope_delay(best: BassSetting, after: TwoParts) -> float:
    """The delay, s, that the slope of the phase asks for."""
    return round(best.delay - after.late_by_slope(), 4)


def is_searched(best: BassSetting, after: TwoParts, searched_about: float) -> bool:
    """Whether the slope's delay was inside the search about that start, s."""
    return abs(_slope_delay(best, after) - searched_about) < 1 / (4 * after.middle)


def at_the_edge(best: BassSetting, after: TwoParts, searched_about: float) -> bool:
    """Whether a search ended where it stops, half a cycle from its start (s)."""
    half = 1 / (2 * after.middle)
    return abs(best.delay - searched_about) > (1 - NEAR_THE_EDGE) * half


def _search_again(delay: float) -> str:
    """What is typed to search about the delay (s) that the slope of the phase gives."""
    if abs(delay) > FARTHEST_APART:
        return (
            f"By that slope they lie more than {1e3 * FARTHEST_APART:.0f} ms apart: see that both have "
            "one clock, and no latency of their own, and measure again."
        )
    typed = typographic(f"{1e3 * delay:.1f}")
    return f"Type {typed} ms into Search about, the delay by the slope of the phase, and run again."


def modelled_parts(parts: tuple[Part, Part], at: FloatArray, speed: float) -> tuple[TwoParts, float]:
    """Both parts by their filters, boxes and distances, and how far the subwoofer stands over the front."""
    own = zip(parts, (BASS_BAND, FRONT_BAND), strict=True)
    stands = over_the_front(*([part.gain(judged_places(*ends), speed)] for part, ends in own))
    return TwoParts(at, *(part.gain(at, speed)[np.newaxis] for part in parts)), stands


def settings(louder: TwoParts, free: bool, search_about: float) -> tuple[BassSetting, BassSetting]:
    """The setting to take, and that with the other polarity: as proven, unless turning is free and wins."""
    proven, turned = (best_setting(louder, sign, search_about) for sign in (1.0, -1.0))
    wins = round(proven.cost - turned.cost, 9) > POLARITY_WINS_BY
    return (turned, proven) if free and wins else (proven, turned)
