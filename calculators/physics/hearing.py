"""How much noise an ear has had in a day, and how much it may have."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calculators.physics.decibels import power_sum

WORKING_DAY = 8 * 3600.0
"""Duration, s, that daily levels are referred to."""
CRITERION_LEVEL = 85.0
"""Level, dBA, allowed for a working day (NIOSH 98-126, section 1.1)."""
EXCHANGE_RATE = 3.0
"""Rise, dB, that halves the time allowed (NIOSH 98-126, section 1.1)."""
CEILING_LEVEL = 140.0
"""Level, dBA, that no ear may be given for any time (NIOSH 98-126, section 1.1)."""
LISTENING_LEVEL = 80.0
"""Level, dBA, that adults may listen at for LISTENING_WEEK (ITU-T H.870, clause 7)."""
CHILD_LISTENING_LEVEL = 75.0
"""Level, dBA, that children and sensitive ears may listen at for LISTENING_WEEK (ITU-T H.870, clause 7)."""
LISTENING = (LISTENING_LEVEL, CHILD_LISTENING_LEVEL)
"""The two: an adult's, and a child's."""
LISTENING_WEEK = 40 * 3600.0
"""Time, s, in a week that one may listen at that level (ITU-T H.870, clause 7)."""


@dataclass(frozen=True)
class ActionValue:
    """A value of Directive 2003/10/EC. daily_level: dBA. peak_pressure: Pa, C-weighted."""

    name: str
    daily_level: float
    peak_pressure: float


EU_ACTION_VALUES = (
    ActionValue("lower action value", 80.0, 112.0),
    ActionValue("upper action value", 85.0, 140.0),
    ActionValue("limit value", 87.0, 200.0),
)
"""Directive 2003/10/EC, article 3(1). The limit alone counts what hearing protectors take off."""


@dataclass(frozen=True)
class Exposure:
    """Time spent in noise. level: dBA. duration: s, 0 or more."""

    level: float
    duration: float


def allowed_time(level: float) -> float:
    """Time, s, that NIOSH allows in a day at a level (dBA): 8 h at 85 dBA, halved every 3 dB.

    The rule is the same below 85 dBA, where the time grows beyond a day.
    Source: NIOSH 98-126 (1998), section 1.1 and Table 1-1.
    """
    return float(WORKING_DAY * 2 ** ((CRITERION_LEVEL - level) / EXCHANGE_RATE))


def weekly_listening_time(level: float, allowed: float = LISTENING_LEVEL) -> float:
    """Time, s, that one may listen in a week at a level, equal energy.

    level: dBA. allowed: dBA that may be had for LISTENING_WEEK, one of LISTENING: an adult's unless given.
    Source: ITU-T H.870 (2018), clause 7, and the WHO-ITU standard for safe listening (2019).
    """
    return float(LISTENING_WEEK * 10 ** ((allowed - level) / 10))


def niosh_dose(exposures: Sequence[Exposure]) -> float:
    """Share of a day's allowance used up; 1 is all of it (NIOSH prints it as 100 %).

    Every exposure counts, quiet ones too; NIOSH leaves out those under 80 dBA (from memory).
    Raises ValueError for a duration below 0 or a level that is not finite.
    Source: NIOSH 98-126 (1998), section 1.1: sum of time spent over time allowed.
    """
    _check(exposures)
    return sum(each.duration / allowed_time(each.level) for each in exposures)


def time_weighted_average(dose: float) -> float:
    """Steady level, dBA, over 8 h of the same NIOSH dose (above 0).

    Raises ValueError if the dose is not above 0.
    Source: NIOSH 98-126 (1998), section 1.1: 10·log10(dose) + 85.
    """
    if not dose > 0:
        raise ValueError("the dose must be above 0")
    return 10 * math.log10(dose) + CRITERION_LEVEL


def daily_level(exposures: Sequence[Exposure]) -> float:
    """Daily noise exposure level LEX,8h, dBA: the same energy spread over 8 h.

    Raises ValueError for a duration below 0, a level that is not finite, or no time at all.
    Source: Directive 2003/10/EC, article 2; ISO 1999.
    """
    _check(exposures)
    parts = [
        each.level + 10 * math.log10(each.duration / WORKING_DAY) for each in exposures if each.duration > 0
    ]
    if not parts:
        raise ValueError("at least one exposure needs a duration")
    return power_sum(parts)


def reached_action_values(daily: float) -> tuple[ActionValue, ...]:
    """The values that a day's noise reaches or passes. daily: LEX,8h, dBA.

    Source: Directive 2003/10/EC, article 3.
    """
    return tuple(each for each in EU_ACTION_VALUES if daily >= each.daily_level)


def _check(exposures: Sequence[Exposure]) -> None:
    if not all(0 <= each.duration < math.inf and math.isfinite(each.level) for each in exposures):
        raise ValueError("a duration cannot be below 0, and both must be finite numbers")
