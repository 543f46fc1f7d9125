"""Electricity: batteries, cable, current, hold-up, fuses."""

from calculators.declaring.quantities import CAPACITANCE, CURRENT, DAYS, VOLTAGE
from calculators.self_checks import pictures
from calculators.self_checks.asking import Choice, Draw, Figure, Option, cold_cable, next_of, result
from calculators.vocabulary import crimps
from calculators.vocabulary.cabling import joints_counted


def parked_days(draw: Draw) -> Figure:
    """Days that a battery lasts."""
    capacity = draw.pick(50.0, 60.0, 70.0, 80.0, 95.0)
    usable = draw.pick(0.3, 0.4, 0.5)
    vehicle = draw.pick(0.015, 0.02, 0.025, 0.03)
    system = draw.pick(0.004, 0.006, 0.008, 0.012)
    drains = [{"name": "Vehicle", "current": vehicle}, {"name": "System", "current": system}]
    days = result("battery-drain", drains=drains, capacity=capacity, usable=usable).days
    return Figure(
        f"A full battery of {capacity:g} Ah, of which {usable:.0%} may be used. The vehicle draws "
        f"{vehicle * 1e3:g} mA asleep and the sound system {system * 1e3:g} mA. For how many days may it be parked?",
        days, 0.02 * days, DAYS, "days",
        "Ampere-hours that may be used, over all the current that flows, over 24 hours.",
        f"{capacity:g} Ah × {usable:g} ÷ {(vehicle + system):g} A ÷ 24 h = {days:.1f} days.",
        {
            "That is for the whole capacity: only part of it may be used.": days / usable,
            "The vehicle sleeps, too: add its current.": days * (vehicle + system) / system,
            "The sound system's current is missing.": days * (vehicle + system) / vehicle,
            "Those are hours: divide by 24.": days * 24,
        },
        "battery-drain",
    )  # fmt: skip


def cable_drop(draw: Draw) -> Figure:
    """Volts lost in a cable."""
    current = draw.pick(20.0, 30.0, 40.0, 50.0)
    length = draw.pick(4.0, 5.0, 6.0, 7.0)
    area, name = draw.pick((1.6e-05, "16"), (2.5e-05, "25"), (3.5e-05, "35"))
    run = cold_cable(current, length, area)
    per_metre, joints = run.resistance / (2 * length), joints_counted("cable", None)
    return Figure(
        f"{length:g} m of {name} mm² under the carpet feed from the battery, and as much leads back. The copper is at 20 °C, {1e3 * per_metre:.3g} mΩ a metre. "
        f"{current:g} A flow. How many volts are lost in all, joints and fuses not counted?",
        run.drop, 0.03 * run.drop, VOLTAGE, "V",
        "Current times resistance, and the current goes there and back.",
        f"2 × {length:g} m × {1e3 * per_metre:.3g} mΩ/m × {current:g} A = {run.drop:.3f} V.",
        {
            "That is one way. The current comes back by the same length.": run.drop / 2,
            "That is twice there and back.": run.drop * 2,
            "Those are millivolts.": run.drop * 1e3,
            "Joints are counted in that. The form counts 1 mΩ of them while it is empty: type 0 there.": run.drop + joints * current,
        },
        "cable",
    )  # fmt: skip


def amplifier_current(draw: Draw) -> Figure:
    """Current of an amplifier."""
    power = draw.pick(200.0, 300.0, 400.0, 600.0, 800.0)
    efficiency = draw.pick(0.5, 0.6, 0.78, 0.82)
    supply = draw.pick(12.5, 13.0, 13.5, 14.0)
    current = result(
        "current-draw", amplifiers=[{"name": "A", "power": power, "efficiency": efficiency}], supply=supply
    ).peak_current
    return Figure(
        f"An amplifier gives {power:g} W at {efficiency:.0%} efficiency from {supply:g} V. What does it draw at full power?",
        current, 0.02 * current, CURRENT, "A",
        "What goes in is what comes out, over the efficiency. Then over the volts.",
        f"{power:g} W ÷ {efficiency:g} ÷ {supply:g} V = {current:.1f} A.",
        {
            "The efficiency is missing: it draws more than it gives.": current * efficiency,
            "Multiplied by the efficiency instead of divided.": current * efficiency**2,
            "Those are the watts that go in.": current * supply,
        },
        "current-draw",
    )  # fmt: skip


def hold_up_farads(draw: Draw) -> Figure:
    """Farads for a gap."""
    power = draw.pick(8.0, 10.0, 12.0, 15.0)
    duration = draw.pick(1.0, 1.5, 2.0, 3.0)
    start, minimum = draw.pick((12.0, 9.0), (12.5, 9.0), (12.0, 8.0), (13.0, 10.0))
    farads = result(
        "hold-up",
        power=power,
        duration=duration,
        start=start,
        minimum=minimum,
        profile="gap",
        isolator=0.0,
        derate=0.0,
        esr=0.0,
    ).capacitance
    return Figure(
        f"A processor takes {power:g} W. The supply is gone for {duration:g} s. The capacitor begins at {start:g} V and may fall "
        f"to {minimum:g} V. How many farads, with nothing lost in an isolator, in leads, to tolerance or to age?",
        farads, 0.02 * farads, CAPACITANCE, "F",
        "Energy needed is power times time. A capacitor gives ½C(V₁² − V₂²).",
        f"2 × {power:g} W × {duration:g} s ÷ ({start:g}² − {minimum:g}²) V² = {farads:.2f} F.",
        {
            "The half in ½CV² is missing: twice as much is needed.": farads / 2,
            "Square each voltage first, then subtract.": 2 * power * duration / (start - minimum) ** 2,
            "That lets the capacitor run down to nothing.": 2 * power * duration / start**2,
        },
        "hold-up",
    )  # fmt: skip


def fuse_rating(draw: Draw) -> Choice:
    """Fuse for a load."""
    current = draw.pick(22.0, 30.0, 38.0, 46.0, 54.0, 62.0)
    found = result(
        "fuse",
        current=current,
        area=7e-05,
        insulation="vehicle-class-c",
        route="carpet",
        length=5.0,
        load_fraction=0.8,
    )
    rating = found.rating
    return Choice(
        f"The system draws {current:g} A for hours. The cable is thick enough for any of these. Which fuse?",
        (
            Option(f"{rating:g} A"),
            Option(f"{current:g} A", "A fuse at its rating tires and opens: the load is at most 80 % of it."),
            Option(f"{2 * rating:g} A", "Larger than it has to be: a fault must draw twice as much before it opens."),
        ),
        (
            Option("The load is at most 80 % of the fuse, and the next size above is taken."),
            Option("A fuse opens exactly at its rating.", "It carries its rating for long, and opens well above it, slowly."),
            Option("The larger the fuse, the safer.", "The fuse saves the cable: the smaller, the safer."),
        ),
        draw.pick(0, 1, 2),
        f"{current:g} A ÷ 0.8 = {current / 0.8:.1f} A, so {rating:g} A.",
        hint="Divide the load by 0.8.",
    )  # fmt: skip


JOINTS = (
    ("Crimp of the feed, 35 mm²", 0.05e-3),
    ("Main fuse with its holder", 0.4e-3),
    ("Ground stud to the body", 0.2e-3),
    ("Crimp of the ground, 35 mm²", 0.05e-3),
)
"""Ohms that each may have, as the pages of main feed and return allow."""


def bad_joint(draw: Draw) -> Choice:
    """Which joint is bad?"""
    current = draw.pick(30.0, 40.0, 50.0)
    bad = draw.pick(0, 1, 2, 3)
    good, worse = draw.pick(0.5, 0.6, 0.8), draw.pick(2.5, 3.0, 4.0)
    ohms = [limit * (worse if place == bad else good) for place, (_, limit) in enumerate(JOINTS)]
    volts = [1e3 * current * one for one in ohms]
    order = [bad, *(place for place in range(len(JOINTS)) if place != bad)]
    return Choice(
        f"A load bank draws {current:g} A. A fuse with its holder may have 0.4 mΩ, a ground's joint 0.2 mΩ, a crimp of 25 mm² or more "
        "0.05 mΩ. Which joint is remade?",
        tuple(
            Option(JOINTS[place][0], f"{volts[place]:.3g} mV at {current:g} A is {1e3 * ohms[place]:.3g} mΩ: it may stay.")
            for place in order
        ),
        (
            Option(f"At {current:g} A the limit of that joint is {1e3 * JOINTS[bad][1] * current:.3g} mV."),
            Option("It is the one with the most millivolts.", "Each joint has its own limit: a crimp may have an eighth of a fuse's holder."),
            Option("Joints are judged by hand: the warm one.", "Warm is late. Millivolts tell it before."),
        ),
        draw.pick(0, 1, 2, 3),
        f"{volts[bad]:.3g} mV ÷ {current:g} A = {1e3 * ohms[bad]:.3g} mΩ, over {1e3 * JOINTS[bad][1]:g} mΩ.",
        tuple(f"{name}: {value:.3g} mV" for (name, _), value in zip(JOINTS, volts, strict=True)),
        hint="Millivolts over amperes are milliohms. Then each against its own limit.",
    )  # fmt: skip


SAWN = (
    (crimps.good, "barrel and strands are one solid face", ""),
    (crimps.gaps, "round strands with gaps between them", "Gaps: the die is too large, or the cable too thin."),
    (crimps.cracked, "the barrel is cracked, metal stands out in fins", "Crack and fins: the die is too small."),
    (crimps.missing, "strands fill half of the barrel", "Strands are missing: cut off, or left outside."),
)  # fmt: skip
"""Crimps: how each is drawn, what is to be seen, and why it may not stay; the first may."""


def crimp_sawn(draw: Draw) -> Choice:
    """Which crimp may stay?"""
    right = draw.pick(0, 1, 2, 3)
    order = [(place - right) % 4 for place in range(4)]
    letters = {kind: "ABCD"[place] for place, kind in enumerate(order)}
    area = draw.pick(16, 25, 35)
    return Choice(
        f"Four trial crimps of a {area} mm² cable, sawn through. Which tool and lug may be used?",
        tuple(Option(f"Those of {letters[kind]}", why_not) for kind, (_, _, why_not) in enumerate(SAWN)),
        (
            Option("Copper and barrel have become one: no air is left between them."),
            Option("Every strand can still be counted.", "Then there is air between them, and it corrodes and warms."),
            Option("It is pressed the hardest.", "A barrel that is pressed too far cracks."),
        ),
        -right % 4,
        f"{letters[0]}: one solid face, without gaps, crack or fins.",
        hint="Look for air, for cracks, and whether all of the cable is in it.",
        picture=pictures.four([SAWN[kind][:2] for kind in order], "Four crimps, sawn through."),
    )  # fmt: skip


FEED = (
    "Fuse holder fixed and empty, cable laid from the load bay forward",
    "Crimps proven while both ends are free",
    "Far end connected",
    "Battery end connected",
    "Checks with the fuse out signed",
    "Negative terminal on",
)


def feed_order(draw: Draw) -> Choice:
    """What comes next on a new feed?"""
    return next_of(
        draw,
        "A feed is laid in a dead vehicle, by the page of the main feed.",
        FEED,
        "Not yet: “{}” comes before it.",
        (
            Option("What can short is connected last, and nothing is live that was not measured."),
            Option("The battery comes first: then the far end can be measured.", "A live end in the hand is a short on its way."),
            Option("The order does not matter with the fuse out.", "What lies before the fuse is live as soon as it is on the post."),
        ),
        "From the end that can't short to the end that can.",
    )  # fmt: skip
