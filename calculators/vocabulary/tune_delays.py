"""Group delay that a tune leaves in the direct sound of each side, against what an ear notices."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, Output, OutputText
from calculators.declaring.quantities import FREQUENCY, TIME
from calculators.physics import audibility, speaker_system
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.speaker_system import band_centres, grid
from calculators.vocabulary.tune_plan import SIDE_OF, Tune

NOTICED_FROM, NOTICED_TO = 500.0, 8000.0
"""Hz between which the limits are published."""
SIDE_PLAYS_WITHIN = 15.0
"""dB under the loudest within which a side is taken to play."""
LOOKED_BESIDE = 1e-3
"""Part of a frequency, to either side of which the phase is looked at."""


@dataclass(frozen=True, kw_only=True)
class DelayFound:
    """Where one side's direct sound is most off its own top, as an ear counts it."""

    side: Annotated[str, OutputText("Side")]
    frequency: Annotated[float, Output("Most off at", FREQUENCY, figures=3, trim=True)]
    late: Annotated[float, Output("Later than its top octave by", TIME, show="ms", decimals=2)]
    noticed: Annotated[float, Output("An ear notices", TIME, show="ms", decimals=2)]


def delay_rows(tune: Tune) -> tuple[DelayFound, ...]:
    """Each side at the first seat, by its settings, arrivals and levels: no reflection is in it.

    Against the highest octave that it plays: that is where an attack is heard.
    """
    channels = tune.plan.channels
    found = []
    for name in ("left", "right"):
        numbers = [
            n for n, each in enumerate(channels) if each.side == SIDE_OF[name] and each.kind != "subwoofer"
        ]
        if numbers:
            found.append(_row(tune, name, numbers))
    return tuple(found)


def _row(tune: Tune, name: str, numbers: list[int]) -> DelayFound:
    at = grid()[(grid() >= NOTICED_FROM) & (grid() <= NOTICED_TO)]
    below, here, above = (_direct(tune, numbers, at * (1 + way * LOOKED_BESIDE)) for way in (-1, 0, 1))
    late = -np.angle(above * np.conj(below)) / (4 * np.pi * LOOKED_BESIDE * at)
    level = 20 * np.log10(np.abs(here) + 1e-30)
    plays = np.flatnonzero(level >= np.max(level) - SIDE_PLAYS_WITHIN)
    off = late - np.median(late[plays[at[plays] >= at[plays[-1]] / 2]])
    noticed = np.array([audibility.group_delay_noticed(float(each)) for each in at])
    worst = int(plays[np.argmax(np.round(np.abs(off / noticed)[plays], 6))])
    return DelayFound(
        side=name, frequency=float(at[worst]), late=round(float(off[worst]), 9), noticed=float(noticed[worst])
    )


def _direct(tune: Tune, numbers: list[int], at: FloatArray) -> ComplexArray:
    """Channels together at frequencies, Hz, by measured levels and arrivals, and by their settings."""
    plan = tune.plan
    settings = tuple(tune.settings[number] for number in numbers)
    through = speaker_system.chains(settings, at, plan.processor.limits.sample_rate)
    first = min(plan.channels[number].arrival[0] for number in numbers)
    total = np.zeros(at.shape, dtype=np.complex128)
    for number, chain in zip(numbers, through, strict=True):
        each = plan.channels[number]
        bands = speaker_system.band_levels(plan.gains[0][list(plan.near), number])
        level = np.interp(np.log(at), np.log(band_centres()), bands)
        turn = np.exp(-2j * np.pi * at * (each.arrival[0] - first))
        total += each.sign * 10 ** (level / 20) * turn * chain
    return total


def delay_advice(rows: tuple[DelayFound, ...]) -> tuple[Advice, ...]:
    """A word for each side whose group delay an ear may notice."""
    return tuple(
        Advice(
            "filters",
            f"By group delay the {row.side} side comes {1e3 * abs(row.late):.1f} ms "
            f"{'later' if row.late > 0 else 'earlier'} at {float(f'{row.frequency:.3g}'):g} Hz than at its "
            f"top; {1e3 * row.noticed:.1f} ms is noticed there: look at the join and at narrow filters.",
        )
        for row in rows
        if round(abs(row.late), 9) > row.noticed
    )
