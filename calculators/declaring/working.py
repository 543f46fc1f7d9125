"""Long work in steps: a calculator that takes long is a generator, which says now and then how far it is."""

from collections.abc import Callable, Generator
from dataclasses import dataclass


@dataclass(frozen=True)
class Working:
    """A sign of life between two steps: what is being done, and what share of the whole is done.

    Whoever steps the work may stop it there for good. One step should not take more than 40 ms in the
    page; what cannot be cut, such as one transform, says in its docstring how long it takes.
    """

    step: str
    share: float


type Steps[Result] = Generator[Working, None, Result]


def drain[Step, Result](
    steps: Generator[Step, None, Result], heard: Callable[[Step], object] = lambda step: None
) -> Result:
    """Take all steps, telling ``heard`` of each; the result at their end."""
    while True:
        try:
            heard(next(steps))
        except StopIteration as end:
            result: Result = end.value
            return result


def told[Result](
    step: str, work: Generator[float, None, Result], start: float = 0.0, end: float = 1.0
) -> Steps[Result]:
    """Work that yields the share done, told as signs of life: a part of the whole, start to end."""
    return _said(work, lambda share: Working(step, start + (end - start) * min(share, 1.0)))


def lived[Result](work: Generator[None, None, Result], step: str, share: float) -> Steps[Result]:
    """Work whose steps are each a sign of life, at one share of the whole."""
    return _said(work, lambda _: Working(step, share))


def anew[Result](work: Steps[Result], words: str) -> Steps[Result]:
    """Work that is gone through again, said before each of its steps: its share begins anew."""
    return _said(work, lambda each: Working(f"{words}. {each.step}", each.share))


def _said[Step, Result](
    work: Generator[Step, None, Result], words: Callable[[Step], Working]
) -> Steps[Result]:
    """Work, each of whose steps is told in words."""
    while True:
        try:
            yield words(next(work))
        except StopIteration as done:
            result: Result = done.value
            return result
