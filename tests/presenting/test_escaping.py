"""Text from outside stays text, wherever it is shown."""

import re
import unicodedata
from dataclasses import replace
from functools import cache
from html import escape, unescape
from xml.etree import ElementTree

import html5lib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import Calculator, Text, run_values
from calculators.presenting.escaping import text
from calculators.presenting.forms import form
from calculators.presenting.results import result_html
from calculators.stages import every_calculator
from tests.strategies import HOSTILE
from tests.variations import with_value


def places_of(calculator: Calculator) -> list[tuple[str, int, bool]]:
    """Where a calculator takes text, how long it may be, and whether it has to have a form."""
    return [
        (f"{entry.name}[0].{column.name}" if column else entry.name, kind.longest, bool(kind.pattern))
        for entry in calculator.inputs
        for column in entry.columns or (None,)
        if isinstance(kind := (column or entry).kind, Text)
    ]


# A text that has to be another row's name, or by which other rows call this one: what is none is refused.
NAMES_A_ROW = {
    ("level-trim", "channels[0].set_to"),
    ("read-back", "channels[0].name"),
    ("tune", "turned"),
    ("read-back", "filters[0].name"),
    ("quote", "lines[0].needs"),
    ("job-hours", "tasks[0].name"),
    ("job-hours", "tasks[0].after"),
    ("job-hours", "tasks[0].by"),
    ("job-hours", "people[0].name"),
    ("response", "speaker"),
}
NUMBER_ALONE = {("guided-tune", "again[0].name")}
"""A text of which a number is read, and nothing is shown."""
REFUSED = {
    ("response", "speaker"): "1",
    ("tune", "channels[0].name"): "1",
    ("guided-tune", "channels[0].name"): "1",
}
"""A plain text that is refused, where a name by itself is taken and hostile text is not."""


@given(st.text())
def test_any_text_comes_back_as_it_was(value: str) -> None:
    parsed = ElementTree.fromstring(f'<p class="{text(value)}">{text(value)}</p>')
    shown = unescape(text(value))
    assert (parsed.text or "") == shown.replace("\r\n", "\n").replace("\r", "\n")
    assert not set(text(value)) & set("<>\"'\x00\x1b\ud800")
    readable = value.isprintable()
    assert shown == value if readable else len(shown) == len(value)


@given(st.text() | st.text("&<>\"'\0\x7f\x9f a−"))
def test_what_needs_no_change_is_found_as_such(value: str) -> None:
    written = "".join("\ufffd" if cannot_be_written(sign) else sign for sign in value)
    assert text(value) == escape(written, quote=True)


def cannot_be_written(sign: str) -> bool:
    control = unicodedata.category(sign) in {"Cc", "Cs"} and sign not in "\t\n\r"
    return control or 0xFDD0 <= ord(sign) <= 0xFDEF or sign in "\ufffe\uffff"


every_text = pytest.mark.parametrize(
    "calculator", list(filter(places_of, every_calculator())), ids=lambda calculator: calculator.slug
)


@every_text
def test_hostile_text_stays_text(calculator: Calculator) -> None:
    for place, longest, formed in places_of(calculator):
        refused = formed or (calculator.slug, place) in NAMES_A_ROW

        @cache
        def plain(usual: str, place: str = place) -> list[tuple[object, tuple[str, ...]]]:
            return elements(
                fragment(result_html(run_values(calculator, with_value(calculator, place, usual))))
            )

        for hostile in HOSTILE:
            alike = re.sub("[<>&\"']", "n", hostile[:longest])  # Long words stack a table or break a line.
            usual = REFUSED.get((calculator.slug, place), "name") if refused else alike
            changed = run_values(calculator, with_value(calculator, place, hostile[:longest]))
            shown = result_html(changed)
            if (calculator.slug, place) in NUMBER_ALONE:
                assert not re.search("[<>&\"']", hostile) or hostile not in shown, place
                continue
            assert elements(fragment(shown)) == plain(usual), place
            if refused:
                assert len(changed.errors) == 1, place
                assert hostile not in shown
            else:
                assert changed.errors == (), place
                assert text(hostile[:longest]) in shown


@every_text
def test_hostile_text_stays_text_in_the_form(calculator: Calculator) -> None:
    plain = elements(fragment(filled_form(calculator, "name")))
    for hostile in HOSTILE:
        shown = fragment(filled_form(calculator, hostile))
        assert elements(shown) == plain
        held = {element.get("name"): element.get("value") for element in shown.iter()}
        for place, *_ in places_of(calculator):
            assert held[place] == unescape(text(hostile)), place


def filled_form(calculator: Calculator, name: str) -> str:
    """The form of the example with that text wherever it takes text."""
    for place, *_ in places_of(calculator):
        calculator = replace(calculator, example=with_value(calculator, place, name))
    return form(calculator, "one", calculator.example)


def fragment(markup: str) -> ElementTree.Element:
    """What a browser makes of it; any error of nesting or syntax fails."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    root: ElementTree.Element = parser.parseFragment(markup)
    return root


def elements(root: ElementTree.Element) -> list[tuple[object, tuple[str, ...]]]:
    """Every element and the names of its attributes."""
    return [(element.tag, tuple(sorted(element.keys()))) for element in root.iter()]
