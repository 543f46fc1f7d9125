"""What a tune does where nothing plays: bands outside every channel's crossover are no matter of it."""

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from calculators.declaring.working import drain
from calculators.physics import speaker_system, tuning_fit
from calculators.physics.speaker_system import Setting, band_centres, grid
from calculators.presenting.charts import chart
from calculators.vocabulary import tune_demonstration, tune_plan, tune_task
from calculators.vocabulary.tune_plan import Channel
from tests.stages.tuning.test_tune import demonstration, kept, plan_of, run, simulated_rows

LOWEST = 80.0
"""Hz: the woofers' high-pass in the simulated cabin."""


@cache
def without_subwoofers() -> Any:
    """The simulated cabin's own file with its four front channels alone, and the form's own limits."""
    shown = drain(tune_demonstration.prepared())
    pieces = [piece.decode() for piece in shown.file().pieces()]
    assert any("subwoofer" in piece[:40] for piece in pieces)
    text = "".join(each for each in pieces if "subwoofer" not in each[:40] and "seat 2" not in each[:80])
    rows = [row for row in simulated_rows() if row["part"] != "subwoofer"]
    assert min(row["high_pass"] for row in rows) == LOWEST
    return run(begin_with="measurements", measurements=kept(text), channels=rows, filters=3.0)


def test_without_subwoofers_no_filter_chases_what_nobody_plays() -> None:
    found = without_subwoofers()
    (seat,) = found.expected
    assert seat.after <= 1.2
    assert seat.after < seat.before / 2
    assert abs(seat.worst) <= 3.8
    for channel in found.channels:
        own = np.array(
            [(each.frequency, each.gain, each.q) for each in found.filters if each.name == channel.name]
        )
        through = speaker_system.chain(Setting(filters=own), grid(), 48_000.0)
        # The form's limits and what `filter_limits` lets filters do together beyond them, a step over.
        assert float(np.min(20 * np.log10(np.abs(through)))) >= -15.1
        assert float(np.max(20 * np.log10(np.abs(through)))) <= 4.1
    told = [note.message for note in found.advice]
    assert told.count("Nothing plays under 80 Hz: 40 to 63 Hz are left out.") == 1
    assert not [each for each in told if "Far from the target" in each]
    assert min((each.frequency for each in found.not_mended), default=LOWEST) >= LOWEST
    assert {len(line.values) for line in found.chart.series} == {24}
    assert chart(found.chart)


def test_all_bands_count_where_a_subwoofer_plays_below_all_else() -> None:
    assert np.array_equal(plan_of(demonstration()).played, np.arange(27))
    told = [note.message for note in run(begin_with="simulated", filters=1.0).advice]
    assert not [each for each in told if "Nothing plays" in each]


@pytest.mark.parametrize(
    ("ends", "first", "last"),
    [
        ([(80.0, 3000.0), (3000.0, None)], 80, 16_000),
        ([(80.0, 3000.0), (None, 80.0)], 40, 2500),
        ([(None, 100.0)], 40, 100),
        # A subsonic filter under the lowest band is none of its business.
        ([(30.0, 80.0), (80.0, None)], 40, 16_000),
        # Not one third octave has its middle there: all stay.
        ([(1090.0, 1100.0)], 40, 16_000),
    ],
)
def test_bands_are_played_from_the_lowest_high_pass_to_the_highest_low_pass(
    ends: list[tuple[float | None, float | None]], first: float, last: float
) -> None:
    rows = tuple(Channel(f"{n}", "woofer", 0, *each, (0.0,)) for n, each in enumerate(ends))
    played = band_centres()[tune_plan.bands_played(rows)]
    assert played[[0, -1]] == pytest.approx([first, last], rel=0.02)


def test_a_fit_does_not_care_for_levels_outside_what_is_judged() -> None:
    plan = plan_of(demonstration())
    front = [number for number, each in enumerate(plan.channels) if each.kind != "subwoofer"]
    bare = tuple(Setting(plan.channels[n].high_pass, plan.channels[n].low_pass) for n in front)
    plan = replace(plan, channels=tuple(plan.channels[n] for n in front), gains=(plan.gains[0][:, front],))
    louder = plan.gains[0] * np.where(grid() < 70, 3.0, 1.0)
    costs, lefts = [], []
    for each in (plan, replace(plan, gains=(louder,))):
        fit = tuning_fit.plain(tune_task.task_of(each, bare), np.zeros((len(front), 0, 3)))
        costs.append(tuning_fit.cost_of(fit.task, fit))
        lefts.append(fit.left[0])
    assert costs[1] == pytest.approx(costs[0], rel=1e-9)
    assert lefts[0].shape == (24,)
    assert lefts[1] == pytest.approx(lefts[0], abs=1e-9)
