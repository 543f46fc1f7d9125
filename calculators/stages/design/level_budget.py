"""The amplifier for the level wanted."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, OutputFlag, calculator
from calculators.declaring.quantities import LEVEL, POWER
from calculators.physics import speaker_output
from calculators.vocabulary.speakers import (
    DISTANCE,
    LOAD_OF_SPEAKER,
    SENSITIVITY,
    SENSITIVITY_BASIS,
    per_watt_of,
)


@dataclass(frozen=True, kw_only=True)
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
    budget = speaker_output.level_budget(
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
    average = speaker_output.power_for_level(usual_level, per_watt, distance)
    return LevelBudget(
        power=budget.power,
        peak_level=budget.peak_level,
        headroom=budget.headroom,
        spare=budget.spare,
        enough=budget.spare >= 0,
        average_power=average,
        per_watt=per_watt,
        advice=tuple(advice),
    )
