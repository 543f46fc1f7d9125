"""Long work in steps, and files read in blocks."""

from dataclasses import dataclass
from typing import Annotated

import pytest

from calculators.declaring import (
    Calculator,
    File,
    InputError,
    Kept,
    Output,
    Steps,
    Working,
    answer_of,
    drain,
    run_typed,
    run_values,
    steps_typed,
)
from calculators.declaring.quantities import COUNT


@dataclass(frozen=True)
class Sum:
    """A sum."""

    total: Annotated[float, Output("Sum", COUNT, main=True)]


def byte_sum(recording: Annotated[Kept, File("Recording", most=10)]) -> Steps[Sum]:
    """Sum of the bytes."""
    total = 0
    for block in recording.blocks(4):
        total += sum(block)
        yield Working("Reading", 0.5)
    if total == 0:
        raise InputError("recording", "There is nothing in it.")
    return Sum(float(total))


BYTE_SUM = Calculator(byte_sum, "Sum of bytes", (), (), (), {})


def kept(contents: bytes) -> Kept:
    return Kept("kept-1", "a.wav", len(contents), lambda start, count: contents[start : start + count])


def test_blocks_are_all_of_it_in_order() -> None:
    assert list(kept(bytes(range(10))).blocks(4)) == [b"\0\1\2\3", b"\4\5\6\7", b"\x08\x09"]
    assert list(kept(b"").blocks()) == []


def test_long_work_tells_its_steps_and_gives_its_result() -> None:
    heard: list[Working] = []
    outcome = run_values(BYTE_SUM, {"recording": kept(b"\1\2\3\4\5")}, heard.append)
    assert outcome.result == Sum(15.0)
    assert heard == [Working("Reading", 0.5)] * 2
    assert [output.name for output in BYTE_SUM.outputs] == ["total"]
    assert answer_of(outcome, "0").inputs == {"recording": {"name": "a.wav", "size": 5}}


def test_what_long_work_refuses_is_an_error_at_its_field() -> None:
    outcome = run_values(BYTE_SUM, {"recording": kept(b"\0\0")})
    assert [(error.field, error.message) for error in outcome.errors] == [
        ("recording", "There is nothing in it.")
    ]
    assert outcome.result is None


def test_a_form_names_a_file_by_its_handle() -> None:
    files = {"kept-1": kept(b"\1\2")}
    assert drain(steps_typed(BYTE_SUM, {"recording": "kept-1"}, files)).result == Sum(3.0)


@pytest.mark.parametrize("handle", ["", "kept-2"])
def test_a_file_that_is_not_there_is_asked_for(handle: str) -> None:
    outcome = run_typed(BYTE_SUM, {"recording": handle})
    assert [error.message for error in outcome.errors] == ["Choose a file for recording."]


def test_a_file_too_large_is_refused() -> None:
    outcome = run_values(BYTE_SUM, {"recording": kept(bytes(11))})
    assert "at most" in outcome.errors[0].message
