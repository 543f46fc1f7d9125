"""What a vehicle carries, by mass and place: parts of the job, people and loads."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Choice, Number, Text
from calculators.declaring.quantities import LENGTH, MASS
from calculators.vocabulary.treatment import DOORS

PARTS_GO = {
    **DOORS,
    "tailgate": "tailgate",
    "cabin": "cabin",
    "load-bay": "load bay or well",
    "front": "front",
}


@dataclass(frozen=True)
class Part:
    """Something that is put in, or taken out."""

    name: Annotated[str, Text("Part", 24)] = "Part"
    place: Annotated[str, Choice("Where", PARTS_GO)] = "load-bay"
    mass: Annotated[
        float,
        Number("Mass", MASS, -200, 500, usual=(-25, 40), units=("lb",), help="Taken out: with a minus."),
    ] = 1.0
    station: Annotated[
        float,
        Number(
            "Behind the front axle", LENGTH, -2, 8, usual=(-0.8, 4), units=("cm",), help="In front: minus."
        ),
    ] = 0.0


@dataclass(frozen=True)
class Carried:
    """A person or a load that travels with it."""

    name: Annotated[str, Text("Who or what", 24)] = "Passenger"
    weight: Annotated[float, Number("Mass", MASS, 0, 1000, usual=(5, 300), units=("lb",))] = 75.0
    station: Annotated[
        float, Number("Behind the front axle", LENGTH, -2, 8, usual=(-0.8, 4), units=("cm",))
    ] = 1.4
