"""The leg of a hold-up capacitor: its parts, its refill, and what a capacitor that fails short does to it."""

from dataclasses import dataclass

from calculators.declaring import InputError, Number
from calculators.declaring.quantities import CURRENT, POWER, RESISTANCE, VOLTAGE
from calculators.physics import fuses
from calculators.physics.hold_up import Refill, refill

REFILL_WANTED = 20.0
"""Seconds in which a capacitor is full again, for the next red light. Common practice, no source."""

OPENS_WITHIN = 5.0
"""Seconds in which a leg's fuse opens on a capacitor that has failed short: those of a blade at twice its
rating. Under that it may take minutes, so the charge resistor is made for what flows at twice the rating."""

SOON_AT = next(
    row.multiple for row in fuses.BLADE.opening_times if row.most is not None and row.most <= OPENS_WITHIN
)
"""Least multiple of its rating at which a leg's fuse opens so soon."""

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


@dataclass(frozen=True, kw_only=True)
class Leg:
    """The leg from the node to the capacitor: its ``fuse`` in ampere, its ``resistor`` in ohm, the watts that
    this is ``made_for``, the isolator's ``limit`` in ampere; None where there is none or nobody knows.

    ``farad`` of the capacitor, 0 where none is needed, with the ohm of its ``esr``; behind a by-pass diode,
    which takes some volts, it is ``farad_behind_diode``, unless it is one at hand. ``path`` is the ohm of
    battery, cable and fuses, ``charging`` the highest volts while the vehicle charges, ``rested`` those
    before a start, on the battery alone, ``drop`` the isolator's and ``bypass`` that of a diode across a
    charge resistor. The device takes ``given`` ampere at its ``minimum`` volts.

    The isolator's limit feeds the device too: one that leaves nothing for the capacitor is an InputError.
    """

    fuse: float | None
    resistor: float | None
    made_for: float | None
    limit: float | None
    farad: float
    farad_behind_diode: float
    esr: float
    path: float
    charging: float
    rested: float
    drop: float
    bypass: float
    given: float
    minimum: float

    def __post_init__(self) -> None:
        """Refuse a limit that the device takes whole."""
        if self.limit is not None and self.limit <= self.given:
            raise InputError(
                "charge_limit",
                f"The isolator feeds the device too, which takes {self.given:.3g} A at its lowest voltage: "
                "nothing is left to refill the capacitor. It takes one that lets more through.",
            )

    def _filled(self, gap: float, limit: float | None) -> Refill:
        """What flows into the capacitor, so many volts under full."""
        ohm = self.path + self.esr + (self.resistor or 0.0)
        return refill(max(self.farad, LEAST_FARAD), max(gap, 0.0) if self.farad else 0.0, ohm, limit)

    @property
    def _gap(self) -> float:
        """Volts under full after a start that took the device to its minimum.

        The capacitor gave through the by-pass diode, so it stands that much higher than the device.
        """
        held = self.minimum + (self.bypass if self.resistor else 0.0)
        return self.charging - self.drop - held

    @property
    def after_start(self) -> Refill:
        """The refill after a start, by all of a limit: a device that is off leaves it to the capacitor."""
        return self._filled(self._gap, self.limit)

    @property
    def from_empty(self) -> Refill:
        """The same from empty: through the resistor alone, since the diode blocks this way."""
        return self._filled(self.charging - self.drop, self.limit)

    @property
    def refill_time(self) -> float:
        """Seconds until it is full again after a start; of a limit it counts what the device leaves."""
        left = None if self.limit is None else self.limit - self.given
        return self._filled(self._gap, left).time

    @property
    def in_time(self) -> bool:
        """Whether it is full again by the next red light."""
        return self.refill_time <= REFILL_WANTED

    @property
    def branch(self) -> float:
        """Ampere of the branch that feeds device and capacitor."""
        both = self.after_start.peak + self.given
        return both if self.limit is None else min(both, self.limit)

    @property
    def bears_refill(self) -> bool:
        """Whether the refill leaves the fuse whole each time: under its rating, or too short to heat it."""
        if self.fuse is None:
            return False
        flows = self.after_start
        # A limit of 7.5 A comes back from ohm and volts a hair over the 7.5 A of the fuse.
        return flows.peak <= self.fuse * (1 + 1e-9) or flows.joule_integral <= fuses.pulse_withstand(
            self.fuse
        )

    @property
    def carries(self) -> bool:
        """Whether the fuse stands each refill, and all that the capacitor gives."""
        return self.fuse is not None and self.given <= self.fuse and self.bears_refill

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

    @property
    def resistor_wanted(self) -> float | None:
        """Watts that the charge resistor is made for, at least; None where there is none."""
        return self.heat(self.lasting)

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
        return soon(self.opening)

    @property
    def largest_that_opens(self) -> float | None:
        """Ampere of the largest blade fuse that opens so soon; None where none does."""
        if self.arcs:
            return None
        return max(
            (
                rating
                for rating in fuses.BLADE_RATINGS
                if soon(fuses.longest_opening_time(self.shorted, rating, fuses.BLADE))
            ),
            default=None,
        )

    def heat(self, ampere: float) -> float | None:
        """Watts in the charge resistor at that current; None where there is none."""
        return None if self.resistor is None else ampere**2 * self.resistor


def soon(seconds: float | None) -> bool:
    """Whether a fuse that may take so long opens before anything gets hot; None is for good."""
    return seconds is not None and seconds <= OPENS_WITHIN
