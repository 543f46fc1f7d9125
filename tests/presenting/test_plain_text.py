"""Results and help for a terminal."""

import pytest

from calculators.declaring import (
    Calculator,
    Number,
    OutputBrief,
    OutputChart,
    OutputCurve,
    OutputDrawing,
    OutputSound,
)
from calculators.presenting import plain_text
from calculators.presenting.values import shown
from calculators.stages import every_calculator
from tests.examples import example_outcome

every = pytest.mark.parametrize("calculator", every_calculator(), ids=lambda calculator: calculator.slug)


@every
def test_every_answer_is_told(calculator: Calculator) -> None:
    outcome = example_outcome(calculator)
    text = plain_text.result_text(outcome)
    assert "\u00a0" not in text
    assert "<" not in text
    for output in calculator.outputs:
        if isinstance(output.kind, OutputBrief | OutputChart | OutputCurve | OutputDrawing | OutputSound):
            continue
        value = getattr(outcome.result, output.name)
        if output.columns and not value:
            assert f"{output.kind.label}\n" not in text, "a table without a row is left out"
            continue
        assert output.kind.label in text
        columns = output.columns or (output,)
        for row in value if output.columns else (outcome.result,):
            for column in columns:
                assert shown(column, getattr(row, column.name)).replace("\u00a0", " ") in text
    for advice in outcome.advice:
        assert advice.message.split()[0] in text


@every
def test_help_tells_units_ranges_and_what_comes_out(calculator: Calculator) -> None:
    text = plain_text.manual(calculator)
    assert calculator.help in text
    for entry in calculator.inputs:
        assert f"--{entry.name.replace('_', '-')}" in text
        for field in entry.columns or (entry,):
            assert field.kind.label in text
            if isinstance(field.kind, Number) and field.kind.options:
                assert "; one of " + ", ".join(label for label, _ in field.kind.options) in text
            elif isinstance(field.kind, Number):
                unit = field.kind.quantity.unit(field.kind.show)
                assert f"{unit.to_typed(field.kind.low)} to {unit.to_typed(field.kind.high)}" in text
    for output in calculator.outputs:
        if not isinstance(output.kind, OutputBrief | OutputChart | OutputDrawing | OutputSound):
            assert output.name in text
    for equation in calculator.equations:
        assert equation in text
