"""Two curves against each other, band by band, each difference within its limit or named."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Curve,
    CurveText,
    InputError,
    Line,
    Made,
    Output,
    OutputChart,
    OutputCurve,
    OutputFile,
    OutputRows,
    OutputText,
    calculator,
)
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import COUNT, FREQUENCY, LEVEL
from calculators.physics.arrays import FloatArray
from calculators.vocabulary import curve_points
from calculators.vocabulary.curve_limits import LIMITS, Limits
from calculators.vocabulary.curve_points import Places as Bands
from calculators.vocabulary.point_examples import DOOR_AFTER, DOOR_BEFORE
from calculators.vocabulary.responses import Places, floats, response_chart

FEWEST_COMPARED = 3
LARGE_SHIFT = 10.0
SHIFTED_OVER = (300.0, 3000.0)
"""Hz over which two curves are laid onto each other."""


@dataclass(frozen=True, kw_only=True)
class ComparedBand:
    """One third octave of both."""

    nominal: Annotated[float, Output("Band", FREQUENCY, trim=True, figures=5)]
    first_level: Annotated[float, Output("First", LEVEL, decimals=1)]
    second_level: Annotated[float, Output("Second", LEVEL, decimals=1)]
    level_difference: Annotated[float, Output("Second less first", LEVEL, decimals=2)]
    level_limit: Annotated[float | None, Output("Within ±", LEVEL, decimals=1, none="no limit")]
    passes: Annotated[str, OutputText("Passes")]


@dataclass(frozen=True, kw_only=True)
class CurveCompare:
    """How two curves differ, and whether they may."""

    verdict: Annotated[str, OutputText("They", main=True, brief="worst_difference")]
    mean_difference: Annotated[float, Output("Second less first, on average", LEVEL, decimals=2)]
    mean_low: Annotated[float, Output("averaged from", FREQUENCY, trim=True, figures=5)]
    mean_high: Annotated[float, Output("to", FREQUENCY, trim=True, figures=5)]
    shifted_by: Annotated[float, Output("The second was moved by", LEVEL, decimals=2)]
    worst_difference: Annotated[float, Output("Largest difference that counts", LEVEL, decimals=2)]
    worst_band: Annotated[float, Output("at", FREQUENCY, trim=True, figures=5)]
    bands_over: Annotated[float, Output("Bands over their limit", COUNT, decimals=0)]
    chart: Annotated[Chart, OutputChart("Both over each other")]
    difference_chart: Annotated[Chart, OutputChart("Second less first, by third octave")]
    bands: Annotated[tuple[ComparedBand, ...], OutputRows("By third octave", copy=True, fold=True)]
    curve: Annotated[Curve, OutputCurve("Difference by third octave")]
    csv: Annotated[Made, OutputFile("Both for a spreadsheet")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Two curves compared",
    example={"first": DOOR_BEFORE, "second": DOOR_AFTER, "purpose": "change", "shift": "mean"},
    sources=("iec-61260-1", "common-practice"),
)
def curve_compare(
    first: Annotated[Curve, CurveText("First curve", help="Before, or left: Hz and dB in columns.")],
    second: Annotated[Curve, CurveText("Second curve", help="After, or right.")],
    purpose: Annotated[
        str, Choice("They are", {name: limits.words for name, limits in LIMITS.items()})
    ] = "change",
    shift: Annotated[
        str,
        Choice(
            "Lay them onto each other",
            {"none": "no: their levels count", "mean": "yes, by their mean from 300 Hz to 3 kHz"},
        ),
    ] = "none",
) -> CurveCompare:
    """Two curves in third octaves, the second less the first, against limits for what they are.

    Left and right: their mean from 315 Hz to 5 kHz and every third octave. The same speaker twice: whether
    the measurement repeats. Two sources of one file: whether the tune may serve both. Before and after have
    no limit: what was wanted decides. Laid onto each other, only the shape counts; do that where the volume
    was not the same, and never for left and right.
    """
    limits = LIMITS[purpose]
    if limits.level_counts and shift != "none":
        raise InputError("shift", "Left and right are compared as they stand: their levels count.")
    curves = {"first": first, "second": second}
    inside = curve_points.thirds_inside(curves)
    if inside.size < FEWEST_COMPARED:
        raise InputError("second", "The curves share fewer than three third octaves: paste more of them.")
    names = curve_points.nominal(inside)
    one, two = (curve_points.third_levels(curve, inside) for curve in curves.values())
    moved = -_mean(two - one, names, SHIFTED_OVER) if shift == "mean" else 0.0
    apart = two - one + moved
    allowed = [limits.of(name) for name in names]
    over = [limit is not None and abs(round(d, 6)) > limit for d, limit in zip(apart, allowed, strict=True)]
    counted = [place for place, limit in enumerate(allowed) if limit is not None]
    mean = _mean(apart, names, limits.mean_over)
    mean_passes = limits.mean is None or abs(round(mean, 6)) <= limits.mean
    looked_at = np.asarray(counted or range(len(names)))
    reaches = _reaches(limits, names)
    worst = int(looked_at[np.argmax(np.round(np.abs(apart[looked_at]), 6))])
    shared = [name for name in names if limits.mean_over[0] <= name <= limits.mean_over[1]] or names
    return CurveCompare(
        verdict=_verdict(
            limits,
            [names[place] for place in counted],
            any(over),
            mean_passes,
            reaches,
            f"{_signed(float(apart[worst]))} dB at {names[worst]:g} Hz",
            names,
        ),
        mean_difference=mean,
        mean_low=shared[0],
        mean_high=shared[-1],
        shifted_by=moved,
        worst_difference=float(apart[worst]),
        worst_band=names[worst],
        bands_over=float(sum(over)),
        chart=_both(curves, moved),
        difference_chart=_difference(inside, apart, allowed, worst),
        bands=tuple(
            ComparedBand(
                nominal=name,
                first_level=low,
                second_level=high + moved,
                level_difference=difference,
                level_limit=limit,
                passes="no limit" if limit is None else "no" if fails else "yes",
            )
            for name, low, high, difference, limit, fails in zip(
                names, one.tolist(), two.tolist(), apart.tolist(), allowed, over, strict=True
            )
        ),
        curve=Curve(tuple(names), floats(apart)),
        csv=curve_points.csv_file(
            "compared.csv",
            {"Hz": np.asarray(names), "first dB": one, "second dB": two + moved, "difference dB": apart},
        ),
        advice=_advice(limits, bool(counted), mean_passes or not reaches, mean, abs(moved)),
    )


def _signed(level: float) -> str:
    """A difference, dB, with its sign; none before nothing."""
    return typographic(f"{level:+.1f}") if round(level, 1) else "0.0"


def _mean(apart: FloatArray, names: list[float], over: tuple[float, float]) -> float:
    """Mean over bands, dB; over all that there are where none lies in the stretch."""
    chosen = [value for value, name in zip(apart, names, strict=True) if over[0] <= name <= over[1]]
    return float(np.mean(chosen or apart))


def _reaches(limits: Limits, names: list[float]) -> bool:
    """Whether the bands hold the whole stretch whose mean has a limit."""
    return limits.mean is None or (names[0] <= limits.mean_over[0] and limits.mean_over[1] <= names[-1])


def _verdict(
    limits: Limits,
    judged: list[float],
    over: bool,
    mean_passes: bool,
    reaches: bool,
    most: str,
    names: list[float],
) -> str:
    if not limits.bands:
        return f"differ most by {most}"
    if not judged:
        return "share no band that has a limit"
    if over:
        return f"{limits.fails}: a band is over its limit"
    if not reaches:
        low, high = limits.mean_over
        return f"are not judged: measure from {low:g} Hz to {high:g} Hz at least"
    if not mean_passes:
        return f"{limits.fails}: the mean is over its limit"
    beyond = [f"under {judged[0]:g} Hz"] * (names[0] < judged[0])
    beyond += [f"over {judged[-1]:g} Hz"] * (names[-1] > judged[-1])
    left = f"; bands {' and '.join(beyond)} are not judged" if beyond else ""
    return f"{limits.holds} from {judged[0]:g} to {judged[-1]:g} Hz: the most is {most}{left}"


def _both(curves: dict[str, Curve], moved: float) -> Chart:
    places, levels = curve_points.on_places(curves)
    lines = {"First": levels[0], "Second": (levels[1] + moved, "main")}
    return response_chart(
        "Both over each other",
        Places(places, places[:: max(1, places.size // 30)]),
        lines,
        curve_points.wide_axis(levels[0], levels[1] + moved),
        read_at=float(places[places.size // 2]),
    )


def _difference(inside: Bands, apart: FloatArray, allowed: list[float | None], worst: int) -> Chart:
    centres = curve_points.centres(inside)
    lines: dict[str, FloatArray | tuple[FloatArray, Line]] = {"Second less first": (apart, "main")}
    if any(limit is not None for limit in allowed):
        limit = np.array([np.nan if each is None else each for each in allowed])
        lines |= {"Most": (limit, "limit"), "Least": (-limit, "limit")}
    return response_chart(
        "Second less first, by third octave",
        Places(centres, centres),
        lines,
        curve_points.difference_axis(apart),
        read_at=float(centres[worst]),
    )


def _advice(limits: Limits, judged: bool, mean_passes: bool, mean: float, moved: float) -> tuple[Advice, ...]:
    advice = []
    if limits.bands and not judged:
        advice.append(
            Advice("purpose", f"The limits run from {limits.bands[0].low:g} Hz up: measure more of the band.")
        )
    if not mean_passes:
        advice.append(
            Advice(
                "mean_difference",
                f"Trim the {'second' if mean > 0 else 'first'} down by {abs(mean):.1f} dB, then measure "
                "again: a filter is no level control.",
            )
        )
    if moved > LARGE_SHIFT:
        advice.append(
            Advice(
                "shifted_by",
                f"The levels lie {moved:.0f} dB apart: another volume step, another gain of the recorder, "
                "or a part of the system that was off.",
            )
        )
    return tuple(advice)
