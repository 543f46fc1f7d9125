"""How low a tweeter may be crossed over."""

from dataclasses import dataclass
from math import pi, sqrt
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Number,
    Output,
    OutputFlag,
    OutputText,
    calculator,
)
from calculators.declaring.quantities import (
    ANGLE,
    CAPACITANCE,
    FREQUENCY,
    LEVEL,
    POWER,
    RATIO,
    RESISTANCE,
    SLOPE,
    VOLTAGE,
)
from calculators.physics import decibels, filters
from calculators.vocabulary.drivers import DRIVER_POWER
from calculators.vocabulary.filter_settings import in_hertz
from calculators.vocabulary.responses import LOWEST_SHOWN

TWEETER_SLOPES = tuple((f"{slope} dB/oct", float(slope)) for slope in (12, 18, 24, 30, 36, 48))
LEAST_RATIOS = {12.0: 3.0, 18.0: 2.5}
STEEP_RATIO = 2.0
TWEETER_Q = 1.0
TWEETER_PLACES = np.geomspace(0.05, 50, 1200)


@dataclass(frozen=True, kw_only=True)
class TweeterLimit:
    """How low a tweeter may go, and what the corner asked for does to it."""

    allowed: Annotated[bool, OutputFlag("That corner is", yes="allowed", no="too low", main=True)]
    verdict: Annotated[str, OutputText("Because")]
    lowest_corner: Annotated[float, Output("Lowest corner at that slope", FREQUENCY, figures=4, trim=True)]
    ratio: Annotated[float, Output("Corner over resonance", RATIO, figures=3)]
    least_ratio: Annotated[float, Output("At least, at that slope", RATIO, decimals=1)]
    level_at_resonance: Annotated[
        float, Output("The filter leaves at its resonance", LEVEL, decimals=1, lowest=LOWEST_SHOWN)
    ]
    excursion_ratio: Annotated[
        float, Output("Travel, over that at the lowest corner of the rule", RATIO, figures=3)
    ]
    voltage: Annotated[
        float | None, Output("The channel gives at full power", VOLTAGE, decimals=2, none="no power given")
    ]
    voltage_at_resonance: Annotated[
        float | None,
        Output("of which reach it at its resonance", VOLTAGE, figures=3, none="no power given"),
    ]
    capacitor_corner: Annotated[
        float | None, Output("The capacitor alone is 3 dB down at", FREQUENCY, figures=3, none="no capacitor")
    ]
    capacitor_loss: Annotated[
        float | None, Output("It takes at the corner", LEVEL, decimals=2, none="no capacitor")
    ]
    capacitor_turn: Annotated[
        float | None, Output("and turns there by", ANGLE, decimals=1, none="no capacitor")
    ]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="A tweeter's lower limit",
    example={"resonance": 1100.0, "corner": 3000.0, "slope": 12.0, "power": 70.0},
    sources=("common-practice", "butterworth-1930", "small-1972", "ohm"),
    cautions=("S14",),
    equations=(
        "ratio = corner/resonance",
        "lowest_corner = least_ratio*resonance",
        "voltage = sqrt(power*load)",
        "capacitor_corner = 1/(2*pi*load*capacitor)",
    ),
)  # fmt: skip
def tweeter_limit(
    resonance: Annotated[
        float,
        Number(
            "Its resonance",
            FREQUENCY,
            100,
            10e3,
            usual=(500, 3000),
            help="Data sheet, or its impedance peak.",
        ),
    ],
    corner: Annotated[
        float, Number("High-pass at", FREQUENCY, 100, 20e3, usual=(1500, 6000), units=("kHz",))
    ],
    slope: Annotated[float, Number("Slope", SLOPE, 12, 48, options=TWEETER_SLOPES)] = 24.0,
    power: Annotated[
        float | None,
        Number("Power of its channel", POWER, 0.1, 5000, usual=(5, 300), optional=True, empty="not known"),
    ] = None,
    load: Annotated[float, Number("Tweeter", RESISTANCE, 0.5, 32, usual=(2, 16))] = 4.0,
    driver_power: Annotated[float | None, DRIVER_POWER] = None,
    family: Annotated[
        str, Choice("Family", {"butterworth": "Butterworth", "linkwitz-riley": "Linkwitz-Riley"})
    ] = "butterworth",
    capacitor: Annotated[
        float | None,
        Number(
            "Capacitor in its lead",
            CAPACITANCE,
            1e-7,
            1e-2,
            show="µF",
            usual=(1e-5, 2e-4),
            optional=True,
            empty="none",
            help="Film or bipolar, 63 V or more: against a preset that comes back without its filter.",
        ),
    ] = None,
) -> TweeterLimit:
    """Verdict on a tweeter's high-pass: 2 times its resonance from 24 dB/oct, 2.5 at 18, 3 at 12.

    Common practice, no source; the maker's lowest frequency, where the data sheet has one, beats it. Travel
    is that of a tweeter with a Q of 1, at its worst frequency, over the same with the corner where the rule
    has it. Nothing under 12 dB/oct is safe.
    """
    order = round(slope / 6)
    if family == "linkwitz-riley" and order % 2:
        raise InputError("slope", "Linkwitz-Riley comes in 12, 24, 36 and 48 dB/oct.")
    kind: filters.Family = "linkwitz-riley" if family == "linkwitz-riley" else "butterworth"
    least = LEAST_RATIOS.get(slope, STEEP_RATIO)
    ratio = corner / resonance
    gain = filters.crossover_filter("high-pass", kind, order, corner)
    at_resonance = float(decibels.level(filters.response(gain, resonance)))
    voltage = None if power is None else sqrt(power * load)
    own = None if capacitor is None else 1 / (2 * pi * load * capacitor)
    allowed = ratio >= least * (1 - 1e-9)
    return TweeterLimit(
        allowed=allowed,
        verdict=_verdict(corner, ratio, least, slope, resonance),
        lowest_corner=least * resonance,
        ratio=ratio,
        least_ratio=least,
        level_at_resonance=at_resonance,
        excursion_ratio=_travel(kind, order, ratio) / _travel(kind, order, least),
        voltage=voltage,
        voltage_at_resonance=None if voltage is None else voltage * 10 ** (at_resonance / 20),
        capacitor_corner=own,
        capacitor_loss=None if own is None else 10 * float(np.log10(1 + (own / corner) ** 2)),
        capacitor_turn=None if own is None else float(np.degrees(np.arctan(own / corner))),
        advice=_advice(allowed, power, driver_power, own, corner),
    )


def _travel(kind: filters.Family, order: int, ratio: float) -> float:
    """Largest travel by the volt of a tweeter with its resonance at 1, behind a high-pass at a ratio."""
    own = 1 / (1 - TWEETER_PLACES**2 + 1j * TWEETER_PLACES / TWEETER_Q)
    gain = filters.response(filters.crossover_filter("high-pass", kind, order, ratio), TWEETER_PLACES)
    return float(np.max(np.abs(own * gain)))


def _verdict(corner: float, ratio: float, least: float, slope: float, resonance: float) -> str:
    # As many decimals as show that it is under the least: 1.99 and not 2.0 × where 2 × is asked for.
    allowed = ratio >= least * (1 - 1e-9)
    places = next((few for few in (1, 2, 3) if allowed or float(f"{ratio:.{few}f}") < least), 4)
    has = f"{in_hertz(corner, places + 2)} is {ratio:.{places}f} × its resonance"
    if allowed:
        return f"{has}, and {least:g} × is the least at {slope:.0f} dB/oct"
    steeper = [(24.0, STEEP_RATIO), (18.0, LEAST_RATIOS[18.0])]
    ways = [in_hertz(least * resonance) + f" at {slope:.0f} dB/oct"]
    ways += [f"{name:.0f} dB/oct" for name, enough in steeper if name > slope and ratio >= enough][:1]
    return f"{has}, and {least:g} × is the least at {slope:.0f} dB/oct: take {' or '.join(ways)}"


def _advice(
    allowed: bool, power: float | None, driver_power: float | None, own: float | None, corner: float
) -> tuple[Advice, ...]:
    found = []
    if not allowed:
        text = "Too low: it sounds harsh at level, then it is silent. Do not play it so, not even to try."
        found.append(Advice("verdict", text))
    if power is not None and driver_power is not None and power > driver_power:
        text = (
            "The channel gives more than the tweeter bears for long: its thermal limiter is set before it "
            "plays, 3 dB under its continuous noise rating."
        )
        found.append(Advice("power", text))
    if own is not None and own > 0.5 * corner:
        text = (
            "That capacitor is no longer out of the way: it is a part of the crossover, and its turn counts "
            "in the join. For protection alone take a larger one."
        )
        found.append(Advice("capacitor", text))
    return tuple(found)
