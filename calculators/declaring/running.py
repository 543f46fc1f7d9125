"""Running a calculator on what was read: a result, or the errors beside their fields."""

from collections.abc import Callable, Generator, Mapping
from dataclasses import dataclass, field
from typing import Any

from calculators.declaring.calculator import Calculator
from calculators.declaring.errors import InputError
from calculators.declaring.finite import first_without_number
from calculators.declaring.kept import Kept, Made
from calculators.declaring.listening import Listening
from calculators.declaring.outputs import Advice
from calculators.declaring.reading import NOTHING_KEPT, Reading, read_typed, read_values
from calculators.declaring.working import Steps, Working, drain


@dataclass(frozen=True)
class Outcome:
    """What came of one run: ``result`` is None exactly when there are errors.

    ``units`` are those the reader chose for inputs and columns (see ``Reading``). ``noted`` is the part of
    the advice that is about what was typed alone, and belongs beside its field.
    """

    calculator: Calculator
    arguments: dict[str, Any]
    result: Any
    errors: tuple[InputError, ...]
    advice: tuple[Advice, ...]
    units: Mapping[str, str] = field(default_factory=dict)
    noted: tuple[Advice, ...] = ()

    @property
    def files(self) -> dict[str, Made]:
        """The files made, by the names of their outputs."""
        found = {output.name: getattr(self.result, output.name, None) for output in self.calculator.outputs}
        return {name: made for name, made in found.items() if isinstance(made, Made)}

    @property
    def sounds(self) -> list[tuple[str, Made]]:
        """The sounds to compare, each with the name of its output."""
        found = {output.name: getattr(self.result, output.name, None) for output in self.calculator.outputs}
        return [
            (name, take.sound)
            for name, heard in found.items()
            if isinstance(heard, Listening)
            for take in heard.takes
        ]


def run_typed(
    calculator: Calculator, typed: Mapping[str, str], heard: Callable[[Working], object] = lambda _: None
) -> Outcome:
    """Run on a form's text (see ``read_typed``); ``heard`` is told how far long work has come."""
    return drain(steps_typed(calculator, typed), heard)


def run_values(
    calculator: Calculator, values: Mapping[str, Any], heard: Callable[[Working], object] = lambda _: None
) -> Outcome:
    """Run on plain values in the quantities' own units (see ``read_values``); ``heard`` as above."""
    return drain(steps(calculator, read_values(calculator, values)), heard)


def steps_typed(
    calculator: Calculator, typed: Mapping[str, str], kept: Mapping[str, Kept] = NOTHING_KEPT
) -> Steps[Outcome]:
    """Run on a form's text and the files it names, step by step."""
    return steps(calculator, read_typed(calculator, typed, kept))


def steps(calculator: Calculator, reading: Reading) -> Steps[Outcome]:
    """Run on what was read, step by step; an InputError of the function joins the errors of reading."""
    arguments = with_defaults(calculator, reading.arguments)
    errors = reading.errors
    result = None
    if not errors:
        try:
            result = calculator.call(reading.arguments)
            if isinstance(result, Generator):
                result = yield from result
            refuse_no_number(calculator, result, arguments)
        except InputError as error:
            result, errors = None, (error,)
    advice = (*getattr(result, "advice", ()), *reading.advice)
    ordered = sorted(advice, key=lambda entry: not entry.danger)
    return Outcome(calculator, arguments, result, errors, tuple(ordered), reading.units, reading.advice)


def refuse_no_number(calculator: Calculator, result: Any, arguments: Mapping[str, Any]) -> None:
    """Raise InputError, at the first field of the form, for a result that holds NaN or infinity."""
    name = first_without_number(result, arguments)
    if name is None:
        return
    label = next((each.kind.label for each in calculator.outputs if each.name == name), "A note")
    raise InputError(
        next((entry.name for entry in calculator.inputs), ""),
        f"“{label}” comes out as no number, so nothing of this answer is shown. That is the calculator's "
        "fault, and not yours: change a value a little, and tell whoever keeps this page.",
    )


def with_defaults(calculator: Calculator, arguments: Mapping[str, Any]) -> dict[str, Any]:
    """All arguments there are, in the order of the inputs."""
    return {
        entry.name: arguments.get(entry.name, entry.default)
        for entry in calculator.inputs
        if entry.name in arguments or not entry.required
    }


def example_fields(calculator: Calculator, values: Mapping[str, Any] | None = None) -> dict[str, str]:
    """A form's text for the values given, or for the calculator's example; the rest by default."""
    given = calculator.example if values is None else values
    typed: dict[str, str] = {}
    for entry in calculator.inputs:
        value = given.get(entry.name, None if entry.required else entry.default)
        typed |= entry.kind.write_text(entry.name, value)
    return typed
