"""The answers of the examples, which many tests look at: each worked out once in a process."""

from functools import cache

from calculators.declaring import Calculator, Outcome, run_values
from calculators.stages import find_calculator


def example_outcome(calculator: Calculator) -> Outcome:
    """What a calculator says of its example."""
    return outcome_of(calculator.slug)


@cache
def outcome_of(slug: str) -> Outcome:
    """What the calculator of that name says of its example."""
    calculator = find_calculator(slug)
    return run_values(calculator, calculator.example)
