"""Safety and vehicle care."""

from calculators.declaring.quantities import TIME
from calculators.self_checks import pictures
from calculators.self_checks.asking import Choice, Draw, Figure, Option, one_of_two, result

DEAD = (
    "Chocks, seats and windows where they are wanted, battery lid open",
    "Charge cable out, charger off, key 5 m away",
    "Waited until it sleeps",
    "Negative off, that of every second battery too",
    "Proven dead, with a meter tried on a live battery before and after",
    "The maker's waiting time for the restraints",
    "Tag on the steering wheel",
)


def next_step(draw: Draw) -> Choice:
    """What comes next to make it safe?"""
    done = draw.pick(1, 2, 3, 4, 5)
    right = DEAD[done]
    skipped = DEAD[done + 1]
    return Choice(
        f"A vehicle is made safe for work on its trim. Done: {'; '.join(DEAD[:done])}. What comes next?",
        (
            Option(right),
            Option(skipped, f"Not yet: “{right.lower()}” was left out."),
            Option("Unplug the seat", "Nothing of the restraint system is touched before it is dead, and proven."),
        ),
        (
            Option("Each step can only be done, or proven, before the next."),
            Option("Airbags are dead as soon as the key is out.", "They keep charge in reserve: hence the wait."),
            Option("The meter shows whether the wait is over.", "It shows the battery, not the airbag module's reserve."),
        ),
        draw.pick(0, 1, 2),
        " → ".join(DEAD) + ".",
        hint="Windows need power. The restraints' wait begins once it is proven dead.",
    )  # fmt: skip


def bleed_time(draw: Draw) -> Figure:
    """How long a capacitor is bled."""
    farads, ohms, volts = (
        draw.pick(0.5, 1.0, 1.5, 2.0),
        draw.pick(47.0, 68.0, 100.0),
        draw.pick(13.8, 14.4, 15.2),
    )
    seconds = result(
        "pre-charge",
        capacitance=farads,
        resistance=47.0,
        charging_voltage=volts,
        bleed_resistance=ohms,
        voltage_rating=20.0,
    ).bleed_time
    tau = farads * ohms
    return Figure(
        f"A hold-up capacitor of {farads:g} F stands at {volts:g} V, the highest charging voltage of its vehicle. It is bled through {ohms:g} Ω. After how many seconds is it at 1 V?",
        seconds, 0.03 * seconds, TIME, "s",
        "RC times the natural logarithm of the volts over 1 V.",
        f"{farads:g} F × {ohms:g} Ω × ln({volts:g}) = {seconds:.0f} s. The meter decides all the same.",
        {
            "After one RC it still has more than a third of its volts.": tau,
            "That is the common logarithm: take the natural one.": seconds / 2.302585,
            "Five times RC is a rule for 1 %, not for 1 V.": 5 * tau,
        },
        "pre-charge",
    )  # fmt: skip


def door_gate(draw: Draw) -> Choice:
    """May this door be sealed?"""
    sensor, words = draw.pick(
        ("pressure", "feels the air pressure in the door"),
        ("unknown", "is not known"),
        ("acceleration", "is an acceleration sensor"),
        ("none", "is not in this door, by the maker's list"),
    )
    may = sensor in {"acceleration", "none"}
    return Choice(
        f"The side-impact sensor of a front door {words}. May its inner skin be sealed?",
        one_of_two(
            may, "Yes", "No",
            "Air in the door is no part of that sensor." if may else "The door's air is the sensor, or may be.",
        ),
        (
            Option("Only a pressure sensor needs the door's air, and what is not known counts as one."),
            Option("A sealed door is always stiffer, so safer.", "The airbag may come late, or not at all."),
            Option("The lamp would tell.", "The lamp tells of a plug, not of what the air does in a crash."),
        ),
        draw.pick(0, 1, 2),
        "Pressure or unknown: nothing is sealed, opened or changed.",
        hint="Which kind of sensor rests on the air in the door?",
    )  # fmt: skip


def fuse_place(draw: Draw) -> Choice:
    """Is the fuse near enough?"""
    place = draw.pick(120, 180, 240, 290, 360, 450, 600)
    near = place <= 300
    return Choice(
        f"The main fuse sits {place} mm of cable away from the battery's terminal. What do you say?",
        one_of_two(near, "It may stay", "It moves nearer", f"{place} mm, and 300 mm is the most."),
        (
            Option("The cable before the fuse is saved by nobody: 300 mm at most."),
            Option("Anywhere, as long as it is the right rating.", "It saves only what lies behind it."),
            Option("As near to the amplifier as can be.", "Then the whole length can burn."),
        ),
        draw.pick(0, 1, 2),
        f"{place} mm against 300 mm. A shorter one in your local code stands above it.",
        hint="What saves the piece of cable before the fuse?",
    )  # fmt: skip


def lifting(draw: Draw) -> Choice:
    """Alone or by two?"""
    mass, reach, far = draw.pick(
        (8, "held close", False), (14, "held close", False), (24, "held close", False),
        (8, "over the bumper, at arm's length", True), (14, "over the bumper, at arm's length", True),
    )  # fmt: skip
    limit = 10 if far else 20
    alone = mass <= limit
    return Choice(
        f"A box of {mass} kg, {reach}. One person or two?",
        one_of_two(alone, "One person may", "Two people", f"{mass} kg {reach}: {limit} kg is where two begin."),
        (
            Option("Two people over 20 kg held close, and over 10 kg at arm's length."),
            Option("Two people over 25 kg, however it is held.", "At arm's length half as much hurts a back."),
            Option("A strong fitter lifts alone.", "Backs fail without notice, and the box falls on the tailgate."),
        ),
        draw.pick(0, 1, 2),
        f"{mass} kg against {limit} kg. Your local rule stands.",
        hint="How far is the load from the body?",
    )  # fmt: skip


def ears_left(draw: Draw) -> Figure:
    """Minutes left for ears."""
    level, used_level = draw.pick(91.0, 94.0, 97.0), draw.pick(88.0, 91.0, 94.0)
    used = draw.pick(10.0, 20.0, 30.0) * 60
    dose = result("noise-dose", exposures=[{"level": used_level, "duration": used}]).niosh_dose
    allowed = result("noise-dose", exposures=[{"level": level, "duration": 60.0}]).niosh_allowed
    left = allowed * (1 - dose)
    return Figure(
        f"{used / 60:g} min at {used_level:g} dB(A) are behind you today, without protection. For how long may you stay at {level:g} dB(A)?",
        left, max(0.02 * left, 30.0), TIME, "min",
        "85 dB(A) is 8 h, each 3 dB more halves it. What is used of the day's dose is gone.",
        f"{dose:.1%} of the dose is used; {allowed / 60:.0f} min × {1 - dose:.3f} = {left / 60:.1f} min.",
        {
            "That would be a day with nothing before it.": allowed,
            "Minutes at another level are not minutes at this one.": allowed - used,
            "Each 3 dB halves the time, not each 5 dB.": 8 * 3600 / 2 ** ((level - 85) / 5) * (1 - dose),
        },
        "noise-dose",
    )  # fmt: skip


CORNER = {
    "fuse": (
        "The fuse is too far from the battery",
        "So long a piece can be crushed or chafed where no fuse stops the current",
        "the fuse sits within 300 mm",
    ),
    "hood": (
        "Nothing covers the plus post",
        "A spanner from there to the body carries what no fuse stops",
        "the post has its hood",
    ),
    "grommet": (
        "The cable passes a bare edge",
        "The sheet cuts into the sheath, and the feed lies on the body",
        "a grommet sits in the hole",
    ),
    "clips": (
        "Nothing holds the cable",
        "A cable that can move rubs itself through",
        "clips hold the cable",
    ),
}
"""What may be wrong at a battery: what it is, why it matters, and what is said where it is as it should be."""


def battery_corner(draw: Draw) -> Choice:
    """What is wrong in this picture?"""
    wrong = draw.pick(*CORNER)
    fuse_at = draw.pick(500, 600, 800) if wrong == "fuse" else draw.pick(120, 180, 250)
    others = [name for name in CORNER if name != wrong]
    what, why, _ = CORNER[wrong]
    told = [Option(CORNER[name][0], f"Look again: {CORNER[name][2]}.") for name in others]
    grounds = [Option(CORNER[name][1] + ".", f"True, but here {CORNER[name][2]}.") for name in others]
    return Choice(
        f"A feed as a vehicle came in with it: {fuse_at} mm of cable to its fuse. One thing stops you. Which?",
        (Option(what), *told),
        (Option(f"{why}."), *grounds),
        draw.pick(0, 1, 2, 3),
        f"{what}: {why[0].lower()}{why[1:]}.",
        hint="From the post to the cabin: cover, length to the fuse, what holds it, what it passes through.",
        picture=pictures.battery_corner(
            fuse_at, hood=wrong != "hood", grommet=wrong != "grommet", clips=wrong != "clips"
        ),
    )
