"""The cable for a current: drop, heat and the fuse it must carry; and the inputs all cables share."""

from dataclasses import dataclass
from typing import Annotated, Literal

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Number,
    Output,
    OutputRows,
    OutputText,
    calculator,
)
from calculators.declaring.quantities import (
    AREA,
    CURRENT,
    LENGTH,
    POWER,
    RATIO,
    RESISTANCE,
    TEMPERATURE,
    VOLTAGE,
)
from calculators.physics import conductors, fuses

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

Verdict = Literal["passes", "drops too much", "too thin for its fuse", "too hot"]


@dataclass(frozen=True)
class SizeTried:
    """One standard size, and how it does."""

    name: Annotated[str, OutputText("Size")]
    drop: Annotated[float, Output("Drop", VOLTAGE, decimals=3)]
    drop_fraction: Annotated[float, Output("Of the supply", RATIO, show="%", decimals=2)]
    continuous: Annotated[float, Output("May carry", CURRENT, figures=3)]
    verdict: Annotated[str, OutputText("Verdict")]


@dataclass(frozen=True)
class Cable:
    """The cable to fit, and what it loses."""

    size: Annotated[
        float | None,
        Output("Cable to fit", AREA, show="mm²", figures=3, trim=True, none="no single cable", main=True),
    ]
    gauge: Annotated[str, OutputText("Or by gauge")]
    decided_by: Annotated[str, OutputText("Decided by")]
    fuse: Annotated[float | None, Output("Fuse for this load", CURRENT, figures=3, trim=True)]
    area_looked_at: Annotated[
        float | None, Output("Figures below are for", AREA, show="mm²", figures=4, trim=True)
    ]
    drop: Annotated[float | None, Output("Voltage lost", VOLTAGE, decimals=3)]
    drop_fraction: Annotated[float | None, Output("Part of the supply", RATIO, show="%", decimals=2)]
    voltage: Annotated[float | None, Output("Left for the amplifier", VOLTAGE, decimals=2)]
    loss: Annotated[float | None, Output("Heat in the run", POWER, figures=3)]
    continuous: Annotated[float | None, Output("It may carry for hours", CURRENT, figures=3)]
    one_way: Annotated[float, Output("Route, one way", LENGTH, decimals=2)]
    loop: Annotated[float, Output("Cable the current runs through", LENGTH, decimals=2)]
    longest: Annotated[float | None, Output("Longest route, one way", LENGTH, figures=3, none="too thin")]
    resistance: Annotated[float | None, Output("Resistance of the run", RESISTANCE, show="mΩ", figures=4)]
    area: Annotated[float, Output("Copper that would just do", AREA, show="mm²", figures=4)]
    resistances: Annotated[str, OutputText("Resistances from")]
    sizes: Annotated[tuple[SizeTried, ...], OutputRows("Sizes round it")]
    advice: tuple[Advice, ...] = ()


@dataclass(frozen=True)
class _Run:
    """What a run asks for, before its size is known; ``fixed`` ohm are joints and body."""

    current: float
    one_way: float
    loop: float
    allowed: float
    supply: float
    temperature: float
    conductor: conductors.Conductor
    fixed: float
    insulation_limit: float
    ambient: float
    fuse: float | None

    def resistance(self, per_metre: float) -> float:
        """Ohm of the whole run in a cable of ``per_metre`` ohm."""
        return conductors.run_resistance(per_metre, self.loop, self.temperature, self.conductor, self.fixed)

    def continuous(self, area: float) -> float:
        """Ampere a cable of ``area`` m2 may carry here."""
        return conductors.continuous_current(area, self.insulation_limit, self.ambient, self.conductor)

    def verdict(self, size: conductors.CableSize) -> Verdict:
        """What is wrong with a size, the worst first."""
        carried = self.continuous(size.area)
        if self.current > carried:
            return "too hot"
        if self.fuse is None or self.fuse > carried:
            return "too thin for its fuse"
        # A hair of tolerance: a size that meets the drop exactly passes.
        lost = self.current * self.resistance(size.resistance)
        return "drops too much" if lost > self.allowed * (1 + 1e-9) else "passes"


def fixed_resistance(return_: str, extra: float, body_resistance: float) -> float:
    """Ohm besides the cable: joints and fuses, and the body where it is the way back."""
    return extra + (body_resistance if return_ == "body" else 0.0)


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


def size_like(area: float, table: conductors.SizeTable) -> conductors.CableSize:
    """The table's size of that area; one between sizes counts with a flexible cable's resistance."""
    for size in (*table.sizes, *conductors.GAUGE_SIZES.sizes):
        if abs(size.area / area - 1) < 1e-6:
            return size
    ideal = conductors.ideal_resistance(area)
    return conductors.CableSize(f"{area * 1e6:.3g} mm²", area, ideal * conductors.GAUGE_STRANDING_RATIO)


def first_that_passes(run: _Run, table: conductors.SizeTable) -> conductors.CableSize | None:
    """Smallest size of a table with nothing wrong, or None."""
    return next((size for size in table.sizes if run.verdict(size) == "passes"), None)


@calculator(
    title="Cable size",
    example={"current": 54.0, "length": 5.8, "return": "body"},
    sources=("iec-60228", "iso-6722-1", "astm-b258", "iec-60028", "iso-10133", "common-practice"),
    cautions=("S02",),
    equations=(
        "drop = current*resistance",
        "drop_fraction = drop/supply",
        "voltage = supply - drop",
        "loss = current**2*resistance",
    ),
)
def cable(
    current: Annotated[float, Number("Current", CURRENT, 0.01, 1000, usual=(0.5, 300))],
    length: Annotated[
        float,
        Number(
            "Length of the route, one way",
            LENGTH,
            0.05,
            50,
            usual=(0.2, 12),
            units=("ft",),
            help="From battery to amplifier, as the cable lies. The way back is added here.",
        ),
    ],
    supply: Annotated[float, SUPPLY] = 13.5,
    allowed_drop: Annotated[
        float, Number("Drop allowed", RATIO, 0.001, 0.2, show="%", usual=(0.01, 0.05))
    ] = 0.03,
    return_: Annotated[str, RETURN] = "cable",
    body_resistance: Annotated[float, BODY] = 0.0033,
    extra: Annotated[float, EXTRA] = 0.0,
    conductor: Annotated[conductors.Conductor, CONDUCTOR] = "copper",
    temperature: Annotated[float, CONDUCTOR_TEMPERATURE] = 40.0,
    ambient: Annotated[float, AMBIENT] = USUAL_AMBIENT,
    insulation: Annotated[str, INSULATION] = "general-pvc",
    table: Annotated[str, TABLE] = "class-5",
    load_fraction: Annotated[float, LOAD_FRACTION] = fuses.LOAD_FRACTION,
    area: Annotated[
        float | None,
        Number(
            "Check a size you have",
            AREA,
            0.3e-6,
            130e-6,
            show="mm²",
            optional=True,
            empty="no: choose for me",
            options=SIZES + GAUGES,
            seldom=True,
        ),
    ] = None,
) -> Cable:
    """Smallest standard cable that loses no more than allowed and stays cool behind its fuse.

    The size must pass three tests: the voltage lost over the whole run; the current it carries
    for hours; and the fuse the load asks for, which may never be above that current. Type the
    route one way: a return by cable counts it twice, a return by the body once, and the body's
    own resistance is added.
    """
    sizes = TABLES[table]
    run = _Run(
        current=current,
        one_way=length,
        loop=conductors.conductor_length(length, "body" if return_ == "body" else "cable"),
        allowed=supply * allowed_drop,
        supply=supply,
        temperature=temperature,
        conductor=conductor,
        fixed=fixed_resistance(return_, extra, body_resistance),
        insulation_limit=conductors.INSULATION_LIMITS[insulation],
        ambient=ambient,
        fuse=fuses.choose_fuse(current, fuses.FUSE_RATINGS[-1], load_fraction).rating,
    )
    if current * run.fixed >= run.allowed:
        raise InputError(
            "extra",
            "Joints, fuses and body alone lose more than the drop allowed: no cable can help. "
            "Mend the joints or the ground, or allow more.",
        )
    chosen = first_that_passes(run, sizes)
    gauge = first_that_passes(run, conductors.GAUGE_SIZES)
    taken = chosen if area is None else size_like(area, sizes)
    resistance = None if taken is None else run.resistance(taken.resistance)
    return Cable(
        size=None if chosen is None else chosen.area,
        gauge="no single cable" if gauge is None else gauge.name,
        decided_by=_decided_by(run, sizes, chosen),
        fuse=run.fuse,
        area_looked_at=None if taken is None else taken.area,
        drop=None if resistance is None else current * resistance,
        drop_fraction=None if resistance is None else current * resistance / supply,
        voltage=None if resistance is None else supply - current * resistance,
        loss=None if resistance is None else conductors.cable_loss(current, resistance),
        continuous=None if taken is None else run.continuous(taken.area),
        one_way=length,
        loop=run.loop,
        longest=None if taken is None else _longest(run, taken),
        resistance=resistance,
        area=conductors.smallest_area(current, run.loop, run.allowed, temperature, conductor, run.fixed),
        resistances=f"{sizes.standard}{CONFIDENCE[sizes.confidence]}",
        sizes=_tried(run, sizes, chosen),
        advice=_cable_advice(run, sizes, chosen, taken if area is not None else None),
    )


def _longest(run: _Run, size: conductors.CableSize) -> float | None:
    """One-way route at which a size loses just what is allowed; None for a size no length makes safe."""
    if run.verdict(size) in ("too hot", "too thin for its fuse"):
        return None
    metres = conductors.longest_run(
        size.resistance, run.current, run.allowed, run.temperature, run.conductor, run.fixed
    )
    return metres * run.one_way / run.loop


def _decided_by(run: _Run, table: conductors.SizeTable, chosen: conductors.CableSize | None) -> str:
    """Which test the next smaller size fails."""
    failed: dict[Verdict, str] = {
        "drops too much": "the voltage drop",
        "too thin for its fuse": "the fuse the cable must carry",
        "too hot": "the heat in the cable",
    }
    place = len(table.sizes) if chosen is None else table.sizes.index(chosen)
    if place == 0:
        return "nothing: the smallest size will do"
    return failed.get(run.verdict(table.sizes[place - 1]), "the voltage drop")


def _tried(
    run: _Run, table: conductors.SizeTable, chosen: conductors.CableSize | None
) -> tuple[SizeTried, ...]:
    """The size chosen, two smaller ones and the next larger."""
    place = len(table.sizes) if chosen is None else table.sizes.index(chosen)
    rows = []
    for size in table.sizes[max(place - 2, 0) : place + 2]:
        drop = run.current * run.resistance(size.resistance)
        carried = run.continuous(size.area)
        rows.append(SizeTried(size.name, drop, drop / run.supply, carried, run.verdict(size)))
    return tuple(rows)


def _cable_advice(
    run: _Run,
    table: conductors.SizeTable,
    chosen: conductors.CableSize | None,
    checked: conductors.CableSize | None,
) -> tuple[Advice, ...]:
    advice = [] if checked is None else _checked_advice(run, checked)
    if chosen is None:
        advice.append(
            Advice(
                "size",
                "No cable of this table passes. Shorten the route, move the amplifier, or run two feeds, "
                "each with its own fuse. Never fit a larger fuse instead.",
                danger=True,
            )
        )
    if run.conductor != "copper":
        advice.append(
            Advice(
                "conductor",
                "Copper-clad aluminium is counted with 1.65 times the resistance of copper (common practice, "
                "the worst of 1.55 to 1.65) and 78 % of its current. It corrodes and creeps under a screw: "
                "use lugs made for it, or fit copper.",
            )
        )
    if table.confidence != "published":
        about = f"{table.standard}: these resistances are"
        advice.append(
            Advice("table", f"{about}{CONFIDENCE[table.confidence]}.".replace(" (", " ").replace(")", ""))
        )
    if run.fixed == 0:
        advice.append(
            Advice(
                "extra", "No joints are counted: add about 0.5 mΩ for each fuse holder and each pair of lugs."
            )
        )
    if run.temperature < run.ambient and run.ambient > USUAL_AMBIENT:
        advice.append(
            Advice(
                "drop",
                f"A conductor is never cooler than its air: type {run.ambient:g} °C or more for its "
                "temperature, or the drop comes out too small.",
            )
        )
    advice.append(Advice("continuous", CURRENTS_NOTE))
    return tuple(advice)


def _checked_advice(run: _Run, size: conductors.CableSize) -> list[Advice]:
    """What is wrong with the size the reader has."""
    verdict = run.verdict(size)
    carried = run.continuous(size.area)
    lost = run.current * run.resistance(size.resistance)
    words = {
        "too hot": f"{size.name} would overheat: it may carry {carried:.3g} A here, and the load is "
        f"{run.current:.4g} A. Do not fit it.",
        "too thin for its fuse": f"{size.name} may carry {carried:.3g} A here, less than the "
        f"{'fuse' if run.fuse is None else f'{run.fuse:g} A fuse'} this load needs: in a fault it could burn "
        "before the fuse opens. Fit a larger cable.",
        "drops too much": f"{size.name} loses {lost:.3f} V, more than the {run.allowed:.3f} V allowed.",
    }
    if verdict == "passes":
        return []
    return [Advice("area", words[verdict], danger=verdict != "drops too much")]
