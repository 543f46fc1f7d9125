"""Fuses: the rating for a load, never above its cable, and how soon it opens on a fault.

Sources: ISO 8820-3 (blade fuses), IEC 60364-4-43 (protection against overload and short circuit).
Rows marked ``memory`` were not seen in print: whoever shows one adds "check the fuse's data sheet".
"""

from dataclasses import dataclass
from typing import Literal

from calculators.physics.checking import require_fraction, require_not_negative, require_positive

FuseKind = Literal["blade", "bolt-down"]
Confidence = Literal["published", "memory"]

BLADE_RATINGS = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)
"""Ratings of blade fuses in ampere. ISO 8820-3."""

BOLT_DOWN_RATINGS = (
    50.0, 60.0, 70.0, 80.0, 100.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0,
    500.0,
)  # fmt: skip
"""Ratings of bolt-down and strip fuses above the blades, ampere. Common practice, no source."""

FUSE_RATINGS = BLADE_RATINGS + BOLT_DOWN_RATINGS

BLADE_COLOURS: dict[float, str] = {
    1.0: "black", 2.0: "grey", 3.0: "violet", 4.0: "pink", 5.0: "tan", 7.5: "brown", 10.0: "red",
    15.0: "blue", 20.0: "yellow", 25.0: "clear", 30.0: "green", 35.0: "blue-green",
    40.0: "orange",
}  # fmt: skip
"""Body colour by rating. ISO 8820-3, DIN 72581; 35 A from memory, so read the number on it."""

BLADE_BREAKING_CAPACITY = 1000.0
"""Most fault current a blade fuse is made to interrupt, ampere. ISO 8820-3:2015, scope."""

LOAD_FRACTION = 0.8
"""Share of its rating a fuse carries without end. 125 % rule, general practice; some plan 0.75."""

FUSE_DISTANCE = 0.30
"""Metres from the battery within which the fuse sits. Common practice, no source; local code rules.
"""

FUSE_DISTANCE_LIMIT = 0.45
"""Metres beyond which no exception is made. Common practice, no source; local code rules."""


@dataclass(frozen=True)
class OpeningTime:
    """How soon a fuse opens at a multiple of its rating.

    ``least`` and ``most`` in seconds. ``most`` is ``None`` where it need never open.
    """

    multiple: float
    least: float
    most: float | None
    confidence: Confidence


BLADE_OPENING_TIMES = (
    OpeningTime(1.10, 360_000.0, None, "published"),
    OpeningTime(1.35, 0.75, 600.0, "published"),
    OpeningTime(1.60, 0.25, 50.0, "memory"),
    OpeningTime(2.00, 0.15, 5.0, "memory"),
    OpeningTime(3.50, 0.04, 0.5, "memory"),
    OpeningTime(6.00, 0.02, 0.1, "memory"),
)
"""Blade fuse. ISO 8820-3; 110 % and 135 % quoted by data sheets, the rest from memory."""

BOLT_DOWN_OPENING_TIMES = (
    OpeningTime(1.00, 14_400.0, None, "memory"),
    OpeningTime(1.35, 120.0, 1800.0, "memory"),
    OpeningTime(2.00, 1.0, 15.0, "memory"),
    OpeningTime(3.50, 0.3, 5.0, "memory"),
    OpeningTime(6.00, 0.1, 1.0, "memory"),
)
"""Bolt-down fuse. ISO 8820-5 as remembered: slower than a blade, and it differs by type."""


@dataclass(frozen=True)
class FuseChoice:
    """``rating`` in ampere, ``None`` where no fuse suits both load and cable.

    ``wanted`` is the least rating the load asks for before rounding up; ``most`` the largest
    standard rating the cable allows, ``None`` where it allows none.
    """

    rating: float | None
    wanted: float
    most: float | None


@dataclass(frozen=True)
class FaultCheck:
    """A short circuit at the far end, judged.

    ``current`` in ampere; ``time`` in seconds the fuse may take, ``None`` where it need not open.
    ``energy`` is the joule integral it may let through, ``withstand`` what the cable outlives, both
    in A2 s.
    """

    current: float
    time: float | None
    energy: float | None
    withstand: float
    passes: bool


def fuse_kind(rating: float) -> FuseKind:
    """Blade up to 40 A, bolt-down above."""
    require_positive(rating=rating)
    return "blade" if rating <= BLADE_RATINGS[-1] else "bolt-down"


def largest_fuse(cable_current: float) -> float | None:
    """Largest standard rating not above ``cable_current`` ampere; ``None`` under 1 A."""
    require_not_negative(cable_current=cable_current)
    return max((rating for rating in FUSE_RATINGS if rating <= cable_current), default=None)


def choose_fuse(current: float, cable_current: float, load_fraction: float = LOAD_FRACTION) -> FuseChoice:
    """Smallest standard rating that carries the load for good and never exceeds the cable.

    ``current`` is the steady load in ampere, ``cable_current`` what the cable carries for hours.
    The rating is at least current/load_fraction; where that is above the cable the answer is
    ``None``: the cable must grow, never the fuse. This keeps Ib <= In <= Iz and, since a blade
    opens at 1.35 In, also I2 <= 1.45 Iz of IEC 60364-4-43 clause 433.1.
    """
    require_positive(current=current)
    require_fraction(load_fraction=load_fraction)
    most = largest_fuse(cable_current)
    wanted = current / load_fraction
    # 28/0.8 is a hair off 35 in binary: without this a load that fits exactly would skip a size.
    fitting = (rating for rating in FUSE_RATINGS if rating >= wanted * (1.0 - 1e-9))
    rating = next(fitting, None)
    if rating is None or rating > cable_current:
        return FuseChoice(None, wanted, most)
    return FuseChoice(rating, wanted, most)


def overload_protected(rating: float, cable_current: float, open_multiple: float = 1.35) -> bool:
    """Whether a fuse guards its cable against overload: In <= Iz and I2 <= 1.45 Iz.

    ``open_multiple`` times the rating is the current I2 that surely opens the fuse.
    IEC 60364-4-43 clause 433.1.
    """
    require_positive(rating=rating, cable_current=cable_current, open_multiple=open_multiple)
    return rating <= cable_current and open_multiple * rating <= 1.45 * cable_current


def prospective_current(voltage: float, battery_resistance: float, run_resistance: float) -> float:
    """Ampere that flow into a dead short: voltage over battery and cable, both ways, in ohm.

    For the weakest fault take the hot cable to its far end; for the strongest, a short right
    behind the fuse. Raises ``ValueError`` unless the battery's resistance is above zero.
    """
    require_positive(voltage=voltage, battery_resistance=battery_resistance)
    require_not_negative(run_resistance=run_resistance)
    return voltage / (battery_resistance + run_resistance)


def longest_opening_time(current: float, rating: float) -> float | None:
    """Seconds a fuse may take to open at ``current`` ampere; ``None`` below 1.35 times its rating.

    Between the standard's points the longer time stands. Beyond 6 times the rating the element
    melts before its heat can leave, so its joule integral stays as it is there and the time falls
    with the square of the current.
    """
    require_positive(current=current, rating=rating)
    blade = fuse_kind(rating) == "blade"
    multiple = current / rating
    longest: float | None = None
    for row in BLADE_OPENING_TIMES if blade else BOLT_DOWN_OPENING_TIMES:
        if multiple >= row.multiple:
            longest = row.most
    if longest is not None and multiple > 6.0:
        return longest * (6.0 / multiple) ** 2
    return longest


def check_fault(current: float, rating: float, withstand: float) -> FaultCheck:
    """Whether the fuse opens on a fault of ``current`` ampere before the cable is spoilt.

    Passes when I2 t is no more than ``withstand`` (k2 S2 in A2 s, from
    ``conductors.withstand_energy``). IEC 60364-4-43, adiabatic rule. The opening times are partly
    from memory, so the answer is a check of plausibility, not a certificate.
    """
    require_positive(withstand=withstand)
    time = longest_opening_time(current, rating)
    if time is None:
        return FaultCheck(current, None, None, withstand, False)
    energy = current**2 * time
    return FaultCheck(current, time, energy, withstand, energy <= withstand)
