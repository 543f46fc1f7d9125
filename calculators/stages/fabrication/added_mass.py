"""What a job adds to a vehicle's mass: payload left, axles, doors."""

from dataclasses import dataclass
from math import fsum
from typing import Annotated, Literal

from calculators.declaring import (
    Advice,
    Choice,
    Number,
    Output,
    OutputRows,
    OutputText,
    Rows,
    calculator,
)
from calculators.declaring.quantities import LENGTH, MASS
from calculators.physics.axles import axle_changes
from calculators.vocabulary.carried_parts import Carried, Part
from calculators.vocabulary.fixing import FREE_OF_FIXING
from calculators.vocabulary.treatment import DOOR_LIMIT, DOORS, TAILGATE_LIMIT

DRIVER = 75.0
"""The driver, kg, that European papers count into the vehicle (Regulation (EU) 2021/535, from memory)."""
FAR_BACK = ("load-bay", "tailgate")
"""What lies behind the middle of the wheelbase."""
LEAST_FRONT = 0.25
"""Share of the whole mass below which the front axle steers and brakes too little: common practice."""


@dataclass(frozen=True, kw_only=True)
class PartLine:
    """One part, and what it does to the axles."""

    name: Annotated[str, OutputText("Part")]
    mass: Annotated[float, Output("Mass", MASS, decimals=2)]
    front_change: Annotated[float, Output("Front axle", MASS, decimals=1)]
    rear_change: Annotated[float, Output("Rear axle", MASS, decimals=1)]


@dataclass(frozen=True, kw_only=True)
class DoorLine:
    """What one door or the tailgate carries more."""

    name: Annotated[str, OutputText("Door")]
    mass: Annotated[float, Output("Added", MASS, decimals=2)]
    verdict: Annotated[str, OutputText("Verdict")]


@dataclass(frozen=True, kw_only=True)
class AddedMass:
    """What is left of payload and axles."""

    payload_left: Annotated[float, Output("Payload left", MASS, decimals=0, main=True)]
    verdict: Annotated[str, OutputText("Verdict")]
    added: Annotated[float, Output("Added by the job", MASS, decimals=1)]
    carried_mass: Annotated[float, Output("People and loads, driver not counted", MASS, decimals=0)]
    driver_counted: Annotated[float, Output("Driver counted with them", MASS, decimals=0)]
    front_change: Annotated[float, Output("Job, front axle", MASS, decimals=1)]
    rear_change: Annotated[float, Output("Job, rear axle", MASS, decimals=1)]
    front_left: Annotated[
        float | None, Output("Left under the front axle's plate", MASS, decimals=0, none="not weighed")
    ]
    rear_left: Annotated[
        float | None, Output("Left under the rear axle's plate", MASS, decimals=0, none="not weighed")
    ]
    to_hold: Annotated[str, OutputText("Over 1 kg, each held by a drawn load path")]
    parts: Annotated[tuple[PartLine, ...], OutputRows("By part")]
    doors: Annotated[tuple[DoorLine, ...], OutputRows("By door")]
    advice: tuple[Advice, ...] = ()


def _axle(label: str, help: str = "") -> Number:
    return Number(
        label, MASS, 50, 20000, usual=(400, 4000), units=("lb",), optional=True, empty="not weighed",
        help=help,
    )  # fmt: skip


@calculator(
    title="Mass added, payload and axles",
    example={
        "job": [
            {"name": "Box and driver", "place": "load-bay", "mass": 13.0, "station": 3.15},
            {"name": "Amplifier", "place": "load-bay", "mass": 3.2, "station": 2.9},
            {"name": "Left door", "place": "left-front-door", "mass": 4.0, "station": 1.0},
        ],
        "travels": [{"name": "Partner", "weight": 75.0, "station": 1.4}],
        "payload": 520.0,
        "wheelbase": 2.7,
    },
    sources=("eu-2021-535", "arithmetic", "common-practice"),
    cautions=("S11", "S18"),
)
def added_mass(
    *,
    job: Annotated[
        tuple[Part, ...],
        Rows("Put in, taken out", "part", at_most=24, help="By the scales, not by the label."),
    ],
    travels: Annotated[
        tuple[Carried, ...],
        Rows(
            "People and loads, without the driver", "line", at_least=0, at_most=12,
            help="The heaviest usual day.",
        ),
    ] = (),
    payload: Annotated[
        float, Number("Payload by the papers or the plate", MASS, 1, 20000, usual=(200, 1500), units=("lb",))
    ],
    payload_counts: Annotated[
        Literal["papers", "plate"],
        Choice(
            "That figure",
            {"papers": "European papers: a driver of 75 kg is in it already",
             "plate": "a placard of people and load: the driver is one of them"},
        ),
    ] = "papers",
    wheelbase: Annotated[float, Number("Wheelbase", LENGTH, 1, 8, usual=(2.2, 4.5), units=("cm", "in"))],
    front_axle: Annotated[
        float | None, _axle("Front axle as weighed, driver in", "Before the job, tank full, nothing else.")
    ] = None,
    front_plate: Annotated[float | None, _axle("Front axle's plate")] = None,
    rear_axle: Annotated[float | None, _axle("Rear axle as weighed, driver in")] = None,
    rear_plate: Annotated[float | None, _axle("Rear axle's plate")] = None,
    door_limit: Annotated[
        float, Number("Most for one door", MASS, 0.5, 30, usual=(2, 8), seldom=True)
    ] = DOOR_LIMIT,
) -> AddedMass:  # fmt: skip
    """What a job leaves of the payload, and what it does to each axle and each door.

    The useful figure is what is left with the customer's own people and loads, and each axle stays under
    its plate: a mass behind the rear axle loads it with more than its own weight and lifts the front.
    European papers count a driver of 75 kg into the vehicle; a placard counts everybody. 5 kg for a door and
    1 kg for the tailgate, then hinge, strap and struts: common practice, no source.
    """
    changes = [axle_changes(part.mass, part.station, wheelbase) for part in job]
    loads = [axle_changes(line.weight, line.station, wheelbase) for line in travels]
    added = fsum(part.mass for part in job)
    carried = fsum(line.weight for line in travels)
    driver = DRIVER if payload_counts == "plate" else 0.0
    front, rear = (fsum(change[axle] for change in changes) for axle in (0, 1))
    front_load, rear_load = (fsum(change[axle] for change in loads) for axle in (0, 1))
    left = payload - added - carried - driver
    front_left = _left(front_plate, front_axle, front + front_load)
    rear_left = _left(rear_plate, rear_axle, rear + rear_load)
    on_front, on_rear = _load(front_axle, front + front_load), _load(rear_axle, rear + rear_load)
    light = _light(on_front, on_rear)
    misplaced = tuple(part.name for part in job if part.place in FAR_BACK and part.station < wheelbase / 2)
    doors = _doors(job, door_limit)
    return AddedMass(
        payload_left=left,
        verdict=_verdict(left, front_left, rear_left, light=light, misplaced=misplaced),
        added=added,
        carried_mass=carried,
        driver_counted=driver,
        front_change=front,
        rear_change=rear,
        front_left=front_left,
        rear_left=rear_left,
        to_hold=", ".join(part.name for part in job if part.mass > FREE_OF_FIXING) or "none",
        parts=tuple(
            PartLine(
                name=part.name,
                mass=part.mass,
                front_change=change[0],
                rear_change=change[1],
            )
            for part, change in zip(job, changes, strict=True)
        ),
        doors=doors,
        advice=(
            *_limits(left, front_left, rear_left),
            *_places(on_front, light, misplaced),
            *_advice(doors, front, rear_left is None),
        ),
    )


def _left(plate: float | None, weighed: float | None, more: float) -> float | None:
    return None if plate is None or weighed is None else plate - weighed - more


def _load(weighed: float | None, more: float) -> float | None:
    return None if weighed is None else weighed + more


def _light(front: float | None, rear: float | None) -> bool:
    """Whether the front axle carries too little to steer and brake."""
    if front is None:
        return False
    return front <= 0 or (rear is not None and front < LEAST_FRONT * (front + rear))


def _verdict(left: float, *axles: float | None, light: bool, misplaced: tuple[str, ...]) -> str:
    if left < 0:
        return "over its payload"
    if any(axle is not None and axle < 0 for axle in axles):
        return "over an axle's plate"
    if light:
        return "front axle too light: not driven like this"
    if misplaced:
        return "not shown: measure where each part lies"
    if None in axles:
        return "payload kept; weigh the axles before you accept"
    return "payload and axles kept"


def _doors(job: tuple[Part, ...], door_limit: float) -> tuple[DoorLine, ...]:
    lines = []
    for place, name in {**DOORS, "tailgate": "tailgate"}.items():
        parts = [part.mass for part in job if part.place == place]
        if parts:
            mass, most = fsum(parts), TAILGATE_LIMIT if place == "tailgate" else door_limit
            over = (
                "try it on its struts on a cold day" if place == "tailgate" else "over: hinge and strap first"
            )
            lines.append(
                DoorLine(name=name, mass=mass, verdict=over if mass > most + 1e-9 else "within its limit")
            )
    return tuple(lines)


def _limits(left: float, front: float | None, rear: float | None) -> list[Advice]:
    said = []
    if left < 0:
        text = (
            f"Over the payload by {-left:.0f} kg with these people and loads: less goes in, or less travels, "
            "in writing. It is not driven like this."
        )
        said.append(Advice("payload_left", text, danger=True))
    for about, name, spare in (("front_left", "front", front), ("rear_left", "rear", rear)):
        if spare is not None and spare < 0:
            text = f"The {name} axle would be {-spare:.0f} kg over its plate: move the mass, or leave it out."
            said.append(Advice(about, text, danger=True))
    return said


def _places(front: float | None, light: bool, misplaced: tuple[str, ...]) -> list[Advice]:
    said = []
    if light and front is not None:
        tells = "would leave the road" if front <= 0 else f"would carry {front:.0f} kg, under a quarter"
        text = f"The front axle {tells}: no steering, no brakes. It is not driven like this: move the mass."
        said.append(Advice("front_change", text, danger=True))
    if misplaced:
        text = (
            f"In load bay or tailgate, yet in front of the wheelbase's middle? {', '.join(misplaced)}: "
            "measure how far behind the front axle it lies."
        )
        said.append(Advice("job", text, danger=True))
    return said


def _advice(doors: tuple[DoorLine, ...], front: float, unweighed: bool) -> list[Advice]:
    said = []
    if unweighed:
        text = (
            "Weigh both axles, or get a weighbridge ticket: each stays under its plate with the usual load."
        )
        said.append(Advice("rear_left", text))
    if front < 0:
        text = f"The front axle gets {-front:.1f} kg lighter: aim the headlamps again."
        said.append(Advice("front_change", text))
    over = [line for line in doors if line.verdict != "within its limit"]
    for line in over:
        text = f"{line.name.capitalize()}, {line.mass:.1f} kg: {line.verdict}."
        said.append(Advice("doors", text))
    return said
