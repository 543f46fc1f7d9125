"""Answers that rest on a file: a job knows the file by name, size and checksum, and asks for it again."""

import json
import re
from binascii import crc32
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from calculators import browser
from calculators.declaring import File
from calculators.job.by_file import INVENTED, OF_NO_VEHICLE
from calculators.job.changing import begun, jobsheet
from calculators.job.facts import SetFact
from calculators.job.reading import Job, read_job
from calculators.job.schema import job_schema
from calculators.job.signing import hindrances
from calculators.job.working import work_out
from calculators.stages import every_calculator, find_calculator
from tests.job import test_carrying
from tests.job.test_carrying import NOW, RELEASE, ask, text_of

CHANNEL = {
    "name": "Left woofer", "high_pass": 80.0, "low_pass": None, "polarity": "normal", "delay": 0.0,
    "gain": -2.0, "filters": [{"frequency": 52.0, "gain": -4.5, "q": 5.1}],
}  # fmt: skip
UNSIGNED = test_carrying.JOB["sheet"] | {"hold_points": [], "runs": [], "proof": []}
JOB = test_carrying.JOB | {"processor": {"step": 2e-5}, "sheet": UNSIGNED}
READ_BACK = {"calculator": "read-back", "title": find_calculator("read-back").title}
PATHS = {"step": "processor.step"}
TYPED = {
    "channels[0].name": "Left woofer", "channels[0].high_pass": "80", "channels[0].gain": "-2",
    "channels[0].slope": "24", "channels[0].polarity": "normal",
    "filters[0].name": "Left woofer", "filters[0].frequency": "52", "filters[0].gain": "-4.5",
    "filters[0].q": "5.1", "sheet": "kept-1", "step": "0.02",
}  # fmt: skip


@dataclass(frozen=True)
class View:
    """Bytes as the worker hands them over."""

    bytes: bytes

    def to_bytes(self) -> bytes:
        return self.bytes


def sheet(**channel: Any) -> bytes:
    made = {"format": "tuning-sheet", "version": 1, "channels": [CHANNEL | channel]}
    return json.dumps(made).encode()


def choose(contents: bytes, name: str = "sheet.json") -> None:
    """Choose a file in the form, in the place of the last one."""
    browser.forget("kept-1")
    browser.keep("kept-1", name, len(contents), lambda start, count: View(contents[start : start + count]))


@pytest.fixture(autouse=True)
def chosen() -> Iterator[None]:
    choose(sheet())
    yield
    browser.forget("kept-1")


def put(job: Job, slug: str = "read-back", fields: dict[str, str] = TYPED, **more: Any) -> dict[str, Any]:
    return ask("put", job=text_of(job), calculator=slug, fields=fields, paths=PATHS, **more)


def job_with(told: dict[str, Any]) -> Job:
    assert not told["errors"], told["errors"]
    return read_job(told["job"].encode())


def run_in(job: Job) -> dict[str, Any]:
    found: dict[str, Any] = next(one for one in job["sheet"]["runs"] if one["calculator"] == "read-back")
    return found


def stale_in(job: Job) -> dict[str, dict[str, Any]]:
    return {one["name"]: one for one in ask("stand", job=text_of(job))["stale"]}


def test_a_job_keeps_the_files_mark_what_was_typed_and_the_figures() -> None:
    told = put(JOB)
    job, contents = job_with(told), sheet()
    assert (told["beside"], told["others"], "read-back" in stale_in(job)) == (["sheet.json"], [], False)
    run = run_in(job)
    mark = {"name": "sheet.json", "size": len(contents), "sum": f"{crc32(contents):08x}"}
    assert (run["inputs"]["sheet"], run["inputs"]["step"]) == (mark, "job:processor.step")
    assert run["answer"]["values"]["verdict"] == "all 9 values read as on the sheet"
    assert not [value for value in run["answer"]["values"].values() if isinstance(value, list | dict)]
    assert "52.0, 'gain'" not in text_of(job), "the file is not in the job"
    jsonschema.validate(job, job_schema({"read-back"}))
    form = ask("fields", job=text_of(job), calculator="read-back", paths=PATHS)
    assert form["chosen"] == [{"name": "sheet", "file": "sheet.json", "size": len(contents)}]
    assert form["place"]["figure"] == "all 9 values read as on the sheet"
    assert "sheet" not in [entry["name"] for entry in form["inputs"]]
    texts = {name: text for entry in form["inputs"] for name, text in entry["fields"].items()}
    assert texts["filters[0].q"] == "5.1"


def test_a_changed_value_makes_it_stale_until_the_same_file_is_chosen_again() -> None:
    job = job_with(put(JOB))
    changed = jobsheet(job, SetFact(path="processor.step", value=1e-5, **NOW, reason="another one"))
    stale = stale_in(changed)["read-back"]
    assert stale["why"] == "“Step of delay” was changed"
    assert (stale["form"], stale["files"]) == (READ_BACK | {"another": ""}, ["sheet.json"])
    renewed = job_with(ask("renew", job=text_of(changed), reason="asked for", by="A"))
    assert "read-back" in stale_in(renewed), "only its file can work it out again"
    assert run_in(renewed)["answer"]["inputs"] == run_in(job)["answer"]["inputs"]
    again = put(renewed, fields=TYPED | {"step": "0.01"})
    assert "read-back" not in {one["name"] for one in again["stale"]}
    assert again["others"] == []
    assert [entry["path"] for entry in job_with(again)["sheet"]["history"]][-1] != "read-back.sheet"
    newer = ask("stand", job=again["job"], release="0.0.0+other")
    assert "read-back" not in {one["name"] for one in newer["stale"]}, "its file may be gone by then"


def test_another_file_takes_its_place_on_record_and_a_second_answer_has_its_own() -> None:
    job = job_with(put(JOB))
    choose(sheet(gain=-3.0), "newer.json")
    told = put(job)
    assert (told["beside"], told["others"]) == (["newer.json"], ["sheet.json"])
    after = job_with(told)
    last = after["sheet"]["history"][-1]
    assert (last["path"], "sheet.json" in last["before"], "newer.json" in last["after"]) == (
        "read-back.sheet", True, True,
    )  # fmt: skip
    assert run_in(after)["answer"]["values"]["verdict"].startswith("1 line differs")
    both = job_with(put(after, another="Rear seat"))
    changed = jobsheet(both, SetFact(path="processor.step", value=1e-5, **NOW, reason="another one"))
    stale = stale_in(changed)["rear-seat"]
    assert stale["form"] == READ_BACK | {"another": "rear-seat"}
    form = ask("fields", job=text_of(changed), calculator="read-back", paths=PATHS, another="rear-seat")
    assert form["place"]["name"] == "rear-seat"


@pytest.mark.parametrize("slug", INVENTED)
def test_what_is_of_our_own_invention_is_in_no_job(slug: str) -> None:
    calculator = find_calculator(slug)
    fields = {name: text for name, text in TYPED.items() if name != "sheet"} if slug == "read-back" else {}
    name, value = INVENTED[slug]
    entry = next(entry for entry in calculator.inputs if entry.name == name)
    assert entry.default == value
    job = {
        "sheet": {"version": 2, "title": "Bay 3", "runs": [{"name": "a", "calculator": slug, "inputs": {}}]}
    }
    (run,) = work_out(job, "").runs.values()
    assert (run.standing, run.why) == ("refused", OF_NO_VEHICLE)
    if slug in ("read-back", "job-sheet", "fir-correction"):  # The others take seconds.
        assert put(JOB, slug, fields)["errors"][0]["message"] == OF_NO_VEHICLE


def test_every_form_that_begins_with_something_of_our_own_is_known_by_it() -> None:
    own = {
        (one.slug, entry.name)
        for one in every_calculator()
        for entry in one.inputs
        if re.search(r"\bour own\b", repr(entry.kind))
    }
    assert own == {(slug, name) for slug, (name, _) in INVENTED.items()} - {("job-sheet", "job")}


def test_a_job_begun_anew_has_no_file_and_no_answer_of_it() -> None:
    new = begun(job_with(put(JOB)), "Bay 4")
    assert run_in(new)["inputs"] == {"step": "job:processor.step"}
    assert work_out(new, "").runs["read-back"].standing == "refused"


def test_a_danger_in_a_kept_answer_stands_in_the_way() -> None:
    danger = job_with(put(JOB, fields=TYPED | {"channels[0].gain": "+20"}))
    assert any(words.startswith("read-back: ") for words in hindrances(work_out(danger, ""), "H4"))


@pytest.mark.parametrize("mark", [
    "sheet.json", 7, {}, {"name": "a", "size": -1, "sum": "00000000"},
    {"name": "a", "size": True, "sum": "00000000"},
    {"name": "a", "size": 1, "sum": "x"}, {"name": ["a"], "size": 1, "sum": "00000000"},
    {"name": "a", "size": 10**12, "sum": "00000000"}, {"name": "a", "size": 1, "sum": "00000000", "more": 1},
])  # fmt: skip
def test_what_is_no_mark_of_a_file_is_refused(mark: Any) -> None:
    job = job_with(put(JOB))
    run = run_in(job) | {"inputs": run_in(job)["inputs"] | {"sheet": mark}}
    assert work_out(with_only(job, run), "").runs["read-back"].standing == "refused"


def test_a_damaged_answer_is_none() -> None:
    job = job_with(put(JOB))
    for values in (
        3, {}, {"verdict": ["x"]}, {"verdict": 4.0}, {"verdict": None}, {"verdict": "x", "different": "two"},
        {"verdict": "x", "different": True}, {"verdict": "x", "differences": "none"},
    ):  # fmt: skip
        run = run_in(job) | {"answer": run_in(job)["answer"] | {"values": values}}
        done = work_out(with_only(job, run), RELEASE).runs["read-back"]
        assert (done.standing, done.answer) == ("refused", None), values
        assert done.why == "its kept answer is damaged: choose “sheet.json” in its form again"
    assert job_with(put(with_only(job, run)))["sheet"]["runs"] == [run_in(job)], "its file mends it"


@pytest.mark.parametrize("more", [{"advice": 3}, {"advice": [{"danger": True}, "x"]}, {"release": []}])
def test_an_answer_is_kept_without_what_has_not_its_form(more: dict[str, Any]) -> None:
    job = job_with(put(JOB))
    run = run_in(job) | {"answer": run_in(job)["answer"] | more}
    done = work_out(with_only(job, run), "0.0.0+other").runs["read-back"]
    assert (done.standing, done.danger, done.fault) == ("fresh", "", "")
    assert ask("stand", job=text_of(with_only(job, run)))["errors"] == []


def test_nothing_follows_from_an_answer_whose_file_is_elsewhere() -> None:
    job = job_with(put(JOB))
    after = {"name": "after", "calculator": "delay", "inputs": {"temperature": "run:read-back.different"}}
    job = job | {"sheet": job["sheet"] | {"runs": [run_in(job), after], "proof": []}}
    assert "rests on a file" in work_out(job, "").runs["after"].why
    browser.forget("kept-1")
    assert "file" in put(job)["errors"][0]["message"], "nor is anything taken whose file has gone"


def with_only(job: Job, run: dict[str, Any]) -> Job:
    return job | {"sheet": job["sheet"] | {"runs": [run], "proof": []}}


def test_every_form_that_takes_a_file_or_that_a_new_job_asks_for_is_led_to_from_the_jobs_page() -> None:
    page = Path("docs/job.md").read_text(encoding="utf-8")
    asked_for = {run["calculator"] for run in test_carrying.JOB["sheet"]["runs"]}
    with_files = {
        one.slug for one in every_calculator() if any(isinstance(entry.kind, File) for entry in one.inputs)
    }
    assert set(re.findall(r"\{ data-form=([a-z-]+) \}", page)) == (with_files | asked_for) - {"job-sheet"}
