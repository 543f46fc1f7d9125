"""The cable for a current: drop, heat and the fuse it must carry."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, InputError, Number, Output, OutputRows, OutputText, calculator
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
from calculators.vocabulary.cable_runs import (
    CableRun,
    cable_advice,
    decided_by,
    first_that_passes,
    longest_route,
)
from calculators.vocabulary.cabling import (
    CONDUCTOR,
    CONFIDENCE,
    FUSE_LOAD,
    GAUGES,
    GROUND_CABLE,
    INSULATION,
    JOINTS,
    LOADED_TEMPERATURE,
    MEASURED_BODY,
    RETURN,
    SIZES,
    SUPPLY,
    TABLE,
    TABLES,
    TOGETHER,
    body_counted,
    ground_counted,
    joints_counted,
    size_like,
)
from calculators.vocabulary.surroundings import AIR, ROUTE, hottest_air


@dataclass(frozen=True, kw_only=True)
class SizeTried:
    """One standard size, and how it does."""

    name: Annotated[str, OutputText("Size")]
    drop: Annotated[float, Output("Drop", VOLTAGE, decimals=3)]
    drop_fraction: Annotated[float, Output("Of the supply", RATIO, show="%", decimals=2)]
    continuous: Annotated[float, Output("May carry", CURRENT, figures=3)]
    verdict: Annotated[str, OutputText("Verdict")]


@dataclass(frozen=True, kw_only=True)
class Cable:
    """The cable to fit, and what it loses."""

    size: Annotated[
        float | None,
        Output("Cable to fit", AREA, show="mm²", figures=3, trim=True, none="none fits", main=True),
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
    ground: Annotated[float | None, GROUND_CABLE] = None,
    extra: Annotated[float | None, JOINTS] = None,
    conductor: Annotated[conductors.Conductor, CONDUCTOR] = "copper",
    together: Annotated[float, TOGETHER] = 1,
    temperature: Annotated[float | None, LOADED_TEMPERATURE] = None,
    table: Annotated[str, TABLE] = "class-5",
    load_fraction: Annotated[float, FUSE_LOAD] = fuses.LOAD_FRACTION,
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
    route one way: a return by cable counts it twice, a return by the body once, and the ground cable
    and the body's own resistance are added: what the wiring schedule counts of one feed and its way
    back. The hottest metre decides heat and fuse, and the whole cable is counted as warm as there, so
    the drop errs to the safe side.
    """
    sizes = TABLES[table]
    to_body = ground_counted(return_, ground)
    run = CableRun(
        current=current,
        one_way=length,
        loop=conductors.conductor_length(length, "body" if return_ == "body" else "cable") + to_body,
        ground=to_body,
        allowed=supply * allowed_drop,
        supply=supply,
        temperature=temperature,
        conductor=conductor,
        extra=joints_counted(return_, extra),
        body=body_counted(return_, body_resistance),
        body_guessed=return_ == "body" and body_resistance is None,
        insulation_limit=conductors.INSULATION_LIMITS[insulation],
        ambient=hottest_air(route, ambient),
        together=together,
        fuse=fuses.choose_fuse(current, fuses.FUSE_RATINGS[-1], load_fraction).rating,
    )
    if run.fixed_drop >= run.allowed:
        raise InputError(
            "body_resistance" if run.body > run.extra else "extra",
            f"Joints, fuses and body alone lose {run.fixed_drop:.3g} V, and {run.allowed:.3g} V are "
            f"allowed: no cable can help. {_what_was_counted(run, extra)}Mend the joints or the ground, or "
            "allow more.",
        )
    chosen = first_that_passes(run, sizes)
    gauge = first_that_passes(run, conductors.GAUGE_SIZES)
    taken = chosen if area is None else size_like(area, sizes)
    resistance = None if taken is None else run.resistance(taken)
    return Cable(
        size=None if chosen is None else chosen.area,
        gauge="none fits" if gauge is None else gauge.name,
        decided_by=decided_by(run, sizes, chosen),
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
        longest=None if taken is None else longest_route(run, taken),
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
        advice=cable_advice(run, sizes, chosen, taken if area is not None else None),
    )


def _what_was_counted(run: CableRun, extra: float | None) -> str:
    """What of it nobody has typed, and so may be less in this vehicle."""
    counted = [f"{run.extra * 1e3:g} mΩ of joints"] * (extra is None)
    counted += [f"{run.body * 1e3:g} mΩ of body"] * run.body_guessed
    if not counted:
        return ""
    return f"Counted without a figure of yours: {' and '.join(counted)}. Measure, and type it. "


def _body_words(run: CableRun, return_: str) -> str:
    """What the body costs, and whether anybody measured it."""
    if return_ != "body":
        return "nothing: the return is a cable"
    known = "the limit, not measured" if run.body_guessed else "the figure in its field"
    return f"{run.current * run.body:.3f} V ({run.body * 1e3:.3g} mΩ: {known})"


def _tried(
    run: CableRun, table: conductors.SizeTable, chosen: conductors.CableSize | None
) -> tuple[SizeTried, ...]:
    """The size chosen, two smaller ones and the next larger."""
    place = len(table.sizes) if chosen is None else table.sizes.index(chosen)
    rows = []
    for size in table.sizes[max(place - 2, 0) : place + 2]:
        drop = run.current * run.resistance(size)
        carried = run.continuous(size.area)
        rows.append(
            SizeTried(
                name=size.name,
                drop=drop,
                drop_fraction=drop / run.supply,
                continuous=carried,
                verdict=run.verdict(size),
            )
        )
    return tuple(rows)
