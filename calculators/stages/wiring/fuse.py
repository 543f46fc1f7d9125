"""The fuse for a cable."""

from dataclasses import dataclass
from typing import Annotated

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
from calculators.declaring.quantities import AREA, CURRENT, LENGTH, RESISTANCE, TEMPERATURE, TIME
from calculators.physics import batteries, conductors, fuses
from calculators.vocabulary.cabling import (
    CONDUCTOR,
    EXTRA,
    FUSE_LOAD,
    GAUGES,
    INSULATION,
    MEASURED_BODY,
    RETURN,
    SIZES,
    SUPPLY,
    TOGETHER,
    body_counted,
    size_like,
)
from calculators.vocabulary.fuse_advice import JudgedFuse, fuse_advice
from calculators.vocabulary.surroundings import AIR, ROUTE, hottest_air

FUSE_TYPES: dict[str, fuses.FuseType | None] = {
    "by-rating": None,
    "blade": fuses.BLADE,
    "small-strip": fuses.SMALL_STRIP,
    "large-strip": fuses.LARGE_STRIP,
}

KIND_WORDS = {
    fuses.BLADE: "blade (ISO 8820-3)",
    fuses.SMALL_STRIP: "small strip, M5 (ISO 8820-5, SF30)",
    fuses.LARGE_STRIP: "bolt-down: large strip, M8 (ISO 8820-5, SF51), or by its data sheet",
}

STRONG_BATTERY, WEAK_COLD_CRANK = 0.003, 200.0
"""Where nothing is known of the battery: ohm inside a strong warm one, for what the fuse must break, and the
cold-crank rating, A, of a weak one, for what must open it. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Fuse:
    """The fuse to fit, and whether it saves the cable."""

    rating: Annotated[
        float | None,
        Output("Fuse to fit", CURRENT, figures=3, trim=True, none="none suits", main=True),
    ]
    kind: Annotated[str, OutputText("Kind")]
    colour: Annotated[str, OutputText("Colour of its body")]
    wanted: Annotated[float, Output("The load asks for at least", CURRENT, figures=4)]
    cable_current: Annotated[float, Output("The cable may carry", CURRENT, figures=3)]
    air: Annotated[float, Output("Hottest air counted", TEMPERATURE, decimals=0)]
    most: Annotated[float | None, Output("Largest fuse on this cable", CURRENT, figures=3, trim=True)]
    surely_opens: Annotated[float | None, Output("Opens in the end at", CURRENT, figures=3)]
    protected: Annotated[bool, OutputFlag("Cable guarded against overload")]
    fault_current: Annotated[float, Output("Short circuit at the far end", CURRENT, figures=3)]
    near_fault: Annotated[float, Output("Short circuit behind the fuse", CURRENT, figures=3)]
    breaks: Annotated[float | None, Output("This kind is made to break", CURRENT, figures=3, trim=True)]
    opening_time: Annotated[float | None, Output("Fuse opens within", TIME, figures=2, none="need not open")]
    withstand_time: Annotated[float, Output("Cable survives it for", TIME, figures=3)]
    fault_passes: Annotated[bool, OutputFlag("Fuse opens before the cable is spoilt")]
    least_area: Annotated[
        float | None, Output("Smallest cable for this load's fuse", AREA, show="mm²", figures=3, trim=True)
    ]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Fuse for a cable",
    example={
        "current": 54.0,
        "area": 35e-6,
        "route": "engine-bay",
        "insulation": "vehicle-class-c",
        "length": 5.8,
    },
    sources=(
        "iso-8820-3", "iso-8820-5", "iec-60364-4-43", "iec-60364-5-54", "iec-60364-5-52", "iso-13297",
        "iec-60228", "en-50342-1", "common-practice",
    ),
    cautions=("S02",),
    equations=("wanted = current/load_fraction",),
)  # fmt: skip
def fuse(
    *,
    current: Annotated[float, Number("Current of the load", CURRENT, 0.01, 1000, usual=(0.5, 300))],
    route: Annotated[str, ROUTE] = "carpet",
    ambient: Annotated[float | None, AIR] = None,
    insulation: Annotated[str, INSULATION] = "general-pvc",
    area: Annotated[float, Number("Cable", AREA, 0.3e-6, 130e-6, show="mm²", options=SIZES + GAUGES)],
    conductor: Annotated[conductors.Conductor, CONDUCTOR] = "copper",
    cold_crank: Annotated[
        float | None,
        Number(
            "Cold-crank rating of the battery",
            CURRENT,
            50,
            3000,
            usual=(300, 1000),
            optional=True,
            empty="unknown: strong near, weak far",
            help="The ampere figure on its label, by EN or SAE. Unknown: a strong battery behind the fuse, a "
            "weak one of 200 A at the far end, each the worse there.",
        ),
    ] = None,
    distance: Annotated[
        float,
        Number("Cable from battery to fuse", LENGTH, 0, 20, show="mm", units=("cm", "in")),
    ] = 0.25,
    length: Annotated[
        float,
        Number("Length of the route, one way", LENGTH, 0.05, 50, usual=(0.2, 12), units=("ft",)),
    ] = 5.0,
    return_: Annotated[str, RETURN] = "cable",
    body_resistance: Annotated[float | None, MEASURED_BODY] = None,
    extra: Annotated[float, EXTRA] = 0.001,
    supply: Annotated[float, SUPPLY] = 12.6,
    fuse_type: Annotated[
        str,
        Choice(
            "Kind of fuse",
            {
                "by-rating": "by its rating: blade to 40 A, large strip above",
                "blade": "blade",
                "small-strip": "small strip, M5 studs",
                "large-strip": "large strip, M8 studs",
            },
            seldom=True,
        ),
    ] = "by-rating",
    battery_resistance: Annotated[
        float | None,
        Number(
            "Resistance inside the battery",
            RESISTANCE,
            0.0005,
            0.5,
            show="mΩ",
            usual=(0.001, 0.02),
            optional=True,
            empty="by its cold-crank rating",
            help="Warm and well charged; its short circuit is at its strongest then.",
            seldom=True,
        ),
    ] = None,
    together: Annotated[float, TOGETHER] = 1,
    load_fraction: Annotated[float, FUSE_LOAD] = fuses.LOAD_FRACTION,
) -> Fuse:
    """Smallest standard fuse that carries the load for good, and never more than the cable.

    A fuse guards the cable, not the amplifier. Where the load asks for more than the cable
    carries there is no fuse: the cable must grow, or bear more heat. Then both short circuits are
    judged. At the far end: a hot cable, a cold battery, and the longest time the fuse may take. Right
    behind the battery: a warm battery, whose current the fuse must be able to break. A battery of which
    nothing is known is a weak one at the far end and a strong one behind the fuse.
    """
    limit = conductors.INSULATION_LIMITS[insulation]
    air = hottest_air(route, ambient)
    wanted_type = FUSE_TYPES[fuse_type]
    carried = conductors.continuous_current(area, limit, air, conductor, together)
    choice = fuses.choose_fuse(current, carried, load_fraction, wanted_type)
    judged = choice.rating if choice.rating is not None else choice.most
    kind = wanted_type if judged is None or wanted_type is not None else fuses.usual_type(judged)
    rating = choice.rating
    if supply > fuses.BLADE.voltage and kind is fuses.BLADE:
        rating = None
    run = conductors.run_resistance(
        size_like(area, conductors.FLEXIBLE_SIZES).resistance,
        conductors.conductor_length(length, "body" if return_ == "body" else "cable"),
        limit,
        conductor,
        extra + body_counted(return_, body_resistance),
    )
    warm, cold = _battery_resistances(cold_crank, battery_resistance)
    far = fuses.prospective_current(supply, cold, run)
    near = fuses.prospective_current(supply, warm, 0.0)
    constant = conductors.short_circuit_constant(min(limit, 125.0), 160.0, conductor)
    withstand = conductors.withstand_energy(area, constant)
    check = None if judged is None else fuses.check_fault(far, judged, withstand, kind)
    judge = JudgedFuse(
        choice=choice,
        rating=rating,
        kind=kind,
        carried=carried,
        limit=limit,
        air=air,
        near=near,
        check=check,
        supply=supply,
        least_area=_least_area(choice.wanted, wanted_type, limit, air, conductor, together),
        by_rating=fuses.choose_fuse(current, carried, load_fraction).rating if wanted_type else None,
        battery_alone=fuses.prospective_current(supply, cold, 0.0),
        battery_known=cold_crank is not None or battery_resistance is not None,
    )
    return Fuse(
        rating=rating,
        kind="none" if rating is None or kind is None else KIND_WORDS[kind],
        colour="none" if rating is None else _colour(rating, kind),
        wanted=choice.wanted,
        cable_current=carried,
        air=air,
        most=choice.most,
        surely_opens=None if rating is None or kind is None else rating * kind.surely_opens,
        protected=rating is not None
        and kind is not None
        and fuses.overload_protected(rating, carried, kind.surely_opens),
        fault_current=far,
        near_fault=near,
        breaks=None if kind is None else kind.breaking_capacity,
        opening_time=None if check is None else check.time,
        withstand_time=withstand / far**2,
        fault_passes=check is not None and check.passes,
        least_area=judge.least_area,
        advice=fuse_advice(judge, distance),
    )


def _battery_resistances(cold_crank: float | None, typed: float | None) -> tuple[float, float]:
    """Ohm inside the warm battery, and inside the cold one."""
    if typed is not None and cold_crank is not None:
        raise InputError(
            "battery_resistance", "Type the cold-crank rating or the resistance, and leave the other empty."
        )
    if typed is not None:
        warm = typed
    elif cold_crank is not None:
        warm = batteries.warm_resistance(cold_crank)
    else:
        return STRONG_BATTERY, batteries.resistance_from_cold_crank(WEAK_COLD_CRANK)
    return warm, warm / batteries.WARM_SHARE


def _colour(rating: float, kind: fuses.FuseType | None) -> str:
    if kind is not fuses.BLADE:
        return "read the number on it"
    return fuses.BLADE_COLOURS[rating]


def _least_area(
    wanted: float,
    fuse_type: fuses.FuseType | None,
    limit: float,
    ambient: float,
    conductor: conductors.Conductor,
    together: float,
) -> float | None:
    """Smallest class 5 size that carries the fuse the load asks for."""
    for size in conductors.FLEXIBLE_SIZES.sizes:
        carried = conductors.continuous_current(size.area, limit, ambient, conductor, together)
        # The load stands in as "wanted" at a fraction of one.
        if fuses.choose_fuse(wanted, carried, 1.0, fuse_type).rating is not None:
            return size.area
    return None
