"""Sum of sounds at one place."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Flag, Number, Output, Rows, calculator
from calculators.declaring.quantities import ANGLE, LEVEL
from calculators.physics import decibels
from calculators.vocabulary.responses import LOWEST_SHOWN


@dataclass(frozen=True)
class SoundLevel:
    """One of the sounds to add."""

    level: Annotated[float, Number("Level", LEVEL, -200, 200, usual=(0, 140))]
    phase: Annotated[float, Number("Phase", ANGLE, -3600, 3600, usual=(-360, 360), help="One tone only.")] = (
        0.0
    )


@dataclass(frozen=True, kw_only=True)
class LevelSum:
    """All sounds together."""

    total: Annotated[float, Output("Together", LEVEL, decimals=2, lowest=-100.0, main=True)]
    above_loudest: Annotated[
        float, Output("Above the loudest of them", LEVEL, decimals=2, lowest=LOWEST_SHOWN)
    ]
    other_total: Annotated[float, Output("If it were the other kind", LEVEL, decimals=2, lowest=-100.0)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Sum of levels",
    example={"levels": [{"level": 90.0}, {"level": 87.0}], "coherent": False},
    sources=("iso-1996-1", "phasor-sum"),
)
def level_sum(
    levels: Annotated[tuple[SoundLevel, ...], Rows("Sounds", "sound", at_most=24)],
    coherent: Annotated[
        bool,
        Flag(
            "One tone, with phase",
            help="No: music, noise, any sounds without a tie.",
        ),
    ] = False,
) -> LevelSum:
    """What several sounds make together.

    Sounds that have nothing to do with each other add as powers: two equal ones are 3 dB more.
    The same tone from two places adds with its phase: 6 dB more in step, nothing left opposed.
    """
    heights = [sound.level for sound in levels]
    as_powers, as_phasors = _sums(heights, [sound.phase for sound in levels])
    total, other = (as_phasors, as_powers) if coherent else (as_powers, as_phasors)
    advice: tuple[Advice, ...] = ()
    if not coherent and any(sound.phase for sound in levels):
        advice = (Advice("coherent", "Phase counts only for one and the same tone: it was left aside."),)
    return LevelSum(total=total, above_loudest=total - max(heights), other_total=other, advice=advice)


def _sums(heights: list[float], phases: list[float]) -> tuple[float, float]:
    return decibels.power_sum(heights), decibels.phasor_sum(heights, phases)
