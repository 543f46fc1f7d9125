"""What is heard of a crossover's slope: electrical filter times driver, against the slope wanted."""

from dataclasses import dataclass
from typing import Annotated, cast

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Curve,
    CurveText,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputText,
    calculator,
)
from calculators.declaring.numerals import figures
from calculators.declaring.quantities import ANGLE, FREQUENCY, LEVEL, RATIO, SLOPE
from calculators.physics import acoustic_slopes, decibels, filters
from calculators.vocabulary.driver_slopes import (
    HeardSlope,
    acoustic_corner,
    measured_driver,
    slope_chart,
)
from calculators.vocabulary.filters import FAMILY_NAMES, SLOPES, order_of
from calculators.vocabulary.responses import LOWEST_SHOWN

NEAR_ENOUGH = 1.5
# Places of `judged_at` that lie within half an octave of the corner.
JUDGED = np.arange(12, 37)
CORNER_RANGE = (20.0, 12e3)
# Hz: hardly a driver falls towards the treble from lower down.
LOWEST_TREBLE_FALL = 200.0


@dataclass(frozen=True, kw_only=True)
class AcousticSlope:
    """The slope at the ear, and the electrical filter that comes nearest to the one wanted."""

    verdict: Annotated[str, OutputText("At the ear", main=True, brief="worst")]
    worst: Annotated[
        float, Output("Farthest from the wanted slope, half an octave either side", LEVEL, decimals=1)
    ]
    worst_frequency: Annotated[float, Output("that is at", FREQUENCY, figures=3)]
    electrical_level: Annotated[
        float, Output("Filter at the wanted corner", LEVEL, decimals=2, lowest=LOWEST_SHOWN)
    ]
    driver_level: Annotated[float, Output("Driver there", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    acoustic_level: Annotated[float, Output("Both there", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    wanted_level: Annotated[float, Output("Wanted there", LEVEL, decimals=2)]
    octave_level: Annotated[float, Output("Both an octave beyond it", LEVEL, decimals=1, lowest=LOWEST_SHOWN)]
    wanted_octave_level: Annotated[float, Output("Wanted there, too", LEVEL, decimals=1)]
    acoustic_corner: Annotated[
        float | None, Output("Acoustic corner", FREQUENCY, figures=3, none="not within an octave")
    ]
    turned: Annotated[
        float | None,
        Output("Phase against the wanted one, at the corner", ANGLE, decimals=0, none="not measured"),
    ]
    nearest: Annotated[str, OutputText("Electrical filter that comes nearest")]
    nearest_corner: Annotated[float, Output("its corner", FREQUENCY, figures=3)]
    nearest_miss: Annotated[float, Output("its level misses by, RMS over two octaves", LEVEL, decimals=2)]
    nearest_turned: Annotated[
        float | None,
        Output("its phase against the wanted one, at the corner", ANGLE, decimals=0, none="not measured"),
    ]
    nearest_turned_below: Annotated[
        float | None, Output("half an octave under it", ANGLE, decimals=0, none="not measured")
    ]
    nearest_turned_above: Annotated[
        float | None, Output("half an octave over it", ANGLE, decimals=0, none="not measured")
    ]
    chart: Annotated[Chart, OutputChart("Filter, driver and both")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Acoustic slope: filter times driver",
    example={
        "side": "high-pass",
        "family": "linkwitz-riley",
        "slope": 24.0,
        "corner": 80.0,
        "driver_frequency": 70.0,
        "driver_q": 0.8,
    },
    sources=("linkwitz-riley-1976", "butterworth-1930", "small-1972", "common-practice"),
)
def acoustic_slope(
    side: Annotated[
        str, Choice("The filter is a", {"high-pass": "high-pass", "low-pass": "low-pass"})
    ] = "high-pass",
    family: Annotated[str, Choice("Electrical family", FAMILY_NAMES)] = "linkwitz-riley",
    slope: Annotated[float, Number("Slope", SLOPE, 6, 48, options=SLOPES)] = 24.0,
    corner: Annotated[float, Number("Corner", FREQUENCY, *CORNER_RANGE, units=("kHz",))] = 80.0,
    driver_frequency: Annotated[
        float | None,
        Number(
            "The driver falls by itself from",
            FREQUENCY,
            10,
            20e3,
            units=("kHz",),
            optional=True,
            empty="it does not",
            help="12 dB/oct. Beside a high-pass its resonance in its box or door; beside a low-pass where it "
            "falls towards the treble.",
        ),
    ] = None,
    driver_q: Annotated[float, Number("with a Q of", RATIO, 0.2, 3, usual=(0.5, 1.2))] = 0.8,
    measured: Annotated[
        Curve | None,
        CurveText(
            "Measured instead",
            optional=True,
            help="Hz and dB: this driver alone, near it or at the seat, averaged. It beats the line above.",
        ),
    ] = None,
    measured_with: Annotated[
        str, Choice("It was measured", {"raw": "without this filter", "filtered": "with this filter in"})
    ] = "raw",
    wanted_family: Annotated[str, Choice("Wanted at the ear", FAMILY_NAMES)] = "linkwitz-riley",
    wanted_slope: Annotated[float, Number("Wanted slope", SLOPE, 6, 48, options=SLOPES)] = 24.0,
    wanted_corner: Annotated[
        float | None,
        Number(
            "Wanted corner",
            FREQUENCY,
            *CORNER_RANGE,
            units=("kHz",),
            optional=True,
            empty="as the filter's",
        ),
    ] = None,
    partner_frequency: Annotated[
        float | None,
        Number(
            "The part it meets falls by itself below",
            FREQUENCY,
            10,
            5e3,
            units=("kHz",),
            optional=True,
            empty="it does not",
            help="Beside a high-pass: a subwoofer's resonance in its closed box, 12 dB/oct. What is wanted "
            "then falls so too.",
        ),
    ] = None,
    partner_q: Annotated[float, Number("that with a Q of", RATIO, 0.2, 3, usual=(0.5, 1.2))] = 0.8,
) -> AcousticSlope:
    """What reaches the ear of a crossover's slope, and the filter with which it would be the one wanted.

    What you hear is the filter times the driver in its box. A door that falls by 12 dB an octave at 80 Hz
    needs 12 dB electrically to make 24. But a subwoofer in a closed box falls so too, and turns by as much:
    the two meet in step where the whole falls are alike, so what is wanted of the door is then its high-pass
    and that box in a row. All families, slopes and corners to an octave either side are tried,
    by level and by what their phase costs at the join; of a measured driver, whose phase is not known, by
    level alone. A processor may lack some. A steeper filter on a driver near its end still protects it
    better: never go under the driver's own limit for the sake of a slope.
    """
    kind = cast(filters.Side, side)
    goal_corner = corner if wanted_corner is None else wanted_corner
    goal_family = cast(filters.Family, wanted_family)
    if partner_frequency is not None and kind == "low-pass":
        raise InputError(
            "partner_frequency",
            "This counts beside a high-pass alone: leave it empty, and hold the other part's high-pass "
            "against this one's box.",
        )
    electric = filters.crossover_filter(
        kind, cast(filters.Family, family), order_of("slope", family, slope), corner
    )
    order = order_of("wanted_slope", wanted_family, wanted_slope)
    goal = filters.crossover_filter(kind, goal_family, order, goal_corner)
    look = HeardSlope(
        kind,
        electric,
        _wanted(goal, partner_frequency, partner_q),
        None if driver_frequency is None else acoustic_slopes.roll_off(kind, driver_frequency, driver_q),
        None
        if measured is None
        else measured_driver(measured, kind, goal_corner, electric if measured_with == "filtered" else None),
    )
    asked = _side_advice(kind, None if measured is not None else driver_frequency, goal_corner)
    return _answer(look, goal_family, goal_corner, asked)


def _answer(
    look: HeardSlope, family: filters.Family, corner: float, asked: tuple[Advice, ...]
) -> AcousticSlope:
    """How far it is from what is wanted, of that family and corner (Hz), and the filter nearest to that.

    The phase of a measured driver is not known.
    """
    at = acoustic_slopes.judged_at(corner)
    missed = decibels.level(look.acoustic(at)) - decibels.level(look.wanted(at))
    place = int(JUDGED[np.argmax(np.round(np.abs(missed[JUDGED]), 9))])
    worst = float(missed[place])
    phased = look.measured is None
    nearest = acoustic_slopes.nearest_filter(look.side, look.wanted(at), look.driver(at), corner, phased)
    below, middle, above = nearest.turned if phased else (None, None, None)
    there = np.array([corner, corner * (2.0 if look.side == "low-pass" else 0.5)])
    electrical, driver, both, wanted = (
        decibels.level(line(there)).tolist()
        for line in (look.filter, look.driver, look.acoustic, look.wanted)
    )
    words = f"{FAMILY_NAMES[nearest.family]}, {6 * nearest.order} dB/oct"
    return AcousticSlope(
        verdict=_verdict(worst),
        worst=worst,
        worst_frequency=float(at[place]),
        electrical_level=electrical[0],
        driver_level=driver[0],
        acoustic_level=both[0],
        wanted_level=wanted[0],
        octave_level=both[1],
        wanted_octave_level=wanted[1],
        acoustic_corner=acoustic_corner(look, acoustic_slopes.corner_level(family), corner),
        turned=float(decibels.phase(look.acoustic(there) / look.wanted(there))[0]) if phased else None,
        nearest=words,
        nearest_corner=nearest.corner,
        nearest_miss=nearest.miss,
        nearest_turned=middle,
        nearest_turned_below=below,
        nearest_turned_above=above,
        chart=slope_chart(look, corner),
        advice=(*_advice(worst, words, nearest, not phased), *asked),
    )


def _wanted(goal: filters.Sections, partner_frequency: float | None, partner_q: float) -> filters.Sections:
    """What is wanted at the ear: the crossover's own slope, and the fall of the part that it meets."""
    if partner_frequency is None:
        return goal
    return filters.cascade(goal, acoustic_slopes.roll_off("high-pass", partner_frequency, partner_q))


def _side_advice(side: filters.Side, driver_frequency: float | None, corner: float) -> tuple[Advice, ...]:
    """What is asked where a resonance in a box seems to stand for the fall towards the treble."""
    if side == "high-pass" or driver_frequency is None:
        return ()
    if driver_frequency >= max(LOWEST_TREBLE_FALL, corner / 2):
        return ()
    text = (
        f"Does this driver fall towards the treble from {figures(driver_frequency, 3)} Hz? Beside a low-pass "
        "its resonance in the box has no place here: leave that empty, or paste what you measured."
    )
    return (Advice("driver_frequency", text),)


def _verdict(worst: float) -> str:
    if abs(worst) <= NEAR_ENOUGH:
        return f"the slope wanted, within {abs(worst):.1f} dB"
    return f"{abs(worst):.1f} dB {'over' if worst > 0 else 'under'} the slope wanted"


def _advice(
    worst: float, words: str, nearest: acoustic_slopes.NearestFilter, measured: bool
) -> tuple[Advice, ...]:
    if abs(worst) <= NEAR_ENOUGH:
        return ()
    if nearest.miss > NEAR_ENOUGH:
        text = (
            "No filter brings this driver to that slope: it misses by "
            f"{nearest.miss:.1f} dB at best. Choose another corner, or another slope."
        )
    else:
        text = f"Try {words} at {figures(nearest.corner, 3)} Hz, if the driver's own limit allows it."
        if measured:
            text += " It was found by level alone: look at the phase of the join."
    return (Advice("worst", text),)
