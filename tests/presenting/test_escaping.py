"""Text from outside stays text, wherever it is shown."""

from html import unescape
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

TEXT_PLACES = [
    (
        calculator,
        f"{entry.name}[0].{column.name}" if column else entry.name,
        (column or entry).kind.longest,
        bool((column or entry).kind.pattern),
    )
    for calculator in every_calculator()
    for entry in calculator.inputs
    for column in entry.columns or (None,)
    if isinstance((column or entry).kind, Text)
]

# A text that has to be another row's name, or by which other rows call this one: what is none is refused.
NAMES_A_ROW = {
    ("level-trim", "channels[0].set_to"),
    ("quote", "lines[0].needs"),
    ("job-hours", "tasks[0].name"),
    ("job-hours", "tasks[0].after"),
    ("job-hours", "tasks[0].by"),
    ("job-hours", "people[0].name"),
}

every_text = pytest.mark.parametrize(
    ("calculator", "place", "longest", "formed"),
    TEXT_PLACES,
    ids=[f"{calculator.slug}-{place}" for calculator, place, *_ in TEXT_PLACES],
)


@given(st.text())
def test_any_text_comes_back_as_it_was(value: str) -> None:
    parsed = ElementTree.fromstring(f'<p class="{text(value)}">{text(value)}</p>')
    shown = unescape(text(value))
    assert (parsed.text or "") == shown.replace("\r\n", "\n").replace("\r", "\n")
    assert not set(text(value)) & set("<>\"'\x00\x1b\ud800")
    readable = value.isprintable()
    assert shown == value if readable else len(shown) == len(value)


@pytest.mark.parametrize("hostile", HOSTILE)
@pytest.mark.parametrize(
    ("calculator", "place", "longest", "formed"),
    TEXT_PLACES,
    ids=[f"{entry[0].slug}-{entry[1]}" for entry in TEXT_PLACES],
)
def test_hostile_text_stays_text(
    calculator: Calculator, place: str, longest: int, formed: bool, hostile: str
) -> None:
    plain, changed = (
        run_values(calculator, with_value(calculator, place, name)) for name in ("name", hostile[:longest])
    )
    shown = result_html(changed)
    assert elements(shown) == elements(result_html(plain))
    if formed or (calculator.slug, place) in NAMES_A_ROW:
        assert len(changed.errors) == 1
        assert hostile not in shown
        return
    assert changed.errors == ()
    assert text(hostile[:longest]) in shown


@pytest.mark.parametrize("hostile", HOSTILE)
@pytest.mark.parametrize(
    ("calculator", "place", "longest", "formed"),
    TEXT_PLACES,
    ids=[f"{entry[0].slug}-{entry[1]}" for entry in TEXT_PLACES],
)
def test_hostile_text_stays_text_in_the_form(
    calculator: Calculator, place: str, longest: int, formed: bool, hostile: str
) -> None:
    plain, shown = (
        form(calculator, "one", with_value(calculator, place, name)) for name in ("name", hostile)
    )
    assert elements(shown) == elements(plain)
    field = next(element for element in fragment(shown).iter() if element.get("name") == place)
    assert field.get("value") == unescape(text(hostile))


def fragment(markup: str) -> ElementTree.Element:
    """What a browser makes of it; any error of nesting or syntax fails."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    root: ElementTree.Element = parser.parseFragment(markup)
    return root


def elements(markup: str) -> list[tuple[object, tuple[str, ...]]]:
    """Every element and the names of its attributes."""
    return [(element.tag, tuple(sorted(element.keys()))) for element in fragment(markup).iter()]
