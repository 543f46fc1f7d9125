"""Hold-up: the capacitor that carries a device through an engine start."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Chart,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputFlag,
    OutputText,
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
from calculators.physics import hold_up as physics
from calculators.vocabulary.capacitor_leg import (
    CHARGE_LIMIT,
    CHARGE_RESISTOR,
    LEAST_FARAD,
    LEG_FUSE,
    RESISTOR_RATING,
    VOLTAGE_RATING,
    Leg,
)
from calculators.vocabulary.capacitor_leg_advice import fuse_verdict, leg_advice, rating_advice
from calculators.vocabulary.start_dips import (
    PROFILE,
    ChosenPart,
    HoldUpCase,
    better_answer,
    chosen_part,
    dip_chart,
    held_seconds,
    hold_up_advice,
    refuse_what_cannot_hold,
    regulator_advice,
    regulator_current,
    supply_through,
    unaided_lowest,
)


@dataclass(frozen=True, kw_only=True)
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
    refill_time: Annotated[float, Output("Full again, to 0.1 V, within", TIME, clock=True)]
    refill_heat: Annotated[float, Output("Heat of each refill", ENERGY, figures=3)]
    branch_current: Annotated[float, Output("Plan the branch's feed for", CURRENT, figures=3)]
    empty_current: Annotated[float, Output("From empty, without pre-charge, up to", CURRENT, figures=3)]
    shorted_current: Annotated[
        float | None,
        Output(
            "If the capacitor fails short while charging, its leg draws",
            CURRENT,
            figures=3,
            none="no capacitor",
        ),
    ]
    shorted_heat: Annotated[
        float | None, Output("Heat in the charge resistor then", POWER, figures=3, none="no charge resistor")
    ]
    opening_fuse: Annotated[
        float | None,
        Output("Largest leg fuse that opens then, within 5 s", CURRENT, figures=3, trim=True, none="none"),
    ]
    resistor_wanted: Annotated[
        float | None,
        Output("Charge resistor made for, at least", POWER, figures=3, none="no charge resistor"),
    ]
    fuse_verdict: Annotated[str, OutputText("Fuse of the capacitor's leg")]
    bypass_counted: Annotated[float, Output("Counted for the by-pass diode", VOLTAGE, decimals=2)]
    chart: Annotated[Chart, OutputChart("Voltage through the dip")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Hold-up through an engine start",
    example={
        "power": 14.0, "start": 12.1, "minimum": 9.0, "duration": 1.5, "isolator": 0.35,
        "capacitance": 1.5, "voltage_rating": 20.0, "charge_resistor": 2.2, "leg_fuse": 3.0,
        "resistor_rating": 100.0,
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
        float, Number("Resistance of capacitor and leads", RESISTANCE, 0, 2, show="mΩ", usual=(0, 0.5))
    ] = 0.0,
    isolator: Annotated[
        float,
        Number(
            "Drop of the isolator", VOLTAGE, 0, 2, usual=(0, 0.7),
            help="Schottky diode 0.35 V, active isolator 0.05 V.",
        ),
    ] = 0.0,
    derate: Annotated[
        float, Number("Lost to tolerance and age", RATIO, 0, 0.8, show="%", usual=(0.1, 0.4))
    ] = 0.25,
    capacitance: Annotated[
        float | None,
        Number(
            "A capacitor you have", CAPACITANCE, 1e-4, 1000, units=("mF",), optional=True, empty="none yet"
        ),
    ] = None,
    voltage_rating: Annotated[float | None, VOLTAGE_RATING] = None,
    charge_resistor: Annotated[float | None, CHARGE_RESISTOR] = None,
    resistor_rating: Annotated[float | None, RESISTOR_RATING] = None,
    charge_limit: Annotated[float | None, CHARGE_LIMIT] = None,
    leg_fuse: Annotated[float | None, LEG_FUSE] = None,
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
    That limit the device shares: the time to refill counts what the device leaves of it. After an hour
    without a battery the capacitor is empty, and takes what stands under "from empty".

    A capacitor that fails short draws (charging voltage - isolator)/(path + charge resistor) for good. So
    the leg's fuse is half of that or less, which opens it within 5 s. On the battery alone it may take a
    minute, and minutes on a capacitor that leaks: the charge resistor is made for twice the fuse's rating.
    """
    if power is None and current is None:
        raise InputError("power", "Type the power of the device, or its current.")
    load = physics.Load(power or 0.0, current or 0.0)
    counted = bypass if charge_resistor else 0.0
    refuse_what_cannot_hold(start - isolator - counted, minimum, start, charging_voltage)
    case = HoldUpCase(
        load=load,
        dip=supply_through(profile, start, dip, duration),
        gone=profile == "gap",
        start=start,
        minimum=minimum,
        resistance=esr,
        isolator_drop=isolator,
        bypass=counted,
    )
    part = chosen_part(case, capacitance, derate, bypass)
    leg = Leg(
        fuse=leg_fuse,
        resistor=charge_resistor,
        made_for=resistor_rating,
        limit=charge_limit,
        farad=part.looked_at,
        farad_behind_diode=part.behind_diode,
        esr=esr,
        path=path_resistance,
        charging=charging_voltage,
        rested=start,
        drop=isolator,
        bypass=bypass,
        given=load.power / minimum + load.current,
        minimum=minimum,
    )
    return _answer(case, part, leg, unaided_lowest(case, dip), regulator_minimum, voltage_rating)


def _answer(
    case: HoldUpCase, part: ChosenPart, leg: Leg, unaided: float | None, regulator_minimum: float,
    voltage_rating: float | None,
) -> HoldUp:  # fmt: skip
    """How the part does in its leg; ``unaided``: lowest volts without it. Volts throughout."""
    ride = case.ride(max(part.kept, LEAST_FARAD))
    refill = leg.after_start
    boost, answer = better_answer(part.needed, part.to_buy, unaided, regulator_minimum)
    boost_current = regulator_current(case.load, unaided, case.start, regulator_minimum)
    return HoldUp(
        to_buy=part.to_buy,
        answer=answer,
        capacitance=part.needed,
        capacitance_looked_at=part.looked_at,
        held=held_seconds(case, part.kept),
        margin=part.margin,
        passes=part.passes,
        lowest=ride.lowest,
        unaided=unaided,
        winter_margin=None if unaided is None else unaided - case.minimum,
        energy=physics.usable_energy(part.kept, case.charged, case.minimum),
        boost=boost,
        boost_current=boost_current,
        refill_current=refill.peak,
        refill_integral=refill.joule_integral,
        refill_time=leg.refill_time,
        refill_heat=refill.heat,
        branch_current=leg.branch,
        empty_current=leg.from_empty.peak,
        shorted_current=leg.shorted if part.looked_at else None,
        shorted_heat=leg.heat(leg.shorted) if part.looked_at else None,
        opening_fuse=leg.largest_that_opens if part.looked_at else None,
        resistor_wanted=leg.resistor_wanted if part.looked_at else None,
        fuse_verdict=fuse_verdict(leg),
        bypass_counted=case.bypass,
        chart=dip_chart(case, ride),
        advice=(
            *rating_advice(voltage_rating, leg.charging),
            *(leg_advice(leg) if part.looked_at else ()),
            *regulator_advice(boost, boost_current, unaided),
            *hold_up_advice(case, part, unaided),
        ),
    )
