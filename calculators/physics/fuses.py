"""Fuses: the rating for a load, never above its cable, and how soon it opens on a fault.

Sources: ISO 8820-3 (blade fuses), ISO 8820-5 (strip fuses), IEC 60364-4-43 (protection against
overload and short circuit, by analogy: its parent leaves vehicles out).
Rows marked memory were not seen in print: whoever shows one adds "check the fuse's data sheet".
"""

from dataclasses import dataclass
from functools import cache

from calculators.physics.checking import require_fraction, require_not_negative, require_positive
from calculators.physics.confidence import Confidence

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

LOAD_FRACTION = 0.8
"""Share of its rating a fuse carries without end. 125 % rule, general practice."""

CAR_SUPPLY = 16.0
"""Volts up to which a network counts as one of 12 V. Common practice, no source."""

OVERLOAD_LIMIT = 1.45
"""Multiple of what a cable carries at which its fuse must surely open. IEC 60364-4-43, 433.1."""

FUSE_DISTANCE = 0.30
"""Metres from the battery within which the fuse sits. Common practice, no source; local code rules.
"""

FUSE_DISTANCE_LIMIT = 0.45
"""Metres beyond which no exception is made. Common practice, no source; local code rules."""


@dataclass(frozen=True)
class OpeningTime:
    """How soon a fuse opens at a multiple of its rating.

    multiple: a ratio. least, most: s; the most is None where it need never open.
    """

    multiple: float
    least: float
    most: float | None
    confidence: Confidence


@dataclass(frozen=True)
class FuseType:
    """One kind of fuse by its standard.

    ratings: A. breaking_capacity: A, the most fault current it is made to interrupt. voltage: V, the most
    it is made for. It opens opening_times after an overload.
    """

    name: str
    ratings: tuple[float, ...]
    breaking_capacity: float
    voltage: float
    opening_times: tuple[OpeningTime, ...]

    @property
    def surely_opens(self) -> float:
        """Least multiple of the rating that opens it in the end."""
        return next(row.multiple for row in self.opening_times if row.most is not None)


BLADE = FuseType(
    "blade",
    BLADE_RATINGS,
    1000.0,
    32.0,
    (
        OpeningTime(1.10, 360_000.0, None, "published"),
        OpeningTime(1.35, 0.75, 600.0, "published"),
        OpeningTime(1.60, 0.25, 50.0, "memory"),
        OpeningTime(2.00, 0.15, 5.0, "memory"),
        OpeningTime(3.50, 0.04, 0.5, "memory"),
        OpeningTime(6.00, 0.02, 0.1, "memory"),
    ),
)
"""Blade fuse, ISO 8820-3:2015: 1000 A and 32 V. 110 % and 135 % quoted by data sheets; times between
them and beyond from memory."""

SMALL_STRIP = FuseType(
    "small strip",
    (30.0, 40.0, *(rating for rating in BOLT_DOWN_RATINGS if rating <= 200.0)),
    1000.0,
    32.0,
    (
        OpeningTime(1.00, 14_400.0, None, "memory"),
        OpeningTime(1.50, 90.0, 3600.0, "memory"),
        OpeningTime(2.00, 3.0, 100.0, "memory"),
        OpeningTime(3.00, 0.3, 3.0, "memory"),
        OpeningTime(5.00, 0.1, 1.0, "memory"),
    ),
)
"""Small strip fuse on M5 studs, ISO 8820-5 type SF30, all from memory. Versions for 58 or 70 V exist."""

LARGE_STRIP = FuseType(
    "large strip",
    BOLT_DOWN_RATINGS,
    2000.0,
    32.0,
    (
        OpeningTime(1.00, 14_400.0, None, "memory"),
        OpeningTime(1.35, 120.0, 1800.0, "memory"),
        OpeningTime(2.00, 1.0, 15.0, "memory"),
        OpeningTime(3.50, 0.3, 5.0, "memory"),
        OpeningTime(6.00, 0.1, 1.0, "memory"),
    ),
)
"""Large strip fuse on M8 studs, ISO 8820-5 type SF51, all from memory. Versions for 58 or 70 V exist."""


@dataclass(frozen=True)
class FuseChoice:
    """A fuse for a load and a cable.

    rating: A, None where no fuse suits both. wanted: A, the least that the load asks for before rounding
    up. most: A, the largest standard rating the cable allows, None where it allows none.
    """

    rating: float | None
    wanted: float
    most: float | None


@dataclass(frozen=True)
class FaultCheck:
    """A short circuit at the far end, judged.

    current: A. time: s that the fuse may take, None where it need not open. energy: A²s, the joule integral
    it may let through. withstand: A²s, what the cable outlives.
    """

    current: float
    time: float | None
    energy: float | None
    withstand: float
    passes: bool


def usual_type(rating: float) -> FuseType:
    """Blade up to 40 A, large strip above. rating: A, above 0.

    Raises ValueError if it is not.
    Source: ratings of ISO 8820-3 and ISO 8820-5.
    """
    require_positive(rating=rating)
    return BLADE if rating <= BLADE_RATINGS[-1] else LARGE_STRIP


def largest_fuse(cable_current: float, fuse_type: FuseType | None = None) -> float | None:
    """Largest rating, A, that guards a cable; None where none is as small.

    cable_current: A, 0 or more, that the cable carries for hours. Of one type of fuse, or of blades and
    large strips together.
    Raises ValueError below 0.
    Source: as in `choose_fuse`.
    """
    require_not_negative(cable_current=cable_current)
    return max((rating for rating, least in _ladder(fuse_type) if least <= cable_current), default=None)


@cache
def _ladder(fuse_type: FuseType | None) -> tuple[tuple[float, float], ...]:
    """Ratings in ampere, each with what its cable must carry at least: In <= Iz and I2 <= 1.45 Iz."""
    ratings = FUSE_RATINGS if fuse_type is None else fuse_type.ratings
    found = []
    for rating in ratings:
        surely = (fuse_type or usual_type(rating)).surely_opens
        found.append((rating, rating * max(1.0, surely / OVERLOAD_LIMIT)))
    return tuple(found)


def choose_fuse(
    current: float,
    cable_current: float,
    load_fraction: float = LOAD_FRACTION,
    fuse_type: FuseType | None = None,
) -> FuseChoice:
    """Smallest standard rating that carries the load for good and never exceeds the cable.

    current: A, above 0, of the steady load. cable_current: A, 0 or more, that the cable carries for hours.
    load_fraction: share, above 0 to 1, of its rating that a fuse carries. A fuse_type of None is a blade up
    to 40 A and a large strip above.
    The rating is at least current/load_fraction; where that is above the cable the answer is None: the
    cable must grow, never the fuse. This keeps Ib ≤ In ≤ Iz and, since a fuse of its type surely opens at
    I2, also I2 ≤ 1.45 Iz.
    Raises ValueError outside those ranges.
    Source: IEC 60364-4-43 clause 433.1, by analogy.
    """
    require_positive(current=current)
    require_fraction(load_fraction=load_fraction)
    most = largest_fuse(cable_current, fuse_type)
    wanted = current / load_fraction
    # 28/0.8 is a hair off 35 in binary: without this a load that fits exactly would skip a size.
    fitting = (rating for rating, _ in _ladder(fuse_type) if rating >= wanted * (1.0 - 1e-9))
    rating = next(fitting, None)
    if rating is None or most is None or rating > most:
        return FuseChoice(None, wanted, most)
    return FuseChoice(rating, wanted, most)


def overload_protected(rating: float, cable_current: float, open_multiple: float = 1.35) -> bool:
    """Whether a fuse guards its cable against overload: In ≤ Iz and I2 ≤ 1.45 Iz.

    rating: A, above 0. cable_current: A, above 0. open_multiple: factor above 0; so many times the rating
    is the current I2 that surely opens the fuse.
    Raises ValueError outside those ranges.
    Source: IEC 60364-4-43 clause 433.1.
    """
    require_positive(rating=rating, cable_current=cable_current, open_multiple=open_multiple)
    return rating <= cable_current and open_multiple * rating <= OVERLOAD_LIMIT * cable_current * (1 + 1e-12)


def prospective_current(voltage: float, battery_resistance: float, run_resistance: float) -> float:
    """Current, A, that flows into a dead short: voltage over battery and cable, both ways.

    voltage: V, above 0. battery_resistance: Ω, above 0. run_resistance: Ω, 0 or more. For the weakest
    fault take the hot cable to its far end; for the strongest, a short right behind the fuse.
    Raises ValueError outside those ranges.
    Source: Ohm's law.
    """
    require_positive(voltage=voltage, battery_resistance=battery_resistance)
    require_not_negative(run_resistance=run_resistance)
    return voltage / (battery_resistance + run_resistance)


def longest_opening_time(current: float, rating: float, fuse_type: FuseType | None = None) -> float | None:
    """Time, s, that a fuse may take to open; None below what surely opens it.

    current, rating: A, above 0. Between the standard's points the longer time stands. Beyond its last
    multiple the element melts before its heat can leave, so its joule integral stays as it is there and
    the time falls with the square of the current.
    Raises ValueError outside those ranges.
    Source: ISO 8820-3, ISO 8820-5, partly from memory; adiabatic heating beyond them.
    """
    require_positive(current=current, rating=rating)
    rows = (fuse_type or usual_type(rating)).opening_times
    multiple, last = current / rating, rows[-1].multiple
    longest: float | None = None
    for row in rows:
        if multiple >= row.multiple:
            longest = row.most
    if longest is not None and multiple > last:
        return longest * (last / multiple) ** 2
    return longest


PULSE_SHARE = 0.2
"""Share of the joule integral that may open a fuse, for a pulse it meets tens of thousands of times.

Fuse makers' rule for repeated pulses, from memory.
"""


def pulse_withstand(rating: float) -> float:
    """Joule integral, A²s, that a fuse of the usual type outlives again and again.

    rating: A, above 0. A fifth (`PULSE_SHARE`) of the least that may open it: the smallest of
    multiple² × least time over the rows of its opening times, times the rating squared.
    Source: fuse makers' rule for repeated pulses and those rows, from memory in part.
    """
    rows = usual_type(rating).opening_times
    return PULSE_SHARE * rating**2 * min(row.multiple**2 * row.least for row in rows)


def check_fault(
    current: float, rating: float, withstand: float, fuse_type: FuseType | None = None
) -> FaultCheck:
    """Whether the fuse opens on a fault before the cable is spoilt.

    current, rating: A, above 0. withstand: A²s, above 0, k²S² of `conductors.withstand_energy`. Passes when
    I²t is no more than that. The opening times are partly from memory, so the answer is a check of
    plausibility, not a certificate.
    Raises ValueError outside those ranges.
    Source: IEC 60364-4-43, adiabatic rule.
    """
    require_positive(withstand=withstand)
    time = longest_opening_time(current, rating, fuse_type)
    if time is None:
        return FaultCheck(current, None, None, withstand, False)
    energy = current**2 * time
    return FaultCheck(current, time, energy, withstand, energy <= withstand)
