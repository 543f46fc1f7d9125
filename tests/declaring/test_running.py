"""Running a calculator on what was read."""

from dataclasses import dataclass
from typing import Annotated

import pytest

from calculators.declaring import (
    Advice,
    Calculator,
    InputError,
    Number,
    Output,
    Rows,
    Text,
    example_fields,
    run_typed,
    run_values,
)
from calculators.declaring.quantities import COUNT, LENGTH


@dataclass(frozen=True)
class Plank:
    """One plank."""

    name: Annotated[str, Text("Name")]
    length: Annotated[float, Number("Length", LENGTH, 0.01, 6, show="cm")]
    count: Annotated[float, Number("Count", COUNT, 1, 99, whole=True)] = 1.0


@dataclass(frozen=True)
class Timber:
    """What to buy."""

    total: Annotated[float, Output("Total", LENGTH)]
    advice: tuple[Advice, ...] = ()


def timber(
    planks: Annotated[tuple[Plank, ...], Rows("Planks", "plank")],
    spare: Annotated[
        float | None, Number("Spare", LENGTH, 0, 6, show="cm", usual=(0, 1), optional=True)
    ] = None,
) -> Timber:
    """Length of timber to buy.

    With what is wasted.
    """
    if len(planks) == 13:
        raise InputError("planks", "Thirteen is too many to carry.")
    total = sum(plank.length * plank.count for plank in planks) + (spare or 0.0)
    return Timber(
        total, (Advice("planks", "Look where you step."), Advice("planks", "It can fall.", danger=True))
    )


TIMBER = Calculator(
    timber, "Timber", (), (), (), {"planks": [{"name": "shelf", "length": 0.85}], "spare": 1.5}
)


def test_help_and_names() -> None:
    assert TIMBER.slug == "timber"
    assert TIMBER.summary == "Length of timber to buy."
    assert TIMBER.help.endswith("With what is wasted.")
    assert [entry.name for entry in TIMBER.inputs] == ["planks", "spare"]
    assert [column.name for column in TIMBER.input("planks").columns] == ["name", "length", "count"]
    assert [entry.name for entry in TIMBER.outputs] == ["total"]
    with pytest.raises(KeyError):
        TIMBER.output("advice")


def test_an_outcome_has_result_arguments_and_advice() -> None:
    outcome = run_values(TIMBER, {"planks": [{"name": "a", "length": 2, "count": 3}], "spare": 2})
    assert outcome.errors == ()
    assert outcome.result.total == 8
    assert outcome.arguments == {"planks": (Plank("a", 2.0, 3.0),), "spare": 2.0}
    assert [entry.message for entry in outcome.advice] == [
        "It can fall.",
        "Look where you step.",
        "Spare is usually between 0 cm and 100 cm. Is this right?",
    ]


def test_arguments_not_given_stand_at_their_defaults() -> None:
    outcome = run_values(TIMBER, {"planks": [{"name": "a", "length": 2}]})
    assert outcome.arguments == {"planks": (Plank("a", 2.0, 1.0),), "spare": None}


def test_what_the_function_refuses_is_an_error_at_its_field() -> None:
    outcome = run_values(TIMBER, {"planks": [{"name": "a", "length": 2}] * 13})
    assert outcome.result is None
    assert [(error.field, error.message) for error in outcome.errors] == [
        ("planks", "Thirteen is too many to carry.")
    ]


def test_a_programming_error_is_not_hidden() -> None:
    def broken(length: Annotated[float, Number("Length", LENGTH, 0, 1)]) -> Timber:
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        run_values(Calculator(broken, "Broken", (), (), (), {}), {"length": 1})


def test_example_fields_are_what_a_person_would_type() -> None:
    assert example_fields(TIMBER) == {
        "planks[0].name": "shelf",
        "planks[0].length": "85",
        "planks[0].count": "1",
        "spare": "150",
    }
    assert example_fields(TIMBER, {"planks": [Plank("a", 0.123456)]})["planks[0].length"] == "12.3456"
    assert example_fields(TIMBER, {"planks": []}) == {"spare": ""}
    assert run_typed(TIMBER, example_fields(TIMBER)).result == run_values(TIMBER, TIMBER.example).result
