"""Signal and levels: decibels, volts, loads, what clips first."""

from calculators.declaring.quantities import LEVEL, VOLTAGE
from calculators.self_checks import pictures
from calculators.self_checks.asking import Choice, Draw, Figure, Option, next_of, one_of_two, result, signed


def decibel_change(draw: Draw) -> Figure:
    """A change of volts in decibels."""
    before, after = draw.pick(2.0, 4.0, 9.0, 12.0, 17.0), draw.pick(1.0, 3.0, 5.0, 7.0, 14.0)
    change = result("decibels", voltage_ratio=after / before).decibels
    return Figure(
        f"A gain is turned from {before:g} V to {after:g} V. By how many dB does the level change? Mind the sign.",
        change, 0.15, LEVEL, "dB",
        "20 times the logarithm of the new over the old.",
        f"20·log({after:g} ÷ {before:g}) = {signed(change)} dB.",
        {
            "Louder or softer? The sign is the wrong way round.": -change,
            "That is for power: for volts it is 20 times the logarithm.": change / 2,
            "A ratio is not decibels yet: take its logarithm.": after / before,
        },
        "decibels",
    )  # fmt: skip


def volts_for_power(draw: Draw) -> Figure:
    """Volts for a power."""
    power, load = draw.pick(40.0, 50.0, 75.0, 100.0, 150.0, 300.0), draw.pick(2.0, 4.0, 8.0)
    volts = result("gain-voltage", power=power, load=load).voltage
    return Figure(
        f"{power:g} W into {load:g} Ω. How many volts RMS?",
        volts, 0.01 * volts, VOLTAGE, "V",
        "Power is volts squared over ohms.",
        f"√({power:g} W × {load:g} Ω) = {volts:.2f} V.",
        {
            "That is the peak on a scope, not RMS.": volts * 2**0.5,
            "That is the current in amperes: √(P ÷ R).": volts / load,
            "The square root is missing.": volts**2,
            "Peak taken for RMS the other way: do not divide by √2.": volts / 2**0.5,
        },
        "gain-voltage",
    )  # fmt: skip


def noise_level(draw: Draw) -> Figure:
    """Noise at the ear."""
    volts = draw.pick(0.0003, 0.0005, 0.001, 0.002)
    sensitivity, distance = draw.pick(88.0, 90.0, 92.0, 94.0), draw.pick(0.5, 0.8, 1.2)
    level = result(
        "noise-at-ear", noise_voltage=volts, load=4.0, sensitivity=sensitivity, distance=distance
    ).level
    falls = (
        result("noise-at-ear", noise_voltage=volts, load=4.0, sensitivity=sensitivity, distance=1.0).level
        - level
    )
    return Figure(
        f"{volts * 1e3:g} mV of noise at a tweeter of 4 Ω, {sensitivity:g} dB for 1 W at 1 m. How loud is it {distance:g} m away?",
        level, 0.3, LEVEL, "dB",
        "Watts first, then 10·log of the watts, then 20·log of the distance.",
        f"({volts * 1e3:g} mV)² ÷ 4 Ω, {sensitivity:g} dB for a watt, {distance:g} m: {level:.1f} dB.",
        {
            "The sensitivity is for 1 W, which is 2 V at 4 Ω, not 2.83 V.": level - 3.01,
            "The distance is missing.": level + falls,
            "Farther is softer: the distance counts the other way.": level + 2 * falls,
        },
        "noise-at-ear",
    )  # fmt: skip


def two_levels(draw: Draw) -> Figure:
    """Two sounds together."""
    one, under = draw.pick(62.0, 70.0, 74.0, 81.0), draw.pick(0.0, 1.0, 2.0, 3.0, 4.0)
    both = result("level-sum", levels=[{"level": one}, {"level": one - under}], coherent=False)
    in_step = result("level-sum", levels=[{"level": one}, {"level": one - under}], coherent=True)
    return Figure(
        f"Pink noise from the left reads {one:g} dB, other pink noise from the right {one - under:g} dB. What do both together read?",
        both.total, 0.2, LEVEL, "dB",
        "The powers add: 10·log of the sum of 10^(L/10).",
        f"{both.above_loudest:.1f} dB over the louder one: {both.total:.1f} dB.",
        {
            "Decibels are not added like centimetres.": 2 * one - under,
            "That is for the same signal in step: here the two have nothing to do with each other.": in_step.total,
            "The softer one adds something, too.": one,
        },
        "level-sum",
    )  # fmt: skip


def may_it_drive(draw: Draw) -> Choice:
    """May this amplifier drive it?"""
    coil, count = draw.pick(1.0, 2.0, 4.0), draw.pick(1, 2)
    wiring, least = draw.pick("series", "parallel"), draw.pick(1.0, 2.0, 4.0)
    load = result(
        "speaker-load",
        coils=[{"name": "Subwoofer", "impedance": coil, "count": count, "coils_each": 2}],
        wiring=wiring,
        amplifier_minimum=least,
    ).load
    coils = 2 * count
    may = load >= least
    other = coil / coils if wiring == "series" else coil * coils
    than = "not under" if may else "under"
    return Choice(
        f"{coils} coils of {coil:g} Ω, all in {wiring}. The amplifier is made for {least:g} Ω or more. May it drive them?",
        one_of_two(may, "Yes", "No", f"The load is {load:g} Ω, {than} {least:g} Ω."),
        (
            Option(f"The load is {load:g} Ω."),
            Option(f"The load is {other:g} Ω.", f"That is the other way of wiring. In {wiring} it is {load:g} Ω."),
            Option(f"The load is {coil:g} Ω, as printed.", f"That is one coil alone; {coils} in {wiring} are {load:g} Ω."),
        ),
        draw.pick(0, 1, 2),
        f"{coils} × {coil:g} Ω in {wiring} are {load:g} Ω.",
        hint="In series ohms add; in parallel one coil's ohms are divided by their number.",
    )  # fmt: skip


CLOSE = 0.3
"""dB: nearer than this to its limit, a stage is neither safe nor clipping on paper."""


def first_to_clip(draw: Draw) -> Choice:
    """What clips first?"""
    source, range_ = draw.pick(4.0, 6.0, 8.0), draw.pick(5.0, 7.0, 10.0)
    full, trim, boost = 4.0, draw.pick(0.0, 4.5, 9.0), draw.pick(3.0, 6.0)
    stages = [
        {"name": "Processor input", "input_max": range_, "gain": -trim},
        {"name": "Processor output", "output_max": full, "unity": range_, "gain": 0.0, "boost": boost},
    ]
    chain = result("gain-chain", source=source, stages=stages, headroom=0.0, reserve=0.0)
    own = {stage["name"] for stage in stages}
    margins = {row.name: row.clip_margin for row in chain.chain if row.name in own}
    first = min(margins, key=margins.__getitem__)
    names = [first, *(name for name in margins if name != first)]
    spare = margins[first]
    verdict = (
        "It clips before the source is at its ceiling." if spare < 0 else "Nothing clips up to the ceiling."
    )
    other = (
        "Nothing clips up to the ceiling." if spare < 0 else "It clips before the source is at its ceiling."
    )
    return Choice(
        f"The source gives {source:g} V at its ceiling. The processor's input takes {range_:g} V; its output gives {full:g} V at full scale. "
        f"Between them a trim takes off {trim:g} dB, and after it an equaliser boosts by {boost:g} dB. Which stage is nearest to clipping, and does it clip?",
        tuple(
            Option(name, f"It has {signed(margins[name])} dB left; {first.lower()} has {signed(spare)} dB.") for name in names
        ),
        (Option(verdict), Option(other, f"The least that is left is {signed(spare)} dB.")),
        draw.pick(0, 1),
        f"{first}: {signed(spare)} dB are left.",
        hint="20·log of what a stage takes over what it gets; a trim comes on top, a boost comes off.",
        decided=abs(spare) >= CLOSE,
    )  # fmt: skip


TRACES = {
    "round": (
        (0.8, 1.0, 1.0),
        "The gain may stay",
        "Tops and bottoms are round: there are volts to spare.",
        "Round tops and bottoms are no sign of trouble.",
    ),
    "flat": (
        (1.3, 0.85, 0.85),
        "Turn it down until tops and bottoms are round",
        "Tops and bottoms are flat: there are no more volts to give.",
        "A flat top is not a loud tone: it is a tone that was cut off.",
    ),
    "flat on one side": (
        (0.9, 0.45, 1.0),
        "Turn it off: this amplifier is not sound",
        "One side alone is flat: half of its supply or its output is missing.",
        "More or less gain does not mend one side alone.",
    ),
}
"""What a scope shows: drive, top and bottom; what to do; why; what is said to who did not see it."""


def scope_trace(draw: Draw) -> Choice:
    """What do you do at this picture?"""
    shown = draw.pick(*TRACES)
    tone = draw.pick(40, 100, 400)
    drawn, do, why, not_so = TRACES[shown]
    others = [name for name in TRACES if name != shown]
    return Choice(
        f"A test tone of {tone} Hz at an amplifier's output, speakers off, while its gain is set. The meter reads its target. What do you do?",
        (Option(do), *(Option(TRACES[name][1], not_so) for name in others)),
        (Option(why), *(Option(TRACES[name][2], f"Look again: it is {shown}.") for name in others)),
        draw.pick(0, 1, 2),
        f"{why} {do}.",
        hint="Round: volts to spare. Flat: none. Compare tops with bottoms.",
        picture=pictures.on_a_scope(*drawn),
    )


STAGES_SET = (
    "The source's highest clean step",
    "The processor's input range",
    "The processor's trim",
    "The amplifier's gain",
    "The limiter",
)


def gains_in_order(draw: Draw) -> Choice:
    """Which stage is set next?"""
    return next_of(
        draw,
        "Gains are set with a meter and a scope.",
        STAGES_SET,
        "Not yet: “{}” comes before it.",
        (
            Option("Each stage is set with what the one before it gives."),
            Option("The amplifier first: it is the loudest.", "What clips before it cannot be turned down by it."),
            Option("Any order, if nothing clips at the end.", "A stage that clips early is not seen at the end: it only sounds."),
        ),
        "Follow the signal from the source on.",
    )  # fmt: skip
