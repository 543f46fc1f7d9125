"""Results in the unit the reader chose: who types inches is answered in inches."""

from collections.abc import Iterator
from dataclasses import replace
from math import ceil, log10

from calculators.declaring import InputField, Number, Outcome, Output, OutputField, OutputList
from calculators.declaring.quantities import Unit

type Chosen = dict[tuple[str, Unit], Unit]
"""Of a quantity, by its name: the unit it is first shown in, and the one chosen instead."""


def outputs_shown(done: Outcome) -> tuple[OutputField, ...]:
    """The outputs, with numbers in the unit chosen for an input that is first shown in theirs.

    A table follows the columns of the form alone. Where two inputs are in different units, the first
    one that was changed counts.
    """
    if not done.units:
        return done.calculator.outputs
    columns = _chosen(done, (field for entry in done.calculator.inputs for field in _columns(entry)))
    chosen = _chosen(done, ((entry.name, entry) for entry in done.calculator.inputs)) | columns
    if not chosen:
        return done.calculator.outputs
    return tuple(
        replace(output, columns=tuple(_follow(column, columns) for column in output.columns))
        if output.columns
        else _follow(output, chosen)
        for output in done.calculator.outputs
    )


def _columns(entry: InputField) -> Iterator[tuple[str, InputField]]:
    return ((f"{entry.name}[].{column.name}", column) for column in entry.columns)


def _chosen(done: Outcome, fields: Iterator[tuple[str, InputField]]) -> Chosen:
    chosen: Chosen = {}
    for name, field in fields:
        if name in done.units and isinstance(field.kind, Number):
            unit = field.kind.quantity.unit(done.units[name])
            if unit != field.kind.unit:
                chosen.setdefault((field.kind.quantity.name, field.kind.unit), unit)
    return chosen


def _follow(output: OutputField, chosen: Chosen) -> OutputField:
    """The output in the unit chosen, told at least as finely; a clock stays one."""
    kind = output.kind
    if not isinstance(kind, Output | OutputList) or (isinstance(kind, Output) and kind.clock):
        return output
    first = kind.quantity.unit(kind.show)
    unit = chosen.get((kind.quantity.name, first))
    if unit is None:
        return output
    finer = ceil(log10(float(unit.factor) / float(first.factor)))
    decimals = None if kind.decimals is None else max(0, kind.decimals + finer)
    shown = replace(kind, show=unit.symbol, decimals=decimals)
    if isinstance(shown, Output) and shown.also:
        shown = replace(shown, also=tuple(s for s in (first.symbol, *shown.also) if s != unit.symbol))
    return replace(output, kind=shown)
