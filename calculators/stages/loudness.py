"""How loud: the most a driver gives, and the amplifier for the level wanted."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Axis,
    Chart,
    Choice,
    Number,
    Output,
    OutputChart,
    OutputFlag,
    OutputText,
    Series,
    calculator,
)
from calculators.declaring.quantities import AREA, FREQUENCY, LENGTH, LEVEL, POWER, RESISTANCE
from calculators.physics import air, levels_at_ear

LOAD_OF_SPEAKER = Number("Speaker", RESISTANCE, 0.5, 32, usual=(1, 16))
SENSITIVITY = Number("Sensitivity", LEVEL, 60, 115, usual=(80, 100))
SENSITIVITY_BASIS = Choice(
    "Sensitivity is given at", {"1-watt": "1 W and 1 m", "2.83-volts": "2.83 V and 1 m"}
)
DISTANCE = Number("Distance", LENGTH, 0.05, 20, usual=(0.2, 4), units=("cm", "ft"))


def per_watt_of(sensitivity: float, sensitivity_basis: str, load: float) -> float:
    """Sensitivity at 1 W and 1 m, dB, of one given in either way; 2.83 V into 4 ohm is 2 W."""
    if sensitivity_basis == "1-watt":
        return sensitivity
    return levels_at_ear.sensitivity_per_watt(sensitivity, load)


@dataclass(frozen=True)
class MaximumLevel:
    """The most a driver gives, and what stops it."""

    level: Annotated[float, Output("Most it gives", LEVEL, decimals=1, main=True)]
    limit: Annotated[str, OutputText("Stopped by")]
    by_power: Annotated[float, Output("Limit of its power", LEVEL, decimals=1)]
    by_excursion: Annotated[float, Output("Limit of its travel", LEVEL, decimals=1)]
    excursion_at_power: Annotated[
        float, Output("Travel for the level its power gives", LENGTH, show="mm", figures=3)
    ]
    crossing: Annotated[float, Output("Travel is the limit below", FREQUENCY, figures=3)]
    chart: Annotated[Chart, OutputChart("Most it gives by frequency")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Maximum level of a driver",
    example={
        "sensitivity": 85.0, "power": 300.0, "area": 0.0214, "excursion": 0.009, "frequency": 40.0,
    },
    sources=("piston", "inverse-distance", "iso-1683"),
    cautions=("S14",),
    equations=(
        "excursion_at_power = excursion*10**((by_power - by_excursion)/20)",
        "level = min(by_power, by_excursion)",
    ),
)  # fmt: skip
def maximum_level(
    sensitivity: Annotated[float, SENSITIVITY],
    power: Annotated[float, Number("Power", POWER, 0.1, 10e3, usual=(1, 2000))],
    area: Annotated[float, Number("Cone area (Sd)", AREA, 1e-4, 0.5, show="cm²", usual=(0.002, 0.13))],
    excursion: Annotated[
        float, Number("Travel one way (Xmax)", LENGTH, 1e-4, 0.1, show="mm", usual=(0.001, 0.03))
    ],
    frequency: Annotated[float, Number("Frequency", FREQUENCY, 5, 2000, usual=(20, 200))] = 40.0,
    distance: Annotated[float, DISTANCE] = 1.0,
    load: Annotated[float, LOAD_OF_SPEAKER] = 4.0,
    sensitivity_basis: Annotated[str, SENSITIVITY_BASIS] = "1-watt",
) -> MaximumLevel:
    """The lower of what a driver's power and its cone travel allow, in half space.

    A cabin adds to this at low frequencies and is left out. Heating of the coil takes 1 to 3 dB
    of the power limit in long use (common practice, no source).
    """
    per_watt = per_watt_of(sensitivity, sensitivity_basis, load)
    most = levels_at_ear.maximum_level(per_watt, power, area, excursion, frequency, distance)
    ratio = 10 ** ((most.by_power - most.by_excursion) / 20)
    return MaximumLevel(
        most.level,
        "its power" if most.limit == "power" else "its travel",
        most.by_power,
        most.by_excursion,
        excursion * ratio,
        frequency * ratio**0.5,
        _level_chart(per_watt, power, area, excursion, distance),
        _level_advice(frequency, area),
    )


def _level_advice(frequency: float, area: float) -> tuple[Advice, ...]:
    around = 2 * math.pi * math.sqrt(area / math.pi)
    if around <= air.wavelength(frequency, air.speed_of_sound(20.0)):
        return ()
    message = (
        "At this frequency the cone is no longer small against the wave: take the travel limit as a guide."
    )
    return (Advice("by_excursion", message),)


def _level_chart(sensitivity: float, power: float, area: float, excursion: float, distance: float) -> Chart:
    at = tuple(20.0 * 2 ** (step / 12) for step in range(41))
    by_power = levels_at_ear.level_from_power(sensitivity, power, distance)
    travel = [levels_at_ear.level_from_excursion(area, excursion, f, distance) for f in at]
    low = min(*travel, by_power)
    high = max(*travel, by_power)
    return Chart(
        "Most it gives by frequency",
        Axis("Frequency", "Hz", 20.0, 200.0, "logarithmic", 0),
        Axis("Level", "dB", 10 * (low // 10), 10 * (high // 10 + 1)),
        at,
        (
            Series("Limit of its travel", tuple(travel)),
            Series("Limit of its power", (by_power,) * len(at)),
            Series("Most it gives", tuple(min(by_power, value) for value in travel)),
        ),
        table_at=at[::4],
    )


@dataclass(frozen=True)
class LevelBudget:
    """Power for the level wanted, and what the amplifier leaves."""

    power: Annotated[float, Output("Amplifier to plan", POWER, figures=3, main=True)]
    peak_level: Annotated[float, Output("Peaks at the ear", LEVEL, decimals=1)]
    headroom: Annotated[float, Output("Your amplifier's headroom over the usual level", LEVEL, decimals=1)]
    spare: Annotated[float, Output("Over what was wanted", LEVEL, decimals=1)]
    enough: Annotated[bool, OutputFlag("Enough")]
    average_power: Annotated[float, Output("Average at the usual level", POWER, figures=3)]
    per_watt: Annotated[float, Output("Sensitivity at 1 W and 1 m", LEVEL, decimals=1)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Level budget",
    example={"usual_level": 76.0, "sensitivity": 91.0, "distance": 0.98, "amplifier_power": 70.0},
    sources=("inverse-distance", "common-practice"),
    cautions=("S14",),
    equations=(
        "peak_level = usual_level + crest + wanted_headroom",
        "power = distance**2*10**((peak_level - 10*log(2)/log(10) - per_watt)/10)",
        "spare = headroom - wanted_headroom",
    ),
)
def level_budget(
    usual_level: Annotated[float, Number("Usual level at the ear", LEVEL, 40, 120, usual=(60, 95))],
    sensitivity: Annotated[float, SENSITIVITY],
    distance: Annotated[float, DISTANCE] = 1.0,
    amplifier_power: Annotated[
        float, Number("Amplifier you have in mind", POWER, 0.1, 10e3, usual=(10, 2000))
    ] = 70.0,
    crest: Annotated[float, Number("Music's peak over average", LEVEL, 0, 30, usual=(10, 20))] = 12.0,
    wanted_headroom: Annotated[
        float, Number("Headroom over the usual level", LEVEL, 0, 30, usual=(3, 12))
    ] = 6.0,
    road_noise: Annotated[
        float | None,
        Number("Road noise at the ear", LEVEL, 30, 110, usual=(55, 80), optional=True, empty="not measured"),
    ] = None,
    load: Annotated[float, LOAD_OF_SPEAKER] = 4.0,
    sensitivity_basis: Annotated[str, SENSITIVITY_BASIS] = "1-watt",
) -> LevelBudget:
    """Amplifier power from the level wanted at the ear, not from the catalogue.

    Peaks stand 12 to 18 dB over the average of music; plan 6 dB over the usual level besides
    (common practice, no source). An amplifier rated with a sine has 3 dB more at its peaks. One
    speaker in half space; a pair playing the same adds 3 to 6 dB.
    """
    per_watt = per_watt_of(sensitivity, sensitivity_basis, load)
    budget = levels_at_ear.level_budget(
        usual_level, crest, wanted_headroom, per_watt, distance, amplifier_power
    )
    advice = []
    if budget.spare < 0:
        advice.append(
            Advice(
                "spare", f"The amplifier is {-budget.spare:.1f} dB short: it clips on peaks at that level."
            )
        )
    if road_noise is not None and usual_level < road_noise + 6:
        advice.append(
            Advice(
                "road_noise", "Music under 6 dB over the road noise is lost in it: plan a higher usual level."
            )
        )
    average = levels_at_ear.power_for_level(usual_level, per_watt, distance)
    return LevelBudget(
        budget.power,
        budget.peak_level,
        budget.headroom,
        budget.spare,
        budget.spare >= 0,
        average,
        per_watt,
        tuple(advice),
    )
