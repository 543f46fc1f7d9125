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
    POWER,
    RATIO,
    RESISTANCE,
    TIME,
    VOLTAGE,
)
from calculators.physics import hold_up as physics

PRACTICAL_CAPACITANCE = 3.0
"""Farad above which a boost regulator is smaller and cheaper. Common practice, no source."""

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
        Output("Such a regulator would draw", CURRENT, figures=3, none="dip not known"),
    ]
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

    @property
    def charged(self) -> float:
        """Volts on the capacitor before the dip."""
        return self.start - self.isolator_drop

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
        "capacitance": 1.0,
    },
    sources=("capacitor", "iso-16750-2", "common-practice"),
    cautions=("S02", "S03"),
    equations=(
        "charged = start - isolator",
        "kept = capacitance_looked_at*(1 - derate)",
        "energy = kept*(charged**2 - minimum**2)/2",
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
    regulator_minimum: Annotated[
        float, Number("Lowest input of a boost regulator", VOLTAGE, 1, 12, usual=(4, 8))
    ] = 6.0,
) -> HoldUp:
    """Capacitor behind an isolator that keeps a device on while the starter pulls the supply down.

    A device with a converter inside takes constant power, so its current rises as its voltage
    falls: C = 2Pt/(V1² - V2²), and a little more where the capacitor has resistance. The isolator
    keeps the starter from drinking the capacitor. Buy more than is needed: a quarter goes to
    tolerance and age.
    """
    if power is None and current is None:
        raise InputError("power", "Type the power of the device, or its current.")
    if start - isolator <= minimum:
        raise InputError("minimum", "The supply less the isolator's drop must be above the lowest voltage.")
    case = _Case(
        physics.Load(power or 0.0, current or 0.0),
        _supply(profile, start, dip, duration),
        profile == "gap",
        start,
        minimum,
        esr,
        isolator,
    )
    needed = case.needed()
    to_buy = None if needed is None else needed / (1 - derate)
    looked_at = capacitance or (PRACTICAL_CAPACITANCE if to_buy is None else to_buy)
    kept = looked_at * (1 - derate)
    ride = case.ride(max(kept, LEAST_FARAD))
    unaided = _unaided(case, dip)
    boost, answer = _better(needed, to_buy, unaided, minimum, regulator_minimum)
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
        boost_current=_boost_current(case.load, unaided, start),
        chart=_chart(case, ride),
        advice=_advice(case, needed, kept if capacitance else None, unaided, minimum),
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
    minimum: float,
    regulator_minimum: float,
) -> tuple[bool, str]:
    """Whether a boost regulator is the better answer, and the answer in words."""
    if needed == 0.0:
        return False, "nothing: the device rides through by itself"
    too_big = to_buy is None or to_buy > PRACTICAL_CAPACITANCE
    if not too_big:
        return False, "a capacitor behind an isolator"
    if unaided is None:
        return True, f"a boost regulator, if the supply stays over {regulator_minimum:g} V: measure the dip"
    if unaided >= regulator_minimum:
        return True, f"a boost regulator: the supply stays over the {regulator_minimum:g} V it needs"
    return False, "a second battery: the dip is too deep for a regulator, the load too big for a capacitor"


def _boost_current(load: physics.Load, unaided: float | None, start: float) -> float | None:
    """Ampere a regulator of 85 % draws at the bottom of the dip (common practice)."""
    if not unaided:
        return None
    return (load.power + load.current * start) / 0.85 / unaided


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
    if unaided is not None and 0 <= unaided - minimum < 1.0:
        advice.append(
            Advice(
                "winter_margin",
                f"The device runs on by itself with {unaided - minimum:.2f} V to spare. Winter takes 1.0 V "
                "more (common practice, no source): it fails that margin.",
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
