"""A passive two-way crossover: its parts, and what they do with a real driver."""

from dataclasses import dataclass
from typing import Annotated, cast

import numpy as np

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
    calculator,
)
from calculators.declaring.quantities import COUNT, FREQUENCY, INDUCTANCE, LEVEL, RATIO, RESISTANCE
from calculators.physics import decibels, filters, networks
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.passive_advice import circuit_advice
from calculators.vocabulary.passive_circuits import (
    Capacitor,
    Circuit,
    Coil,
    Resistor,
    Shopping,
    even_polarity,
    largest_stray,
)
from calculators.vocabulary.passive_goals import Goals, Strays, look_at, sum_level, summed
from calculators.vocabulary.responses import (
    LOWEST_DRAWN,
    LOWEST_SHOWN,
    SHOWN,
    Places,
    response_chart,
    response_curve,
)

ORDER_OPTIONS = tuple((f"{order}: {6 * order} dB/oct", float(order)) for order in range(1, 5))
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
    sources=(
        "butterworth-1930",
        "linkwitz-riley-1976",
        "thomson-1949",
        "zverev",
        "iec-60063",
        "small-1971",
        "wright-1990",
        "leach-2002",
    ),
    cautions=("S26",),
)
def passive_crossover(
    order: Annotated[float, Number("Order", COUNT, 1, 4, whole=True, options=ORDER_OPTIONS)] = 2.0,
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
    loss_exponent: Annotated[
        float,
        Number(
            "Loss exponent of the voice coils",
            RATIO,
            0.4,
            1,
            usual=(0.5, 0.9),
            seldom=True,
            help="How its reactance grows with frequency: 1 for a coil without loss, often 0.6 to 0.7.",
        ),
    ] = 0.7,
) -> PassiveCrossover:
    """Parts of a passive crossover of order 1 to 4, and what the values to be had really give.

    The parts are worked out for a plain resistor. A voice coil is none: the response is worked
    out again with the nearest values, the coil's inductance and its loss, the Zobel and the pad. A
    driver's resonance is not in it: a tweeter's moves a high-pass of order 2 or 3 by some dB, so
    measure before you solder.
    """
    kind = cast(filters.Family, family)
    steps = int(order)
    if steps not in networks.LADDER_ORDERS[kind]:
        raise InputError(
            "order", "Linkwitz-Riley comes in order 2 and 4: two equal Butterworth filters in a row."
        )
    woofer = networks.crossover_parts("low-pass", kind, steps, frequency, woofer_load)
    tweeter = networks.crossover_parts("high-pass", kind, steps, frequency, tweeter_load)
    wanted = cast(networks.ValueSeries, series)
    tweeter_pad = tweeter_pad if tweeter_pad > LEAST_PAD else 0.0
    parts = Shopping(wanted)
    woofer_real = parts.network("Woofer", woofer, coil_resistance)
    tweeter_real = parts.network("Tweeter", tweeter, coil_resistance)
    woofer_re = woofer_load if re is None else re
    circuit = Circuit(
        woofer=woofer_real,
        tweeter=tweeter_real,
        woofer_coil=(woofer_re, le, loss_exponent),
        tweeter_coil=(tweeter_load if tweeter_re is None else tweeter_re, tweeter_le, loss_exponent),
        zobel=parts.zobel(woofer_re, le) if zobel and le > 0 else None,
        pad=parts.pad(tweeter_load, tweeter_pad) if tweeter_pad > 0 else None,
        made_good=decibels.voltage_ratio(tweeter_pad),
    )
    goals = Goals(kind, steps, frequency)
    looked = look_at(circuit, goals)
    there, below = circuit.at(np.array([frequency])), circuit.at(np.array([frequency / 2]))
    sign, words = even_polarity(circuit.at(looked.sums[0].at))
    total = sum_level(circuit, sign, looked.sums[sign < 0].at)
    impedance = np.abs(circuit.at(looked.load.at).load)
    lowest = int(np.argmin(np.round(impedance, 9)))
    woofer_stray, tweeter_stray = Strays(circuit, goals).heard(looked.strays.at)
    over = circuit.at(SHOWN)
    return PassiveCrossover(
        woofer_level=float(decibels.level(there.woofer)[0]),
        tweeter_level=float(decibels.level(there.tweeter)[0]),
        tweeter_octave_below=float(decibels.level(below.tweeter)[0]),
        woofer_error=largest_stray(woofer_stray),
        tweeter_error=largest_stray(tweeter_stray),
        better_polarity=words,
        sum_low=float(np.min(total)),
        sum_high=float(np.max(total)),
        lowest_load=float(impedance[lowest]),
        lowest_load_frequency=float(looked.load.at[lowest]),
        pad_heat=1 - 1 / decibels.power_ratio(tweeter_pad),
        inductors=tuple(parts.inductors),
        capacitors=tuple(parts.capacitors),
        resistors=tuple(parts.resistors),
        chart=_chart(circuit, looked.drawn[sign < 0], sign, frequency),
        difference_chart=_difference_chart(looked.strays, woofer_stray, tweeter_stray, frequency),
        woofer=response_curve(over.woofer),
        tweeter=response_curve(over.tweeter),
        sum=response_curve(over.woofer + sign * over.tweeter),
        advice=circuit_advice(
            circuit,
            woofer_load,
            coil_resistance,
            float(impedance[lowest]),
            max(abs(largest_stray(stray)) for stray in (woofer_stray, tweeter_stray)),
        ),
    )


def _chart(circuit: Circuit, places: Places, sign: float, frequency: float) -> Chart:
    over = circuit.at(places.at)
    return response_chart(
        "What the nearest values give into the real load",
        places,
        {
            "Woofer": decibels.level(over.woofer),
            "Tweeter, pad made good": decibels.level(over.tweeter),
            "Sum": (summed(over, sign), "main"),
        },
        Axis("Level", "dB", LOWEST_DRAWN, 9, lowest=LOWEST_SHOWN),
        (_octave(frequency),),
        read_at=frequency,
    )


def _difference_chart(places: Places, woofer: FloatArray, tweeter: FloatArray, frequency: float) -> Chart:
    """Differences from the filter, where the filter lets more than -20 dB through."""
    return response_chart(
        "Difference from the filter, where it lets more than −20 dB through",
        places,
        {"Woofer": woofer, "Tweeter": tweeter},
        Axis("Difference", "dB", -6, 6),
        (_octave(frequency), Band("Within 1 dB", -1, 1, axis="y")),
        read_at=frequency,
    )


def _octave(frequency: float) -> Band:
    return Band("One octave round the crossover", frequency / 2**0.5, frequency * 2**0.5)
