"""Values carried between forms and a job: none typed twice, none changed unasked, every change on record."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from calculators import browser
from calculators.declaring import answer_of, drain, example_fields, run_typed
from calculators.declaring.answers import plain
from calculators.declaring.reading import read_typed
from calculators.job import desk
from calculators.job.carrying import PutIn, carried, run_of
from calculators.job.changing import Sign, TakeBack, begun, jobsheet, kept
from calculators.job.examples import EXAMPLE
from calculators.job.facts import TAKEN_BACK, LockedError, SetFact, locked_by
from calculators.job.papers import papers
from calculators.job.reading import FACT, Job, JobError, read_job, write_job
from calculators.job.schema import job_schema
from calculators.job.working import work_out
from calculators.stages import find_calculator
from tests.job.sheet_words import words_of
from tests.strategies import HOSTILE

RELEASE = "0.0.0+test"
JOB = read_job(Path("docs/job.json").read_bytes())
EMPTY = begun(JOB, "Bay 3")
NOW = {"by": "A", "at": "2031-05-21 10:42"}
CABLE = {
    "length": "supply.length",
    "supply": "supply.voltage",
    "allowed_drop": "supply.allowed_drop",
    "current": "supply.current",
}


def ask(question: str, release: str = RELEASE, **given: Any) -> dict[str, Any]:
    """A question as the page's script asks it: text under names, through the one door."""
    inputs = {name: text if isinstance(text, str) else json.dumps(text) for name, text in given.items()}
    asked = {"calculator": f"job:{question}", "inputs": {"at": NOW["at"], **inputs}, "release": release}
    told: dict[str, Any] = json.loads(browser.answer(json.dumps(asked)))
    return told


def text_of(job: Job) -> str:
    return write_job(job).decode()


def in_form(job: Job, slug: str, paths: dict[str, str]) -> dict[str, str]:
    """The text that the open job puts into a form's fields."""
    told = ask("fields", job=text_of(job), calculator=slug, paths=paths)
    return {name: text for entry in told["inputs"] for name, text in entry["fields"].items()}


def put(job: Job, slug: str, typed: dict[str, str], paths: dict[str, str], **more: Any) -> Job:
    outcome = run_typed(find_calculator(slug), typed)
    assert not outcome.errors
    return jobsheet(job, PutIn(answer=answer_of(outcome, RELEASE), paths=paths, **NOW | more))


def paths_of(run: dict[str, Any]) -> dict[str, str]:
    return {name: value.removeprefix(FACT) for name, value in run["inputs"].items() if value.startswith(FACT)}


def seven_figures(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: seven_figures(entry) for name, entry in value.items()}
    if isinstance(value, list):
        return [seven_figures(entry) for entry in value]
    return f"{value:.7g}" if isinstance(value, float) else value


def test_a_new_job_asks_for_everything_and_holds_nothing() -> None:
    assert set(EMPTY) == {"sheet"}
    worked = work_out(EMPTY, RELEASE)
    assert {run.standing for run in worked.runs.values()} == {"refused"}
    assert (
        worked.runs["delays"].why
        == "not in the job yet: Speakers, Air in the cabin, Step the processor can set"
    )
    assert [line.measured for line in worked.proof] == [None] * len(JOB["sheet"]["proof"])
    assert len(worked.unsigned) == 6
    words = " ".join(word for paper in papers(worked) for word in words_of(paper))
    assert "Tarnholm" not in words
    # Nothing is claimed that nobody has agreed to or measured, and no limit of another vehicle stands.
    says = {paper.name: paper.says for paper in papers(worked)}
    assert (says["order"], says["handover"]) == ("draft, nothing agreed", "not measured yet")
    assert "capacitor" not in words
    assert [line.limit for line in worked.proof if line.name.startswith("Drop of the feed")] == [""]
    with pytest.raises(JobError):
        begun(JOB, "x" * 61)


def test_the_running_job_from_empty_without_typing_any_value_twice() -> None:
    """Each form in the order of the job: what the job knows is carried, the rest is typed, all is put in."""
    job, typed = EMPTY, []
    whole = work_out(JOB, RELEASE)
    for run in JOB["sheet"]["runs"]:
        slug, paths = run["calculator"], paths_of(run)
        carried_in = in_form(job, slug, paths)
        outcome = whole.runs[run["name"]].outcome
        assert outcome is not None
        wanted = {
            name: text
            for entry in outcome.calculator.inputs
            for name, text in entry.kind.write_text(entry.name, plain(outcome.arguments[entry.name])).items()
        }
        by_hand = {name: text for name, text in wanted.items() if name not in carried_in}
        typed += [paths[name] for name in by_hand if name in paths]
        job = put(job, slug, by_hand | carried_in, paths)
    assert len(typed) == len(set(typed)) > 20
    worked = work_out(job, RELEASE)
    assert {run.standing for run in worked.runs.values()} == {"fresh"}
    for name, done in worked.runs.items():  # A field shows nine figures.
        assert done.answer is not None
        first = whole.runs[name].answer
        assert first is not None
        assert seven_figures(done.answer.inputs) == seven_figures(first.inputs)
    feed = next(run for run in job["sheet"]["runs"] if run["name"] == "feed")
    assert feed["inputs"]["current"] == "run:current.peak_current"


@pytest.mark.parametrize("run", JOB["sheet"]["runs"], ids=lambda run: run["name"])
def test_what_a_form_is_filled_with_is_read_back_as_it_was_and_changes_nothing(run: dict[str, Any]) -> None:
    fields = in_form(JOB, run["calculator"], {})
    reading = read_typed(find_calculator(run["calculator"]), fields)
    assert not reading.errors
    known = carried(JOB, run["calculator"], {})
    assert set(known) == set(run["inputs"])
    after = put(JOB, run["calculator"], fields, {})
    assert {name: after[name] for name in after if name != "sheet"} == {
        name: JOB[name] for name in JOB if name != "sheet"
    }
    assert after["sheet"].get("history", []) == []
    again = next(one for one in after["sheet"]["runs"] if one["name"] == run["name"])
    assert (again["inputs"], "answer" in again) == (run["inputs"], True)


def test_a_unit_chosen_in_the_form_is_set_back_with_the_value() -> None:
    calculator = find_calculator("delay")
    typed = in_form(JOB, "delay", {})
    assert typed["temperature:unit"] == "°C"
    assert read_typed(calculator, {"temperature:unit": "°F"} | typed).arguments["temperature"] == 24.0


def test_each_value_put_in_is_in_the_history_and_the_later_one_stands() -> None:
    fresh = JOB | {"sheet": JOB["sheet"] | {"hold_points": []}}
    start = in_form(fresh, "cable", CABLE)
    one = put(fresh, "cable", start | {"length": "6.2"}, CABLE)
    two = put(one, "cable", start | {"length": "6.4", "supply": "13.2"}, CABLE)
    history = two["sheet"]["history"]
    assert [(entry["path"], entry["before"], entry["after"]) for entry in history] == [
        ("supply.length", "5.8", "6.2"),
        ("supply.length", "6.2", "6.4"),
        ("supply.voltage", "13.5", "13.2"),
    ]
    assert two["supply"]["length"] == 6.4
    assert fresh["supply"]["length"] == 5.8


def test_a_value_that_is_still_the_page_s_example_is_told_so() -> None:
    typed = {"current": "50", "length": "4"}
    job = put(EMPTY, "cable", typed, CABLE, example=frozenset({"supply"}), links="keep")
    reasons = {entry["path"]: entry["reason"] for entry in job["sheet"]["history"]}
    assert (reasons["supply.length"], reasons["supply.voltage"]) == ("", EXAMPLE)


def test_an_answer_that_is_carried_stays_one_until_another_value_is_typed() -> None:
    typed = in_form(JOB, "cable", CABLE)
    told = ask("fields", job=text_of(JOB), calculator="cable", paths=CABLE)
    assert [entry["from"] for entry in told["inputs"] if entry["name"] in {"current", "length"}] == [
        "current",
        "",
    ]
    same = put(JOB, "cable", typed, CABLE)
    other = put(JOB, "cable", typed | {"current": "61"}, CABLE, links="cut", reason="a bigger amplifier")
    first, second = (run_of(job, "cable", CABLE)["inputs"]["current"] for job in (same, other))
    assert (first, second) == ("run:current.peak_current", 61.0)
    (entry,) = other["sheet"]["history"]
    assert (entry["path"], entry["before"]) == ("feed.current", '"run:current.peak_current"')
    assert other["supply"]["current"] == 54.0  # The page's fact is another run's affair.


def test_a_link_is_cut_by_a_reason_alone_and_told_until_it_is_linked_again() -> None:
    runs = [run for run in JOB["sheet"]["runs"] if run["name"] in {"current", "feed"}]
    fresh = JOB | {"sheet": JOB["sheet"] | {"hold_points": [], "runs": runs}}
    typed = in_form(fresh, "cable", CABLE) | {"current": "30"}
    given: dict[str, Any] = {"job": text_of(fresh), "calculator": "cable", "paths": CABLE, "fields": typed}
    for more in ({}, {"links": "cut", "by": "A"}, {"links": "cut", "reason": "less"}):
        told = ask("put", **given, **more)
        assert (told["linked"], "job" in told) == (True, False)
        assert "Current follows from the answer “current”" in told["errors"][0]["message"]
    told = ask("put", **given, links="keep")
    assert told["left"] == ["Current"]
    assert current_of(told) == "run:current.peak_current"
    cut = ask("put", **given, links="cut", by="A", reason="one amplifier less")
    assert (current_of(cut), cut["left"]) == (30.0, [])
    (missing,) = (line for line in work_out(read_job(cut["job"].encode()), RELEASE).missing if "feed" in line)
    assert missing.startswith("feed.current: typed over the answer “current”")
    again = {**given, "job": cut["job"], "fields": typed | {"current": "31"}}
    assert ask("put", **again)["linked"]
    linked = ask("put", **again, links="keep")
    assert current_of(linked) == "run:current.peak_current"
    assert work_out(read_job(linked["job"].encode()), RELEASE).cut == []


def current_of(told: dict[str, Any]) -> Any:
    return run_of(read_job(told["job"].encode()), "cable", CABLE)["inputs"]["current"]


def test_the_cable_before_its_current_keeps_its_values_and_waits() -> None:
    given: dict[str, Any] = {"job": text_of(EMPTY), "calculator": "cable", "paths": CABLE}
    typed = {"current": "30", "length": "4"}
    assert ask("put", **given, fields=typed)["linked"]
    for more in ({"links": "keep"}, {"example": ["current"]}):
        told = ask("put", **given, fields=typed, **more)
        job = read_job(told["job"].encode())
        assert (job["supply"]["length"], current_of(told)) == (4.0, "run:current.peak_current")
        assert "answer" not in run_of(job, "cable", CABLE)


def test_a_hold_point_closes_what_a_run_holds_itself_and_an_example_is_no_reason() -> None:
    typed = in_form(JOB, "cable", CABLE)
    for name, text in {"conductor": "copper-clad-aluminium", "length": "3"}.items():
        told = ask(
            "put", job=text_of(JOB), calculator="cable", paths=CABLE, fields=typed | {name: text},
            example=[name], by="A",
        )  # fmt: skip
        assert (told.get("locked"), "job" in told) == (True, False), (name, told["errors"])
    assert [locked_by(JOB, path) for path in ("amplifier.rows", "feeds.map", "levels.crest", "feed")] == [
        "H4", "H4", "H6", "H4",
    ]  # fmt: skip


def test_a_first_reading_needs_no_reason_and_the_next_one_does() -> None:
    paths = {"drains": "battery.drains_after", "capacity": "battery.capacity"}
    surveyed = JOB | {"battery": {name: JOB["battery"][name] for name in ("capacity",)}}
    fields = in_form(JOB, "battery-drain", paths)
    read = put(surveyed, "battery-drain", fields, paths)
    assert read["battery"]["drains_after"] == JOB["battery"]["drains_after"]
    with pytest.raises(LockedError, match="H6 is signed"):
        put(read, "battery-drain", fields | {"drains[0].current": "30"}, paths)


def test_a_form_for_another_fact_is_another_run() -> None:
    paths = {"drains": "battery.drains_before", "capacity": "battery.capacity"}
    before = in_form(JOB, "battery-drain", paths)
    assert "drains[1].current" not in before
    job = put(JOB, "battery-drain", before, paths, reason="as it came")
    runs = [run for run in job["sheet"]["runs"] if run["calculator"] == "battery-drain"]
    assert [run["name"] for run in runs] == ["parked", "battery-drain"]
    assert runs[0]["inputs"]["drains"] == "job:battery.drains_after"


def test_a_second_one_of_a_kind_has_a_name_and_leaves_the_first_as_it_is() -> None:
    typed = {"current": "54", "length": "5.8", "supply": "13.5"}
    parked = [run for run in EMPTY["sheet"]["runs"] if run["name"] == "parked"]
    job = put(EMPTY | {"sheet": EMPTY["sheet"] | {"runs": parked, "proof": []}}, "cable", typed, CABLE)
    for length in ("3", "2.5"):  # Under the same name again it is the same one.
        second = put(job, "cable", typed | {"length": length, "supply": "13.1"}, CABLE, another="Rear  feed")
        assert second["supply"] == job["supply"]
        first, rear = (one for one in second["sheet"]["runs"] if one["calculator"] == "cable")
        assert first == next(one for one in job["sheet"]["runs"] if one["calculator"] == "cable")
        assert (rear["name"], rear["inputs"]["length"]) == ("rear-feed", float(length))
        assert rear["inputs"]["current"] == "job:supply.current", "what is the same stands once"
        job = second
    for name, words in (("Parked", "another answer"), ("7 up", "a letter first"), ("—", "a letter first")):
        with pytest.raises(JobError, match=words):
            put(job, "cable", typed, CABLE, another=name)


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("Zuleitung für die Tür", "zuleitung-für-die-tür"), ("Задний фидер 2", "задний-фидер-2"),
        ("後席", "後席"), ("पीछे की तार", "पीछे-की-तार"), ("\u202erear_feed\u200b", "rear-feed"),
    ],
)  # fmt: skip
def test_a_second_one_is_named_in_any_alphabet(words: str, name: str) -> None:
    typed = {"current": "54", "length": "5.8", "supply": "13.5"}
    job = put(
        EMPTY | {"sheet": EMPTY["sheet"] | {"runs": [], "proof": []}}, "cable", typed, CABLE, another=words
    )
    (run,) = read_job(write_job(job))["sheet"]["runs"]
    assert run["name"] == name
    jsonschema.Draft202012Validator(job_schema({"cable"})).validate(job)


def test_a_second_feed_behind_first_power_asks_why() -> None:
    typed = {"current": "90", "length": "5.8", "supply": "13.5"}
    with pytest.raises(LockedError, match="H4 is signed: give the reason"):
        put(JOB, "cable", typed, {}, another="rear feed")
    job = put(JOB, "cable", typed, {}, another="rear feed", reason="a second amplifier")
    entries = [entry for entry in job["sheet"]["history"] if entry["path"].startswith("rear-feed")]
    assert {(entry["by"], entry["reason"]) for entry in entries} == {("A", "a second amplifier")}
    said = "rear-feed: 70 mm² with a fuse of 125 A is not in the wiring schedule"
    assert [words for words in work_out(job, RELEASE).missing if words.startswith(said)]


def test_behind_a_hold_point_an_answer_goes_in_with_reason_and_initials_alone() -> None:
    typed = in_form(JOB, "cable", CABLE) | {"length": "6.2"}
    with pytest.raises(LockedError, match="H4 is signed"):
        put(JOB, "cable", typed, CABLE)
    with pytest.raises(LockedError, match="give your initials"):
        put(JOB, "cable", typed, CABLE, reason="longer way", by=" ")
    told = ask("put", job=text_of(JOB), calculator="cable", paths=CABLE, fields=typed, by="", reason="")
    assert (told["locked"], "job" in told) == (True, False)
    told = ask(
        "put", job=text_of(JOB), calculator="cable", paths=CABLE, fields=typed, by="A", reason="longer"
    )
    assert read_job(told["job"].encode())["sheet"]["history"][-1]["reason"] == "longer"


def test_a_changed_early_value_makes_later_answers_stale_and_they_are_worked_out_again() -> None:
    stored = kept(work_out(JOB, RELEASE), renew=True)
    typed = in_form(stored, "current-draw", {}) | {"supply": "13.2"}
    paths = {"supply": "supply.voltage"}
    told = ask(
        "put", job=text_of(stored), calculator="current-draw", paths=paths, fields=typed, by="A", reason="x"
    )
    assert [entry["name"] for entry in told["stale"]] == ["feed", "feed-fuse", "wiring"]
    assert [e["name"] for e in ask("stand", job=told["job"])["stale"]] == ["feed", "feed-fuse", "wiring"]
    assert ask("renew", job=told["job"])["locked"]
    again = ask("renew", job=told["job"], by="A", reason="lower supply")
    entries = read_job(again["job"].encode())["sheet"]["history"][1:]
    assert [(entry["path"], entry["by"], entry["reason"]) for entry in entries] == [
        ("feed", "A", "lower supply"), ("feed-fuse", "A", "lower supply"), ("wiring", "A", "lower supply"),
    ]  # fmt: skip
    assert ask("stand", job=again["job"])["stale"] == []


def test_an_answer_that_a_change_takes_away_is_told_with_its_reason() -> None:
    """A slope that a crossover may have, and for which the tweeter's limit has no answer."""
    paths = {"slope": "crossovers.tweeter.slope"}
    limit, join = (example_fields(find_calculator(slug)) for slug in ("tweeter-limit", "crossover"))
    job = ask("put", job=text_of(EMPTY), calculator="tweeter-limit", paths=paths, fields=limit)["job"]
    join |= {"family": "butterworth", "slope": "6"}
    told = ask("put", job=job, calculator="crossover", paths=paths, fields=join)
    (lost,) = told["lost"]
    assert lost["name"] == "tweeter-limit"
    assert "Slope must be one of: 12 dB/oct" in lost["why"]
    assert ask("stand", job=job)["lost"] == []


def test_where_a_changed_job_stands_is_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    fields = in_form(JOB, "battery-drain", {})
    told = ask("put", job=text_of(JOB), calculator="battery-drain", paths={}, fields=fields)
    monkeypatch.setattr(desk, "steps_out", lambda job, release: pytest.fail("it was worked out already"))
    stands = ask("stand", job=told["job"])
    assert (stands["entries"], stands["open"]) == (told["entries"], told["open"])
    worked = work_out(JOB, RELEASE)
    assert worked.failing is worked.failing, "a table of runs asks for it at every line"


def test_the_last_change_is_taken_back_and_stays_on_record() -> None:
    changed = jobsheet(JOB, SetFact(path="plan.days", value=3, **NOW)) if "days" in JOB["plan"] else None
    changed = changed or jobsheet(JOB, SetFact(path="plan.tasks[0].work", value=3.0, **NOW))
    back = jobsheet(changed, TakeBack(before=JOB, **NOW))
    facts = {name: value for name, value in back.items() if name != "sheet"}
    assert facts == {name: value for name, value in JOB.items() if name != "sheet"}
    first, second = back["sheet"]["history"]
    assert (second["before"], second["after"], second["reason"]) == (
        first["after"],
        first["before"],
        TAKEN_BACK,
    )
    fresh = JOB | {"sheet": JOB["sheet"] | {"hold_points": []}}
    signed = jobsheet(fresh, Sign(point="H1", **NOW))
    for more in ({}, {"by": "", "reason": "wrong vehicle"}):  # Nobody takes a signature off without a name.
        with pytest.raises(LockedError):
            jobsheet(signed, TakeBack(before=fresh, **NOW | more))
    unsigned = jobsheet(signed, TakeBack(before=fresh, reason="wrong vehicle", **NOW))
    assert unsigned["sheet"]["history"][-1]["reason"] == f"{TAKEN_BACK}: wrong vehicle"
    assert unsigned["sheet"]["hold_points"] == []
    assert unsigned["sheet"]["history"][-1]["path"] == "hold_points.H1"


def test_a_cell_of_a_table_is_carried_with_its_row_and_stays_with_the_run_where_there_is_no_table() -> None:
    paths = {"measured_voltage": "feeds.map[0].ceiling"}
    feed = ask("fields", job=text_of(JOB), calculator="speaker-level-feed", paths=paths)["inputs"]
    assert [(one["row"], one["fields"]["measured_voltage"]) for one in feed] == [("Front left woofer", "8.4")]
    typed = {"input_limit": "10", "measured_voltage": "7"}
    alone = put(EMPTY, "speaker-level-feed", typed, paths)
    assert alone["sheet"]["runs"][-1]["inputs"]["measured_voltage"] == 7.0
    table = {"feeds[0].name": "Left", "feeds[0].side": "left", "feeds[0].ceiling": "8"}
    job = put(put(EMPTY, "feed-table", table, {"feeds": "feeds.map"}), "speaker-level-feed", typed, paths)
    assert job["feeds"]["map"][0]["ceiling"] == 7.0


def test_an_answer_that_takes_a_cell_is_named_where_another_row_has_come_in_its_place() -> None:
    rows = {"feeds[0].name": "Woofer", "feeds[0].ceiling": "8", "feeds[0].side": "left"}
    more = {"feeds[1].name": "Tweeter", "feeds[1].ceiling": "2", "feeds[1].side": "left"}
    paths = {"measured_voltage": "feeds.map[0].ceiling"}
    job = put(EMPTY, "feed-table", rows | more, {"feeds": "feeds.map"})
    job = put(job, "speaker-level-feed", {"input_limit": "10", "measured_voltage": "8"}, paths)

    def told(typed: dict[str, str]) -> Any:
        asked = {"calculator": "feed-table", "fields": typed, "paths": {"feeds": "feeds.map"}}
        return ask("put", job=text_of(job), **asked)["moved"]

    assert told(rows | more | {"feeds[0].ceiling": "7"}) == []
    title = find_calculator("speaker-level-feed").title
    assert told({name.replace("[1]", "[0]"): text for name, text in more.items()}) == [
        f"{title} took Woofer; now Tweeter stands in that row: look which feed it is."
    ]


def test_a_form_says_whose_place_its_answer_takes() -> None:
    stored = kept(work_out(JOB, RELEASE), renew=True)
    fuse = ask("fields", job=text_of(stored), calculator="fuse", paths={})
    assert fuse["place"] == {"name": "feed-fuse", "figure": "70\xa0A"}
    assert ask("fields", job=text_of(EMPTY), calculator="fuse", paths={})["place"]["figure"] == ""
    assert ask("fields", job=text_of(EMPTY), calculator="limiter", paths={})["place"] is None


def test_a_file_from_elsewhere_says_what_nobody_here_has_checked() -> None:
    for facts in ("{}", '{"name": 1}'):
        assert ask("take", job=facts) == {"advice": [], "files": [], "errors": [], "factsAlone": True}
        assert ask("take", job=facts, sure="yes")["title"] == "Job"
    signed = {"point": "H4", "by": "Q", "at": "2099-01-01 10:00"}
    told = ask("take", job={"sheet": {"version": 2, "title": " ", "hold_points": [signed]}})
    assert (told["title"], told["signed"]) == ("Untitled", ["H4 Q, 2099-01-01 10:00, a day to come"])
    assert told["latest"] == "2099-01-01 10:00"
    assert ask("take", job={"sheet": {"version": 2, "title": "None dated"}})["latest"] == ""


@pytest.mark.parametrize(
    "path", ["sheet.title", "__proto__.x", "geometry.driver[99].distance", "A.b", *HOSTILE]
)
def test_a_path_that_is_none_changes_nothing(path: str) -> None:
    typed = {"current": "50", "length": "4"}
    told = ask(
        "put", job=text_of(JOB), calculator="cable", paths={"length": path}, fields=typed, by="A", reason="x",
        links="cut",
    )  # fmt: skip
    assert told["errors"] or told["title"] == JOB["sheet"]["title"]
    if not told["errors"]:  # The job's own run says where the length stands.
        assert read_job(told["job"].encode())["supply"]["length"] == 4.0


def test_what_is_wrong_is_told_with_its_place_and_nothing_else() -> None:
    for question in desk.QUESTIONS:
        told = ask(
            question,
            job="{",
            calculator="cable",
            fields={"current": "x"},
            title="x",
            point="H1",
            before="{",
            line="x",
            reading="1",
            path="brief.complaints",
            number="",
            cells={},
            what="x",
            why="x",
            accepted="x",
            run="x",
        )
        assert told["errors"][0]["message"], question
        assert "job" not in told
    wrong = ask("put", job=text_of(JOB), calculator="cable", fields={"current": "many"}, by="A", reason="x")
    assert wrong["errors"][0] == {"field": "current", "message": "“many” is not a number."}
    assert drain(desk.told("new", {"job": text_of(JOB), "title": ""}, RELEASE))["errors"] == []


def test_a_desk_erases_who_the_customer_is() -> None:
    told = {"field": "name", "value": "Quillon Asterby"}
    named = text_of(read_job(write_job(EMPTY | {"sheet": EMPTY["sheet"] | {"customer": [told]}})))
    assert ask("stand", job=named)["customer"] is True
    erased = ask("erase", job=named)
    assert "Quillon" not in erased["job"]
    assert ask("stand", job=erased["job"])["customer"] is False
