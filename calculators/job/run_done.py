"""One run of a job, worked out: its answer, how that stands, and what is wrong with it."""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from calculators.declaring import Answer, Outcome, OutputFlag, OutputText
from calculators.presenting.values import shown

type Standing = Literal["fresh", "stale", "new", "refused"]

HANDLING = {"gain-voltage", "tone", "sweep"}
"""Calculators whose dangers say how to play a signal: they stand however well the vehicle is made."""
FAILS = "does not pass"
"""How a verdict in words begins where it is none to pass with."""


@dataclass(frozen=True)
class RunDone:
    """One run, worked out from the facts at hand.

    ``standing`` is that of the answer that is stored: ``stale`` where inputs or release differ from those
    at hand, or where a run that it rests on is; ``new`` where none is stored; ``refused`` where there is
    no answer. One that rests on ``files``, by name, has no outcome here: its answer is the stored one.
    """

    name: str
    calculator: str
    outcome: Outcome | None
    answer: Answer | None
    standing: Standing
    why: str
    files: tuple[str, ...] = ()

    @cached_property
    def danger(self) -> str:
        """What of its answer could burn or overload the vehicle; an empty text for nothing."""
        if self.answer is None or self.calculator in HANDLING:
            return ""
        return next((entry["message"] for entry in self.answer.advice if entry["danger"]), "")

    @cached_property
    def fault(self) -> str:
        """Its main answer where that is a verdict that does not pass; an empty text for any other."""
        if self.outcome is None:
            return ""
        for output in self.outcome.calculator.outputs:
            value = getattr(self.outcome.result, output.name)
            flag = isinstance(output.kind, OutputFlag) and not value
            words = isinstance(output.kind, OutputText) and str(value).startswith(FAILS)
            if output.kind.main and (flag or words):
                said = shown(output, value)
                return said if words else f"{output.kind.label}: {said}"
        return ""
