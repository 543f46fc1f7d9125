"""A fit where nothing is gained: as good is no better, no filter is put nowhere, silence is a number."""

from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calculators.declaring.working import drain
from calculators.physics import begun_anew, power_sums, tuning_fit, tuning_search
from calculators.physics.in_parts import InParts
from calculators.physics.speaker_system import grid
from tests.physics.test_tuning import small_task


def found(name: str, cost: float) -> Any:
    """What a search sees of a fit."""
    return SimpleNamespace(name=name, cost=cost, peaks=np.zeros((1, 1, 3)))


def as_it_is(fit: Any, *_: float) -> InParts[Any]:
    yield
    return fit


@pytest.mark.parametrize(("share", "taken"), [(1.0, False), (1 - 1e-9, True)])
@pytest.mark.parametrize("elsewhere", [True, False])
def test_a_search_keeps_what_another_fit_does_not_better_by_enough(
    monkeypatch: pytest.MonkeyPatch, elsewhere: bool, share: float, taken: bool
) -> None:
    """By one filter put elsewhere, and by all of them shaken: at the bound itself nothing is bettered."""
    other = found("other", tuning_search.BETTERED * share)
    monkeypatch.setattr(tuning_fit, "polished", as_it_is)
    monkeypatch.setattr(tuning_search, "put_elsewhere", lambda *_: [other] if elsewhere else [])
    monkeypatch.setattr(begun_anew, "begun_near", lambda best, *_: best if elsewhere else other)
    kept = drain(tuning_search.searched(found("first", 1.0), 1))
    assert kept.name == ("other" if taken else "first")


@pytest.mark.parametrize(("first", "taken"), [(0.5, "first"), (1.0, "first"), (1.5, "5"), (2.5, "5")])
def test_the_best_of_far_beginnings_is_taken_where_it_betters_the_fit(
    monkeypatch: pytest.MonkeyPatch, first: float, taken: str
) -> None:
    """Of twelve the fifth leads lowest, though the second looks better at first; as good is no better."""

    def polished(fit: Any, turns: int, *_: object) -> InParts[Any]:
        yield
        looked = {"2": 1.0, "5": 2.0, "7": 2.5, "9": 2.6}.get(fit.name, 3.0)
        after = {"2": 2.0, "5": 1.0, "7": 2.4, "9": 2.5}.get(fit.name, 3.0)
        return found(fit.name, looked if turns == tuning_search.LOOK[0] else after)

    searches = []

    def searched(fit: Any, tries: int) -> InParts[Any]:
        yield
        searches.append((fit.name, tries))
        return fit

    monkeypatch.setattr(tuning_fit, "polished", polished)
    monkeypatch.setattr(tuning_search, "searched", searched)
    monkeypatch.setattr(begun_anew, "begun_near", lambda _, seed, __: found(str(seed), np.inf))
    monkeypatch.setattr(tuning_search, "grown", lambda _: polished(found("grown", np.inf), 0))
    kept = drain(tuning_search.begun_far(found("first", first), 6))
    assert kept.name == taken
    assert searches == [("5", 6), ("2", 6), ("7", 6), ("9", 6)]


def test_a_fit_grown_from_no_filters_finds_what_the_channels_share() -> None:
    """Three bumps, nearly alike in two channels: each filter more leaves less, and three leave little."""
    bare = drain(tuning_fit.polished(small_task(2, 0))).cost
    fits = [drain(tuning_search.grown(small_task(2, count))) for count in (1, 2, 3)]
    assert [fit.peaks.shape for fit in fits] == [(2, 1, 3), (2, 2, 3), (2, 3, 3)]
    costs = [bare, *(fit.cost for fit in fits)]
    assert all(after < 0.9 * before for before, after in pairwise(costs))
    assert costs[-1] < 0.1 * bare
    for fit in fits:
        assert np.all(np.exp(fit.peaks[..., 0]) >= 40 - 1e-6)
        assert np.all(np.exp(fit.peaks[..., 0]) <= 16e3 + 1)


def test_where_there_is_no_filter_or_no_band_none_is_put() -> None:
    none = small_task(2, 0)
    assert begun_anew.begun_at_worst(none, 0).peaks.shape == (2, 0, 3)
    start = small_task(2, 2)
    nowhere = np.array([(1.0, 2.0), tuple(start.task.bands[1])])
    task = replace(start.task, bands=nowhere)
    begun = begun_anew.begun_at_worst(tuning_fit.plain(task, start.peaks), 0)
    assert np.all(begun.peaks[0, :, 1] == 0)
    assert np.any(begun.peaks[1, :, 1] != 0)


@pytest.mark.parametrize("silent", [0, 1])
def test_a_join_of_which_a_part_is_silent_loses_nothing(silent: int) -> None:
    """And moves by a number."""
    heard = power_sums.cross_powers(np.ones((1, 2, grid().size), complex), np.ones(1))
    through = np.ones((2, grid().size), complex)
    through[silent] = 0.0
    lost = power_sums.lost_in_joins(power_sums.meetings((heard,), ((1, (0,)),)), through)
    assert lost.rows == pytest.approx(np.zeros((1, 5)), abs=1e-9)
    assert np.all(np.isfinite(lost.pulls))
