"""What a crash asks of the fixings of a thing, and which part gives way first."""

from dataclasses import dataclass
from typing import Annotated, Literal

from calculators.declaring import (
    Advice,
    Choice,
    Number,
    Output,
    OutputRows,
    OutputText,
    calculator,
)
from calculators.declaring.quantities import ACCELERATION, COUNT, FORCE, LENGTH, MASS, RATIO, STRENGTH, TIME
from calculators.physics import fixings
from calculators.physics.fixings import BOLT_AREAS, BOLT_CLASSES, GRAVITY, Strength
from calculators.vocabulary.fixing import (
    ANCHORS,
    DRIVE,
    FACE,
    FACES,
    HOLDERS,
    HOLES,
    LEAST_ELSEWHERE,
    LEAST_FACTOR,
    LEAST_FORWARD,
    STANDING,
    JointPart,
    check_metal,
    drilling_advice,
    floor_advice,
    gates,
    joint_advice,
    joint_parts,
    range_advice,
    verdict_on,
)

BOLT_SIZES = tuple((f"M{1e3 * diameter:.0f}", diameter) for diameter in BOLT_AREAS)
TOWN_SPEED = 50 / 3.6
MOST = 588.399
NOT_SHOWN = "not shown"


def _acceleration(label: str, usual: tuple[float, float], help: str = "") -> Number:
    low, high = usual
    return Number(
        label,
        ACCELERATION,
        GRAVITY,
        MOST,
        show="g",
        usual=(low * GRAVITY, high * GRAVITY),
        seldom=True,
        help=help,
    )


def _strength(label: str, help: str = "") -> Number:
    return Number(
        label, FORCE, 1, 1e5, show="kN", usual=(200, 2e4), units=("N",), optional=True,
        empty="not on a data sheet", help=help,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class PartStrength:
    """One part of the joint, and where its figure comes from."""

    name: Annotated[str, OutputText("Part")]
    pull: Annotated[float | None, Output("Holds, pulled", FORCE, show="kN", decimals=2, none=NOT_SHOWN)]
    shear: Annotated[float | None, Output("Holds, sideways", FORCE, show="kN", decimals=2, none=NOT_SHOWN)]
    rests_on: Annotated[str, OutputText("Rests on")]


@dataclass(frozen=True, kw_only=True)
class Direction:
    """One direction of the crash."""

    name: Annotated[str, OutputText("Thrown")]
    margin: Annotated[float | None, Output("Times held", RATIO, decimals=1, none=NOT_SHOWN)]
    weakest: Annotated[str, OutputText("First to go")]
    shear_each: Annotated[float, Output("Sideways, each", FORCE, show="kN", decimals=2)]
    pull_each: Annotated[float, Output("Pull, each", FORCE, show="kN", decimals=2)]
    force: Annotated[float, Output("In all", FORCE, show="kN", decimals=2)]


@dataclass(frozen=True, kw_only=True)
class FixingLoad:
    """What each fixing has to hold, what gives way first, and how far it is from it."""

    margin: Annotated[
        float | None,
        Output("Weakest part holds, times the load", RATIO, decimals=1, none=NOT_SHOWN, main=True),
    ]
    verdict: Annotated[str, OutputText("Verdict")]
    weakest: Annotated[str, OutputText("Gives way first")]
    fixings_counted: Annotated[int, Output("Fixings counted, half of them", COUNT, decimals=0)]
    greatest_force: Annotated[float, Output("Greatest load in all", FORCE, show="kN", decimals=2)]
    shear_each: Annotated[float, Output("Of it sideways, on each counted", FORCE, show="kN", decimals=2)]
    pull_each: Annotated[
        float, Output("and pull, on each counted of the lifted row", FORCE, show="kN", decimals=2)
    ]
    stop_distance: Annotated[float, Output("Forward: a stop from 50 km/h within", LENGTH, decimals=2)]
    stop_time: Annotated[float, Output("and in", TIME, show="ms", decimals=0)]
    standing: Annotated[str, OutputText("What this is")]
    directions: Annotated[tuple[Direction, ...], OutputRows("By direction, one at a time")]
    parts: Annotated[tuple[PartStrength, ...], OutputRows("By part")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="What the fixings hold in a crash",
    example={
        "mass": 13.0, "centre_height": 0.061, "fixings_used": 4, "row_spacing": 0.3, "face": "floor",
        "holes": "maker", "drive": "fuel", "anchors": "clear", "sheet": 0.0015, "washer": 0.040,
    },
    sources=("iso-898-1", "en-1993-1-3", "en-1993-1-8", "en-10130", "un-r17", "common-practice"),
    cautions=("S01", "S04", "S05", "S11"),
)  # fmt: skip
def fixing_load(
    *,
    mass: Annotated[
        float,
        Number(
            "It weighs", MASS, 0.1, 200, usual=(0.5, 40), units=("lb",),
            help="By the scales, with all that hangs on it.",
        ),
    ],
    face: Annotated[Literal["well", "floor", "upright", "side"], FACE] = "floor",
    holes: Annotated[Literal["new", "maker"], HOLES] = "new",
    drive: Annotated[Literal["unknown", "electric", "fuel"], DRIVE] = "unknown",
    anchors: Annotated[Literal["unknown", "clear", "shared"], ANCHORS] = "unknown",
    spare_mass: Annotated[
        float | None,
        Number(
            "Spare wheel that it replaces", MASS, 1, 100, usual=(8, 35), units=("lb",), optional=True,
            empty="it replaces none", seldom=True, help="Weighed.",
        ),
    ] = None,
    fixings_used: Annotated[
        float,
        Number(
            "Fixings", COUNT, 3, 24, usual=(3, 12), whole=True,
            help="In two rows. Two alone stand in one line: the thing tips over it.",
        ),
    ] = 4.0,
    row_spacing: Annotated[
        float,
        Number(
            "Rows apart, the shorter way", LENGTH, 0.01, 3, show="cm", usual=(0.05, 1.5), units=("mm", "in")
        ),
    ],
    centre_height: Annotated[
        float,
        Number(
            "Centre of mass over that face", LENGTH, 0, 1.5, show="cm", usual=(0.01, 0.6), units=("mm", "in")
        ),
    ],
    holder: Annotated[Literal["bolt", "insert", "board"], Choice("Held by", HOLDERS)] = "bolt",
    bolt: Annotated[float, Number("Bolts", LENGTH, 0.004, 0.012, options=BOLT_SIZES)] = 0.008,
    bolt_class: Annotated[
        Literal["4.8", "5.8", "8.8", "10.9", "a2-70"],
        Choice("Property class", {**{key: key for key in ("4.8", "5.8", "8.8", "10.9")}, "a2-70": "A2-70"}),
    ] = "8.8",
    washer: Annotated[
        float,
        Number(
            "Washer, plate or nut behind the sheet, across", LENGTH, 0.005, 0.2, show="mm",
            usual=(0.01, 0.08), help="A plate's shorter side.",
        ),
    ] = 0.016,
    sheet: Annotated[
        float,
        Number(
            "Sheet it goes through", LENGTH, 0.0003, 0.01, show="mm", usual=(0.0006, 0.004),
            help="Body sheet 0.7 mm; crossmember or bracket 1.2 to 2.",
        ),
    ] = 0.0007,
    edge: Annotated[
        float,
        Number(
            "Middle of the hole to the sheet's edge", LENGTH, 0.003, 1, show="mm", usual=(0.012, 0.3),
            seldom=True,
        ),
    ] = 0.030,
    sheet_strength: Annotated[
        float,
        Number("Sheet's tensile strength", STRENGTH, 5e7, 2e9, show="MPa", usual=(2e8, 8e8), seldom=True),
    ] = 270e6,
    insert_pull: Annotated[
        float | None, _strength("Insert holds, pulled", "In that sheet, from its data sheet.")
    ] = None,
    insert_shear: Annotated[
        float | None, _strength("Insert holds, sideways", "In that sheet, from its data sheet.")
    ] = None,
    forward: Annotated[
        float,
        _acceleration("Forward", (20, 30), "20 g: common practice, the floor of a crash and not its top."),
    ] = LEAST_FORWARD,
    rearward: Annotated[float, _acceleration("Rearward", (10, 20))] = LEAST_ELSEWHERE,
    sideways: Annotated[float, _acceleration("To each side", (10, 20))] = LEAST_ELSEWHERE,
    upward: Annotated[float, _acceleration("Up", (10, 20))] = LEAST_ELSEWHERE,
    factor: Annotated[
        float, Number("Partial factor on what a part holds", RATIO, 1, 3, usual=(1.25, 2), seldom=True)
    ] = LEAST_FACTOR,
) -> FixingLoad:  # fmt: skip
    """Load on each fixing of a thing, thrown one way at a time, against what bolt, insert and sheet hold.

    Half the fixings are counted, for loads do not share evenly; a load across the bolts also lifts one
    of two rows, and half of that row is counted. Pull and side load use up a part together. The weakest
    part has to hold twice the load, and what has no figure from a data sheet is not shown. 20 g forward
    and 10 g rearward, to each side and up are a habit of the trade (common practice, no source): a floor
    of experience, never a certificate, and nothing under it is called shown. An engineer's figure or a
    local rule stands above it. The bolt's head in the thing's own board or bracket is not in it.
    """
    if holder == "bolt":
        check_metal(bolt, washer, edge)
    number = fixings.counted(int(fixings_used))
    parts = joint_parts(
        holder, fixings.bolt_strength(BOLT_AREAS[bolt], *BOLT_CLASSES[bolt_class], factor),
        fixings.sheet_strength(bolt, washer, sheet, sheet_strength, edge, factor),
        None if insert_pull is None or insert_shear is None
        else Strength(insert_pull / factor, insert_shear / factor),
    )  # fmt: skip
    thrown = {
        "forward": forward,
        "rearward": rearward,
        "left": sideways,
        "right": sideways,
        "up": upward,
    }
    directions = tuple(
        _direction(name, mass * acceleration, int(fixings_used), centre_height / row_spacing, face, parts)
        for name, acceleration in thrown.items()
    )
    worst = min(directions, key=lambda direction: _order(direction.margin))
    greatest = max(directions, key=lambda direction: direction.force)
    distance, time = fixings.stopping(TOWN_SPEED, forward)
    stands = gates(face, holes, drive, anchors, holder, mass, spare_mass)
    elsewhere = {"rearward": rearward, "sideways": sideways, "upward": upward}
    lowered = floor_advice(forward, elsewhere, factor)
    return FixingLoad(
        margin=worst.margin,
        verdict=verdict_on(worst.margin, bool(stands), bool(lowered)),
        weakest=f"{worst.weakest}, thrown {worst.name}" if worst.margin is not None else worst.weakest,
        fixings_counted=number,
        greatest_force=greatest.force,
        shear_each=greatest.shear_each,
        pull_each=greatest.pull_each,
        stop_distance=distance,
        stop_time=time,
        standing=STANDING,
        directions=directions,
        parts=tuple(
            PartStrength(
                name=part.name,
                pull=None if part.strength is None else part.strength.pull,
                shear=None if part.strength is None else part.strength.shear,
                rests_on=part.rests_on,
            )
            for part in parts
        ),
        advice=(
            *stands,
            *lowered,
            *drilling_advice(holes),
            *joint_advice(
                worst.name, worst.weakest, worst.margin, (worst.pull_each, worst.shear_each), parts, mass
            ),
            *(range_advice(bolt, sheet) if holder == "bolt" else ()),
        ),
    )


def _direction(
    name: str, force: float, used: int, lever: float, face: str, parts: tuple[JointPart, ...]
) -> Direction:
    shared = force / fixings.counted(used)
    if name in FACES[face].pulls:
        shear, pull = 0.0, shared
    else:
        shear, pull = shared, fixings.overturning_pull(force, lever, 1.0, fixings.counted_in_row(used))
    margins = [part.margin(pull, shear) for part in parts]
    weakest = min(range(len(parts)), key=lambda place: _order(margins[place]))
    return Direction(
        name=name,
        force=force,
        shear_each=shear,
        pull_each=pull,
        weakest=parts[weakest].name,
        margin=margins[weakest],
    )


def _order(margin: float | None) -> float:
    """For finding the worst: what is not shown comes before everything."""
    return -1.0 if margin is None else margin
