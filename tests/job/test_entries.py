"""What is written into a job by hand: readings, lines of its sheets, exceptions."""

import copy
import json
import re
from pathlib import Path
from typing import Any, get_type_hints

import pytest

from calculators.declaring import drain, run_values
from calculators.job.changing import Measure, jobsheet
from calculators.job.desk import told
from calculators.job.entries import LINES, READINGS, USUAL_LEVEL, WriteLine, told_of, written
from calculators.job.facts import MOST_HISTORY, with_entries
from calculators.job.papers import papers
from calculators.job.reading import Job, JobError, read_job, write_job
from calculators.job.sheet import ACCEPTED_BY, FIELDS, LOCKED, Accepted, Changed, HoldPoint
from calculators.job.signing import what_is_signed
from calculators.job.working import work_out
from calculators.stages import find_calculator
from tests.job.sheet_words import words_of

JOB = read_job(Path("docs/job.json").read_bytes())
AT = "2031-05-21 10:00"
DROP = "Drop of the feed at its test current"
COMPLAINTS = "brief.complaints"
NEVER_CLOSED = {
    "about": "what the file is",
    "sheet": "what is signed, proven and accepted closes by itself",
    "plan": "who works when: nothing on the vehicle",
    "work": "each step closes with its own hold point",
    "faults": "of after the work",
}
"""Sections of a job that no hold point closes, with the reason."""


def bare(**sheet: Any) -> Job:
    """The running job without runs and signatures: quick to work out."""
    return copy.deepcopy(JOB | {"sheet": JOB["sheet"] | {"runs": [], "hold_points": [], **sheet}})


def ask(question: str, job: Job, **given: str) -> dict[str, Any]:
    return drain(told(question, {"job": write_job(job).decode(), "at": AT, **given}, "x"))


def changed(question: str, job: Job, **given: str) -> Job:
    reply = ask(question, job, **given)
    assert reply["errors"] == []
    return read_job(reply["job"].encode())


def refusal(question: str, job: Job, **given: str) -> str:
    (error,) = ask(question, job, **given)["errors"]
    return str(error["message"])


def test_a_reading_is_typed_and_stands_in_the_proof_and_the_history() -> None:
    joins = "Loss at the joins"
    job = changed("measure", bare(), line=joins, reading="0,45")
    assert next(line.measured for line in work_out(job, "").proof if line.name == joins) == 0.45
    (entry,) = job["sheet"]["history"]
    assert (entry["path"], entry["before"], entry["after"]) == (f"proof: {joins}", "0.3", "0.45")
    # A line that takes its reading from a fact: the fact is what is typed.
    del job["verification"]["drop"]
    assert changed("measure", job, line=DROP, reading="0.28")["verification"]["drop"] == 0.28
    empty = changed("measure", job, line=joins, reading="")
    assert next(line.measured for line in work_out(empty, "").proof if line.name == joins) is None
    for wrong, words in (
        ("a lot", "is not a number"), ("nan", "is not a number"), ("1_000", "is no unit of level"),
        ("1,234", "type 1234 or 1.2340"), ("1e400", "must be between"),
        ("-0.1", "look at the sign"),
    ):  # fmt: skip
        assert words in refusal("measure", job, line=joins, reading=wrong)
    long = changed("measure", job, line=joins, reading="1.2340")
    (shown,) = (one["reading"] for one in ask("stand", long)["entries"]["proof"] if one["line"] == joins)
    assert changed("measure", long, line=joins, reading=shown)["sheet"]["proof"] == long["sheet"]["proof"]
    assert "no such line" in refusal("measure", job, line="Nothing", reading="1")


def test_a_reading_is_typed_in_any_unit_of_its_line() -> None:
    noise, asleep = "Noise at the tweeter", "Asleep, added"
    late, harmonics = "Delay, tweeter against its woofer", "Harmonics, 40 to 100 Hz, at the same drive"
    for name, typed, stands in (
        (noise, "0.4 mV", 0.0004), (noise, "0.0004", 0.0004), (DROP, "120 mV", 0.12), (asleep, "3 mA", 0.003),
        (late, "0.01", 0.01), (late, "10 µs", 0.01), (harmonics, "6.2", 6.2), (harmonics, "6.2 %", 6.2),
    ):  # fmt: skip
        worked = work_out(changed("measure", bare(), line=name, reading=typed), "")
        assert next(line.measured for line in worked.proof if line.name == name) == stands, typed
    assert "“A” is no unit of voltage" in refusal("measure", bare(), line=noise, reading="3 A")


def test_behind_the_last_hold_point_a_reading_changes_with_a_reason() -> None:
    signed = bare(hold_points=JOB["sheet"]["hold_points"])
    for line in ("Loss at the joins", DROP):
        reply = ask("measure", signed, line=line, reading="0.2")
        assert reply["locked"]
        assert "H6 is signed" in reply["errors"][0]["message"]
        done = changed("measure", signed, line=line, reading="0.2", by="A", reason="read again")
        assert done["sheet"]["history"][-1]["reason"] == "read again"


@pytest.mark.parametrize("path", LINES)
def test_a_line_of_a_sheet_is_written_changed_and_printed(path: str) -> None:
    columns, numbers, choices = LINES[path].columns, LINES[path].numbers, LINES[path].choices
    days = dict.fromkeys(LINES[path].days, "2031-05-14")
    cells = {
        name: f"{n}7" if name in numbers else choices.get(name, (f"Wumbel {n}",))[0]
        for n, name in enumerate(columns)
    } | days
    job = changed("write", bare(), path=path, number="", cells=json.dumps(cells))
    sheets = [word for paper in papers(work_out(job, "")) for word in words_of(paper)]
    assert all(words in sheets for words in cells.values())
    rows = rows_of(job, path)
    assert rows[-1] == cells
    other = cells | {next(iter(columns)): "Zorp"}
    again = changed("write", job, path=path, number=str(len(rows) - 1), cells=json.dumps(other))
    assert rows_of(again, path) == [*rows[:-1], other]
    assert "type it first" in refusal("write", job, path=path, number="", cells="{}")
    assert "not there any more" in refusal("write", job, path=path, number="99", cells=json.dumps(cells))
    out = changed("write", again, path=path, number=str(len(rows) - 1), cells="{}")
    assert rows_of(out, path) == rows[:-1]
    assert out["sheet"]["history"][-1]["path"] == path


def rows_of(job: Job, path: str) -> list[dict[str, str]]:
    (rows,) = (entry["rows"] for entry in ask("stand", job)["entries"]["lines"] if entry["path"] == path)
    return list(rows)


def test_a_line_keeps_the_cells_that_no_form_has_and_its_place_beside_what_is_no_line() -> None:
    job = bare()
    job["condition"]["windows"] = ["no line", {"name": "Rear left", "down": 4.5, "motor": "new"}]
    assert [row["name"] for row in rows_of(job, "condition.windows")] == ["", "Rear left"]
    cells = json.dumps({"name": "Rear left", "down": "4,4"})
    done = changed("write", job, path="condition.windows", number="1", cells=cells)
    assert done["condition"]["windows"] == ["no line", {"name": "Rear left", "down": 4.4, "motor": "new"}]


def test_no_other_path_is_written_and_what_is_signed_asks_why() -> None:
    assert "no such lines" in refusal(
        "write", bare(), path="sheet.customer", number="", cells='{"field": "x"}'
    )
    cells = json.dumps({"words": "It hums", "test": "by ear"})
    reply = ask(
        "write",
        bare(hold_points=JOB["sheet"]["hold_points"]),
        path="brief.complaints",
        number="",
        cells=cells,
    )
    assert reply["locked"]
    numbers = json.dumps({"name": "Rear left", "down": "three"})
    assert "is not a number" in refusal("write", bare(), path="condition.windows", number="", cells=numbers)


def test_an_exception_takes_the_reading_of_today_and_nothing_that_passes() -> None:
    margin = "Amplifier's margin in a restart"
    job = bare(exceptions=[])
    assert ask("stand", job)["entries"]["acceptable"] == [margin]
    done = changed("accept", job, what=margin, why="hard frost alone", accepted="customer, 2031-05-21")
    assert done["sheet"]["exceptions"][0]["value"] == 0.15
    assert work_out(done, "").out_of_tolerance == []
    worse = jobsheet(done, Measure(line=margin, reading="-1", by="A", at=AT))
    assert [line.name for line in work_out(worse, "").out_of_tolerance] == [margin]
    both = changed("accept", worse, what=margin, why="told so", accepted="customer, 2031-05-22")
    assert [entry["value"] for entry in both["sheet"]["exceptions"]] == [-1.0]
    assert "Why it stands: type it first" in refusal("accept", job, what=margin, why=" ", accepted="customer")
    assert "Accepted by (as “customer”) and the day" in refusal(
        "accept", job, what=margin, why="x", accepted=" "
    )
    assert "Nothing of that name" in refusal("accept", job, what=DROP, why="x", accepted="customer")
    # Behind the last hold point it needs a reason, stands in the history, and is printed as it was accepted.
    job["sheet"]["hold_points"] = copy.deepcopy(JOB["sheet"]["hold_points"])
    given = {"what": margin, "why": "hard frost alone", "accepted": "customer, 2031-05-21"}
    assert ask("accept", job, **given)["locked"]
    late = changed("accept", job, **given, by="A", reason="forgotten")
    assert late["sheet"]["history"][-1]["path"] == f"exception: {margin}"
    handover = next(paper for paper in papers(work_out(late, "")) if paper.name == "handover")
    assert "0.15 V" in next(part for part in handover.parts if part.title.startswith("Exceptions")).rows[0]


def test_an_accepted_verdict_covers_the_answer_that_was_accepted_and_no_other() -> None:
    job = bare(runs=[run for run in JOB["sheet"]["runs"] if run["name"] == "wiring"], exceptions=[])
    job["supply"]["allowed_drop"] = 0.02
    ((name, _),) = work_out(job, "").failing
    done = changed("accept", job, what=name, why="long way", accepted="customer, 2031-05-21")
    assert work_out(done, "").failing == []
    done["supply"]["body_resistance"] = 0.003
    assert work_out(done, "").failing[0][1].endswith("accepted for another answer: accept it again")
    again = changed("accept", done, what=name, why="long way", accepted="customer, 2031-05-22")
    assert work_out(again, "").failing == []


def test_the_limit_of_this_vehicle_is_typed_beside_its_reading() -> None:
    job = bare()
    del job["verification"]["drop_limit"], job["verification"]["drop"]
    asked = [line["line"] for line in ask("stand", job)["entries"]["proof"] if line["asks"]]
    assert asked == [DROP]
    done = changed("measure", job, line=DROP, reading="0.28", limit="0,3")
    (line,) = (line for line in work_out(done, "").proof if line.name == DROP)
    assert (line.measured, line.limit, line.passes) == (0.28, "0.3 V or less", True)
    alone = changed("measure", job, line=DROP, reading="", limit="0.3")
    assert (alone["verification"]["drop_limit"], "drop" in alone["verification"]) == (0.3, False)
    assert "asks for no limit" in refusal("measure", done, line=DROP, reading="0.28", limit="0.4")


def test_the_first_line_of_what_stays_asks_why_behind_the_survey() -> None:
    job = bare(hold_points=JOB["sheet"]["hold_points"][:1])
    del job["quote"]["stays"]
    line = {"path": "quote.stays", "number": "", "cells": json.dumps({"what": "Hole 8 mm", "where": "shelf"})}
    assert ask("write", job, **line)["locked"]
    assert changed("write", job, **line, by="A", reason="no free hole")["quote"]["stays"]


def test_a_step_is_checked_by_somebody_else_before_its_hold_point_is_signed() -> None:
    job = bare(hold_points=JOB["sheet"]["hold_points"][:2])
    del job["work"]
    step = {"what": "Hose test, doors", "point": "h3", "by": "A"}

    def write(job: Job, number: str = "", **more: str) -> dict[str, Any]:
        return ask("write", job, path="work.steps", number=number, cells=json.dumps(step | more))

    assert "somebody who did not do it" in write(job, checked="a")["errors"][0]["message"]
    assert "type H1 or H2" in write(job, point="H7")["errors"][0]["message"]
    assert "type H1 to H6 first" in write(job, point="")["errors"][0]["message"]
    done = read_job(write(job)["job"].encode())
    assert "Hose test, doors: not checked yet." in refusal("sign", done, point="H3", by="B")
    checked = read_job(write(done, number="0", checked="B")["job"].encode())
    assert "Hose test, doors: done by A, checked by B" in what_is_signed(work_out(checked, ""), "H3")
    signed = changed("sign", checked, point="H3", by="B")
    assert write(signed, number="0", checked="C")["locked"], "its hold point is signed"
    assert write(signed, point="H2")["locked"]
    assert not write(signed, point="H5")["errors"]


def test_the_usual_level_is_a_reading_of_the_job() -> None:
    job = bare()
    del job["brief"]["usual_level"]
    done = changed("measure", job, line=USUAL_LEVEL, reading="79,5")
    assert done["brief"]["usual_level"] == 79.5
    assert any("At your usual 79.5 dB(A)" in word for word in on_handover(done))
    wrong = refusal("measure", job, line=USUAL_LEVEL, reading="7.9")
    assert wrong.startswith(f"{USUAL_LEVEL}: must be between 30 dB(A)")
    signed = done | {"sheet": done["sheet"] | {"hold_points": JOB["sheet"]["hold_points"][:1]}}
    assert ask("measure", signed, line=USUAL_LEVEL, reading="80")["locked"]


@pytest.mark.parametrize("line", READINGS)
def test_a_reading_without_a_line_of_the_proof_is_printed_and_closed(line: str) -> None:
    _, unit, kind = READINGS[line]
    value = round(kind.low + 0.27 * (kind.high - kind.low), 1)
    done = changed("measure", bare(), line=line, reading=f"{value:g}")
    sheets = [word for paper in papers(work_out(done, "")) for word in words_of(paper)]
    assert any(f"{value:g} {unit}" in word for word in sheets), f"{line}: print it on a sheet (papers.py)"
    signed = done | {"sheet": done["sheet"] | {"hold_points": JOB["sheet"]["hold_points"]}}
    assert ask("measure", signed, line=line, reading=f"{kind.low:g}")["locked"], line


def test_each_section_of_a_job_is_closed_by_a_hold_point_or_has_its_reason() -> None:
    written_by_hand = (*LINES, *(path for path, _, _ in READINGS.values()))
    sections = {*JOB, *(path.partition(".")[0] for path in written_by_hand)}
    closed = [section for point in LOCKED.values() for section in point]
    words = "say in LOCKED (calculators/job/sheet.py) which hold point closes it, or in NEVER_CLOSED why none"
    assert sections - {*closed, *NEVER_CLOSED} == set(), words
    assert set(closed) & set(NEVER_CLOSED) == set()
    assert set(NEVER_CLOSED) - sections == set()


def on_handover(job: Job) -> list[str]:
    return [
        word for paper in papers(work_out(job, "")) if paper.name == "handover" for word in words_of(paper)
    ]


def test_a_polarity_is_one_of_two_words() -> None:
    line = {"path": "tuning.polarity", "number": ""}
    wrong = {"channel": "Centre", "polarity": "+"}
    assert "type normal or reversed" in refusal("write", bare(), **line, cells=json.dumps(wrong))
    done = changed("write", bare(), **line, cells=json.dumps(wrong | {"polarity": "Reversed"}))
    assert done["tuning"]["polarity"][-1]["polarity"] == "reversed"
    # One channel has one line: the second would win unseen. Its own line may be changed.
    again = json.dumps({"channel": " left  Tweeter", "polarity": "reversed"})
    assert "has a line already" in refusal("write", bare(), **line, cells=again)
    assert changed("write", bare(), **(line | {"number": "0"}), cells=again)["tuning"]["polarity"]


@pytest.mark.parametrize("typed", ["2027-02-31", "2027", "by telephone"])
def test_the_day_on_which_a_fault_was_told_is_a_day(typed: str) -> None:
    line = {"path": "condition.faults", "number": ""}
    cells = {"what": "A code", "told": typed, "mends": "nobody now"}
    assert f"“{typed}” is no day" in refusal("write", bare(), **line, cells=json.dumps(cells))
    done = changed("write", bare(), **line, cells=json.dumps(cells | {"told": ""}))
    assert rows_of(done, "condition.faults")[-1]["what"] == "A code"


def test_the_names_of_the_channels_are_offered() -> None:
    job = bare(runs=[run for run in JOB["sheet"]["runs"] if run["calculator"] in ("delay", "level-trim")])
    (columns,) = (
        {column["name"]: column["known"] for column in lines["columns"]}
        for lines in ask("stand", job)["entries"]["lines"]
        if lines["path"] == "tuning.polarity"
    )
    assert columns["polarity"] == ["normal", "reversed"]
    assert columns["channel"] == [line["channel"] for line in JOB["tuning"]["polarity"]]


def test_nobody_accepts_a_danger() -> None:
    heavy = bare(runs=[run for run in JOB["sheet"]["runs"] if run["name"] == "mass"])
    heavy["mass"]["payload"] = 1.0
    assert "mass" not in ask("stand", heavy)["entries"]["acceptable"]
    assert "Nothing of that name" in refusal("accept", heavy, what="mass", why="x", accepted="customer")


def answer_form(calculator: str, title: str, another: str = "") -> dict[str, str]:
    return {"calculator": calculator, "title": title, "another": another}


def test_a_second_answer_that_is_missing_is_told_with_its_name() -> None:
    runs = [copy.deepcopy(run) for run in JOB["sheet"]["runs"] if run["name"] in ("current", "feed")]
    job = bare(runs=[*runs, {**runs[1], "name": "rear-feed"}])
    del job["supply"]["length"]
    assert [one["form"] for one in ask("stand", job)["entries"]["unanswered"]] == [
        answer_form("cable", "Cable size"),
        answer_form("cable", "Cable size", another="rear-feed"),
    ]


def test_a_job_that_has_none_of_a_kind_waits_for_none() -> None:
    runs = [run for run in JOB["sheet"]["runs"] if run["name"] in ("current", "feed", "parked")]
    job = bare(runs=copy.deepcopy(runs), proof=[{"name": "Days", "measured": "run:parked.days", "least": 7}])
    del job["supply"]["length"], job["amplifier"]["rows"]
    assert ask("stand", job)["entries"]["unanswered"] == [
        {"name": "current", "form": answer_form("current-draw", "Current of the system")},
        {"name": "feed", "form": answer_form("cable", "Cable size")},
    ]
    assert "Needed by feed: look there first" in refusal("none", job, run="current")
    assert "Needed by Days: look there first" in refusal("none", job, run="parked")
    assert ask("none", job, run="feed", by="A")["locked"], "without a reason nothing goes"
    why = {"by": "A", "reason": "speakers alone"}
    one = changed("none", job, run="feed", **why)
    two = changed("none", one, run="current", **why)
    assert [run["name"] for run in two["sheet"]["runs"]] == ["parked"]
    assert [entry["after"] for entry in two["sheet"]["history"]] == ["this job has none"] * 2
    assert "no such answer" in refusal("none", two, run="current", **why)
    # Told again where it is signed, and what is worked out stays.
    assert {"This job has none: feed.", "This job has none: current."} <= set(
        what_is_signed(work_out(two, ""), "H4")
    )
    assert "It has an answer" in refusal("none", bare(runs=runs), run="feed", **why)
    job["sheet"]["hold_points"] = copy.deepcopy(JOB["sheet"]["hold_points"])
    assert ask("none", job, run="feed")["locked"]


def test_who_prints_a_sheet_and_the_release_stand_on_it() -> None:
    sheet = run_values(find_calculator("job-sheet"), {"shop": "Wumbel & Zorp, Lane 7", "release": "9.9+ab"})
    html = sheet.result.order.contents.decode()
    assert "Wumbel &amp; Zorp, Lane 7" in html
    assert "9.9+ab" in html


@pytest.mark.parametrize("there", [5, "abc", {"words": "x"}])
def test_what_is_no_list_of_lines_is_neither_shown_nor_written_over(there: Any) -> None:
    job = bare() | {"brief": {"complaints": there}}
    (rows,) = (lines["rows"] for lines in told_of(work_out(job, ""))["lines"] if lines["path"] == COMPLAINTS)
    assert rows == []
    change = WriteLine(path=COMPLAINTS, number="", cells={"words": "Too thin"}, by="", at=AT)
    with pytest.raises(JobError, match="another form"):
        written(job, change)


def test_a_full_history_is_said_in_words() -> None:
    entry = {"path": "a", "before": "", "after": "", "by": "", "at": AT, "reason": ""}
    job = bare(history=[entry] * MOST_HISTORY)
    assert with_entries(job, []) == job
    with pytest.raises(JobError, match="The history is full"):
        with_entries(job, [entry])


def test_two_lines_of_the_proof_have_two_names() -> None:
    job = copy.deepcopy(JOB)
    job["sheet"]["proof"] = [{"name": "Drop"}, {"name": "Drop"}]
    with pytest.raises(JobError) as refused:
        read_job(json.dumps(job).encode())
    assert (refused.value.place, "have this name" in refused.value.message) == ("sheet.proof[1].name", True)


def test_each_field_of_the_job_file_is_read_by_something() -> None:
    """Besides what reads and describes the file: a field that is on no sheet and in no form is dead."""
    room = Path("calculators/job")
    readers = [path for path in room.glob("*.py") if path.name not in {"reading.py", "schema.py"}]
    text = "\n".join(path.read_text(encoding="utf-8") for path in readers)
    assert [each.name for each in FIELDS if f'"{each.name}"' not in text] == []


def longest(record: type, field: str) -> int:
    """Letters that a field of a record holds."""
    return int(get_type_hints(record, include_extras=True)[field].__metadata__[0].longest)


def test_the_page_asks_in_the_words_of_the_job_and_takes_no_more_letters_than_it_holds() -> None:
    folder = Path("docs/assets/doorcard")
    script = "".join((folder / name).read_text("utf-8") for name in ("in-job.js", "job-entries.js"))
    (most,) = re.findall(r"^const LONGEST = (\d+);", script, re.MULTILINE)
    asked = dict(re.findall(r'\bfield\("([^"]+)", (\w+)\)', script.replace("LONGEST)", f"{most})")))
    held = {
        "Reason": longest(Changed, "reason"),
        "Initials": min(longest(Changed, "by"), longest(HoldPoint, "by")),
        "Why it stands": longest(Accepted, "why"),
        ACCEPTED_BY: longest(Accepted, "accepted"),
    }
    assert {words: int(asked[words]) for words in held} == held
