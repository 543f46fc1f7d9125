"""Look-up tables: a calculator run once for every cell, when the site is built."""

import copy
import json
from collections.abc import Sequence
from decimal import Decimal
from math import ceil, floor, isclose
from typing import Any

from calculators.declaring import Calculator, Outcome, run_values
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import Quantity, Unit
from calculators.presenting.escaping import text
from calculators.presenting.numbers import plain, with_unit
from calculators.presenting.values import find_value, named, shown, shown_number

ROUNDINGS = {"up": ceil, "down": floor}
OF_COLUMNS = ("unit", "decimals", "round", "with_unit")

_runs: dict[tuple[str, str], Outcome] = {}


class TableError(Exception):
    """A table that cannot be made; the message says why."""


def table(calculator: Calculator, settings: dict[str, Any]) -> str:
    """A table as HTML.

    ``settings`` holds the calculator's inputs and some words of the table's own:
    ``title``; ``fold`` (true: folded away); ``mark`` (what its columns differ in: the reader may mark one);
    ``views`` (names of the tables of the page of which one is looked at, this one's first) or ``view`` (the
    place of this one among them, from 0); ``rows`` with ``input``, ``values``, ``title`` and perhaps
    ``unit``, ``added_to`` (each value is that much more than this) or ``bare`` (true: its
    unit is not named); and ``columns``: a list of ``{title, output, …inputs that differ…}``, perhaps
    with ``unit``, ``decimals``, ``round`` (``up`` for what is waited for, ``down`` for what is allowed: to
    whole numbers, or to ``decimals``) and ``with_unit`` (true: it stands in every cell), or one mapping with
    ``input``, ``values``, ``output`` and perhaps ``unit`` (of the values) and the other three.

    Raises TableError for a word that is missing or that there is not.
    """
    inputs = [entry.name for entry in calculator.inputs]
    check_words(
        "the table", settings, ("title", "rows", "columns"), ("fold", "mark", "views", "view"), inputs
    )
    rows, columns = settings.pop("rows"), settings.pop("columns")
    check_words("rows", rows, ("input", "title", "values"), ("unit", "added_to", "bare"), ())
    title, fold = settings.pop("title"), settings.pop("fold", False)
    mark, views = settings.pop("mark", ""), settings.pop("views", ())
    view = settings.pop("view", 0 if views else None)
    columns = expanded(calculator, columns) if isinstance(columns, dict) else columns
    for column in columns:
        check_words("columns", column, ("title", "output"), OF_COLUMNS, inputs)
    head = "".join(f'<th scope="col">{text(column["title"])}</th>' for column in columns)
    lines = []
    for value in rows["values"]:
        label = row_label(calculator, rows, value)
        cells = "".join(
            f"<td>{cell(calculator, settings, rows, value, dict(column))}</td>" for column in columns
        )
        lines.append(f'<tr><th scope="row">{text(label)}</th>{cells}</tr>')
    shown_as = "" if view is None else f' data-view="{view}"'
    choices = segments("Shown as", "view", views, 0) if views else ""
    if mark:
        titles = [column["title"] for column in columns]
        own = next((place for place, column in enumerate(columns) if is_usual(calculator, column)), None)
        choices += segments(mark, "mark", titles, own, shown_as)
    built = (
        f'{choices}<div class="dc-scroll" tabindex="0" role="region" aria-label="{text(title)}"{shown_as} '
        f"data-search-exclude>"
        f'<table class="dc-table dc-look-up"><caption>{text(title)}</caption><thead><tr>'
        f'<th scope="col">{text(rows["title"])}</th>{head}</tr></thead>'
        f"<tbody>{''.join(lines)}</tbody></table></div>"
    )
    return (
        f'<details class="dc-fold" data-search-exclude><summary>{text(title)}</summary>{built}</details>'
        if fold
        else built
    )


def check_words(
    place: str, given: Any, must: Sequence[str], may: Sequence[str], inputs: Sequence[str]
) -> None:
    """Refuse a part of a table that lacks a word, or has one that there is not. Raises TableError."""
    if not isinstance(given, dict):
        raise TableError(f"{place}: write it as name: value, with {', '.join(must)}")
    known = (*must, *may, *inputs)
    unknown = [word for word in given if word.partition("[")[0].partition(".")[0] not in known]
    missing = [word for word in must if word not in given]
    if unknown or missing:
        wrong = f"there is no {unknown[0]!r}" if unknown else f"it has no {missing[0]!r}"
        more = f", besides inputs: {', '.join(inputs)}" if inputs else ""
        raise TableError(f"{place}: {wrong}; it has {', '.join(must)}, perhaps {', '.join(may)}{more}")


def segments(legend: str, what: str, words: Sequence[str], chosen: int | None, more: str = "") -> str:
    """A choice of one among a few, which the page's style obeys without a script."""
    options = "".join(
        f'<label><input type="radio" autocomplete="off" name="{text(f"{what} {legend}")}"'
        f' value="{text(word)}"'
        f"{' checked' if place == chosen else ''}><span>{text(word)}</span></label>"
        for place, word in enumerate(words)
    )
    return (
        f'<fieldset class="dc-segments" data-choice="{what}"{more} data-search-exclude>'
        f"<legend>{text(legend)}</legend><div>{options}</div></fieldset>"
    )


def is_usual(calculator: Calculator, column: dict[str, Any]) -> bool:
    """Whether a column differs from the calculator's defaults in nothing."""
    defaults = {entry.name: entry.default for entry in calculator.inputs if not entry.required}
    own = {name: value for name, value in column.items() if name in defaults}
    return bool(own) and all(defaults[name] == value for name, value in own.items())


def expanded(calculator: Calculator, columns: dict[str, Any]) -> list[dict[str, Any]]:
    """One column for each value of an input."""
    inputs = [entry.name for entry in calculator.inputs]
    check_words("columns", columns, ("input", "values", "output"), OF_COLUMNS, inputs)
    unit = unit_of(calculator, columns["input"], columns.get("unit"))
    rest = {
        name: entry for name, entry in columns.items() if name not in {"input", "values", "unit", "title"}
    }
    made = []
    for value in columns["values"]:
        label = with_unit(typographic(str(value)), unit) if isinstance(value, int | float) else str(value)
        made.append({"title": label, **rest, columns["input"]: in_own_unit(value, unit)})
    return made


def row_label(calculator: Calculator, rows: dict[str, Any], value: Any) -> str:
    """What a row is called: its value with the unit."""
    if not isinstance(value, int | float):
        return str(value)
    if rows.get("bare"):
        return typographic(str(value))
    return with_unit(typographic(str(value)), unit_of(calculator, rows["input"], rows.get("unit")))


def cell(
    calculator: Calculator, settings: dict[str, Any], rows: dict[str, Any], value: Any, column: dict[str, Any]
) -> str:
    """One answer as text."""
    column.pop("title")
    output, unit, decimals = column.pop("output"), column.pop("unit", None), column.pop("decimals", None)
    with_units, way = column.pop("with_unit", False), column.pop("round", None)
    inputs = copy.deepcopy(settings)
    row_value = in_own_unit(value, unit_of(calculator, rows["input"], rows.get("unit")))
    if "added_to" in rows:
        row_value += rows["added_to"]
    put(inputs, rows["input"], row_value)
    for path, entry in column.items():
        put(inputs, path, entry)
    outcome = run_once(calculator, inputs)
    if outcome.errors:
        raise TableError("; ".join(str(error) for error in outcome.errors))
    if way is not None and way not in ROUNDINGS:
        raise TableError(f'round: "{way}" is neither up nor down')
    return text(bare_answer(outcome, output, unit, decimals, with_units, way))


def run_once(calculator: Calculator, inputs: dict[str, Any]) -> Outcome:
    """One run for all that read its answers: columns of this table and of others, examples of any page."""
    asked = calculator.slug, json.dumps(inputs, sort_keys=True)
    if asked not in _runs:
        _runs[asked] = run_values(calculator, inputs)
    return _runs[asked]


def bare_answer(
    outcome: Outcome,
    path: str,
    unit: str | None,
    decimals: int | None,
    with_units: bool,
    way: str | None = None,
) -> str:
    """An answer without its unit, which stands in the heading, unless it is asked for; ``way`` rounds it."""
    declared, value = find_value(outcome, path)
    quantity: Quantity | None = getattr(declared.kind, "quantity", None)
    if quantity is None or value is None or (getattr(declared.kind, "clock", False) and unit is None):
        return shown(declared, value)
    if way is not None:
        decimals = decimals or 0
        value = rounded(value, quantity.unit(unit or getattr(declared.kind, "show", None)), decimals, way)
    if with_units:
        return shown_number(declared.kind, value, unit, decimals)  # type: ignore[arg-type]
    shown_in = quantity.unit(unit or getattr(declared.kind, "show", None))
    places = decimals if decimals is not None or unit else getattr(declared.kind, "decimals", None)
    digits = plain(shown_in.to_shown(value), getattr(declared.kind, "figures", 4), places)
    if decimals is None and getattr(declared.kind, "trim", False) and "." in digits:
        digits = digits.rstrip("0").rstrip(".")
    return typographic(digits)


def rounded(value: float, unit: Unit, decimals: int, way: str) -> float:
    """A number whose figure in a unit is whole at so many decimals; ``way``: one of `ROUNDINGS`.

    What is whole but for the last digit of a float stays.
    """
    steps = unit.to_shown(value) * 10**decimals
    near = round(steps)
    whole = near if isclose(steps, near, rel_tol=1e-9, abs_tol=1e-9) else ROUNDINGS[way](steps)
    return float(in_own_unit(whole / 10**decimals, unit))


def unit_of(calculator: Calculator, path: str, symbol: str | None) -> Unit:
    """The unit a table's values of an input are written in. Raises KeyError for one that there is not."""
    entries = calculator.inputs
    found = None
    for part in path.split("."):
        found = named(part.partition("[")[0], entries)
        entries = found.columns
    if found is None or not hasattr(found.kind, "quantity"):
        return Unit("")
    quantity: Quantity = found.kind.quantity
    return quantity.unit(symbol or getattr(found.kind, "show", None))


def in_own_unit(value: Any, unit: Unit) -> Any:
    """A table's value in the quantity's own unit."""
    return unit.to_value(Decimal(str(value))) if isinstance(value, int | float) else value


def put(inputs: dict[str, Any], path: str, value: Any) -> None:
    """Set the input that a path such as ``speakers[1].distance`` leads to.

    Raises TableError where the table gives nothing for it to start from.
    """
    target: Any = inputs
    *before, last = path.replace("[", ".[").split(".")
    try:
        for part in before:
            target = target[int(part[1:-1])] if part.startswith("[") else target[part]
        target[last] = value
    except (KeyError, IndexError, TypeError, ValueError):
        begins = before[0] if before else path
        raise TableError(
            f"{path}: the table has no such place: give it {begins} to start from, as inputs have it"
        ) from None
