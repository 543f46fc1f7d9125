"""Plans by the hour: what comes after what by hand, what people and cures make of it by the clock.

The longest chain and the float of a task: Kelley and Walker, 1959. The two jobs of two people were worked out
by hand, each to the quarter of an hour.
"""

from typing import Any

import pytest

from calculators.declaring import Outcome, run_typed, run_values
from calculators.declaring.running import example_fields
from calculators.presenting.values import find_value
from calculators.stages import find_calculator

PLAN = find_calculator("job-hours")


def task(
    name: str, work: float, most: int = 1, after: str = "", least: int = 1, **rest: Any
) -> dict[str, Any]:
    return {"name": name, "work": work, "people_least": least, "people_most": most, "after": after, **rest}


def person(name: str, **rest: Any) -> dict[str, Any]:
    return {"name": name, **rest}


def run(tasks: list[dict[str, Any]], **rest: Any) -> Outcome:
    return run_values(PLAN, {"tasks": tasks, **rest})


def plan(tasks: list[dict[str, Any]], **rest: Any) -> Any:
    outcome = run(tasks, **rest)
    assert outcome.errors == ()
    return outcome.result


def refused(tasks: list[dict[str, Any]], **rest: Any) -> tuple[str, str]:
    (error,) = run(tasks, **rest).errors
    return error.field, error.message


def row(result: Any, name: str) -> Any:
    (found,) = (entry for entry in result.tasks if entry.name == name)
    return found


def two_days(wiring: float) -> list[dict[str, Any]]:
    return [
        task("strip", 2.5, 2), task("doors", 3.5, 1, "strip"), task("floor", 2.0, 1, "strip"),
        task("rings", 3.0, 1, "doors"), task("box", 2.0, 2, "floor"), task("wiring", wiring, 1, "strip"),
        task("pick-up", 1.5, 2, "strip"), task("refit", 2.5, 2, "rings, box, wiring, pick-up"),
        task("first power", 1.5, 2, "refit"), task("tune", 3.5, 1, "first power"),
        task("proof", 1.5, 2, "tune"), task("handover", 1.0, 1, "proof"),
    ]  # fmt: skip


def whole_job() -> list[dict[str, Any]]:
    alone = {"needs": "vehicle-alone"}
    return [
        task("strip", 2.5, 2, least=2), task("doors", 3.5, 1, "strip"), task("floor", 2.5, 1, "strip"),
        task("feed", 2.5, 1, "strip"), task("boots", 2.0, 1, "strip"), task("pick-up", 1.5, 1, "strip"),
        task("rings", 1.5, 1, "doors"), task("box", 2.0, 1, "floor"),
        task("hose", 1.0, 2, "rings, boots", least=2),
        task("checks", 3.0, 2, "hose, feed, box, pick-up", least=2), task("refit", 2.5, 2, "checks", least=2),
        task("flatten", 1.0, 1, "refit", **alone), task("gain", 1.0, 1, "flatten", **alone),
        task("tune", 2.5, 1, "gain", **alone),
    ]  # fmt: skip


PROOF = [
    task("cold start", 0.25), task("presets", 1.0, 1, "cold start"), task("measured", 0.75, 1, "presets"),
    task("by ear", 1.5, 2, "measured", least=2), task("rattles", 1.0, 2, "by ear", least=2),
    task("road", 2.0, 2, "rattles", least=2), task("noise", 0.5, 1, "road"), task("heat", 1.0, 1, "noise"),
    task("handover", 1.0, 1, "heat"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("tasks", "chain", "elapsed", "work"),
    [
        (two_days(2.5), 15.0, 15.75, 27.0),
        (two_days(4.5), 15.0, 16.75, 29.0),
        (whole_job(), 14.0, 17.0, 29.0),
        (PROOF, 6.75, 6.75, 9.0),
    ],
    ids=["looms on the bench", "all wiring in the bay", "with all the steps", "proof"],
)
def test_jobs_of_two_people(tasks: list[dict[str, Any]], chain: float, elapsed: float, work: float) -> None:
    result = plan(tasks)
    assert (result.longest_chain, result.elapsed, result.work) == (chain, elapsed, work)


def test_one_person_does_it_all_one_after_the_other() -> None:
    assert plan(two_days(2.5), people=[person("A")]).elapsed == 27.0


def test_one_charger_is_at_one_task_at_a_time() -> None:
    tasks = [task("a", 2.0, needs="charger"), task("b", 2.0, needs="Charger"), task("c", 2.0)]
    result = plan(tasks)
    assert result.elapsed == 4.0
    times = {row(result, name).begins for name in "ab"}
    assert times == {"day 1, 8:00", "day 1, 10:00"}
    assert {row(result, "a").held_by, row(result, "b").held_by} & {"charger: a", "charger: b"}


def test_alone_with_the_vehicle_others_work_at_the_bench_only() -> None:
    tasks = [task("tune", 2.0, needs="vehicle-alone"), task("trim", 1.0), task("loom", 1.0, place="bench")]
    result = plan(tasks)
    assert result.elapsed == 3.0
    assert row(result, "loom").begins == "day 1, 8:00"
    quiet = [entry | {"needs": "quiet"} if entry["name"] == "tune" else entry for entry in tasks]
    assert row(plan(quiet), "tune").begins in {"day 1, 9:00", "day 1, 8:00"}
    assert plan(quiet).elapsed == 3.0


DAY = {"people": [person("A", day_start=8, day_end=17, break_length=0)]}


@pytest.mark.parametrize(
    ("wait", "starts", "first"),
    [(12.0, "day 2, 8:00", "monday"), (16.0, "day 2, 9:00", "monday"), (12.0, "day 4, 8:00", "friday")],
)
def test_a_cure_runs_through_nights_and_weekends(wait: float, starts: str, first: str) -> None:
    result = plan([task("glue", 9.0, waits=wait), task("next", 1.0, 1, "glue")], first_day=first, **DAY)
    assert row(result, "glue").finishes == "day 1, 17:00"
    assert row(result, "next").begins == starts
    assert row(result, "next").held_by == f"glue, {wait:g} h by itself"
    assert [(night.night, night.name) for night in result.nights] == [("day 1", "glue")]


def test_a_job_is_ready_when_its_last_cure_is_over() -> None:
    assert plan([task("glue", 9.0, waits=16.0)], **DAY).ends == "day 2, 9:00"


def test_what_is_longer_than_the_day_is_split_or_moved() -> None:
    tasks = [task("a", 6.0), task("b", 4.0, 1, "a")]
    assert row(plan(tasks, **DAY), "b").begins == "day 1, 14:00"
    assert row(plan(tasks, **DAY), "b").finishes == "day 2, 9:00"
    moved = plan([tasks[0], tasks[1] | {"whole": True}], **DAY)
    assert (row(moved, "b").begins, row(moved, "b").finishes) == ("day 2, 8:00", "day 2, 12:00")
    assert refused([task("c", 10.0, whole=True)], **DAY) == (
        "tasks[0].work",
        "c: no day is long enough for it.",
    )


def test_two_people_of_whom_one_is_away_is_not_possible() -> None:
    field, words = refused([task("strip", 2.0, 2, least=2)], people=[person("A"), person("B", away=True)])
    assert field == "tasks[0].people_least"
    assert words == "strip needs 2 people, and 1 of those who may do it is here: not possible."


def test_a_hold_point_is_signed_by_somebody_else() -> None:
    tasks = [task("feed", 1.0, by="A"), task("H4", 0.5, 1, "feed", by="not feed")]
    assert row(plan(tasks), "H4").who == "B"
    assert refused(tasks, people=[person("A")])[0] == "tasks[1].by"
    both = [task("strip", 2.0, 2, least=2), task("H2", 0.5, 1, by="not strip")]
    assert row(plan(both), "H2").who in {"A", "B"}  # Each checks at the other's side.


def test_a_circle_is_named_with_both_and_an_unknown_name_too() -> None:
    field, words = refused([task("a", 1, 1, "b"), task("b", 1, 1, "a")])
    assert field.endswith(".after")
    assert sorted(words.removesuffix(" wait for each other.").split(" and ")) == ["a", "b"]
    assert refused([task("a", 1, 1, "a")])[1] == "a waits for itself."
    assert refused([task("a", 1, 1, "z")]) == ("tasks[0].after", "There is no task called “z”.")
    assert refused([task("a", 1, by="Z")]) == ("tasks[0].by", "Nobody is called “Z”.")


def test_a_milestone_takes_no_time_and_nobody() -> None:
    result = plan([task("a", 2.0), task("H1", 0, 1, "a"), task("b", 1.0, 1, "H1")])
    assert (row(result, "H1").who, row(result, "H1").begins) == ("nobody", row(result, "a").finishes)
    assert result.elapsed == 3.0


def test_three_times_a_tenth_of_an_hour_is_three_tenths() -> None:
    tasks = [task("a", 0.1), task("b", 0.1, 1, "a"), task("c", 0.1, 1, "b")]
    assert plan(tasks).elapsed == 0.3
    assert plan(tasks).work == 0.3
    assert row(plan(tasks), "c").finishes == "day 1, 8:18"


def test_two_chains_as_long_are_both_marked() -> None:
    result = plan([task("a", 2.0), task("b", 2.0), task("c", 1.0), task("end", 1.0, 1, "a, b, c")])
    assert [entry.critical for entry in result.tasks] == [True, True, False, True]
    assert [entry.slack for entry in result.tasks] == [0.0, 0.0, 1.0, 0.0]


def test_a_break_in_the_middle_of_a_task() -> None:
    result = plan([task("a", 5.0, whole=True)], people=[person("A", break_at=12, break_length=0.5)])
    assert (row(result, "a").begins, row(result, "a").finishes) == ("day 1, 8:00", "day 1, 13:30")
    assert result.elapsed == 5.0


@pytest.mark.parametrize(("change", "starts"), [(0.0, "9:00"), (1.0, "10:00"), (-1.0, "8:00")])
def test_hours_are_counted_where_the_clock_changes(change: float, starts: str) -> None:
    tasks = [task("glue", 9.0, waits=16.0), task("next", 1.0, 1, "glue")]
    result = plan(tasks, clock_change=change, **DAY)
    assert row(result, "next").begins == f"day 2, {starts}"


def test_sixty_tasks_have_a_plan() -> None:
    tasks = [task(f"t{n}", 1 + n % 5, 2, f"t{n - 7}" if n > 6 else "") for n in range(60)]
    result = plan(tasks)
    assert result.elapsed * 2 == pytest.approx(result.work, abs=0.5)


def test_finished_tasks_stay_and_the_rest_moves() -> None:
    tasks = [task("a", 2.0), task("b", 2.0, 1, "a"), task("c", 2.0, 1, "b")]
    before = plan(tasks, people=[person("A")])
    later = [tasks[0] | {"used": 3.0}, *tasks[1:]]
    after = plan(later, people=[person("A")])
    assert row(after, "a").begins == row(before, "a").begins
    assert (row(after, "b").begins, row(before, "b").begins) == ("day 1, 11:00", "day 1, 10:00")
    done = [later[0], tasks[1] | {"used": 1.0}, tasks[2]]
    longer = [*done[:2], tasks[2] | {"work": 4.0}]
    for name in "ab":
        assert (row(plan(done), name).begins, row(plan(done), name).finishes) == (
            row(plan(longer), name).begins,
            row(plan(longer), name).finishes,
        )
    assert refused([tasks[0], tasks[1] | {"used": 1.0}])[0] == "tasks[1].used"


def test_hours_far_from_those_planned_are_told() -> None:
    """The shop's own measure, 10 %: common practice, no source."""
    tasks = [task("a", 2.0), task("b", 3.0), task("c", 2.0)]

    def told(*used: float) -> list[str]:
        done = [entry | {"used": hours} for entry, hours in zip(tasks, used, strict=False)]
        result = plan([*done, *tasks[len(done) :]])
        return [entry.message for entry in result.advice if entry.about == "work"]

    assert told() == told(2.0) == told(2.2) == told(2.5, 2.75) == []
    assert told(3.0) == [
        "What is finished took 3 h where 2 h were planned, 50 % more: the next quote wants the hours it took."
    ]
    assert "4 h where 5 h were planned, 20 % less" in told(2.0, 2.0)[0]
    assert told(0.0) == told(2.0, 0.0) == [], "what took no time says nothing about the next quote"


def test_the_plan_is_never_worse_than_the_list() -> None:
    """By hand: one after the other on the first who is free."""
    tasks = [task("a", 3.0), task("b", 3.0), task("c", 2.0), task("d", 2.0), task("e", 2.0)]
    assert plan(tasks).elapsed == 6.0  # In the order typed: 7.0.


def test_a_form_is_read_like_the_values() -> None:
    fields = example_fields(PLAN)
    assert find_value(run_typed(PLAN, fields | {"tasks[0].work": "2,5"}), "work")[1] == 16.0
