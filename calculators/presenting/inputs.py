"""Every kind of input as fields of a form and as words: one table from kind to renderer."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import isclose
from typing import Any

from calculators.declaring import (
    Bands,
    Choice,
    Curve,
    CurveText,
    Day,
    Exact,
    File,
    Flag,
    InputField,
    Kept,
    Number,
    Rows,
    Text,
)
from calculators.declaring.curve_reading import LONGEST_CURVE
from calculators.declaring.inputs import Kind
from calculators.declaring.numerals import typographic
from calculators.presenting.escaping import text
from calculators.presenting.numbers import with_unit
from calculators.presenting.recorder import recorder_html

BAND_NAMES = tuple(
    "20 25 31.5 40 50 63 80 100 125 160 200 250 315 400 500 630 800 1k 1.25k 1.6k 2k 2.5k "  # noqa: SIM905
    "3.15k 4k 5k 6.3k 8k 10k 12.5k 16k 20k".split()
)
NEW_ROW = "__row__"
LONG_ROW = 7
"""Fields of a row from which on it is one line, opened to be edited."""
LONG_CHOICE = 24
"""Letters of a choice that is cut off in half the width of a phone: in a row it takes two places."""
NOT_GIVEN = "not given"
TYPED = 'autocomplete="off" enterkeyhint="next"'
UNSPELT = 'spellcheck="false" autocomplete="off"'
SIGN_KEY = (
    '<button type="button" class="dc-sign" tabindex="-1" title="Change the sign" '
    'aria-label="Change the sign">±</button>'
)
"""Many number keypads of phones have no minus; a keyboard has, so Tab leaves this key out."""
MOST_BESIDE, MOST_SIGNS = 4, 20
"""What stands side by side in a field of the narrowest phone: so many words, so many signs in all."""


def entry_html(entry: InputField, prefix: str, typed: Mapping[str, str]) -> str:
    """One input: a field, or a set of rows or bands."""
    return renderer(entry.kind).fields(entry, prefix, typed)


def shown_input(entry: InputField, value: Any, unit: str | None = None) -> str:
    """One input value as text, in the unit it is typed in by default, or a number in the unit given."""
    if unit and isinstance(entry.kind, Number):
        return number_words(entry.kind, value, unit)
    return renderer(entry.kind).words(entry.kind, value)


def one_field(entry: InputField, prefix: str, typed: Mapping[str, str]) -> str:
    """An input that is one field."""
    return field_html(
        entry.name, entry.kind, prefix, typed.get(entry.name, ""), carried=carried_attributes(entry)
    )


def file_fields(entry: InputField, prefix: str, typed: Mapping[str, str]) -> str:
    """A file's field, and the recorder that can fill it."""
    assert isinstance(entry.kind, File)
    field = one_field(entry, prefix, typed)
    return field + recorder_html(entry.name, prefix) if entry.kind.records else field


def carried_attributes(entry: InputField) -> str:
    """What the page must know to offer what was typed here on another form (`offers.js`)."""
    units = entry.kind.units_offered()
    known = {
        "input": entry.name,
        "label": entry.kind.label,
        "means": entry.kind.meaning(),
        "only-unit": units[0] if len(units) == 1 else "",
    }
    return "".join(f' data-{name}="{text(value)}"' for name, value in known.items() if value)


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
    )
    units = f'<div class="dc-units">{units}</div>' if units else ""
    # Folded, the summary shows what they are called.
    label = f' aria-label="{text(kind.label)}"' if kind.fold else ""
    legend = "" if kind.fold else f"<legend>{text(kind.label)}</legend>"
    fieldset = (
        f'<fieldset class="dc-rows" data-rows="{entry.name}"{carried_attributes(entry)} '
        f'data-least="{kind.at_least}" data-most="{kind.at_most}"{label}>'
        f"{legend}{help_text}{units}"
        f'<p class="dc-error" id="{prefix}-{entry.name}-error" data-error="{entry.name}" hidden></p>'
        f'<div class="dc-row-list">{rows}</div>'
        f"<template>{row_html(entry, NEW_ROW, prefix, {})}</template>"
        f'<button type="button" class="dc-button dc-add">Add a {text(kind.one)}</button>'
        "</fieldset>"
    )
    if not kind.fold:
        return fieldset
    return (
        f'<details class="dc-more"><summary>{text(kind.label)}</summary>'
        f'<div class="dc-more-fields">{fieldset}</div></details>'
    )


def row_html(entry: InputField, index: int | str, prefix: str, typed: Mapping[str, str]) -> str:
    """One row of fields with its remove button."""
    assert isinstance(entry.kind, Rows)
    fields = "".join(column_html(entry, column, index, prefix, typed) for column in entry.columns)
    one = text(entry.kind.one)
    label = f'aria-label="{one[:1].upper()}{one[1:]}"'
    fields += (
        f'<button type="button" class="dc-button dc-remove" aria-label="Remove this {one}" '
        f'title="Remove this {one}">✕</button>'
    )
    if len(entry.columns) < LONG_ROW:
        return f'<div class="dc-row" role="group" {label}>{fields}</div>'
    line = text(line_words(entry, index, typed))
    return (
        f'<details class="dc-row dc-line" {label}><summary><span data-line>{line}</span></summary>'
        f'<div class="dc-line-fields">{fields}</div></details>'
    )


def line_words(entry: InputField, index: int | str, typed: Mapping[str, str]) -> str:
    """A long row in one line: what its fields hold, as `rows.js` goes on telling it."""
    told = []
    for column in entry.columns:
        given = cell_text(entry, column, index, typed)
        if not given:
            continue
        unit = "" if getattr(column.kind, "options", ()) else " ".join(column.kind.units_offered()[:1])
        shown = column.kind.options[given] if isinstance(column.kind, Choice) else f"{given} {unit}".strip()
        told.append(shown)
    return ", ".join(told)


def cell_text(entry: InputField, column: InputField, index: int | str, typed: Mapping[str, str]) -> str:
    """What a field of a row holds; a new row starts from the column's default."""
    name = f"{entry.name}[{index}].{column.name}"
    return typed.get(name, "" if column.required else column.kind.write_text(name, column.default)[name])


def column_html(
    entry: InputField, column: InputField, index: int | str, prefix: str, typed: Mapping[str, str]
) -> str:
    """One field of a row."""
    name = f"{entry.name}[{index}].{column.name}"
    help_id = column_help(entry, column, prefix) if column.kind.help else ""
    return field_html(name, column.kind, prefix, cell_text(entry, column, index, typed), row_help=help_id)


def column_help(entry: InputField, column: InputField, prefix: str) -> str:
    """The id of a column's help, which stands once above all rows."""
    return f"{prefix}-{entry.name}[].{column.name}-help"


def bands_html(entry: InputField, prefix: str, typed: Mapping[str, str]) -> str:
    """31 small fields under their band names."""
    kind = entry.kind
    assert isinstance(kind, Bands)
    cells = "".join(
        field_html(
            f"{entry.name}[{index}]",
            kind.cell,
            prefix,
            typed.get(f"{entry.name}[{index}]", "0"),
            label=f"{band[:-1]} kHz" if band.endswith("k") else f"{band} Hz",
        )
        for index, band in enumerate(BAND_NAMES)
    )
    help_text = f'<p class="dc-help">{text(kind.help)}</p>' if kind.help else ""
    return (
        f'<fieldset class="dc-bands"{carried_attributes(entry)}>'
        f"<legend>{text(kind.label)}</legend>{help_text}"
        f'<p class="dc-error" id="{prefix}-{entry.name}-error" data-error="{entry.name}" hidden></p>'
        f'<div class="dc-band-list">{cells}</div>'
        '<button type="button" class="dc-button dc-flat">All to 0</button></fieldset>'
    )


def field_html(
    name: str,
    kind: Kind,
    prefix: str,
    value: str,
    label: str = "",
    row_help: str | None = None,
    carried: str = "",
) -> str:
    """Label, field, unit and help; ``carried`` is attributes of an input's own field.

    The page makes the place for what is wrong with it where there is anything: nearly all fields are right.
    ``row_help`` is given for a field of a row: the id of the help above the rows, or nothing.
    """
    identity = f"{prefix}-{name}"
    in_row = row_help is not None
    own_help = f"{identity}-help" if kind.help and not in_row else ""
    help_id = row_help or own_help
    unit = shown_unit(kind, in_row, f"{identity}-in")
    unit_id = f"{identity}-in" if unit else ""
    described = " ".join(filter(None, (unit_id, help_id)))
    attributes = f'id="{text(identity)}" name="{text(name)}"'
    if described:
        attributes += f' aria-describedby="{text(described)}"'
    help_text = f'<p class="dc-help" id="{text(own_help)}">{text(kind.help)}</p>' if own_help else ""
    choice = "" if in_row else unit_choice(name, kind, prefix, f"Unit of {kind.label.lower()}")
    beside = "" if in_row else beside_each_other(kind, value)
    control = renderer(kind).control
    assert control is not None
    broad = in_row and isinstance(kind, Choice) and max(map(len, kind.options.values())) > LONG_CHOICE
    return (
        f'<div class="dc-field{" dc-broad" if broad else ""}"{carried}>'
        f'<label for="{text(identity)}">{text(label or kind.label)}</label>'
        f'<div class="dc-control">{control(kind, attributes, value)}{beside}{unit}{choice}</div>'
        f"{help_text}</div>"
    )


def shown_unit(kind: Kind, in_row: bool, identity: str) -> str:
    """The unit behind a field, where no selection of units stands beside the field."""
    units = kind.units_offered()
    if not units or (len(units) > 1 and not in_row):
        return ""
    mark = ' data-unit="shown"' if len(units) > 1 else ""
    return f'<span class="dc-unit" id="{text(identity)}"{mark}>{text(units[0])}</span>' if units[0] else ""


def unit_choice(name: str, kind: Kind, prefix: str, label: str) -> str:
    """A selection of units, where there is more than one."""
    units = kind.units_offered()
    if len(units) < 2:
        return ""
    identity = f"{prefix}-{name}-unit"
    assert isinstance(kind, Number)
    options = "".join(
        f'<option value="{text(unit.symbol)}" data-factor="{unit.factor}" data-offset="{unit.offset}">'
        f"{text(unit.symbol)}</option>"
        for unit in map(kind.quantity.unit, units)
    )
    choice = (
        f'<select id="{text(identity)}" name="{text(name)}:unit" class="dc-unit-choice" '
        f'data-low="{kind.low}" data-high="{kind.high}" '
    )
    if "[]" in name:
        name_of = f'<label for="{text(identity)}">{text(label)}</label>'
        return f'<span class="dc-unit-of">{name_of} {choice}>{options}</select></span>'
    return f'{choice}aria-label="{text(label)}">{options}</select>'


def offered(kind: Kind) -> dict[str, str]:
    """What a selection offers: each word with what the reader sees; nothing where something is typed."""
    if isinstance(kind, Choice):
        return dict(kind.options)
    if isinstance(kind, Flag):
        return {"yes": "yes", "no": "no"}
    if isinstance(kind, Number) and kind.options:
        none = {"": kind.empty or "none"} if kind.optional else {}
        return none | {label: label for label, _ in kind.options}
    return {}


def beside_each_other(kind: Kind, value: str) -> str:
    """Few short words of a selection side by side, each one tap away; nothing where they would not fit.

    They lie over the selection, which stays the field: the keyboard and a screen reader meet it alone, and
    the style shows which of its words is chosen.
    """
    words = offered(kind)
    fit = 1 < len(words) <= MOST_BESIDE and sum(map(len, words.values())) <= MOST_SIGNS
    if not fit or value not in words:
        return ""
    inner = "".join(f"<span>{text(shown)}</span>" for shown in words.values())
    return f'<span class="dc-beside" aria-hidden="true">{inner}</span>'


def selection(kind: Kind, attributes: str, value: str) -> str:
    """A selection with the value chosen; a value that is none of the options is offered, too."""
    options = {**offered(kind)}
    options.setdefault(value, value)
    inner = "".join(
        f'<option value="{text(word)}"{" selected" if word == value else ""}>{text(shown)}</option>'
        for word, shown in options.items()
    )
    return f"<select {attributes}>{inner}</select>"


def number_control(kind: Number, attributes: str, value: str) -> str:
    """A field for a number, or a selection of its sizes."""
    if kind.options:
        return selection(kind, attributes, value)
    hint = f' placeholder="{text(kind.empty)}"' if kind.empty else ""
    field = f'<input {attributes} type="text" inputmode="decimal" {TYPED} value="{text(value)}"{hint}>'
    return SIGN_KEY + field if kind.low < 0 else field


def exact_control(kind: Exact, attributes: str, value: str) -> str:
    """A field for digits."""
    hint = f' placeholder="{text(kind.empty)}"' if kind.empty else ""
    field = f'<input {attributes} type="text" inputmode="decimal" {TYPED} value="{text(value)}"{hint}>'
    return SIGN_KEY + field if kind.low.startswith("-") else field


def day_control(_: Day, attributes: str, value: str) -> str:
    """A field for a date."""
    return (
        f'<input {attributes} type="text" inputmode="numeric" {TYPED} value="{text(value)}" '
        'placeholder="2031-05-14">'
    )


def text_control(_: Text, attributes: str, value: str) -> str:
    """A field for a short text."""
    return f'<input {attributes} type="text" {TYPED} value="{text(value)}">'


def curve_control(_: CurveText, attributes: str, value: str) -> str:
    """A field of several lines, and the button that opens a file into it.

    It takes a letter more than is read: what is pasted whole is told that it is too long.
    """
    return (
        f'<textarea {attributes} rows="6" maxlength="{LONGEST_CURVE + 1}" {UNSPELT}>{text(value)}</textarea>'
        "<doorcard-open-text></doorcard-open-text>"
    )


def file_control(kind: File, attributes: str, _: str) -> str:
    """A chooser of files."""
    several = ' multiple="multiple"' if kind.together else ""
    return f'<input {attributes} type="file" accept="{text(kind.accept)}"{several}>'


def number_words(kind: Number, value: float | None, symbol: str | None = None) -> str:
    """A number in the unit given, or in the one it is typed in by default, or the size's own name."""
    if value is None:
        return kind.empty or NOT_GIVEN
    for label, size in kind.options:
        if isclose(size, value):
            return label
    unit = kind.quantity.unit(symbol or kind.show)
    return with_unit(typographic(unit.to_typed(value)), unit)


def exact_words(kind: Exact, value: str | None) -> str:
    """The digits with their sign."""
    if value is None:
        return kind.empty or NOT_GIVEN
    sign = f" {kind.sign}" if kind.sign and not kind.percent else kind.sign
    return f"{typographic(kind.digits_shown(value))}{sign}"


def choice_words(kind: Choice, value: str | None) -> str:
    """What the reader sees for a word."""
    return NOT_GIVEN if value is None else kind.options[value]


def flag_words(_: Flag, value: bool | None) -> str:
    """Yes or no."""
    return NOT_GIVEN if value is None else "yes" if value else "no"


def text_words(_: Text | Day, value: str | None) -> str:
    """The text itself."""
    return NOT_GIVEN if value is None else value


def rows_words(kind: Rows, value: tuple[object, ...] | None) -> str:
    """How many rows there are."""
    return f"{len(value)} of {kind.label.lower()}" if value else "none"


def bands_words(_: Bands, value: tuple[float, ...] | None) -> str:
    """The numbers in a row."""
    return ", ".join(f"{number:g}" for number in value) if value else NOT_GIVEN


def curve_words(_: CurveText, value: Curve | None) -> str:
    """How many points it has."""
    return f"{len(value.frequency)} points" if value else NOT_GIVEN


def file_words(kind: File, value: Kept | None) -> str:
    """The file's name."""
    return value.name if value else kind.empty or NOT_GIVEN


def number_range(kind: Number) -> list[str]:
    """The sizes, or the range in the unit first shown and the other units."""
    if kind.options:
        return ["one of " + ", ".join(label for label, _ in kind.options)]
    symbol = f" {kind.unit.symbol}" if kind.unit.symbol else ""
    ends = f"{kind.unit.to_typed(kind.low)} to {kind.unit.to_typed(kind.high)}{symbol}"
    units = kind.shown_units()
    return [ends, f"units: {', '.join(units)}"] if len(units) > 1 else [ends]


def exact_range(kind: Exact) -> list[str]:
    """The range, and how many decimals."""
    ends = (exact_words(kind, end) for end in (kind.low, kind.high))
    return [" to ".join(ends), f"{kind.places - 2 * kind.percent} decimals at most"]


def choice_range(kind: Choice) -> list[str]:
    """The words."""
    return ["one of " + ", ".join(kind.options)]


def no_range(_: Kind) -> list[str]:
    """Nothing to say: any text, any file."""
    return []


@dataclass(frozen=True)
class Renderer:
    """How one kind of input is shown.

    ``words`` is a value as text, ``range`` what a terminal says of the values there can be. A kind
    that is one field gives its ``control``; one of several fields draws all of them, ``fields``.
    """

    words: Callable[[Any, Any], str]
    control: Callable[[Any, str, str], str] | None = None
    fields: Callable[[InputField, str, Mapping[str, str]], str] = one_field
    range: Callable[[Any], list[str]] = no_range


RENDERERS: dict[type[Kind], Renderer] = {
    Number: Renderer(number_words, number_control, range=number_range),
    Exact: Renderer(exact_words, exact_control, range=exact_range),
    Choice: Renderer(choice_words, selection, range=choice_range),
    Flag: Renderer(flag_words, selection),
    Text: Renderer(text_words, text_control),
    Day: Renderer(text_words, day_control),
    Rows: Renderer(rows_words, fields=rows_html),
    Bands: Renderer(bands_words, fields=bands_html),
    CurveText: Renderer(curve_words, curve_control),
    File: Renderer(file_words, file_control, fields=file_fields),
}


def renderer(kind: Kind) -> Renderer:
    """How a kind of input is shown."""
    return RENDERERS[type(kind)]
