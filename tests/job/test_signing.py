"""Hold points: told before they are signed, in order, by two at airbags and power, not on a danger."""

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from calculators.declaring import Kept, run_values
from calculators.job.changing import Sign, Unsign, begun, jobsheet, kept
from calculators.job.facts import SetFact
from calculators.job.papers import papers
from calculators.job.reading import Job, JobError, read_job, write_job
from calculators.job.sheet import HOLD_POINTS, TWO_SIGN, badly_dated
from calculators.job.signing import NO_STEPS, hindrances, what_is_signed
from calculators.job.working import work_out
from calculators.presenting.values import shown
from calculators.stages import find_calculator
from tests.job.sheet_words import words_of
from tests.job.test_carrying import ask, text_of
from tests.running_job import worked_out

JOB = read_job(Path("docs/job.json").read_bytes())
AT = "2031-05-21 10:00"


def unsigned(*have: str, runs: tuple[str, ...] = (), **facts: Any) -> Job:
    """The running job with some of its hold points signed and some of its runs, and other facts."""
    job = copy.deepcopy(JOB)
    sheet = job["sheet"]
    sheet["hold_points"] = [point for point in sheet["hold_points"] if point["point"] in have]
    sheet["runs"] = [run for run in sheet["runs"] if run["name"] in runs]
    for section, values in facts.items():
        job[section] |= values
    return job


def refused(job: Job, change: Sign | Unsign) -> str:
    with pytest.raises(JobError) as error:
        jobsheet(job, change)
    return error.value.message


def test_hold_points_are_signed_in_their_order_two_names_where_nobody_works_alone() -> None:
    job = unsigned()
    for point in HOLD_POINTS:
        later = next((name for name in HOLD_POINTS if name > point), point)
        if later != point:
            two = {"second": "C"} if later in TWO_SIGN else {}
            said = refused(job, Sign(point=later, by="A", at=AT, **two))  # type: ignore[arg-type]
            assert f"{point}, {HOLD_POINTS[point]}, comes first." in said
        if point in TWO_SIGN:
            for second in ("", " ", "a "):
                said = refused(job, Sign(point=point, by="A", second=second, at=AT))  # type: ignore[arg-type]
                assert "is never alone" in said
        job = jobsheet(job, Sign(point=point, by="A", second="B", at=AT))  # type: ignore[arg-type]
    assert [entry.get("second") for entry in job["sheet"]["hold_points"]] == [
        None,
        "B",
        None,
        "B",
        None,
        None,
    ]
    plan = next(paper for paper in papers(work_out(job, "")) if paper.name == "bay-plan")
    assert list(words_of(plan)).count("A and B") == 2


def test_an_empty_job_a_stale_answer_and_an_open_proof_are_not_signed() -> None:
    empty = begun(JOB, "Bay 3")
    assert "quote: no answer yet" in refused(empty, Sign(point="H1", by="A", at=AT))
    stored = kept(work_out(unsigned(runs=("quote",)), ""))
    stored["quote"]["rate"] = "80"
    assert "quote: out of date: work it out again first." in refused(stored, Sign(point="H1", by="A", at=AT))
    keys = Sign(point="H6", by="A", at="2031-05-21 14:15")
    job = unsigned("H1", "H2", "H3", "H4", "H5")
    job["sheet"]["exceptions"] = []
    assert "Amplifier's margin in a restart: does not pass. Mend it, or write" in refused(job, keys)
    job["sheet"]["proof"][0]["measured"] = None
    assert "a point left out, RMS: not measured." in refused(job, keys)
    strict = unsigned("H1", "H2", "H3", runs=("wiring",), supply={"allowed_drop": 0.02})
    said = refused(strict, Sign(point="H4", by="A", second="B", at=AT))
    assert "wiring: does not pass" in said
    assert "Mend it, or write the exception first." in said


def test_a_day_before_that_of_the_last_signature_is_refused_and_told_of_a_file() -> None:
    job = unsigned("H1")
    said = refused(job, Sign(point="H2", by="A", second="B", at="1999-01-01 08:00"))
    assert "H1 was signed on 2031-05-06: look at the date of this device." in said
    for by, second in (("A", ""), ("A", "a ")):
        job["sheet"]["hold_points"] = [{"point": "H4", "by": by, "second": second, "at": "1999-01-01"}]
        missing = work_out(read_job(write_job(job)), "").missing
        assert {"H4: one name only", "H4 stands before H1"} <= set(missing)
    early = unsigned("H1", "H2")
    early["sheet"]["hold_points"][1]["at"] = "1999-01-01"
    assert "H2: signed on a day before that of an earlier one" in work_out(early, "").missing


def test_a_signature_of_a_wrong_day_is_taken_back_whatever_came_after() -> None:
    ahead = jobsheet(unsigned(), Sign(point="H1", by="A", at="2041-01-01 10:00"))
    later = jobsheet(ahead, SetFact(path="supply.length", value=6.1, by="A", at=AT, reason="measured again"))
    second = Sign(point="H2", by="A", second="B", at=AT)
    assert "take it back, and sign anew" in refused(later, second)
    assert "give the reason" in refused(later, Unsign(point="H1", by="A", at=AT))
    assert "initials" in refused(later, Unsign(point="H1", by=" ", at=AT, reason="clock"))
    open_again = jobsheet(later, Unsign(point="H1", by="C", at=AT, reason="the clock was ahead"))
    history = open_again["sheet"]["history"]
    assert history[:-1] == later["sheet"]["history"]
    assert [history[-1][name] for name in ("path", "before", "after", "by", "reason")] == [
        "hold_points.H1", "A, 2041-01-01 10:00", "", "C", "taken back: the clock was ahead",
    ]  # fmt: skip
    both = jobsheet(jobsheet(open_again, Sign(point="H1", by="A", at=AT)), second)
    assert "H2 is signed and rests on it" in refused(both, Unsign(point="H1", by="A", at=AT, reason="x"))
    assert "is not signed" in refused(both, Unsign(point="H3", by="A", at=AT, reason="x"))


def test_nobody_signs_first_power_nor_the_keys_on_a_danger() -> None:
    thin = copy.deepcopy(JOB["wiring"]["runs"])
    thin[0]["area"] = 6e-06
    burns = unsigned("H1", "H2", runs=("wiring",), wiring={"runs": thin})
    third = jobsheet(burns, Sign(point="H3", by="A", at=AT))  # The doors may close: no cable is signed there.
    assert "Main feed" in refused(third, Sign(point="H4", by="A", second="B", at=AT))
    heavy = unsigned("H1", "H2", "H3", "H4", "H5", runs=("mass",), mass={"payload": 1.0})
    assert "Over the payload" in refused(heavy, Sign(point="H6", by="A", at=AT))
    assert not [point for point in HOLD_POINTS if hindrances(worked_out(), point)]


def test_what_is_signed_is_told_with_its_figures() -> None:
    told = " ".join(what_is_signed(worked_out(), "H4"))
    feed = worked_out().runs["feed"]
    assert feed.outcome is not None
    size = next(output for output in feed.outcome.calculator.outputs if output.kind.main)
    figure = shown(size, feed.outcome.result.size).replace("\u00a0", " ")
    assert f"feed: {size.kind.label} {figure}" in told
    assert "supply, wiring, hold up" in told
    keys = what_is_signed(worked_out(), "H6")
    for line in worked_out().proof:
        assert [words for words in keys if words.startswith(f"{line.name}: ")]
    assert any(words.endswith("exception, accepted") for words in keys)
    empty = work_out(unsigned(runs=("quote",), quote={"rate": "x"}), "")
    assert "quote: no answer yet" in what_is_signed(empty, "H1")


def test_a_hold_point_without_a_step_says_that_nothing_says_what_was_done() -> None:
    job = unsigned("H1")
    for point in HOLD_POINTS:
        assert NO_STEPS not in what_is_signed(work_out(job, ""), point)
    job["work"]["steps"] = [step for step in job["work"]["steps"] if step["point"] != "H2"]
    assert NO_STEPS in what_is_signed(work_out(job, ""), "H2")
    assert NO_STEPS not in what_is_signed(work_out(job, ""), "H3")
    del job["work"]
    assert NO_STEPS in what_is_signed(work_out(job, ""), "H3")
    assert NO_STEPS not in what_is_signed(work_out(job, ""), "H1"), "that is agreed with the customer"


CHANGE = {"path": "supply.length", "before": "1", "after": "2", "by": "A", "reason": ""}


def job_changed_on(days: list[str]) -> dict[str, Any]:
    """The job, changed on such days, and without runs."""
    sheet = JOB["sheet"] | {"runs": [], "history": [CHANGE | {"at": day} for day in days]}
    return JOB | {"sheet": sheet}


def said_of(job: dict[str, Any]) -> str:
    """What its sheet says of the days in its history."""
    contents = write_job(read_job(json.dumps(job).encode()))
    file = Kept("0", "job.json", len(contents), lambda start, count: contents[start : start + count])
    (told,) = (
        advice.message
        for advice in run_values(find_calculator("job-sheet"), {"job": file}).advice
        if advice.about == "title"
    )
    return str(told)


@pytest.mark.parametrize(("odd", "more"), [(1, ""), (3, ""), (5, ", and 2 more")])
def test_of_many_odd_days_three_are_named_and_the_others_counted(odd: int, more: str) -> None:
    told = said_of(job_changed_on(["now"] * odd))
    assert told.count("is no day") == min(odd, 3)
    assert f"is no day{more}: look at the date" in told


def test_odd_days_in_a_history_are_told() -> None:
    days = ["2031-05-06 10:00", "1900-01-01 00:00", "2031-05-05", "now", "2031-05-06"]
    job = job_changed_on(days)
    told = said_of(job)
    assert told.startswith("In the history change 2 (supply.length): dated 1900-01-01; ")
    assert "change 3 (supply.length): dated 2031-05-05, after one of 2031-05-06; change 4" in told
    assert "“now” is no day" in told
    assert "change 5" not in told
    assert badly_dated(JOB["sheet"]) == []
    # One clock set ahead blames itself alone, or what comes next; a week and a short form are no days.
    ahead = ["2031-05-06", "2041-05-06", "2031-05-07", "2031-05-08", "2025-W01-1", "20310509"]
    days = {"history": [CHANGE | {"at": day} for day in ahead]}
    assert [words.partition(" (")[0] for words in badly_dated(days)] == ["change 3", "change 5", "change 6"]
    named = badly_dated(days, "2031-05-21")
    assert [words.partition(" (")[0] for words in named] == ["change 2", "change 5", "change 6"]
    assert named[0].endswith("dated 2041-05-06, a day to come")
    job["sheet"]["hold_points"] = [{"point": "H1", "by": "B", "at": "1970-01-01"}]
    assert "H1: signed on 1970-01-01, before there was such a file" in work_out(job, "").missing


def test_the_job_tells_its_latest_moment_for_whoever_signs() -> None:
    signed_late = unsigned("H1")
    signed_late["sheet"]["hold_points"][0]["at"] = "2040-01-02 08:00"
    assert ask("stand", job=text_of(signed_late))["latest"] == "2040-01-02 08:00"
    bare = unsigned()
    bare["sheet"]["history"] = []
    assert ask("stand", job=text_of(bare))["latest"] == ""
