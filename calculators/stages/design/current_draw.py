"""What a sound system draws."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, OutputRows, OutputText, Rows, Text, calculator
from calculators.declaring.quantities import CURRENT, LEVEL, POWER, RATIO, VOLTAGE
from calculators.physics import supply

CLASS_AB = 0.65


@dataclass(frozen=True)
class AmplifierDraw:
    """One amplifier."""

    power: Annotated[float, Number("Rated power, all channels", POWER, 1, 20e3, usual=(20, 5000))]
    efficiency: Annotated[
        float,
        Number(
            "Efficiency", RATIO, 0.1, 1, show="%", usual=(0.45, 0.92), help="Class D 80 %, class AB 50 %."
        ),
    ] = 0.8
    crest: Annotated[
        float,
        Number("Music's peak over average", LEVEL, 0, 30, usual=(6, 20), help="12 dB: loud, little quiet."),
    ] = 12.0
    name: Annotated[str, Text("Name", 24)] = "Amplifier"


@dataclass(frozen=True)
class ExtraDraw:
    """Anything else on the feed."""

    current: Annotated[float, Number("Current", CURRENT, 0, 500, usual=(0, 20))]
    name: Annotated[str, Text("Name", 24)] = "Processor"


@dataclass(frozen=True, kw_only=True)
class Draw:
    """What one load draws."""

    name: Annotated[str, OutputText("Load")]
    peak_current: Annotated[float, Output("All channels, sine", CURRENT, figures=4)]
    average_current: Annotated[float, Output("Average, music", CURRENT, figures=4)]
    third_current: Annotated[float, Output("At a third", CURRENT, figures=4)]
    eighth_current: Annotated[float, Output("At an eighth", CURRENT, figures=4)]
    heat: Annotated[float, Output("Heat, music", POWER, figures=3)]


@dataclass(frozen=True, kw_only=True)
class CurrentDraw:
    """What the system asks of the feed."""

    peak_current: Annotated[float, Output("Size the cable for", CURRENT, figures=4, main=True)]
    average_current: Annotated[float, Output("Average with music", CURRENT, figures=4)]
    third_current: Annotated[float, Output("At a third of the power", CURRENT, figures=4)]
    eighth_current: Annotated[float, Output("At an eighth of the power", CURRENT, figures=4)]
    amplifiers: Annotated[tuple[Draw, ...], OutputRows("By amplifier")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Current of the system",
    example={"amplifiers": [{"name": "Five channels", "power": 580.0, "efficiency": 0.8}], "supply": 13.5},
    sources=("ohm", "common-practice"),
    cautions=("S02",),
)
def current_draw(
    amplifiers: Annotated[tuple[AmplifierDraw, ...], Rows("Amplifiers", "amplifier", at_most=8)],
    supply: Annotated[float, Number("Supply at the amplifier", VOLTAGE, 6, 60, usual=(11, 14.8))] = 13.5,
    extras: Annotated[tuple[ExtraDraw, ...], Rows("Anything else", "load", at_least=0, at_most=8)] = (),
) -> CurrentDraw:
    """Current at full power and on average.

    Full power on every channel, a sine, is what cable and fuse are sized for: I = P/(ηV). Music
    whose peaks just reach that power averages 10^(-(crest - 3.01)/10) of it, an eighth for 12 dB.
    """
    rows = tuple(_draw(amplifier, supply) for amplifier in amplifiers)
    extra = sum(load.current for load in extras)
    advice = []
    if any(amplifier.efficiency < CLASS_AB for amplifier in amplifiers):
        advice.append(
            Advice(
                "amplifiers",
                "A class AB amplifier is less efficient at part power: its average current and its heat are "
                "higher than shown here. Measure them.",
            )
        )
    return CurrentDraw(
        peak_current=sum(row.peak_current for row in rows) + extra,
        average_current=sum(row.average_current for row in rows) + extra,
        third_current=sum(row.third_current for row in rows) + extra,
        eighth_current=sum(row.eighth_current for row in rows) + extra,
        amplifiers=rows,
        advice=tuple(advice),
    )


def _draw(amplifier: AmplifierDraw, voltage: float) -> Draw:
    peak = supply.amplifier_current(amplifier.power, amplifier.efficiency, voltage)
    fraction = supply.average_power_fraction(amplifier.crest)
    heat = supply.heat_loss(amplifier.power * fraction, amplifier.efficiency)
    return Draw(
        name=amplifier.name,
        peak_current=peak,
        average_current=peak * fraction,
        third_current=peak / 3,
        eighth_current=peak / 8,
        heat=heat,
    )
