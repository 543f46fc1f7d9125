"""A calculator's form as HTML: labels, fields, units, and a place for each error.

It is a set of fields, not a ``form`` element: without the page's script nothing may be submitted. It
is locked until that script has come, so that no number can stand over an answer that is not its own.
"""

from collections.abc import Mapping

from calculators.declaring import (
    Bands,
    Calculator,
    Choice,
    CurveText,
    File,
    Flag,
    InputField,
    Number,
    Rows,
    Text,
    example_fields,
)
from calculators.declaring.inputs import Input
from calculators.declaring.running import typed_field
from calculators.presenting.escaping import text

BAND_NAMES = tuple(
    "20 25 31.5 40 50 63 80 100 125 160 200 250 315 400 500 630 800 1k 1.25k 1.6k 2k 2.5k "  # noqa: SIM905
    "3.15k 4k 5k 6.3k 8k 10k 12.5k 16k 20k".split()
)
NEW_ROW = "__row__"


def form(calculator: Calculator, prefix: str, values: Mapping[str, object] | None = None) -> str:
    """The form filled with the values given, or with the calculator's example.

    ``prefix`` keeps the ids of two forms on a page apart.
    """
    if not calculator.inputs:
        return ""
    typed = example_fields(calculator, values)
    first = [entry for entry in calculator.inputs if not seldom(entry)]
    rest = [entry for entry in calculator.inputs if seldom(entry)]
    fields = "".join(entry_html(entry, prefix, typed) for entry in first)
    if rest:
        more = "".join(entry_html(entry, prefix, typed) for entry in rest)
        fields += (
            '<details class="dc-more"><summary>More settings</summary>'
            f'<div class="dc-more-fields">{more}</div></details>'
        )
    return (
        f'<fieldset class="dc-form" disabled aria-label="{text(calculator.title)}: your values">'
        f"{fields}</fieldset>"
        '<p class="dc-locked">The fields are locked until this page’s script has come. '
        "The answer below is worked out for the values shown.</p>"
    )


def seldom(entry: InputField) -> bool:
    """Whether an input is seldom changed, and folded away."""
    return bool(getattr(entry.kind, "seldom", False))


def entry_html(entry: InputField, prefix: str, typed: Mapping[str, str]) -> str:
    """One input: a field, or a set of rows or bands."""
    if isinstance(entry.kind, Rows):
        return rows_html(entry, prefix, typed)
    if isinstance(entry.kind, Bands):
        return bands_html(entry, prefix, typed)
    return field_html(entry.name, entry.kind, prefix, typed.get(entry.name, ""))


def rows_html(entry: InputField, prefix: str, typed: Mapping[str, str]) -> str:
    """The rows there are, and a template for one more."""
    kind = entry.kind
    assert isinstance(kind, Rows)
    count = len({name.partition("]")[0] for name in typed if name.startswith(f"{entry.name}[")})
    rows = "".join(row_html(entry, index, prefix, typed) for index in range(count))
    help_text = f'<p class="dc-help">{text(kind.help)}</p>' if kind.help else ""
    help_text += "".join(
        f'<p class="dc-help" id="{text(column_help(entry, column, prefix))}">'
        f"{text(column.kind.label)}: {text(column.kind.help)}</p>"
        for column in entry.columns
        if column.kind.help
    )
    units = "".join(
        unit_choice(f"{entry.name}[].{column.name}", column.kind, prefix, f"{column.kind.label} in")
        for column in entry.columns
        if isinstance(column.kind, Number)
    )
    units = f'<div class="dc-units">{units}</div>' if units else ""
    return (
        f'<fieldset class="dc-rows" data-rows="{entry.name}" '
        f'data-least="{kind.at_least}" data-most="{kind.at_most}">'
        f"<legend>{text(kind.label)}</legend>{help_text}{units}"
        f'<p class="dc-error" id="{prefix}-{entry.name}-error" data-error="{entry.name}" hidden></p>'
        f'<div class="dc-row-list">{rows}</div>'
        f"<template>{row_html(entry, NEW_ROW, prefix, {})}</template>"
        f'<button type="button" class="dc-button dc-add">Add a {text(kind.one)}</button>'
        "</fieldset>"
    )


def row_html(entry: InputField, index: int | str, prefix: str, typed: Mapping[str, str]) -> str:
    """One row of fields with its remove button."""
    assert isinstance(entry.kind, Rows)
    fields = "".join(column_html(entry, column, index, prefix, typed) for column in entry.columns)
    one = text(entry.kind.one)
    return (
        f'<div class="dc-row" role="group" aria-label="{one[:1].upper()}{one[1:]}">{fields}'
        f'<button type="button" class="dc-button dc-remove" aria-label="Remove this {one}" '
        f'title="Remove this {one}">✕</button></div>'
    )


def column_html(
    entry: InputField, column: InputField, index: int | str, prefix: str, typed: Mapping[str, str]
) -> str:
    """One field of a row; a new row starts from the column's default."""
    name = f"{entry.name}[{index}].{column.name}"
    fallback = "" if column.required else typed_field(column, column.default, name)[name]
    help_id = column_help(entry, column, prefix) if column.kind.help else ""
    return field_html(name, column.kind, prefix, typed.get(name, fallback), row_help=help_id)


def column_help(entry: InputField, column: InputField, prefix: str) -> str:
    """The id of a column's help, which stands once above all rows."""
    return f"{prefix}-{entry.name}[].{column.name}-help"


def bands_html(entry: InputField, prefix: str, typed: Mapping[str, str]) -> str:
    """31 small fields under their band names."""
    kind = entry.kind
    assert isinstance(kind, Bands)
    number = Number(kind.label, kind.quantity, kind.low, kind.high)
    cells = "".join(
        field_html(
            f"{entry.name}[{index}]",
            number,
            prefix,
            typed.get(f"{entry.name}[{index}]", "0"),
            label=f"{band[:-1]} kHz" if band.endswith("k") else f"{band} Hz",
        )
        for index, band in enumerate(BAND_NAMES)
    )
    help_text = f'<p class="dc-help">{text(kind.help)}</p>' if kind.help else ""
    return (
        f'<fieldset class="dc-bands"><legend>{text(kind.label)}</legend>{help_text}'
        f'<p class="dc-error" id="{prefix}-{entry.name}-error" data-error="{entry.name}" hidden></p>'
        f'<div class="dc-band-list">{cells}</div></fieldset>'
    )


def field_html(
    name: str, kind: Input, prefix: str, value: str, label: str = "", row_help: str | None = None
) -> str:
    """Label, field, unit, help and a place for the error.

    ``row_help`` is given for a field of a row: the id of the help above the rows, or nothing.
    """
    identity = f"{prefix}-{name}"
    in_row = row_help is not None
    own_help = f"{identity}-help" if kind.help and not in_row else ""
    help_id = row_help or own_help
    described = " ".join(filter(None, (f"{identity}-error", help_id)))
    attributes = f'id="{text(identity)}" name="{text(name)}" aria-describedby="{text(described)}"'
    unit = shown_unit(kind, in_row)
    help_text = f'<p class="dc-help" id="{text(own_help)}">{text(kind.help)}</p>' if own_help else ""
    choice = (
        ""
        if in_row or not isinstance(kind, Number)
        else unit_choice(name, kind, prefix, f"Unit of {kind.label.lower()}")
    )
    return (
        f'<div class="dc-field"><label for="{text(identity)}">{text(label or kind.label)}{unit}</label>'
        f'<div class="dc-control">{control(kind, attributes, value)}{choice}</div>{help_text}'
        f'<p class="dc-error" id="{text(identity)}-error" data-error="{text(name)}" hidden></p></div>'
    )


def shown_unit(kind: Input, in_row: bool) -> str:
    """The unit behind a label, where no selection of units stands beside the field."""
    if not isinstance(kind, Number) or kind.options:
        return ""
    if len(kind.shown_units()) > 1 and not in_row:
        return ""
    symbol = kind.quantity.unit(kind.show).symbol
    mark = ' data-unit="shown"' if in_row and len(kind.shown_units()) > 1 else ""
    return f' <span class="dc-unit"{mark}>{text(symbol)}</span>' if symbol else ""


def control(kind: Input, attributes: str, value: str) -> str:
    """The field itself."""
    if isinstance(kind, Choice):
        return select(attributes, [(word, shown) for word, shown in kind.options.items()], value)
    if isinstance(kind, Flag):
        return select(attributes, [("yes", "yes"), ("no", "no")], value)
    if isinstance(kind, CurveText):
        return (
            f'<textarea {attributes} rows="6" spellcheck="false" autocomplete="off">{text(value)}</textarea>'
        )
    if isinstance(kind, File):
        return f'<input {attributes} type="file" accept="{text(kind.accept)}">'
    if isinstance(kind, Number) and kind.options:
        options = [(label, label) for label, _ in kind.options]
        if kind.optional:
            options.insert(0, ("", kind.empty or "none"))
        return select(attributes, options, value)
    assert isinstance(kind, Number | Text)
    return (
        f'<input {attributes} type="text" {keypad(kind)}autocomplete="off" value="{text(value)}"{hint(kind)}>'
    )


def keypad(kind: Number | Text) -> str:
    """A number keypad, but not where a minus may be wanted: many keypads have none."""
    return 'inputmode="decimal" ' if isinstance(kind, Number) and kind.low >= 0 else ""


def hint(kind: Number | Text) -> str:
    """What an empty field stands for."""
    empty = kind.empty if isinstance(kind, Number) else ""
    return f' placeholder="{text(empty)}"' if empty else ""


def select(attributes: str, options: list[tuple[str, str]], value: str) -> str:
    """A selection with the value chosen; a value that is none of the options is offered, too."""
    if value not in dict(options):
        options = [*options, (value, value)]
    inner = "".join(
        f'<option value="{text(word)}"{" selected" if word == value else ""}>{text(shown)}</option>'
        for word, shown in options
    )
    return f"<select {attributes}>{inner}</select>"


def unit_choice(name: str, kind: Number, prefix: str, label: str) -> str:
    """A selection of units, where there is more than one."""
    units = kind.shown_units()
    if len(units) < 2 or kind.options:
        return ""
    identity = f"{prefix}-{name}-unit"
    options = "".join(f'<option value="{text(unit)}">{text(unit)}</option>' for unit in units)
    choice = f'<select id="{text(identity)}" name="{text(name)}:unit" class="dc-unit-choice" '
    if "[]" in name:
        name_of = f'<label for="{text(identity)}">{text(label)}</label>'
        return f'<span class="dc-unit-of">{name_of} {choice}>{options}</select></span>'
    return f'{choice}aria-label="{text(label)}">{options}</select>'
