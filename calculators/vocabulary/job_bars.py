"""A plan as a picture by the hour: a strip for each person and day, a bar for each task."""

from collections.abc import Iterator, Sequence

from calculators.declaring import Drawing
from calculators.declaring.drawings import PICTURE, Line, Polygon, Shape, Text, rectangle
from calculators.vocabulary.job_clock import Clock
from calculators.vocabulary.job_plan import Placed

MOST_DAYS_DRAWN = 6
NAMES_WIDTH, PERSON_ROW, HOURS_ROW, DAY_GAP = 44.0, 22.0, 40.0, 10.0


def bars(plan: Sequence[Placed], clock: Clock, spoken: str) -> Drawing:
    """The days of a plan one below the other; of a long one the first few."""
    days = sorted({day for entry in plan if entry.team for day in _days(entry, clock)})[:MOST_DAYS_DRAWN]
    hours = [
        (minute - clock.midnight(day)) / 60
        for day in days
        for person in range(len(clock.people))
        for span in clock.spans((person,), day)
        for minute in span
    ]
    first, last = int(min(hours, default=8)), -int(-max(hours, default=17) // 1)
    across = (PICTURE - NAMES_WIDTH - 6) / max(1, last - first)
    shapes: list[Shape] = []
    top = 0.0
    for day in days:
        shapes += _day(plan, clock, day, top, first, last, across)
        top += HOURS_ROW + PERSON_ROW * len(clock.people) + DAY_GAP
    title = "The plan by the hour; bars carry the numbers of the tasks"
    return Drawing(title=title, spoken=spoken, height=max(top, HOURS_ROW), shapes=tuple(shapes))


def _days(entry: Placed, clock: Clock) -> Iterator[int]:
    return iter(range(clock.day_of(entry.start + 1), clock.day_of(entry.end) + 1))


def _day(
    plan: Sequence[Placed], clock: Clock, day: int, top: float, first: int, last: int, across: float
) -> Iterator[Shape]:
    yield Text((2, top + 12), f"Day {day + 1}", strong=True)
    for hour in range(first, last + 1):
        x = NAMES_WIDTH + (hour - first) * across
        yield Line(((x, top + HOURS_ROW - 6), (x, top + HOURS_ROW + PERSON_ROW * len(clock.people))), "thin")
        if hour % 2 == 0:
            yield Text((x, top + HOURS_ROW - 10), f"{hour % 24}:00", "middle")
    for person, entry in enumerate(clock.people):
        yield Text((2, top + HOURS_ROW + PERSON_ROW * person + 15), entry.name.strip()[:5])
    for placed in plan:
        for person in placed.team:
            y = top + HOURS_ROW + PERSON_ROW * person + 3
            spans = clock.spans(placed.team, day)
            pieces = [(max(start, placed.start), min(end, placed.end)) for start, end in spans]
            for start, end in (piece for piece in pieces if piece[0] < piece[1]):
                left = NAMES_WIDTH + ((start - clock.midnight(day)) / 60 - first) * across
                width = (end - start) / 60 * across
                yield Polygon(rectangle(left, y, width, PERSON_ROW - 6), fill="tint")
                if width >= 8:
                    yield Text((left + width / 2, y + 12), str(placed.job.place + 1), "middle")
