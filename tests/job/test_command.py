"""`python -m calculators job`: its status, its words, and the sheets that it writes over nothing."""

import json
from pathlib import Path
from typing import Any

import pytest

from calculators import __main__ as command_line
from calculators.__main__ import main
from calculators.declaring import InputError
from calculators.job.reading import read_job, write_job
from calculators.job.schema import job_schema
from calculators.job.working import work_out

FILE = Path("docs/job.json")
JOB = read_job(FILE.read_bytes())


def run_command(*words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    status = main(["job", *words])
    said = capsys.readouterr()
    return status, said.out, said.err


def test_the_command_works_a_job_out_and_writes_its_sheets(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out, _ = run_command(str(FILE), "--out", str(tmp_path), capsys=capsys)
    assert status == 0
    assert "Stale: 0" in out
    assert "Out of tolerance: 0" in out
    again, _, wrong = run_command(str(tmp_path / "job.json"), "--out", str(tmp_path), capsys=capsys)
    assert (again, "is not written over" in wrong) == (2, True)
    there = (tmp_path / "job.json").read_bytes()
    again, _, wrong = run_command(str(FILE), "--out", str(tmp_path), capsys=capsys)
    assert (again, "name another folder" in wrong) == (2, True)
    assert (tmp_path / "job.json").read_bytes() == there
    names = {path.name for path in tmp_path.iterdir()}
    assert {"order.html", "order-large.html", "bay-plan.html", "glove-box-card.html", "job.json"} <= names
    assert "bay-plan-large.html" not in names
    assert {
        run.standing for run in work_out(read_job((tmp_path / "job.json").read_bytes()), "x").runs.values()
    } == {"stale"}


def test_the_command_writes_over_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Not over the sheets of another job kept without its file, nor through a link."""
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "parts-list.csv").write_text("of another job")
    (tmp_path / "linked").mkdir()
    (tmp_path / "linked" / "order.html").symlink_to(tmp_path / "precious.html")
    for folder, name in (("mine", "parts-list.csv"), ("linked", "order.html")):
        status, _, wrong = run_command(str(FILE), "--out", str(tmp_path / folder), capsys=capsys)
        assert (status, f"{name} is there already: name another folder" in wrong) == (2, True)
        assert [one.name for one in (tmp_path / folder).iterdir()] == [name]
    assert (tmp_path / "mine" / "parts-list.csv").read_text() == "of another job"
    assert not (tmp_path / "precious.html").exists()


def test_a_full_disk_leaves_no_half_of_a_job(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, *words: Any) -> Any:
        if path.name == "job.json":
            path.write_bytes(b'{"sheet": ')
            begun = words[1]
            begun.append(path)
            raise InputError("--out", f"{path} cannot be written: No space left on device.")
        return writes(path, *words)

    writes = command_line.write
    monkeypatch.setattr(command_line, "write", full)
    status, _, wrong = run_command(str(FILE), "--out", str(tmp_path), capsys=capsys)
    assert (status, "No space left" in wrong) == (2, True)
    assert list(tmp_path.iterdir()) == []
    monkeypatch.undo()
    assert run_command(str(FILE), "--out", str(tmp_path), capsys=capsys)[0] == 0


def test_the_command_s_status_says_what_is_left(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "job.json"
    file.write_bytes(write_job(JOB | {"sheet": JOB["sheet"] | {"exceptions": []}}))
    status, out, _ = run_command(str(file), capsys=capsys)
    assert status == 1
    assert "Out of tolerance: 1\n  Amplifier's margin in a restart: 0.15 V" in out
    file.write_text("{", encoding="utf-8")
    assert run_command(str(file), capsys=capsys)[0] == 2
    assert run_command(str(tmp_path / "nothing.json"), capsys=capsys)[0] == 2
    assert run_command(capsys=capsys)[0] == 2
    status, out, _ = run_command("--schema", capsys=capsys)
    assert status == 0
    assert json.loads(out) == job_schema()


def test_the_command_says_how_it_is_used(capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["--help"], ["--schema", "-h"]):
        status, out, _ = run_command(*words, capsys=capsys)
        assert (status, "--renew" in out, "--out FOLDER" in out) == (0, True, True)


def test_a_file_too_large_for_memory_is_told_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with (tmp_path / "recording.json").open("wb") as file:
        file.truncate(1 << 42)  # It holds nothing, and takes no room.
    status, _, wrong = run_command(str(tmp_path / "recording.json"), capsys=capsys)
    assert (status, "larger than 2 MB" in wrong) == (2, True)


def test_a_foreign_job_s_words_do_not_command_the_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "job.json"
    odd = "Van\x1b[2J\x1b]0;evil\x07\x9b1m"
    file.write_bytes(write_job(JOB | {"sheet": JOB["sheet"] | {"title": odd}}))
    _, out, _ = run_command(str(file), capsys=capsys)
    assert "Van\\x1b[2J\\x1b]0;evil\\x07\\x9b1m: " in out
    file.write_bytes(write_job(JOB | {"sheet": JOB["sheet"] | {"runs": [{"name": odd}]}}))
    status, _, wrong = run_command(str(file), capsys=capsys)
    assert (status, "\x1b" in wrong) == (2, False)


def test_a_word_beside_the_schema_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, wrong = run_command("--schema", "extra", capsys=capsys)
    assert (status, out, wrong.startswith("extra: ")) == (2, "", True)
