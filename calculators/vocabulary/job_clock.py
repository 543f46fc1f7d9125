"""When people are there: their working hours as spans of minutes, day by day."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from calculators.declaring import InputError
from calculators.vocabulary.job_tasks import Person, minutes_of
from calculators.vocabulary.names import name_key

MINUTES_A_DAY = 1440
MOST_DAYS = 400
WEEK = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

type Span = tuple[int, int]
type Team = tuple[int, ...]


class NoTimeError(ValueError):
    """Work for which no day is long enough; its text says why."""


@dataclass
class Clock:
    """The working hours of all people; what teams share is worked out once.

    In the night before ``change_day`` the clock is put forward by ``change`` minutes: that night is shorter.
    """

    people: Sequence[Person]
    first_weekday: int
    days_a_week: int
    change: int = 0
    change_day: int = 1
    _shared: dict[tuple[Team, int], tuple[Span, ...]] = field(default_factory=dict)

    @cached_property
    def opens(self) -> int:
        """The first minute of the job."""
        return min(start for person in range(len(self.people)) for start, _ in self.spans((person,), 0))

    def midnight(self, day: int) -> int:
        """The minute at which the clock of that day shows 0:00."""
        return day * MINUTES_A_DAY - (self.change if day >= self.change_day else 0)

    def day_of(self, minute: int) -> int:
        """The day that a minute belongs to; the end of a day is still that day."""
        day = max(0, minute // MINUTES_A_DAY - 1)
        while self.midnight(day + 1) < minute:
            day += 1
        return day

    def spans(self, team: Team, day: int) -> tuple[Span, ...]:
        """When all of a team are there on a day, in its order."""
        key = (team, day)
        if key not in self._shared:
            common = self._own(team[0], day)
            for person in team[1:]:
                common = tuple(
                    (max(start, other), min(end, last))
                    for start, end in common
                    for other, last in self.spans((person,), day)
                    if max(start, other) < min(end, last)
                )
            self._shared[key] = common
        return self._shared[key]

    def work(self, team: Team, ready: int, minutes: int, whole: bool) -> Span:
        """When a team that may start at a minute starts and ends; a night or a break only interrupts it.

        ``whole`` work is done on one day. Raises NoTimeError where no day has room for it.
        """
        begun, left = -1, minutes
        for day in range(self.day_of(ready), MOST_DAYS):
            if whole:
                begun, left = -1, minutes
            for start, end in self.spans(team, day):
                start = max(start, ready)
                if start >= end:
                    continue
                begun = start if begun < 0 else begun
                if left <= end - start:
                    return begun, start + left
                left -= end - start
        raise NoTimeError("no day is long enough for it" if whole else "it would take more than a year")

    def open_minutes(self, team: Sequence[int], start: int, end: int) -> int:
        """Minutes between two of them during which anybody is there."""
        total = 0
        for day in range(self.day_of(start), self.day_of(end) + 1):
            spans = sorted(span for person in team for span in self.spans((person,), day))
            reached = start
            for first, last in spans:
                first, last = max(first, reached), min(last, end)
                total += max(0, last - first)
                reached = max(reached, last)
        return total

    def _own(self, person: int, day: int) -> tuple[Span, ...]:
        entry = self.people[person]
        if entry.away or (self.first_weekday + day) % 7 >= self.days_a_week:
            return ()
        start, end = minutes_of(entry.day_start), minutes_of(entry.day_end)
        rest = minutes_of(entry.break_at)
        back = rest + minutes_of(entry.break_length)
        midnight = self.midnight(day)
        parts = ((start, min(end, rest)), (max(start, back), end)) if rest < back else ((start, end),)
        return tuple((midnight + first, midnight + last) for first, last in parts if first < last)


def clock_of(
    people: Sequence[Person], first_day: str, days_a_week: int, change: float, change_day: int
) -> Clock:
    """The clock of the people typed.

    Raises InputError for a day that ends before it begins, and where nobody is there.
    """
    for place, person in enumerate(people):
        if person.day_end <= person.day_start:
            raise InputError(f"people[{place}].day_end", "The day ends before it begins.")
        if minutes_of(person.day_end) - minutes_of(person.day_start) <= minutes_of(person.break_length):
            raise InputError(f"people[{place}].break_length", "The break is as long as the day.")
    names = [name_key(person.name) for person in people]
    for place, name in enumerate(names):
        if not name or name in names[:place]:
            raise InputError(f"people[{place}].name", "Give everybody a name of their own.")
    if all(person.away for person in people):
        raise InputError("people", "Everybody is away.")
    first = WEEK.index(first_day)
    if first >= days_a_week:
        raise InputError("first_day", "The first day is none on which anybody works.")
    return Clock(people, first, days_a_week, minutes_of(change), change_day)


def nights(clock: Clock, start: int, end: int) -> list[int]:
    """The days after whose work a stretch of time runs on into the next one."""
    first, last = clock.day_of(start), clock.day_of(end)
    return [day for day, _ in pairwise(range(first, last + 1))]
