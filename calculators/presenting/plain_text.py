"""A result, a table or the help of a calculator as plain text for a terminal."""

from collections.abc import Callable
from textwrap import fill
from typing import Any

from calculators.declaring import (
    Calculator,
    Drawing,
    File,
    InputField,
    Listening,
    Outcome,
    OutputBrief,
    OutputChart,
    OutputCurve,
    OutputDrawing,
    OutputField,
    OutputFile,
    OutputPaper,
    OutputRows,
    OutputSound,
    Rows,
)
from calculators.declaring.outputs import OutputKind
from calculators.presenting.inputs import renderer, shown_input
from calculators.presenting.values import shown

WIDTH = 78


def result_text(done: Outcome) -> str:
    """A result: warnings of danger, values, tables, then the other warnings."""
    blocks = [f"Danger: {entry.message}" for entry in done.advice if entry.danger]
    single: list[tuple[str, str]] = []
    tables: list[str] = []
    for output in done.calculator.outputs:
        value = getattr(done.result, output.name)
        block = BLOCKS.get(type(output.kind))
        if block:
            tables += filter(None, [block(output, value)])
        else:
            single.append((output.kind.label, shown(output, value)))
    width = max((len(label) for label, _ in single), default=0)
    blocks += ["\n".join(f"{label:<{width}}  {text}" for label, text in single)] if single else []
    blocks += tables
    blocks += [fill(f"Note: {entry.message}", WIDTH) for entry in done.advice if not entry.danger]
    return "\n\n".join(blocks).replace("\u00a0", " ")


def table(output: OutputField, rows: tuple[object, ...]) -> str:
    """A table of an output's records, columns aligned."""
    lines = [[column.kind.label for column in output.columns]]
    lines += [[shown(column, getattr(row, column.name)) for column in output.columns] for row in rows]
    widths = [max(len(line[place]) for line in lines) for place in range(len(output.columns))]
    return "\n".join(
        "  ".join(cell.rjust(width) for cell, width in zip(line, widths, strict=True)) for line in lines
    )


def titled_table(output: OutputField, rows: tuple[object, ...]) -> str:
    """A table under its label; without a record, nothing."""
    return f"{output.kind.label}\n{table(output, rows)}" if rows else ""


def picture_in_words(output: OutputField, drawing: Drawing) -> str:
    """A picture as a screen reader has it."""
    return fill(drawing.spoken, WIDTH)


def nothing(output: OutputField, value: object) -> str:
    """A terminal draws no curves; the values beside them say as much."""
    return ""


def paper_in_words(output: OutputField, value: tuple[Drawing, ...]) -> str:
    """Sheets of paper in words, one below the other."""
    return "\n".join(fill(sheet.spoken, WIDTH) for sheet in value)


def sounds_in_words(output: OutputField, heard: Listening) -> str:
    """What is heard, one sound below the other."""
    takes = (fill(f"{take.name}: {take.words}", WIDTH) for take in heard.takes)
    return "\n".join((output.kind.label, *takes))


BLOCKS: dict[type[OutputKind], Callable[[OutputField, Any], str]] = {
    OutputRows: titled_table,
    OutputDrawing: picture_in_words,
    OutputPaper: paper_in_words,
    OutputBrief: nothing,
    OutputChart: nothing,
    OutputCurve: nothing,
    OutputSound: sounds_in_words,
}
"""The kinds that are blocks of their own in a terminal; the others are lines with their label."""


def manual(calculator: Calculator) -> str:
    """What a calculator does, and its options with units and ranges."""
    lines = [
        f"python -m calculators {calculator.slug}",
        "",
        calculator.title,
        "",
        calculator.help,
        "",
        "Options:",
    ]
    for entry in calculator.inputs:
        lines += option_lines(entry)
    lines += ["", "  --json   read values as one JSON object (SI units) from standard input"]
    if any(isinstance(output.kind, OutputFile | OutputSound) for output in calculator.outputs):
        lines += ["  --out PATH   write the file that is made; a folder keeps it under its own name"]
    lines += ["", "Gives:"]
    for output in calculator.outputs:
        if output.kind.data:
            lines.append(f"  {output.name:<18} {output.kind.label}")
            lines += [f"    {column.name:<16} {column.kind.label}" for column in output.columns]
    if calculator.equations:
        lines += ["", "Equations:", *(f"  {equation}" for equation in calculator.equations)]
    return "\n".join(lines).replace("\u00a0", " ")


def option_lines(entry: InputField) -> list[str]:
    """One option; a row option with its columns under it."""
    option = f"--{entry.name.replace('_', '-')}"
    if isinstance(entry.kind, Rows):
        needed = [column for column in entry.columns if column.required] or entry.columns[:1]
        pairs = " ".join(f"{column.name}=…" for column in needed)
        lines = [f"  {option} {pairs}", f"      {entry.kind.label}; once for each {entry.kind.one}"]
        return lines + [f"      {column.name}: {explained(column)}" for column in entry.columns]
    value = "FILE …" if isinstance(entry.kind, File) and entry.kind.together else "VALUE"
    return [f"  {option} {value}", f"      {explained(entry)}"]


def explained(entry: InputField) -> str:
    """Label, unit, range and default of one input."""
    parts = [entry.kind.label, *renderer(entry.kind).range(entry.kind)]
    if not entry.required:
        parts.append(f"default {shown_input(entry, entry.default)}")
    return "; ".join(parts)
