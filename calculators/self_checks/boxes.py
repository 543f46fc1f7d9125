"""Doors and boxes."""

from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import FORCE, FREQUENCY, RATIO
from calculators.self_checks.asking import Choice, Draw, Figure, Option, next_of, one_of_two, result
from calculators.stages.design.driver_fit import LEAST_BEHIND, SECOND_PERSON


def _closed(draw: Draw) -> tuple[float, float, float, float]:
    """Resonance, Qts, Vas and box of a closed box that somebody might build."""
    return (
        draw.pick(26.0, 30.0, 34.0),
        draw.pick(0.35, 0.4, 0.45),
        draw.pick(0.02, 0.03, 0.045),
        draw.pick(0.012, 0.018, 0.025),
    )


def box_q(draw: Draw) -> Figure:
    """Q of a closed box."""
    fs, qts, vas, volume = _closed(draw)
    q = result("sealed-box", fs=fs, qts=qts, vas=vas, volume=volume, source_resistance=0.0).qtc
    return Figure(
        f"A driver with Qts {qts:g} and Vas {vas * 1e3:g} L goes into a closed box of {volume * 1e3:g} L. Which Q comes out, amplifier and lead counted as 0 Ω?",
        q, 0.01, RATIO, "",
        "Qts times the root of Vas over box plus one.",
        f"{qts:g} × √({vas * 1e3:g} ÷ {volume * 1e3:g} + 1) = {q:.2f}.",
        {
            "One is missing under the root.": qts * (vas / volume) ** 0.5,
            "The root is missing.": qts * (vas / volume + 1),
            "Vas over box, not box over Vas.": qts * (volume / vas + 1) ** 0.5,
        },
        "sealed-box",
    )  # fmt: skip


def box_resonance(draw: Draw) -> Figure:
    """Resonance in a closed box."""
    fs, qts, vas, volume = _closed(draw)
    fc = result("sealed-box", fs=fs, qts=qts, vas=vas, volume=volume, source_resistance=0.0).fc
    return Figure(
        f"A driver resonates at {fs:g} Hz in free air; its Vas is {vas * 1e3:g} L. Where does it resonate in a closed box of {volume * 1e3:g} L?",
        fc, 0.015 * fc, FREQUENCY, "Hz",
        "The box makes the spring stiffer: times the root of Vas over box plus one.",
        f"{fs:g} Hz × √({vas * 1e3:g} ÷ {volume * 1e3:g} + 1) = {fc:.0f} Hz.",
        {
            "One is missing under the root.": fs * (vas / volume) ** 0.5,
            "The root is missing.": fs * (vas / volume + 1),
            "A box never lowers it.": fs / (vas / volume + 1) ** 0.5,
        },
        "sealed-box",
    )  # fmt: skip


def crash_force(draw: Draw) -> Figure:
    """Force in a crash."""
    mass, forward = draw.pick(6.0, 9.0, 12.0, 15.0, 18.0), draw.pick(20.0, 25.0, 30.0)
    rows = result(
        "fixing-load",
        mass=mass,
        row_spacing=0.3,
        centre_height=0.06,
        face="floor",
        holes="maker",
        drive="fuel",
        anchors="clear",
        forward=forward * 9.80665,
    ).directions
    force = max(row.force for row in rows)
    return Figure(
        f"A box of {mass:g} kg is planned for {forward:g} g forward. What force is that?",
        force, 0.02 * force, FORCE, "kN",
        "Mass times g times how many g. 1 kN is 1000 N.",
        f"{mass:g} kg × {forward:g} × 9.81 m/s² = {force / 1e3:.2f} kN.",
        {
            "The 9.81 m/s² is missing.": mass * forward,
            "The 9.81 m/s² is missing, and 1 kN is 1000 N.": mass * forward * 1e3,
            "That is its weight at rest.": mass * 9.81,
            "Those are newtons: 1 kN is 1000 N.": force * 1e3,
        },
        "fixing-load",
    )  # fmt: skip


def driver_room(draw: Draw) -> Choice:
    """Does the driver go in?"""
    depth, glass = draw.pick(0.055, 0.062, 0.07, 0.078), draw.pick(0.058, 0.064, 0.066, 0.074)
    found = result(
        "driver-fit",
        cutout=0.144,
        opening=0.15,
        depth=depth,
        magnet=0.1,
        glass=glass,
        sensor="none",
        spacer=0.0,
    )
    left = 1e3 * found.glass_clearance
    room = f"{left:.0f} mm are left to the glass" if left >= 0 else f"It stands {-left:.0f} mm into the glass"
    least, by_two = f"{1e3 * LEAST_BEHIND:g} mm or more", f"{1e3 * SECOND_PERSON:g} mm or less"
    return Choice(
        f"A driver {1e3 * depth:g} mm deep behind its flange. The glass runs {1e3 * glass:g} mm behind the sheet at its nearest. No spacer. Does it go in?",
        one_of_two(found.fits, "It goes in", "It does not", f"{room}."),
        (
            Option(f"{room}, and {least} are wanted; {by_two} is measured again by a second person."),
            Option("It fits as long as nothing touches.", f"Glass swings and a magnet hangs: {least}."),
            Option("The depth of the door decides.", "The glass decides, at its nearest, over its whole travel."),
        ),
        draw.pick(0, 1, 2),
        f"{1e3 * glass:g} − {1e3 * depth:g} = {typographic(f'{left:.0f}')} mm.",
        hint="Distance to the glass less the depth.",
    )  # fmt: skip


STEPS = (
    "Side-impact sensor known",
    "Drains open, cavity dry",
    "Damping on the outer skin",
    "Openings of the inner skin closed",
    "Driver on its ring",
    "Card on",
)


def layers_in_order(draw: Draw) -> Choice:
    """A door in order."""
    return next_of(
        draw,
        "A front door is treated.",
        STEPS,
        "Not yet: first “{}”.",
        (
            Option("What is covered later must be right before."),
            Option("The fastest step comes first.", "It would be taken apart again."),
            Option("The order does not matter.", "A wet or forbidden door is found only while it is open."),
        ),
        "What must be known before anything is closed?",
    )  # fmt: skip


def box_record(draw: Draw) -> Choice:
    """What is wrong on this sheet?"""
    bad = draw.pick(0, 1, 2, 3)
    lines = (
        ("Pushed by hand, 200 N each way: {} mm", "0", "3", "it must not move at all"),
        ("Torque marks whole: {} of 4", "4", "3", "each head is marked and whole"),
        ("Load floor, 100 kg on 300 × 300 mm: bends {} mm", "2", "6", "3 mm is the most"),
        ("New holes where the gates forbid one: {}", "0", "1", "none is allowed"),
    )
    texts = [
        line.format(wrong if place == bad else good) for place, (line, good, wrong, _) in enumerate(lines)
    ]
    order = [bad, *(place for place in range(len(lines)) if place != bad)]
    return Choice(
        "A false floor is to be signed. Which line stops it?",
        tuple(Option(texts[place], "That line is as it should be.") for place in order),
        (
            Option(f"On that line {lines[bad][3]}."),
            Option("One line out of four may be missed.", "Every line is signed, or none."),
            Option("It passes a careful drive.", "A crash is not a careful drive."),
        ),
        draw.pick(0, 1, 2, 3),
        f"{texts[bad]}: {lines[bad][3]}.",
        hint="Compare each line with the limits of false floor and fixings.",
    )  # fmt: skip
