"""Ask a calculator by its name, where a test expects an answer."""

from typing import Any

from calculators.declaring import Outcome, run_values
from calculators.stages import find_calculator


def run(slug: str, **inputs: Any) -> Outcome:
    """The outcome for inputs as values, nothing of them refused; `class_` stands for an input `class`."""
    outcome = run_values(find_calculator(slug), {name.rstrip("_"): value for name, value in inputs.items()})
    assert outcome.errors == (), outcome.errors
    return outcome


def answer(slug: str, **inputs: Any) -> Any:
    """The answer alone."""
    return run(slug, **inputs).result


def dangers_said(outcome: Outcome) -> list[str]:
    """What is told as a danger, in its words."""
    return [entry.message for entry in outcome.advice if entry.danger]


def dangers(outcome: Outcome) -> dict[str, str]:
    """The same by the field that each is about."""
    return {entry.about: entry.message for entry in outcome.advice if entry.danger}
