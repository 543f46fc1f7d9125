"""Left held against right in a tune: at single notes, and only where both play."""

from dataclasses import replace

import numpy as np
import pytest

from calculators.declaring.working import drain
from calculators.physics import sides_alike, speaker_system
from calculators.physics.speaker_system import in_band
from calculators.vocabulary import tune_limits, tune_seats, tune_steps
from calculators.vocabulary.tune_plan import Plan, Tune
from tests.stages.tuning.test_tune import demonstration, plan_of


def farthest_note(tune: Tune) -> float:
    """dB in a third octave from 300 Hz to 5 kHz."""
    over = tune.left_over_right
    assert over is not None
    return float(np.max(np.abs(over[in_band(*sides_alike.NOTES_FROM_TO)])))


def test_filters_buy_little_level_by_parting_left_from_right_at_a_note(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The demonstration with three filters a channel: 7 dB apart at one note where only broad bands count."""
    apart = []
    for weight in (0.0, sides_alike.NOTE_WEIGHT):
        monkeypatch.setattr(sides_alike, "NOTE_WEIGHT", weight)
        apart.append(farthest_note(drain(tune_steps.tuned(plan_of(demonstration()), 3))))
    assert apart[0] > 6.0
    assert apart[1] < 5.0


def without(plan: Plan, number: int) -> Plan:
    """The same vehicle with one speaker less."""
    others = [each for each in range(len(plan.channels)) if each != number]
    return replace(
        plan,
        channels=tuple(plan.channels[each] for each in others),
        gains=tuple(gains[:, others] for gains in plan.gains),
    )


def test_a_side_without_a_woofer_is_not_asked_for_what_it_cannot_play() -> None:
    """Left against right is then looked at where both play, and the sheet is no worse than what was found.

    As once made, by own sums of a reader: 1.85 dB RMS as found, 13.87 tuned, and a woofer at -46 dB.
    """
    whole = plan_of(demonstration())
    dead = next(n for n, each in enumerate(whole.channels) if each.side == 1 and each.kind == "woofer")
    plan = without(whole, dead)
    high_pass = next(each.high_pass for each in plan.channels if each.side == 1)
    assert whole.sides_play_alike
    assert not plan.sides_play_alike
    assert high_pass is not None
    assert list(plan.paired) == list(in_band(high_pass, 16e3))
    tune = drain(tune_steps.tuned(plan, 3))
    assert speaker_system.rms(tune.off_target(0)) < 2.0
    assert min(each.gain for each in tune.settings) > -15.0
    assert (tune_seats.sides_apart(tune) or 0.0) <= 1.0
    (told,) = tune_limits.unlike_sides(plan)
    assert (
        "One side lacks octaves that the other plays: left against right is looked at from " in told.message
    )
    assert not tune_limits.unlike_sides(whole)


def test_sides_that_share_nothing_are_compared_nowhere() -> None:
    whole = plan_of(demonstration())
    kept = [
        n
        for n, each in enumerate(whole.channels)
        if (each.side, each.kind) not in ((1, "woofer"), (-1, "tweeter"))
    ]
    plan = replace(whole, channels=tuple(whole.channels[n] for n in kept))
    high = next(each for each in plan.channels if each.kind == "tweeter")
    low = next(each for each in plan.channels if each.kind == "woofer")
    assert high.high_pass is not None
    assert low.low_pass is not None
    shared = in_band(high.high_pass, low.low_pass)
    assert list(plan.paired) == list(shared)
    (told,) = tune_limits.unlike_sides(
        replace(plan, channels=(high, replace(low, low_pass=high.high_pass / 2)))
    )
    assert "nowhere" in told.message
