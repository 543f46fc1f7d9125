"""What a treatment plan says beside its numbers: the gate first, then what stops or harms the work."""

from collections.abc import Mapping, Sequence

from calculators.declaring import Advice
from calculators.vocabulary.treatment import (
    CLOSED,
    DAMPS,
    DOORS,
    FLOORS,
    GOODS,
    LAYERS,
    TAILGATE_LIMIT,
    BoughtSheet,
    Door,
    Patch,
    card_alone,
    gate,
    sensor_of,
    why_left_out,
)

COLDEST, WARMEST, HARMS = 18.0, 40.0, 60.0
"""Panel, °C: sheets stick from the first to the second; past the third paint and foam suffer.

Common practice, no source.
"""
PLENTY, PLENTY_OF_FLOOR = 0.5, 0.6
"""Share of a panel beyond which damping buys little. Common practice, no source."""
HELD = 1.0
"""kg of a barrier from which it stands against an edge of the body. Common practice, no source."""
OVERNIGHT = 15 * 3600.0
OFTEN_LOWEST = {"reaction": 10.0, "moisture": 5.0, "drying": 15.0}
"""°C below which many products do not cure at all, by how they cure. Common practice, no source."""


def gates(doors: Mapping[str, Door], panels: Sequence[Patch]) -> list[Advice]:
    """One danger for each door that must stay as it is and was planned to be treated inside, or to get
    another driver or adaptor.

    Then the membranes that are torn, what keeps an acceleration sensor as it is, and what a door that
    stays as it is may have on its card.
    """
    inside = {patch.place for patch in panels if patch.place in DOORS and LAYERS[patch.layer].inside}
    changed = inside | {place for place, door in doors.items() if door.other_mass > 0}
    said = [
        gate(place, sensor)
        for place in DOORS
        if place in changed and (sensor := sensor_of(place, doors)) in CLOSED
    ]
    said += [
        Advice(
            "doors",
            f"{DOORS[place].capitalize()}: its membrane is not whole. Fit a new one, or the maker's patch, "
            "before the card goes on: it keeps water out of the cabin, and may be part of what the airbag "
            "senses by.",
            danger=True,
        )
        for place, door in doors.items()
        if door.membrane == "torn"
    ]
    if any(place in inside and door.sensor == "acceleration" for place, door in doors.items()):
        message = (
            "Acceleration sensor: nothing stuck on it, on its bracket or on the panel within 100 mm (common "
            "practice, no source), and its bolts stay as they are."
        )
        said.append(Advice("doors", message))
    on_cards = {patch.place for patch in panels if card_alone(patch, doors)}
    said += [
        Advice(
            "panels",
            f"{DOORS[place].capitalize()}: fleece on the card's own clips and cables, on the cabin side of "
            "the membrane, and no foam: by its side-impact sensor the door stays as it is.",
        )
        for place in DOORS
        if place in on_cards
    ]
    return said


def goods_advice(
    panels: Sequence[Patch], doors: Mapping[str, Door], sheets: Mapping[str, BoughtSheet]
) -> list[Advice]:
    """Goods without a burning rate, bitumen where it slides, and the treated roof."""
    kept = [patch for patch in panels if not why_left_out(patch, doors)]
    used = {LAYERS[patch.layer].goods for patch in kept}
    said = [
        Advice(
            "materials",
            f"{GOODS[goods].label.capitalize()}: no data sheet shows a burning rate of 100 mm/min or less "
            "(ISO 3795). Without one it is not fitted in a cabin.",
            danger=True,
        )
        for goods, sheet in sheets.items()
        if goods in used and GOODS[goods].burns and sheet.fire != "shown"
    ]
    if any(patch.layer == "bitumen" and patch not in kept for patch in panels):
        message = (
            "Bitumen softens, slides and smells in the sun: floors only, laid warm. Take butyl elsewhere."
        )
        said.append(Advice("panels", message))
    if any(patch.place == "roof" for patch in kept):
        message = (
            "Roof: nothing touches the curtain airbag, its clips or its ramps; goods rated for 100 °C or "
            "more (common practice, no source)."
        )
        said.append(Advice("panels", message))
    return said


def plenty_of(patch: Patch) -> float:
    """Share of a panel that is damped at most."""
    return PLENTY_OF_FLOOR if patch.place in FLOORS else PLENTY


def mass_advice(
    panels: Sequence[Patch], door_masses: Mapping[str, float], tailgate: float, door_limit: float
) -> list[Advice]:
    """Doors and tailgate that get heavy, and coverage that buys little."""
    heavy = [DOORS[place] for place, mass in door_masses.items() if mass > door_limit]
    said = []
    if heavy:
        message = (
            f"Over {door_limit:g} kg: {' and '.join(heavy)}. Take off what buys least, or have hinge, check "
            "strap and window lift looked at: the strap holds on a 10° slope, the glass runs at most 10 % "
            "slower. What the maker lets hinge and strap carry stands above it."
        )
        said.append(Advice("door_limit", message))
    if tailgate > TAILGATE_LIMIT:
        message = (
            "Tailgate: over 1 kg asks for a test that its struts hold it on the coldest usual day (common "
            "practice, no source)."
        )
        said.append(Advice("panels", message))
    if any(patch.layer in DAMPS and patch.coverage > plenty_of(patch) for patch in panels):
        message = (
            "Damping over more than half of a panel, or 60 % of a floor: the second half weighs as much as "
            "the first and buys at most 3 dB. Middle of the panel first."
        )
        said.append(Advice("panels", message))
    return said


def barrier_advice(panels: Sequence[Patch], masses: Sequence[float]) -> list[Advice]:
    """What holds a heavy barrier in a crash; ``masses``: kg of each patch, 0 where it is left out."""
    heavy = [
        patch
        for patch, mass in zip(panels, masses, strict=True)
        if patch.layer == "barrier" and mass > HELD + 1e-9
    ]
    said = []
    if any(patch.place == "roof" for patch in heavy):
        message = (
            "Barrier of over 1 kg on the roof: nothing there stands under it, and glue alone holds no more. "
            "Leave it out."
        )
        said.append(Advice("panels", message, danger=True))
    if any(patch.place != "roof" for patch in heavy):
        message = (
            "Barrier: each piece of over 1 kg stands against a crossmember or step of the body, its edges "
            "under trim on the maker's own clips, and goes on the list of mass. Nothing so heavy hangs on "
            "glue alone (common practice, no source)."
        )
        said.append(Advice("panels", message))
    return said


def warmth_advice(temperature: float) -> list[Advice]:
    """A panel too cold or too warm to stick to."""
    said = []
    if temperature < COLDEST:
        message = (
            "Under 18 °C a sheet seems to stick and peels in the first heat: warm the panel to 18 to 40 °C."
        )
        said.append(Advice("temperature", message))
    elif temperature > HARMS:
        message = "Over 60 °C paint, seam sealer, foam and airbag parts suffer: let it cool."
        said.append(Advice("temperature", message, danger=True))
    elif temperature > WARMEST:
        said.append(Advice("temperature", "Over 40 °C the sheet creeps while you roll it: wait."))
    return said


def primer_advice(cure_wait: float | None, night: float) -> list[Advice]:
    """A primer that needs more than its night (°C), or that does not cure in it; None: no primer."""
    said = []
    if cure_wait is not None and night < OFTEN_LOWEST["reaction"]:
        message = (
            "Under its own lowest temperature, often 10 °C, a primer does not cure late: it does not cure "
            "(common practice, no source). Its data sheet says it."
        )
        said.append(Advice("night_temperature", message))
    if cure_wait is not None and cure_wait > OVERNIGHT:
        message = (
            "The primer is not through by the next morning: move it to the survey visit, or warm the bay."
        )
        said.append(Advice("cure_wait", message))
    return said
