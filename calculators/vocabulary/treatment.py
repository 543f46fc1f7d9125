"""Treated panels: where they are, what lies on them, and the gate: which door may be touched at all."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, fsum, sqrt
from typing import Annotated

from calculators.declaring import Advice, Choice, InputError, Number, Text
from calculators.declaring.quantities import AREA, LENGTH, MASS, MONEY, RATIO, SURFACE_MASS, WORK_RATE
from calculators.vocabulary.sheet_cutting import MOST_PIECES, CutSheets, TooManyPiecesError, cut_sheets

DOORS = {
    "left-front-door": "left front door",
    "right-front-door": "right front door",
    "left-rear-door": "left rear door",
    "right-rear-door": "right rear door",
}
FLOORS = {"floor": "floor", "load-floor": "load floor and well"}
PLACES = {
    **DOORS,
    **FLOORS,
    "tailgate": "tailgate",
    "arches": "wheel arches",
    "bulkhead": "bulkhead",
    "roof": "roof",
}

DOOR_LIMIT, TAILGATE_LIMIT = 5.0, 1.0
"""Added to a door and to a tailgate, kg, without a second look. Common practice, no source."""

SENSORS = {
    "unknown": "not found out yet",
    "pressure": "pressure: it feels the air in the door",
    "acceleration": "acceleration, by the maker's information",
    "none": "none there, by the maker's information",
}
CLOSED = {"unknown", "pressure"}
"""Sensors whose door is neither sealed nor opened."""

SENSOR = Choice(
    "Side-impact sensor",
    SENSORS,
    help="From the maker's information, before the membrane is touched. Not known counts as pressure.",
)

LEAVE_ALONE = (
    "No plates, no sealing, nothing stuck inside it, no new opening of its inner skin; speaker opening, "
    "adaptor depth and cavity stay as the maker made them; the maker's membrane, or a new one, fitted as the "
    "maker says."
)


@dataclass(frozen=True)
class Layer:
    """What a layer is: its name, the goods it is cut from, and whether it lies in a door's cavity."""

    label: str
    goods: str
    inside: bool = True


LAYERS = {
    "damping": Layer("damping sheet", "butyl"),
    "bitumen": Layer("bitumen sheet", "bitumen"),
    "plates": Layer("plates over holes", "plate"),
    "sealing": Layer("damping sheet that seals the inner skin", "butyl"),
    "absorber": Layer("absorber behind the driver", "absorber"),
    "decoupler": Layer("foam or felt under a barrier", "foam"),
    "barrier": Layer("barrier", "barrier"),
    "card": Layer("fleece and foam on the card", "fleece", inside=False),
}
DAMPS = {"damping", "bitumen"}


@dataclass(frozen=True)
class Goods:
    """Something that is bought in sheets: its name, usual hours for each square metre, and if it burns.

    The hours are common practice, no source.
    """

    label: str
    work_rate: float
    burns: bool = True


GOODS = {
    "butyl": Goods("foil-backed butyl", 0.8),
    "bitumen": Goods("bitumen", 0.7),
    "plate": Goods("plate", 4.0, burns=False),
    "absorber": Goods("absorber", 1.0),
    "foam": Goods("foam or felt", 0.3),
    "barrier": Goods("barrier", 0.4),
    "fleece": Goods("fleece", 2.0),
}


@dataclass(frozen=True)
class Patch:
    """One layer on one panel."""

    place: Annotated[str, Choice("Where", PLACES)]
    layer: Annotated[str, Choice("Layer", {key: layer.label for key, layer in LAYERS.items()})]
    name: Annotated[str, Text("Panel", 24)] = "Panel"
    width: Annotated[
        float | None,
        Number("Width", LENGTH, 0.02, 4, show="cm", usual=(0.1, 2), optional=True, empty="by area"),
    ] = None
    height: Annotated[
        float | None,
        Number("Height", LENGTH, 0.02, 4, show="cm", usual=(0.1, 2), optional=True, empty="by area"),
    ] = None
    area: Annotated[
        float | None,
        Number("Or its area", AREA, 0.001, 10, usual=(0.01, 3), optional=True, empty="width × height"),
    ] = None
    coverage: Annotated[
        float,
        Number("Covered", RATIO, 0.05, 1, show="%", usual=(0.2, 1), help="Damping: 25 to 50 % is plenty."),
    ] = 1.0


@dataclass(frozen=True)
class BoughtSheet:
    """Sheets of one kind of goods, as bought."""

    goods: Annotated[str, Choice("Goods", {key: goods.label for key, goods in GOODS.items()})]
    sheet_width: Annotated[float, Number("Sheet, width", LENGTH, 0.1, 3, show="cm", usual=(0.2, 1.5))]
    sheet_height: Annotated[float, Number("Sheet, height", LENGTH, 0.1, 10, show="cm", usual=(0.2, 3))]
    surface_mass: Annotated[
        float,
        Number(
            "Mass per area", SURFACE_MASS, 0.02, 20, usual=(0.1, 8), help="Weigh a sheet: labels flatter."
        ),
    ]
    fire: Annotated[
        str,
        Choice(
            "Burning rate, ISO 3795",
            {"not-shown": "not on a data sheet", "shown": "100 mm/min or less on its data sheet"},
        ),
    ] = "not-shown"
    price: Annotated[
        float | None,
        Number("Price of a sheet", MONEY, 0, 100e3, usual=(0.1, 500), optional=True, empty="not typed"),
    ] = None
    work_rate: Annotated[
        float | None,
        Number("Hours to lay", WORK_RATE, 0, 40, usual=(0.1, 8), optional=True, empty="usual for it"),
    ] = None


@dataclass(frozen=True)
class Door:
    """What is known of one door before it is opened."""

    place: Annotated[str, Choice("Door", DOORS)]
    sensor: Annotated[str, SENSOR] = "unknown"
    membrane: Annotated[
        str,
        Choice("Membrane", {"whole": "whole", "torn": "torn, cut, holed, or its glue line lost"}),
    ] = "whole"
    other_mass: Annotated[
        float,
        Number("Driver and adaptor, more than the old ones", MASS, 0, 20, usual=(0, 3), help="Both weighed."),
    ] = 0.0


def treated_area(patch: Patch, number: int) -> float:
    """Square metres of a patch that are covered; ``number`` is its row in the plan.

    Raises InputError at that row where neither area nor both sides are typed, or all of them.
    """
    if patch.area is not None:
        if patch.width is not None or patch.height is not None:
            raise InputError(f"panels[{number}].area", "Type the area, or width and height, not both.")
        return patch.area * patch.coverage
    if patch.width is None or patch.height is None:
        missing = "height" if patch.width is not None else "width"
        raise InputError(f"panels[{number}].{missing}", "Type width and height, or the area.")
    return patch.width * patch.height * patch.coverage


def doors_by_place(doors: Sequence[Door]) -> dict[str, Door]:
    """The doors by where they are; raises InputError for one that is listed twice."""
    found: dict[str, Door] = {}
    for number, door in enumerate(doors):
        if door.place in found:
            raise InputError(f"doors[{number}].place", f"The {DOORS[door.place]} is listed twice.")
        found[door.place] = door
    return found


def materials_by_goods(materials: Sequence[BoughtSheet]) -> dict[str, BoughtSheet]:
    """The sheets by their goods; raises InputError for goods that are listed twice."""
    found: dict[str, BoughtSheet] = {}
    for number, material in enumerate(materials):
        if material.goods in found:
            raise InputError(
                f"materials[{number}].goods",
                f"Sheets of {GOODS[material.goods].label} are listed twice: one kind of sheet for each plan.",
            )
        found[material.goods] = material
    return found


def why_left_out(patch: Patch, doors: Mapping[str, Door]) -> str:
    """Why a layer may not go where it was planned, or nothing where it may.

    A door that is not listed has a sensor that nobody has found out yet.
    """
    if patch.place in DOORS and LAYERS[patch.layer].inside and sensor_of(patch.place, doors) in CLOSED:
        return "left out: this door stays as it is"
    if patch.layer == "bitumen" and patch.place not in FLOORS:
        return "left out: bitumen lies on floors only"
    return ""


def card_alone(patch: Patch, doors: Mapping[str, Door]) -> bool:
    """Whether a layer lies on the card of a door that stays as it is: then fleece there is all."""
    return patch.layer == "card" and patch.place in DOORS and sensor_of(patch.place, doors) in CLOSED


def sensor_of(place: str, doors: Mapping[str, Door]) -> str:
    """The side-impact sensor of a door: unknown, where the door is not listed."""
    return doors[place].sensor if place in doors else "unknown"


def cut_from(
    sheet: BoughtSheet, panels: Sequence[Patch], kept: Sequence[int]
) -> tuple[tuple[int, Patch], ...]:
    """The patches that are cut from one kind of sheet, with their rows; ``kept``: rows that may be laid."""
    return tuple(
        (number, panels[number]) for number in kept if LAYERS[panels[number].layer].goods == sheet.goods
    )


def sheets_cut(sheet: BoughtSheet, panels: Sequence[Patch], kept: Sequence[int]) -> CutSheets:
    """The cutting plan of one kind of sheet: each patch in its panel's shape, or in strips of a sheet.

    Raises InputError where that falls into more pieces than anybody cuts.
    """
    patches = []
    for number, patch in cut_from(sheet, panels, kept):
        if patch.width is not None and patch.height is not None:
            side = sqrt(patch.coverage)
            patches.append((number, patch.width * side, patch.height * side))
        else:
            patches.append((number, sheet.sheet_width, treated_area(patch, number) / sheet.sheet_width))
    label = GOODS[sheet.goods].label
    try:
        return cut_sheets(label.capitalize(), sheet.sheet_width, sheet.sheet_height, patches)
    except TooManyPiecesError:
        message = f"Over {MOST_PIECES} pieces of {label}: check the sheet's size and unit."
        raise InputError("materials", message) from None


def treated_from(sheet: BoughtSheet, panels: Sequence[Patch], kept: Sequence[int]) -> float:
    """Square metres that are laid from one kind of sheet; ``kept``: rows that may be laid."""
    return fsum(treated_area(patch, number) for number, patch in cut_from(sheet, panels, kept))


def sheets_needed(sheet: BoughtSheet, plan: CutSheets, treated: float, waste: float) -> int:
    """Sheets of a plan, or as many as the square metres fill with a share to spare (``waste``)."""
    return max(plan.count, ceil(treated * (1 + waste) / (sheet.sheet_width * sheet.sheet_height) - 1e-9))


def sheets_for_doors(
    sheet: BoughtSheet, count: int, panels: Sequence[Patch], kept: Sequence[int], waste: float
) -> int:
    """Sheets, of as many as there are (``count``), that the doors take if nothing else is cut from them."""
    rows = [number for number, _ in cut_from(sheet, panels, kept)]
    doors = [number for number in rows if panels[number].place in DOORS]
    if doors == rows:
        return count
    plan = sheets_cut(sheet, panels, doors)
    return min(count, sheets_needed(sheet, plan, treated_from(sheet, panels, doors), waste))


def laying_hours(
    panels: Sequence[Patch], kept: Sequence[int], sheets: Mapping[str, BoughtSheet], preparation: float
) -> float:
    """Hours to clean every place that gets something (``preparation`` each), and to lay it.

    ``kept``: rows of the panels that may be laid.
    """
    places = {panels[number].place for number in kept}
    hours = [preparation] * len(places)
    for number in kept:
        sheet = sheets[LAYERS[panels[number].layer].goods]
        rate = GOODS[sheet.goods].work_rate if sheet.work_rate is None else sheet.work_rate
        hours.append(treated_area(panels[number], number) * rate)
    return fsum(hours)


def gate(place: str, sensor: str) -> Advice:
    """The danger that stands before everything else in a plan for a door that must stay as it is."""
    return Advice("doors", left_alone(DOORS[place].capitalize(), sensor), danger=True)


def left_alone(door: str, sensor: str) -> str:
    """Why a door with one of the `CLOSED` sensors stays as it is, and what that forbids."""
    if sensor == "pressure":
        return (
            f"{door}: its side-impact sensor feels the air in the door. {LEAVE_ALONE} If that rules the job "
            "out, say so in the quote."
        )
    return (
        f"{door}: which side-impact sensor it has is not known. Find out from the maker's information "
        f"before its membrane is touched. Until then it counts as a pressure sensor. {LEAVE_ALONE}"
    )
