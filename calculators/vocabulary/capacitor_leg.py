"""The leg of a hold-up capacitor: its fuse at each refill, and the capacitor's voltage rating."""

from dataclasses import dataclass, replace

from calculators.declaring import Advice, InputError, Number
from calculators.declaring.numerals import figures
from calculators.declaring.quantities import CURRENT, POWER, RESISTANCE, VOLTAGE
from calculators.physics import fuses
from calculators.physics.hold_up import Refill, refill
from calculators.vocabulary.cabling import voltage_advice

SURGE = 2.0
"""Volts over the charging voltage that a capacitor is rated for: ripple of 4 V peak to peak on the
supply, ISO 16750-2 from memory."""

REFILL_WANTED = 20.0
"""Seconds in which a capacitor is full again, for the next red light. Common practice, no source."""

OPENS_WITHIN = 5.0
"""Seconds in which a leg's fuse opens on a capacitor that has failed short: those of a blade at twice its
rating. Under that it may take minutes, so the charge resistor is made for what flows at twice the rating."""

SOON_AT = next(
    row.multiple for row in fuses.BLADE.opening_times if row.most is not None and row.most <= OPENS_WITHIN
)
"""Least multiple of its rating at which a leg's fuse opens so soon."""

AS_SHOWN = 0.995
"""Share of the watts wanted that counts as enough: they are shown to three figures, and typed so."""

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

    ``path`` is the ohm of battery, cable and fuses, ``charging`` the highest volts while the vehicle charges,
    ``rested`` those before a start, on the battery alone, and ``drop`` the isolator's.
    """

    fuse: float | None
    resistor: float | None
    made_for: float | None
    limit: float | None
    path: float
    charging: float
    rested: float
    drop: float

    def _into_short(self, volts: float) -> float:
        """Ampere into a capacitor that has failed short, from that supply: it has no ohm of its own then.

        The by-pass diode blocks this way, so all of it goes through the charge resistor.
        """
        drawn = fuses.prospective_current(volts - self.drop, self.path, self.resistor or 0.0)
        return drawn if self.limit is None else min(drawn, self.limit)

    @property
    def shorted(self) -> float:
        """Ampere that flow when the capacitor has failed short, at the highest charging voltage."""
        return self._into_short(self.charging)

    @property
    def arcs(self) -> bool:
        """Whether a blade fuse is not made for this voltage, so that its arc may not go out."""
        return self.charging > fuses.BLADE.voltage

    @property
    def lasting(self) -> float:
        """Ampere for which the charge resistor is made: all that flows before the fuse opens within 5 s.

        A capacitor that leaks, or a battery that does not charge, may keep it under that for minutes.
        """
        if self.fuse is None or self.arcs:
            return self.shorted
        return min(self.shorted, SOON_AT * self.fuse)

    def _opening(self, ampere: float) -> float | None:
        """Seconds that the fuse may take to open at that current; None where it need never open."""
        if self.fuse is None or self.arcs:
            return None
        return fuses.longest_opening_time(ampere, self.fuse, fuses.BLADE)

    @property
    def opening(self) -> float | None:
        """Seconds that the fuse may take on a short capacitor, while the vehicle charges; None: for good."""
        return self._opening(self.shorted)

    @property
    def opening_rested(self) -> float | None:
        """The same on the battery alone."""
        return self._opening(self._into_short(self.rested))

    @property
    def opens_soon(self) -> bool:
        """Whether the fuse opens within 5 s on a capacitor failed short, while the vehicle charges."""
        return _soon(self.opening)

    @property
    def largest_that_opens(self) -> float | None:
        """Ampere of the largest blade fuse that opens so soon; None where none does."""
        if self.arcs:
            return None
        return max(
            (
                rating
                for rating in fuses.BLADE_RATINGS
                if _soon(fuses.longest_opening_time(self.shorted, rating, fuses.BLADE))
            ),
            default=None,
        )

    def heat(self, ampere: float) -> float | None:
        """Watts in the charge resistor at that current; None where there is none."""
        return None if self.resistor is None else ampere**2 * self.resistor


def _soon(seconds: float | None) -> bool:
    """Whether a fuse that may take so long opens before anything gets hot; None is for good."""
    return seconds is not None and seconds <= OPENS_WITHIN


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
        rested = leg.opening_rested
        later = "" if _soon(rested) else f"; on the battery alone it {_slowly(leg, rested)}"
        return f"carries every refill: {carried}; opens if the capacitor fails short{later}"
    return f"carries every refill: {carried}; {_slowly(leg, leg.opening)} if the capacitor fails short"


def _slowly(leg: Leg, seconds: float | None) -> str:
    """How a fuse of the leg that does not open soon does, in words."""
    if leg.arcs:
        return f"is a blade, not made for {leg.charging:g} V, and may arc on"
    return "may never open" if seconds is None else f"may take {seconds:.0f} s to open"


def leg_advice(leg: Leg, refill: Refill, given: float) -> tuple[Advice, ...]:
    """What burns in the leg, or opens, and what to do."""
    blade = voltage_advice(leg.charging, fuses.BLADE)
    return (
        *(replace(entry, about="charging_voltage") for entry in blade),
        *_shorted_advice(leg, refill, given),
        *_refill_advice(leg, refill, given),
    )


def _shorted_advice(leg: Leg, refill: Refill, given: float) -> tuple[Advice, ...]:
    """A danger where a capacitor that fails burns the charge resistor; notes where nobody knows, or where it
    heats the isolator.
    """
    wanted = leg.heat(leg.lasting)
    if wanted is not None and leg.made_for is not None and leg.made_for < AS_SHOWN * wanted:
        behind = "no fuse" if leg.fuse is None else f"a fuse of {leg.fuse:g} A"
        watts = figures(wanted, 3)
        return (
            Advice(
                "resistor_rating",
                f"The charge resistor burns: behind {behind} a capacitor that fails may heat it with "
                f"{watts} W for a minute or more, and it is made for {leg.made_for:g} W. Fit one made for "
                f"{watts} W or more where it sits, or a smaller fuse that still carries the refill.",
                danger=True,
            ),
        )
    if leg.fuse is None or leg.opens_soon:
        if wanted is None or leg.made_for is not None:
            return ()
        return (
            Advice(
                "resistor_rating",
                "Read on the charge resistor, or in its data sheet, what it is made for as it is mounted: "
                f"{figures(wanted, 3)} W or more. Type it here.",
            ),
        )
    if wanted is not None and leg.made_for is None:
        least, most = max(refill.peak, given), leg.largest_that_opens
        smaller = (
            "" if most is None or most < least else f"a fuse of {most:g} A, which carries the refill, or "
        )
        heat = figures(leg.heat(leg.shorted) or 0.0, 3)
        return (
            Advice(
                "leg_fuse",
                f"A capacitor that fails short draws {leg.shorted:.3g} A for as long as the vehicle charges. "
                f"The fuse of {leg.fuse:g} A {_slowly(leg, leg.opening)}, and with {heat} W in it the "
                f"charge resistor burns. Fit {smaller}a charge resistor made for {figures(wanted, 3)} W or "
                "more where it sits, and type here what it is made for.",
                danger=True,
            ),
        )
    if leg.limit is not None and leg.shorted == leg.limit:
        return (
            Advice(
                "charge_limit",
                f"If the capacitor fails short, the fuse of {leg.fuse:g} A {_slowly(leg, leg.opening)}: the "
                f"isolator goes on at its limit of {leg.limit:g} A, with up to "
                f"{figures(leg.limit * (leg.charging - leg.drop), 3)} W in it. "
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
