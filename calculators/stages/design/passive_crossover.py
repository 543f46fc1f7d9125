"""A passive two-way crossover: its parts, and what they do with a real driver."""

from dataclasses import dataclass
from typing import Annotated, cast

import numpy as np
from numpy.typing import NDArray

from calculators.declaring import (
    Advice,
    Axis,
    Band,
    Chart,
    Choice,
    Curve,
    Flag,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputCurve,
    OutputRows,
    OutputText,
    Series,
    calculator,
)
from calculators.declaring.quantities import COUNT, FREQUENCY, INDUCTANCE, LEVEL, RATIO, RESISTANCE
from calculators.physics import filters, levels, networks
from calculators.vocabulary.passive_circuits import (
    Capacitor,
    Circuit,
    CircuitResponse,
    Coil,
    Resistor,
    Shopping,
    even_polarity,
    largest_stray,
)
from calculators.vocabulary.responses import LOWEST_SHOWN, SHOWN, Floats, floats, response_curve

ORDERS = tuple((f"{order}: {6 * order} dB/oct", float(order)) for order in range(1, 5))


SERIES_NAMES = {"e12": "E12: 12 values a decade", "e24": "E24: 24 values a decade"}


LOAD = (1, 32)


@dataclass(frozen=True, kw_only=True)
class PassiveCrossover:
    """Parts of a two-way passive crossover, and what they really give."""

    woofer_level: Annotated[float, Output("Woofer at the crossover frequency", LEVEL, decimals=1, main=True)]
    tweeter_level: Annotated[float, Output("Tweeter there, its pad made good", LEVEL, decimals=1)]
    tweeter_octave_below: Annotated[
        float, Output("Tweeter an octave below, its pad made good", LEVEL, decimals=1)
    ]
    woofer_error: Annotated[float, Output("Woofer strays from the filter by, at most", LEVEL, decimals=1)]
    tweeter_error: Annotated[float, Output("Tweeter strays from the filter by, at most", LEVEL, decimals=1)]
    better_polarity: Annotated[str, OutputText("Polarity that sums better")]
    sum_low: Annotated[
        float,
        Output("Lowest point of the sum, an octave either side", LEVEL, decimals=1, lowest=LOWEST_SHOWN),
    ]
    sum_high: Annotated[float, Output("Highest point of the sum there", LEVEL, decimals=1)]
    lowest_load: Annotated[float, Output("Lowest load the amplifier sees", RESISTANCE, figures=3)]
    lowest_load_frequency: Annotated[float, Output("at", FREQUENCY, figures=3)]
    pad_heat: Annotated[
        float, Output("Share of the tweeter's power the pad turns to heat", RATIO, show="%", figures=2)
    ]
    inductors: Annotated[tuple[Coil, ...], OutputRows("Coils", copy=True)]
    capacitors: Annotated[tuple[Capacitor, ...], OutputRows("Capacitors", copy=True)]
    resistors: Annotated[tuple[Resistor, ...], OutputRows("Resistors", copy=True)]
    chart: Annotated[Chart, OutputChart("What the nearest values give into the real load")]
    difference_chart: Annotated[Chart, OutputChart("How far that is from the filter")]
    woofer: Annotated[Curve, OutputCurve("Woofer, nearest values, real load")]
    tweeter: Annotated[Curve, OutputCurve("Tweeter, nearest values, real load")]
    sum: Annotated[Curve, OutputCurve("Sum, the tweeter's pad made good")]
    advice: tuple[Advice, ...] = ()


# A pad of less than this is no pad: its resistors would be a wire and a gap.
LEAST_PAD = 0.01


@calculator(
    title="Passive two-way crossover",
    example={
        "order": 2.0,
        "family": "linkwitz-riley",
        "frequency": 3000.0,
        "woofer_load": 3.2,
        "tweeter_load": 4.0,
        "tweeter_pad": 3.0,
        "re": 3.2,
        "le": 0.3e-3,
    },
    sources=("butterworth-1930", "linkwitz-riley-1976", "thomson-1949", "zverev", "iec-60063", "small-1971"),
)
def passive_crossover(
    order: Annotated[float, Number("Order", COUNT, 1, 4, whole=True, options=ORDERS)] = 2.0,
    family: Annotated[
        str,
        Choice(
            "Family",
            {
                "linkwitz-riley": "Linkwitz-Riley",
                "butterworth": "Butterworth",
                "bessel": "Bessel (−3 dB at the frequency)",
            },
        ),
    ] = "linkwitz-riley",
    frequency: Annotated[
        float, Number("Crossover frequency", FREQUENCY, 20, 20e3, usual=(80, 8e3), units=("kHz",))
    ] = 3000.0,
    woofer_load: Annotated[float, Number("Woofer load", RESISTANCE, *LOAD, usual=(2, 16))] = 4.0,
    tweeter_load: Annotated[float, Number("Tweeter load", RESISTANCE, *LOAD, usual=(2, 16))] = 4.0,
    tweeter_pad: Annotated[float, Number("Quieten the tweeter by", LEVEL, 0, 20, usual=(0, 12))] = 0.0,
    re: Annotated[
        float | None,
        Number("Woofer coil resistance Re", RESISTANCE, 0.5, 32, optional=True, empty="as the load"),
    ] = None,
    le: Annotated[float, Number("Woofer coil inductance Le", INDUCTANCE, 0, 0.02, show="mH")] = 0.0,
    tweeter_re: Annotated[
        float | None,
        Number("Tweeter coil resistance Re", RESISTANCE, 0.5, 32, optional=True, empty="as the load"),
    ] = None,
    tweeter_le: Annotated[float, Number("Tweeter coil inductance Le", INDUCTANCE, 0, 0.005, show="mH")] = 0.0,
    zobel: Annotated[bool, Flag("Zobel across the woofer", help="Makes its coil look a resistor.")] = True,
    series: Annotated[str, Choice("Values to be had", SERIES_NAMES)] = "e12",
    coil_resistance: Annotated[
        float, Number("Wire resistance of each coil", RESISTANCE, 0, 5, usual=(0, 1))
    ] = 0.0,
) -> PassiveCrossover:
    """Parts of a passive crossover of order 1 to 4, and what the values to be had really give.

    The parts are worked out for a plain resistor. A voice coil is none: the response is worked
    out again with the nearest values, the coil's inductance, the Zobel and the pad. A driver's
    resonance is not in it: measure before you solder.
    """
    kind = cast(filters.Family, family)
    if int(order) not in networks.ORDERS[kind]:
        raise InputError(
            "order", "Linkwitz-Riley comes in order 2 and 4: two equal Butterworth filters in a row."
        )
    woofer = _side("low-pass", kind, int(order), frequency, woofer_load)
    tweeter = _side("high-pass", kind, int(order), frequency, tweeter_load)
    wanted = cast(networks.Series, series)
    tweeter_pad = tweeter_pad if tweeter_pad > LEAST_PAD else 0.0
    parts = Shopping(wanted)
    woofer_real = parts.network("Woofer", woofer, coil_resistance)
    tweeter_real = parts.network("Tweeter", tweeter, coil_resistance)
    woofer_re = woofer_load if re is None else re
    circuit = Circuit(
        woofer=woofer_real,
        tweeter=tweeter_real,
        woofer_coil=(woofer_re, le),
        tweeter_coil=(tweeter_load if tweeter_re is None else tweeter_re, tweeter_le),
        zobel=parts.zobel(woofer_re, le) if zobel and le > 0 else None,
        pad=parts.pad(tweeter_load, tweeter_pad) if tweeter_pad > 0 else None,
        made_good=levels.voltage_ratio(tweeter_pad),
    )
    goals = [
        filters.crossover_filter(side, kind, int(order), frequency) for side in ("low-pass", "high-pass")
    ]
    ideal = [filters.response(goal, SHOWN) for goal in goals]
    over = circuit.at(SHOWN)
    around = circuit.at(frequency * 2 ** (np.arange(-48, 49) / 48))
    there, below = circuit.at(np.array([frequency])), circuit.at(np.array([frequency / 2]))
    sign, words = even_polarity(around)
    total = levels.level(around.woofer + sign * around.tweeter)
    lowest = int(np.argmin(np.abs(over.load)))
    strays = [
        levels.level(real) - levels.level(goal)
        for real, goal in zip((over.woofer, over.tweeter), ideal, strict=True)
    ]
    heard = [levels.level(goal) > -20 for goal in ideal]
    return PassiveCrossover(
        woofer_level=float(levels.level(there.woofer)[0]),
        tweeter_level=float(levels.level(there.tweeter)[0]),
        tweeter_octave_below=float(levels.level(below.tweeter)[0]),
        woofer_error=largest_stray(strays[0][heard[0]]),
        tweeter_error=largest_stray(strays[1][heard[1]]),
        better_polarity=words,
        sum_low=float(np.min(total)),
        sum_high=float(np.max(total)),
        lowest_load=float(np.abs(over.load[lowest])),
        lowest_load_frequency=float(SHOWN[lowest]),
        pad_heat=1 - 1 / levels.power_ratio(tweeter_pad),
        inductors=tuple(parts.inductors),
        capacitors=tuple(parts.capacitors),
        resistors=tuple(parts.resistors),
        chart=_chart(over, sign, frequency),
        difference_chart=_difference_chart(strays, heard, frequency),
        woofer=response_curve(over.woofer),
        tweeter=response_curve(over.tweeter),
        sum=response_curve(over.woofer + sign * over.tweeter),
        advice=_advice(woofer_load, woofer_re, le, zobel, float(np.abs(over.load[lowest]))),
    )


def _side(
    side: filters.Side, family: filters.Family, order: int, frequency: float, load: float
) -> tuple[networks.Part, ...]:
    return networks.crossover_parts(side, family, order, frequency, load)


def _advice(
    woofer_load: float, woofer_re: float, le: float, zobel: bool, lowest: float
) -> tuple[Advice, ...]:
    advice = [
        Advice(
            "lowest_load",
            f"The amplifier sees as little as {lowest:.1f} Ω: use one that its maker rates for that load.",
            danger=lowest < 2,
        )
    ]
    if zobel and le > 0 and abs(woofer_load / woofer_re - 1) > 0.05:
        advice.append(
            Advice(
                "woofer_load",
                f"With the Zobel the crossover works into Re: type {woofer_re:g} Ω as the woofer load.",
            )
        )
    if not zobel and le > 0:
        advice.append(
            Advice(
                "zobel",
                "Without a Zobel the woofer's inductance lifts its load with frequency and spoils the slope.",
            )
        )
    advice.append(
        Advice(
            "resistors",
            "Resistors of a pad and a Zobel get hot: rate them for the power they take, and keep them off "
            "foam, carpet and board.",
        )
    )
    return tuple(advice)


def _chart(over: CircuitResponse, sign: float, frequency: float) -> Chart:
    total = over.woofer + sign * over.tweeter
    lines = ((over.woofer, "Woofer"), (over.tweeter, "Tweeter, pad made good"), (total, "Sum"))
    return Chart(
        "What the nearest values give into the real load",
        Axis("Frequency", "Hz", 20, 20e3, "logarithmic"),
        Axis("Level", "dB", -48, 12, lowest=LOWEST_SHOWN),
        floats(SHOWN),
        tuple(Series(name, floats(levels.level(gain))) for gain, name in lines),
        (Band("One octave round the crossover", frequency / 2**0.5, frequency * 2**0.5),),
        table_at=floats(SHOWN[::4]),
    )


def _difference_chart(strays: list[Floats], heard: list[NDArray[np.bool_]], frequency: float) -> Chart:
    """Differences from the filter, where the filter lets more than -20 dB through."""
    lines = [
        tuple(float(value) if use else None for value, use in zip(stray, where, strict=True))
        for stray, where in zip(strays, heard, strict=True)
    ]
    return Chart(
        "Difference from the filter, where it lets more than −20 dB through",
        Axis("Frequency", "Hz", 20, 20e3, "logarithmic"),
        Axis("Difference", "dB", -6, 6),
        floats(SHOWN),
        (Series("Woofer", lines[0]), Series("Tweeter", lines[1])),
        (
            Band("One octave round the crossover", frequency / 2**0.5, frequency * 2**0.5),
            Band("Within 1 dB", -1, 1, axis="y"),
        ),
        table_at=floats(SHOWN[::4]),
    )
