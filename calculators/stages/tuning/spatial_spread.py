"""What wanders from point to point and what stays: the sign of a cancellation."""

from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Band,
    Chart,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputRows,
    OutputText,
    Rows,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LEVEL, OCTAVES
from calculators.physics import bands, curve_parts
from calculators.physics.arrays import FloatArray
from calculators.physics.curve_parts import Dip
from calculators.vocabulary import curve_points
from calculators.vocabulary.curve_points import MeasuredPoint
from calculators.vocabulary.feed_curves import (
    CANCELLATION,
    DEEP_ON_AVERAGE,
    NOT_SURE,
    STAYS,
    TELLS_FROM,
    WANDERS,
    Feed,
    even_feed,
    from_point_to_point,
    too_low,
    wanders_by,
    wanders_sideways,
)
from calculators.vocabulary.point_examples import DOOR_POINTS
from calculators.vocabulary.responses import Places, response_chart

POINTS_THAT_TELL = 5
STANDS = "stays at all points"
TO_DO = {
    CANCELLATION: "leave it alone: filled at one point, it is a hump a hand's breadth away",
    NOT_SURE: "measure more points before a filter touches it",
}
TOO_LOW_TO_TELL = (
    "under 200 Hz points 10 cm apart cannot tell a reflection from the door: compare with the near sweep and "
    "the other seat before a filter touches it"
)
MOST_RISES = 1.5
"""dB: what stands higher out of its surroundings is a hump."""


@dataclass(frozen=True, kw_only=True)
class Feature:
    """A dip or a hump of the mean, and whether it is the same at all points."""

    kind: Annotated[str, OutputText("It is a")]
    low: Annotated[float, Output("From", FREQUENCY, figures=3, trim=True)]
    high: Annotated[float, Output("To", FREQUENCY, figures=3, trim=True)]
    stands_out: Annotated[float, Output("In the mean", LEVEL, decimals=1)]
    wanders: Annotated[float, Output("From point to point", LEVEL, decimals=1)]
    centre_wanders: Annotated[float, Output("Its middle wanders by", OCTAVES, decimals=2)]
    verdict: Annotated[str, OutputText("So it is")]
    to_do: Annotated[str, OutputText("Do")]


@dataclass(frozen=True, kw_only=True)
class SpreadBand:
    """How far the points lie apart in one third octave."""

    nominal: Annotated[float, Output("Band", FREQUENCY, trim=True, figures=5)]
    spread: Annotated[float, Output("Spread", LEVEL, decimals=1)]
    says: Annotated[str, OutputText("What stands there")]


@dataclass(frozen=True, kw_only=True)
class SpatialSpread:
    """What may be filtered, and what may not."""

    verdict: Annotated[str, OutputText("Found", main=True, brief="widest_spread")]
    widest_spread: Annotated[float, Output("Widest spread", LEVEL, decimals=1)]
    spread_frequency: Annotated[float, Output("that is at", FREQUENCY, figures=3, trim=True)]
    chart: Annotated[Chart, OutputChart("Spread from point to point")]
    features: Annotated[tuple[Feature, ...], OutputRows("Dips and humps", copy=True)]
    bands: Annotated[tuple[SpreadBand, ...], OutputRows("By third octave", fold=True)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Spread from point to point",
    example={"points": DOOR_POINTS},
    sources=("iso-3382-1", "neely-allen-1979", "common-practice"),
)
def spatial_spread(
    points: Annotated[
        tuple[MeasuredPoint, ...],
        Rows("Points", "point", at_least=3, at_most=12, help="Of one speaker, five or more."),
    ],
    low: Annotated[float, Number("Look from", FREQUENCY, 10, 5000, usual=(20, 200), seldom=True)] = 30.0,
    high: Annotated[
        float, Number("Look to", FREQUENCY, 100, 20e3, usual=(500, 10e3), units=("kHz",), seldom=True)
    ] = 5000.0,
) -> SpatialSpread:
    """Which dips of a speaker wander from point to point, and which stay: a cancellation wanders.

    A cancellation is two paths out of step, and a hand's breadth away they are not: no filter mends it.
    What stays at all points is the speaker's or the door's, and a filter may work on it. The spread is the
    standard deviation over the points, each point's own mean level taken out. A dip that spreads by 3 dB or
    more, or by 2 dB with a middle that wanders, is a cancellation; by 2 dB or less, it stays; between, more
    points are needed. Under 200 Hz a cancellation stays too, for the points lie within a small part of a
    wave: what stays there is not sure.
    """
    if not low < high / 2:
        raise InputError("high", "The band must be wider than an octave: give a higher end.")
    curves = curve_points.curves_of(points)
    curve_points.shared_band(curves)
    feed = even_feed(curves, low, high)
    spread = curve_parts.spread(feed.points)
    found = [_feature("dip", feed, dip) for dip in curve_parts.dips(feed.level, DEEP_ON_AVERAGE)]
    turned = replace(feed, level=-feed.level, points=-feed.points)
    found += [_feature("hump", turned, dip) for dip in curve_parts.dips(turned.level, MOST_RISES)]
    most = int(np.argmax(np.round(spread, 6)))
    return SpatialSpread(
        verdict=_verdict(found),
        widest_spread=float(spread[most]),
        spread_frequency=float(feed.places[most]),
        chart=_chart(feed, spread),
        features=tuple(sorted(found, key=lambda feature: feature.low)),
        bands=_bands(feed, spread),
        advice=_advice(len(points)),
    )


def _feature(kind: str, feed: Feed, dip: Dip) -> Feature:
    """A dip as it stands in a feed; a hump is the dip of a feed turned over."""
    wanders, sideways = wanders_by(feed, dip), wanders_sideways(feed, dip)
    verdict = from_point_to_point(wanders, sideways) or STANDS
    so_low = kind == "dip" and verdict == STANDS and too_low(feed, dip)
    if so_low:
        verdict = NOT_SURE
    if verdict == CANCELLATION and kind == "hump":
        verdict = "the shoulder of a cancellation"
    return Feature(
        kind=kind,
        low=float(feed.places[dip.first]),
        high=float(feed.places[dip.last]),
        stands_out=dip.depth if kind == "hump" else -dip.depth,
        wanders=wanders,
        centre_wanders=sideways,
        verdict=verdict,
        to_do=TOO_LOW_TO_TELL if so_low else _to_do(kind, verdict),
    )


def _to_do(kind: str, verdict: str) -> str:
    if verdict in TO_DO:
        return TO_DO[verdict]
    if verdict != STANDS:
        return "leave it alone: cut at one point, it is a hole a hand's breadth away"
    if kind == "hump":
        return "a filter may take it down"
    return "mute the other channels: if it stays, a broad filter may lift it a little"


def _verdict(found: list[Feature]) -> str:
    if not found:
        return "no dip and no hump worth a word"
    told = []
    for kind in ("hump", "dip"):
        alike = [feature for feature in found if feature.kind == kind]
        stays = sum(feature.verdict == STANDS for feature in alike)
        unsure = sum(feature.verdict == NOT_SURE for feature in alike)
        wanders = len(alike) - stays - unsure
        words = {"stays": stays, "wanders": wanders, "not sure": unsure}
        told += [f"{kind}, {word}: {count}" for word, count in words.items() if count]
    return "; ".join(told)


def _chart(feed: Feed, spread: FloatArray) -> Chart:
    return response_chart(
        "Spread from point to point",
        Places(feed.places, feed.places[:: curve_parts.PER_OCTAVE // 3]),
        {"Spread": (spread, "main")},
        curve_points.spread_axis(spread, WANDERS),
        (Band("Stays", 0.0, STAYS, axis="y"),),
        read_at=float(feed.places[int(np.argmax(np.round(spread, 6)))]),
    )


def _bands(feed: Feed, spread: FloatArray) -> tuple[SpreadBand, ...]:
    rows = []
    for name, (bottom, top) in zip(
        bands.NOMINAL_THIRD_OCTAVES, bands.third_octave_edges().tolist(), strict=True
    ):
        inside = (feed.places >= bottom) & (feed.places < top)
        if bottom < feed.places[0] / curve_points.SLACK or top > feed.places[-1] * curve_points.SLACK:
            continue
        own = float(np.sqrt(np.mean(spread[inside] ** 2)))
        rows.append(SpreadBand(nominal=float(name), spread=own, says=_says(round(own, 6), float(name))))
    return tuple(rows)


def _says(spread: float, nominal: float) -> str:
    if spread >= WANDERS:
        return "wanders"
    if spread > STAYS:
        return "not sure"
    return "stays" if nominal >= TELLS_FROM else "too low to tell"


def _advice(count: int) -> tuple[Advice, ...]:
    if count < POINTS_THAT_TELL:
        return (
            Advice(
                "points", f"{count} points tell little: measure five or more, 10 cm apart, one of them low."
            ),
        )
    return ()
