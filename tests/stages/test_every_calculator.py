"""What holds for every calculator: written once, looped over the catalogue."""

import json
import re
from math import inf, nan, nextafter
from typing import Any
from xml.etree import ElementTree

import html5lib
import pytest
from hypothesis import given, settings

from calculators.declaring import (
    Calculator,
    Outcome,
    Rows,
    answer_of,
    example_fields,
    run_typed,
    run_values,
)
from calculators.declaring.numerals import MINUS
from calculators.declaring.reading import read_typed, read_values
from calculators.presenting import plain_text
from calculators.presenting.results import result_html, spoken
from calculators.presenting.values import shown
from calculators.stages import every_calculator
from tests.examples import example_outcome
from tests.strategies import LONG_WORK, NEAR, inputs_of
from tests.variations import middle, numbers_of, plain_row, with_value

RELEASE = "0.0.0+test"
MOST_SIGNS = 16
"""Of a figure that stands in one line beside its name on a phone."""
CALCULATORS = every_calculator()
BAD_VALUES = (nan, inf, -inf, 1e308, -1e308, 10**400, "7", True, [], {})
BAD_TEXTS = ("", " ", "nan", "inf", "-inf", "1e400", "-1e400", "twelve", "1,200", "1.200,5", "3 parsecs")

every = pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda entry: entry.slug)


@every
def test_example_has_an_answer(calculator: Calculator) -> None:
    outcome = example_outcome(calculator)
    assert outcome.errors == ()
    check_answer(outcome)
    html5lib.HTMLParser(strict=True).parseFragment(result_html(outcome))


@every
def test_an_answer_is_marked_as_the_one_the_reader_came_for(calculator: Calculator) -> None:
    main = [output for output in calculator.outputs if getattr(output.kind, "main", False)]
    assert len(main) == 1
    assert main[0].kind.label in spoken(example_outcome(calculator))


@every
def test_what_is_decisive_stands_in_a_few_signs(calculator: Calculator) -> None:
    """A phone shows it in the size of a figure: of a main answer in words, what its ``brief`` names."""
    outcome = example_outcome(calculator)
    main = next(output for output in calculator.outputs if getattr(output.kind, "main", False))
    decisive = calculator.output(getattr(main.kind, "brief", "") or main.name)
    figure = shown(decisive, getattr(outcome.result, decisive.name))
    assert len(figure) <= MOST_SIGNS, f"{decisive.name} is {figure!r}: name a shorter output as its brief"


@every
def test_whole_range_gives_an_answer_or_names_the_field(calculator: Calculator) -> None:
    answered = []

    def check(inputs: dict[str, Any]) -> None:
        outcome = run_values(calculator, inputs)
        if outcome.errors:
            check_refusal(outcome)
        else:
            check_answer(outcome)
            answered.append(outcome)

    tries = settings(max_examples=settings().max_examples // LONG_WORK.get(calculator.slug, 1))
    tries(given(inputs_of(calculator))(check))()
    if not answered:  # Its rules refuse most of what is drawn: near the example more is answered.
        tries(given(inputs_of(calculator, NEAR))(check))()
    assert answered


@every
def test_form_text_gives_what_the_values_give(calculator: Calculator) -> None:
    """A form shows nine figures, so what is read back is the value to a part in a hundred million."""

    @given(inputs_of(calculator))
    def check(inputs: dict[str, Any]) -> None:
        direct = read_values(calculator, inputs)
        if direct.errors:
            return
        typed = read_typed(calculator, example_fields(calculator, inputs))
        assert [error.field for error in typed.errors] == []
        for name, value in direct.arguments.items():
            # A list of rows that is empty has no fields in a form.
            assert_same(typed.arguments[name] if value else typed.arguments.get(name, value), value, 1e-8)

    check()


@every
def test_example_typed_is_the_example(calculator: Calculator) -> None:
    typed = run_typed(calculator, example_fields(calculator))
    direct = example_outcome(calculator)
    assert typed.arguments == direct.arguments
    assert answer_of(typed, RELEASE).data() == answer_of(direct, RELEASE).data()


@every
def test_wrong_values_are_refused_at_their_field(calculator: Calculator) -> None:
    for place, kind in numbers_of(calculator):
        outside = [nextafter(kind.low, -inf), nextafter(kind.high, inf), *BAD_VALUES]
        if kind.options:  # A hair beside a size is that size.
            aside = (kind.high - kind.low) / 10
            outside[:2] = kind.low - aside, kind.high + aside
        for wrong in outside if kind.optional else [*outside, None]:
            outcome = run_values(calculator, with_value(calculator, place, wrong))
            assert place in {error.field for error in outcome.errors}, wrong
            check_refusal(outcome)


@every
def test_wrong_texts_are_refused_at_their_field(calculator: Calculator) -> None:
    for place, kind in numbers_of(calculator):
        spread = kind.high - kind.low
        unit = kind.quantity.unit(kind.show)
        outside = [unit.to_typed(kind.low - 0.01 * spread), unit.to_typed(kind.high + 0.01 * spread)]
        fields = example_fields(calculator, with_value(calculator, place, middle(kind)))
        assert place in fields
        for wrong in (*outside, *BAD_TEXTS):
            if kind.optional and not wrong.strip():
                continue
            outcome = run_typed(calculator, fields | {place: wrong})
            assert place in {error.field for error in outcome.errors}, wrong
            check_refusal(outcome)


@every
def test_both_ends_of_the_range_are_read(calculator: Calculator) -> None:
    for place, kind in numbers_of(calculator):
        sizes = [size for _, size in kind.options] or [kind.low, kind.high]
        for end in (min(sizes), max(sizes)):
            inputs = with_value(calculator, place, end)
            assert read_values(calculator, inputs).errors == (), place
            assert read_typed(calculator, example_fields(calculator, inputs)).errors == (), place


@every
def test_every_unit_offered_is_understood(calculator: Calculator) -> None:
    for place, kind in numbers_of(calculator):
        if kind.options:
            continue
        fields = example_fields(calculator, with_value(calculator, place, middle(kind)))
        for symbol in kind.shown_units():
            text = kind.quantity.unit(symbol).to_typed(middle(kind))
            column = re.sub(r"\[\d+\]", "[]", place)
            every_row = {name: text for name in fields if re.sub(r"\[\d+\]", "[]", name) == column}
            chosen = {f"{column}:unit": symbol} if len(kind.shown_units()) > 1 else {}
            for form in (fields | every_row | chosen, fields | {place: f"{text} {symbol}"}):
                assert read_typed(calculator, form).errors == ()


@every
def test_unknown_names_are_refused(calculator: Calculator) -> None:
    for wrong in ("no_such_input", "a[0]", "a[0].b", "<b>", ""):
        for outcome in (
            run_values(calculator, {**calculator.example, wrong: 1}),
            run_typed(calculator, example_fields(calculator) | {wrong: "1"}),
        ):
            assert wrong in {error.field for error in outcome.errors}


@every
def test_row_counts_are_held(calculator: Calculator) -> None:
    for entry in calculator.inputs:
        if isinstance(entry.kind, Rows):
            row = plain_row(calculator, entry)
            for count in {entry.kind.at_least - 1, entry.kind.at_most + 1} - {-1}:
                outcome = run_values(calculator, {**calculator.example, entry.name: [row] * count})
                assert entry.name in {error.field for error in outcome.errors}
            assert run_values(calculator, {**calculator.example, entry.name: "abc"}).errors
            assert run_values(calculator, {**calculator.example, entry.name: [1, 2]}).errors


def check_answer(outcome: Outcome) -> None:
    """An answer is finite, can be written as JSON, HTML and text, and its notes are about something."""
    calculator = outcome.calculator
    json.dumps(answer_of(outcome, RELEASE).data(), allow_nan=False)
    # A result is well-formed XML as well as HTML, which is quicker and stricter to check.
    ElementTree.fromstring(f"<div>{result_html(outcome)}</div>")
    assert plain_text.result_text(outcome)
    assert spoken(outcome)
    fields = (*calculator.inputs, *calculator.outputs)
    names = {column.name for entry in fields for column in (entry, *entry.columns)}
    for advice in outcome.advice:
        assert root(advice.about) in names
        assert advice.message


def check_refusal(outcome: Outcome) -> None:
    """A refusal has no result; each error stands at a field of the form and says something."""
    assert outcome.result is None
    names = {entry.name for entry in outcome.calculator.inputs}
    for error in outcome.errors:
        assert root(error.field) in names
        assert error.message.endswith((".", "!", "?"))
        assert "Error" not in error.message
    ElementTree.fromstring(f"<div>{result_html(outcome)}</div>")


def root(field: str) -> str:
    """Name of the input that a field belongs to."""
    return field.partition("[")[0].partition(".")[0]


def assert_same(found: Any, wanted: Any, tolerance: float) -> None:
    """Equal, but for the last figures of numbers."""
    if isinstance(wanted, float):
        assert found == pytest.approx(wanted, rel=tolerance, abs=1e-300)
    elif isinstance(wanted, tuple):
        assert len(found) == len(wanted)
        for one, other in zip(found, wanted, strict=True):
            assert_same(one, other, tolerance)
    elif hasattr(wanted, "__dataclass_fields__"):
        for name in wanted.__dataclass_fields__:
            assert_same(getattr(found, name), getattr(wanted, name), tolerance)
    elif isinstance(wanted, str):
        assert found == wanted.translate(MINUS).strip()
    else:
        assert found == wanted
