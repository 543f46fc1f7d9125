"""Crossovers: what the low and the high let through, and how the two add up."""

import math
from dataclasses import dataclass
from typing import Annotated, cast

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Curve,
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
    Join,
    better_polarity,
    delay_chart,
    join_places,
    level_chart,
    longest_delay,
    lowest_place,
    part,
)
from calculators.vocabulary.filters import (
    FALLS_BELOW,
    FALLS_WITH_Q,
    FAMILY_NAMES,
    SAMPLE_RATES,
    SLOPES,
    order_of,
)
from calculators.vocabulary.join_advice import join_advice
from calculators.vocabulary.responses import LOWEST_SHOWN, SHOWN, response_curve


@dataclass(frozen=True, kw_only=True)
class CrossoverBand:
    """Low, high and their sum in one third-octave band."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    low_level: Annotated[float, Output("Low", LEVEL, decimals=1)]
    high_level: Annotated[float, Output("High", LEVEL, decimals=1)]
    sum_level: Annotated[float, Output("Sum", LEVEL, decimals=2)]
    phase: Annotated[float, Output("Phase between", ANGLE, decimals=0)]
    low_delay: Annotated[float, Output("Group delay, low", TIME, show="ms", decimals=2)]
    high_delay: Annotated[float, Output("Group delay, high", TIME, show="ms", decimals=2)]
    sum_delay: Annotated[float, Output("Group delay, sum", TIME, show="ms", decimals=2)]


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
    group_delay: Annotated[float, Output("Group delay of the low, far below", TIME, show="ms", decimals=2)]
    high_group_delay: Annotated[
        float, Output("Group delay of the high, at most", TIME, show="ms", decimals=2)
    ]
    sum_group_delay: Annotated[float, Output("Group delay of the sum, at most", TIME, show="ms", decimals=2)]
    turned_group_delay: Annotated[
        float, Output("Group delay of the sum with the other polarity, at most", TIME, show="ms", decimals=2)
    ]
    looked_at: Annotated[float, Output("The levels below are at", FREQUENCY, trim=True)]
    low_level_at: Annotated[float, Output("Low at that frequency", LEVEL, decimals=1)]
    high_level_at: Annotated[float, Output("High at that frequency", LEVEL, decimals=1)]
    sum_level_at: Annotated[float, Output("Sum at that frequency", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    chart: Annotated[Chart, OutputChart("Level of low, high and sum")]
    delay_chart: Annotated[Chart, OutputChart("Group delay of low, high and sum")]
    bands: Annotated[tuple[CrossoverBand, ...], OutputRows("By third-octave band", fold=True)]
    low: Annotated[Curve, OutputCurve("Low")]
    high: Annotated[Curve, OutputCurve("High")]
    sum: Annotated[Curve, OutputCurve("Sum")]
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
    low_falls: Annotated[float | None, FALLS_BELOW] = None,
    low_falls_q: Annotated[float, FALLS_WITH_Q] = 0.8,
    high_falls: Annotated[float | None, FALLS_BELOW] = None,
    high_falls_q: Annotated[float, FALLS_WITH_Q] = 0.8,
) -> Crossover:
    """What the low and the high of a crossover let through, and what the two make together.

    The low is what goes to the lower driver (a low-pass), the high what goes to the upper one. These
    are the electrical filters; type where each driver falls by itself, and the sum is that of both. What
    you hear is the filter, the driver and its box together: measure it in the vehicle.
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
    there, asked, over = (set_to.at(np.asarray(where)) for where in ([meeting], [looked_at], SHOWN))
    places = join_places(set_to, low_pass, high_pass, Join.sum_level)
    around = set_to.at(places.at)
    late = join_places(set_to, low_pass, high_pass, Join.sum_delay)
    turned = join_places(set_to.turned(), low_pass, high_pass, Join.sum_delay)
    lowest = lowest_place(around, meeting)
    better, reason = better_polarity(set_to, low_pass, high_pass)
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
        section_qs=_section_qs((kind, order), (high_kind, high_order)),
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
        bands=_rows(set_to),
        low=response_curve(over.below),
        high=response_curve(over.above),
        sum=response_curve(over.below + over.above),
        advice=join_advice(set_to, around, low_pass, high_pass),
    )


def _rows(set_to: Join) -> tuple[CrossoverBand, ...]:
    exact = bands.exact_third_octaves()
    pair, delays = set_to.at(exact), set_to.delays(exact)
    return tuple(
        CrossoverBand(
            frequency=nominal,
            low_level=float(pair.low_level[place]),
            high_level=float(pair.high_level[place]),
            sum_level=float(pair.sum_level[place]),
            phase=float(pair.phase[place]),
            low_delay=float(delays.low[place]),
            high_delay=float(delays.high[place]),
            sum_delay=float(delays.sum[place]),
        )
        for place, nominal in enumerate(bands.NOMINAL_THIRD_OCTAVES)
    )


def _section_qs(low: tuple[filters.Family, int], high: tuple[filters.Family, int]) -> str:
    """Q of each second-order section, once where low and high are alike."""
    return _qs(*low) if low == high else f"low {_qs(*low)}; high {_qs(*high)}"


def _qs(family: filters.Family, order: int) -> str:
    """Q of each second-order section of the low-pass, and its own corner where that is not the filter's."""
    names = []
    for stage in filters.crossover_stages("low-pass", family, order, 1.0):
        name = "6 dB/oct" if stage.q is None else f"{stage.q:.2f}"
        if family == "bessel" and order > 1:
            name += f" at {stage.frequency:.2f}×"
        names.append(name)
    return " + ".join(names)
