"""Values that no job may hold, each told with its place however deep it stands."""

import json
from typing import Any

import pytest

from calculators.job.reading import DEEPEST, LONGEST_TEXT, MOST_VALUES, JobError, read_job

SHEET = {"version": 2, "title": "x"}


def nested(depth: int) -> Any:
    """Lists in each other; the innermost is empty."""
    held: list[Any] = []
    for _ in range(depth):
        held = [held]
    return held


@pytest.mark.parametrize(
    ("facts", "place"),
    [
        ([0, {"b": "x" * LONGEST_TEXT}], ""),
        ([0, {"b": "x" * (LONGEST_TEXT + 1)}], "a[1].b"),
        ([0, {"b": [1, 1e300]}], "a[1].b[1]"),
        ([{"B": 0}], "a[0]"),
        (nested(DEEPEST - 1), ""),
        (nested(DEEPEST), "a" + "[0]" * (DEEPEST - 1)),
        ([0] * (MOST_VALUES - 10), ""),
        ([0] * MOST_VALUES, "file"),
    ],
)
def test_a_value_that_no_job_may_hold_is_told_with_its_place(facts: Any, place: str) -> None:
    contents = json.dumps({"sheet": SHEET, "a": facts}).encode()
    if not place:
        assert read_job(contents)["a"] == facts
        return
    with pytest.raises(JobError) as refused:
        read_job(contents)
    assert refused.value.place == place
