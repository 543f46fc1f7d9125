"""What a job holds only because a page showed it: told as an example's until somebody types or agrees."""

import csv
from io import StringIO
from typing import Any

import pytest

from calculators.declaring import example_fields
from calculators.job.changing import Sign, TakeBack, jobsheet
from calculators.job.examples import OF_EXAMPLE, examples_in
from calculators.job.papers import ON_CARD, SHOP_LISTS, papers
from calculators.job.parts import parts_csv
from calculators.job.reading import Job, JobError
from calculators.job.working import work_out
from calculators.stages import find_calculator
from tests.job.sheet_words import words_of
from tests.job.test_carrying import CABLE, EMPTY, NOW, RELEASE, ask, in_form, put, text_of


def examples(job: Job, slug: str, paths: dict[str, str]) -> set[str]:
    """The inputs of a form that the job holds by a page's example."""
    told = ask("fields", job=text_of(job), calculator=slug, paths=paths)
    return {entry["name"] for entry in told["inputs"] if entry["example"]}


def rests_on_example(told: dict[str, Any]) -> set[str]:
    """The inputs of a form that follow from an answer with values of an example."""
    return {entry["name"] for entry in told["inputs"] if entry["rests_on_example"]}


def csv_rows(job: Job) -> list[list[str]]:
    """The table of parts."""
    return list(csv.reader(StringIO(parts_csv(work_out(job, RELEASE)).decode())))


def test_an_example_in_the_job_is_told_as_one_until_a_value_is_typed() -> None:
    paths = {"speakers": "geometry.measured", "temperature": "geometry.temperature"}
    typed = {"speakers[0].name": "L", "speakers[0].distance": "80"}
    typed |= {"speakers[1].name": "R", "speakers[1].distance": "95", "temperature": "24"}
    shown = frozenset({"temperature", "sample_rate"})
    first = put(EMPTY, "delay", typed, paths, example=shown)
    assert examples(first, "delay", paths) == {"temperature"}
    # On another form too, put in again as it stands there, and with a reason.
    air = {"temperature": "geometry.temperature"}
    assert examples(first, "sound-speed", air) == {"temperature"}
    again = put(first, "sound-speed", {"temperature": "24"}, air, example=frozenset({"temperature"}))
    assert examples(again, "delay", paths) == {"temperature"}
    reasoned = put(EMPTY, "delay", typed, paths, example=shown, reason="a start")
    assert examples(reasoned, "delay", paths) == {"temperature"}
    # Typed, be it the same, it is the reader's; taken back, it is not.
    other = put(first, "delay", typed | {"temperature": "20"}, paths)
    same = put(first, "delay", typed, paths)
    back = jobsheet(other, TakeBack(before=first, **NOW))
    found = [examples(job, "delay", paths) for job in (other, same, back)]
    assert found == [set(), set(), {"temperature"}]
    # Rows as a page showed them, and a value that is of the run alone.
    rows = put(EMPTY, "delay", typed, paths, example=frozenset({"speakers"}))
    assert examples(rows, "delay", paths) == {"speakers"}
    own = put(EMPTY, "sound-speed", {"temperature": "21"}, {}, example=frozenset({"temperature"}))
    assert examples(own, "sound-speed", {}) == {"temperature"}


def warned(job: Job) -> list[str]:
    """The customer's sheets that say of themselves that they hold something of an example."""
    sheets = [paper for paper in papers(work_out(job, RELEASE)) if paper.to_customer]
    return [paper.name for paper in sheets if {SHOP_LISTS, ON_CARD} & set(words_of(paper))]


def test_a_shop_s_sheet_says_in_words_what_is_of_an_example_and_nobody_s() -> None:
    paths = {"temperature": "geometry.temperature"}
    typed = {"speakers[0].name": "L", "speakers[0].distance": "80"}
    typed |= {"speakers[1].name": "R", "speakers[1].distance": "95", "temperature": "24"}
    first = put(EMPTY, "delay", typed, paths, example=frozenset({"temperature", "speakers"}))
    line = "Delay by distance: Speakers; Air in the cabin"
    for paper in papers(work_out(first, RELEASE)):
        if not paper.to_customer:
            assert list(words_of(paper))[1:3] == [OF_EXAMPLE, line]
    assert warned(first) == []  # None of them has a delay.
    assert csv_rows(first)[-3:] == [[], [OF_EXAMPLE], [line]]
    own = put(first, "delay", typed | {"temperature": "20"}, paths, example=frozenset({"speakers"}))
    (plan,) = (paper for paper in papers(work_out(own, RELEASE)) if paper.name == "bay-plan")
    assert "Delay by distance: Speakers" in words_of(plan)
    none = put(own, "delay", typed | {"speakers[0].distance": "81", "temperature": "20"}, paths)
    for paper in papers(work_out(none, RELEASE)):
        assert {OF_EXAMPLE, ON_CARD}.isdisjoint(words_of(paper))
    assert [OF_EXAMPLE] not in csv_rows(none)


def test_a_customer_s_sheet_warns_of_an_example_only_where_it_would_read_otherwise_without() -> None:
    quote = find_calculator("quote")
    typed = example_fields(quote)
    lines = put(EMPTY, "quote", typed, {}, example=frozenset({"lines"}))
    assert warned(lines) == ["order"]
    (order,) = (paper for paper in papers(work_out(lines, RELEASE)) if paper.name == "order")
    assert list(words_of(order))[1:3] == [OF_EXAMPLE, SHOP_LISTS]
    # A field that stands empty is the example's of nobody.
    undated = put(EMPTY, "quote", typed | {"quoted_on": ""}, {}, example=frozenset({"quoted_on"}))
    assert examples_in(undated) == ()
    assert warned(undated) == []
    # A fact that a sheet prints by itself.
    paths = {"usual_level": "brief.usual_level"}
    power = find_calculator("level-budget")
    level = put(EMPTY, power.slug, example_fields(power), paths, example=frozenset(paths))
    assert warned(level) == ["handover"]
    # A limit of the proof, and a fuse.
    draws = find_calculator("current-draw")
    current = put(EMPTY, draws.slug, example_fields(draws), {}, example=frozenset({"amplifiers"}))
    limit = {"name": "Current", "unit": "A", "measured": 20.0, "most": "run:current.peak_current"}
    assert warned(current | {"sheet": current["sheet"] | {"proof": [limit]}}) == ["handover"]
    runs = find_calculator("wiring-schedule")
    fuses = put(EMPTY, runs.slug, example_fields(runs), {}, example=frozenset({"runs"}))
    assert warned(fuses) == ["handover", "glove-box-card"]


def test_what_follows_from_an_answer_that_holds_an_example_is_told_with_that_answer() -> None:
    amplifiers = {"amplifiers": "amplifier.rows", "supply": "supply.voltage"}
    draws = example_fields(find_calculator("current-draw"))
    shown = frozenset({"amplifiers"})
    first = put(EMPTY, "current-draw", draws, amplifiers, example=shown)
    feed = put(first, "cable", in_form(first, "cable", CABLE) | {"length": "4"}, CABLE)
    form = {"calculator": "cable", "paths": CABLE}
    assert rests_on_example(ask("fields", job=text_of(feed), **form)) == {"current"}
    assert examples(feed, "cable", CABLE) == set()  # Nobody can say of it in this form that it is theirs.
    follows = "Cable size: Current, which follows from “current”"
    (plan,) = (paper for paper in papers(work_out(feed, RELEASE)) if paper.name == "bay-plan")
    assert follows in words_of(plan)
    assert [line for line in examples_in(feed) if line.startswith(("Current", "Cable", "Fuse"))] == [
        "Current of the system: Amplifiers",
        follows,
        "Fuse for a cable: Current of the load, which follows from “current”; "
        "Cable, which follows from “feed”",
    ]
    own = put(feed, "current-draw", draws, amplifiers)
    assert examples_in(own) == ()
    assert rests_on_example(ask("fields", job=text_of(own), **form)) == set()


def test_two_runs_of_a_calculator_are_told_apart_by_their_names() -> None:
    shown = frozenset({"temperature"})
    first = put(EMPTY, "sound-speed", {"temperature": "21"}, {}, example=shown)
    both = put(first, "sound-speed", {"temperature": "9"}, {}, example=shown, another="In winter")
    assert [line.partition(":")[0] for line in examples_in(both)] == [
        "Speed of sound “sound-speed”",
        "Speed of sound “in-winter”",
    ]
    assert [line.partition(":")[0] for line in examples_in(first)] == ["Speed of sound"]


def test_a_job_kept_long_ago_says_in_its_own_words_what_is_an_example() -> None:
    """Written out: files on readers' devices hold these words, whatever the code calls them by now."""

    def history(*left: tuple[str, str]) -> list[dict[str, str]]:
        place = {"path": "geometry.temperature", "before": "", "by": "A", "at": "2026-05-21 10:42"}
        return [{**place, "after": after, "reason": reason} for after, reason in left]

    def kept(*left: tuple[str, str]) -> Job:
        return {
            **EMPTY,
            "geometry": {"temperature": 21.0},
            "sheet": {**EMPTY["sheet"], "history": history(*left)},
        }

    shown = ("21.0", "the page's example, kept as it was")
    paths = {"temperature": "geometry.temperature"}
    assert examples(kept(shown), "sound-speed", paths) == {"temperature"}
    assert examples(kept(shown, ("25.0", ""), ("21.0", "taken back")), "sound-speed", paths) == {
        "temperature"
    }
    assert examples(kept(shown, ("25.0", ""), ("21.0", "")), "sound-speed", paths) == set()


def test_a_signature_over_values_of_an_example_names_them_and_wants_a_reason() -> None:
    quote = find_calculator("quote")
    shown = frozenset(entry.name for entry in quote.inputs)
    typed = example_fields(quote)
    job = put(EMPTY, "quote", typed, {}, example=shown)
    first = {"job": text_of(job), "point": "H1", "by": "B"}
    point = ask("stand", job=first["job"])["open"][0]
    (line,) = (words for words in point["lines"] if words.startswith("quote: "))
    assert (point["stops"], point["of_example"]) == ([], True)
    assert f". {OF_EXAMPLE} (" in line
    assert "Lines" in line
    for reason in ("", " "):
        (fault,) = ask("sign", **first, reason=reason)["errors"]
        assert "H1 closes values of the page's example: type this vehicle's own" in fault["message"]
    with pytest.raises(JobError, match="give the reason why"):
        jobsheet(job, Sign(point="H1", by="B", at=NOW["at"]))
    done = jobsheet(job, Sign(point="H1", by="B", at=NOW["at"], reason=" a price by hand "))
    last = done["sheet"]["history"][-1]
    assert (last["path"], last["by"], last["reason"]) == ("hold_points.H1", "B", "a price by hand")
    assert ask("sign", **first, reason="a price by hand")["errors"] == []
    # Typed, it is signed as any other, and the history has no line of it.
    own = put(EMPTY, "quote", typed, {})
    point = ask("stand", job=text_of(own))["open"][0]
    assert not point["of_example"]
    assert OF_EXAMPLE not in " ".join(point["lines"])
    signed = jobsheet(own, Sign(point="H1", by="B", at=NOW["at"]))
    assert signed["sheet"].get("history") == own["sheet"].get("history")
