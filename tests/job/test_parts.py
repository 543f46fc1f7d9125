"""The parts of a job: added up over its answers, with the spare that the page of parts asks for."""

import copy
import csv
from io import StringIO
from pathlib import Path
from typing import Any

from calculators.job.agreement import unscheduled
from calculators.job.changing import Store, jobsheet
from calculators.job.paper import Table
from calculators.job.papers import papers
from calculators.job.parts import MAKERS, parts_csv, parts_list, parts_of
from calculators.job.printed import Printed
from calculators.job.reading import Job, checked, read_job
from calculators.job.working import work_out
from calculators.stages import find_calculator
from tests.job.sheet_words import on_paper, words_of
from tests.running_job import worked_out

JOB = read_job(Path("docs/job.json").read_bytes())

MAIN = "Cable 35 mm², red (vehicle class C: 125 °C)"
PLAIN = "PVC, or unknown: 70 °C"


def rows_of(job: Job) -> dict[str, tuple[str, ...]]:
    return {row[0]: row[1:] for row in (part.row for part in parts_of(work_out(checked(job), "")))}


def job_of(*runs: tuple[str, str, dict[str, Any]]) -> Job:
    entries = [{"name": name, "calculator": slug, "inputs": inputs} for name, slug, inputs in runs]
    return {"sheet": {"version": 2, "title": "x", "runs": entries, "proof": []}}


def example(slug: str, **more: Any) -> dict[str, Any]:
    return copy.deepcopy(dict(find_calculator(slug).example)) | more


def test_the_running_job_s_parts_by_hand() -> None:
    """From the rows of its schedule, added up with a pencil."""
    rows = {part.row[0]: part.row for part in parts_of(worked_out())}
    for what, needed, order in (
        (MAIN, "5.6 m", "7 m"),  # 6.16 with 10 %: through the engine bay, 85 °C.
        (f"Cable 35 mm², black ({PLAIN})", "0.3 m", "1 m"),
        (f"Cable 2.5 mm², black ({PLAIN})", "1.3 m", "2 m"),  # 0.7 + 0.6; 1.43.
        (f"Cable 0.5 mm², orange ({PLAIN})", "5.2 m", "6 m"),  # 4 + 0.6 + 0.6; 5.72.
        (f"Speaker lead, two wires of 2.5 mm² ({PLAIN})", "20 m", "22 m"),  # 5 + 4.6 + 4.8 + 4.4 + 1.2.
        ("Cable as drawn, Level knob", "4.2 m", "5 m"),
        ("Fuse 70 A", "2", "3"),
        ("Fuse 1 A", "3", "4"),
        ("M8 ring, 35 mm²", "2", "4"),
        ("two-way plug, 2.5 mm²", "2", "4"),
    ):
        assert rows[what][1:3] == (needed, order), what
    assert rows["Fuse 70 A"][3] == "Main feed, Amplifier feed"
    assert not [what for what in rows if what.startswith("Sheet")]
    cable = sum(part.count for part in parts_of(worked_out()) if part.goods == "cable")
    assert abs(cable - sum(row["length"] for row in JOB["wiring"]["runs"])) < 1e-9, "no metre is lost"
    sheet = next(paper for paper in papers(worked_out()) if paper.name == "parts-list")
    assert sheet == parts_list(worked_out())
    assert not sheet.to_customer


def test_parts_of_several_answers_are_added_up() -> None:
    cable = example("cable")
    once = rows_of(job_of(("feed", "cable", cable)))
    (size,) = (what for what in once if what.startswith("Cable"))
    twice = rows_of(job_of(("feed", "cable", cable), ("other", "cable", cable)))
    assert float(twice[size][0][:-2]) == 2 * float(once[size][0][:-2])
    assert twice[size][2] == "feed, other"
    schedule = example("wiring-schedule")
    schedule["runs"][0]["area"] = 35e-6
    planned = rows_of(job_of(("feed", "cable", cable), ("w", "wiring-schedule", schedule)))
    assert planned[size][2] == "Main feed", "a step on the way to a line of the schedule is not counted again"
    rest = rows_of(
        job_of(
            ("lead", "speaker-lead", example("speaker-lead")),
            ("treatment", "treatment-plan", example("treatment-plan")),
            ("box", "box-volume", example("box-volume")),
            ("fixing", "fixing-load", example("fixing-load", holder="bolt")),
        )
    )
    plan = work_out(job_of(("t", "treatment-plan", example("treatment-plan"))), "").runs["t"].outcome
    assert plan is not None
    sheets = plan.result.orders[0].sheets
    assert rest["Sheet, foil-backed butyl"][:2] == (f"{sheets}", f"{sheets}"), (
        "the plan's spare, and no other"
    )
    assert [row[:2] for what, row in rest.items() if "sheet of 2500 mm × 1250 mm" in what] == [("1", "1")]
    assert rest["Bolt M8, 8.8, with nut and washer of its own class"][:2] == ("4", "6")
    assert [what for what in rest if what.startswith("Speaker lead, two wires of ")]
    assert rows_of(job_of()) == {}
    assert parts_list(work_out(job_of(), "")).parts


def test_a_feed_that_the_schedule_lacks_is_listed_and_missing() -> None:
    job = copy.deepcopy(JOB)
    job["sheet"]["runs"] = [
        run for run in job["sheet"]["runs"] if run["name"] in ("current", "feed", "wiring")
    ]
    wide = {"current": 85.0, "length": 6.0, "route": "carpet"}
    lead = {"load": 4.0, "power": 70.0, "length": 5.0, "area": 6e-6}
    job["sheet"]["runs"] += [
        {"name": "rear-feed", "calculator": "cable", "inputs": wide},
        {"name": "rear-lead", "calculator": "speaker-lead", "inputs": lead},
    ]
    rows, worked = rows_of(job), work_out(job, "")
    for name in ("rear-feed", "rear-lead"):
        assert [what for what, row in rows.items() if f"{name}, not in the schedule" in row[2]]
        assert [w for w in worked.missing if w.startswith(f"{name}: ") and "is not in the wiring" in w]
    assert not [row for row in rows.values() if "feed, not in" in row[2] and "rear" not in row[2]]
    # One line stands for one feed: a second one of its size and fuse is not hidden behind the first.
    feed = next(run for run in JOB["sheet"]["runs"] if run["name"] == "feed")
    job["sheet"]["runs"].append(feed | {"name": "feed-again"})
    assert list(unscheduled(work_out(job, "").runs)) == ["rear-feed", "rear-lead", "feed-again"]


def test_the_sheets_say_which_sheath_and_what_is_not_counted() -> None:
    sheets = {paper.name: paper for paper in papers(worked_out())}
    runs = next(part for part in sheets["wiring-schedule"].parts if part.title == "Runs")
    assert isinstance(runs, Table)
    assert runs.head[3:5] == ("Size", "Sheath")
    assert [row[4] for row in runs.rows if row[0] in ("Main feed", "Amplifier ground", "Level knob")] == [
        "vehicle class C: 125 °C", PLAIN, "",
    ]  # fmt: skip
    words = " ".join(words_of(sheets["parts-list"]))
    assert "fuse holders, blocks, relays, devices, clips; and, for want of an answer, sheets, board" in words
    assert "The schedule names no connector for Held turn-on: none is counted." in words
    job = copy.deepcopy(JOB)
    for run in job["wiring"]["runs"]:
        run["connector"] = "ring"
    assert "names no connector" not in " ".join(on_paper(work_out(job, ""), "parts-list"))


def test_the_table_holds_no_formula_and_what_is_out_of_date_says_so() -> None:
    job = copy.deepcopy(JOB)
    job["wiring"]["runs"][0] |= {"name": "=cmd()", "connector": "+1;@x"}
    rows = list(csv.reader(StringIO(parts_csv(work_out(job, "")).decode())))
    assert rows[0] == ["What", "Needed", "To order, with spare", "Unit", "For"]
    assert not [cell for row in rows for cell in row if cell.startswith(("=", "+", "@"))]
    answers = {name: run.answer for name, run in worked_out().runs.items() if run.answer}
    kept = copy.deepcopy(jobsheet(JOB, Store(answers=answers)))
    kept["wiring"]["runs"][0]["length"] = 9.9
    (main,) = (part for part in parts_of(work_out(kept, "")) if part.what == MAIN)
    assert main.row[1] == "5.6 m", "what was kept stands until it is worked out again"
    assert main.use[0] == "Main feed (out of date)"


def test_a_kept_answer_of_another_form_and_less_than_nothing_are_not_counted() -> None:
    schedule = find_calculator("wiring-schedule")
    row = {"name": ["x"], "size": 2.5e-6, "length": -4.0, "fuse": None, "connector": ""}
    kept = Printed(schedule, {"runs": [row]}, {"runs": 7}, " (out of date)")
    (cable,) = MAKERS["wiring-schedule"](kept, "wiring")
    assert (cable.what, cable.count) == ("Cable 2.5 mm²", 0)


def test_a_door_whose_sensor_is_not_known_gets_no_sheet_and_no_word_of_sealing_on_paper() -> None:
    treatment = JOB["treatment"]
    inside = [panel for panel in treatment["panels"] if "door" in panel["place"] and panel["layer"] != "card"]
    assert len(inside) > 4
    for sensor in ("unknown", "pressure", "acceleration"):
        doors = [door | {"sensor": sensor} for door in treatment["doors"]]
        plan = {"doors": doors, "panels": inside, "materials": treatment["materials"]}
        job = checked(job_of(("doors", "treatment-plan", plan)))
        said = [words for paper in papers(work_out(job, "")) for words in words_of(paper)]
        ordered = [words for words in said if words.startswith("Sheet, ")]
        assert bool(ordered) == (sensor == "acceleration")
        if not ordered:
            assert [words for words in said if "seal" in words.lower()] == []
