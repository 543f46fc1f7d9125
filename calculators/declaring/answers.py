"""An answer as plain data: what is stored, sent and compared."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, is_dataclass
from typing import Any

from calculators.declaring.curves import Curve
from calculators.declaring.kept import Kept, Made
from calculators.declaring.money import Money
from calculators.declaring.outputs import OutputField
from calculators.declaring.running import Outcome

VERSION = 1
"""Of the form of every answer, the keys below. Where a value of one calculator comes to mean something
else, the CHANGELOG tells it."""


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What came out of one run, and what it came from.

    ``inputs`` and ``values`` are in SI (or the trade's own unit) and full precision, rows as lists of
    records, responses as lists of frequencies, levels and phases. ``advice`` stands in the order it is
    shown in, dangers first. An answer is stale where its inputs differ from those at hand, or its
    ``release``, the version of the calculators with a short hash of what they are made of.
    """

    calculator: str
    release: str
    version: int
    inputs: dict[str, Any]
    values: dict[str, Any]
    advice: list[dict[str, Any]]

    def data(self) -> dict[str, Any]:
        """The answer as a dictionary for JSON."""
        return {field.name: getattr(self, field.name) for field in fields(self)}


def answer_of(outcome: Outcome, release: str) -> Answer:
    """The answer that an outcome without errors stands for."""
    assert not outcome.errors
    return Answer(
        calculator=outcome.calculator.slug,
        release=release,
        version=VERSION,
        inputs={name: plain(value) for name, value in outcome.arguments.items()},
        values=values_of(outcome.result, outcome.calculator.outputs),
        advice=[asdict(entry) for entry in outcome.advice],
    )


def values_of(record: Any, outputs: tuple[OutputField, ...]) -> dict[str, Any]:
    """A result's values; pictures, which repeat others, are left out."""
    return {
        output.name: (
            [values_of(row, output.columns) for row in getattr(record, output.name)]
            if output.columns
            else plain(getattr(record, output.name))
        )
        for output in outputs
        if output.kind.data
    }


def plain(value: Any) -> Any:
    """A value as JSON has it: a record as a dictionary, a tuple as a list."""
    if isinstance(value, Kept):
        return {"name": value.name, "size": value.size}
    if isinstance(value, Made):
        return {"name": value.name, "media_type": value.media_type, "size": value.size}
    if isinstance(value, Money):
        return value.amount
    if isinstance(value, Curve):
        columns = {"frequency": value.frequency, "level": value.level, "phase": value.phase}
        lists: dict[str, Any] = {name: list(column) for name, column in columns.items() if column is not None}
        return lists if value.arrival is None else lists | {"arrival": value.arrival}
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {name: plain(entry) for name, entry in value.items()}
    if isinstance(value, list | tuple):
        return [plain(entry) for entry in value]
    return value
