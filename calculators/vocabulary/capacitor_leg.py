"""The leg of a hold-up capacitor: its fuse at each refill, and the capacitor's voltage rating."""

from dataclasses import dataclass

from calculators.declaring import Advice, InputError
from calculators.physics import fuses
from calculators.physics.hold_up import Refill, refill

SURGE = 2.0
"""Volts over the charging voltage that a capacitor is rated for: ripple of 4 V peak to peak on the
supply, ISO 16750-2 from memory."""

REFILL_WANTED = 20.0
"""Seconds in which a capacitor is full again, for the next red light. Common practice, no source."""

LEAST_FARAD = 1e-6


@dataclass(frozen=True)
class Refills:
    """How a capacitor fills after a start and from empty; seconds to be full again; ampere of its branch."""

    after_start: Refill
    empty: Refill
    time: float
    branch: float


def refills(
    farad: float, resistance: float, full: float, minimum: float, limit: float | None, given: float
) -> Refills:
    """A capacitor of ``farad`` behind ``resistance`` ohm, filled to ``full`` volts; 0 farad fills nothing.

    The isolator's ``limit``, where it has one, feeds the device too, which takes ``given`` ampere at its
    ``minimum`` volts. So the time counts what that leaves. The fuse is judged by all of the limit, for a
    device that is off leaves all of it.
    """
    if limit is not None and limit <= given:
        raise InputError(
            "charge_limit",
            f"The isolator feeds the device too, which takes {given:.3g} A at its lowest voltage: nothing is "
            "left to refill the capacitor. It takes one that lets more through.",
        )

    def fill(gap: float, most: float | None) -> Refill:
        return refill(max(farad, LEAST_FARAD), max(gap, 0.0) if farad else 0.0, resistance, most)

    after_start = fill(full - minimum, limit)
    both = after_start.peak + given
    return Refills(
        after_start=after_start,
        empty=fill(full, limit),
        time=fill(full - minimum, None if limit is None else limit - given).time,
        branch=both if limit is None else min(both, limit),
    )


def fuse_that_stands(filling: Refill) -> float | None:
    """Ampere of the smallest blade fuse that carries a refill over and over; None where none does."""
    return next(
        (
            rating
            for rating in fuses.BLADE_RATINGS
            if filling.peak <= rating or filling.joule_integral <= fuses.pulse_withstand(rating)
        ),
        None,
    )


def wait_advice(seconds: float) -> tuple[Advice, ...]:
    """What to do where a capacitor is not full again by the next start."""
    if seconds <= REFILL_WANTED:
        return ()
    wait = f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} min"
    return (
        Advice(
            "refill_time",
            f"Full again only after {wait}, and {REFILL_WANTED:g} s are wanted: the device drops "
            "out at the second red light. It takes fewer ohm in the charge resistor, or an isolator that "
            "lets more through, and a fuse that carries that refill.",
        ),
    )


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
