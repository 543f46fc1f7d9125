"""The order in which a tune looks at its channels: that of the vehicle, whatever rows they are typed in."""

import math
from collections.abc import Sequence
from dataclasses import replace

from calculators.vocabulary.tune_plan import Channel, Plan, Tune

SIDES_IN_ORDER = (-1, 1, 0)


def by_part(channels: Sequence[Channel]) -> tuple[int, ...]:
    """Numbers of channels: left, right, what stands on neither side, each from its highest part down.

    Of parts alike the first to arrive comes first; a name decides last.
    """

    def place(number: int) -> tuple[int, float, float, float, str]:
        each = channels[number]
        return (
            SIDES_IN_ORDER.index(each.side),
            -(each.high_pass or 0.0),
            -(each.low_pass or math.inf),
            round(sum(each.arrival), 9),
            each.name,
        )

    return tuple(sorted(range(len(channels)), key=place))


def in_order(plan: Plan, order: Sequence[int]) -> Plan:
    """A plan with its channels in the order of these numbers."""
    own = list(order)
    return replace(
        plan,
        channels=tuple(plan.channels[number] for number in own),
        gains=tuple(gains[:, own] for gains in plan.gains),
        fir=None if plan.fir is None else plan.fir[own],
    )


def put_back(tune: Tune, order: Sequence[int]) -> Tune:
    """A tune that was made in the order of these numbers, with its channels as they were before."""
    back = sorted(range(len(order)), key=order.__getitem__)
    joins = (replace(each, low=order[each.low], high=order[each.high]) for each in tune.joins)
    return replace(
        tune,
        plan=in_order(tune.plan, back),
        settings=tuple(tune.settings[number] for number in back),
        joins=tuple(sorted(joins, key=lambda each: (each.low, each.high))),
    )
