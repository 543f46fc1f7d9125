"""Level trims and the sums that go with them."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import run_values
from calculators.stages import find

channels = st.lists(
    st.fixed_dictionaries(
        {"name": st.just("one"), "level": st.floats(40, 110), "offset": st.floats(-12, 12)}
    ),
    min_size=1,
    max_size=8,
)


@given(channels)
def test_trims_set_every_channel_to_its_offset_and_none_is_above_zero(rows: list[dict[str, Any]]) -> None:
    result = run_values(find("level-trim"), {"channels": rows}).result
    trims = [row.trim for row in result.channels]
    assert max(trims) == 0
    spread = {round(row.after - given["offset"], 6) for row, given in zip(result.channels, rows, strict=True)}
    assert max(spread) - min(spread) < 1e-5


def test_a_large_trim_is_questioned() -> None:
    rows = [{"name": "a", "level": 90.0}, {"name": "b", "level": 75.0}]
    outcome = run_values(find("level-trim"), {"channels": rows})
    assert outcome.result.channels[0].trim == pytest.approx(-15)
    assert outcome.result.weakest == "b"
    assert outcome.advice[0].about == "channels"
