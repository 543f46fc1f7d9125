"""A calculator: a typed function, seen as inputs, outputs and help.

Nothing is declared twice: inputs are the function's annotated parameters, outputs the annotated
fields of the frozen dataclass it returns, help is its docstring.
"""

import inspect
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, fields
from functools import cached_property
from keyword import iskeyword
from typing import Annotated, Any, get_args, get_origin, get_type_hints

from calculators.declaring.inputs import (
    NO_DEFAULT,
    Bands,
    Choice,
    CurveText,
    File,
    Flag,
    InputField,
    Number,
    Rows,
    Text,
)
from calculators.declaring.outputs import (
    Output,
    OutputChart,
    OutputCurve,
    OutputDrawing,
    OutputField,
    OutputFlag,
    OutputList,
    OutputRows,
    OutputText,
)
from calculators.declaring.working import Steps

INPUT_KINDS = (Number, Choice, Flag, Text, Rows, Bands, CurveText, File)
OUTPUT_KINDS = (
    Output,
    OutputText,
    OutputFlag,
    OutputList,
    OutputRows,
    OutputCurve,
    OutputChart,
    OutputDrawing,
)


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
    def stage(self) -> str:
        """Name of the stage it belongs to: the folder of its file."""
        return self.function.__module__.rpartition(".")[0].rpartition(".")[2]

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
                hints[parameter.name],
                NO_DEFAULT if parameter.default is parameter.empty else parameter.default,
            )
            for parameter in parameters
        )

    @cached_property
    def outputs(self) -> tuple[OutputField, ...]:
        """The outputs, in the order of the result's fields; long work returns its result at its end."""
        result = get_type_hints(self.function)["return"]
        return output_fields(get_args(result)[0] if get_origin(result) is Steps else result)

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


def input_field(name: str, hint: object, default: object) -> InputField:
    """Declaration of one parameter, or of one field of a row's record."""
    kind = declared(hint, INPUT_KINDS)
    if kind is None:
        raise TypeError(f"{name} is not annotated with an input")
    if not isinstance(kind, Rows):
        return InputField(name, kind, default)
    record = get_args(get_args(hint)[0])[0]
    hints = get_type_hints(record, include_extras=True)
    columns = tuple(
        input_field(
            column.name,
            hints[column.name],
            NO_DEFAULT if column.default is MISSING else column.default,
        )
        for column in fields(record)
    )
    return InputField(name, kind, default, columns, record)


def output_fields(record: type) -> tuple[OutputField, ...]:
    """Declarations of the annotated fields of a result or of one of its row records."""
    found = []
    for name, hint in get_type_hints(record, include_extras=True).items():
        kind = declared(hint, OUTPUT_KINDS)
        if kind is not None:
            columns = output_fields(get_args(get_args(hint)[0])[0]) if isinstance(kind, OutputRows) else ()
            found.append(OutputField(name, kind, columns))
    return tuple(found)


def declared(hint: object, kinds: tuple[type, ...]) -> Any:
    """The declaration among an annotation's metadata, or None."""
    if get_origin(hint) is not Annotated:
        return None
    return next((entry for entry in get_args(hint)[1:] if isinstance(entry, kinds)), None)
