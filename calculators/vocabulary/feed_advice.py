"""What is told of a speaker-level feed, its pad and its load resistor."""

from calculators.declaring import Advice
from calculators.physics.decibels import decibels_from_voltage_ratio

HEAT_SPACE = 1.5
"""Times the heat of a clipped feed that a load resistor is rated for. Common practice, no source."""
LEAST_SENSED, MOST_SENSED = 27.0, 45.0
"""Ohm: loads that are commonly taken for a speaker. From memory; the unit's own test decides."""
LEAST_LEG = 470.0
"""Ohm: with less, a leg guards little when its far side is grounded. Common practice, no source."""
LEAST_INPUT = 1000.0
"""Ohm: an input with less to chassis grounds a leg of the feed. Common practice, no source."""
CLIPPED_OVER = 0.5
"""dB: less is not heard on a wave that is clipped already. Common practice, no source."""
COARSE_BY = 6.0
"""dB under an input's limit over which its range is too coarse: the line of the tree on hiss."""
MOST_PAD_HEAT = 0.1
"""Watt in one resistor of a pad: under half of what a quarter-watt one stands. Common practice, no source."""


def of_feed(measured: float | None, converter: bool, space: float, reserve: float) -> list[Advice]:
    """What the feed itself, and its room under the input's limit, ask for."""
    advice = []
    if measured is None:
        advice.append(
            Advice(
                "measured_voltage",
                "Power on a label is mostly that of a square wave, about twice that of a sine. Measure the "
                "feed at its ceiling step, on its load.",
            )
        )
    if converter:
        advice.append(
            Advice(
                "rail",
                "More than a bridge on this supply can give without clipping: the source has a converter of "
                "its own, or it is an outboard amplifier. Its maker's data first. The clipped feed is taken "
                "as high as the peak of this sine; it may go higher.",
            )
        )
    if space < 1:
        advice.append(
            Advice("headroom", "The feed clips this input: take the pad, or a coarser input range.")
        )
    elif decibels_from_voltage_ratio(space) < reserve - 0.05:
        advice.append(
            Advice(
                "headroom",
                f"Less than the {reserve:g} dB that you asked for: take larger resistors in the legs.",
            )
        )
    elif (over := decibels_from_voltage_ratio(space) - max(reserve, COARSE_BY)) > 0.05:
        advice.append(
            Advice(
                "headroom",
                f"{decibels_from_voltage_ratio(space):.1f} dB under the input's limit: a finer range, or a "
                f"weaker pad. The input's own noise stands {over:.1f} dB higher against the music than "
                f"{max(reserve, COARSE_BY):g} dB under would leave it. A tap to measure by may be so.",
            )
        )
    return advice


def of_input(resistance: float) -> list[Advice]:
    """That an input of so few ohm may be none that floats."""
    if resistance >= LEAST_INPUT:
        return []
    message = (
        "Read each input wire to chassis, all off: under 1 kΩ it is no differential input. Do not connect "
        "it: it would ground a leg of the feed's bridge."
    )
    return [Advice("input_resistance", message, danger=True)]


def of_clipped(headroom: float) -> list[Advice]:
    """That a clipped feed overdrives the input: its peaks stand over its limit; headroom in dB."""
    over = -headroom
    if over < CLIPPED_OVER:
        return []
    return [
        Advice(
            "clipped_headroom",
            f"A feed that clips still overdrives this input, by {over:.1f} dB: take that much more in the "
            "pad, or a coarser input range; or keep the volume under the step at which the feed clips.",
        )
    ]


def of_pad(top: float, leg: float | None, leg_heat: float | None, across_heat: float | None) -> list[Advice]:
    """What is wrong with the resistors of a pad."""
    advice = []
    if leg_heat is not None and across_heat is not None and max(leg_heat, across_heat) > MOST_PAD_HEAT:
        advice.append(
            Advice(
                "across_heat",
                f"A resistor of this pad burns {max(leg_heat, across_heat):.2f} W when the feed clips: this "
                "is a load, not a pad. Take a larger resistor across.",
                danger=True,
            )
        )
    if leg is not None and leg < LEAST_LEG:
        advice.append(
            Advice(
                "leg_used",
                f"Legs of {leg:g} Ω guard nothing: one that touches chassis behind the pad passes "
                f"{top / leg:.2g} A and burns {top**2 / leg:.2g} W. Take a larger resistor across, so that "
                "the legs grow with it, or a coarser input range.",
                danger=True,
            )
        )
    return advice


def of_load(load: float | None, heat: float | None, rating: float) -> list[Advice]:
    """What is wrong with a load resistor."""
    advice = []
    if load is not None and heat is not None:
        if rating < round(HEAT_SPACE * heat, 1):  # As it is shown.
            advice.append(
                Advice(
                    "load_rating",
                    f"The load resistor burns {heat:.1f} W when the feed clips: with {rating:g} W it gets "
                    "hot enough to char carpet. On metal, 50 mm from anything that burns, and rated for one "
                    "and a half times that heat.",
                    danger=True,
                )
            )
        if not LEAST_SENSED <= load <= MOST_SENSED:
            advice.append(
                Advice(
                    "load_resistor",
                    f"Units that look for a speaker commonly take some {LEAST_SENSED:g} to {MOST_SENSED:g} Ω "
                    "for one (from memory). More may count as open; less only makes heat, and is for a unit "
                    "that still sets a code.",
                )
            )
    return advice
