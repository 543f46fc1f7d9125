"""The leg of a hold-up capacitor: its fuse at each refill, and the capacitor's voltage rating."""

from dataclasses import dataclass

from calculators.declaring import Advice, InputError, Number
from calculators.declaring.numerals import figures
from calculators.declaring.quantities import CURRENT, POWER, RESISTANCE, VOLTAGE
from calculators.physics import fuses
from calculators.physics.hold_up import Refill, refill

SURGE = 2.0
"""Volts over the charging voltage that a capacitor is rated for: ripple of 4 V peak to peak on the
supply, ISO 16750-2 from memory."""

REFILL_WANTED = 20.0
"""Seconds in which a capacitor is full again, for the next red light. Common practice, no source."""

OPENS_WITHIN = 5.0
"""Seconds in which a leg's fuse opens on a capacitor that has failed short: those of a blade at twice its
rating, so a resistor that is made for little more than the fuse lets through does not burn meanwhile."""

LEAST_FARAD = 1e-6

VOLTAGE_RATING = Number(
    "Its voltage rating", VOLTAGE, 1, 500, usual=(16, 50), optional=True, empty="not known",
    help="From its data sheet, not from its name.",
)  # fmt: skip
CHARGE_RESISTOR = Number(
    "Charge resistor in its leg", RESISTANCE, 0.1, 100, usual=(1, 10), optional=True, empty="none",
    help="With a by-pass diode across it, through which the capacitor gives.",
)  # fmt: skip
RESISTOR_RATING = Number(
    "Power the charge resistor is made for", POWER, 0.1, 1000, usual=(5, 200), optional=True,
    empty="not known", help="For good, by its data sheet, as it is mounted and as hot as its place gets.",
)  # fmt: skip
CHARGE_LIMIT = Number(
    "Or current limit of the isolator", CURRENT, 0.1, 200, usual=(0.5, 10), optional=True, empty="no limiter"
)
LEG_FUSE = Number(
    "Fuse in its leg", CURRENT, 1, 40, optional=True, empty="not chosen",
    options=tuple((f"{rating:g} A", rating) for rating in fuses.BLADE_RATINGS),
)  # fmt: skip


@dataclass(frozen=True)
class Leg:
    """The leg from the node to the capacitor: its ``fuse`` in ampere, its ``resistor`` in ohm, the watts that
    this is ``made_for``, the isolator's ``limit`` in ampere; None where there is none or nobody knows.

    ``path`` is the ohm of battery, cable and fuses, ``full`` the volts behind the isolator while the vehicle
    charges.
    """

    fuse: float | None
    resistor: float | None
    made_for: float | None
    limit: float | None
    path: float
    full: float

    @property
    def shorted(self) -> float:
        """Ampere that flow when the capacitor has failed short: it has no resistance of its own then.

        The by-pass diode blocks this way, so all of it goes through the charge resistor.
        """
        drawn = fuses.prospective_current(self.full, self.path, self.resistor or 0.0)
        return drawn if self.limit is None else min(drawn, self.limit)

    @property
    def lasting(self) -> float:
        """Ampere that a capacitor which leaks may draw for good: up to what surely opens the fuse."""
        if self.fuse is None:
            return self.shorted
        return min(self.shorted, fuses.BLADE.surely_opens * self.fuse)

    @property
    def opening(self) -> float | None:
        """Seconds that the fuse may take to open on a short capacitor; None where it need never open."""
        return None if self.fuse is None else fuses.longest_opening_time(self.shorted, self.fuse, fuses.BLADE)

    @property
    def opens_soon(self) -> bool:
        """Whether the fuse opens on a capacitor that has failed short before anything gets hot."""
        return self.opening is not None and self.opening <= OPENS_WITHIN

    def heat(self, ampere: float) -> float | None:
        """Watts in the charge resistor at that current; None where there is none."""
        return None if self.resistor is None else ampere**2 * self.resistor


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


def largest_that_opens(ampere: float) -> float | None:
    """Ampere of the largest blade fuse that opens soon at this current; None where none does."""
    return max(
        (
            rating
            for rating in fuses.BLADE_RATINGS
            if (fuses.longest_opening_time(ampere, rating, fuses.BLADE) or OPENS_WITHIN + 1) <= OPENS_WITHIN
        ),
        default=None,
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


def fuse_verdict(leg: Leg, refill: Refill, given: float) -> str:
    """How the fuse of the capacitor's leg fares, in words.

    ``given`` in ampere: what the capacitor gives the device at its lowest voltage.
    """
    if leg.fuse is None:
        return "not chosen"
    if given > leg.fuse:
        return f"too small: the capacitor gives {given:.3g} A"
    if refill.peak <= leg.fuse:
        carried = f"{refill.peak:.3g} A at most"
    elif refill.joule_integral <= fuses.pulse_withstand(leg.fuse):
        carried = "too short to heat it"
    else:
        return "may open at the first restart"
    if leg.opens_soon:
        return f"carries every refill: {carried}; opens if the capacitor fails short"
    return f"carries every refill: {carried}; {_slowly(leg)} if the capacitor fails short"


def _slowly(leg: Leg) -> str:
    """How a fuse that does not open soon does, in words."""
    return "may never open" if leg.opening is None else f"may take {leg.opening:.0f} s to open"


def leg_advice(leg: Leg, refill: Refill, given: float) -> tuple[Advice, ...]:
    """What burns in the leg, or opens, and what to do."""
    return (*_shorted_advice(leg, refill, given), *_refill_advice(leg, refill, given))


def _shorted_advice(leg: Leg, refill: Refill, given: float) -> tuple[Advice, ...]:
    """A danger where a capacitor that fails burns the charge resistor; a note where it heats the isolator."""
    wanted = leg.heat(leg.lasting)
    if wanted is not None and leg.made_for is not None and leg.made_for < wanted:
        behind = "no fuse" if leg.fuse is None else f"a fuse of {leg.fuse:g} A"
        watts = figures(wanted, 3)
        return (
            Advice(
                "resistor_rating",
                f"The charge resistor burns: behind {behind} a capacitor that fails may heat it with {watts} "
                f"W for good, and it is made for {leg.made_for:g} W. Fit one made for {watts} W or more "
                "where it sits, or a smaller fuse that still carries the refill.",
                danger=True,
            ),
        )
    if leg.fuse is None or leg.opens_soon:
        return ()
    if wanted is not None and leg.made_for is None:
        least, most = max(refill.peak, given), largest_that_opens(leg.shorted)
        smaller = (
            "" if most is None or most < least else f"a fuse of {most:g} A, which carries the refill, or "
        )
        heat = figures(leg.shorted**2 * (leg.resistor or 0.0), 3)
        return (
            Advice(
                "leg_fuse",
                f"A capacitor that fails short draws {leg.shorted:.3g} A for as long as the vehicle charges. "
                f"The fuse of {leg.fuse:g} A {_slowly(leg)}, and with {heat} W in it the charge resistor "
                f"burns. Fit {smaller}a charge resistor made for {figures(wanted, 3)} W or more where it "
                "sits, and type here what it is made for.",
                danger=True,
            ),
        )
    if leg.limit is not None and leg.shorted == leg.limit:
        return (
            Advice(
                "charge_limit",
                f"If the capacitor fails short, the fuse of {leg.fuse:g} A {_slowly(leg)}: the isolator goes "
                f"on at its limit of {leg.limit:g} A, with up to {figures(leg.limit * leg.full, 3)} W in it. "
                "Its data sheet has to say that it stands a short circuit for good.",
            ),
        )
    return ()


def _refill_advice(leg: Leg, refill: Refill, given: float) -> tuple[Advice, ...]:
    """What to do where the fuse may open at a refill, or where nothing limits it."""
    verdict = fuse_verdict(leg, refill, given)
    limited = leg.resistor is not None or leg.limit is not None
    remedy = "a larger fuse that its cable carries"
    if leg.fuse is None or given <= leg.fuse:
        remedy = (
            "more ohm in the charge resistor, or a larger fuse that its cable carries and that opens if the "
            "capacitor fails short"
            if limited
            else "a charge resistor with a by-pass diode, or an isolator that limits the current"
        )
    if leg.fuse is not None and not verdict.startswith("carries"):
        burst = figures(fuses.pulse_withstand(leg.fuse), 2)
        return (
            Advice(
                "fuse_verdict",
                f"The fuse of {leg.fuse:g} A in the capacitor's leg: {verdict}. The refill is "
                f"{figures(refill.peak, 3)} A and {figures(refill.joule_integral, 3)} A²s; over and over it "
                f"bears {leg.fuse:g} A, or {burst} A²s in a burst (from memory). It takes {remedy}.",
            ),
        )
    if leg.fuse is None and not limited:
        return (
            Advice(
                "refill_current",
                f"Nothing limits the refill: up to {figures(refill.peak, 3)} A. It takes {remedy}.",
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
