"""A plan of a job by the hour: who does what when, what each task waits for, and what a night is for."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from calculators.declaring import (
    Advice,
    Choice,
    Drawing,
    Number,
    Output,
    OutputDrawing,
    OutputFlag,
    OutputRows,
    OutputText,
    Rows,
    Steps,
    Working,
    calculator,
)
from calculators.declaring.quantities import COUNT, HOURS
from calculators.vocabulary.job_bars import bars
from calculators.vocabulary.job_clock import WEEK, Clock, clock_of, nights
from calculators.vocabulary.job_plan import Placed, best_plan, chains, ends, held_apart, ready_at, tries_for
from calculators.vocabulary.job_tasks import Person, Task, jobs_of

Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
MOST_OFF = 10.0
"""Per cent by which hours used may differ from hours quoted; common practice, no source."""
TWO = (Person(name="A"), Person(name="B"))


@dataclass(frozen=True, kw_only=True)
class TaskPlanned:
    """One task with its time and its people."""

    number: Annotated[str, OutputText("No.")]
    name: Annotated[str, OutputText("Task")]
    begins: Annotated[str, OutputText("Starts")]
    finishes: Annotated[str, OutputText("Ends")]
    who: Annotated[str, OutputText("Who")]
    held_by: Annotated[str, OutputText("Waits for")]
    slack: Annotated[float, Output("Float, with people enough and no cures", HOURS, decimals=2)]
    critical: Annotated[bool, OutputFlag("On the longest chain", yes="yes", no="–")]


@dataclass(frozen=True, kw_only=True)
class NightPlanned:
    """What runs by itself over a night, and must be ready for it."""

    night: Annotated[str, OutputText("Night after")]
    name: Annotated[str, OutputText("Done the evening before")]
    until: Annotated[str, OutputText("Waits until")]


@dataclass(frozen=True, kw_only=True)
class PersonPlanned:
    """One person's hours."""

    name: Annotated[str, OutputText("Who")]
    hours: Annotated[float, Output("Works", HOURS, decimals=2)]
    idle: Annotated[float, Output("Is free between first and last task", HOURS, decimals=2)]


@dataclass(frozen=True, kw_only=True)
class JobHours:
    """The plan, and how long it takes."""

    ends: Annotated[str, OutputText("Ready", main=True)]
    elapsed: Annotated[float, Output("With these people", HOURS, decimals=2)]
    longest_chain: Annotated[float, Output("Longest chain of tasks", HOURS, decimals=2)]
    work: Annotated[float, Output("Person-hours", HOURS, decimals=2)]
    days_worked: Annotated[float, Output("Days on which somebody works", COUNT, decimals=0)]
    chart: Annotated[Drawing, OutputDrawing("By the hour")]
    tasks: Annotated[tuple[TaskPlanned, ...], OutputRows("Plan", copy=True)]
    nights: Annotated[tuple[NightPlanned, ...], OutputRows("Over night")]
    people: Annotated[tuple[PersonPlanned, ...], OutputRows("By person")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Job plan by the hour",
    example={
        "tasks": [
            {"name": "Strip", "work": 2.5, "people_least": 2, "people_most": 2},
            {"name": "Doors", "work": 3.5, "after": "Strip", "waits": 12},
            {"name": "Floor", "work": 2.5, "after": "Strip"},
            {"name": "Feed", "work": 2.5, "after": "Strip"},
            {"name": "Refit", "work": 2.5, "people_most": 2, "after": "Doors, Floor, Feed"},
            {"name": "Tune", "work": 2.5, "after": "Refit", "needs": "vehicle-alone", "whole": True},
        ]
    },
    sources=("kelley-walker", "eu-2003-88", "common-practice"),
    cautions=("S20",),
)
def job_hours(
    *,
    tasks: Annotated[tuple[Task, ...], Rows("Tasks", "task", at_most=60, fold=True)],
    people: Annotated[tuple[Person, ...], Rows("People", "person", at_most=4)] = TWO,
    first_day: Annotated[Weekday, Choice("First day", {day: day.capitalize() for day in WEEK})] = "monday",
    days_a_week: Annotated[
        float, Number("Working days a week, from Monday", COUNT, 1, 7, whole=True, seldom=True)
    ] = 5.0,
    clock_change: Annotated[
        float,
        Number("Clock goes forward in a night by", HOURS, -1, 1, seldom=True, help="Back: −1. None: 0."),
    ] = 0.0,
    clock_change_after: Annotated[
        float, Number("In the night after day", COUNT, 1, 400, whole=True, seldom=True)
    ] = 1.0,
) -> Steps[JobHours]:
    """Every task gets people and a time, near the shortest plan that there is.

    Work is in person-hours: two people halve the time of a task that may have two. A cure or a log that
    waits by itself goes on through nights and weekends. Work is interrupted by breaks and nights, unless it
    must not be split. The longest chain counts what comes after what, and no cures; the plan is longer,
    for there are only so many people. It is near-best, found by trying, and never worse than the order
    typed. Finished tasks keep the hours they took; the rest moves.
    """  # fmt: skip
    clock = clock_of(people, first_day, int(days_a_week), clock_change, int(clock_change_after))
    jobs = jobs_of(tasks, people)
    plan: tuple[Placed, ...] = ()
    for count, better in enumerate(best_plan(jobs, clock), 1):
        plan = better
        yield Working("Trying orders", count / tries_for(len(jobs)))
    heads, tails = chains(jobs)
    chain = max(tails, default=0)
    present = [place for place, person in enumerate(people) if not person.away]
    begin, end = min(entry.start for entry in plan), ends(plan)
    rows = tuple(
        TaskPlanned(
            number=str(entry.job.place + 1),
            name=entry.job.name,
            begins=_when(clock, entry.start, starts=True),
            finishes=_when(clock, entry.end),
            who=", ".join(people[person].name.strip() for person in entry.team) or "nobody",
            held_by=_held_by(entry, plan, clock),
            slack=(chain - heads[place] - tails[place]) / 60,
            critical=heads[place] + tails[place] == chain,
        )
        for place, entry in enumerate(plan)
    )
    elapsed = clock.open_minutes(present, begin, end)
    return JobHours(
        ends=_when(clock, ready_at(plan)),
        elapsed=elapsed / 60,
        longest_chain=chain / 60,
        work=sum(job.minutes for job in jobs) / 60,
        days_worked=float(len({day for entry in plan for day in _days(entry, clock)})),
        chart=bars(plan, clock, _spoken(rows)),
        tasks=rows,
        nights=_nights(plan, clock),
        people=tuple(_person(person, plan, clock) for person in present),
        advice=(*_advice(plan, clock, elapsed, chain), *_took(tasks)),
    )


def _when(clock: Clock, minute: int, *, starts: bool = False) -> str:
    """Day and time as the clock shows it."""
    day = clock.day_of(minute + 1 if starts else minute)
    hour, rest = divmod(minute - clock.midnight(day), 60)
    return f"day {day + 1}, {hour}:{rest:02}"


def _days(entry: Placed, clock: Clock) -> range:
    if not entry.team:
        return range(0)
    return range(clock.day_of(entry.start + 1), clock.day_of(entry.end) + 1)


def _held_by(entry: Placed, plan: Sequence[Placed], clock: Clock) -> str:
    """Why a task does not start sooner: a task or a cure before it, a tool, or a person."""
    if not entry.team:
        return "tasks before it" if entry.job.after else "nothing"
    minutes = entry.job.lasts(len(entry.team))
    before = [plan[place] for place in entry.job.after]
    last = max(before, key=lambda other: other.ready, default=None)
    ready = clock.opens if last is None else last.ready
    if clock.work(entry.team, ready, minutes, entry.job.whole)[0] >= entry.start:
        if last is None:
            return "nothing"
        return f"{last.job.name}, {last.job.wait / 60:g} h by itself" if last.job.wait else last.job.name
    for other in plan:
        apart = held_apart(entry.job, other.job) if other is not entry else ""
        if apart and ready < other.end <= entry.start:
            later = clock.work(entry.team, other.end, minutes, entry.job.whole)[0]
            if later >= entry.start:
                return f"{apart}: {other.job.name}"
    return "a person"


def _nights(plan: Sequence[Placed], clock: Clock) -> tuple[NightPlanned, ...]:
    """What must be done before people go home, because it waits through the night."""
    return tuple(
        NightPlanned(
            night=f"day {day + 1}", name=entry.job.name, until=_when(clock, entry.ready, starts=True)
        )
        for entry in sorted(plan, key=lambda entry: (entry.end, entry.job.place))
        if entry.job.wait
        for day in nights(clock, entry.end, entry.ready)[:1]
    )


def _person(person: int, plan: Sequence[Placed], clock: Clock) -> PersonPlanned:
    own = [entry for entry in plan if person in entry.team]
    works = sum(entry.job.lasts(len(entry.team)) for entry in own)
    start, end = min((e.start for e in own), default=0), max((e.end for e in own), default=0)
    return PersonPlanned(
        name=clock.people[person].name.strip(),
        hours=works / 60,
        idle=max(0, clock.open_minutes((person,), start, end) - works) / 60,
    )


def _spoken(rows: Sequence[TaskPlanned]) -> str:
    """The picture in words."""
    said = "; ".join(f"{row.number} {row.name}, {row.who}, {row.begins} to {row.finishes}" for row in rows)
    return f"Bars by the hour, a strip for each person: {said}."


def _took(tasks: Sequence[Task]) -> tuple[Advice, ...]:
    """How far the hours of finished tasks are off those planned, where that is more than a tenth.

    A task finished in no time, as a cure or one that was not needed, says nothing about the next quote.
    """
    done = [(task.used, task.work) for task in tasks if task.used]
    used, planned = (sum(hours) for hours in zip(*done, strict=True)) if done else (0.0, 0.0)
    off = round(100 * (used / planned - 1), 6) if planned else 0.0
    if abs(off) <= MOST_OFF:
        return ()
    words = f"{used:g} h where {planned:g} h were planned, {abs(off):.0f} % {'more' if off > 0 else 'less'}"
    return (Advice("work", f"What is finished took {words}: the next quote wants the hours it took."),)


def _advice(plan: Sequence[Placed], clock: Clock, elapsed: int, chain: int) -> tuple[Advice, ...]:
    """What a plan on paper leaves out."""
    found = []
    if elapsed > chain:
        found.append(
            Advice(
                "longest_chain", "The chain is shorter than the plan: people or tools are what it waits for."
            )
        )
    late = [
        entry.job.name
        for entry in plan
        if entry.team
        and entry.end == max(span[1] for span in clock.spans(entry.team, clock.day_of(entry.end)))
    ]
    if late:
        found.append(
            Advice("tasks", f"Ends with the working day, with nothing to spare: {', '.join(late[:3])}.")
        )
    return tuple(found)
