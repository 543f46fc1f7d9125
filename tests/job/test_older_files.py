"""Job files of older forms are read on; and a change runs again no more than what rests on it."""

import json
from typing import Any

import pytest

from calculators.declaring import Calculator, Outcome, run_values
from calculators.job import working
from calculators.job.carrying import carried, run_of
from calculators.job.changing import jobsheet
from calculators.job.facts import SetFact
from calculators.job.reading import JobError, read_job
from calculators.job.sheet import MOST_HISTORY, VERSION, badly_dated
from tests.job.test_job_files import JOB, NOW, WORKED, worked


def test_a_file_of_facts_alone_is_migrated() -> None:
    facts = {name: value for name, value in JOB.items() if name != "sheet"}
    old = read_job(json.dumps(facts).encode())
    assert old["sheet"]["version"] == VERSION
    assert old["geometry"] == JOB["geometry"]
    with pytest.raises(JobError, match=f"this release reads up to {VERSION}"):
        read_job(json.dumps(JOB | {"sheet": JOB["sheet"] | {"version": VERSION + 1}}).encode())


def test_a_change_runs_again_what_rests_on_it_and_nothing_else(monkeypatch: pytest.MonkeyPatch) -> None:
    ran: list[str] = []

    def counted(calculator: Calculator, values: dict[str, Any]) -> Outcome:
        ran.append(calculator.slug)
        return run_values(calculator, values)

    monkeypatch.setattr(working, "run_values", counted)
    changed = jobsheet(JOB, SetFact(path="geometry.temperature", value=31.0, **NOW, reason="a heat wave"))
    assert worked(changed).runs["delays"].outcome != WORKED.runs["delays"].outcome
    assert ran == ["delay"]
    worked(changed)
    assert ran == ["delay"]


def test_a_job_of_form_2_has_its_source_in_the_feed_table() -> None:
    """Its volts stood apart, as “gain.source”: a run and a line of the proof go on from the table."""
    run = {"name": "chain", "calculator": "gain-chain", "inputs": {"source": "job:gain.source"}}
    sheet = {"version": 2, "title": "x", "runs": [run], "proof": [{"name": "a", "most": "job:gain.source"}]}
    old = {"sheet": sheet, "gain": {"source": 7.5, "reserve": 3.0}}
    table = [{"name": "Left", "side": "left"}, {"name": "Right", "side": "right"}]
    for feeds, name in (({"map": table, "rail": 14.4}, "Left"), ({}, "Source")):
        job = read_job(json.dumps(old | {"feeds": feeds}).encode())
        assert job["feeds"]["map"][0]["name"] == name
        assert job["feeds"]["map"][0]["ceiling"] == 7.5
        assert (job["gain"], job["sheet"]["version"]) == ({"reserve": 3.0}, VERSION)
        assert job["sheet"]["runs"][0]["inputs"]["source"] == "job:feeds.map[0].ceiling"
        assert job["sheet"]["proof"][0]["most"] == "job:feeds.map[0].ceiling"
        (told,) = job["sheet"]["history"]
        assert (told["path"], told["before"]) == ("feeds.map[0].ceiling", "7.5")
        assert told["reason"].startswith(f"Volts of the source moved to {name}, the first line")
        assert not badly_dated(job["sheet"])
        assert read_job(json.dumps(job).encode()) == job, "it is told once"
    full = [told | {"at": "2031-05-14"}] * MOST_HISTORY
    again = read_job(json.dumps(old | {"sheet": sheet | {"history": full}}).encode())
    assert again["sheet"]["history"] == full, "a full history opens all the same"
    quiet = read_job(json.dumps(old | {"gain": {"source": 0.02}, "feeds": {"map": table}}).encode())
    assert carried(quiet, "feed-table", {"feeds": "feeds.map"})["feeds"].value[0].ceiling == 0.02
    for odd in (
        {"gain": 3},
        {"gain": {"source": 1.0}, "feeds": 3},
        {"gain": {"source": 1.0}, "feeds": {"map": [3]}},
        {"gain": {"source": 0.001}, "feeds": {"map": table}},
        {"gain": {"source": "7.5"}, "feeds": {"map": table}},
    ):
        left = read_job(json.dumps({"sheet": sheet | {"runs": [], "proof": []}, **odd}).encode())
        assert {name: left[name] for name in odd} == odd


def old_job(inputs: dict[str, Any], calculator: str, **facts: Any) -> Any:
    """A job of today's form, as an older release left it, with one run."""
    runs = [{"name": "old", "calculator": calculator, "inputs": inputs}]
    sheet = {"version": VERSION, "title": "x", "runs": runs, "proof": []}
    return read_job(json.dumps({"sheet": sheet, **facts}).encode())


@pytest.mark.parametrize("was", ["woofer.load", "amplifier.rated_load"])
def test_a_tweeters_ohms_come_to_the_tweeter_from_where_they_were_kept(was: str) -> None:
    section, name = was.split(".")
    job = old_job({"load": f"job:{was}"}, "tweeter-limit", **{section: {name: 6.0}})
    assert (job["tweeter"], job[section]) == ({"load": 6.0}, {name: 6.0})
    paths = {"load": "tweeter.load"}
    assert carried(job, "tweeter-limit", paths)["load"].value == 6.0
    assert run_of(job, "tweeter-limit", paths)["name"] == "old", "its form is still of that answer"
    (told,) = job["sheet"]["history"]
    assert (told["path"], told["after"], was in told["reason"]) == ("tweeter.load", "6.0", True)
    assert read_job(json.dumps(job).encode()) == job, "it is told once"
    has = old_job({"load": f"job:{was}"}, "tweeter-limit", tweeter={"load": 4.0}, **{section: {name: 6.0}})
    assert (has["tweeter"], "history" in has["sheet"]) == ({"load": 4.0}, False)
    woofers = old_job({"load": f"job:{was}"}, "limiter", **{section: {name: 6.0}})
    assert "tweeter" not in woofers, "a limiter may be the woofer's"


def test_distances_of_an_older_job_fill_the_form_of_today() -> None:
    rows = [{"name": "L", "distance": 0.8}, {"name": "R", "distance": 0.95}]
    job = old_job({"speakers": "job:geometry.driver"}, "delay", geometry={"driver": rows})
    assert job["geometry"] == {"driver": rows, "measured": rows}
    paths = {"speakers": "geometry.measured"}
    assert [row.distance for row in carried(job, "delay", paths)["speakers"].value] == [0.8, 0.95]
    assert run_of(job, "delay", paths)["name"] == "old"
    for odd in ({"geometry": 3}, {"geometry": {"driver": rows, "measured": []}}, {}):
        left = old_job({"speakers": "job:geometry.driver"}, "delay", **odd)
        assert {name: left[name] for name in odd} == odd
