"""Forms: what a browser and a screen reader meet, for every calculator."""

import re
from xml.etree import ElementTree

import html5lib
import pytest

from calculators.declaring import Calculator, Number, Rows, example_fields, run_typed
from calculators.declaring.quantities import Unit
from calculators.presenting.forms import form
from calculators.presenting.inputs import NEW_ROW
from calculators.stages import every_calculator, find_calculator

WITH_FORM = [calculator for calculator in every_calculator() if calculator.inputs]
every = pytest.mark.parametrize("calculator", WITH_FORM, ids=lambda calculator: calculator.slug)
FIELDS = ("input", "select", "textarea")


def parsed(calculator: Calculator, prefix: str = "one") -> ElementTree.Element:
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    root: ElementTree.Element = parser.parseFragment(form(calculator, prefix))
    return root


def fields(root: ElementTree.Element) -> list[ElementTree.Element]:
    return [element for element in root.iter() if element.tag in FIELDS]


def typed_in(root: ElementTree.Element) -> dict[str, str]:
    """What the page's script would send: the text in every named field, but in the template of a row."""
    spare = {field for template in root.iter("template") for field in fields(template)}
    named = [(name, field) for field in fields(root) if (name := field.get("name"))]
    return {name: value_of(field) for name, field in named if field not in spare}


def value_of(field: ElementTree.Element) -> str:
    if field.tag == "input":
        return field.get("value", "")
    if field.tag == "textarea":
        return field.text or ""
    options = list(field.iter("option"))
    chosen = next((option for option in options if option.get("selected") is not None), options[0])
    return chosen.get("value", "")


@every
def test_form_holds_the_example(calculator: Calculator) -> None:
    typed = typed_in(parsed(calculator))
    wanted = example_fields(calculator)
    assert {name: text for name, text in typed.items() if not name.endswith(":unit")} == wanted
    outcome = run_typed(calculator, typed)
    assert outcome.errors == ()
    assert outcome.arguments == run_typed(calculator, wanted).arguments


@every
def test_every_field_has_a_label_and_stands_where_its_error_can(calculator: Calculator) -> None:
    """Beside it, in a `dc-field`, the page makes the place when there is anything to say."""
    root = parsed(calculator)
    by_id = {element.get("id"): element for element in root.iter() if element.get("id")}
    assert len(by_id) == len([element for element in root.iter() if element.get("id")])
    labelled = {label.get("for") for label in root.iter("label") if "".join(label.itertext()).strip()}
    errors = {element.get("data-error") for element in root.iter() if element.get("data-error")}
    holders = [part for part in root.iter() if "dc-field" in (part.get("class") or "").split()]
    held = {field.get("name") for holder in holders for field in fields(holder)}
    for field in fields(root):
        assert field.get("id") in labelled or field.get("aria-label")
        for identity in (field.get("aria-describedby") or "").split():
            assert identity in by_id
        name = field.get("name", "")
        assert name == "" or name.endswith(":unit") or name in held
    assert {entry.name for entry in calculator.inputs if entry.columns} <= errors


@every
def test_fields_are_locked_until_the_script_has_come(calculator: Calculator) -> None:
    """So that no number can be typed over an answer that nobody would mark."""
    root = parsed(calculator)
    (form_,) = [part for part in root.iter("fieldset") if "dc-form" in (part.get("class") or "")]
    assert form_.get("disabled") is not None
    assert set(fields(root)) == set(fields(form_))


@every
def test_few_short_words_lie_side_by_side(calculator: Calculator) -> None:
    """The same rule for every selection: four words of twenty signs in all, in a field of its own."""
    for control in (part for part in parsed(calculator).iter("div") if part.get("class") == "dc-control"):
        for choice in (
            part for part in control if part.tag == "select" and ":unit" not in part.get("name", "")
        ):
            words = [option.text or "" for option in choice]
            beside = [word.text for part in control if part.get("class") == "dc-beside" for word in part]
            fit = 1 < len(words) <= 4 and len("".join(words)) <= 20 and "]." not in choice.get("name", "")
            assert beside == (words if fit else []), choice.get("name")


def test_a_long_choice_in_a_row_takes_two_places() -> None:
    """Half the width of a phone cut the sensor of a door to “acceleratio…”, whichever it was."""
    root = parsed(find_calculator("treatment-plan"))
    broad = {
        select.get("name")
        for place in root.iter("div")
        if "dc-broad" in (place.get("class") or "")
        for select in place.iter("select")
    }
    assert "doors[0].sensor" in broad
    assert "doors[0].place" not in broad


@every
def test_ids_of_two_forms_on_a_page_differ(calculator: Calculator) -> None:
    first, second = (
        {element.get("id") for element in parsed(calculator, prefix).iter() if element.get("id")}
        for prefix in ("one", "two")
    )
    assert first
    assert not first & second


@every
def test_a_new_row_is_numbered_by_the_script(calculator: Calculator) -> None:
    root = parsed(calculator)
    for entry in calculator.inputs:
        if isinstance(entry.kind, Rows):
            rows = next(element for element in root.iter() if element.get("data-rows") == entry.name)
            names = {field.get("name") for field in fields(next(rows.iter("template")))}
            assert names == {f"{entry.name}[{NEW_ROW}].{column.name}" for column in entry.columns}
            assert (rows.get("data-least"), rows.get("data-most")) == (
                str(entry.kind.at_least),
                str(entry.kind.at_most),
            )


@every
def test_a_minus_can_be_typed_where_it_may_be_needed(calculator: Calculator) -> None:
    """Many number keypads of phones have no minus: there a key of ours stands beside the field."""
    root = parsed(calculator)
    lows = {
        f"{entry.name}[].{column.name}": getattr(column.kind, "low", 0)
        for entry in calculator.inputs
        for column in entry.columns
    } | {
        entry.name: getattr(getattr(entry.kind, "cell", entry.kind), "low", 0) for entry in calculator.inputs
    }
    for control in (part for part in root.iter("div") if part.get("class") == "dc-control"):
        (field,) = [part for part in control if part.tag in FIELDS and ":unit" not in part.get("name", "")]
        if field.tag != "input" or field.get("type") != "text" or field.get("inputmode") is None:
            continue
        name = re.sub(r"\[\w+\]", "[]", field.get("name", "")).removesuffix("[]")
        signs = [part for part in control.iter("button") if part.get("class") == "dc-sign"]
        assert len(signs) == (float(lows[name]) < 0), name
        assert field.get("enterkeyhint") == "next"


@every
def test_every_unit_tells_how_to_convert(calculator: Calculator) -> None:
    quantities = {symbol: unit for entry in units_of(calculator) for symbol, unit in entry.items()}
    for option in parsed(calculator).iter("option"):
        if option.get("data-factor") is not None:
            unit = quantities[option.get("value", "")]
            assert (option.get("data-factor"), option.get("data-offset")) == (unit.factor, unit.offset)


def units_of(calculator: Calculator) -> list[dict[str, Unit]]:
    """The units of every number, by symbol."""
    kinds = [field.kind for entry in calculator.inputs for field in (entry, *entry.columns)]
    return [{unit.symbol: unit for unit in kind.quantity.units} for kind in kinds if isinstance(kind, Number)]


def test_long_rows_are_folded_under_their_own_name() -> None:
    """The treatment plan's panels and sheets: a phone reader meets the gate first, and the answer soon."""
    folded = {
        fold.findtext("summary", ""): [rows.get("aria-label") for rows in fold.iter("fieldset")]
        for fold in parsed(find_calculator("treatment-plan")).iter("details")
        if "dc-line" not in fold.get("class", "")
    }
    assert folded["Panels and layers"] == ["Panels and layers"]
    assert folded["Sheets, as bought"] == ["Sheets, as bought"]
    assert [name for name, rows in folded.items() if not rows] == ["More settings"]
