"""The leg of a hold-up capacitor: its fuse at each refill, and the capacitor's voltage rating."""

from calculators.declaring import Advice
from calculators.physics import fuses
from calculators.physics.hold_up import Refill

SURGE = 2.0
"""Volts over the charging voltage that a capacitor is rated for: ripple of 4 V peak to peak on the
supply, ISO 16750-2 from memory."""


def fuse_verdict(rating: float | None, refill: Refill, given: float) -> str:
    """How the fuse of the capacitor's leg fares, in words.

    ``rating`` in ampere, ``given`` what the capacitor gives the device at its lowest voltage.
    """
    if rating is None:
        return "not chosen"
    if given > rating:
        return f"too small: the capacitor gives {given:.3g} A"
    if refill.peak <= rating:
        return f"carries every refill: {refill.peak:.3g} A at most"
    if refill.joule_integral <= fuses.pulse_withstand(rating):
        return "carries every refill: too short to heat it"
    return "may open at the first restart"


def refill_advice(rating: float | None, refill: Refill, given: float, limited: bool) -> tuple[Advice, ...]:
    """What to do where the fuse may open at a refill, or where nothing limits it."""
    verdict = fuse_verdict(rating, refill, given)
    remedy = "a larger fuse that its cable carries"
    if rating is None or given <= rating:
        remedy = (
            "more ohm in the charge resistor, or a larger fuse that its cable carries"
            if limited
            else "a charge resistor with a by-pass diode, or an isolator that limits the current"
        )
    if rating is not None and not verdict.startswith("carries"):
        return (
            Advice(
                "fuse_verdict",
                f"The fuse of {rating:g} A in the capacitor's leg: {verdict}. The refill is "
                f"{refill.peak:.3g} A and {refill.joule_integral:.3g} A²s; over and over it bears "
                f"{rating:g} A, or {fuses.pulse_withstand(rating):.2g} A²s in a burst (from memory). "
                f"It takes {remedy}.",
            ),
        )
    if rating is None and not limited:
        return (
            Advice(
                "refill_current", f"Nothing limits the refill: up to {refill.peak:.3g} A. It takes {remedy}."
            ),
        )
    return ()


def rating_advice(rating: float | None, charging_voltage: float) -> tuple[Advice, ...]:
    """A danger where the capacitor's voltage rating leaves no room over the charging voltage."""
    wanted = charging_voltage + SURGE
    if rating is None or rating >= wanted:
        return ()
    return (
        Advice(
            "voltage_rating",
            f"{rating:g} V is too low: {charging_voltage:g} V of charging and {SURGE:g} V for surges ask for "
            f"{wanted:g} V or more, so 20 V or 25 V, or a set in series whose data sheet says so. Over its "
            "rating a capacitor vents or bursts.",
            danger=True,
        ),
    )
