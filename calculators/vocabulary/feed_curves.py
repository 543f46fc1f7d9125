"""Curves of a feed as they are pasted, put on even places; and what is left alone in them, with the "
"reason."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Curve, InputError, Output, OutputText
from calculators.declaring.quantities import FREQUENCY, LEVEL
from calculators.physics import curve_parts
from calculators.physics.arrays import FloatArray

SUMMATION, CANCELLATION, NOT_SURE = "dip of summation, or not proven to be none", "cancellation", "not sure"
TOO_DEEP = "a null too deep for a proven sum"
DIPS = (SUMMATION, TOO_DEEP, CANCELLATION, NOT_SURE)
UNPROVEN = (SUMMATION, TOO_DEEP)
"""Dips for which no filter is placed anywhere: the sum comes first."""
LEAST_OCTAVES = 1.0
FARTHEST_LEVEL = 200.0
"""dB: levels beyond it, up or down, are none of a feed."""
DEEP = 3.0
"""dB under its shoulders: what is less is no dip worth a word."""
DEEP_ON_AVERAGE = 1.5
DEEP_FOR_A_SUM = 10.0
"""dB, in less than an octave: no sum whose parts add up has it. Common practice, no source."""
WIDEST, WIDEST_OF_SUMMATION = 1.0, 2.0
"""Octaves: what is wider is the shape of the curve."""
WITH_ITS_SKIRTS = 2.5
"""Octaves that a dip of several points may take with its skirts: a filter lifts none of them."""
WANDERS, STAYS = 3.0, 2.0
"""dB of spread from point to point, in a dip: over the one a cancellation, under the other none."""
CENTRE_WANDERS = 0.12
"""Octaves, RMS, by which the lowest place of a dip wanders from point to point."""
TELLS_FROM = 200.0
"""Hz: under it points 10 cm apart lie within a sixteenth of a wave, and a cancellation stays at all."""


@dataclass(frozen=True, kw_only=True)
class LeftAlone:
    """A part of the curve that no filter works on."""

    low: Annotated[float, Output("From", FREQUENCY, figures=3, trim=True)]
    high: Annotated[float, Output("To", FREQUENCY, figures=3, trim=True)]
    dip_depth: Annotated[float, Output("Depth", LEVEL, decimals=1)]
    width: Annotated[str, OutputText("Width")]
    wanders: Annotated[float | None, Output("From point to point", LEVEL, decimals=1, none="one curve")]
    verdict: Annotated[str, OutputText("It is")]
    reason: Annotated[str, OutputText("Left alone because")]


@dataclass(frozen=True, eq=False)
class Feed:
    """A feed at even places (Hz): its level (dB), that of each point, and the weight of each place."""

    places: FloatArray
    level: FloatArray
    points: FloatArray
    weight: FloatArray


def check_levels(field: str, curve: Curve, of: str = "a feed") -> None:
    """Raises InputError beside the field for levels that no feed, or no measurement, has."""
    if max(map(abs, curve.level)) > FARTHEST_LEVEL:
        raise InputError(field, f"Levels beyond {FARTHEST_LEVEL:g} dB are none of {of}: look at the columns.")


def even_feed(curves: dict[str, Curve], low: float, high: float) -> Feed:
    """One curve, or several points of one sound, at even places of the band. Raises InputError beside its "
    "field."""
    for field, curve in curves.items():
        check_levels(field, curve)
    start = max(low, *(curve.frequency[0] for curve in curves.values()))
    end = min(high, *(curve.frequency[-1] for curve in curves.values()))
    if not end >= start * 2**LEAST_OCTAVES:
        raise InputError(
            next(iter(curves)),
            "The curve holds less than an octave of the band: paste more of it, or widen the band.",
        )
    places = curve_parts.even_places(start, end)
    points = np.stack(
        [curve_parts.averaged(places, curve.frequency, curve.level) for curve in curves.values()]
    )
    level, weight = points[0], np.ones_like(places)
    if len(points) > 1:
        level = curve_parts.power_mean(points)
        weight = 1 / (1 + (curve_parts.spread(points) / STAYS) ** 2)
    return Feed(places, level, points, weight)


def part(feed: Feed, first: int, last: int) -> Feed:
    """The same between two places."""
    inside = slice(first, last + 1)
    return Feed(feed.places[inside], feed.level[inside], feed.points[:, inside], feed.weight[inside])


def judged_dips(feed: Feed, electrical: bool, summed: bool) -> tuple[FloatArray, tuple[LeftAlone, ...]]:
    """The level with every dip that is left alone bridged over, and those dips with their verdicts."""
    several = len(feed.points) > 1
    level, rows = feed.level.copy(), []
    widest = WIDEST_OF_SUMMATION if electrical else WIDEST
    over = curve_parts.bridged(feed.level, WITH_ITS_SKIRTS)
    least = DEEP_FOR_A_SUM if electrical and summed else DEEP_ON_AVERAGE if several else DEEP
    for dip in curve_parts.dips(feed.level, least, widest):
        if electrical and summed and dip.width >= WIDEST:
            continue
        wanders = wanders_by(feed, dip) if several else None
        sideways = wanders_sideways(feed, dip) if several else 0.0
        verdict, reason = _verdict(electrical, summed, wanders, sideways, too_low(feed, dip))
        if not verdict:
            continue
        beside = curve_parts.around(over - feed.level, dip.first, dip.last)
        level[beside] = over[beside]
        rows.append(
            LeftAlone(
                low=float(feed.places[dip.first]),
                high=float(feed.places[dip.last]),
                dip_depth=dip.depth,
                width=f"{dip.width:.2g} octaves",
                wanders=wanders,
                verdict=verdict,
                reason=reason,
            )
        )
    return level, tuple(rows)


def wanders_by(feed: Feed, dip: curve_parts.Dip) -> float:
    """Spread in a dip, dB: RMS over it."""
    spread = curve_parts.spread(feed.points)[dip.first : dip.last + 1]
    return float(np.sqrt(np.mean(spread**2)))


def wanders_sideways(feed: Feed, dip: curve_parts.Dip) -> float:
    """How far the lowest place of a dip wanders from point to point, octaves, RMS."""
    inside = feed.points[:, dip.first : dip.last + 1]
    return float(np.std(np.argmin(inside, axis=1), ddof=1)) / curve_parts.PER_OCTAVE


def too_low(feed: Feed, dip: curve_parts.Dip) -> bool:
    """Whether points 10 cm apart cannot tell a reflection from the speaker there, though a dip stays."""
    return bool(np.sqrt(feed.places[dip.first] * feed.places[dip.last]) < TELLS_FROM)


def _verdict(
    electrical: bool, summed: bool, wanders: float | None, sideways: float, low: bool
) -> tuple[str, str]:
    """What a dip is and why it is left alone; nothing where it may be filled."""
    if electrical and summed:
        return (
            TOO_DEEP,
            "feeds that add up leave no such null, and no filter fills it. Back to feed-sum; a feed that is "
            "full-range by itself is flattened below it and above it, by From and To.",
        )
    if electrical:
        return (
            SUMMATION,
            "two feeds that do not add up make such a dip, and no filter fills it: polarity and delay do. "
            "Prove the sum with feed-sum first.",
        )
    if wanders is None:
        return (
            NOT_SURE,
            "one point cannot tell a cancellation from a resonance: measure five, and see whether it "
            "wanders.",
        )
    verdict = from_point_to_point(wanders, sideways)
    if verdict == CANCELLATION:
        return (
            CANCELLATION,
            "it wanders from point to point: filled at one, it is a hump a hand's breadth away, and costs "
            "amplifier and stroke.",
        )
    if verdict == NOT_SURE:
        return (
            NOT_SURE,
            "it wanders too much to be called a resonance, and too little to be called a cancellation.",
        )
    if low:
        return (
            NOT_SURE,
            "under 200 Hz points 10 cm apart cannot tell a reflection from the speaker: compare with the "
            "near sweep and the other seat first.",
        )
    return "", ""


def from_point_to_point(wanders: float, sideways: float) -> str:
    """What a dip is by how it wanders, dB, and by how far its lowest place does, octaves; nothing where it "
    "stays."""
    if wanders >= WANDERS or (wanders > STAYS and sideways > CENTRE_WANDERS):
        return CANCELLATION
    return NOT_SURE if wanders > STAYS else ""
