"""What a self-check asks, and how what was answered is judged.

A question asks for a figure, or to choose and to say why. A figure's wrong ways are listed with what they give:
a draw counts only if each of them misses the answer by three tolerances or more, so that no wrong way passes.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calculators.declaring import Drawing, InputError, Number, run_values
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import Quantity
from calculators.stages import find_calculator

MISS = 3.0
"""By how many tolerances a wrong way must miss."""

POINT = re.compile(r"^[+−-]?\d+\.\d{3}(?!\d)")
"""A lone point before three digits: the decimal point here, as in every working, and no thousands mark."""

MOST_DRAWS = 2000
"""A check whose draws hardly ever count is written wrongly."""


class Draw:
    """What a seed draws: each pick takes its share of the seed."""

    def __init__(self, seed: int) -> None:
        """Begin with the whole seed."""
        self.left = seed

    def pick[Value](self, *values: Value) -> Value:
        """One of the values."""
        self.left, place = divmod(self.left, len(values))
        return values[place]


@dataclass(frozen=True)
class Figure:
    """Asks for a number.

    ``answer`` and ``tolerance`` are in the quantity's own unit, ``unit`` is the one that is asked for.
    ``mistakes`` holds for each likely wrong way, in words to who took it, what comes out.
    """

    asked: str
    answer: float
    tolerance: float
    quantity: Quantity
    unit: str
    hint: str
    working: str
    mistakes: Mapping[str, float]
    calculator: str

    def counts(self) -> bool:
        """Whether no wrong way comes near the answer."""
        return all(abs(value - self.answer) >= MISS * self.tolerance for value in self.mistakes.values())

    def read(self, text: str) -> float:
        """The number that was typed, in the quantity's own unit. Raises InputError for none."""
        if not text.strip():
            raise InputError("answer", f"Type a number, in {self.unit}." if self.unit else "Type a number.")
        number = Number("Your answer", self.quantity, -1e12, 1e12, show=self.unit or None)
        read = number.read_number("answer", POINT.sub(r"\g<0>0", text.strip()))
        if read is None:
            raise InputError("answer", "Type a number.")
        return read

    def judge(self, given: Mapping[str, str]) -> "Verdict":
        """Right within the tolerance; else what was likely done. Raises InputError for no number."""
        value = self.read(given.get("answer", ""))
        if abs(value - self.answer) <= self.tolerance:
            return Verdict(True, self.working)
        for words, wrong in self.mistakes.items():
            if abs(value - wrong) <= self.tolerance:
                return Verdict(False, words)
        return Verdict(False, f"Not that. {self.hint}")


@dataclass(frozen=True)
class Option:
    """Something to choose, and what is said to who chose it wrongly."""

    words: str
    why_not: str = ""


@dataclass(frozen=True)
class Choice:
    """Asks to choose, and to say why: full marks only for both.

    The first option is right, and the first reason; ``turn`` says from which on they are shown.
    ``decided`` is false for a draw too close to call. ``record`` and ``picture`` are what it asks about.
    """

    asked: str
    options: Sequence[Option]
    reasons: Sequence[Option]
    turn: int
    working: str
    record: Sequence[str] = ()
    decided: bool = True
    hint: str = ""
    picture: Drawing | None = None

    def counts(self) -> bool:
        """Whether it can be decided, and every option says something of its own."""
        return self.decided and all(
            len({option.words for option in group}) == len(group) for group in (self.options, self.reasons)
        )

    def shown(self, group: Sequence[Option]) -> list[tuple[int, Option]]:
        """The options in the order they are shown, each with its place in the question."""
        turn = self.turn if group is self.options else 2 * self.turn + 1  # The right ones not side by side.
        places = [(place + turn) % len(group) for place in range(len(group))]
        return [(place, group[place]) for place in places]

    def judge(self, given: Mapping[str, str]) -> "Verdict":
        """Right if choice and reason are. Raises InputError where one was not chosen."""
        for name, group, words in (
            ("answer", self.options, "Choose one."),
            ("reason", self.reasons, "Say why."),
        ):
            if not group:
                continue
            places = {str(place) for place in range(len(group))}
            if given.get(name) not in places:
                raise InputError(name, words)
            if chosen := int(given[name]):
                return Verdict(False, group[chosen].why_not)
        return Verdict(True, self.working)


Question = Figure | Choice
Check = Callable[[Draw], Question]


@dataclass(frozen=True)
class Verdict:
    """Whether it was right, and what is said."""

    right: bool
    words: str


def fitting(check: Check, seed: int) -> Question:
    """The first question from the seed on that counts."""
    for number in range(seed, seed + MOST_DRAWS):
        made = check(Draw(number))
        if made.counts():
            return made
    raise ValueError(f"{check.__name__}: no draw keeps its wrong ways apart")


def result(slug: str, **values: Any) -> Any:
    """What a calculator answers for values in its quantities' own units."""
    outcome = run_values(find_calculator(slug), values)
    if outcome.errors:
        raise ValueError(f"{slug}: {'; '.join(map(str, outcome.errors))}")
    return outcome.result


def cold_cable(current: float, length: float, area: float) -> Any:
    """What `cable` answers for copper at 20 °C under carpet, there and back."""
    there_and_back = {"return": "cable"}  # A word of the language: it is no name of an argument.
    return result(
        "cable",
        current=current,
        length=length,
        area=area,
        route="carpet",
        temperature=20.0,
        extra=0.0,
        insulation="vehicle-class-c",
        **there_and_back,
    )


def one_of_two(holds: bool, if_so: str, if_not: str, why_not: str) -> tuple[Option, Option]:
    """Two answers, the right one first; ``why_not`` is said to who chose the other."""
    right, wrong = (if_so, if_not) if holds else (if_not, if_so)
    return Option(right), Option(wrong, why_not)


def next_of(
    draw: Draw, opening: str, steps: Sequence[str], not_yet: str, reasons: Sequence[Option], hint: str
) -> Choice:
    """Asks which step comes next; ``not_yet``, with the right one, is said to who chose a later one.

    Of what is done the last step alone is told, and one from before it stands among the choices.
    """
    done = draw.pick(*range(1, len(steps) - 1))
    right = steps[done]
    later = [Option(step, not_yet.format(right.lower())) for step in steps[done + 1 : done + 3]]
    earlier = [Option(step, "That was done before.") for step in steps[max(done - 2, 0) : done - 1]]
    return Choice(
        f"{opening} The last thing done: {steps[done - 1].lower()}. What comes next?",
        (Option(right), *later, *earlier),
        reasons,
        draw.pick(0, 1, 2),
        " → ".join(steps) + ".",
        hint=hint,
    )


def signed(value: float) -> str:
    """A figure with one decimal and a true minus sign."""
    return typographic(f"{value:.1f}")


def title(check: Check) -> str:
    """What a check is called: the first line of its docstring, without its full stop."""
    return (check.__doc__ or "").strip().splitlines()[0].rstrip(".")
