"""The same questions to native Python and to the Python that the site ships: the same answers.

Each calculator is asked its example and 6 random input sets, in the long tests 200 or more, through
the page's own engine and the runtime as it is published. Numbers agree to 1e-12, or to 1e-9 where
``LOOSER`` says why; decimals that stand in words are the same, or one apart in their last place where
the two were rounded on either side of a half.
"""

import json
import re
from contextlib import suppress
from decimal import Decimal
from itertools import batched
from math import isclose
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from playwright.sync_api import Page

from calculators.browser import answer
from calculators.declaring import Calculator, example_fields
from calculators.stages import every_calculator
from tests.browser.test_calculators import PAGE_SCRIPT
from tests.conftest import SOAK
from tests.strategies import LONG_WORK, NEAR, inputs_of

SETS, REFUSED = (max(SOAK, 200), 50) if SOAK else (6, 6)
BATCH = 50
CLOSED_FORM, ITERATION = 1e-12, 1e-9
# Where a response passes through 0 dB, what is left is what the iteration left.
FLOORS = {CLOSED_FORM: 1e-15, ITERATION: 1e-11}
# Both Pythons round alike, but their mathematics libraries differ in the last digit of an
# exponential or a sine; iterations, and sums in which nearly all cancels, carry that further.
LOOSER = {
    "crossover": "sums of complex responses near their nulls",
    "passive-crossover": "ladders near their resonances",
    "response": "transforms of a recording, and their logarithms",
    "filter": "responses near their nulls",
    "graphic-equaliser": "least squares, solved by iteration",
    "equaliser-headroom": "the highest of a response, found by search",
    "phase-and-join": "phasor sums near their nulls",
    "level-sum": "phasor sums near their nulls",
    "path-cancellation": "phasor sums near their nulls",
    "target-curve": "shelves and tilt that cancel to nearly nothing",
    "starting-trim": "trims of nearly 0 dB, what is left where levels cancel",
    "gain-chain": "margins of 0 dB, what is left where levels cancel",
    "hold-up": "capacitance found by bisection",
    "tweeter-limit": "levels of nearly 0 dB",
    "cabin-gain": "gains of nearly 0 dB, what is left of a ratio of nearly one",
    "door-speaker": "responses near 0 dB, and near what a leak cancels",
    "sealed-box": "responses near 0 dB",
    "vented-box": "responses near 0 dB, and near what a port cancels",
    "transmission-loss": "changes of nearly 0 dB, what is left of a ratio of nearly one",
    "hear-equaliser": "responses near 0 dB, and where two doors cancel",
    "hear-subwoofer": "a response near 0 dB",
    "wiring-schedule": "a network of resistors, solved by elimination",
    "feed-sum": "losses of nearly 0 dB, and a delay found by search",
    "flatten": "least squares, solved by iteration",
    "tune": "least squares, solved by iteration",
    "fir-correction": "levels of nearly 0 dB, through transforms there and back",
    "level-dependence": "differences of nearly 0 dB",
    "all-pass": "phases of many turns",
    "sub-alignment": "a delay found by search, and the phase that it leaves",
    "acoustic-slope": "responses near 0 dB",
    "loudness-contour": "changes of nearly 0 dB",
    "curve-average": "sums of phasors near their nulls",
    "curve-smooth": "changes of nearly 0 dB",
    "curve-compare": "differences of nearly 0 dB",
    "spatial-spread": "spreads of nearly 0 dB",
}
SELDOM_ANSWERED = (
    "level-dependence",
    "curve-average",
    "guided-tune",
    "treatment-plan",
    "driver-parameters",
    "box-volume",
    "wiring-schedule",
    "feed-sum",
    "flatten",
    "quote",
    "job-hours",
    "fir-correction",
    "signals",
    "tune",
)
"""Most random sets are refused: they name doors, boards or places that are not there or a signal twice, bring
curves without phase, or contradict."""
DECIMALS = re.compile(r"(\d+\.\d+)")
EXAMPLE_ALONE = ("tune",)
"""Its gains go in steps, and between two as good the last digit decides."""
ASK = """async ([scripts, questions]) => {
  const { Engine } = await import(scripts);
  window.engine ??= new Engine();
  const replies = [];
  for (const question of questions) replies.push(await window.engine.ask(question));
  return replies;
}"""

CALCULATORS = every_calculator()


def sets_of(calculator: Calculator) -> int:
    """How many sets with an answer are asked."""
    return 0 if calculator.slug in EXAMPLE_ALONE else SETS // LONG_WORK.get(calculator.slug, 1)


def native_answers(calculator: Calculator) -> dict[str, dict[str, Any]]:
    """Questions, as JSON text, with native Python's replies: the same in every run.

    The example, then random forms, all different: as many as `sets_of` says that have an answer, and on the
    way some that are refused.
    """
    replies: dict[str, dict[str, Any]] = {}
    ask(replies, calculator, example_fields(calculator))

    @settings(
        max_examples=max(1, 8 * sets_of(calculator)),
        derandomize=True,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(inputs_of(calculator, NEAR) if calculator.slug in SELDOM_ANSWERED else inputs_of(calculator))
    def ask_one(values: dict[str, Any]) -> None:
        if count_answered(replies) > sets_of(calculator):
            raise Enough
        ask(replies, calculator, example_fields(calculator, values))

    if calculator.inputs:
        with suppress(Enough):
            ask_one()
    return replies


class Enough(Exception):
    """There are answers enough: nothing more is drawn."""


def ask(replies: dict[str, dict[str, Any]], calculator: Calculator, fields: dict[str, str]) -> None:
    """Add native Python's reply to one form, if it is new and wanted."""
    question = json.dumps(
        {"calculator": calculator.slug, "inputs": fields, "want": ["answer"], "release": ""}, sort_keys=True
    )
    answered = count_answered(replies)
    if question in replies or answered > sets_of(calculator) or not sendable(fields):
        return
    reply = json.loads(answer(question))
    if reply["answer"] is not None or len(replies) - answered < REFUSED:
        replies[question] = reply


def count_answered(replies: dict[str, dict[str, Any]]) -> int:
    return sum(reply["answer"] is not None for reply in replies.values())


def sendable(fields: dict[str, str]) -> bool:
    """Whether the browser's debugger can pass it on: half of a surrogate pair it cannot."""
    return not any("\ud800" <= sign <= "\udfff" for text in fields.values() for sign in text)


def script_address(page: Page) -> str:
    """Where the page's own engine is."""
    return str(page.evaluate(f"new URL('engine.js', {PAGE_SCRIPT}).href"))


@pytest.fixture(scope="module")
def engine_page(browser: Any, browser_context_args: dict[str, Any], server: str) -> Any:
    context = browser.new_context(**browser_context_args)
    opened = context.new_page()
    opened.goto(server)
    yield opened
    context.close()


@pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda entry: entry.slug)
def test_browser_answers_as_native_python(engine_page: Page, calculator: Calculator) -> None:
    natively = native_answers(calculator)
    if calculator.inputs:
        seldom = calculator.slug in SELDOM_ANSWERED
        assert len(natively) > min(sets_of(calculator), REFUSED if seldom else SETS)
        assert count_answered(natively) > sets_of(calculator) // (8 if seldom else 4)
    address = script_address(engine_page)
    tolerance = ITERATION if calculator.slug in LOOSER else CLOSED_FORM
    for batch in batched(natively, BATCH):
        questions = [json.loads(question) for question in batch]
        for question, reply in zip(batch, engine_page.evaluate(ASK, [address, questions]), strict=True):
            assert reply, question
            assert not reply.get("failure"), (question, reply["failure"])
            assert reply["errors"] == natively[question]["errors"], question
            for part in ("inputs", "values"):
                ours, theirs = (
                    whole["answer"] and whole["answer"][part] for whole in (natively[question], reply)
                )
                assert_close(ours, theirs, tolerance, f"{question}: ")


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
        assert isclose(native, page, rel_tol=tolerance, abs_tol=FLOORS[tolerance]), (where, native, page)
    elif isinstance(native, str) and isinstance(page, str):
        assert same_words(native, page), (where, native, page)
    else:
        assert native == page, where


def same_words(native: str, page: str) -> bool:
    """Whether two texts are the same but for the last place of decimals in them."""
    ours, theirs = DECIMALS.split(native), DECIMALS.split(page)
    return ours[::2] == theirs[::2] and all(map(rounded_alike, ours[1::2], theirs[1::2]))


def rounded_alike(one: str, other: str) -> bool:
    """Whether two decimals have as many places and are at most one apart in the last."""
    ours, theirs = Decimal(one), Decimal(other)
    place = ours.as_tuple().exponent
    return place == theirs.as_tuple().exponent and abs(ours - theirs) <= Decimal(10) ** int(place)


@pytest.mark.parametrize(
    ("native", "page", "same"),
    [
        ("Amplifier −4.5, Source −3 dB", "Amplifier −4.6, Source −3 dB", True),
        ("4.9 dB", "5.0 dB", True),
        ("4.5 dB", "4.7 dB", False),
        ("4.5 dB", "−4.5 dB", False),
        ("4.5 dB", "4.50 dB", False),
        ("4.5 dB", "4.5 V", False),
        ("4.5 and 1.0", "4.5", False),
        ("3 filters", "4 filters", False),
    ],
)
def test_words_are_the_same_but_for_how_a_half_is_rounded(native: str, page: str, same: bool) -> None:
    assert same_words(native, page) is same
