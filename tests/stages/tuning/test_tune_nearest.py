"""What a tune reaches where the nearest fit at the points is wanted: those points alone, and two seats."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from calculators.declaring import Steps, Working
from calculators.declaring.working import drain
from calculators.physics import air, simulated_cabin
from calculators.vocabulary import tune_positions, tune_seats, tune_steps
from calculators.vocabulary.tune_plan import Plan, Tune
from tests.conftest import SOAK
from tests.stages.tuning.test_tune import demonstration, off, plan_of


def test_a_sheet_for_the_measured_points_hangs_on_no_last_digit() -> None:
    """Measurements moved by 1e-13 of themselves, as another computer reckons: the same sheet, word for word.

    Twenty cabins in the long tests.
    """
    for seed in range(200, 220) if SOAK else [206]:
        plan = replace(plan_of(simulated_cabin.cabin(seed)), between=False)
        moves = 1 + 1e-13 * np.random.default_rng(seed).normal(size=plan.gains[0].shape)
        moved = replace(plan, gains=tuple(gains * moves for gains in plan.gains))
        one, other = (drain(tune_steps.tuned(each, 4)).settings for each in (plan, moved))
        for here, there in zip(one, other, strict=True):
            assert (here.gain, here.delay, here.sign) == (there.gain, there.delay, there.sign)
            assert here.filters is not None
            assert there.filters is not None
            assert np.array_equal(here.filters, there.filters)


def test_a_strained_fit_is_begun_again_from_elsewhere() -> None:
    """Near its first beginnings this cabin leaves 0.56 dB RMS; the same filters begun elsewhere do better."""
    heard = simulated_cabin.cabin(224)
    tune = drain(tune_steps.tuned(replace(plan_of(heard), between=False), 4))
    assert off(heard, tune.settings, heard.fitted) <= 0.45


def test_a_strained_tune_is_gone_through_again_from_its_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once its joins are set the fit finds more: the best is the sheet. Where it is near enough, no more."""
    plan = replace(plan_of(demonstration()), between=False)
    asked, finished = [], tune_steps._finished

    def counted(*given: Any) -> Steps[Tune]:
        asked.append(given[1])
        return (yield from finished(*given))

    monkeypatch.setattr(tune_steps, "_finished", counted)
    monkeypatch.setattr(tune_steps, "sides_apart", lambda _: None)
    monkeypatch.setattr(tune_steps, "ONCE_MORE", 2)
    far = []
    for limit, passes in ((0.0, 3), (9.0, 1)):
        asked.clear()
        monkeypatch.setattr(tune_seats, "STRAINED", limit)
        tune = drain(tune_steps.tuned(plan, 2, starts=2))
        assert len(asked) == passes
        far.append(float(np.max(tune.seats_off)))
    assert tune.count == 2
    assert far[0] <= far[1]


def test_a_share_that_begins_anew_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A reader who waits at 95 % and then sees 60 % is told that the work is gone through again."""
    monkeypatch.setattr(tune_seats, "STRAINED_AT_TWO", 0.0)
    monkeypatch.setattr(tune_steps, "ONCE_MORE", 1)
    plan = for_both_seats(demonstration(), between=True)
    heard: list[Working] = []
    tune = drain(tune_steps.tuned(plan, 1, starts=2), heard.append)
    drain(tune_positions.own_position(tune), heard.append)
    fallen = [after for before, after in pairwise(heard) if after.share < before.share - 0.2]
    assert len(fallen) >= 2
    told = "Once more from where it ended, 1 of 1 at most. ", tune_positions.OWN
    assert [each.step for each in fallen if not each.step.startswith(told)] == []


def test_a_nearer_tune_is_not_paid_for_with_the_bass() -> None:
    """A subwoofer moved by 4 ms joins worse by more than its other polarity would be taken for."""
    plan = plan_of(demonstration())
    first = drain(tune_steps.tuned(plan, 1, starts=1))
    subwoofer = next(n for n, each in enumerate(plan.channels) if each.kind == "subwoofer")

    def late(by: float) -> Tune:
        moved = list(first.settings)
        moved[subwoofer] = replace(moved[subwoofer], delay=moved[subwoofer].delay + by)
        return replace(first, settings=tuple(moved))

    near, far = late(1e-4), late(4e-3)
    off = {id(first): 0.5, id(near): 0.499, id(far): 0.495}
    better = tune_steps._better_of
    assert better(first, near, lambda each: off[id(each)]) is near
    assert better(first, far, lambda each: off[id(each)]) is first
    assert better(far, first, lambda each: off[id(each)]) is first, "0.005 dB farther off, and its bass whole"
    assert better(near, first, lambda each: off[id(each)]) is near


def test_four_filters_a_channel_bring_the_measured_points_to_the_target() -> None:
    """Wanted: 0.5 dB RMS of the mean over the fitted points in all of fifty. Held: in 49, and 0.60
    in the other, whose subwoofers would lose 5 dB for it.

    The demonstration's cabin in the standard run, the fifty in the long tests.
    """
    left = []
    for heard in map(simulated_cabin.cabin, range(200, 250)) if SOAK else [demonstration()]:
        tune = drain(tune_steps.tuned(replace(plan_of(heard), between=False), 4))
        left.append(off(heard, tune.settings, heard.fitted))
    assert sum(each <= 0.5 for each in left) >= 0.98 * len(left)
    assert max(left) <= 0.6


def for_both_seats(heard: simulated_cabin.Heard, between: bool) -> Plan:
    """As `plan_of`, with the passenger's points, which count alike."""
    plan = plan_of(heard)
    away = [np.linalg.norm(each.place - heard.cabin.heads[1]) for each in heard.cabin.speakers]
    channels = tuple(
        replace(channel, arrival=(*channel.arrival, float(far) / air.SPEED_OF_SOUND))
        for channel, far in zip(plan.channels, away, strict=True)
    )
    return replace(
        plan, channels=channels, gains=tuple(heard.measured[:2]), targets=plan.targets * 2,
        weights=(0.5, 0.5), between=between,
    )  # fmt: skip


def test_one_setting_brings_both_seats_to_the_target() -> None:
    """Wanted: 0.8 dB RMS of the mean over the measured points at each seat, in all of fifty, four filters a
    channel, and held.

    One in the standard run, the fifty in the long tests.
    """
    farther = []
    for seed in range(200, 250) if SOAK else [200]:
        heard = simulated_cabin.cabin(seed)
        tune = drain(tune_steps.tuned(for_both_seats(heard, between=False), 4))
        farther.append(max(off(heard, tune.settings, heard.fitted, seat) for seat in (0, 1)))
    assert max(farther) <= 0.8
