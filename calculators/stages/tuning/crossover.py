"""Crossovers: what the low and the high let through, and how the two add up."""

import math
from dataclasses import dataclass, replace
from typing import Annotated, cast

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Curve,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputCurve,
    OutputRows,
    OutputText,
    calculator,
)
from calculators.declaring.quantities import ANGLE, FREQUENCY, LEVEL, SLOPE, TIME
from calculators.physics import bands, filters
from calculators.vocabulary.crossover_joins import (
    CORNERS,
    CrossoverBand,
    Join,
    band_rows,
    better_polarity,
    delay_chart,
    join_places,
    level_chart,
    longest_delay,
    lowest_place,
    pair_of,
    part,
)
from calculators.vocabulary.filters import (
    FALLS_BELOW,
    FALLS_WITH_Q,
    FAMILY_NAMES,
    SAMPLE_RATES,
    SLOPES,
    order_of,
    section_qs,
)
from calculators.vocabulary.join_advice import join_advice
from calculators.vocabulary.measured_joins import (
    POINTS_OF_JOIN,
    JoinAtPoint,
    JoinPoint,
    JoinSetting,
    Measured,
    measured_join,
)
from calculators.vocabulary.responses import LOWEST_SHOWN, SHOWN, response_curve

UNTOLD = "not of a measured join"


@dataclass(frozen=True, kw_only=True)
class Crossover:
    """Low and high of a crossover, and their sum."""

    meeting: Annotated[float, Output("They meet at", FREQUENCY, trim=True, main=True)]
    low_level: Annotated[float, Output("Low there", LEVEL, decimals=2)]
    high_level: Annotated[float, Output("High there", LEVEL, decimals=2)]
    sum_level: Annotated[float, Output("Sum there", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    phase: Annotated[float, Output("Phase of the high against the low there", ANGLE, decimals=0)]
    lowest_sum: Annotated[
        float,
        Output("Lowest point of the sum, two octaves either side", LEVEL, decimals=2, lowest=LOWEST_SHOWN),
    ]
    lowest_sum_frequency: Annotated[float, Output("The lowest point is at", FREQUENCY, trim=True)]
    highest_sum: Annotated[float, Output("Highest point of the sum there", LEVEL, decimals=2)]
    better_polarity: Annotated[str, OutputText("Polarity that sums better, for equal arrivals")]
    polarity_reason: Annotated[str, OutputText("because")]
    section_qs: Annotated[str, OutputText("Q of each 12 dB/oct section, if asked for")]
    group_delay: Annotated[
        float | None, Output("Group delay of the low, far below", TIME, show="ms", decimals=2, none=UNTOLD)
    ]
    high_group_delay: Annotated[
        float | None, Output("Group delay of the high, at most", TIME, show="ms", decimals=2, none=UNTOLD)
    ]
    sum_group_delay: Annotated[
        float | None, Output("Group delay of the sum, at most", TIME, show="ms", decimals=2, none=UNTOLD)
    ]
    turned_group_delay: Annotated[
        float | None,
        Output(
            "Group delay of the sum with the other polarity, at most",
            TIME,
            show="ms",
            decimals=2,
            none=UNTOLD,
        ),
    ]
    looked_at: Annotated[float, Output("The levels below are at", FREQUENCY, trim=True)]
    low_level_at: Annotated[float, Output("Low at that frequency", LEVEL, decimals=1)]
    high_level_at: Annotated[float, Output("High at that frequency", LEVEL, decimals=1)]
    sum_level_at: Annotated[float, Output("Sum at that frequency", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    chart: Annotated[Chart, OutputChart("Level of low, high and sum")]
    delay_chart: Annotated[Chart | None, OutputChart("Group delay of low, high and sum")]
    bands: Annotated[tuple[CrossoverBand, ...], OutputRows("By third-octave band", fold=True)]
    low: Annotated[Curve, OutputCurve("Low")]
    high: Annotated[Curve, OutputCurve("High")]
    sum: Annotated[Curve, OutputCurve("Sum")]
    phase_chart: Annotated[Chart | None, OutputChart("Phase of the high against the low")] = None
    settings: Annotated[
        tuple[JoinSetting, ...], OutputRows("Measured: half an octave either side of where they meet")
    ] = ()
    points: Annotated[tuple[JoinAtPoint, ...], OutputRows("Measured, point by point")] = ()
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Crossover: low, high and their sum",
    example={"family": "linkwitz-riley", "slope": 24.0, "low_pass": 80.0, "high_pass": 80.0},
    sources=("butterworth-1930", "linkwitz-riley-1976", "thomson-1949"),
    cautions=(),
)
def crossover(
    family: Annotated[str, Choice("Family", FAMILY_NAMES)] = "linkwitz-riley",
    slope: Annotated[float, Number("Slope", SLOPE, 6, 48, options=SLOPES)] = 24.0,
    low_pass: Annotated[float, Number("Low-pass", FREQUENCY, *CORNERS, units=("kHz",))] = 80.0,
    high_pass: Annotated[
        float | None,
        Number(
            "High-pass",
            FREQUENCY,
            *CORNERS,
            units=("kHz",),
            optional=True,
            empty="as the low-pass",
        ),
    ] = None,
    polarity: Annotated[
        str, Choice("Polarity of the high", {"same": "as wired", "reversed": "reversed"})
    ] = "same",
    delay: Annotated[
        float,
        Number(
            "The high is late by",
            TIME,
            -0.05,
            0.05,
            show="ms",
            help="In arrival at the ear. Negative: it is early.",
            seldom=True,
        ),
    ] = 0.0,
    sample_rate: Annotated[
        float | None,
        Number(
            "Sample rate",
            FREQUENCY,
            44100,
            192e3,
            options=SAMPLE_RATES,
            optional=True,
            empty="analogue",
            show="kHz",
            seldom=True,
        ),
    ] = None,
    at: Annotated[
        float | None,
        Number(
            "Levels at",
            FREQUENCY,
            10,
            20e3,
            units=("kHz",),
            seldom=True,
            optional=True,
            empty="one octave above the low-pass",
            help="For example a tweeter's resonance: how much still reaches it.",
        ),
    ] = None,
    high_family: Annotated[
        str, Choice("Family of the high", {"same": "as the low"} | FAMILY_NAMES, seldom=True)
    ] = "same",
    high_slope: Annotated[
        float | None,
        Number(
            "Slope of the high", SLOPE, 6, 48, options=SLOPES, optional=True, empty="as the low", seldom=True
        ),
    ] = None,
    low_gain: Annotated[float, Number("Gain of the low", LEVEL, -40, 20, seldom=True)] = 0.0,
    high_gain: Annotated[float, Number("Gain of the high", LEVEL, -40, 20, seldom=True)] = 0.0,
    low_polarity: Annotated[
        str, Choice("Polarity of the low", {"same": "as wired", "reversed": "reversed"}, seldom=True)
    ] = "same",
    low_late: Annotated[float, Number("The low is late by", TIME, -0.05, 0.05, show="ms", seldom=True)] = 0.0,
    low_falls: Annotated[float | None, replace(FALLS_BELOW, label="The low’s driver falls below")] = None,
    low_falls_q: Annotated[float, replace(FALLS_WITH_Q, label="The low’s falls with a Q of")] = 0.8,
    high_falls: Annotated[float | None, replace(FALLS_BELOW, label="The high’s driver falls below")] = None,
    high_falls_q: Annotated[float, replace(FALLS_WITH_Q, label="The high’s falls with a Q of")] = 0.8,
    points: Annotated[tuple[JoinPoint, ...], POINTS_OF_JOIN] = (),
) -> Crossover:
    """What the low and the high of a crossover let through, and what the two make together.

    The low is what goes to the lower driver (a low-pass), the high what goes to the upper one. These
    are the electrical filters; type where each driver falls by itself, and the sum is that of both. What
    you hear is the filter, the driver and its box together: measure it in the vehicle. Two measured curves
    with phase, of each point, take the place of falls, and of the filters where those were in: then the join
    is judged as it is heard, half an octave either side of where the two are level, and the delay that would
    do better is told.
    """
    order = order_of("slope", family, slope)
    high_order, high_kind = order, cast(filters.Family, family if high_family == "same" else high_family)
    if high_slope is not None or high_family != "same":
        high_order = order_of("high_slope", high_kind, slope if high_slope is None else high_slope)
    high_pass = low_pass if high_pass is None else high_pass
    kind = cast(filters.Family, family)
    low_filter = filters.crossover_filter("low-pass", kind, order, low_pass, sample_rate)
    high_filter = filters.crossover_filter("high-pass", high_kind, high_order, high_pass, sample_rate)
    set_to = Join(
        part(low_filter, low_gain, low_falls, low_falls_q),
        part(high_filter, high_gain, high_falls, high_falls_q),
        1.0 if polarity == low_polarity else -1.0,
        delay - low_late,
        low_falls is not None or high_falls is not None,
    )
    meeting = math.sqrt(low_pass * high_pass)
    looked_at = min(2 * low_pass, CORNERS[1]) if at is None else at
    qs = section_qs((kind, order), (high_kind, high_order))
    if points:
        if set_to.driven:
            raise InputError(
                "low_falls" if low_falls is not None else "high_falls",
                "The measured curves hold what the driver does: leave this empty.",
            )
        pair = None
        if (high_kind, high_order) == (kind, order):
            pair = pair_of(kind, order, meeting, sample_rate)
        measured = Measured(points, set_to, (low_gain, high_gain), pair)
        return Crossover(section_qs=qs, **vars(measured_join(measured, meeting, at, looked_at)))
    return _of_filters(set_to, low_filter, low_pass, high_pass, looked_at, qs)


def _of_filters(
    set_to: Join, low_filter: filters.Sections, low_pass: float, high_pass: float, looked_at: float, qs: str
) -> Crossover:
    """The answer without measured curves: what filters, and the drivers' own falls, make together."""
    meeting = math.sqrt(low_pass * high_pass)
    there, asked, over = (set_to.at(np.asarray(where)) for where in ([meeting], [looked_at], SHOWN))
    places = join_places(set_to, low_pass, high_pass, Join.sum_level)
    around = set_to.at(places.at)
    late = join_places(set_to, low_pass, high_pass, Join.sum_delay)
    turned = join_places(set_to.turned(), low_pass, high_pass, Join.sum_delay)
    lowest = lowest_place(around, meeting)
    better, reason = better_polarity(set_to, low_pass, high_pass)
    exact = bands.exact_third_octaves()
    return Crossover(
        meeting=meeting,
        low_level=float(there.low_level[0]),
        high_level=float(there.high_level[0]),
        sum_level=float(there.sum_level[0]),
        phase=float(there.phase[0]),
        lowest_sum=float(around.sum_level[lowest]),
        lowest_sum_frequency=float(around.frequency[lowest]),
        highest_sum=float(np.max(around.sum_level)),
        better_polarity=better,
        polarity_reason=reason,
        section_qs=qs,
        group_delay=float(filters.group_delay(low_filter, low_pass / 1000)),
        high_group_delay=float(np.max(set_to.delays(late.at).high)),
        sum_group_delay=longest_delay(set_to, late),
        turned_group_delay=longest_delay(set_to.turned(), turned),
        looked_at=looked_at,
        low_level_at=float(asked.low_level[0]),
        high_level_at=float(asked.high_level[0]),
        sum_level_at=float(asked.sum_level[0]),
        chart=level_chart(places, around, meeting),
        delay_chart=delay_chart(set_to, late, meeting),
        bands=band_rows(set_to.at(exact), set_to.delays(exact)),
        low=response_curve(over.below),
        high=response_curve(over.above),
        sum=response_curve(over.below + over.above),
        advice=join_advice(set_to, around, low_pass, high_pass),
    )
