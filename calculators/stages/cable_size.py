"""The cable for a current: drop, heat and the fuse it must carry."""

from dataclasses import dataclass
from typing import Annotated, Literal

from calculators.declaring import (
    Advice,
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
from calculators.stages.cables import (
    AIR,
    CONDUCTOR,
    CONFIDENCE,
    CURRENTS_NOTE,
    EXTRA,
    GAUGES,
    INSULATION,
    LOAD_FRACTION,
    LOADED_TEMPERATURE,
    MEASURED_BODY,
    RETURN,
    ROUTE,
    SIZES,
    SUPPLY,
    TABLE,
    TABLES,
    TOGETHER,
    body_counted,
    hottest_air,
    sheath_advice,
    size_like,
    voltage_advice,
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
    body: Annotated[str, OutputText("Lost in the body")]
    voltage: Annotated[float | None, Output("Left for the amplifier", VOLTAGE, decimals=2)]
    loss: Annotated[float | None, Output("Heat in the run", POWER, figures=3)]
    continuous: Annotated[float | None, Output("It may carry for hours", CURRENT, figures=3)]
    air: Annotated[float, Output("Hottest air counted", TEMPERATURE, decimals=0)]
    warmed: Annotated[
        float | None, Output("Conductor under load, counted for the drop", TEMPERATURE, decimals=0)
    ]
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
    temperature: float | None
    conductor: conductors.Conductor
    extra: float
    body: float
    body_guessed: bool
    insulation_limit: float
    ambient: float
    together: float
    fuse: float | None

    @property
    def fixed(self) -> float:
        """Ohm besides the cable: joints and fuses, and the body where it is the way back."""
        return self.extra + self.body

    def warmed(self, area: float) -> float:
        """Degrees Celsius of a conductor of ``area`` m2: as typed, or by its air and its load."""
        if self.temperature is not None:
            return self.temperature
        return conductors.loaded_temperature(
            area, self.current, self.ambient, self.insulation_limit, self.conductor, self.together
        )

    def resistance(self, size: conductors.CableSize) -> float:
        """Ohm of the whole run in a cable of that size."""
        return conductors.run_resistance(
            size.resistance, self.loop, self.warmed(size.area), self.conductor, self.fixed
        )

    def continuous(self, area: float) -> float:
        """Ampere a cable of ``area`` m2 may carry here."""
        return conductors.continuous_current(
            area, self.insulation_limit, self.ambient, self.conductor, self.together
        )

    def verdict(self, size: conductors.CableSize) -> Verdict:
        """What is wrong with a size, the worst first."""
        carried = self.continuous(size.area)
        if self.current > carried:
            return "too hot"
        if self.fuse is None or self.fuse > carried:
            return "too thin for its fuse"
        # A hair of tolerance: a size that meets the drop exactly passes.
        lost = self.current * self.resistance(size)
        return "drops too much" if lost > self.allowed * (1 + 1e-9) else "passes"


def first_that_passes(run: _Run, table: conductors.SizeTable) -> conductors.CableSize | None:
    """Smallest size of a table with nothing wrong, or None."""
    return next((size for size in table.sizes if run.verdict(size) == "passes"), None)


@calculator(
    title="Cable size",
    example={
        "current": 54.0,
        "route": "engine-bay",
        "insulation": "vehicle-class-c",
        "length": 5.8,
        "return": "body",
        "body_resistance": 0.0018,
        "extra": 0.001,
    },
    sources=(
        "iec-60228",
        "iso-19642",
        "iso-6722-1",
        "astm-b258",
        "iec-60028",
        "iso-13297",
        "iec-60364-5-52",
        "common-practice",
    ),
    cautions=("S02",),
    equations=(
        "drop = current*resistance",
        "drop_fraction = drop/supply",
        "voltage = supply - drop",
        "loss = current**2*resistance",
    ),
)
def cable(
    *,
    current: Annotated[float, Number("Current", CURRENT, 0.01, 1000, usual=(0.5, 300))],
    route: Annotated[str, ROUTE] = "carpet",
    ambient: Annotated[float | None, AIR] = None,
    insulation: Annotated[str, INSULATION] = "general-pvc",
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
    body_resistance: Annotated[float | None, MEASURED_BODY] = None,
    extra: Annotated[float, EXTRA] = 0.0,
    conductor: Annotated[conductors.Conductor, CONDUCTOR] = "copper",
    together: Annotated[float, TOGETHER] = 1,
    temperature: Annotated[float | None, LOADED_TEMPERATURE] = None,
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
    own resistance is added. The hottest metre decides heat and fuse, and the whole cable is counted
    as warm as there, so the drop errs to the safe side.
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
        extra=extra,
        body=body_counted(return_, body_resistance),
        body_guessed=return_ == "body" and body_resistance is None,
        insulation_limit=conductors.INSULATION_LIMITS[insulation],
        ambient=hottest_air(route, ambient),
        together=together,
        fuse=fuses.choose_fuse(current, fuses.FUSE_RATINGS[-1], load_fraction).rating,
    )
    if current * run.fixed >= run.allowed:
        raise InputError(
            "body_resistance" if run.body > run.extra else "extra",
            "Joints, fuses and body alone lose more than the drop allowed: no cable can help. "
            "Mend the joints or the ground, or allow more.",
        )
    chosen = first_that_passes(run, sizes)
    gauge = first_that_passes(run, conductors.GAUGE_SIZES)
    taken = chosen if area is None else size_like(area, sizes)
    resistance = None if taken is None else run.resistance(taken)
    return Cable(
        size=None if chosen is None else chosen.area,
        gauge="no single cable" if gauge is None else gauge.name,
        decided_by=_decided_by(run, sizes, chosen),
        fuse=run.fuse,
        area_looked_at=None if taken is None else taken.area,
        drop=None if resistance is None else current * resistance,
        drop_fraction=None if resistance is None else current * resistance / supply,
        body=_body_words(run, return_),
        voltage=None if resistance is None else supply - current * resistance,
        loss=None if resistance is None else conductors.cable_loss(current, resistance),
        continuous=None if taken is None else run.continuous(taken.area),
        air=run.ambient,
        warmed=None if taken is None else run.warmed(taken.area),
        one_way=length,
        loop=run.loop,
        longest=None if taken is None else _longest(run, taken),
        resistance=resistance,
        area=conductors.smallest_area(
            current,
            run.loop,
            run.allowed,
            # The cable's own warmth; where no size is left, the most its sheath stands.
            max(run.insulation_limit, run.ambient) if taken is None else run.warmed(taken.area),
            conductor,
            run.fixed,
        ),
        resistances=f"{sizes.standard}{CONFIDENCE[sizes.confidence]}",
        sizes=_tried(run, sizes, chosen),
        advice=_cable_advice(run, sizes, chosen, taken if area is not None else None),
    )


def _body_words(run: _Run, return_: str) -> str:
    """What the body costs, and whether anybody measured it."""
    if return_ != "body":
        return "nothing: the return is a cable"
    known = "the limit, not measured" if run.body_guessed else "as typed"
    return f"{run.current * run.body:.3f} V ({run.body * 1e3:.3g} mΩ: {known})"


def _longest(run: _Run, size: conductors.CableSize) -> float | None:
    """One-way route at which a size loses just what is allowed; None for a size no length makes safe."""
    if run.verdict(size) in ("too hot", "too thin for its fuse"):
        return None
    metres = conductors.longest_run(
        size.resistance, run.current, run.allowed, run.warmed(size.area), run.conductor, run.fixed
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
        drop = run.current * run.resistance(size)
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
    too_hot = sheath_advice(run.insulation_limit, run.ambient)
    if too_hot:
        advice += too_hot
    elif chosen is None:
        advice.append(
            Advice(
                "size",
                "No cable of this table passes. Shorten the route, move the amplifier, take a sheath that "
                "stands more heat, or run two feeds to two amplifiers, each with its own fuse: two feeds are "
                "never joined again on one terminal. Never fit a larger fuse instead.",
                danger=True,
            )
        )
    advice += voltage_advice(run.supply)
    if run.conductor != "copper":
        advice.append(
            Advice(
                "conductor",
                "Copper-clad aluminium is counted with 1.65 times the resistance of copper (common practice, "
                "the worst of 1.55 to 1.65) and 78 % of its current. It corrodes and creeps under a screw: "
                "use lugs made for it, or fit copper.",
            )
        )
    if run.body_guessed:
        advice.append(
            Advice(
                "body_resistance",
                "The body was not measured: 3.3 mΩ is the most that counts as good, not what this vehicle "
                "has. Measure from the amplifier's ground point to battery negative.",
            )
        )
    if table.confidence != "published":
        about = f"{table.standard}: these resistances are"
        advice.append(
            Advice("table", f"{about}{CONFIDENCE[table.confidence]}.".replace(" (", " ").replace(")", ""))
        )
    if run.extra == 0:
        advice.append(
            Advice(
                "extra", "No joints are counted: add about 0.5 mΩ for each fuse holder and each pair of lugs."
            )
        )
    if run.temperature is not None and run.temperature < run.ambient:
        advice.append(
            Advice(
                "drop",
                f"A conductor is never cooler than its air: leave its temperature empty, or type "
                f"{run.ambient:g} °C or more, or the drop comes out too small.",
            )
        )
    advice.append(Advice("continuous", CURRENTS_NOTE))
    return tuple(advice)


def _checked_advice(run: _Run, size: conductors.CableSize) -> list[Advice]:
    """What is wrong with the size the reader has."""
    verdict = run.verdict(size)
    carried = run.continuous(size.area)
    lost = run.current * run.resistance(size)
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
