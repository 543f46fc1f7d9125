"""The sheets for the next workshop: every answer of a kind, what the processor can take, its corners."""

import copy
from pathlib import Path

from calculators.job.paper import Table
from calculators.job.papers import papers
from calculators.job.printed import BLANK
from calculators.job.reading import Job, read_job
from calculators.job.working import work_out
from tests.job.sheet_words import on_paper, words_of

JOB = read_job(Path("docs/job.json").read_bytes())


def bare(*names: str) -> Job:
    """The running job with some of its runs alone."""
    job = copy.deepcopy(JOB)
    job["sheet"]["runs"] = [run for run in job["sheet"]["runs"] if run["name"] in names]
    return job


def test_every_channel_has_its_filters_and_its_polarity_under_its_name() -> None:
    job = bare("delays", "filters")
    woofer = {
        "channel": "Right woofer",
        "filters": [{"frequency": 90.0, "gain": 2.0}],
        "gains": [0] * 30 + [1],
    }
    run = {"name": "right", "calculator": "equaliser-headroom", "inputs": woofer}
    job["sheet"]["runs"].append(run)
    job["tuning"]["polarity"][-1]["polarity"] = "reversed"
    job["tuning"]["polarity"].append({"channel": "Centre", "polarity": "normal"})
    (sheet,) = (paper for paper in papers(work_out(job, "")) if paper.name == "tuning-sheet")
    tables = {part.title: part.rows for part in sheet.parts if isinstance(part, Table)}
    (left, right) = (title for title in tables if title.startswith("Filters of"))
    assert left.startswith(
        "Filters of Left woofer; they ask for \N{MINUS SIGN}5.98\N{NO-BREAK SPACE}dB in front"
    )
    # As a table: the sheet's code carries no others.
    assert tables["Gain in front, the same for every channel"] == (
        ("\N{MINUS SIGN}5.98\N{NO-BREAK SPACE}dB", ""),
    )
    assert tables[left][0] == ("Peak (bell)", "160", "-5", "3", "")
    assert tables[right] == (("Peak (bell)", "90", "2", "1.41", ""), ("Slider", "20k", "1", "4.33", ""))
    corners = {row[0]: row[4] for row in tables["Corners"]}
    assert (corners["Left tweeter"], corners["Subwoofer"], corners["Centre"]) == (
        "normal",
        "reversed",
        "normal",
    )


def test_the_filters_of_the_job_stand_beside_the_answer_of_another_channel() -> None:
    job = bare("filters")
    job["sheet"]["runs"][0]["inputs"]["channel"] = "Right woofer"
    job["tuning"]["polarity"].append({"channel": "left  tweeter", "polarity": "reversed"})
    (sheet,) = (paper for paper in papers(work_out(job, "")) if paper.name == "tuning-sheet")
    tables = {part.title: part for part in sheet.parts if isinstance(part, Table)}
    titles = [title.partition(";")[0] for title in tables if title.startswith("Filters of")]
    assert titles == ["Filters of Right woofer", "Filters of Left woofer"]
    # Two lines of one channel, as of a file from elsewhere: neither wins.
    assert [row[4] for row in tables["Corners"].rows if row[0].casefold().split() == ["left", "tweeter"]] == [
        "two lines differ: look"
    ]


def test_every_answer_of_a_kind_is_on_its_sheet_with_its_corners() -> None:
    job = bare("delays", "wiring")
    passenger = copy.deepcopy(job["sheet"]["runs"][0]) | {"name": "passenger"}
    passenger["inputs"]["speakers"] = "job:geometry.passenger"
    job["sheet"]["runs"].append(passenger)
    second = copy.deepcopy(job["wiring"]["runs"][0]) | {"name": "Rear feed", "end": "Rear block"}
    job["wiring"]["runs"].append(second | {"current": 30.0})
    done = work_out(job, "")
    (sheet,) = (paper for paper in papers(done) if paper.name == "tuning-sheet")
    tables = {part.title: part for part in sheet.parts if isinstance(part, Table)}
    assert {"Delays: delays", "Delays: passenger", "Filters of Left woofer"} <= set(tables)
    # What the processor can take: whole steps of 1/48 ms, so 193 samples are 4.021 ms and not 4.030.
    assert tables["Delays: delays"].rows[1][:3] == ("Left woofer", "4.021\u00a0ms", "193")
    woofer = "24 dB/oct Linkwitz-Riley"
    assert tables["Corners"].rows[:2] == (
        ("Left tweeter", "3000 Hz", "", woofer, "normal", ""),
        ("Left woofer", "80 Hz", "3000 Hz", woofer, "normal", ""),
    )  # fmt: skip
    assert "Do not play a tweeter whose corner stands empty here." in words_of(sheet)
    assert on_paper(done, "glove-box-card")[2].startswith("Main fuses Main feed 70 A, Rear feed 40 A, at the")
    # A crossover worked out by itself stands under its own name where the job holds no corners.
    alone = bare()
    del alone["crossovers"], alone["tuning"]
    alone["sheet"]["runs"] = [
        {"name": "high", "calculator": "crossover", "inputs": {"slope": 12.0, "low_pass": 2500.0}}
    ]
    words = on_paper(work_out(alone, ""), "tuning-sheet")
    assert words[words.index("high") + 1 :][:3] == ["2500 Hz", "2500 Hz", "12 dB/oct Linkwitz-Riley"]


def test_the_wiring_sheet_bounds_the_fuse_of_a_capacitor_s_leg() -> None:
    # Whoever lays the cable reads this sheet alone, and its column of fuses knows no charge resistor.
    done = work_out(JOB, "")
    words = on_paper(done, "wiring-schedule")
    (said,) = (words[at + 1] for at, word in enumerate(words) if word == "Fuse of a capacitor's leg")
    assert said.startswith("Capacitor leg: its fuse, here 3 A, must be no larger than hold-up's")
    (run,) = (run for run in done.runs.values() if run.calculator == "wiring-schedule")
    assert run.outcome
    assert said in [entry.message for entry in run.outcome.advice]
    bare_job = copy.deepcopy(JOB)
    bare_job["wiring"]["runs"] = [run for run in JOB["wiring"]["runs"] if run.get("kind") != "capacitor"]
    assert "Fuse of a capacitor's leg" not in on_paper(work_out(bare_job, ""), "wiring-schedule")


def test_the_card_waits_for_a_capacitor_by_its_own_filling_time() -> None:
    """Twice 1.5 F through 47 Ω to a hundredth, 2 × 325 s (exponential, by hand), in whole minutes."""
    assert "Still 0.2 V or more after 11 min, bleed off" in " ".join(
        on_paper(work_out(JOB, ""), "glove-box-card")
    )
    empty = copy.deepcopy(JOB)
    empty["sheet"]["runs"] = [run for run in JOB["sheet"]["runs"] if run["calculator"] != "pre-charge"]
    assert f"Still 0.2 V or more after twice its filling time, {BLANK}, bleed off" in " ".join(
        on_paper(work_out(empty, ""), "glove-box-card")
    )
