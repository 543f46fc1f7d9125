"""The tasks of a job and the people who do it: as they are typed, and as a plan works with them.

A plan counts whole minutes from the midnight before its first day, so that three times 0.1 h is 0.3 h.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from math import ceil
from re import split
from typing import Annotated, Literal

from calculators.declaring import Choice, Flag, InputError, Number, Text
from calculators.declaring.quantities import COUNT, HOURS
from calculators.vocabulary.names import name_key

Place = Literal["bench", "bay", "road"]
ALONE, QUIET = "vehicle-alone", "quiet"
"""Things a task needs that keep others away: from the vehicle, or from work of any kind."""
NOT = "not "


@dataclass(frozen=True, kw_only=True)
class Task:
    """One task, as it is typed."""

    name: Annotated[str, Text("Task", longest=40)]
    work: Annotated[float, Number("Work", HOURS, 0, 200, usual=(0, 16), help="Hours of one person.")]
    people_least: Annotated[float, Number("People, at least", COUNT, 1, 4, whole=True)] = 1.0
    people_most: Annotated[float, Number("People, at most", COUNT, 1, 4, whole=True)] = 1.0
    after: Annotated[str, Text("After", longest=200, help="Names of tasks, with commas.")] = ""
    waits: Annotated[
        float, Number("Then waits by itself", HOURS, 0, 400, usual=(0, 72), help="A cure, a sleep log.")
    ] = 0.0
    needs: Annotated[
        str,
        Text(
            "Needs", longest=80,
            help="Charger, lift, microphone, with commas: one task at a time has each. "
            f"“{ALONE}”: nobody else works at the vehicle. “{QUIET}”: nobody else works at all.",
        ),
    ] = ""  # fmt: skip
    by: Annotated[
        str, Text("By", longest=40, help="A name; or “not” and a task: whoever did not do that task.")
    ] = ""
    whole: Annotated[bool, Flag("Not split over a night")] = False
    place: Annotated[Place, Choice("Where", {"bench": "bench", "bay": "bay", "road": "road"})] = "bay"
    used: Annotated[
        float | None, Number("Finished: hours it took", HOURS, 0, 200, optional=True, empty="not yet done")
    ] = None


@dataclass(frozen=True, kw_only=True)
class Person:
    """One person's day, as it is typed."""

    name: Annotated[str, Text("Name", longest=20)]
    day_start: Annotated[float, Number("From", HOURS, 0, 24, usual=(6, 10))] = 8.0
    day_end: Annotated[float, Number("To", HOURS, 0, 24, usual=(15, 20))] = 17.0
    break_at: Annotated[float, Number("Break at", HOURS, 0, 24, usual=(11, 14))] = 12.0
    break_length: Annotated[float, Number("Break", HOURS, 0, 4, usual=(0.5, 1))] = 0.5
    away: Annotated[bool, Flag("Away")] = False


@dataclass(frozen=True)
class Job:
    """A task as a plan works with it; others are named by their place in the list.

    ``minutes`` are those of one person; ``by`` names the people who may do it by their places.
    """

    place: int
    name: str
    minutes: int
    least: int
    most: int
    after: tuple[int, ...]
    wait: int
    things: tuple[str, ...]
    by: tuple[int, ...]
    not_who_did: int | None
    whole: bool
    where: Place
    done: bool

    def lasts(self, people: int) -> int:
        """Minutes that it takes so many people."""
        return ceil(self.minutes / people)


def minutes_of(hours: float) -> int:
    """Whole minutes of a time typed in hours."""
    return round(hours * 60)


def names_in(text: str) -> list[str]:
    """The names that a text lists, with commas or semicolons."""
    return [name.strip() for name in split(r"[,;]", text) if name.strip()]


def jobs_of(tasks: Sequence[Task], people: Sequence[Person]) -> tuple[Job, ...]:
    """The tasks with their names looked up.

    Raises InputError, beside its field, for what cannot be planned.
    """
    places = _places(tasks)
    here = [place for place, person in enumerate(people) if not person.away]
    jobs = tuple(_job(place, task, places, people, here) for place, task in enumerate(tasks))
    try:
        TopologicalSorter({job.place: job.after for job in jobs}).prepare()
    except CycleError as error:
        circle = error.args[1][:-1]
        names = " and ".join(jobs[place].name for place in circle)
        words = f"{names} wait for each other." if len(circle) > 1 else f"{names} waits for itself."
        raise InputError(f"tasks[{circle[0]}].after", words) from None
    for job in jobs:
        early = [jobs[place].name for place in job.after if job.done and not jobs[place].done]
        if early:
            raise InputError(
                f"tasks[{job.place}].used", f"It comes after {early[0]}, which is not finished yet."
            )
    return jobs


def _places(tasks: Sequence[Task]) -> dict[str, int]:
    places: dict[str, int] = {}
    for place, task in enumerate(tasks):
        key = name_key(task.name)
        if not key or len(names_in(task.name)) != 1:
            raise InputError(f"tasks[{place}].name", "Give the task a name without commas.")
        if key in places:
            raise InputError(f"tasks[{place}].name", "Two tasks have this name: others call them by it.")
        places[key] = place
    return places


def _job(
    place: int, task: Task, places: Mapping[str, int], people: Sequence[Person], here: Sequence[int]
) -> Job:
    field = f"tasks[{place}]"
    after = [_place_of(f"{field}.after", name, places) for name in names_in(task.after)]
    by, avoided = _by(f"{field}.by", task.by, places, people, here)
    least = int(task.people_least)
    if task.people_most < least:
        raise InputError(f"{field}.people_most", "Fewer at most than at least.")
    if len(by) < least:
        who = f"{len(by)} of those who may do it {'is' if len(by) == 1 else 'are'} here"
        raise InputError(
            f"{field}.people_least", f"{task.name.strip()} needs {least} people, and {who}: not possible."
        )
    return Job(
        place=place,
        name=" ".join(task.name.split()),
        minutes=minutes_of(task.work if task.used is None else task.used),
        least=least,
        most=min(int(task.people_most), len(by)),
        after=tuple(dict.fromkeys([*after, *([] if avoided is None else [avoided])])),
        wait=minutes_of(task.waits),
        things=tuple(dict.fromkeys(name_key(name) for name in names_in(task.needs))),
        by=tuple(by),
        not_who_did=avoided,
        whole=task.whole,
        where=task.place,
        done=task.used is not None,
    )


def _place_of(field: str, name: str, places: Mapping[str, int]) -> int:
    if name_key(name) not in places:
        raise InputError(field, f"There is no task called “{name}”.")
    return places[name_key(name)]


def _by(
    field: str, text: str, places: Mapping[str, int], people: Sequence[Person], here: Sequence[int]
) -> tuple[Sequence[int], int | None]:
    """Who may do a task, and the task whose doers may not."""
    words = " ".join(text.split())
    if not words:
        return here, None
    if words.casefold().startswith(NOT):
        avoided = _place_of(field, words[len(NOT) :], places)
        if len(here) < 2:
            raise InputError(field, "One person alone: nobody is left who did not do it. Not possible.")
        return here, avoided
    wanted = {name_key(name) for name in names_in(words)}
    known = {name_key(person.name): place for place, person in enumerate(people)}
    unknown = [name for name in names_in(words) if name_key(name) not in known]
    if unknown:
        raise InputError(field, f"Nobody is called “{unknown[0]}”.")
    return [place for place in here if name_key(people[place].name) in wanted], None
