"""What all cables share: their inputs and what is said of sheath, voltage and body; and the speaker lead."""

import math
from dataclasses import dataclass, replace
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Number,
    Output,
    OutputText,
    calculator,
)
from calculators.declaring.quantities import (
    AREA,
    COUNT,
    CURRENT,
    LENGTH,
    LEVEL,
    POWER,
    RATIO,
    RESISTANCE,
    TEMPERATURE,
    VOLTAGE,
)
from calculators.physics import conductors, fuses, speaker_loads

TABLES = {
    "class-5": conductors.FLEXIBLE_SIZES,
    "class-5-tinned": conductors.TINNED_FLEXIBLE_SIZES,
    "iso-6722": conductors.VEHICLE_SIZES,
    "gauge": conductors.GAUGE_SIZES,
}
CONFIDENCE = {
    "published": "",
    "memory": " (from memory: check the cable's data sheet)",
    "common-practice": " (stranding by common practice, no source: check the cable's data sheet)",
}
CURRENTS_NOTE = (
    "The current a cable may carry is a planning figure for cable under carpet, common practice kept "
    "under ISO 10133 from memory: check the cable's data sheet."
)

# Rounded to what is typed: 2.5 mm² is 2.5e-6 m², not a hair less.
SIZES = tuple((size.name, round(size.area, 12)) for size in conductors.FLEXIBLE_SIZES.sizes)
GAUGES = tuple(
    (f"{size.name} ({size.area * 1e6:.3g} mm²)", size.area) for size in conductors.GAUGE_SIZES.sizes
)
CONDUCTOR = Choice(
    "Conductor",
    {"copper": "copper", "copper-clad-aluminium": "copper-clad aluminium"},
    help="Scrape a strand: silver under the copper is aluminium.",
)
INSULATION = Choice(
    "Sheath",
    {
        "general-pvc": "PVC, or unknown: 70 °C",
        "vehicle-class-a": "vehicle class A: 85 °C",
        "vehicle-class-b": "vehicle class B: 100 °C",
        "boat-cable": "boat cable: 105 °C",
        "vehicle-class-c": "vehicle class C: 125 °C",
        "vehicle-class-d": "vehicle class D: 150 °C",
        "silicone": "silicone: 180 °C",
        "silicone-200": "silicone, 200 °C printed on it",
    },
    help="Read it off the sheath; if nothing is printed there, leave it at 70 °C.",
)
ROUTE_AIR = {"carpet": 40.0, "engine-bay": 85.0}
ROUTE = Choice(
    "Where the cable runs",
    {
        "carpet": "under carpet all the way: 40 °C",
        "engine-bay": "through the engine bay: 85 °C",
        "typed": "elsewhere, or logged: I type the air",
    },
    help="Its hottest metre counts. Less than 85 °C under a bonnet only if you logged it after a hot drive, "
    "engine off.",
)
AIR = Number(
    "Hottest air along the route",
    TEMPERATURE,
    -40,
    120,
    usual=(10, 105),
    optional=True,
    empty="as above",
    units=("°F",),
)
LOADED_TEMPERATURE = Number(
    "Temperature of the conductor",
    TEMPERATURE,
    -40,
    200,
    usual=(0, 125),
    optional=True,
    empty="by its air and its load",
    units=("°F",),
    seldom=True,
)
TABLE = Choice(
    "Resistances from",
    {
        "class-5": "IEC 60228 class 5, plain copper",
        "class-5-tinned": "IEC 60228 class 5, tinned copper",
        "iso-6722": "ISO 6722-1 vehicle cable, from memory",
        "gauge": "wire gauge (ASTM B258)",
    },
    seldom=True,
)
RETURN = Choice(
    "Return",
    {"cable": "by cable, both ways counted", "body": "by the body"},
)
USUAL_AMBIENT = 40.0
SUPPLY = Number("Supply at the battery", VOLTAGE, 6, 60, usual=(11, 15.5))
AMBIENT = Number(
    "Hottest air along the route",
    TEMPERATURE,
    -40,
    120,
    usual=(10, 105),
    units=("°F",),
    help="Under carpet 40 °C; in an engine bay 85 °C unless you logged it.",
    seldom=True,
)
CONDUCTOR_TEMPERATURE = Number(
    "Temperature of the conductor", TEMPERATURE, -40, 125, usual=(0, 90), units=("°F",), seldom=True
)
BODY = Number(
    "Resistance of the body",
    RESISTANCE,
    0,
    0.1,
    show="mΩ",
    usual=(0, 0.0034),
    help="Counts where the return is by the body: volts lost from case to battery negative, "
    "over the ampere that lost them.",
)
MEASURED_BODY = replace(BODY, optional=True, empty="not measured: 3.3 mΩ, the limit")
BODY_LIMIT = 0.0033
"""Ohm of a body that counts as good: common practice, no source. Taken where none was measured."""
TOGETHER = Number(
    "Loaded cables in one sleeve",
    COUNT,
    1,
    12,
    usual=(1, 6),
    whole=True,
    help="This one counted. A feed and its return are two.",
    seldom=True,
)
EXTRA = Number(
    "Joints and fuses add",
    RESISTANCE,
    0,
    0.5,
    show="mΩ",
    usual=(0, 0.01),
    help="About 0.5 mΩ for each fuse with its holder.",
    seldom=True,
)
LOAD_FRACTION = Number(
    "Load as part of the fuse",
    RATIO,
    0.5,
    1,
    show="%",
    usual=(0.7, 0.8),
    help="A fuse that carries more than 80 % of its rating for hours tires and opens.",
    seldom=True,
)


def body_counted(return_: str, body_resistance: float | None) -> float:
    """Ohm of the body where it is the way back: as measured, or the most that counts as good."""
    if return_ != "body":
        return 0.0
    return BODY_LIMIT if body_resistance is None else body_resistance


def hottest_air(route: str, ambient: float | None) -> float:
    """Degrees Celsius of the hottest air on a route; what is typed counts only where the route is "typed".

    85 in an engine bay: common practice, no source; ISO 16750-4 asks 105 or more of devices there
    (from memory). Raises `InputError` where route and air contradict each other.
    """
    if route == "typed":
        if ambient is None:
            raise InputError("ambient", "Type the hottest air along the route.")
        return ambient
    if ambient is not None:
        raise InputError(
            "ambient",
            f"Choose “I type the air” as where the cable runs, or leave this empty: {ROUTE.options[route]}.",
        )
    return ROUTE_AIR[route]


def sheath_advice(limit: float, ambient: float) -> list[Advice]:
    """Danger where no size can help, because the sheath does not stand the air."""
    if ambient < limit:
        return []
    return [
        Advice(
            "insulation",
            f"This sheath ends at {limit:.0f} °C and the air is {ambient:.0f} °C: no size of it will do. "
            "Take a cable with another sheath, or another route.",
            danger=True,
        )
    ]


def voltage_advice(supply: float, fuse_type: fuses.FuseType | None = None) -> list[Advice]:
    """What a supply above 16 V asks of its fuses; above what they are made for, a danger.

    ``fuse_type`` is the one judged; None for fuses of any kind.
    """
    if supply <= fuses.CAR_SUPPLY:
        return []
    made_for = fuses.BLADE.voltage
    if supply <= made_for:
        return [
            Advice(
                "supply",
                f"Fuse, holder and every device must be made for this voltage: blade fuses are for "
                f"{made_for:.0f} V (ISO 8820-3), most strips too; read it on them. In a 24 V vehicle take "
                "12 V from a converter, never from one battery of the pair.",
            )
        ]
    blade = fuse_type in (None, fuses.BLADE)
    return [
        Advice(
            "supply",
            f"{f'No blade fuse above {made_for:.0f} V: its arc would not go out. ' if blade else ''}"
            f"Most strip fuses are made for {made_for:.0f} V as well: only one whose body and sheet name "
            "your voltage or more, such as 58 or 70 V, in a holder made for it. The 48 V of a mild hybrid "
            "is not tapped at all: take 12 V, which its converter keeps alive.",
            danger=True,
        )
    ]


def size_like(area: float, table: conductors.SizeTable) -> conductors.CableSize:
    """The table's size of that area; one between sizes counts with a flexible cable's resistance."""
    for size in (*table.sizes, *conductors.GAUGE_SIZES.sizes):
        if abs(size.area / area - 1) < 1e-6:
            return size
    ideal = conductors.ideal_resistance(area)
    return conductors.CableSize(f"{area * 1e6:.3g} mm²", area, ideal * conductors.GAUGE_STRANDING_RATIO)


@dataclass(frozen=True)
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
