"""The same questions to native Python and to the Python that the site ships: the same answers.

Each calculator is asked its example and 200 random input sets, through the page's own engine and
the runtime as it is published. Numbers agree to 1e-12, or to 1e-9 where ``LOOSER`` says why.
"""

import json
import os
from math import isclose
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from playwright.sync_api import Page

from calculators.browser import answer
from calculators.declaring import Calculator, example_fields
from calculators.stages import every_calculator
from tests.strategies import inputs_of

SETS = 2000 if os.environ.get("DOORCARD_SOAK") == "1" else 200
BATCH = 50
CLOSED_FORM, ITERATION = 1e-12, 1e-9
# Both Pythons round alike, but their mathematics libraries differ in the last digit of an
# exponential or a sine; iterations, and sums in which nearly all cancels, carry that further.
LOOSER = {
    "crossover": "sums of complex responses near their nulls",
    "passive-crossover": "ladders near their resonances",
    "filter": "responses near their nulls",
    "graphic-equaliser": "least squares, solved by iteration",
    "equaliser-headroom": "the highest of a response, found by search",
    "phase-and-join": "phasor sums near their nulls",
    "level-sum": "phasor sums near their nulls",
    "path-cancellation": "phasor sums near their nulls",
    "target-curve": "shelves and tilt that cancel to nearly nothing",
    "hold-up": "capacitance found by bisection",
}
ASK = """async ([scripts, questions]) => {
  const { Engine } = await import(scripts);
  window.engine ??= new Engine();
  const replies = [];
  for (const question of questions) replies.push(await window.engine.ask(question));
  return replies;
}"""

CALCULATORS = every_calculator()


def random_fields(calculator: Calculator) -> list[dict[str, str]]:
    """Forms filled with the example and with random values, the same in every run."""
    forms = [example_fields(calculator)]

    @settings(
        max_examples=SETS,
        derandomize=True,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(inputs_of(calculator))
    def collect(values: dict[str, Any]) -> None:
        forms.append(example_fields(calculator, values))

    collect()
    while len(forms) <= SETS and calculator.inputs:
        forms.append(forms[len(forms) // 2])
    return [fields for fields in forms if sendable(fields)]


def sendable(fields: dict[str, str]) -> bool:
    """Whether a page could hold the text: half of a surrogate pair is no text."""
    return all(text.isprintable() or "\n" in text for text in fields.values())


def script_address(page: Page) -> str:
    """Where the page's own engine is."""
    return str(
        page.evaluate("new URL('engine.js', document.querySelector('script[src*=\"page.js\"]').src).href")
    )


@pytest.fixture(scope="module")
def engine_page(browser: Any, browser_context_args: dict[str, Any], server: str) -> Any:
    context = browser.new_context(**browser_context_args)
    opened = context.new_page()
    opened.goto(server)
    yield opened
    context.close()


@pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda entry: entry.slug)
def test_browser_answers_as_native_python(engine_page: Page, calculator: Calculator) -> None:
    forms = random_fields(calculator)
    questions = [{"calculator": calculator.slug, "inputs": fields} for fields in forms]
    address = script_address(engine_page)
    tolerance = ITERATION if calculator.slug in LOOSER else CLOSED_FORM
    answered = 0
    for start in range(0, len(questions), BATCH):
        batch = questions[start : start + BATCH]
        for question, reply in zip(batch, engine_page.evaluate(ASK, [address, batch]), strict=True):
            assert reply is not None, question
            assert "failure" not in reply, (question, reply)
            native = json.loads(answer(json.dumps(question)))
            assert reply["errors"] == native["errors"], question
            assert_close(native["values"], reply["values"], tolerance, f"{question['inputs']}: ")
            answered += native["values"] is not None
    assert answered > 0


def assert_close(native: Any, page: Any, tolerance: float, where: str) -> None:
    """Fail unless two values are alike in shape, and every number is near its twin."""
    if isinstance(native, dict):
        assert set(native) == set(page), where
        for name in native:
            assert_close(native[name], page[name], tolerance, f"{where}.{name}")
    elif isinstance(native, list):
        assert len(native) == len(page), where
        for index, (ours, theirs) in enumerate(zip(native, page, strict=True)):
            assert_close(ours, theirs, tolerance, f"{where}[{index}]")
    elif isinstance(native, float) or isinstance(page, float):
        assert isclose(native, page, rel_tol=tolerance, abs_tol=tolerance * 1e-3), (where, native, page)
    else:
        assert native == page, where
