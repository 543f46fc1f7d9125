"""An answer as a sheet prints it, worked out today or kept in the job's file."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calculators.declaring import Calculator, Money, OutputMoney
from calculators.declaring.numerals import typographic
from calculators.declaring.outputs import OutputKind
from calculators.job.run_done import RunDone
from calculators.job.working import Worked
from calculators.presenting.values import WORDS

BLANK = "__________"
"""A place for the pen."""
STALE = " (out of date)"


@dataclass(frozen=True)
class Printed:
    """The answer that a sheet prints: today's, or the one that was kept, marked, where that is out of date.

    What was agreed is never replaced on paper by what a change has made of it.
    """

    calculator: Calculator
    record: Any
    inputs: Mapping[str, Any]
    mark: str

    def value(self, name: str, record: Any = None) -> Any:
        """An output by its name, of the whole or of one of its rows; None where nothing was kept."""
        holder = self.record if record is None else record
        return holder.get(name) if isinstance(holder, dict) else getattr(holder, name, None)

    def rows(self, name: str) -> list[Any]:
        """The rows of a table; none where none were kept."""
        found = self.value(name)
        return [row for row in found if not self.mark or isinstance(row, dict)] if is_rows(found) else []

    def words(self, kind: OutputKind, value: Any) -> str:
        """A value as a page shows it; a blank for one that was kept in no form that can be shown."""
        if self.mark and isinstance(kind, OutputMoney) and value is not None:
            words = typographic(str(value))
            value = Money(str(value), f"{words}\u00a0{self.inputs.get('currency', '')}")
        try:
            return str(WORDS[type(kind)](kind, value))
        except (TypeError, ValueError, AttributeError, OverflowError):
            return BLANK


def printed_run(worked: Worked, run: RunDone) -> Printed:
    """The answer of a run that has one, as a sheet prints it."""
    assert run.outcome is not None
    if run.standing != "stale":
        return Printed(run.outcome.calculator, run.outcome.result, run.outcome.arguments, "")
    stored = next(entry["answer"] for entry in worked.job["sheet"]["runs"] if entry["name"] == run.name)
    values = stored.get("values")
    return Printed(
        run.outcome.calculator, values if isinstance(values, dict) else {}, stored["inputs"], STALE
    )


def is_rows(found: Any) -> bool:
    """Whether an answer has rows there."""
    return isinstance(found, list | tuple)
