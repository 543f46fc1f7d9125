"""The speaker lead: loss, heat and damping."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, InputError, Number, Output, OutputText, calculator
from calculators.declaring.quantities import AREA, CURRENT, LENGTH, LEVEL, POWER, RATIO, RESISTANCE
from calculators.physics import conductors, speaker_loads
from calculators.vocabulary.cabling import (
    CONDUCTOR,
    CONDUCTOR_TEMPERATURE,
    CONFIDENCE,
    GAUGES,
    SIZES,
    TABLE,
    TABLES,
    size_like,
)
from calculators.vocabulary.surroundings import USUAL_AMBIENT


@dataclass(frozen=True, kw_only=True)
class SpeakerLead:
    """What a speaker lead takes from the speaker."""

    level_loss: Annotated[float, Output("Level lost in the lead", LEVEL, decimals=3, main=True)]
    power_share: Annotated[float, Output("Power lost in the lead", RATIO, show="%", figures=3)]
    resistance: Annotated[float, Output("Resistance, both wires", RESISTANCE, figures=3)]
    resistance_share: Annotated[float, Output("Part of the load", RATIO, show="%", figures=3)]
    damping: Annotated[
        float | None, Output("Damping factor at the speaker", RATIO, figures=3, none="no limit")
    ]
    one_way: Annotated[float, Output("Route, one way", LENGTH, decimals=2)]
    loop: Annotated[float, Output("Wire the current runs through", LENGTH, decimals=2)]
    size: Annotated[
        float | None,
        Output("Smallest lead that meets the limit", AREA, show="mm²", figures=3, trim=True),
    ]
    most_current: Annotated[
        float | None, Output("Current at full power", CURRENT, figures=3, none="power not typed")
    ]
    continuous: Annotated[float, Output("The lead may carry for hours", CURRENT, figures=3)]
    resistances: Annotated[str, OutputText("Resistances from")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Speaker lead: loss, heat and damping",
    example={"load": 4.0, "power": 70.0, "length": 5.0, "area": 2.5e-6},
    sources=(
        "iec-60228",
        "iso-19642",
        "iso-6722-1",
        "iec-60028",
        "iso-13297",
        "ohm",
        "common-practice",
    ),
    cautions=("S09",),
    equations=(
        "loop = 2*length",
        "level_loss = 20*log(load/(load + resistance))/log(10)",
        "power_share = resistance/(load + resistance)",
        "resistance_share = resistance/load",
        "damping = load/(resistance + output_resistance)",
    ),
)
def speaker_lead(
    *,
    load: Annotated[float, Number("Speaker", RESISTANCE, 0.5, 32, usual=(1, 16))],
    power: Annotated[
        float | None,
        Number(
            "Power of the amplifier into it",
            POWER,
            0.1,
            20_000,
            usual=(10, 2000),
            optional=True,
            empty="by the current",
            help="Sine power, as rated. No fuse guards a speaker lead.",
        ),
    ] = None,
    current: Annotated[
        float | None,
        Number(
            "Or the current",
            CURRENT,
            0.01,
            500,
            usual=(0.5, 60),
            optional=True,
            empty="by the power",
            seldom=True,
        ),
    ] = None,
    length: Annotated[
        float,
        Number("Length of the route, one way", LENGTH, 0.05, 50, usual=(0.2, 12), units=("ft",)),
    ],
    area: Annotated[float, Number("Lead", AREA, 0.3e-6, 130e-6, show="mm²", options=SIZES + GAUGES)] = 2.5e-6,
    conductor: Annotated[conductors.Conductor, CONDUCTOR] = "copper",
    temperature: Annotated[float, CONDUCTOR_TEMPERATURE] = 20.0,
    output_resistance: Annotated[
        float,
        Number("Resistance of the amplifier's output", RESISTANCE, 0, 1, show="mΩ", usual=(0, 0.2)),
    ] = 0.0,
    share: Annotated[
        float, Number("Limit, part of the load", RATIO, 0.001, 0.2, show="%", usual=(0.01, 0.05))
    ] = 0.02,
    table: Annotated[str, TABLE] = "class-5",
) -> SpeakerLead:
    """Level, power and damping a speaker lead costs, and whether it stays cool.

    Both wires of the pair are counted. Keep the lead's resistance under 2 % of the load (common
    practice): more than that and the speaker's own peaks show up in the response. No fuse guards a
    speaker lead, so it must carry what the amplifier can drive through it: counted as a sine of full
    power, which hard-driven bass comes near, under carpet at 40 °C with a sheath for 70 °C.
    """
    most_current = _lead_current(load, power, current)
    sizes = TABLES[table]
    loop = conductors.conductor_length(length, "cable")
    taken = size_like(area, sizes)
    resistance = conductors.run_resistance(taken.resistance, loop, temperature, conductor)
    fitting = (
        size
        for size in sizes.sizes
        if conductors.run_resistance(size.resistance, loop, temperature, conductor) <= share * load
        and (most_current is None or _lead_carries(size.area, conductor) >= most_current)
    )
    size = next(fitting, None)
    carried = _lead_carries(area, conductor)
    advice = []
    if most_current is None:
        advice.append(
            Advice("continuous", "Heat is not judged: type the amplifier's power. No fuse guards this lead.")
        )
    elif most_current > carried:
        advice.append(
            Advice(
                "area",
                f"This lead would overheat: full power drives {most_current:.3g} A through it and it may "
                f"carry {carried:.3g} A. No fuse guards it. Fit a thicker one.",
                danger=True,
            )
        )
    if resistance > share * load:
        advice.append(
            Advice(
                "area",
                f"This lead is {100 * resistance / load:.3g}% of the load, over the {100 * share:.3g}% "
                "allowed.",
            )
        )
    if sizes.confidence != "published":
        advice.append(Advice("table", f"Resistances from {sizes.standard}{CONFIDENCE[sizes.confidence]}."))
    return SpeakerLead(
        level_loss=speaker_loads.lead_loss(resistance, load),
        power_share=speaker_loads.lead_power_share(resistance, load),
        resistance=resistance,
        resistance_share=resistance / load,
        damping=speaker_loads.damping_factor(load, resistance, output_resistance),
        one_way=length,
        loop=loop,
        size=None if size is None else size.area,
        most_current=most_current,
        continuous=carried,
        resistances=f"{sizes.standard}{CONFIDENCE[sizes.confidence]}",
        advice=tuple(advice),
    )


def _lead_carries(area: float, conductor: conductors.Conductor) -> float:
    """Ampere a speaker lead may carry under carpet, its sheath unknown."""
    return conductors.continuous_current(area, conductors.PLANNING_LIMIT, USUAL_AMBIENT, conductor)


def _lead_current(load: float, power: float | None, current: float | None) -> float | None:
    """Ampere through a speaker lead at full power; None where nothing was typed."""
    if power is not None and current is not None:
        raise InputError("current", "Type the power or the current, and leave the other empty.")
    return current if power is None else math.sqrt(power / load)
