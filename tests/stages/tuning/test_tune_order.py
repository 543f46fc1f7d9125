"""The same measurements give the same sheet, in whatever order channels are typed."""

from dataclasses import replace

import numpy as np

from calculators.declaring.working import drain
from calculators.vocabulary import tune_order, tune_steps
from tests.stages.tuning.test_tune import demonstration, plan_of


def test_the_order_of_rows_changes_no_figure_of_the_sheet() -> None:
    """As once made: gains up to 3 dB otherwise by the order of rows alone."""
    plan = replace(plan_of(demonstration()), fir=np.ones((6, 216), complex))
    order = (4, 2, 0, 5, 3, 1)
    moved = tune_order.in_order(plan, order)
    one, other = (drain(tune_steps.tuned(each, 3)) for each in (plan, moved))
    assert other.plan.channels == moved.channels
    assert one.plan.channels == plan.channels
    for place, number in enumerate(order):
        here, there = one.settings[number], other.settings[place]
        assert (here.gain, here.delay, here.sign) == (there.gain, there.delay, there.sign)
        assert here.filters is not None
        assert there.filters is not None
        assert np.array_equal(here.filters, there.filters)
    names = [
        {
            (each.plan.channels[join.low].name, each.plan.channels[join.high].name): join.found.loss
            for join in each.joins
        }
        for each in (one, other)
    ]
    assert len(names[0]) == 2
    assert names[0] == names[1]
    assert [(join.low, join.high) for join in other.joins] == sorted(
        (join.low, join.high) for join in other.joins
    )


def test_what_is_put_in_order_comes_back() -> None:
    plan = plan_of(demonstration())
    shuffled = tune_order.in_order(plan, (5, 0, 3, 1, 4, 2))
    order = tune_order.by_part(shuffled.channels)
    assert [shuffled.channels[number].name for number in order] == [each.name for each in plan.channels]
