"""Verification and handover."""

from calculators.declaring.quantities import LEVEL, RESISTANCE, TIME
from calculators.self_checks.asking import Choice, Draw, Figure, Option, cold_cable, one_of_two, result


def run_resistance(draw: Draw) -> Figure:
    """Milliohms of a run."""
    current = draw.pick(20.0, 30.0, 50.0)
    length, area, name = draw.pick((5.0, 2.5e-05, "25"), (6.0, 3.5e-05, "35"), (5.0, 3.5e-05, "35"))
    run = cold_cable(current, length, area)
    volts, ohms = run.drop, run.resistance
    return Figure(
        f"A load bank draws {current:g} A at the amplifier. Feed and return of {length:g} m of {name} mm² lose {1e3 * volts:.0f} mV together. "
        "How many milliohms are that?",
        ohms, 0.02 * ohms, RESISTANCE, "mΩ",
        "Volts over amperes.",
        f"{1e3 * volts:.0f} mV ÷ {current:g} A = {1e3 * ohms:.2f} mΩ.",
        {
            "Those are ohms.": ohms / 1e3,
            "Divided by the battery's volts instead of the amperes.": volts / 13.5,
            "That is one of the two ways.": ohms / 2,
        },
        "cable",
    )  # fmt: skip


def minutes_allowed(draw: Draw) -> Figure:
    """How long at a level?"""
    level = draw.pick(88.0, 89.5, 91.0, 92.5, 94.0, 97.0, 100.0)
    allowed = result("noise-dose", exposures=[{"level": level, "duration": 60.0}]).niosh_allowed
    return Figure(
        f"A hunt for rattles at {level:g} dB(A), no protection. After how many minutes is the day's dose full?",
        allowed, 0.03 * allowed, TIME, "min",
        "85 dB(A) is 8 h; each 3 dB more halves it.",
        f"8 h ÷ 2^(({level:g} − 85) ÷ 3) = {allowed / 60:.1f} min.",
        {
            "Each 3 dB halves it, not each 5 dB.": 8 * 3600 / 2 ** ((level - 85) / 5),
            "Each 3 dB halves it, not each 6 dB.": 8 * 3600 / 2 ** ((level - 85) / 6),
            "Those are seconds.": allowed * 60,
        },
        "noise-dose",
    )  # fmt: skip


def tweeter_noise(draw: Draw) -> Figure:
    """Hiss, nearer."""
    volts, distance = draw.pick(0.0003, 0.0004, 0.0006), draw.pick(0.6, 0.8, 1.0)
    far = result("noise-at-ear", noise_voltage=volts, load=4.0, sensitivity=91.0, distance=distance).level
    near = result("noise-at-ear", noise_voltage=volts, load=4.0, sensitivity=91.0, distance=0.3).level
    return Figure(
        f"A tweeter's hiss is {far:.1f} dB at the ear, {distance:g} m away. How many dB is it at 300 mm?",
        near, 0.25, LEVEL, "dB",
        "20·log of the distances' ratio comes on top.",
        f"{far:.1f} dB + 20·log({distance:g} ÷ 0.3) = {near:.1f} dB.",
        {
            "Nearer is louder.": 2 * far - near,
            "For distance it is 20 times the logarithm, not 10.": (far + near) / 2,
            "A ratio of distances is no difference in dB.": far + distance / 0.3,
        },
        "noise-at-ear",
    )  # fmt: skip


def sleep_current(draw: Draw) -> Choice:
    """Does it sleep?"""
    before, added = draw.pick(14, 19, 22, 26, 31), draw.pick(2, 4, 9, 14, 28)
    after = before + added
    passes = added <= 5 and after <= 50
    return Choice(
        f"Asleep, before our work: {before} mA. Now: {after} mA. Does it pass?",
        one_of_two(passes, "It passes", "It does not pass", f"{added} mA came on top; 5 mA is the most."),
        (
            Option("50 mA at most, and within 5 mA of before."),
            Option("Anything under 50 mA passes.", "What we added counts by itself: 5 mA."),
            Option("Only the days it may be parked matter.", "A unit that does not sleep passes no sheet."),
        ),
        draw.pick(0, 1, 2),
        f"{after} − {before} = {added} mA against 5 mA.",
        hint="Two limits: one for the vehicle, one for us.",
    )  # fmt: skip


def proof_order(draw: Draw) -> Choice:
    """Before the next proof."""
    charger, air, latches, outside = (
        "Support charger off", "Doors open or exhaust extraction coupled", "Latches closed by a tool, key far away",
        "Everybody outside, a recorder inside",
    )  # fmt: skip
    # Nothing is offered as wrong that the proof asks for as well: fresh air for restarts, no charger for sleep.
    what, right, why, others = draw.pick(
        ("three hot restarts are logged", charger, "A charger hides the dip.", (latches, outside)),
        ("noise is heard with the engine on", air, "Exhaust gas kills, and its carbon monoxide has no smell.", (latches, outside)),
        ("the sleep current is logged", latches, "An open latch keeps the vehicle awake.", (air, outside)),
        ("the ceiling step is swept", outside, "The list is written from the recording.", (air, latches)),
    )  # fmt: skip
    return Choice(
        f"Before {what}: what must be done, or the reading is worth nothing or somebody is hurt?",
        (Option(right), *(Option(other, f"Not for this one. {why}") for other in others)),
        (
            Option(why),
            Option("It saves time.", "Time is no reason on a sheet."),
            Option("It is done for each of them.", "Each proof has its own."),
        ),
        draw.pick(0, 1, 2),
        f"{right}. {why}",
        hint="What would make the reading wrong, or hurt?",
    )  # fmt: skip


def proof_record(draw: Draw) -> Choice:
    """What is wrong on this sheet?"""
    bad = draw.pick(0, 1, 2, 3)
    lines = (
        ("Tweeter, engine off: {} mV, A-weighted", "0.4", "0.9", "0.5 mV is the most"),
        ("Rise at 2000 rpm: {} mV", "0.05", "0.4", "0.2 mV is the most"),
        ("Between two audio grounds: {} V", "0.004", "0.06", "0.02 V is the most"),
        ("Rattles at usual level and 6 dB over it: {}", "0", "2", "none may be left"),
    )
    texts = [
        line.format(wrong if place == bad else good) for place, (line, good, wrong, _) in enumerate(lines)
    ]
    order = [bad, *(place for place in range(len(lines)) if place != bad)]
    return Choice(
        "The proof is to be signed. Which line stops it?",
        tuple(Option(texts[place], "That line is within its limit.") for place in order),
        (
            Option(f"On that line {lines[bad][3]}."),
            Option("The customer will not hear it.", "The limit is not what one customer hears on one day."),
            Option("It was like that in the last job, too.", "Then that one was wrong as well."),
        ),
        draw.pick(0, 1, 2, 3),
        f"{texts[bad]}: {lines[bad][3]}.",
        hint="Each line has its own limit on the pages of verification.",
    )  # fmt: skip
