"""What a treatment puts into each door, and whether that door may be touched."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Output, OutputText
from calculators.declaring.quantities import MASS
from calculators.vocabulary.treatment import CLOSED, DOORS, SENSORS, Door, sensor_of


@dataclass(frozen=True, kw_only=True)
class DoorMass:
    """What one door carries, and whether it may be touched."""

    name: Annotated[str, OutputText("Door")]
    sensor: Annotated[str, OutputText("Side-impact sensor")]
    mass: Annotated[float, Output("Added", MASS, decimals=2)]
    verdict: Annotated[str, OutputText("Verdict")]


def door_mass(place: str, known: Mapping[str, Door], mass: float, door_limit: float) -> DoorMass:
    """A door with that much in it, kg, against the most for one door, kg, and its sensor."""
    sensor = sensor_of(place, known)
    verdict = "over its limit" if mass > door_limit else "may be treated"
    if sensor in CLOSED:
        verdict = "stays as it is: neither sealed nor opened"
    return DoorMass(name=DOORS[place], sensor=SENSORS[sensor], mass=mass, verdict=verdict)
