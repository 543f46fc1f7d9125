"""The search for few equaliser filters: added, taken away and put elsewhere."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import replace
from itertools import product

import numpy as np

from calculators.physics.biquads import FLATTEST_Q
from calculators.physics.flattening import Found, Task, cost_of, nothing, polished, polishing
from calculators.physics.in_parts import InParts

NEAR = 0.35
"""ln of the ratio within which two candidates of a kind are one."""
LOOK_STEPS = 4
TRIES = 3
STEPS = 15
PASSES = 2
BETTER = 0.999
"""Times the cost: what is not bettered by this is as good."""
ROUNDS, FEWEST_MISSED, CLOSER_LOOK = 6, 4, 6
PROMISES = 1.15
"""Times the cost: what is dearer after a look is dropped."""
OTHER_STEPS, OTHER_PROMISES, OTHER_Q = 25, 1.3, 1.0
"""Of another beginning, filters spread evenly: steps of a look, as `PROMISES`, and the Q of its peaks."""


def _added(found: Found, tries: int) -> list[Found]:
    """Found with one filter more, in the ways that promise most, the best promise first."""
    task, ready = found.task, found.task.candidates
    open_kinds = [0] + [
        number for number in (1, 2) if np.sum(found.kinds == number) < task.shelves[number - 1]
    ]
    product = ready.shapes @ (task.share * found.left)
    low, high = (ends[ready.kinds, 1] for ends in task.limits)
    gain = np.clip(product / ready.square, low, high)
    worth = np.round(
        gain * (2 * product - gain * ready.square), 9
    )  # A shelf that lifts, one that cuts: alike.
    worth[~np.isin(ready.kinds, open_kinds)] = -1.0
    ways = []
    for _ in range(tries):
        best = int(np.argmax(worth))
        if worth[best] <= 0:
            break
        values = ready.values[best].copy()
        values[1] = gain[best]
        ways.append(
            Found(
                task, np.append(found.kinds, ready.kinds[best]), np.vstack([found.values, values]), math.inf
            )
        )
        near = (np.abs(ready.values[:, 0] - values[0]) < NEAR) & (ready.kinds == ready.kinds[best])
        worth[near] = -1.0
    return ways


def _without(found: Found, place: int) -> Found:
    return Found(
        found.task, np.delete(found.kinds, place), np.delete(found.values, place, axis=0), found.cost
    )


def _one_more(found: Found) -> InParts[Found]:
    """The best of some ways to add a filter, polished."""
    ways = []
    for way in _added(found, TRIES):
        ways.append(polished(way, LOOK_STEPS))
        yield
    return polished(min(ways, key=_own_cost), STEPS) if ways else found


def _one_less(found: Found) -> InParts[Found]:
    """Without the filter that is missed least."""
    ways = []
    for place in range(len(found.kinds)):
        ways.append(polished(_without(found, place), 2))
        if place % 3 == 2:
            yield
    return polished(min(ways, key=_own_cost), STEPS)


def _own_cost(found: Found) -> float:
    return round(found.cost, 9)


def grown(task: Task, most: int, steps: int = 6) -> Generator[None, None, list[Found]]:
    """No filter, one, two and so on up to most (a number, 1 or more), each added where it promises most.

    steps: number of steps in which all are moved together after each. The list may end before most, where
    nothing betters any more. Quicker than `few_filters`, and less good: a beginning for other fits. Yields
    after each.
    Source: greedy, as in `few_filters`.
    """
    found = [nothing(task)]
    for _ in range(most):
        ways = _added(found[-1], 1)
        if not ways:
            break
        found.append(polished(ways[0], steps))
        yield
    return found


def few_filters(task: Task, most: int) -> Generator[float, None, list[Found]]:
    """The best found with no filter, with one, with two and so on up to most (a number, 1 or more).

    What is yielded is the share of the work that is done, 0 to 1. Filters are added one by one where they
    promise most, which is broad before narrow, and moved all together after each; then they are taken
    away again one by one, the one that is missed least first, and added once more, as long as that betters
    any. A list as long as there are filters that better anything: it may end before most.
    Source: greedy, then joint: G. Ramos and J. J. López, Filter design method for loudspeaker equalization
    based on IIR parametric filters, J. Audio Eng. Soc. 54 (2006); adding and taking away in turn: P. Pudil,
    J. Novovičová and J. Kittler, Floating search methods in feature selection (1994).
    """
    best = [nothing(task)]
    grown: dict[int, Found] = {}
    for turn in range(PASSES):
        changed = turn == 0
        for count in range(1, most + 1):
            before = best[min(count, len(best)) - 1]
            if count > len(best) or grown.get(count) is before:
                continue
            grown[count] = before
            for _ in (life := _Living(_one_more(before))):
                yield (turn + count / (2 * most)) / PASSES
            if len(life.found.kinds) < count:
                continue
            if count == len(best):
                best.append(life.found)
            elif life.found.cost < best[count].cost * BETTER:
                best[count], changed = life.found, True
        if not changed:
            break
        for count in range(len(best) - 2, 0, -1):
            for _ in (life := _Living(_one_less(best[count + 1]))):
                yield (turn + 1 - count / (2 * most)) / PASSES
            if life.found.cost < best[count].cost * BETTER:
                best[count] = life.found
    return best


class _Living:
    """The steps of some work, and what it found at their end."""

    found: Found

    def __init__(self, work: InParts[Found]) -> None:
        self.work = work

    def __iter__(self) -> Generator[None, None, None]:
        self.found = yield from self.work


def reseated(found: Found) -> Generator[float, None, Found]:
    """The same number of filters, the better for moving one of them elsewhere, again and again.

    What is yielded is the share of the work that is done, 0 to 1. A filter that is missed little, or a shelf,
    is taken away; put in its place is half of one of the strongest peaks, which reaches the same with less
    gain squared, or what promises most then, of any kind there may be. Where filters spread evenly come near
    to that, they are moved in the same way, and the better of the two is kept: few large cuts may end worse
    than many small lifts, and no single filter leads from one to the other. As many filters as before.
    Source: search of our own; one out, one in, is an interchange as of G. L. Nemhauser and L. A. Wolsey,
    Integer and combinatorial optimization (1988), from memory.
    """
    for _ in (moved := _Living(_settled(found))):
        yield 0.2
    best = moved.found
    for _ in (spread := _Living(_spread_evenly(found.task, len(found.kinds)))):
        yield 0.5
    if spread.found.cost < best.cost * OTHER_PROMISES:
        for _ in (other := _Living(_settled(spread.found))):
            yield 0.7
        if other.found.cost < best.cost * BETTER:
            best = other.found
    return best


def _settled(found: Found) -> InParts[Found]:
    """With one filter moved elsewhere, again and again, until that betters it no more."""
    best = found
    for _ in range(ROUNDS):
        best = yield from polishing(best, 60, least=1e-8)
        moved = yield from _one_moved(best)
        if moved is best:
            break
        best = moved
    return polished(best, 60, least=1e-8)


def _spread_evenly(task: Task, count: int) -> InParts[Found]:
    """The best of filters spread evenly over the band, with and without shelves near its ends, polished."""
    low, high = np.log(task.frequency[[0, -1]])
    margin = (high - low) / 6
    ways = []
    for shelves in product(*(range(min(allowed, 1) + 1) for allowed in task.shelves)):
        if (peaks := count - sum(shelves)) < 0:
            continue
        ends = [(1, low + margin)] * shelves[0] + [(2, high - margin)] * shelves[1]
        rows = [(0, place, math.log(OTHER_Q)) for place in np.linspace(low, high, peaks + 2)[1:-1]]
        rows += [(kind, place, math.log(FLATTEST_Q)) for kind, place in ends]
        kinds = np.array([row[0] for row in rows])
        values = np.array([(place, 0.0, log_q) for _, place, log_q in rows])
        ways.append((yield from polishing(Found(task, kinds, values, math.inf), OTHER_STEPS)))
    return min(ways, key=_own_cost)


def fewest(fits: list[Found], enough: float) -> Generator[float, None, tuple[Found, list[Found]]]:
    """The number of the fewest filters that leave hardly more than the most, and all fits, some bettered.

    fits: with no filter, with one and so on. enough: dB of RMS over what the most leave. What is yielded is
    the share of the work that is done, 0 to 1. The most are first bettered with all of `reseated`; one filter
    less is then tried with it, until it leaves too much; the number that stays is bettered likewise.
    Source: as in `reseated`.
    """
    fits = list(fits)
    if len(fits) > 1:
        fits[-1] = yield from reseated(fits[-1])
    most = round(fits[-1].rms, 3) + enough
    number = next(n for n, found in enumerate(fits) if round(found.rms, 3) <= most)
    bettered = number == len(fits) - 1
    while number > 1:
        tried = yield from reseated(fits[number - 1])
        if round(tried.rms, 3) > most:
            break
        number, bettered = number - 1, True
        fits[number] = tried
    if number and not bettered:
        tried = yield from reseated(fits[number])
        if round(tried.rms, 3) <= most:
            fits[number] = tried
    return fits[number], fits


def _one_moved(found: Found) -> InParts[Found]:
    """With one filter moved elsewhere, where that betters it."""
    fewer = [_without(found, place) for place in range(len(found.kinds))]
    missed = [cost_of(found.task, each.kinds, each.values) for each in fewer]
    little = np.argsort(np.round(missed, 9), kind="stable")[:FEWEST_MISSED].tolist()
    shelves = np.flatnonzero(found.kinds).tolist()
    for place in dict.fromkeys(little + shelves):
        rest = replace(fewer[place], cost=missed[place])
        for way in (*_halved(rest), *_added(polished(rest, 2), TRIES)):
            tried = polished(way, CLOSER_LOOK)
            yield
            if tried.cost < found.cost * PROMISES:
                tried = yield from polishing(tried, 2 * STEPS, least=1e-5)
            if tried.cost < found.cost * BETTER:
                return tried
    return found


def _halved(found: Found) -> list[Found]:
    """Found with one of its two strongest peaks made two of half the gain, a little apart."""
    strongest = np.argsort(-np.round(np.abs(found.gain), 6), kind="stable")
    ways = []
    for place in strongest[found.kinds[strongest] == 0][:2]:
        values = found.values.copy()
        values[place, 1] /= 2
        other = values[place] + (0.01, 0.0, 0.0)
        kinds = np.append(found.kinds, 0)
        ways.append(Found(found.task, kinds, np.vstack([values, other]), math.inf))
    return ways


def with_cuts(found: Found) -> Found:
    """The same filters, each shelf that lifts made one of the other side that cuts, where there may be one.

    To lift below a frequency is to cut above it, but for the level of all: the one clips, the other does not.
    Source: the two shelves of the Audio EQ Cookbook, one divided by the other's gain.
    """
    kinds, values = found.kinds.copy(), found.values.copy()
    for place in np.flatnonzero((kinds > 0) & (values[:, 1] > 0)):
        other = 3 - int(kinds[place])
        if np.sum(kinds == other) < found.task.shelves[other - 1] and values[place, 1] <= found.task.max_cut:
            kinds[place], values[place, 1] = other, -values[place, 1]
    return replace(found, kinds=kinds, values=values)
