"""Level trims and the sums that go with them."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import run_values
from calculators.stages import find_calculator

channels = st.lists(
    st.fixed_dictionaries(
        {"name": st.just("one"), "level": st.floats(40, 110), "offset": st.floats(-12, 12)}
    ),
    min_size=1,
    max_size=8,
)


@given(channels)
def test_trims_set_every_channel_to_its_offset_and_none_is_above_zero(rows: list[dict[str, Any]]) -> None:
    result = run_values(find_calculator("level-trim"), {"channels": rows}).result
    trims = [row.trim for row in result.channels]
    assert max(trims) == 0
    spread = {round(row.after - given["offset"], 6) for row, given in zip(result.channels, rows, strict=True)}
    assert max(spread) - min(spread) < 1e-5


def test_noises_of_equal_total_are_not_equal_levels() -> None:
    """13 third octaves against 3: 6.4 dB less in each, ten times the log of 13/3 (ISO 1996-1)."""
    rows = [
        {"name": "front", "level": 75.0, "bands": 13},
        {"name": "subwoofer", "level": 75.0, "bands": 3},
    ]
    trims = [
        row.trim for row in run_values(find_calculator("level-trim"), {"channels": rows}).result.channels
    ]
    assert trims == pytest.approx([0, -6.368], abs=1e-3)


def test_a_join_sets_the_upper_channel_by_its_half_octaves() -> None:
    rows = [
        {"name": "tweeter", "level": 75.0, "bands": 7, "at_join": 2.5},
        {"name": "woofer", "level": 70.0, "bands": 10},
    ]
    result = run_values(find_calculator("level-trim"), {"channels": rows}).result
    assert [row.per_band for row in result.channels] == pytest.approx([66.549, 60], abs=1e-3)
    assert [row.counted for row in result.channels] == pytest.approx([62.5, 60])
    assert [row.trim for row in result.channels] == pytest.approx([-2.5, 0])
    assert result.settings == "tweeter −2.5, woofer 0.0 dB"


def test_joins_lead_on_from_row_to_row() -> None:
    rows = [
        {"name": "tweeter", "level": 90.0, "at_join": 3.0, "set_to": "middle"},
        {"name": "middle", "level": 90.0, "at_join": -1.0},
        {"name": "woofer", "level": 60.0},
    ]
    result = run_values(find_calculator("level-trim"), {"channels": rows}).result
    assert [row.counted for row in result.channels] == pytest.approx([62, 59, 60])
    wrong = run_values(find_calculator("level-trim"), {"channels": rows[:2]})
    assert [error.field for error in wrong.errors] == ["channels[1].set_to"]


def pair_by_pair() -> list[dict[str, Any]]:
    """The order in which many processors list their outputs: both tweeters, then both woofers."""
    return [
        {"name": "Left tweeter", "level": 74.6, "bands": 7, "at_join": 3.2},
        {"name": "Right tweeter", "level": 73.1, "bands": 7, "at_join": 2.4},
        {"name": "Left woofer", "level": 73.3, "bands": 10},
        {"name": "Right woofer", "level": 72.4, "bands": 10},
        {"name": "Subwoofer", "level": 82.5, "bands": 3, "offset": 8.0},
    ]


def test_a_tweeter_is_set_to_the_woofer_named_and_never_to_the_other_tweeter() -> None:
    """By hand: woofers 63.3 and 62.4 a band, tweeters 66.5 and 64.8, subwoofer 77.729 less 8."""
    rows = pair_by_pair()
    outcome = run_values(find_calculator("level-trim"), {"channels": rows})
    assert [error.field for error in outcome.errors] == ["channels[0].set_to"]
    rows[0]["set_to"], rows[1]["set_to"] = " left  woofer", "Right woofer"
    for order in ([0, 1, 2, 3, 4], [0, 2, 1, 3, 4], [4, 3, 2, 1, 0]):
        result = run_values(
            find_calculator("level-trim"), {"channels": [rows[place] for place in order]}
        ).result
        by_name = {row.name: row for row in result.channels}
        assert [by_name[row["name"]].trim for row in rows] == pytest.approx(
            [-4.1, -2.4, -0.9, 0, -7.329], abs=1e-3
        )
        assert by_name["Left tweeter"].set_to == "Left woofer"
        assert by_name["Left woofer"].set_to == "its own band"


@pytest.mark.parametrize(("changes", "field"), [
    ({0: {"set_to": "Left wofer"}}, "channels[0].set_to"),
    ({0: {"set_to": "Left tweeter"}}, "channels[0].set_to"),
    ({3: {"name": "Left woofer"}}, "channels[0].set_to"),
    ({4: {"set_to": "Left woofer"}}, "channels[4].at_join"),
    ({2: {"set_to": "Left tweeter", "at_join": 1.0}}, "channels[0].set_to"),
])  # fmt: skip
def test_a_neighbour_that_cannot_be_meant_is_refused(changes: dict[int, dict[str, Any]], field: str) -> None:
    rows = pair_by_pair()
    rows[0]["set_to"], rows[1]["set_to"] = "Left woofer", "Right woofer"
    for place, change in changes.items():
        rows[place].update(change)
    outcome = run_values(find_calculator("level-trim"), {"channels": rows})
    assert [error.field for error in outcome.errors] == [field]


def test_a_large_trim_is_questioned() -> None:
    rows = [{"name": "a", "level": 90.0}, {"name": "b", "level": 75.0}]
    outcome = run_values(find_calculator("level-trim"), {"channels": rows})
    assert outcome.result.channels[0].trim == pytest.approx(-15)
    assert outcome.result.weakest == "b"
    assert outcome.advice[0].about == "channels"
