"""The parts of a job: added up over its answers, with the spare that the page of parts asks for."""

import copy
import csv
from io import StringIO
from pathlib import Path
from typing import Any

from calculators.job.changing import Store, jobsheet
from calculators.job.papers import papers
from calculators.job.parts import MAKERS, parts_csv, parts_list, parts_of
from calculators.job.printed import Printed
from calculators.job.reading import Job, checked, read_job
from calculators.job.working import work_out
from calculators.stages import find_calculator

JOB = read_job(Path("docs/job.json").read_bytes())
WORKED = work_out(JOB, "")


def rows_of(job: Job) -> dict[str, tuple[str, ...]]:
    return {row[0]: row[1:] for row in (part.row for part in parts_of(work_out(checked(job), "")))}


def job_of(*runs: tuple[str, str, dict[str, Any]]) -> Job:
    entries = [{"name": name, "calculator": slug, "inputs": inputs} for name, slug, inputs in runs]
    return {"sheet": {"version": 2, "title": "x", "runs": entries, "proof": []}}


def example(slug: str, **more: Any) -> dict[str, Any]:
    return copy.deepcopy(dict(find_calculator(slug).example)) | more


def test_the_running_job_s_parts_by_hand() -> None:
    """From the rows of its schedule, added up with a pencil."""
    rows = {part.row[0]: part.row for part in parts_of(WORKED)}
    for what, needed, order in (
        ("Cable 35 mm²", "5.9 m", "7 m"),  # 5.6 + 0.3; 6.49 with 10 %.
        ("Cable 2.5 mm²", "1.7 m", "2 m"),  # 0.4 + 0.7 + 0.6; 1.87.
        ("Speaker lead, two wires of 2.5 mm²", "20 m", "22 m"),  # 5 + 4.6 + 4.8 + 4.4 + 1.2.
        ("Cable as drawn, Level knob", "4.2 m", "5 m"),
        ("Fuse 70 A", "2", "3"),
        ("Fuse 1 A", "3", "4"),
        ("M8 ring, 35 mm²", "2", "4"),
        ("two-way plug, 2.5 mm²", "2", "4"),
    ):
        assert rows[what][1:3] == (needed, order), what
    assert rows["Fuse 70 A"][3] == "Main feed, Amplifier feed"
    assert not [what for what in rows if what.startswith("Sheet")]
    cable = sum(part.count for part in parts_of(WORKED) if part.goods == "cable")
    assert abs(cable - sum(row["length"] for row in JOB["wiring"]["runs"])) < 1e-9, "no metre is lost"
    sheet = next(paper for paper in papers(WORKED) if paper.name == "parts-list")
    assert sheet == parts_list(WORKED)
    assert not sheet.to_customer


def test_parts_of_several_answers_are_added_up() -> None:
    cable = example("cable")
    once = rows_of(job_of(("feed", "cable", cable)))
    (size,) = (what for what in once if what.startswith("Cable"))
    twice = rows_of(job_of(("feed", "cable", cable), ("other", "cable", cable)))
    assert float(twice[size][0][:-2]) == 2 * float(once[size][0][:-2])
    assert twice[size][2] == "feed, other"
    assert size not in rows_of(
        job_of(("feed", "cable", cable), ("w", "wiring-schedule", example("wiring-schedule")))
    )
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
    assert rest["Sheet, foil-backed butyl"][:2] == (f"{sheets}", f"{-(-11 * sheets // 10)}")
    assert [row[:2] for what, row in rest.items() if "sheet of 2500 mm × 1250 mm" in what] == [("1", "1")]
    assert rest["Bolt M8, 8.8, with nut and washer of its own class"][:2] == ("4", "6")
    assert [what for what in rest if what.startswith("Speaker lead, two wires of ")]
    assert rows_of(job_of()) == {}
    assert parts_list(work_out(job_of(), "")).parts


def test_the_table_holds_no_formula_and_what_is_out_of_date_says_so() -> None:
    job = copy.deepcopy(JOB)
    job["wiring"]["runs"][0] |= {"name": "=cmd()", "connector": "+1;@x"}
    rows = list(csv.reader(StringIO(parts_csv(work_out(job, "")).decode())))
    assert rows[0] == ["What", "Needed", "To order, with spare", "Unit", "For"]
    assert not [cell for row in rows for cell in row if cell.startswith(("=", "+", "@"))]
    answers = {name: run.answer for name, run in WORKED.runs.items() if run.answer}
    kept = jobsheet(JOB, Store(answers=answers))
    kept["wiring"]["runs"][0]["length"] = 9.9
    (main,) = (part for part in parts_of(work_out(kept, "")) if part.what == "Cable 35 mm²")
    assert main.row[1] == "5.9 m", "what was kept stands until it is worked out again"
    assert main.use[0] == "Main feed (out of date)"


def test_a_kept_answer_of_another_form_and_less_than_nothing_are_not_counted() -> None:
    schedule = find_calculator("wiring-schedule")
    row = {"name": ["x"], "size": 2.5e-6, "length": -4.0, "fuse": None, "connector": ""}
    kept = Printed(schedule, {"runs": [row]}, {"runs": 7}, " (out of date)")
    (cable,) = MAKERS["wiring-schedule"](kept, "wiring")
    assert (cable.what, cable.count) == ("Cable 2.5 mm²", 0)
