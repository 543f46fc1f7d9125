"""A device on a capacitor through an engine start: what it needs, how it does, what would do better."""

from dataclasses import dataclass, replace

import numpy as np

from calculators.declaring import Advice, Axis, Band, Chart, Choice, InputError, Series
from calculators.physics import fuses
from calculators.physics import hold_up as physics

PRACTICAL_CAPACITANCE = 3.0
"""Farad above which a boost regulator is smaller and cheaper. Common practice, no source."""

WINTER_LOSS = 1.0
"""Volts a dip goes deeper in winter than it was measured. Common practice, no source."""

REGULATOR_EFFICIENCY = 0.85
"""Of a boost regulator at the bottom of a dip. Common practice, no source."""

CHART_POINTS = 160

LEVELS: dict[str, physics.Level] = {
    "level-i": "I",
    "level-ii": "II",
    "level-iii": "III",
    "level-iv": "IV",
}

PROFILE = Choice(
    "Supply during the start",
    {
        "gap": "counted as gone altogether",
        "measured": "falls to the voltage you measured",
        "level-i": "ISO 16750-2 level I: 8 V, then 9.5 V",
        "level-ii": "ISO 16750-2 level II: 4.5 V, then 6.5 V (from memory)",
        "level-iii": "ISO 16750-2 level III: 3 V, then 5 V (from memory)",
        "level-iv": "ISO 16750-2 level IV: 6 V, then 6.5 V (from memory)",
    },
    help="Counted as gone is the safe way to size a part.",
)


@dataclass(frozen=True)
class HoldUpCase:
    """A device behind an isolator, and the supply through the dip; V, ohm. ``gone``: no supply at all."""

    load: physics.Load
    dip: physics.SupplyDip
    gone: bool
    start: float
    minimum: float
    resistance: float
    isolator_drop: float
    bypass: float

    @property
    def charged(self) -> float:
        """Volts the capacitor gives the device before the dip, behind isolator and by-pass diode.

        A diode takes the same volts from first to last, so the capacitor behind it is counted as one
        that starts lower by that drop.
        """
        return self.start - self.isolator_drop - self.bypass

    def needed(self) -> float | None:
        """Farad that hold, nothing taken off for age; None where none can."""
        try:
            if self.gone and not (self.load.power and self.load.current):
                return physics.capacitance_for_gap(
                    self.load, float(self.dip.time[-1]), self.charged, self.minimum, self.resistance
                )
            return physics.capacitance_for_dip(
                self.dip, self.load, self.minimum, self.charged, self.resistance, self.isolator_drop
            )
        except ValueError:
            return None

    def ride(self, farad: float) -> physics.RideThrough:
        """The dip as the device sees it."""
        return physics.ride_through(
            self.dip,
            self.load,
            farad,
            self.minimum,
            self.charged,
            self.resistance,
            self.isolator_drop,
        )


def refuse_what_cannot_hold(charged: float, minimum: float, start: float, charging: float) -> None:
    """Raises InputError for a supply that charges too little before the start, or is above its highest.

    ``charged`` is what the diodes leave of it; volts throughout.
    """
    if charged <= minimum:
        raise InputError(
            "minimum", "The supply less the drop of the diodes must be above the lowest voltage."
        )
    if charging < start:
        raise InputError("charging_voltage", "This cannot be under the supply before the start.")


@dataclass(frozen=True)
class ChosenPart:
    """The capacitor that is looked at, in farad: the one there is, or the one to buy.

    ``needed`` after age and tolerance, ``to_buy`` before them: None where none is big enough. ``kept`` is
    what they leave of the one looked at, ``behind_diode`` what it would be behind a by-pass diode.
    """

    needed: float | None
    to_buy: float | None
    looked_at: float
    behind_diode: float
    kept: float
    is_there: bool

    @property
    def margin(self) -> float | None:
        """Share by which a part that is there is over the need."""
        return self.kept / self.needed - 1 if self.needed and self.is_there else None

    @property
    def passes(self) -> bool:
        """Whether the device stays on."""
        return self.needed is not None and self.kept >= self.needed * (1 - 1e-9)


def chosen_part(case: HoldUpCase, farad: float | None, derate: float, diode: float) -> ChosenPart:
    """The part for a case: ``farad`` if one is there. ``diode``: volts of a by-pass diode yet to come."""
    needed = case.needed()
    looked_at = behind_diode = farad or farad_to_try(needed, derate)
    if not farad and diode != case.bypass:
        behind_diode = farad_to_try(replace(case, bypass=diode).needed(), derate)
    return ChosenPart(
        needed=needed,
        to_buy=None if needed is None else needed / (1 - derate),
        looked_at=looked_at,
        behind_diode=behind_diode,
        kept=looked_at * (1 - derate),
        is_there=bool(farad),
    )


def farad_to_try(needed: float | None, derate: float) -> float:
    """Farad to buy for what is ``needed``, and what age takes; what is practical where no part holds."""
    return PRACTICAL_CAPACITANCE if needed is None else needed / (1 - derate)


def supply_through(profile: str, start: float, dip: float | None, duration: float) -> physics.SupplyDip:
    """The supply through the dip the reader chose."""
    if profile == "gap":
        return physics.supply_gone(duration)
    if profile == "measured":
        if dip is None:
            raise InputError("dip", "Type the lowest supply you measured.")
        if dip >= start:
            raise InputError("dip", "The lowest supply must be under the supply before the start.")
        return physics.SupplyDip(
            np.array([0.0, 0.005, 0.005 + duration, 0.010 + duration]),
            np.array([start, dip, dip, start]),
        )
    try:
        return physics.starting_profile(LEVELS[profile], start)
    except ValueError as error:
        raise InputError("start", f"For this profile {error}.") from None


def unaided_lowest(case: HoldUpCase, dip: float | None) -> float | None:
    """Lowest voltage behind the isolator with no capacitor; None where the supply counts as gone."""
    if case.gone:
        return None if dip is None else max(0.0, dip - case.isolator_drop)
    return max(0.0, float(case.dip.voltage.min()) - case.isolator_drop)


def held_seconds(case: HoldUpCase, farad: float) -> float:
    """Seconds without any supply. Time goes with farad, so one sizing scales to all."""
    if not (case.load.power and case.load.current):
        try:
            return physics.hold_up_time(case.load, farad, case.charged, case.minimum, case.resistance)
        except ValueError:
            return 0.0
    try:
        per_second = physics.capacitance_for_dip(
            physics.supply_gone(1.0), case.load, case.minimum, case.charged, case.resistance
        )
    except ValueError:
        return 0.0
    return farad / per_second


def better_answer(
    needed: float | None,
    to_buy: float | None,
    unaided: float | None,
    regulator_minimum: float,
) -> tuple[bool, str]:
    """Whether a boost regulator is the better answer, and the answer in words."""
    if needed == 0.0:
        return False, "nothing: the device rides through by itself"
    too_big = to_buy is None or to_buy > PRACTICAL_CAPACITANCE
    if not too_big:
        return False, "a capacitor behind an isolator"
    wanted = regulator_minimum + WINTER_LOSS
    if unaided is None:
        return True, f"a boost regulator, if the supply stays over {wanted:g} V: measure the dip"
    if unaided >= wanted:
        return (
            True,
            f"a boost regulator: in winter too the supply stays over the {regulator_minimum:g} V it needs",
        )
    return False, (
        "neither: in winter the dip is too deep for a regulator, and the load is too big for a capacitor"
    )


def regulator_current(
    load: physics.Load, unaided: float | None, start: float, regulator_minimum: float
) -> float | None:
    """Ampere a regulator draws at the bottom of a winter dip; None where it would not run."""
    if unaided is None or unaided - WINTER_LOSS < regulator_minimum:
        return None
    return (load.power + load.current * start) / REGULATOR_EFFICIENCY / (unaided - WINTER_LOSS)


def regulator_advice(boost: bool, current: float | None, unaided: float | None) -> tuple[Advice, ...]:
    """What the feed of a boost regulator must carry."""
    if not boost or current is None or unaided is None:
        return ()
    rating = next((rating for rating in fuses.FUSE_RATINGS if rating >= current / fuses.LOAD_FRACTION), None)
    fuse = (
        "more than one fuse carries"
        if rating is None
        else f"a fuse of {rating:g} A and a cable that carries it"
    )
    return (
        Advice(
            "boost_current",
            f"At the bottom of a winter dip, {unaided - WINTER_LOSS:.2f} V, the regulator draws "
            f"{current:.3g} A: its feed needs {fuse}, and its drop is counted from that voltage.",
        ),
    )


def hold_up_advice(case: HoldUpCase, part: ChosenPart, unaided: float | None) -> tuple[Advice, ...]:
    """Whether the part holds, what winter takes, and what is from memory."""
    advice = []
    margin = part.margin
    if part.needed is None:
        advice.append(
            Advice(
                "to_buy",
                "No capacitor can do this: its charge starts too low, or its resistance drops too much.",
            )
        )
    elif part.is_there and not part.passes:
        advice.append(Advice("passes", "This capacitor is too small: the device drops out."))
    elif part.needed and margin is not None and part.kept < part.needed * 1.1:
        advice.append(Advice("margin", f"It passes by {margin:.1%}: a cold day or a tired part takes that."))
    if unaided is not None and 0 <= unaided - case.minimum < WINTER_LOSS:
        advice.append(
            Advice(
                "winter_margin",
                f"The device runs on by itself with {unaided - case.minimum:.2f} V to spare. Winter takes "
                f"{WINTER_LOSS:g} V more (common practice, no source): it fails that margin.",
            )
        )
    if case.dip.confidence == "memory":
        advice.append(
            Advice("profile", "This level is from memory: read it in ISO 16750-2 before you rely on it.")
        )
    return tuple(advice)


def dip_chart(case: HoldUpCase, ride: physics.RideThrough) -> Chart:
    """Supply and device over time, thinned to what can be seen."""
    end = float(ride.time[-1])
    even = np.linspace(0.0, end, CHART_POINTS)
    turns = np.array([ride.lowest_at, ride.time[int(np.argmin(ride.supply))]])
    at = np.unique(np.concatenate([even, turns, case.dip.time[case.dip.time <= 0.08]]))
    top = max(case.start, float(ride.supply.max()))
    device = np.where(at == ride.lowest_at, ride.lowest, np.interp(at, ride.time, ride.device))
    supply = np.interp(at, ride.time, ride.supply)
    return Chart(
        "Voltage through the dip",
        Axis("Time", "s", 0.0, end, decimals=3),
        Axis("Voltage", "V", 0.0, float(np.ceil(top)), decimals=2),
        tuple(at.tolist()),
        (
            Series("At the device", tuple(device.tolist())),
            Series("At the battery", tuple(supply.tolist())),
            Series("Its minimum", (case.minimum,) * len(at), "limit"),
        ),
        (Band("Device off", 0.0, case.minimum, axis="y"),),
        table_at=tuple(np.union1d(at[::10], turns).tolist()),
    )
