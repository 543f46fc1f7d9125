"""A calculator: a typed function, seen as inputs, outputs and help.

Nothing is declared twice: inputs are the function's annotated parameters, outputs the annotated
fields of the frozen dataclass it returns, help is its docstring.
"""

import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass, replace
from functools import cached_property
from keyword import iskeyword
from typing import Annotated, Any, get_args, get_origin, get_type_hints

from calculators.declaring.errors import DeclarationError, InputError
from calculators.declaring.inputs import NO_DEFAULT, Found, InputField, Kind, Rows
from calculators.declaring.outputs import OF_ONE_LINE, OutputField, OutputKind, OutputRows
from calculators.declaring.working import Steps

NAMES = re.compile(r"(?<![\w.])[A-Za-z_]\w*(?!\w*\()")
"""Of an equation's expression, without those of functions, which stand before a bracket."""
CALLED = re.compile(r"[A-Za-z_]\w*(?=\()")
EQUATION_FUNCTIONS = ("abs", "cos", "exp", "log", "max", "min", "sin", "sqrt", "tan")
"""The functions that an equation may call."""
OVER_ROWS = ("latest_", "least_")
"""How the name of a column begins where one value of all its rows is meant."""


@dataclass(frozen=True)
class Calculator:
    """One calculator, as every door sees it.

    ``equations`` are plain ASCII, in the order they are worked out; ``example`` holds an input
    set of our own invention that pages and tests start from.
    """

    function: Callable[..., Any]
    title: str
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    equations: tuple[str, ...]
    example: Mapping[str, Any]

    @property
    def slug(self) -> str:
        """Name in pages, job files and on the command line."""
        return self.function.__name__.replace("_", "-")

    @property
    def place(self) -> str:
        """Where it is declared, as a message names it."""
        return f"{self.function.__module__}, {self.function.__name__}"

    @property
    def stage(self) -> str:
        """Name of the stage it belongs to: the folder of its file."""
        return self.function.__module__.rpartition(".")[0].rpartition(".")[2]

    @property
    def is_long(self) -> bool:
        """Whether its work goes in slices."""
        return inspect.isgeneratorfunction(self.function)

    @cached_property
    def help(self) -> str:
        """The docstring, in full."""
        return inspect.cleandoc(self.function.__doc__ or "")

    @property
    def summary(self) -> str:
        """The first paragraph of the docstring, on one line."""
        return " ".join(self.help.split("\n\n")[0].split())

    @cached_property
    def inputs(self) -> tuple[InputField, ...]:
        """The inputs, in the order of the parameters; ``return_`` is the input ``return``."""
        hints = get_type_hints(self.function, include_extras=True)
        parameters = inspect.signature(self.function).parameters.values()
        return tuple(
            input_field(
                parameter.name.rstrip("_"),
                hints.get(parameter.name),
                NO_DEFAULT if parameter.default is parameter.empty else parameter.default,
                self.place,
            )
            for parameter in parameters
        )

    @cached_property
    def outputs(self) -> tuple[OutputField, ...]:
        """The outputs, in the order of the result's fields; long work returns its result at its end."""
        result = get_type_hints(self.function).get("return")
        return output_fields(get_args(result)[0] if get_origin(result) is Steps else result, self.place)

    def checked(self) -> "Calculator":
        """Itself, with all of it looked at. Raises DeclarationError for one declared wrongly."""
        known, _ = {entry.name: entry for entry in self.inputs}, self.outputs
        for name, entry in known.items():
            if (unless := getattr(entry.kind, "unless", "")) and unless not in known:
                raise DeclarationError(
                    f"{self.place}: {name}: unless: there is no input {unless!r}: "
                    f"use one of {', '.join(known)}"
                )
        if not self.help:
            raise DeclarationError(f"{self.place}: it has no docstring: write what it answers, as its help")
        unknown = [name for name in self.example if name not in known]
        missing = [name for name, entry in known.items() if entry.required and name not in self.example]
        if unknown:
            raise DeclarationError(
                f"{self.place}: example: there is no input {unknown[0]!r}: use one of {', '.join(known)}"
            )
        if missing:
            raise DeclarationError(
                f"{self.place}: example: it gives no {missing[0]}, which has no default: give a value"
            )
        found = Found()
        for name, value in self.example.items():
            if value is None:  # A file, which only a reader has.
                continue
            try:
                known[name].kind.read_value(name, value, found)
            except InputError as error:
                found.errors.append(error)
        if found.errors:
            raise DeclarationError(f"{self.place}: example: {found.errors[0]}")
        if not isinstance(self.equations, tuple) or not all(" = " in line for line in self.equations):
            raise DeclarationError(
                f"{self.place}: equations: write them as a tuple of texts, each ('output = its expression',)"
            )
        self._check_names()
        if not any(getattr(entry.kind, "main", False) for entry in self.outputs):
            raise DeclarationError(
                f"{self.place}: none of its outputs is what the reader came for: mark that one with main=True"
            )
        return self

    def _check_names(self) -> None:
        """Raise DeclarationError for a name in an equation that nothing gives, or that is no function."""
        fields: tuple[InputField | OutputField, ...] = (*self.inputs, *self.outputs)
        known = {column.name for entry in fields for column in (entry, *entry.columns)} | {"pi"}
        for equation in self.equations:
            name, _, expression = equation.partition(" = ")
            for called in CALLED.findall(expression):
                if called not in EQUATION_FUNCTIONS:
                    raise DeclarationError(
                        f"{self.place}: equations: {called} in {equation!r} is no function that an equation "
                        f"knows: use one of {', '.join(EQUATION_FUNCTIONS)}"
                    )
            for used in NAMES.findall(expression):
                if not {used, *map(used.removeprefix, OVER_ROWS)} & known:
                    raise DeclarationError(
                        f"{self.place}: equations: {used} in {equation!r} is no input, output or column, nor "
                        "given by an equation before it: write its name as it is declared"
                    )
            known.add(name)

    def call(self, arguments: Mapping[str, Any]) -> Any:
        """The function's result for arguments by the inputs' names."""
        named = {f"{name}_" if iskeyword(name) else name: value for name, value in arguments.items()}
        return self.function(**named)

    def input(self, name: str) -> InputField:
        """The input of that name; KeyError if there is none."""
        return {entry.name: entry for entry in self.inputs}[name]

    def output(self, name: str) -> OutputField:
        """The output of that name; KeyError if there is none."""
        return {entry.name: entry for entry in self.outputs}[name]


def input_field(name: str, hint: object, default: object, place: str) -> InputField:
    """Declaration of one parameter, or of one field of a row's record.

    Raises DeclarationError, with its place, for one that is not annotated or is declared wrongly.
    """
    kind = declared(hint, Kind)
    if kind is None:
        raise DeclarationError(
            f"{place}: {name} is not annotated with an input: "
            f"write {name}: Annotated[float, Number(…)], or another kind of calculators/declaring/inputs/"
        )
    if isinstance(kind, Rows):
        record = record_of(hint, place, name)
        kind = replace(kind, columns=input_fields_of(record, f"{place}, {name}"), record=record)
    fault = kind.fault() or (None if default is NO_DEFAULT else kind.fault_of_default(default))
    if fault:
        raise DeclarationError(f"{place}: {name}: {fault}")
    return InputField(name, kind, default)


def input_fields_of(record: Any, place: str) -> tuple[InputField, ...]:
    """Declarations of the annotated fields of a record. Raises DeclarationError as `input_field` does."""
    hints = get_type_hints(record, include_extras=True)
    return tuple(
        input_field(
            field.name, hints[field.name], NO_DEFAULT if field.default is MISSING else field.default, place
        )
        for field in fields(record)
    )


def output_fields(record: Any, place: str) -> tuple[OutputField, ...]:
    """Declarations of the annotated fields of a result or of one of its row records; advice has none.

    Raises DeclarationError, with its place, for one that is not annotated or is declared wrongly.
    """
    if not is_dataclass(record):
        raise DeclarationError(f"{place}: its result is {record!r}: return a frozen dataclass of outputs")
    found = []
    for name, hint in get_type_hints(record, include_extras=True).items():
        if name == "advice":
            continue
        kind = declared(hint, OutputKind)
        if kind is None:
            raise DeclarationError(
                f"{place}: {name} of its result is not annotated with an output, so nobody would see it: "
                f"write {name}: Annotated[float, Output(…)], or a kind of calculators/declaring/outputs.py"
            )
        if fault := kind.fault():
            raise DeclarationError(f"{place}: {name} of its result: {fault}")
        rows = isinstance(kind, OutputRows)
        columns = output_fields(record_of(hint, place, name), f"{place}, {name}") if rows else ()
        found.append(OutputField(name, kind, columns))
    kinds = {entry.name: entry.kind for entry in found}
    main = [name for name, kind in kinds.items() if getattr(kind, "main", False)]
    if len(main) > 1:
        raise DeclarationError(
            f"{place}: {main[1]} of its result: main: {main[0]} is the answer the reader came for already: "
            "mark one alone"
        )
    for entry in found:
        if not (brief := getattr(entry.kind, "brief", "")):
            continue
        fault = f"there is no output {brief!r}" if brief not in kinds else ""
        if not fault and not isinstance(kinds[brief], OF_ONE_LINE):
            fault = f"{brief!r} is more than a line: name a number, words, money or a flag"
        if fault:
            raise DeclarationError(f"{place}: {entry.name} of its result: brief: {fault}")
    return tuple(found)


def record_of(hint: object, place: str, name: str) -> Any:
    """The record that an annotation holds a tuple of."""
    inner = get_args(get_args(hint)[0])
    if not inner or not is_dataclass(inner[0]):
        raise DeclarationError(f"{place}: {name} holds rows: annotate a tuple[Record, ...] of a dataclass")
    return inner[0]


def declared(hint: object, kind: type) -> Any:
    """The declaration among an annotation's metadata, or None."""
    if get_origin(hint) is not Annotated:
        return None
    return next((entry for entry in get_args(hint)[1:] if isinstance(entry, kind)), None)
