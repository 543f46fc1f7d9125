"""Fault-finding."""

from calculators.declaring.quantities import RESISTANCE, VOLTAGE
from calculators.self_checks.asking import Choice, Draw, Figure, Option, one_of_two, result


def half_of_it(draw: Draw) -> Choice:
    """Which test next?"""
    asked, right, why, wrongs = draw.pick(
        (
            "Engine whine. With shorting plugs in the amplifier's inputs it is gone.",
            "Plugs out, leads in, processor's outputs muted",
            "The amplifier is behind the plugs and is proven: halve what lies in front.",
            ("AC at the battery posts", "One speaker line at a time"),
        ),
        (
            "Engine whine. With shorting plugs in the amplifier's inputs it stays.",
            "AC at the battery posts",
            "Nothing in front of the plugs can do it: supply, ground and lines are left.",
            ("Processor's outputs muted", "Aerial plug out of the source"),
        ),
        (
            "One tweeter is silent. With both tweeters' plugs exchanged at the amplifier the other one is silent.",
            "The two inputs of the amplifier exchanged",
            "Line and driver are proven: the fault lies in front of the plug.",
            ("Resistance of the line", "A new tweeter"),
        ),
        (
            "One woofer is silent. With both woofers' plugs exchanged at the amplifier the same one is silent.",
            "Resistance of its line",
            "The channel is proven: the fault lies behind the plug.",
            ("The two inputs of the amplifier exchanged", "Processor read back once more"),
        ),
    )
    return Choice(
        f"{asked} What next?",
        (Option(right), *(Option(words, f"That half is proven already. {why}") for words in wrongs)),
        (
            Option(why),
            Option("The cheapest part is changed first.", "A part that is changed before the fault is found is paid for twice."),
            Option("It is mostly that.", "Mostly is no reading."),
        ),
        draw.pick(0, 1, 2),
        f"{right}. {why}",
        hint="Which half has just been proven good?",
    )  # fmt: skip


def quarter_volts(draw: Draw) -> Figure:
    """Volts of an identity tone."""
    full, under = draw.pick(2.0, 4.0, 5.0, 8.0), draw.pick(6.0, 12.0, 18.0, 20.0)
    volts = full * result("decibels", decibels=-under).voltage_ratio
    return Figure(
        f"A processor gives {full:g} V at full scale. A file at −{under:g} dBFS plays, trims at 0 dB. How many volts are at its output?",
        volts, 0.02 * volts, VOLTAGE, "V",
        "Full output times 10 to the power of dB over 20.",
        f"{full:g} V × 10^(−{under:g}/20) = {volts:.2f} V.",
        {
            "For volts it is dB over 20, not over 10.": full * 10 ** (-under / 10),
            "It is softer than full scale.": full * 10 ** (under / 20),
            "Decibels do not come off volts like that.": full * (1 - under / 100),
        },
        "decibels",
    )  # fmt: skip


def undo_it(draw: Draw) -> Choice:
    """Is this cure undone?"""
    cure, undo, why = draw.pick(
        ("A ground joint was remade, and the whine is gone.", True, "A loose joint hurts nobody for a minute, and it proves the cure."),
        ("A signal lead was replaced, and the hiss is gone.", True, "The old lead hurts nobody, and it proves the cure."),
        ("A chafed speaker line was mended.", False, "A short put back may cost the output stage."),
        ("A burnt coil was replaced.", False, "What is burnt proves nothing any more."),
        ("A loose box was bolted down.", False, "A loose box is never put back to prove a point."),
        ("A preset was loaded anew, and the image is back.", True, "The old setting hurts nobody, and it proves the cure."),
    )  # fmt: skip
    return Choice(
        f"{cure} Is the cure undone, to see the fault come back?",
        one_of_two(undo, "Yes, then done again", "No: the test that found it is repeated", why),
        (
            Option(why),
            Option("It is always undone.", "Not where it hurts somebody or something."),
            Option("It is never undone: it works.", "What works by itself comes back by itself."),
        ),
        draw.pick(0, 1, 2),
        why,
        hint="Could the fault hurt somebody or something while it is back?",
    )  # fmt: skip


def coil_reading(draw: Draw) -> Figure:
    """What the ohmmeter should read."""
    (coil, label), length = (
        draw.pick((3.2, 4.0), (3.4, 4.0), (3.6, 4.0), (6.4, 8.0)),
        draw.pick(4.0, 6.0, 8.0),
    )
    lead = result(
        "speaker-lead", load=4.0, length=length, area=7.5e-07, power=70.0, temperature=20.0
    ).resistance
    both = coil + lead
    return Figure(
        f"A driver's label says {label:g} Ω, its coil has {coil:g} Ω. Its line is {length:g} m of 0.75 mm², {1e3 * lead / (2 * length):.3g} mΩ a metre of each wire. "
        "What does an ohmmeter read at the amplifier's plug?",
        both, 0.02, RESISTANCE, "Ω",
        "Coil and line in series, and the line goes there and back.",
        f"{coil:g} Ω + 2 × {length:g} m × {1e3 * lead / (2 * length):.3g} mΩ/m = {both:.2f} Ω.",
        {
            "One of the two wires is missing.": coil + lead / 2,
            "The line adds, it does not take away.": coil - lead,
            "The line is missing.": coil,
            "Printed impedance is not the coil's resistance.": label + lead,
        },
        "speaker-lead",
    )  # fmt: skip


def like_with_like(draw: Draw) -> Choice:
    """What may be exchanged?"""
    silent, like, unlike = draw.pick(
        ("left tweeter", "right tweeter", ("left woofer", "subwoofer")),
        ("right woofer", "left woofer", ("right tweeter", "left tweeter")),
        ("right tweeter", "left tweeter", ("right woofer", "subwoofer")),
    )
    return Choice(
        f"The {silent} is silent. With which plug do you exchange its plug at the amplifier, gains at minimum?",
        (Option(f"The {like}'s"), *(Option(f"The {other}'s", "A tweeter on a channel made for low notes dies at the first one.") for other in unlike)),
        (
            Option("Like with like: only that channel has the same filter."),
            Option("The nearest plug is the quickest.", "The nearest may be the subwoofer's."),
            Option("Any will do at minimum gain.", "A switch-on thump at minimum gain is enough for a tweeter."),
        ),
        draw.pick(0, 1, 2),
        "Tweeter with tweeter, woofer with woofer, off before any plug moves.",
        hint="Which channel has the same high-pass?",
    )  # fmt: skip


def fault_record(draw: Draw) -> Choice:
    """Which reading is the fault?"""
    bad = draw.pick(0, 1, 2, 3)
    lines = (
        ("Battery posts, 2000 rpm: {} V AC", "0.03", "0.31", "0.1 V is the most: the charging system"),
        (
            "Amplifier's ground terminal to battery negative, 30 A: {} V",
            "0.06",
            "0.24",
            "0.10 V is the most: a ground joint",
        ),
        (
            "Processor's ground to amplifier's ground: {} V",
            "0.006",
            "0.09",
            "0.02 V is the most: bring them to one point",
        ),
        (
            "Feed leg to body, the unit on 13.2 V: {} V DC",
            "6.6",
            "0.2",
            "half of the unit's supply ± 0.5 V is right: a leg touches the body",
        ),
    )
    texts = [
        line.format(wrong if place == bad else good) for place, (line, good, wrong, _) in enumerate(lines)
    ]
    largest = (
        "Here it happens to be. A healthy leg reads 6.6 V, more than any of these."
        if bad == 3
        else "A leg of 6.6 V is healthy; 0.06 V between grounds would not be."
    )
    order = [bad, *(place for place in range(len(lines)) if place != bad)]
    return Choice(
        "Engine whine. Four readings. Which of them is the fault?",
        tuple(Option(texts[place], "That reading is as it should be.") for place in order),
        (
            Option(f"{lines[bad][3][0].upper()}{lines[bad][3][1:]}."),
            Option("The largest number is the fault.", largest),
            Option("All of them are a little off.", "One of them is far out, the others are well inside."),
        ),
        draw.pick(0, 1, 2, 3),
        f"{texts[bad]}: {lines[bad][3]}.",
        hint="Each reading has its own limit in the tree of engine whine.",
    )  # fmt: skip
