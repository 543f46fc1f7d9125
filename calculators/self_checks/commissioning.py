"""Commissioning."""

from calculators.declaring.quantities import TIME, VOLTAGE
from calculators.self_checks.asking import Choice, Draw, Figure, Option, result


def test_volts(draw: Draw) -> Figure:
    """Volts with headroom."""
    power, load, headroom = draw.pick(50.0, 70.0, 100.0, 300.0), draw.pick(2.0, 4.0), draw.pick(3.0, 5.0, 6.0)
    volts = result("gain-voltage", power=power, load=load, overlap=headroom).voltage
    return Figure(
        f"{power:g} W into {load:g} Ω. With {headroom:g} dB of headroom for quiet recordings, a file {headroom:g} dB under full scale "
        "shall drive the amplifier to its rated volts. How many volts does the meter show with that file?",
        volts, 0.01 * volts, VOLTAGE, "V",
        "The headroom is in the file. The target is the rated volts.",
        f"√({power:g} × {load:g}) = {volts:.2f} V.",
        {
            "Target lowered as well: everything would be too quiet by the headroom, and the customer turns past the ceiling.":
                volts * 10 ** (-headroom / 20),
            "That is what a 0 dBFS file would then ask for: it is never played.": volts * 10 ** (headroom / 20),
            "The root is missing.": power * load,
        },
        "gain-voltage",
    )  # fmt: skip


def filling_time(draw: Draw) -> Figure:
    """How long a capacitor fills."""
    farads, ohms = draw.pick(0.5, 1.0, 1.5, 2.0), draw.pick(22.0, 33.0, 47.0)
    seconds = result(
        "pre-charge", capacitance=farads, resistance=ohms, supply=12.6, fraction=0.99, voltage_rating=20.0
    ).charge_time
    tau = farads * ohms
    return Figure(
        f"{farads:g} F are filled through {ohms:g} Ω. After how many seconds are they 99 % full?",
        seconds, 0.02 * seconds, TIME, "s",
        "RC times the natural logarithm of 100.",
        f"{farads:g} F × {ohms:g} Ω × 4.6 = {seconds:.0f} s. The meter decides, not the clock.",
        {
            "After one RC it is 63 % full.": tau,
            "The common logarithm of 100 is 2: take the natural one.": 2 * tau,
            "Two resistors in series want twice the time; here is one.": 2 * seconds,
        },
        "pre-charge",
    )  # fmt: skip


def thermal_limit(draw: Draw) -> Figure:
    """Volts a coil stands for long."""
    power, load = draw.pick(15.0, 20.0, 40.0, 50.0, 80.0), draw.pick(2.0, 4.0, 8.0)
    volts = result(
        "limiter", full_output=4.0, gain=20.0, clip_voltage=40.0, driver_power=power, load=load
    ).thermal_voltage
    full = (power * load) ** 0.5
    return Figure(
        f"A driver of {load:g} Ω is rated {power:g} W for long. The slow limiter holds it 3 dB under that. At how many volts RMS?",
        volts, 0.02 * volts, VOLTAGE, "V",
        "Volts of the rated power, then 3 dB less.",
        f"√({power:g} × {load:g}) = {full:.2f} V, 3 dB less is {volts:.2f} V.",
        {
            "The 3 dB are missing.": full,
            "For volts 3 dB is a factor of 1.41, not of two.": full / 2,
            "That is the current in amperes.": volts / load,
        },
        "limiter",
    )  # fmt: skip


def offset_found(draw: Draw) -> Choice:
    """An offset is found."""
    read = draw.pick(4, 11, 18, 27, 38, 46, 63, 140)
    words = (
        "Write it down and go on",
        "Measure again after ten minutes; the data sheet decides",
        "Stop: no speaker on this channel",
    )
    right = 0 if read <= 20 else 1 if read <= 50 else 2
    whys = (
        f"{read} mV is over 20 mV.",
        f"{read} mV is "
        + ("fine as it is: 20 mV or less." if right == 0 else "over 50 mV: waiting does not mend it."),
        f"{read} mV is not over 50 mV.",
    )
    order = [right, *(place for place in range(3) if place != right)]
    return Choice(
        f"First power, speaker plugs pulled. A channel reads {read} mV of direct voltage at its output. What do you do?",
        tuple(Option(words[place], whys[place]) for place in order),
        (
            Option("20 mV or less goes on, over 50 mV stops, between them time and the data sheet decide."),
            Option("Any direct voltage stops the job.", "A few millivolts are normal and harmless."),
            Option("Up to a volt does no harm.", "A volt pushes the cone out and heats the coil."),
        ),
        draw.pick(0, 1, 2),
        f"{read} mV: {words[right].lower()}.",
        hint="Two limits: 20 mV and 50 mV.",
    )  # fmt: skip


POWER = (
    "Power plugs of amplifier and processor in, battery still off",
    "Resistor of 47 Ω across the empty holder",
    "2 A fuse",
    "5 A fuse",
    "Main fuse",
)


def fuses_in_order(draw: Draw) -> Choice:
    """First power, in order."""
    done = draw.pick(0, 1, 2, 3, 4)
    right = POWER[done]
    wrong = [step for step in POWER if step != right][-2:]
    return Choice(
        ("H4 is signed, the holder is empty. " if not done else f"All is well with this one: {POWER[done - 1]}. ") + "What comes next?",
        (Option(right), *(Option(step, f"Now it is: {right}.") for step in wrong)),
        (
            Option("Each step lets through only what the one before has shown to be safe."),
            Option("The main fuse opens by itself if something is wrong.", "Before that it lets a hundred amperes through."),
            Option("The order is only habit.", "The resistor shows a short at a third of an ampere."),
        ),
        draw.pick(0, 1, 2),
        " → ".join(POWER) + ".",
        hint="The smallest energy first.",
    )  # fmt: skip


def first_power_record(draw: Draw) -> Choice:
    """What is wrong on this sheet?"""
    bad = draw.pick(0, 1, 2, 3)
    lines = (
        ("Added, asleep: {} mA", "4", "22", "5 mA is the most"),
        ("Idle: {} A, data sheets 1.4 A", "1.5", "2.6", "30 % over the data sheets is the most"),
        ("Offset, left woofer: {} mV", "9", "74", "over 50 mV no speaker goes on"),
        ("Case after ten minutes: {} °C", "33", "58", "under 45 °C is wanted, idle"),
    )
    texts = [
        line.format(wrong if place == bad else good) for place, (line, good, wrong, _) in enumerate(lines)
    ]
    order = [bad, *(place for place in range(len(lines)) if place != bad)]
    return Choice(
        "First power is to be signed. Which line stops it?",
        tuple(Option(texts[place], "That line is within its limit.") for place in order),
        (
            Option(f"On that line {lines[bad][3]}."),
            Option("It works, so it may pass.", "It works until it is warm, or parked for a week."),
            Option("One line of four may be over.", "None may."),
        ),
        draw.pick(0, 1, 2, 3),
        f"{texts[bad]}: {lines[bad][3]}.",
        hint="Each line has its own limit on the page of first power.",
    )  # fmt: skip
