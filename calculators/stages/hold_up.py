"""Hold-up: the capacitor that carries a device through an engine start."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Axis,
    Band,
    Chart,
    Choice,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputFlag,
    OutputText,
    Series,
    calculator,
)
from calculators.declaring.quantities import (
    CAPACITANCE,
    CURRENT,
    ENERGY,
    JOULE_INTEGRAL,
    POWER,
    RATIO,
    RESISTANCE,
    TIME,
    VOLTAGE,
)
from calculators.physics import fuses
from calculators.physics import hold_up as physics
from calculators.stages.capacitor_leg import fuse_verdict, rating_advice, refill_advice

PRACTICAL_CAPACITANCE = 3.0
"""Farad above which a boost regulator is smaller and cheaper. Common practice, no source."""

WINTER_LOSS = 1.0
"""Volts a dip goes deeper in winter than it was measured. Common practice, no source."""

REGULATOR_EFFICIENCY = 0.85
"""Of a boost regulator at the bottom of a dip. Common practice, no source."""

CHART_POINTS = 160
LEAST_FARAD = 1e-6
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
class HoldUp:
    """The capacitor, how it does, and whether a regulator would do better."""

    to_buy: Annotated[
        float | None,
        Output("Capacitor to buy, at least", CAPACITANCE, figures=3, none="none is big enough", main=True),
    ]
    answer: Annotated[str, OutputText("Better answer")]
    capacitance: Annotated[
        float | None,
        Output("Needed after age and tolerance", CAPACITANCE, figures=4, none="none is big enough"),
    ]
    capacitance_looked_at: Annotated[
        float, Output("Figures below are for", CAPACITANCE, figures=3, trim=True)
    ]
    held: Annotated[float, Output("It holds with no supply for", TIME, figures=3)]
    margin: Annotated[
        float | None, Output("Your part, over the need", RATIO, show="%", decimals=1, none="no part")
    ]
    passes: Annotated[bool, OutputFlag("The device stays on", "yes", "no: it drops out")]
    lowest: Annotated[float, Output("Lowest at the device", VOLTAGE, decimals=2)]
    unaided: Annotated[
        float | None, Output("Lowest without a capacitor", VOLTAGE, decimals=2, none="no supply")
    ]
    winter_margin: Annotated[
        float | None, Output("Left over its minimum without one", VOLTAGE, decimals=2, none="no supply")
    ]
    energy: Annotated[float, Output("Energy it gives down to the minimum", ENERGY, figures=3)]
    boost: Annotated[bool, OutputFlag("A boost regulator is the better answer")]
    boost_current: Annotated[
        float | None,
        Output("In winter such a regulator draws", CURRENT, figures=3, none="dip not known, or too deep"),
    ]
    refill_current: Annotated[float, Output("Refill after a start, at most", CURRENT, figures=3)]
    refill_integral: Annotated[float, Output("Its joule integral", JOULE_INTEGRAL, figures=3)]
    refill_time: Annotated[float, Output("Full again, to 0.1 V, within", TIME, figures=3)]
    refill_heat: Annotated[float, Output("Heat of each refill", ENERGY, figures=3)]
    branch_current: Annotated[float, Output("Plan the branch's feed for", CURRENT, figures=3)]
    fuse_verdict: Annotated[str, OutputText("Fuse of the capacitor's leg")]
    bypass_counted: Annotated[float, Output("Counted for the by-pass diode", VOLTAGE, decimals=2)]
    chart: Annotated[Chart, OutputChart("Voltage through the dip")]
    advice: tuple[Advice, ...] = ()


@dataclass(frozen=True)
class _Case:
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


@calculator(
    title="Hold-up through an engine start",
    example={
        "power": 14.0, "start": 12.1, "minimum": 9.0, "duration": 1.5, "isolator": 0.35,
        "capacitance": 1.5, "voltage_rating": 20.0, "charge_resistor": 2.2, "leg_fuse": 3.0,
    },
    sources=("capacitor", "iso-16750-2", "iso-8820-3", "common-practice"),
    cautions=("S02", "S03"),
    equations=(
        "kept = capacitance_looked_at*(1 - derate)",
        "energy = kept*((start - isolator - bypass_counted)**2 - minimum**2)/2",
    ),
)  # fmt: skip
def hold_up(
    power: Annotated[
        float | None,
        Number("Power of the device", POWER, 0.01, 5000, usual=(1, 1000), optional=True, empty="none"),
    ] = None,
    current: Annotated[
        float | None,
        Number("Or its current, if that stays the same", CURRENT, 0.001, 500, optional=True, empty="none"),
    ] = None,
    start: Annotated[float, Number("Supply before the start", VOLTAGE, 6, 60, usual=(11, 15))] = 12.1,
    minimum: Annotated[float, Number("Lowest the device runs at", VOLTAGE, 1, 59, usual=(6, 11))] = 9.0,
    duration: Annotated[float, Number("Time to hold", TIME, 0.001, 60, usual=(0.05, 5), units=("ms",))] = 1.5,
    profile: Annotated[str, PROFILE] = "gap",
    dip: Annotated[
        float | None,
        Number(
            "Lowest supply you measured", VOLTAGE, 0, 59, usual=(5, 11), optional=True, empty="not measured"
        ),
    ] = None,
    esr: Annotated[
        float,
        Number("Resistance of capacitor and leads", RESISTANCE, 0, 2, show="mΩ", usual=(0, 0.5)),
    ] = 0.0,
    isolator: Annotated[
        float,
        Number(
            "Drop of the isolator",
            VOLTAGE,
            0,
            2,
            usual=(0, 0.7),
            help="Schottky diode 0.35 V, active isolator 0.05 V.",
        ),
    ] = 0.0,
    derate: Annotated[
        float,
        Number("Lost to tolerance and age", RATIO, 0, 0.8, show="%", usual=(0.1, 0.4)),
    ] = 0.25,
    capacitance: Annotated[
        float | None,
        Number(
            "A capacitor you have", CAPACITANCE, 1e-4, 1000, units=("mF",), optional=True, empty="none yet"
        ),
    ] = None,
    voltage_rating: Annotated[
        float | None,
        Number(
            "Its voltage rating", VOLTAGE, 1, 500, usual=(16, 50), optional=True, empty="not known",
            help="From its data sheet, not from its name.",
        ),
    ] = None,
    charge_resistor: Annotated[
        float | None,
        Number(
            "Charge resistor in its leg", RESISTANCE, 0.1, 100, usual=(1, 10), optional=True, empty="none",
            help="With a by-pass diode across it, through which the capacitor gives.",
        ),
    ] = None,
    charge_limit: Annotated[
        float | None,
        Number(
            "Or current limit of the isolator", CURRENT, 0.1, 200, usual=(0.5, 10), optional=True,
            empty="no limiter",
        ),
    ] = None,
    leg_fuse: Annotated[
        float | None,
        Number(
            "Fuse in its leg", CURRENT, 1, 40, optional=True, empty="not chosen",
            options=tuple((f"{rating:g} A", rating) for rating in fuses.BLADE_RATINGS),
        ),
    ] = None,
    charging_voltage: Annotated[
        float,
        Number(
            "Highest charging voltage", VOLTAGE, 6, 70, usual=(13.8, 15.5),
            help="A managed alternator goes to 15.2 V.",
        ),
    ] = 15.2,
    bypass: Annotated[
        float,
        Number(
            "Drop of the by-pass diode", VOLTAGE, 0, 2, usual=(0, 0.7), seldom=True,
            help="Counted only with a charge resistor.",
        ),
    ] = 0.35,
    path_resistance: Annotated[
        float,
        Number(
            "Refill path without them: battery, cable, fuses", RESISTANCE, 1e-3, 2, show="mΩ",
            usual=(0.01, 0.2), seldom=True, help="A cold 2 A fuse alone has some 45 mΩ, by its sheet.",
        ),
    ] = 0.065,
    regulator_minimum: Annotated[
        float, Number("Lowest input of a boost regulator", VOLTAGE, 1, 12, usual=(4, 8), seldom=True)
    ] = 6.0,
) -> HoldUp:  # fmt: skip
    """Capacitor behind an isolator that keeps a device on while the starter pulls the supply down.

    A device with a converter inside takes constant power, so its current rises as its voltage
    falls: C = 2Pt/(V1² - V2²), and a little more where the capacitor has resistance. The isolator
    keeps the starter from drinking the capacitor. Buy more than is needed: a quarter goes to
    tolerance and age.

    When the supply comes back it refills the capacitor with all that cable and fuse let through:
    I = ΔV/R, counted as if it came back at once. So the capacitor sits in a leg of its own with its
    fuse, behind a charge resistor with a by-pass diode, or behind an isolator that limits the current.
    """
    if power is None and current is None:
        raise InputError("power", "Type the power of the device, or its current.")
    counted = bypass if charge_resistor else 0.0
    if start - isolator - counted <= minimum:
        raise InputError(
            "minimum", "The supply less the drop of the diodes must be above the lowest voltage."
        )
    if charging_voltage < start:
        raise InputError("charging_voltage", "This cannot be under the supply before the start.")
    case = _Case(
        physics.Load(power or 0.0, current or 0.0),
        _supply(profile, start, dip, duration),
        profile == "gap",
        start,
        minimum,
        esr,
        isolator,
        counted,
    )
    needed = case.needed()
    to_buy = None if needed is None else needed / (1 - derate)
    looked_at = capacitance or (PRACTICAL_CAPACITANCE if to_buy is None else to_buy)
    kept = looked_at * (1 - derate)
    ride = case.ride(max(kept, LEAST_FARAD))
    # From the lowest the device bears, with all that is written on the part: the worst of both.
    refill = physics.refill(
        max(looked_at, LEAST_FARAD),
        max(0.0, charging_voltage - isolator - counted - minimum) if looked_at else 0.0,
        path_resistance + esr + (charge_resistor or 0.0),
        charge_limit,
    )
    given = case.load.power / minimum + case.load.current
    unaided = _unaided(case, dip)
    boost, answer = _better(needed, to_buy, unaided, regulator_minimum)
    boost_current = _boost_current(case.load, unaided, start, regulator_minimum)
    return HoldUp(
        to_buy=to_buy,
        answer=answer,
        capacitance=needed,
        capacitance_looked_at=looked_at,
        held=_held(case, kept),
        margin=kept / needed - 1 if needed and capacitance else None,
        passes=needed is not None and kept >= needed * (1 - 1e-9),
        lowest=ride.lowest,
        unaided=unaided,
        winter_margin=None if unaided is None else unaided - minimum,
        energy=physics.usable_energy(kept, case.charged, minimum),
        boost=boost,
        boost_current=boost_current,
        refill_current=refill.peak,
        refill_integral=refill.joule_integral,
        refill_time=refill.time,
        refill_heat=refill.heat,
        branch_current=refill.peak + given,
        fuse_verdict=fuse_verdict(leg_fuse, refill, given),
        bypass_counted=counted,
        chart=_chart(case, ride),
        advice=(
            *rating_advice(voltage_rating, charging_voltage),
            *(
                refill_advice(leg_fuse, refill, given, bool(charge_resistor or charge_limit))
                if looked_at
                else ()
            ),
            *_boost_advice(boost, boost_current, unaided),
            *_advice(case, needed, kept if capacitance else None, unaided, minimum),
        ),
    )


def _supply(profile: str, start: float, dip: float | None, duration: float) -> physics.SupplyDip:
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


def _unaided(case: _Case, dip: float | None) -> float | None:
    """Lowest voltage behind the isolator with no capacitor; None where the supply counts as gone."""
    if case.gone:
        return None if dip is None else max(0.0, dip - case.isolator_drop)
    return max(0.0, float(case.dip.voltage.min()) - case.isolator_drop)


def _held(case: _Case, farad: float) -> float:
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


def _better(
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


def _boost_current(
    load: physics.Load, unaided: float | None, start: float, regulator_minimum: float
) -> float | None:
    """Ampere a regulator draws at the bottom of a winter dip; None where it would not run."""
    if unaided is None or unaided - WINTER_LOSS < regulator_minimum:
        return None
    return (load.power + load.current * start) / REGULATOR_EFFICIENCY / (unaided - WINTER_LOSS)


def _boost_advice(boost: bool, current: float | None, unaided: float | None) -> tuple[Advice, ...]:
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


def _advice(
    case: _Case, needed: float | None, kept: float | None, unaided: float | None, minimum: float
) -> tuple[Advice, ...]:
    advice = []
    if needed is None:
        advice.append(
            Advice(
                "to_buy",
                "No capacitor can do this: its charge starts too low, or its resistance drops too much.",
            )
        )
    elif kept is not None and kept < needed * (1 - 1e-9):
        advice.append(Advice("passes", "This capacitor is too small: the device drops out."))
    elif needed and kept is not None and kept < needed * 1.1:
        advice.append(
            Advice("margin", f"It passes by {kept / needed - 1:.1%}: a cold day or a tired part takes that.")
        )
    if unaided is not None and 0 <= unaided - minimum < WINTER_LOSS:
        advice.append(
            Advice(
                "winter_margin",
                f"The device runs on by itself with {unaided - minimum:.2f} V to spare. Winter takes "
                f"{WINTER_LOSS:g} V more (common practice, no source): it fails that margin.",
            )
        )
    if case.dip.confidence == "memory":
        advice.append(
            Advice("profile", "This level is from memory: read it in ISO 16750-2 before you rely on it.")
        )
    return tuple(advice)


def _chart(case: _Case, ride: physics.RideThrough) -> Chart:
    """Supply and device over time, thinned to what can be seen."""
    end = float(ride.time[-1])
    even = np.linspace(0.0, end, CHART_POINTS)
    at = np.unique(np.concatenate([even, case.dip.time[case.dip.time <= 0.08]]))
    top = max(case.start, float(ride.supply.max()))
    device = np.interp(at, ride.time, ride.device)
    supply = np.interp(at, ride.time, ride.supply)
    return Chart(
        "Voltage through the dip",
        Axis("Time", "s", 0.0, end, decimals=3),
        Axis("Voltage", "V", 0.0, float(np.ceil(top)), decimals=2),
        tuple(at.tolist()),
        (
            Series("At the device", tuple(device.tolist())),
            Series("At the battery", tuple(supply.tolist())),
            Series("Its minimum", (case.minimum,) * len(at)),
        ),
        (Band("Device off", 0.0, case.minimum, axis="y"),),
        table_at=tuple(at[::10].tolist()),
    )
