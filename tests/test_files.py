"""A file that a calculator makes: every answer names it, and its bytes go to whoever keeps them."""

import io
import json
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import pytest

from calculators import __main__ as command_line
from calculators import browser
from calculators.declaring import (
    Calculator,
    InputError,
    Kept,
    Made,
    Number,
    OutputFile,
    Steps,
    Working,
    answer_of,
    run_values,
)
from calculators.declaring.quantities import COUNT
from calculators.presenting import plain_text
from calculators.presenting.results import result_html


@dataclass(frozen=True, kw_only=True)
class Bytes:
    """The bytes asked for."""

    sound: Annotated[Made | None, OutputFile("Sound")]


def count_up(count: Annotated[float, Number("How many", COUNT, 0, 9e6, whole=True)] = 3.0) -> Steps[Bytes]:
    """So many bytes in a file; none where there are none."""
    yield Working("Counting", 0.5)
    contents = bytes(index % 256 for index in range(int(count)))
    return Bytes(sound=Made.whole('a"b.wav', "audio/wav", contents) if contents else None)


def count_at_once(count: Annotated[float, Number("How many", COUNT, 0, 9e6, whole=True)] = 3.0) -> Bytes:
    """The same in one go."""
    return Bytes(sound=Made.whole("a.wav", "audio/wav", bytes(int(count))))


COUNT_UP = Calculator(count_up, "Count up", (), (), (), {})
COUNT_AT_ONCE = Calculator(count_at_once, "Count at once", (), (), (), {})


@pytest.fixture(autouse=True)
def found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both doors find that calculator, whatever they are asked for, and remember no reply to another test.

    What took two slices is remembered, as it may where the machine is busy.
    """
    monkeypatch.setattr(browser, "_replies", {})
    for door in (command_line, browser):
        monkeypatch.setattr(door, "find_calculator", lambda _: COUNT_UP)


def asked(count: int) -> str:
    return json.dumps({"calculator": "count-up", "inputs": {"count": str(count)}, "want": ["html"]})


def answered(number: int, question: str) -> dict[str, object]:
    said = json.loads(browser.begin(number, question))
    while "working" in said:
        said = json.loads(browser.advance(number))
    return dict(said)


def test_an_answer_names_the_file_and_holds_no_byte_of_it() -> None:
    outcome = run_values(COUNT_UP, {"count": 3})
    told = {"name": 'a"b.wav', "media_type": "audio/wav", "size": 3}
    assert answer_of(outcome, "0").values == {"sound": told}
    assert json.dumps(answer_of(outcome, "0").data())
    assert 'data-file="sound" download="a&quot;b.wav">Keep this file</a>' in result_html(outcome)
    assert 'Sound  a"b.wav, 1 kB' in plain_text.result_text(outcome)
    nothing = run_values(COUNT_UP, {"count": 0})
    assert answer_of(nothing, "0").values == {"sound": None}
    assert "data-file" not in result_html(nothing)


def test_the_page_fetches_the_bytes_of_a_reply_once() -> None:
    said = answered(1, asked(3))
    assert said["files"] == [{"output": "sound", "name": 'a"b.wav', "media_type": "audio/wav"}]
    assert browser.files_of(1) == [b"\0\1\2"]
    with pytest.raises(KeyError):
        browser.files_of(1)
    assert answered(2, asked(0))["files"] == []


def test_the_answer_to_a_key_waits_for_no_file(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the work is not long, it is done again for the file once that is wanted."""
    monkeypatch.setattr(browser, "find_calculator", lambda _: COUNT_AT_ONCE)
    said = answered(1, asked(3))
    assert said["files"] == []
    assert 'data-file="sound"' in str(said["html"])
    made = answered(2, asked(3).replace("html", "files"))
    assert made["files"] == [{"output": "sound", "name": "a.wav", "media_type": "audio/wav"}]
    assert "html" not in made
    assert browser.files_of(2) == [bytes(3)]


def test_a_slice_begins_no_step_in_its_second_half(monkeypatch: pytest.MonkeyPatch) -> None:
    """By a clock of its own: after short steps, too, one of almost half of 40 ms still ends within them."""
    clock = 0.0

    def steps() -> Steps[None]:
        nonlocal clock
        for number, length in enumerate((*8 * (0.003,), 0.018, 0.015, 0.015, 0.015, 0.09, 0.015)):
            clock += length
            yield Working(str(number), 0.0)

    monkeypatch.setattr(browser, "perf_counter", lambda: clock)
    monkeypatch.setitem(browser._tasks, 1, ("", steps()))
    said = [json.loads(browser.advance(1))["working"]["step"] for _ in range(4)]
    assert said == ["6", "8", "10", "12"]


def test_what_is_remembered_hands_its_files_out_again_and_the_oldest_go_first(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Each reply is counted with the bytes of its files."""
    monkeypatch.setattr(browser, "SLICE", 0.0)
    large = browser.MOST_REMEMBERED // 3
    for number in range(3):
        answered(number, asked(large + number))
    assert list(browser._replies) == [asked(large + 1), asked(large + 2)]
    assert browser.begin(7, asked(large + 1)) == browser._replies[asked(large + 1)][0]
    assert len(browser.files_of(7)[0]) == large + 1
    answered(8, asked(large + 3))
    assert list(browser._replies) == [asked(large + 1), asked(large + 3)]
    answered(9, asked(4 * large))
    assert list(browser._replies) == []


def run(*words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    status = command_line.main(words)
    captured = capsys.readouterr()
    return status, captured.out, captured.err


def test_the_command_line_writes_it_where_it_is_told_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    named = tmp_path / "my.wav"
    status, out, err = run("count-up", "--count", "2", "--out", str(named), capsys=capsys)
    assert (status, named.read_bytes()) == (0, b"\0\1")
    assert str(named) in err
    assert str(named) not in out
    (tmp_path / "sub").mkdir()
    recorded = Kept(str(named), named.name, 2, lambda start, count: b"")
    with pytest.raises(InputError, match=r"my\.wav was read: it is not written over"):
        command_line.write_files(
            run_values(COUNT_UP, {"count": 3}), tmp_path / "sub" / ".." / "my.wav", [recorded]
        )
    status, _, err = run("count-up", "--count", "3", "--out", str(named), capsys=capsys)
    assert (status, "my.wav is there already: name another." in err) == (2, True)
    assert named.read_bytes() == b"\0\1"
    monkeypatch.setattr(sys, "stdin", io.StringIO('{"count": 3}'))
    status, out, _ = run("count-up", "--json", "--out", str(tmp_path), capsys=capsys)
    assert (status, (tmp_path / 'a"b.wav').read_bytes()) == (0, b"\0\1\2")
    assert json.loads(out)["values"]["sound"]["size"] == 3


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (["--out"], "Say where"),
        (["--count", "0", "--out", "x.wav"], "no file to write"),
        (["--count", "2", "--out", "no/such/folder/x.wav"], "cannot be written: No such file or directory"),
        (["--count", "2", "--out", "x" * 300], "cannot be written: File name too long"),
    ],
)
def test_what_cannot_be_written_is_said_in_words(
    words: list[str],
    reason: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    status, _, err = run("count-up", *words, capsys=capsys)
    assert status == 2
    assert "--out: " in err
    assert reason in err
    assert list(tmp_path.iterdir()) == []


def test_the_manual_names_the_option(capsys: pytest.CaptureFixture[str]) -> None:
    assert "--out PATH" in run("count-up", "--help", capsys=capsys)[1]
