"""What a tune's sheet says of filters that lift a channel where its own crossover takes it away."""

import re
from dataclasses import replace

import numpy as np
import pytest

from calculators.declaring import Advice
from calculators.declaring.working import drain
from calculators.physics import simulated_cabin
from calculators.physics.speaker_system import Setting, grid
from calculators.vocabulary import tune_advice, tune_levels, tune_lifts, tune_stacked, tune_steps
from calculators.vocabulary.tune_plan import Tune
from tests.stages.tuning.test_tune import ROWS, demonstration, plan_of, refused

type Peaks = list[tuple[float, float, float]]


def lifts(kind: str, peaks: Peaks, safe: float | None = None, fir: float = 0.0) -> list[Advice]:
    """What is told of filters of the first channel of a kind; ``fir``: dB that its FIR filter lifts all."""
    plan = plan_of(demonstration())
    first = next(number for number, each in enumerate(plan.channels) if each.kind == kind)
    channels = [replace(each, lowest_safe=safe) if each.kind == kind else each for each in plan.channels]
    settings = [Setting() for _ in channels]
    settings[first] = Setting(filters=np.array(peaks))
    taps = np.ones((len(channels), grid().size), complex)
    taps[first] *= 10 ** (fir / 20)
    tune = Tune(
        replace(plan, channels=tuple(channels), fir=taps if fir else None), tuple(settings), (), 1, ()
    )
    found = tune_lifts.lift_advice(tune, tune_stacked.by_filters(tune))
    told = tune_advice.advice_on(tune, (), False)
    assert [note for note in found if note not in told] == [], "the sheet lacks it"
    return found


@pytest.mark.parametrize(
    ("kind", "peak", "told"),
    [
        ("woofer", (59.8, 5.4, 0.5), "by 5.4 dB at 59.8 Hz, under its high-pass of 80 Hz"),
        ("woofer", (3800.0, 3.0, 2.0), "by 3.0 dB at 3.8 kHz, over its low-pass of 3000 Hz"),
        ("woofer", (59.8, 0.9, 0.5), None),
        ("woofer", (59.8, -5.4, 0.5), None),
        ("woofer", (75.0, 3.0, 0.5), None),  # At the join: within a sixth of an octave.
        ("subwoofer", (30.0, 3.0, 2.0), None),
    ],
)
def test_a_lift_outside_of_a_channels_own_band_is_told(
    kind: str, peak: tuple[float, float, float], told: str | None
) -> None:
    found = lifts(kind, [peak])
    assert [told is not None and f" {told}." in each.message for each in found] == ([True] if told else [])
    assert not any(each.danger for each in found)


@pytest.mark.parametrize(
    ("peaks", "safe", "most", "at"),
    [
        ([(2300.0, 3.0, 2.0)], None, 3.0, 2300),
        # A wide filter whose middle is at the join, and two of which each alone may be: by skirts and sums.
        ([(2790.0, 10.7, 1.0)], None, 10.6, 2672),
        ([(2790.0, 10.7, 1.0)], 1000.0, 10.7, 2790),
        ([(2570.0, 3.9, 2.0), (2740.0, 3.9, 2.0)], None, 7.7, 2650),
        ([(3300.0, 6.0, 0.7)], 2500.0, 5.1, 2490),  # Both limits are broken: the one by more is told.
        ([(3150.0, 5.0, 6.0)], 1000.0, 3.63, 2999),
        ([(3150.0, 2.9, 1.8)], None, 2.1, 2672),  # 2.9 dB at 3 kHz are allowed: no word of those.
        ([(2300.0, 1.4, 2.0)], 2400.0, 1.4, 2300),
        ([(2300.0, 1.4, 2.0)], 2000.0, None, None),
        ([(3000.0, 1.8, 4.0)], None, None, None),  # At the join.
        ([(2300.0, 3.0, 2.0), (2300.0, -3.0, 2.0)], None, None, None),
        ([(6000.0, 3.0, 2.0)], None, None, None),
    ],
)
def test_a_tweeter_lifted_under_where_it_may_play_is_a_danger(
    peaks: Peaks, safe: float | None, most: float | None, at: float | None
) -> None:
    """Crossed at 3 kHz. By all filters together: peaks at their own middles, definition of their gain."""
    found = [note for note in lifts("tweeter", peaks, safe) if note.danger]
    assert len(found) == (most is not None)
    if most is None or at is None:
        return
    told = re.search(
        r" by ([0-9.]+) dB at ([0-9.]+) kHz, and ([13]) dB is the most under (0\.9 of |)its (h|lowest)",
        found[0].message,
    )
    assert told is not None
    assert float(told[1]) == pytest.approx(most, abs=0.06)
    assert 1000 * float(told[2]) == pytest.approx(at, rel=0.03)
    unsafe = at < (safe or 2673)
    assert told[3] == ("1" if unsafe else "3")
    assert told[4] + told[5] == ("lowest" if safe else "0.9 of h") if unsafe else told[4] + told[5] == "h"


@pytest.mark.parametrize(("fir", "danger"), [(0.0, False), (2.0, True)])
def test_a_fir_filter_counts_in_what_lifts_a_tweeter(fir: float, danger: bool) -> None:
    found = lifts("tweeter", [(3000.0, 0.8, 1.0)], None, fir)
    assert [each.danger for each in found] == [True] * danger


@pytest.mark.parametrize(
    ("kind", "peaks", "safe", "fir", "told"),
    [
        ("woofer", [(59.8, 5.4, 0.5)], 80.0, 0.0, "by 5.4 dB at 59.8 Hz, and 1 dB is the most"),
        ("woofer", [(75.0, 5.4, 0.5)], 80.0, 0.0, "by 5.4 dB at 75 Hz, and 1 dB is the most"),
        ("woofer", [(1000.0, 1.0, 1.0)], 80.0, 2.0, "by 2.0 dB at "),
        ("woofer", [(1000.0, 1.0, 1.0)], 80.0, 0.9, None),
        ("woofer", [(75.0, 5.4, 0.5)], None, 0.0, None),
        ("subwoofer", [(25.0, 3.0, 2.0)], 30.0, 0.0, "by 3.0 dB at 25 Hz, and 1 dB is the most"),
    ],
)
def test_any_speaker_lifted_where_it_is_not_safe_is_a_danger(
    kind: str, peaks: Peaks, safe: float | None, fir: float, told: str | None
) -> None:
    found = [note.message for note in lifts(kind, peaks, safe, fir) if note.danger]
    assert len(found) == (told is not None)
    assert all(str(told) in words for words in found)
    assert all(f"under its lowest safe frequency of {safe:g} Hz" in words for words in found)


def test_what_is_told_as_a_danger_is_not_told_again_as_less() -> None:
    assert len(lifts("tweeter", [(2300.0, 3.0, 2.0)])) == 1
    (less,) = lifts("tweeter", [(2300.0, 2.0, 2.0)], 1500.0)
    assert not less.danger
    assert " by 2.0 dB at 2.3 kHz, under its high-pass of 3000 Hz." in less.message


def test_a_lowest_safe_frequency_that_lost_a_zero_silences_nothing() -> None:
    assert refused(begin_with="distances", channels=[{**ROWS[0], "lowest_safe": 220.0}]) == (
        "channels[0].lowest_safe"
    )


@pytest.mark.parametrize(("safe", "asked"), [(None, True), (40.0, False)])
def test_a_lowest_safe_frequency_that_was_typed_is_not_asked_for_again(
    safe: float | None, asked: bool
) -> None:
    (told,) = lifts("woofer", [(59.8, 3.0, 2.0)], safe)
    assert ("type lowest safe frequencies" in told.message) is asked
    assert told.message.endswith("cross elsewhere.")


@pytest.mark.parametrize("filters", [3, 4])
def test_a_lone_tweeter_is_turned_down_by_its_gain_and_not_by_filters(filters: int) -> None:
    """The simulation with one tweeter in the middle of the dashboard, where both woofers lack at the join.

    Its filters cut 9 to 12 dB all over its band once, at a gain of 0 dB: its crossover was as good as so much
    lower, and all other channels stood 7 to 16 dB under it.
    """
    cabin = simulated_cabin.drawn(0, 0)
    rows = [each for each in cabin.speakers if each.name != "Right tweeter"]
    middle = np.array([cabin.size[0] / 2, 0.3, 0.75])
    rows = [replace(each, name="Tweeter", place=middle) if each.kind == "tweeter" else each for each in rows]
    heard = simulated_cabin.heard_in(replace(cabin, speakers=tuple(rows)))
    found = drain(tune_steps.tuned(plan_of(heard), filters))
    assert min(means_of_tweeters_filters(found)) > -3.5
    assert max(each.gain for each in found.settings[1:3]) > -3


def means_of_tweeters_filters(found: Tune) -> list[float]:
    """dB, by which the filters of each tweeter lift it in the mean of its own band."""
    levels = tune_levels.levels_in_band(found.plan, found.settings)
    rows = zip(found.plan.channels, levels, found.settings, strict=True)
    return [level - setting.gain for channel, level, setting in rows if channel.kind == "tweeter"]


def test_tweeters_at_the_sides_are_turned_down_by_their_gains_too() -> None:
    """One of this cabin's had filters that cut it by 9.5 dB all over its band, at a gain of 0 dB.

    All others stood 9 dB and more under it, and what they played was lost to noise and to headroom.
    """
    plan = plan_of(simulated_cabin.cabin(215))
    found = drain(tune_steps.tuned(plan, 4))
    assert [each.side for each in plan.channels if each.kind == "tweeter"] == [-1, 1]
    assert min(means_of_tweeters_filters(found)) > -3.5
    assert sorted(each.gain for each in found.settings)[-3] > -6
