"""Hearing: how much noise an ear has had today, and how much is left."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    InputError,
    Number,
    Output,
    OutputList,
    OutputRows,
    OutputText,
    Rows,
    calculator,
)
from calculators.declaring.quantities import SOUND_DOSE, SOUND_LEVEL, TIME
from calculators.physics import hearing

DAY = 24 * 3600.0


@dataclass(frozen=True)
class NoiseExposure:
    """A stretch of time at one level at the ear."""

    level: Annotated[
        float,
        Number("Level at the ear", SOUND_LEVEL, 40, 160, usual=(60, 115), help="Meter on slow, A-weighted."),
    ]
    duration: Annotated[float, Number("Time", TIME, 1, DAY, show="min", units=("h", "s"))]


@dataclass(frozen=True, kw_only=True)
class ExposureShare:
    """What one stretch of time uses of the day's allowance."""

    level: Annotated[float, Output("Level", SOUND_LEVEL, decimals=1)]
    allowed: Annotated[float, Output("Full dose after", TIME, show="min", figures=3, clock=True)]
    dose: Annotated[float, Output("Share of the dose", SOUND_DOSE, show="%", figures=3)]


@dataclass(frozen=True, kw_only=True)
class NoiseDose:
    """The day's dose and daily level."""

    niosh_dose: Annotated[float, Output("Dose of the day", SOUND_DOSE, show="%", figures=3, main=True)]
    niosh_left: Annotated[
        float,
        Output("Left at the loudest of these until it is full", TIME, show="min", figures=3, clock=True),
    ]
    niosh_allowed: Annotated[
        float, Output("The loudest of these alone fills it in", TIME, show="min", figures=3, clock=True)
    ]
    weekly_listening: Annotated[
        float,
        Output(
            "Music at the loudest of these, by WHO and ITU, in a week", TIME, show="h", figures=3, clock=True
        ),
    ]
    weekly_listening_child: Annotated[
        float, Output("The same for a child", TIME, show="h", figures=3, clock=True)
    ]
    time_weighted_level: Annotated[
        float, Output("Steady level over 8 h of the same dose", SOUND_LEVEL, decimals=1)
    ]
    daily_level: Annotated[
        float, Output("Daily level: its noise spread over 8 h (LEX,8h)", SOUND_LEVEL, decimals=1)
    ]
    eu_values: Annotated[str, OutputText("European values reached")]
    eu_levels: Annotated[tuple[float, ...], OutputList("Their daily levels", SOUND_LEVEL, decimals=0)]
    exposures: Annotated[tuple[ExposureShare, ...], OutputRows("By stretch of time")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Noise dose of a day",
    example={
        "exposures": [
            {"level": 79.0, "duration": 10800.0},
            {"level": 88.0, "duration": 2400.0},
            {"level": 97.0, "duration": 240.0},
        ],
    },
    sources=("niosh-98-126", "directive-2003-10-ec", "itu-t-h-870"),
    cautions=("S14",),
)
def noise_dose(
    exposures: Annotated[
        tuple[NoiseExposure, ...],
        Rows("Noise of the day", "stretch", at_most=12, help="One for each level of the day."),
    ],
) -> NoiseDose:
    """How much of the dose of a working day your ears have had, and how long until it is full.

    100 % is 8 hours at 85 dB(A); every 3 dB more halves the time, every 3 dB less doubles it, even beyond
    the day. The level is the one at the ear, without hearing protection.
    """
    if sum(each.duration for each in exposures) > DAY:
        raise InputError("exposures", "The stretches of one day cannot be longer than 24 hours.")
    spent = [hearing.Exposure(each.level, each.duration) for each in exposures]
    dose, daily = hearing.niosh_dose(spent), hearing.daily_level(spent)
    loudest = max(each.level for each in exposures)
    allowed = hearing.allowed_time(loudest)
    reached = hearing.reached_action_values(daily)
    return NoiseDose(
        niosh_dose=dose,
        niosh_left=max(0.0, allowed * (1 - dose)),
        niosh_allowed=allowed,
        weekly_listening=hearing.weekly_listening_time(loudest),
        weekly_listening_child=hearing.weekly_listening_time(loudest, hearing.CHILD_LISTENING_LEVEL),
        time_weighted_level=hearing.time_weighted_average(dose),
        daily_level=daily,
        eu_values=" and ".join(each.name for each in reached) or "none",
        eu_levels=tuple(each.daily_level for each in reached),
        exposures=tuple(_share(each) for each in spent),
        advice=_dose_advice(dose, loudest, reached),
    )


def _share(exposure: hearing.Exposure) -> ExposureShare:
    return ExposureShare(
        level=exposure.level,
        allowed=hearing.allowed_time(exposure.level),
        dose=hearing.niosh_dose([exposure]),
    )


def _dose_advice(dose: float, loudest: float, reached: tuple[hearing.ActionValue, ...]) -> tuple[Advice, ...]:
    advice = []
    if loudest >= hearing.CEILING_LEVEL:
        advice.append(
            Advice("exposures", "No ear may be given 140 dB(A), for any time. Turn it off.", danger=True)
        )
    if dose >= 1:
        advice.append(
            Advice(
                "niosh_dose",
                f"The dose of the day is used up, {100 * dose:.0f} % of it: no more noise today, and wear "
                "protection the next time. Hearing that is lost does not come back.",
                danger=True,
            )
        )
    elif dose >= 0.5:
        advice.append(Advice("niosh_dose", "Half the dose of the day is gone: put your protection on now."))
    if any(each.daily_level >= 85 for each in reached):
        advice.append(
            Advice(
                "daily_level",
                "European law asks for hearing protection from this daily level up, and for less noise.",
                danger=True,
            )
        )
    elif reached:
        advice.append(
            Advice(
                "daily_level",
                "European law: from this daily level up an employer offers hearing protection.",
            )
        )
    return tuple(advice)
