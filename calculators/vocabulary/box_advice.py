"""What a box to build asks of the builder: its place, its board, its edges, its weight."""

from collections.abc import Sequence

from calculators.declaring import Advice
from calculators.physics.plates import thinnest_sold
from calculators.vocabulary.enclosures import BOARDS, Part

HEAVY, HELD_FAR = 20.0, 10.0
"""Masses in kg from which two people lift: held close, and at arm's length. Common practice, no source."""
SAW_TILT = 45.0
LEAST_PLANED = 5e-4


def box_advice(
    shape: str,
    board: str,
    panel: float,
    measured: float | None,
    mass: float,
    parts: Sequence[Part],
    over: float,
) -> tuple[Advice, ...]:
    """What to look at before the saw runs; a danger for a box in the spare-wheel well.

    over: m by which a round box's rings stand over its height.
    """
    found = []
    if shape == "well":
        message = (
            "The well lies in the rear crush zone, over hot and soft parts: no hole through its floor, "
            "unless the maker's information shows the place. Box no heavier than the wheel it replaces: "
            "weigh both."
        )
        found.append(Advice("shape", message, danger=True))
    if measured is None and BOARDS[board].wood:
        message = (
            "Measure the board by calliper: all inside sizes hang on it, and boards differ from their name."
        )
        found.append(Advice("measured_thickness", message))
    elif measured is not None and board == "birch-ply" and not _usual_ply(panel, measured):
        message = (
            "That is outside what sanded plywood of this name may be (EN 315): is it the board on the bill?"
        )
        found.append(Advice("measured_thickness", message))
    if board in {"mdf", "chipboard"}:
        message = "Raw board drinks water: seal every edge, and use none in a door or on a wet floor."
        found.append(Advice("board", message))
    if any(part.tilt > SAW_TILT + 1e-6 for part in parts):
        message = (
            f"A saw tilts to {SAW_TILT:.0f}°: steeper edges are cut with the board on its edge, in a jig."
        )
        found.append(Advice("joint", message))
    if over >= LEAST_PLANED:
        thickness = panel if measured is None else measured
        message = (
            f"The rings, as sawn, stand {1000 * over:.1f} mm over the height: plane the top one to "
            f"{1000 * (thickness - over):.1f} mm, or take a height that fits whole rings."
        )
        found.append(Advice("height", message))
    if mass > HELD_FAR:
        people = "even close to the body" if mass > HEAVY else "over a bumper, at arm's length"
        found.append(Advice("mass", f"Two people lift it, {people}; the driver comes on top."))
    return tuple(found)


def _usual_ply(panel: float, measured: float) -> bool:
    """Whether sanded plywood may be as thick as that: EN 315, from memory."""
    return thinnest_sold(panel) <= measured <= panel + (0.0002 + 0.03 * panel)
