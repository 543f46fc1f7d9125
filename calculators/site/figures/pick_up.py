"""Figures of the survey of the feeds, and of signal pick-up."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import Dot, Line, Shape, Text
from calculators.vocabulary import symbols


def _legs(left: float, right: float, upper: float, lower: float) -> tuple[Shape, ...]:
    return (
        Line(((left, upper), (right, upper)), "signal"),
        Line(((left, lower), (right, lower)), "signal"),
    )


def isolated_tap() -> Drawing:
    """A resistor in each leg, one across, then the recorder; the load stays on."""
    upper, lower = 96.0, 168.0
    return Drawing(
        title="Isolated tap, one for each feed: a resistor in each leg, never a leg to a shield.",
        spoken=(
            "From the factory unit two legs of a feed run to its speaker or dummy load, which stays on. From "
            "each leg a resistor of 10 kilohm, at the vehicle's end of the lead, insulated, leads to the "
            "recorder; behind the two a resistor of 2.2 kilohm joins the leads. Recorder and computer run on "
            "battery. Nothing joins a leg to chassis, to a shield, or to a leg of another feed."
        ),
        height=252,
        shapes=(
            *symbols.box(4, 84, 76, 96, ("Factory", "unit")),
            *_legs(80, 150, upper, lower),
            Line(((112, upper), (112, lower)), "signal"),
            *symbols.resistor((112, 132), 34, upright=True),
            Dot((112, upper)),
            Dot((112, lower)),
            Text((112, 196), "speaker or", "middle"),
            Text((112, 212), "4 Ω dummy", "middle"),
            *symbols.resistor((172, upper)),
            *symbols.resistor((172, lower)),
            Text((172, 78), "10 kΩ", "middle", strong=True),
            Text((172, 196), "10 kΩ", "middle", strong=True),
            *_legs(194, 296, upper, lower),
            Line(((236, upper), (236, lower)), "signal"),
            *symbols.resistor((236, 132), 34, upright=True),
            Dot((236, upper)),
            Dot((236, lower)),
            Text((222, 136), "2.2 kΩ", "end", strong=True),
            *symbols.box(296, 84, 80, 96, ("Recorder", "on battery")),
            Text((4, 24), "1 % resistors, in sleeve,"),
            Text((4, 42), "at the vehicle's end of the lead."),
            Text((4, 240), "No leg to chassis, shield or another feed.", strong=True),
        ),
    )


def feed_pad() -> Drawing:
    """The pad between a feed and an input, with the load resistor where the unit looks for a speaker."""
    upper, lower = 96.0, 168.0
    return Drawing(
        title="Pad and load. Both legs alike; the load resistor stands at the factory unit's side.",
        spoken=(
            "Two legs of a feed come from the factory unit. A load resistor joins them at the unit's side, "
            "on metal and 20 millimetres from anything. Behind it stands a resistor in each leg, R1, and one "
            "across, R2, at the processor's end; then the two legs enter the balanced input, plus and minus. "
            "The screen of the lead is joined at the processor alone."
        ),
        height=252,
        shapes=(
            *symbols.box(4, 84, 76, 96, ("Factory", "unit")),
            *_legs(80, 168, upper, lower),
            Line(((124, upper), (124, lower)), "signal"),
            *symbols.resistor((124, 132), 40, upright=True),
            Dot((124, upper)),
            Dot((124, lower)),
            Text((124, 78), "load, on metal", "middle", strong=True),
            *symbols.resistor((190, upper)),
            *symbols.resistor((190, lower)),
            Text((190, 120), "R1", "middle", strong=True),
            Text((190, 152), "R1", "middle", strong=True),
            *_legs(212, 300, upper, lower),
            Line(((250, upper), (250, lower)), "signal"),
            *symbols.resistor((250, 132), 34, upright=True),
            Dot((250, upper)),
            Dot((250, lower)),
            Text((264, 136), "R2", strong=True),
            Text((290, upper - 6), "+", "middle"),
            Text((290, lower - 6), "−", "middle"),
            *symbols.box(300, 84, 76, 96, ("Processor", "input")),
            Text((4, 24), "Where no pad is needed the legs"),
            Text((4, 42), "run straight through; the load stays."),
            Text((4, 228), "Screen: joined at the processor only.", strong=True),
        ),
    )


def feed_map() -> Drawing:
    """What the feeds of one side carry, from unit to processor."""

    def row(y: float, name: str, lines: tuple[str, str], into: str) -> tuple[Shape, ...]:
        return (
            *symbols.box(96, y, 92, 40, (name,)),
            Line(((76, 132), (76, y + 20), (96, y + 20)), "signal"),
            Line(((188, y + 20), (296, y + 20)), "signal"),
            Text((194, y + 14), lines[0]),
            Text((194, y + 36), lines[1]),
            *symbols.box(296, y, 80, 40, (into,)),
        )

    return Drawing(
        title="The running job, one side: every feed with band, polarity, time, and what rides on it.",
        spoken=(
            "Left side of the running job. The factory unit gives three feeds. The woofer's is low-passed "
            "near 3 kilohertz, the right way round, and carries chimes. The tweeter's is high-passed near 3 "
            "kilohertz, inverted and 0.10 millisecond late. The rear's has a fader and an equaliser of its "
            "own and is not used. The first two go to two inputs of the processor."
        ),
        height=290,
        shapes=(
            *symbols.box(4, 102, 62, 60, ("Factory", "unit")),
            Line(((66, 132), (76, 132)), "signal"),
            *row(24, "Woofer", ("under 3 kHz, +", "chimes"), "Input 1"),
            *row(112, "Tweeter", ("over 3 kHz, −", "0.10 ms late"), "Input 2"),
            *row(200, "Rear", ("own fader", "and equaliser"), "not used"),
            Text((4, 276), "Right side the same, without chimes."),
        ),
    )
