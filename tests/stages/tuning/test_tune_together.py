"""What the filters of one channel do together, once they are in the processor's steps."""

from collections import Counter
from dataclasses import replace
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.declaring.working import drain
from calculators.physics import flattening, speaker_system, tuning_fit
from calculators.physics.filter_limits import Limits
from calculators.physics.speaker_system import Setting, grid
from calculators.vocabulary import tune_steps, tune_task
from calculators.vocabulary.tune_plan import Channel, Plan, Processor
from tests.conftest import SOAK
from tests.physics.test_filter_limits import by_scipy


def random_plan(seed: int, limits: Limits, step: float) -> Plan:
    """Two sides and a subwoofer at six points: humps and holes of 20 dB ask for several filters at once."""
    random = np.random.default_rng(seed)
    gains = np.empty((6, 3, grid().size), complex)
    for channel in range(3):
        humps = np.column_stack(
            [np.exp(random.uniform(np.log(50), np.log(8e3), 4)), random.uniform(-20, 20, 4), np.full(4, 1.5)]
        )
        gains[:, channel] = speaker_system.chain(Setting(filters=humps), grid())
    gains *= 1 + 0.1 * random.normal(size=gains.shape) + 0.1j * random.normal(size=gains.shape)
    rows = (
        Channel("Left", "woofer", -1, 80.0, None, (0.0,)),
        Channel("Right", "woofer", 1, 80.0, None, (0.0,)),
        Channel("Subwoofer", "subwoofer", 0, None, 80.0, (0.0,)),
    )
    processor = Processor(limits, 6, gain_step=step)
    points = tuple(range(6))
    return Plan(rows, (gains,), points[:2], points, (np.zeros(27),), (1.0,), processor)


def counted(monkeypatch: pytest.MonkeyPatch, *works: tuple[ModuleType, str]) -> Counter[str]:
    """How often each work has been asked, by its name."""
    asked: Counter[str] = Counter()

    def counting(work: Any, name: str) -> Any:
        def asking(*values: Any) -> Any:
            asked[name] += 1
            return work(*values)

        return asking

    for module, name in works:
        monkeypatch.setattr(module, name, counting(getattr(module, name), name))
    return asked


@settings(max_examples=200 if SOAK else 6, deadline=None)
@given(
    st.integers(0, 2**32), st.sampled_from([0.0, 3.0, 6.0]), st.sampled_from([4.0, 12.0]),
    st.sampled_from([0.1, 0.5, 1.0]), st.integers(2, 5), st.booleans(),
)  # fmt: skip
def test_no_channels_filters_do_together_more_than_they_may(
    seed: int, boost: float, cut: float, step: float, count: int, between: bool
) -> None:
    """1 dB of lift and 3 dB of cut beyond what one may do, and a tenth for the steps."""
    plan = random_plan(seed, Limits(max_boost=boost, max_cut=cut), step)
    tune = drain(tune_steps.tuned(replace(plan, between=between), count, 2))
    for each in tune.settings:
        assert each.filters is not None
        level = by_scipy(each.filters, grid())
        assert np.max(level) <= boost + 1 + 0.1001
        assert np.min(level) >= -cut - 3 - 0.1001


def test_steps_that_add_up_are_taken_back_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two of 5 dB on one place are 10, of two cuts of 9 dB 18: three steps of 1 dB each, to 7 and 15.

    A page is heard after each channel's filters have been tried.
    """
    plan = random_plan(1, Limits(), 1.0)
    task = tune_task.task_of(plan, tuple(Setting() for _ in plan.channels))
    peaks = np.zeros((3, 2, 3))
    peaks[..., 0] = np.log(grid()[100])
    peaks[:, :, 1] = np.array([[5.0], [-9.0], [3.0]])
    asked = counted(monkeypatch, (tuning_fit, "cost_of"))
    tried: list[int] = []
    found = drain(
        tune_steps._within(plan, tuning_fit.plain(task, peaks)), lambda _: tried.append(asked["cost_of"])
    )
    assert max(np.diff([0, *tried])) == 2
    assert np.sum(found.peaks[..., 1], axis=1) == pytest.approx([7, -15, 6])
    assert found.peaks[..., 1] % 1 == pytest.approx(0)


@pytest.mark.parametrize("between", [True, False])
def test_a_page_is_heard_all_along_the_tune(between: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """What takes time is asked a few times between two signs of life: one channel's filters, or one fit."""
    asked = counted(monkeypatch, (tuning_fit, "cost_of"), (tuning_fit, "residuals"), (flattening, "_look"))
    plan = replace(random_plan(5, Limits(max_boost=3.0), 1.0), between=between)
    most: Counter[str] = Counter()
    for _ in tune_steps.tuned(plan, 6, 2):
        most |= asked
        asked.clear()
    assert 0 < (most | asked)["residuals"] <= 2
    assert 0 < (most | asked)["cost_of"] <= 8
    assert 0 < (most | asked)["_look"] <= 40
