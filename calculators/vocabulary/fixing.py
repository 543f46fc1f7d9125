"""What a thing is fixed to, and what its place forbids."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from calculators.declaring import Advice, Choice, InputError
from calculators.declaring.numerals import figures
from calculators.physics.fixings import GRAVITY, Strength

LEAST_MARGIN = 2.0
"""Times the load that the weakest part has to hold."""
LEAST_FORWARD, LEAST_ELSEWHERE = 196.133, 98.0665
"""20 and 10 g, m/s²: under these nothing is called shown."""
LEAST_FACTOR = 1.25
"""Partial factor under which nothing is called shown."""
BEARING_SHEET = (0.00075, 0.003)
"""Sheet, m, that the form for bearing is made for (EN 1993-1-3, table 8.4, from memory)."""
BEARING_BOLT = 0.006
"""Thinnest bolt, m, that it is made for."""
LEAST_ACROSS = 1.5
"""Washer or nut, and middle of the hole to the edge, in diameters of the bolt: the least there can be."""
STANDING = "A floor of experience, no certificate: an engineer, the inspection or the insurer decides."


@dataclass(frozen=True)
class Face:
    """A place that things are fixed to: its name, and the directions that pull straight off it."""

    label: str
    pulls: tuple[str, ...]
    is_floor: bool = False


FACES: Mapping[str, Face] = {
    "well": Face("spare-wheel well", ("up",), is_floor=True),
    "floor": Face("floor, load floor, sill or tunnel", ("up",), is_floor=True),
    "upright": Face("upright, across the vehicle: crossmember, seat back's wall", ("forward", "rearward")),
    "side": Face("upright, along the vehicle: side of the load bay", ("left", "right")),
}
FACE = Choice("Fixed to", {key: face.label for key, face in FACES.items()})

HOLES = Choice(
    "Its holes",
    {"new": "new ones", "maker": "threads and holes that the maker put there"},
    help="In a spare-wheel well: the spare's own thread, by the maker's information.",
)
DRIVE = Choice(
    "Vehicle",
    {
        "unknown": "not found out yet",
        "electric": "electric, hybrid or plug-in",
        "fuel": "combustion engine alone",
    },
)
ANCHORS = Choice(
    "Belts, seats, child-seat bars and tethers",
    {
        "unknown": "not tried yet",
        "clear": "share nothing with it; straps reach, tried with a child seat",
        "shared": "share a bolt, hole or plate with it, or a strap's path is blocked",
    },
)
HOLDERS = {
    "bolt": "bolts; washer, plate or nut behind the sheet",
    "insert": "rivet nuts or inserts, by their data sheet",
    "board": "screws into board, glue or hook-and-loop alone",
}
FREE_OF_FIXING = 1.0
"""Mass, kg, over which nothing is held by screws into board, glue or hook-and-loop alone."""


def gates(
    face: str, holes: str, drive: str, anchors: str, holder: str, mass: float, spare_mass: float | None
) -> list[Advice]:
    """What is forbidden before any figure counts: each a danger."""
    said = []
    if anchors == "shared":
        text = (
            "Not like this: nothing shares a bolt, hole or plate with a belt, seat, buckle, child-seat bar "
            "or top tether, and every strap reaches its anchor over box and floor."
        )
        said.append(("anchors", text))
    if anchors == "unknown":
        text = (
            "Find the belt bolts, child-seat bars and tether anchors first, and try the straps with a real "
            "child seat: their paths stay free, and nothing shares their bolts."
        )
        said.append(("anchors", text))
    if FACES[face].is_floor and holes == "new" and drive != "fuel":
        known = "" if drive == "electric" else "Not known counts as electric. "
        text = (
            f"{known}Electric, hybrid or plug-in vehicle: no hole, rivet or self-tapping screw in floor, "
            "sill, tunnel or well, whatever the distance. The battery or its cables are on the other side. "
            "Only threads and holes that the maker put there."
        )
        said.append(("drive", text))
    if not FACES[face].is_floor and holes == "new" and drive != "fuel":
        known = "" if drive == "electric" else "Not known counts as electric. "
        text = (
            f"{known}Electric, hybrid or plug-in vehicle: no new hole here either. Orange cables run behind "
            "side trims and along crossmembers: only threads and holes that the maker put there."
        )
        said.append(("drive", text))
    if face == "well" and holes == "new":
        text = (
            "The well lies in the rear crush zone, beside silencer, tank, tow bar and pipes: no hole through "
            "it unless the maker's information shows the place. First choice: the spare's own thread, with "
            "the box no heavier than the wheel it replaces."
        )
        said.append(("holes", text))
    if holder == "board" and mass > FREE_OF_FIXING:
        text = "Over 1 kg nothing is held by screws into board, glue or hook-and-loop alone: to structure."
        said.append(("holder", text))
    if face == "well" and spare_mass is not None and mass > spare_mass:
        text = (
            f"Heavier than the wheel it replaces, {spare_mass:.1f} kg, which is what that thread and that "
            "floor were made for: a lighter box."
        )
        said.append(("mass", text))
    return [Advice(about, text, danger=True) for about, text in said]


def drilling_advice(holes: str) -> list[Advice]:
    """What a new hole asks for where none is forbidden."""
    if holes != "new":
        return []
    text = (
        "See the other side of every new hole with your own eyes or a borescope, or do not drill: tank, "
        "pipes, looms, airbags and belts stay 100 mm away."
    )
    return [Advice("holes", text)]


def floor_advice(forward: float, elsewhere: Mapping[str, float], factor: float) -> list[Advice]:
    """The floor of experience is not lowered: accelerations, m/s², by field, and the partial factor."""
    least = [("forward", forward, LEAST_FORWARD)]
    least += [(field, value, LEAST_ELSEWHERE) for field, value in elsewhere.items()]
    said = [
        (field, f"Under {lowest / GRAVITY:.0f} g nothing is called shown here.")
        for field, value, lowest in least
        if value < lowest * (1 - 1e-9)
    ]
    if factor < LEAST_FACTOR - 1e-9:
        said.append(("factor", f"Under a partial factor of {LEAST_FACTOR} nothing is called shown here."))
    return [Advice(field, f"{text} Who allows less signs for it.", danger=True) for field, text in said]


def range_advice(bolt: float, sheet: float) -> list[Advice]:
    """Where the form for bearing leaves its range; bolt and sheet in m."""
    thinnest, thickest = BEARING_SHEET
    if bolt >= BEARING_BOLT - 1e-9 and thinnest - 1e-9 <= sheet <= thickest + 1e-9:
        return []
    text = (
        "The form for a sheet's bearing is made for 0.75 to 3 mm and bolts from M6: outside that it is an "
        "estimate and no more."
    )
    return [Advice("sheet", text)]


def check_metal(bolt: float, washer: float, edge: float) -> None:
    """Refuse a joint that has no metal round its bolt."""
    least = LEAST_ACROSS * bolt
    if washer < least - 1e-9:
        raise InputError(
            "washer",
            f"No washer or nut of this bolt is narrower than {1e3 * least:.1f} mm: measure what bears on the "
            "sheet.",
        )
    if edge < least - 1e-9:
        raise InputError(
            "edge",
            f"Under {1e3 * least:.1f} mm, 1.5 times the bolt, there is no metal to hold it: move the hole.",
        )


@dataclass(frozen=True)
class JointPart:
    """A part of the joint; without a strength nobody has shown one."""

    name: str
    strength: Strength | None
    rests_on: str

    def margin(self, pull: float, shear: float) -> float | None:
        """Times these loads, N and above 0 together, that it holds; None where that is not shown."""
        return None if self.strength is None else 1 / self.strength.used(pull, shear)


def joint_parts(
    holder: str, bolt: Strength, sheet: Strength, insert: Strength | None
) -> tuple[JointPart, ...]:
    """The parts that a load runs through, by how the thing is held."""
    if holder == "board":
        return (JointPart("screws, glue or hook-and-loop", None, "nothing: no figure for a crash"),)
    bolts = JointPart("bolt", bolt, "EN 1993-1-8")
    if holder == "insert":
        rests_on = "its data sheet" if insert else "nothing: get its data sheet"
        return bolts, JointPart("rivet nut or insert", insert, rests_on)
    return bolts, JointPart("sheet", sheet, "EN 1993-1-3, an estimate")


def verdict_on(margin: float | None, forbidden: bool, lowered: bool) -> str:
    """What may be said of a joint: shown, or not shown; what is forbidden comes first."""
    if forbidden:
        return "not like this: the danger comes before any figure"
    if margin is None:
        return "not shown: a part has no figure from a data sheet"
    if margin < LEAST_MARGIN - 1e-9:
        return f"not shown: under {LEAST_MARGIN:.0f} times the load"
    if lowered:
        return "not shown: under the floor of 20 g forward, 10 g each other way, partial factor 1.25"
    return f"shown: {LEAST_MARGIN:.0f} times the load or more, each way"


STRONGER = {"bolt": "larger bolts or a higher class", "sheet": "thicker steel"}
"""What makes each part stronger, by its name."""


def _lighter(mass: float) -> str:
    """A mass, kg, in two figures and never more."""
    step = 10.0 ** (math.floor(math.log10(mass)) - 1)
    return figures(math.floor(mass / step * (1 + 1e-9)) * step, 2)


def joint_advice(
    thrown: str,
    weakest: str,
    margin: float | None,
    loads: tuple[float, float],
    parts: tuple[JointPart, ...],
    mass: float,
) -> list[Advice]:
    """What to do about the worst direction; ``loads`` are pull and shear, N, on each counted fixing.

    The load goes with the ``mass``, kg, so half the margin is half of what it may weigh.
    """
    strength = next(part.strength for part in parts if part.name == weakest)
    if margin is None or strength is None:
        text = (
            f"Not shown: what {weakest} holds in a crash has no figure. Get the data sheet, for this sheet, "
            "or bolt through with a plate."
        )
        return [Advice("margin", text, danger=True)]
    if margin >= LEAST_MARGIN - 1e-9:
        return []
    holds = f"{math.floor(100 * margin) / 100:.2f}"  # Never shown as the 2 that it lacks.
    text = (
        f"Not shown: thrown {thrown}, the {weakest} holds {holds} times the load, and {LEAST_MARGIN:.0f} is "
        f"the least. More fixings, {STRONGER.get(weakest, 'stronger ones')}, or less mass: "
        f"{_lighter(mass * margin / LEAST_MARGIN)} kg at most."
    )
    said = [Advice("margin", text, danger=True)]
    pull, shear = loads
    if weakest == "sheet" and shear / strength.shear > pull / strength.pull:
        text = (
            "The hole tears sideways before the washer pulls through: a larger plate helps little. A bracket "
            "or crossmember of thicker steel does."
        )
        said.append(Advice("sheet", text))
    return said
