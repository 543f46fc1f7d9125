"""The fuse for a cable, and what a speaker lead takes."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, OutputFlag, OutputText, calculator
from calculators.declaring.quantities import (
    AREA,
    CURRENT,
    LENGTH,
    LEVEL,
    RATIO,
    RESISTANCE,
    TIME,
)
from calculators.physics import conductors, fuses, speaker_loads
from calculators.stages.cables import (
    AMBIENT,
    BODY,
    CONDUCTOR,
    CONDUCTOR_TEMPERATURE,
    CONFIDENCE,
    CURRENTS_NOTE,
    EXTRA,
    GAUGES,
    INSULATION,
    LOAD_FRACTION,
    RETURN,
    SIZES,
    SUPPLY,
    TABLE,
    TABLES,
    USUAL_AMBIENT,
    fixed_resistance,
    size_like,
)


@dataclass(frozen=True)
class Fuse:
    """The fuse to fit, and whether it saves the cable."""

    rating: Annotated[
        float | None,
        Output("Fuse to fit", CURRENT, figures=3, trim=True, none="none: fit a larger cable", main=True),
    ]
    kind: Annotated[str, OutputText("Kind")]
    colour: Annotated[str, OutputText("Colour of its body")]
    wanted: Annotated[float, Output("The load asks for at least", CURRENT, figures=4)]
    cable_current: Annotated[float, Output("The cable may carry", CURRENT, figures=3)]
    most: Annotated[float | None, Output("Largest fuse on this cable", CURRENT, figures=3, trim=True)]
    protected: Annotated[bool, OutputFlag("Cable guarded against overload")]
    fault_current: Annotated[float, Output("Short circuit at the far end", CURRENT, figures=3)]
    near_fault: Annotated[float, Output("Short circuit behind the fuse", CURRENT, figures=3)]
    opening_time: Annotated[float | None, Output("Fuse opens within", TIME, figures=2, none="need not open")]
    withstand_time: Annotated[float, Output("Cable survives it for", TIME, figures=3)]
    fault_passes: Annotated[bool, OutputFlag("Fuse opens before the cable is spoilt")]
    least_area: Annotated[
        float | None, Output("Smallest cable for this load's fuse", AREA, show="mm²", figures=3, trim=True)
    ]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Fuse for a cable",
    example={"current": 54.0, "area": 35e-6, "length": 5.8},
    sources=(
        "iso-8820-3", "iec-60364-4-43", "iec-60364-5-54", "iso-10133", "iec-60228", "common-practice",
    ),
    cautions=("S02",),
    equations=("wanted = current/load_fraction",),
)  # fmt: skip
def fuse(
    current: Annotated[float, Number("Current of the load", CURRENT, 0.01, 1000, usual=(0.5, 300))],
    area: Annotated[float, Number("Cable", AREA, 0.3e-6, 130e-6, show="mm²", options=SIZES + GAUGES)],
    insulation: Annotated[str, INSULATION] = "general-pvc",
    conductor: Annotated[conductors.Conductor, CONDUCTOR] = "copper",
    ambient: Annotated[float, AMBIENT] = USUAL_AMBIENT,
    distance: Annotated[
        float,
        Number("Cable from battery to fuse", LENGTH, 0, 20, show="mm", units=("cm", "in")),
    ] = 0.25,
    length: Annotated[
        float,
        Number("Length of the route, one way", LENGTH, 0.05, 50, usual=(0.2, 12), units=("ft",)),
    ] = 5.0,
    return_: Annotated[str, RETURN] = "cable",
    body_resistance: Annotated[float, BODY] = 0.0033,
    extra: Annotated[float, EXTRA] = 0.001,
    supply: Annotated[float, SUPPLY] = 12.6,
    battery_resistance: Annotated[
        float,
        Number("Resistance inside the battery", RESISTANCE, 0.0005, 0.5, show="mΩ", usual=(0.002, 0.02)),
    ] = 0.005,
    load_fraction: Annotated[float, LOAD_FRACTION] = fuses.LOAD_FRACTION,
) -> Fuse:
    """Smallest standard fuse that carries the load for good, and never more than the cable.

    A fuse guards the cable, not the amplifier. Where the load asks for more than the cable
    carries there is no fuse: the cable must grow. Then the short circuit at the far end is
    judged: with a hot cable, and by the longest time the fuse may take.
    """
    limit = conductors.INSULATION_LIMITS[insulation]
    carried = conductors.continuous_current(area, limit, ambient, conductor)
    choice = fuses.choose_fuse(current, carried, load_fraction)
    judged = choice.rating if choice.rating is not None else choice.most
    run = conductors.run_resistance(
        size_like(area, conductors.FLEXIBLE_SIZES).resistance,
        conductors.conductor_length(length, "body" if return_ == "body" else "cable"),
        limit,
        conductor,
        fixed_resistance(return_, extra, body_resistance),
    )
    far = fuses.prospective_current(supply, battery_resistance, run)
    near = fuses.prospective_current(supply, battery_resistance, 0.0)
    constant = conductors.short_circuit_constant(min(limit, 125.0), 160.0, conductor)
    withstand = conductors.withstand_energy(area, constant)
    check = None if judged is None else fuses.check_fault(far, judged, withstand)
    rating = choice.rating
    return Fuse(
        rating=rating,
        kind="none" if rating is None else _kind_words(rating),
        colour="none" if rating is None else _colour(rating),
        wanted=choice.wanted,
        cable_current=carried,
        most=choice.most,
        protected=rating is not None and fuses.overload_protected(rating, carried),
        fault_current=far,
        near_fault=near,
        opening_time=None if check is None else check.time,
        withstand_time=withstand / far**2,
        fault_passes=check is not None and check.passes,
        least_area=_least_area(choice.wanted, limit, ambient, conductor),
        advice=_fuse_advice(choice, carried, check, near, distance),
    )


def _kind_words(rating: float) -> str:
    return "blade" if fuses.fuse_kind(rating) == "blade" else "bolt-down or strip"


def _colour(rating: float) -> str:
    return fuses.BLADE_COLOURS.get(rating, "read the number on it")


def _least_area(wanted: float, limit: float, ambient: float, conductor: conductors.Conductor) -> float | None:
    """Smallest class 5 size that carries the fuse the load asks for."""
    rating = next((step for step in fuses.FUSE_RATINGS if step >= wanted * (1 - 1e-9)), None)
    if rating is None:
        return None
    size = conductors.size_for_current(conductors.FLEXIBLE_SIZES, rating, limit, ambient, conductor)
    return None if size is None else size.area


def _fuse_advice(
    choice: fuses.FuseChoice,
    carried: float,
    check: fuses.FaultCheck | None,
    near: float,
    distance: float,
) -> tuple[Advice, ...]:
    advice = []
    if choice.rating is None:
        advice.append(
            Advice(
                "rating",
                f"No fuse suits: this load needs {choice.wanted:.3g} A or more and the cable may carry "
                f"{carried:.3g} A. Fit a larger cable, never a larger fuse: the cable burns first.",
                danger=True,
            )
        )
    if distance > fuses.FUSE_DISTANCE_LIMIT:
        advice.append(
            Advice(
                "distance",
                f"{distance * 1000:.0f} mm of cable between battery and fuse has nothing to protect it: "
                "chafed through, it burns. Fit the fuse within 300 mm, 450 mm at the very most (common "
                "practice, no source; local code rules).",
                danger=True,
            )
        )
    elif distance > fuses.FUSE_DISTANCE:
        advice.append(
            Advice("distance", "Fit the fuse within 300 mm of the battery; over 450 mm there is no excuse.")
        )
    if check is not None and not check.passes:
        advice.append(
            Advice(
                "fault_passes",
                "A short circuit at the far end may not open this fuse before the cable is spoilt. Shorten "
                "the run, better the return, or fit a larger cable.",
                danger=True,
            )
        )
    blade = choice.rating is not None and fuses.fuse_kind(choice.rating) == "blade"
    if blade and near > fuses.BLADE_BREAKING_CAPACITY:
        advice.append(
            Advice(
                "near_fault",
                f"Right behind the battery a short circuit reaches {near:.0f} A, and a blade fuse is made to "
                "break 1000 A: use a holder and fuse whose data sheet says more, or feed it from behind a "
                "bolt-down fuse.",
            )
        )
    advice.append(Advice("cable_current", CURRENTS_NOTE))
    if choice.rating is not None:
        slow = "A blade fuse at 135 % of its rating may take ten minutes to open. " if blade else ""
        advice.append(
            Advice(
                "opening_time",
                f"{slow}How fast the fuse opens is counted from memory: check its data sheet. Local code, "
                "and the vehicle maker's fuse plan, stand above this.",
            )
        )
    return tuple(advice)


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
    resistances: Annotated[str, OutputText("Resistances from")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Speaker lead: loss and damping",
    example={"load": 4.0, "length": 5.0, "area": 2.5e-6},
    sources=("iec-60228", "iso-6722-1", "iec-60028", "ohm", "common-practice"),
    equations=(
        "loop = 2*length",
        "level_loss = 20*log(load/(load + resistance))/log(10)",
        "power_share = resistance/(load + resistance)",
        "resistance_share = resistance/load",
        "damping = load/(resistance + output_resistance)",
    ),
)
def speaker_lead(
    load: Annotated[float, Number("Speaker", RESISTANCE, 0.5, 32, usual=(1, 16))],
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
    """Level, power and damping a speaker lead costs.

    Both wires of the pair are counted. Keep the lead's resistance under 2 % of the load (common
    practice): more than that and the speaker's own peaks show up in the response.
    """
    sizes = TABLES[table]
    loop = conductors.conductor_length(length, "cable")
    taken = size_like(area, sizes)
    resistance = conductors.run_resistance(taken.resistance, loop, temperature, conductor)
    fitting = (
        size
        for size in sizes.sizes
        if conductors.run_resistance(size.resistance, loop, temperature, conductor) <= share * load
    )
    size = next(fitting, None)
    advice = []
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
        resistances=f"{sizes.standard}{CONFIDENCE[sizes.confidence]}",
        advice=tuple(advice),
    )
