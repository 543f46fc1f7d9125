"""The most a driver gives."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Axis,
    Chart,
    Number,
    Output,
    OutputChart,
    OutputText,
    Series,
    calculator,
)
from calculators.declaring.quantities import AREA, FREQUENCY, LENGTH, LEVEL, POWER
from calculators.physics import air, speaker_output
from calculators.vocabulary.speakers import (
    DISTANCE,
    LOAD_OF_SPEAKER,
    SENSITIVITY,
    SENSITIVITY_BASIS,
    per_watt_of,
)


@dataclass(frozen=True, kw_only=True)
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
    most = speaker_output.maximum_level(per_watt, power, area, excursion, frequency, distance)
    ratio = 10 ** ((most.by_power - most.by_excursion) / 20)
    return MaximumLevel(
        level=most.level,
        limit="its power" if most.limit == "power" else "its travel",
        by_power=most.by_power,
        by_excursion=most.by_excursion,
        excursion_at_power=excursion * ratio,
        crossing=frequency * ratio**0.5,
        chart=_level_chart(per_watt, power, area, excursion, distance),
        advice=_level_advice(frequency, area),
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
    by_power = speaker_output.level_from_power(sensitivity, power, distance)
    travel = [speaker_output.level_from_excursion(area, excursion, f, distance) for f in at]
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
