"""Who does what when: a plan near the shortest, found by trying.

Best plans for people, tools and cures are hard to find and harder to prove. Every try takes the tasks in
some order, each at the first minute at which its people, its tools and its place are free; the order in
which they were typed is always one of them, so no plan is worse than the list.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from graphlib import TopologicalSorter
from itertools import combinations
from typing import Literal

from calculators.declaring import InputError
from calculators.vocabulary.job_clock import Clock, NoTimeError, Team
from calculators.vocabulary.job_tasks import ALONE, QUIET, Job

type Size = Literal["soonest", "most", "fewest"]

TEAM_SIZES: tuple[Size, ...] = ("soonest", "most", "fewest")
"""How many people a task gets: as many as end it soonest, as it may have, or as it needs."""

MOST_TRIES = 240
WORK_OF_TRIES = 300
"""Tasks placed in all tries together."""


@dataclass(frozen=True)
class Placed:
    """A task with its people and its time."""

    job: Job
    team: Team
    start: int
    end: int

    @property
    def ready(self) -> int:
        """When what comes after it may begin."""
        return self.end + self.job.wait


@dataclass
class _Trial:
    """One plan being made."""

    clock: Clock
    placed: dict[int, Placed] = field(default_factory=dict)

    def place(self, job: Job, size: Size) -> None:
        """Place one task whose forerunners are placed."""
        ready = max((self.placed[place].ready for place in job.after), default=self.clock.opens)
        if job.minutes == 0:
            self.placed[job.place] = Placed(job, (), ready, ready)
            return
        best: Placed | None = None
        for team in self._teams(job, size):
            found = self._first(job, team, ready)
            if best is None or (found.end, len(found.team)) < (best.end, len(best.team)):
                best = found
        assert best is not None
        self.placed[job.place] = best

    def _teams(self, job: Job, size: Size) -> Iterator[Team]:
        allowed = job.by
        if job.not_who_did is not None:
            did = self.placed[job.not_who_did].team
            # A step that all did together is checked by each at the other's side.
            allowed = tuple(person for person in job.by if person not in did)
            if len(allowed) < job.least:
                allowed = job.by
        most = min(job.most, len(allowed))
        sizes = {"soonest": range(job.least, most + 1), "most": (most,), "fewest": (job.least,)}[size]
        for count in sizes:
            yield from combinations(allowed, count)

    def _first(self, job: Job, team: Team, ready: int) -> Placed:
        """The first time that a team has for a task. Raises InputError where there is none."""
        at = ready
        while True:
            try:
                start, end = self.clock.work(team, at, job.lasts(len(team)), job.whole)
            except NoTimeError as error:
                raise InputError(f"tasks[{job.place}].work", f"{job.name}: {error}.") from None
            at = max(
                (
                    other.end
                    for other in self.placed.values()
                    if other.start < end and start < other.end and _clash(job, team, other)
                ),
                default=start,
            )
            if at <= start:
                return Placed(job, team, start, end)


def _clash(job: Job, team: Team, other: Placed) -> bool:
    """Whether a task cannot run while another one does."""
    return not set(team).isdisjoint(other.team) or bool(held_apart(job, other.job))


def held_apart(job: Job, other: Job) -> str:
    """The thing for which two tasks cannot run at once; nothing where they can."""
    for one, two in ((job, other), (other, job)):
        if QUIET in one.things:
            return QUIET
        if ALONE in one.things and two.where != "bench":
            return ALONE
    return next((thing for thing in job.things if thing in other.things), "")


def chains(jobs: Sequence[Job], *, waits: bool = False) -> tuple[list[int], list[int]]:
    """For each task the longest chain of work up to its start, and from its start to the end, in minutes.

    With ``waits``, what runs by itself counts like work.
    """
    order = list(TopologicalSorter({job.place: job.after for job in jobs}).static_order())
    heads, tails = [0] * len(jobs), [0] * len(jobs)
    for place in order:
        job = jobs[place]
        heads[place] = max(
            (heads[other] + jobs[other].lasts(jobs[other].most) for other in job.after), default=0
        )
    for place in reversed(order):
        job = jobs[place]
        tails[place] += job.lasts(job.most) + (job.wait if waits else 0)
        for other in job.after:
            tails[other] = max(tails[other], tails[place])
    return heads, tails


def best_plan(jobs: Sequence[Job], clock: Clock) -> Iterator[tuple[Placed, ...]]:
    """The best plan so far, after every try."""
    _, tails = chains(jobs)
    _, urgent = chains(jobs, waits=True)
    present = [place for place, person in enumerate(clock.people) if not person.away]
    work = sum(job.minutes for job in jobs)
    least = max(max(tails, default=0), -(-work // len(present)))
    best: tuple[Placed, ...] | None = None
    shortest = (0, 0, 0)
    for ranks, sizes in _tries(jobs, urgent):
        plan = _planned(jobs, clock, ranks, sizes)
        length = _length(plan)
        if best is not None and length >= shortest:
            yield best
            continue
        best, shortest = plan, length
        yield best
        ready, end, _ = length
        if ready == end and clock.open_minutes(present, 0, end) <= least:
            return


def tries_for(count: int) -> int:
    """How many plans are tried for so many tasks, at most."""
    return 2 * len(TEAM_SIZES) + min(MOST_TRIES, WORK_OF_TRIES // max(1, count))


def ends(plan: Sequence[Placed]) -> int:
    """The minute at which the last task ends."""
    return max((entry.end for entry in plan), default=0)


def ready_at(plan: Sequence[Placed]) -> int:
    """The minute at which the last task has ended and the last cure is over."""
    return max((entry.ready for entry in plan), default=0)


def _length(plan: Sequence[Placed]) -> tuple[int, int, int]:
    return ready_at(plan), ends(plan), sum(entry.end for entry in plan)


def _planned(
    jobs: Sequence[Job], clock: Clock, ranks: Sequence[float], sizes: Sequence[Size]
) -> tuple[Placed, ...]:
    """Of the tasks whose forerunners are placed, always the first by its rank; finished ones first."""
    trial = _Trial(clock)
    sorter = TopologicalSorter({job.place: job.after for job in jobs})
    sorter.prepare()
    ready: list[int] = []
    while sorter.is_active():
        ready += sorter.get_ready()
        place = min(ready, key=lambda entry: (not jobs[entry].done, ranks[entry], entry))
        ready.remove(place)
        trial.place(jobs[place], "soonest" if jobs[place].done else sizes[place])
        sorter.done(place)
    return tuple(trial.placed[job.place] for job in jobs)


def _tries(jobs: Sequence[Job], tails: Sequence[int]) -> Iterator[tuple[Sequence[float], Sequence[Size]]]:
    """A rank and a size of team for each task: as typed, the longest chain first, then the latter shaken."""
    count = len(jobs)
    chain = [-float(tail) for tail in tails]
    for ranks in ([float(place) for place in range(count)], chain):
        for size in TEAM_SIZES:
            yield ranks, [size] * count
    for number in range(tries_for(count) - 2 * len(TEAM_SIZES)):
        spread = (0.2, 0.6, 1.5)[number % 3]
        yield (
            [rank * (1 + spread * _shaken(number, place)) for place, rank in enumerate(chain)],
            [TEAM_SIZES[int(3 * (_shaken(number, place + 1000) + 1) / 2) % 3] for place in range(count)],
        )


def _shaken(number: int, place: int) -> float:
    """A number from -1 to 1 that is the same wherever it is drawn."""
    state = (number * 7919 + place * 104729 + 12345) & 0xFFFFFFFF
    for _ in range(3):
        state = (state ^ (state >> 16)) * 0x45D9F3B & 0xFFFFFFFF
    return state / 0x7FFFFFFF - 1
