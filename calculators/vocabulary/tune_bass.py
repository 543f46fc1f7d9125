"""Subwoofers of a tune where they meet what plays above: set by phase, and brought back after the fit."""

import math
from dataclasses import dataclass, replace

import numpy as np

from calculators.declaring import Steps, Working
from calculators.physics import joins, speaker_system
from calculators.physics.arrays import ComplexArray
from calculators.physics.bass_joins import POLARITY_WINS_BY
from calculators.physics.power_sums import BASS_JOIN
from calculators.physics.speaker_system import Setting, grid
from calculators.vocabulary.tune_plan import Plan, Tune

BASS_NEAR, BASS_LACKS = 1.5e-3, 0.1
"""s about its delay, within which a subwoofer is moved at the end, for filters turn its phase; dB of loss
that must be won. Half a cycle off and turned it may join as well, but no filter was made for that."""
NEAR_THE_END = 0.9
"""Part of half a cycle from its arrival, from which on a subwoofer stands near the end of its search."""
JOINING = "Delays, polarity and levels"
ROUNDING = "Fitting to the processor's steps"
ABOVE = {"left": (-1,), "right": (1,), "left and right": (-1, 0, 1)}
"""Sides of the channels that a subwoofer is judged with."""


def bass_joined(plan: Plan, settings: tuple[Setting, ...], share: float) -> Steps[tuple[Setting, ...]]:
    """Each subwoofer set by phase from 50 to 125 Hz over all points and seats, one after another."""
    now = list(settings)
    for number, others in _bass_order(plan):
        through = speaker_system.chains(tuple(now), grid(), plan.processor.limits.sample_rate)
        join = _bass_join(plan, through, number, others)
        # Searched as often as it may be, a subwoofer keeps within half a cycle of its arrival.
        ends = _ends(plan, tuple(now), number)
        found = joins.best_bass(
            join, _corner(plan, number), ends, (1.0, -1.0) if plan.may_turn(number) else (1.0,)
        )
        now[number] = replace(
            now[number], delay=now[number].delay + found.delay, sign=now[number].sign * found.sign
        )
        yield Working(JOINING, share)
    return tuple(now)


def bass_in_steps(plan: Plan, settings: tuple[Setting, ...]) -> Steps[tuple[Setting, ...]]:
    """Each subwoofer brought back to its join by whole steps of the processor's delay, near by alone."""
    now = list(settings)
    step, most = plan.processor.delay_step, math.floor(BASS_NEAR / plan.processor.delay_step)
    for number, others in _bass_order(plan):
        through = speaker_system.chains(tuple(now), grid(), plan.processor.limits.sample_rate)
        join = _bass_join(plan, through, number, others)
        delays = step * np.arange(-most, most + 1)
        late, reach = behind(plan, tuple(now), number), 0.5 / _corner(plan, number)
        delays = delays[(np.abs(late + delays) <= max(reach, abs(late)) + 1e-9)]
        losses = np.round(np.mean(join.losses(delays).reshape(delays.size, -1), axis=1), 6)
        best, stays = int(np.argmax(losses)), int(np.argmin(np.abs(delays)))
        if losses[best] > losses[stays] + BASS_LACKS:
            now[number] = replace(now[number], delay=in_steps(now[number].delay + float(delays[best]), step))
        yield Working(ROUNDING, 0.95)
    return from_nothing(tuple(now))


def _bass_order(plan: Plan) -> list[tuple[int, list[int]]]:
    """Subwoofers in turn, each with what it is joined to: what plays above, and those before it."""
    bass = [n for n, each in enumerate(plan.channels) if each.kind == "subwoofer"]
    rest = _above(plan)
    first = 0 if rest else 1
    return [(number, rest + bass[:place]) for place, number in enumerate(bass) if place >= first]


def _above(plan: Plan) -> list[int]:
    """The channels that play above subwoofers."""
    return [n for n, each in enumerate(plan.channels) if each.kind != "subwoofer"]


def _corner(plan: Plan, number: int) -> float:
    """Low-pass of a subwoofer, Hz; none comes from a form without."""
    return plan.channels[number].low_pass or 80.0


def _bass_join(plan: Plan, through: ComplexArray, number: int, others: list[int]) -> joins.Join:
    """A subwoofer as it meets others at all points and seats."""
    inside = np.flatnonzero((grid() >= BASS_JOIN[0]) & (grid() <= BASS_JOIN[1]))
    parts = np.concatenate([seat[:, :, inside] for seat in plan.gains]) * through[:, inside]
    return joins.Join(grid()[inside], parts[:, number], np.sum(parts[:, others], axis=1))


def bass_joins(tune: Tune) -> list[tuple[str, joins.Join]]:
    """Each subwoofer with the left channels, with the right ones, with all but subwoofers, by its words."""
    found, channels = [], tune.plan.channels
    for number, channel in enumerate(channels):
        for words, sides in ABOVE.items() if channel.kind == "subwoofer" else ():
            others = [n for n in _above(tune.plan) if channels[n].side in sides]
            if others:
                join = _bass_join(tune.plan, tune.through, number, others)
                found.append((f"{channel.name} with {words}", join))
    return found


@dataclass(frozen=True)
class Standing:
    """How a subwoofer of a finished tune stands, and how the other polarity would.

    ``cost``: dB, mean loss and half its spread. ``behind``: s, after what plays above.
    ``at_the_end``: whether it is near an end of its search and costs less towards it. ``turned_by``: s, to be
    moved by once turned. ``turned``: what it then costs, dB, without
    bound where it has no place inside either.
    """

    cost: float
    behind: float
    at_the_end: bool
    turned_by: float
    turned: float

    @property
    def turned_better(self) -> bool:
        """Whether the other polarity would have been chosen for this join."""
        return self.turned < self.cost - POLARITY_WINS_BY


def standing(tune: Tune, number: int) -> Standing | None:
    """How a subwoofer stands; None where nothing plays above it."""
    others = _above(tune.plan)
    if not others:
        return None
    join, centre = _bass_join(tune.plan, tune.through, number, others), _corner(tune.plan, number)
    ends, late = _ends(tune.plan, tune.settings, number), behind(tune.plan, tune.settings, number)
    cost = join.cost(0.0)
    end = min(ends, key=abs)
    at_the_end = abs(late) > NEAR_THE_END * 0.5 / centre and join.cost(end) <= cost
    other = joins.best_bass(join, centre, ends, (-1.0,))
    turned = join.cost(other.delay, -1.0) if ends[0] < other.delay < ends[1] else math.inf
    return Standing(cost, late, at_the_end, other.delay, turned)


def _ends(plan: Plan, settings: tuple[Setting, ...], number: int) -> tuple[float, float]:
    """The least and the most, s, that a subwoofer may be moved by: half a cycle from its arrival."""
    late, reach = behind(plan, settings, number), 0.5 / _corner(plan, number)
    return (-reach - late, reach - late)


def behind(plan: Plan, settings: tuple[Setting, ...], number: int) -> float:
    """s by which a subwoofer's direct sound comes after that of what plays above it, in the mean."""
    arrives = [late + each.delay for late, each in zip(plan.mean_arrivals(), settings, strict=True)]
    above = [late for late, each in zip(arrives, plan.channels, strict=True) if each.kind != "subwoofer"]
    return arrives[number] - sum(above or arrives) / len(above or arrives)


def from_nothing(settings: tuple[Setting, ...]) -> tuple[Setting, ...]:
    """Delays moved together so that the least is none."""
    least = min(each.delay for each in settings)
    return tuple(replace(each, delay=each.delay - least) for each in settings)


def in_steps(value: float, step: float) -> float:
    """A value as the nearest whole number of steps."""
    return round(value / step) * step
