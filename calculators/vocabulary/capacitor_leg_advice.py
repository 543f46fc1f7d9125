"""What a hold-up capacitor's leg is told: how its fuse fares, what burns, and what to fit instead.

Every way out is worked out before it is offered: who fits its figures meets no second complaint.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from calculators.declaring import Advice
from calculators.declaring.numerals import figures
from calculators.physics import fuses
from calculators.vocabulary.cabling import voltage_advice
from calculators.vocabulary.capacitor_leg import REFILL_WANTED, Leg, soon

SURGE = 2.0
"""Volts over the charging voltage that a capacitor is rated for: ripple of 4 V peak to peak on the
supply, ISO 16750-2 from memory."""

CAPACITOR_RATINGS = (16.0, 20.0, 25.0, 35.0, 50.0, 63.0, 80.0, 100.0)
"""Voltage ratings that capacitors are sold with. Common practice, no source."""

AS_SHOWN = 0.995
"""Share of the watts wanted that counts as enough: they are shown to three figures, and typed so."""

MOST_WATTS = 200.0
"""Watts over which nobody finds room for a resistor. Common practice, no source."""

TWO_FIGURES = tuple(
    sorted({round(first * 10.0**power, 2) for first in range(10, 100) for power in (-2, -1, 0)} | {100.0})
)
"""Ohm and ampere of two figures, 0.1 to 100: a part is within some per cent of what it is sold for."""


@dataclass(frozen=True)
class _WayOut:
    """A fuse, ampere, and the ohm from ``least`` to ``most`` of a charge resistor that does with it."""

    fuse: float
    least: float
    most: float


def fuse_verdict(leg: Leg) -> str:
    """How the fuse of the capacitor's leg fares, in words."""
    if leg.fuse is None:
        return "not chosen"
    if leg.given > leg.fuse:
        return f"too small: the capacitor gives {leg.given:.3g} A"
    if not leg.bears_refill:
        return "may open at the first restart"
    peak = leg.after_start.peak
    carried = "too short to heat it" if peak > leg.fuse * (1 + 1e-9) else f"{peak:.3g} A at most"
    if leg.opens_soon:
        rested = leg.opening_rested
        later = "" if soon(rested) else f"; on the battery alone it {_slowly(leg, rested)}"
        return f"carries every refill: {carried}; opens if the capacitor fails short{later}"
    return f"carries every refill: {carried}; {_slowly(leg, leg.opening)} if the capacitor fails short"


def _slowly(leg: Leg, seconds: float | None) -> str:
    """How a fuse of the leg that does not open soon does, in words."""
    if leg.arcs:
        return f"is a blade, not made for {leg.charging:g} V, and may arc on"
    return "may never open" if seconds is None else f"may take {seconds:.0f} s to open"


def leg_advice(leg: Leg) -> tuple[Advice, ...]:
    """What burns in the leg, opens or fills too slowly, and what to fit instead."""
    blade = voltage_advice(leg.charging, fuses.BLADE)
    return (
        *(replace(entry, about="charging_voltage") for entry in blade),
        *_shorted_advice(leg),
        *_refill_advice(leg),
        *_wait_advice(leg),
    )


def _shorted_advice(leg: Leg) -> tuple[Advice, ...]:
    """A danger where a capacitor that fails burns the charge resistor; notes where nobody knows, or where it
    heats the isolator.
    """
    wanted = leg.resistor_wanted
    if wanted is not None and leg.made_for is not None and leg.made_for < AS_SHOWN * wanted:
        behind = "no fuse" if leg.fuse is None else f"a fuse of {leg.fuse:g} A"
        return (
            Advice(
                "resistor_rating",
                f"The charge resistor burns: behind {behind} a capacitor that fails may heat it with "
                f"{figures(wanted, 3)} W for a minute or more, and it is made for {leg.made_for:g} W. "
                f"{_against_heat(leg, wanted)}",
                danger=True,
            ),
        )
    if leg.fuse is None or leg.opens_soon:
        stays = leg.in_time and (leg.fuse is None or leg.carries)
        if wanted is None or leg.made_for is not None or not stays:
            return ()
        watts = f"{figures(wanted, 3)} W"
        return (
            Advice(
                "resistor_rating",
                f"A capacitor that fails may heat the charge resistor with {watts} for a minute or more, and "
                f"hardly one is made for that. {_way_out(leg)}"
                if _too_hot(leg)
                else "Read on the charge resistor, or in its data sheet, what it is made for as it is "
                f"mounted: {watts} or more. Type it here.",
            ),
        )
    if wanted is not None and leg.made_for is None:
        return (
            Advice(
                "leg_fuse",
                f"A capacitor that fails short draws {leg.shorted:.3g} A for as long as the vehicle charges. "
                f"The fuse of {leg.fuse:g} A {_slowly(leg, leg.opening)}, and with {figures(wanted, 3)} W in "
                f"it the charge resistor burns. {_against_heat(leg, wanted)}",
                danger=True,
            ),
        )
    if leg.limit is not None and leg.shorted == leg.limit and leg.carries:
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


def _against_heat(leg: Leg, wanted: float) -> str:
    """What to fit where the resistor does not stand the watts ``wanted`` of it.

    A leg whose fuse is right but for that keeps its ohm: a stronger resistor, or a smaller fuse.
    """
    if (leg.fuse is not None and not leg.carries) or not leg.in_time or _too_hot(leg):
        return _way_out(leg)
    stronger = f"Fit a charge resistor made for {figures(wanted, 3)} W or more where it sits"
    for rating in _ratings(leg):
        smaller = replace(leg, fuse=rating)
        if (leg.fuse is None or rating < leg.fuse) and smaller.carries and smaller.opens_soon:
            return f"{stronger}, or {_opening_parts(leg, _WayOut(rating, *(leg.resistor or 0.0,) * 2))}."
    return f"{stronger}."


def _refill_advice(leg: Leg) -> tuple[Advice, ...]:
    """What to do where the fuse may open at a refill, or where nothing limits it."""
    flows = leg.after_start
    if leg.fuse is not None and not leg.carries:
        burst = figures(fuses.pulse_withstand(leg.fuse), 2)
        return (
            Advice(
                "fuse_verdict",
                f"The fuse of {leg.fuse:g} A in the capacitor's leg: {fuse_verdict(leg)}. The refill is "
                f"{figures(flows.peak, 3)} A and {figures(flows.joule_integral, 3)} A²s; over and over it "
                f"bears {leg.fuse:g} A, or {burst} A²s in a burst (from memory). {_way_out(leg)}",
            ),
        )
    if leg.fuse is None and leg.resistor is None and leg.limit is None:
        return (
            Advice(
                "refill_current",
                f"Nothing limits the refill: up to {figures(flows.peak, 3)} A. {_way_out(leg)}",
            ),
        )
    return ()


def _wait_advice(leg: Leg) -> tuple[Advice, ...]:
    """What to do where the capacitor is not full again by the next start."""
    if leg.in_time:
        return ()
    seconds = leg.refill_time
    wait = f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} min"
    return (
        Advice(
            "refill_time",
            f"Full again only after {wait}, and {REFILL_WANTED:g} s are wanted: the device drops "
            f"out at the second red light. {_way_out(leg)}",
        ),
    )


def _limited_alone(leg: Leg) -> bool:
    """Whether the isolator's limit alone holds the refill down."""
    return leg.limit is not None and leg.resistor is None


def _ratings(leg: Leg) -> Iterator[float]:
    """Blade fuses that carry what the capacitor gives, the smallest first."""
    return (rating for rating in fuses.BLADE_RATINGS if rating >= leg.given)


def _way_out(leg: Leg) -> str:
    """What to fit instead, one sentence or two: full in time, and what opens on a short capacitor first."""
    if _limited_alone(leg):
        for rating in _ratings(leg):
            if leg.in_time and replace(leg, fuse=rating).carries:
                return f"It takes {_fuse(leg, rating)}."
        other = _limiter_parts(leg)
        return _no_leg(leg) if other is None else f"It takes {other}."
    found = _opening_leg(leg)
    if found is not None:
        return f"It takes {_opening_parts(leg, found)}."
    parts = [part for part in (_standing_parts(leg), _limiter_parts(leg)) if part is not None]
    if not parts:
        return _no_leg(leg)
    return (
        f"No blade fuse carries a refill within {REFILL_WANTED:g} s and opens if the capacitor fails short. "
        f"It takes {'; or '.join(parts)}."
    )


def _no_leg(leg: Leg) -> str:
    """What is left where no leg behind a blade fuse does it: less to refill, if that is what is too much."""
    fewer = "fewer farad, or " if any(_ratings(leg)) else ""
    return f"No leg behind a blade fuse does this: take {fewer}a boost regulator."


def _too_hot(leg: Leg) -> bool:
    """Whether its charge resistor would have to stand more than there is room for."""
    return (leg.resistor_wanted or 0.0) > MOST_WATTS


def _with_resistor(leg: Leg, rating: float, ohm: float) -> Leg:
    """The leg with that fuse, that charge resistor and a by-pass diode across it."""
    return replace(leg, fuse=rating, resistor=ohm, farad=leg.farad_behind_diode)


def _leaves_room_for_a_diode(leg: Leg) -> bool:
    """Whether a by-pass diode leaves the device its minimum before the start."""
    return leg.rested - leg.drop - leg.bypass > leg.minimum


def _opening_leg(leg: Leg) -> _WayOut | None:
    """The smallest fuse that stands each refill in time and opens soon on a short capacitor; None if none is.

    With the resistor that is there, where that goes; else with all the ohm that do. More ohm spare the fuse
    at the refill; fewer open it, and fill sooner.
    """
    if not _leaves_room_for_a_diode(leg):
        return None

    def too_much(rating: float, ohm: float) -> bool:
        other = _with_resistor(leg, rating, ohm)
        return not (other.opens_soon and other.in_time) or _too_hot(other)

    own = leg.resistor
    if own is not None:
        for rating in _ratings(leg):
            if _spared(leg, rating, own) and not too_much(rating, own):
                return _WayOut(rating, own, own)
    for rating in _ratings(leg):
        first = _first(TWO_FIGURES, partial(_spared, leg, rating))
        end = _first(TWO_FIGURES, partial(too_much, rating))
        if first < end:
            return _WayOut(rating, TWO_FIGURES[first], TWO_FIGURES[end - 1])
    return None


def _spared(leg: Leg, rating: float, ohm: float) -> bool:
    """Whether a fuse carries the refill through a resistor."""
    return _with_resistor(leg, rating, ohm).carries


def _first(values: Sequence[float], holds: Callable[[float], bool]) -> int:
    """Place of the first value for which it holds, as for all after it; behind the last where there is none.

    The page's Python has no bisect.
    """
    low, high = 0, len(values)
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(values[middle]) else (middle + 1, high)
    return low


def _fuse(leg: Leg, rating: float) -> str:
    """A fuse in words, with what a larger one asks for."""
    made = f" made for {leg.charging:g} V" if leg.arcs else ""
    cable = " on a cable that carries it" if leg.fuse is not None and rating > leg.fuse else ""
    return f"a fuse of {rating:g} A{made}{cable}"


def _resistor(leg: Leg, way: _WayOut) -> str:
    """The charge resistor of a way out in words; nothing where the one that is there does."""
    most = _with_resistor(leg, way.fuse, way.most)
    # Of a fuse that opens, the most ohm take the most watts; else there is one figure.
    watts = most.resistor_wanted or 0.0
    if way.most == leg.resistor and leg.made_for is not None and leg.made_for >= AS_SHOWN * watts:
        return ""
    ohm = "" if way.most == leg.resistor else f" of {_span(way.least, way.most)} Ω,"
    diode = "" if leg.resistor is not None else ", with a by-pass diode across it"
    return f" and a charge resistor{ohm} made for {figures(watts, 3)} W or more where it sits{diode}"


def _span(least: float, most: float) -> str:
    """From least to most, in words."""
    return f"{least:g}" if least == most else f"{least:g} to {most:g}"


def _opening_parts(leg: Leg, way: _WayOut) -> str:
    """The parts of a leg whose fuse opens on a short capacitor, in words."""
    return f"{_fuse(leg, way.fuse)}{_resistor(leg, way)}"


def _standing_parts(leg: Leg) -> str | None:
    """A fuse that stands the refill in time, and a resistor for all that a short capacitor gives; or None.

    With the resistor that is there, where that goes; else with the fewest ohm that spare the fuse.
    """
    if not _leaves_room_for_a_diode(leg):
        return None
    ways = [] if leg.resistor is None else [(rating, leg.resistor) for rating in _ratings(leg)]

    for rating in _ratings(leg):
        first = _first(TWO_FIGURES, partial(_spared, leg, rating))
        ways += [(rating, ohm) for ohm in TWO_FIGURES[first : first + 1]]
    for rating, ohm in ways:
        other = _with_resistor(leg, rating, ohm)
        if other.carries and other.in_time and not _too_hot(other):
            parts = f"{_fuse(leg, rating)}{_resistor(leg, _WayOut(rating, ohm, ohm))}"
            return f"{parts}, which is all that a short capacitor gives it"
    return None


def _limiter_parts(leg: Leg) -> str | None:
    """An isolator that fills the capacitor in time, and its fuse; None where no blade carries it."""
    limits = [limit for limit in TWO_FIGURES if leg.given < limit <= fuses.BLADE_RATINGS[-1]]
    first = _first(limits, lambda limit: replace(leg, resistor=None, limit=limit).in_time)
    if first == len(limits):
        return None
    rating = next(rating for rating in fuses.BLADE_RATINGS if rating >= limits[first])
    instead = "" if leg.resistor is None else " and no charge resistor"
    return (
        f"an isolator that limits the current at {_span(limits[first], rating)} A, with "
        f"{_fuse(leg, rating)}{instead}, if its data sheet says that it stands a short circuit for good"
    )


def rating_advice(rating: float | None, charging_voltage: float) -> tuple[Advice, ...]:
    """A danger where the capacitor's voltage rating leaves no room over the charging voltage."""
    wanted = charging_voltage + SURGE
    if rating is None or rating >= wanted:
        return ()
    sold = [f"{volts:g} V" for volts in CAPACITOR_RATINGS if volts >= wanted][:2]
    return (
        Advice(
            "voltage_rating",
            f"{rating:g} V is too low: {charging_voltage:g} V of charging and {SURGE:g} V for surges ask for "
            f"{wanted:g} V or more, so {' or '.join(sold)}, or a set in series whose data sheet says so. "
            "Over its rating a capacitor vents or bursts.",
            danger=True,
        ),
    )
