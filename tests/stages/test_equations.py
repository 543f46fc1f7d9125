"""Printed equations compute what their calculators compute, over random inputs.

Each equation is evaluated as it stands on the page, in order, from the inputs of a run and from
the names that earlier equations gave. Every equation must lead to an output of the calculator.
"""

from collections.abc import Callable, Mapping
from dataclasses import asdict, is_dataclass
from functools import cache
from typing import Any

import pytest
from hypothesis import example, given

from calculators.declaring import Calculator, Outcome, Rows, run_values
from calculators.stages import every_calculator
from tests.strategies import inputs_of

type Row = dict[str, Any]

# Names that stand for something over all rows: what they mean, from the rows worked out so far.
OVER_ALL_ROWS: dict[str, Callable[[list[Row]], float]] = {
    "latest_arrival": lambda rows: max(row["arrival"] for row in rows),
    "least_spare": lambda rows: min(row["spare"] for row in rows),
}
TOLERANCE = 1e-9
WITH_EQUATIONS = [entry for entry in every_calculator() if entry.equations]


@pytest.mark.parametrize("calculator", WITH_EQUATIONS, ids=lambda entry: entry.slug)
def test_equations_give_what_the_calculator_gives(calculator: Calculator) -> None:
    compared: set[str] = set()

    # The example too: a voltage that hangs on three optional inputs is seldom drawn.
    @example(dict(calculator.example))
    @given(inputs_of(calculator))
    def check(inputs: dict[str, Any]) -> None:
        outcome = run_values(calculator, inputs)
        if not outcome.errors:
            compared.update(Sheet(outcome).work_out())

    check()
    assert compared == set(calculator.equations)


class Sheet:
    """One run's names: those of the calculator as a whole, and those of each row."""

    def __init__(self, outcome: Outcome) -> None:
        self.calculator = outcome.calculator
        self.given = plain(outcome.arguments)
        self.results = plain({o.name: getattr(outcome.result, o.name) for o in outcome.calculator.outputs})
        self.computed: Row = {}
        self.rows = {name: self.joined(name) for name in self.row_names()}
        self.computed_rows: dict[str, list[Row]] = {
            name: [{} for _ in rows] for name, rows in self.rows.items()
        }
        self.leads_on: dict[str, set[str]] = {}

    def row_names(self) -> set[str]:
        """Names of all lists of records, given or computed."""
        rows_in = {entry.name for entry in self.calculator.inputs if isinstance(entry.kind, Rows)}
        return rows_in | {entry.name for entry in self.calculator.outputs if entry.columns}

    def joined(self, name: str) -> list[tuple[Row, Row]]:
        """Given and computed columns, row by row."""
        given, results = self.given.get(name) or [], self.results.get(name) or []
        count = max(len(given), len(results))
        assert {len(given), len(results)} <= {0, count}
        return list(zip(given or [{}] * count, results or [{}] * count, strict=True))

    def work_out(self) -> set[str]:
        """Evaluate all equations; returns those that were compared, directly or by what they lead to."""
        compared: set[str] = set()
        for equation in self.calculator.equations:
            name, _, expression = equation.partition(" = ")
            symbols = names_in(expression)
            group = self.group(name, symbols)
            if group is None:
                done = self.one(name, expression, {}, self.computed, self.results)
            else:
                done = False
                for place, (row, results) in enumerate(self.rows[group]):
                    computed = self.computed_rows[group][place]
                    done |= self.one(name, expression, row, computed, results, results)
            used = {equation}.union(*(self.leads_on.get(symbol, set()) for symbol in symbols))
            compared |= used if done else set()
            self.leads_on[name] = used
        return compared

    def group(self, name: str, symbols: set[str]) -> str | None:
        """The rows an equation is worked out for, or None: once for the calculator."""
        for group, rows in self.rows.items():
            own = {*self.row_columns(group), *(key for row in self.computed_rows[group] for key in row)}
            alone = {*self.given, *self.results, *self.computed}
            if rows and (name in own - alone or (symbols - alone) & own):
                return group
        return None

    def row_columns(self, group: str) -> set[str]:
        """Column names of the rows called `group`."""
        fields = (*self.calculator.inputs, *self.calculator.outputs)
        return {column.name for entry in fields if entry.name == group for column in entry.columns}

    def one(self, name: str, expression: str, row: Row, computed: Row, *wanted: Row) -> bool:
        """Work out one equation once; True if the result could be held against an output."""
        values = {symbol: self.value(symbol, row, computed, wanted[-1]) for symbol in names_in(expression)}
        found = wanted[0].get(name)
        nothing_to_say = name in wanted[0] and found is None
        if nothing_to_say or any(value is None for value in values.values()):
            return False
        result = evaluated(expression)(**values)
        computed[name] = result
        if found is None:
            return False
        scale = max(abs(value) for value in [result, *values.values()])
        assert found == pytest.approx(result, rel=TOLERANCE, abs=1e-12 * scale), f"{name} = {expression}"
        return True

    def value(self, symbol: str, row: Row, computed: Row, results: Row) -> Any:
        """What a name stands for: worked out before, given, or an output not worked out yet."""
        for names in (computed, row, self.computed, self.given, results, self.results):
            if isinstance(names.get(symbol), bool | int | float):
                return float(names[symbol])
        if symbol in OVER_ALL_ROWS:
            rows = next(rows for rows in self.computed_rows.values() if any(rows))
            return OVER_ALL_ROWS[symbol](rows)
        known = {*self.given, *self.results, *row, *results, *self.computed}
        assert symbol in known, f"{symbol} is no name of {self.calculator.slug}"
        return None


@cache
def evaluated(expression: str) -> Callable[..., float]:
    """The printed expression as a function of its names."""
    from sympy import lambdify  # It takes a second to load, and not every calculator has equations.

    from calculators.site.equations import parsed

    function: Callable[..., float] = lambdify(sorted(names_in(expression)), parsed(expression), "math")
    return function


@cache
def names_in(expression: str) -> set[str]:
    """Names of quantities in an expression."""
    from calculators.site.equations import FUNCTIONS, parsed

    return {str(symbol) for symbol in parsed(expression).free_symbols} - FUNCTIONS.keys()


def plain(values: Mapping[str, Any]) -> Row:
    """Records as dictionaries."""
    return {
        name: [asdict(row) if is_dataclass(row) else row for row in value]  # type: ignore[arg-type]
        if isinstance(value, tuple)
        else value
        for name, value in values.items()
    }


def test_a_wrong_equation_is_found() -> None:
    right = WITH_EQUATIONS[0]
    name, _, expression = right.equations[0].partition(" = ")
    for wrong in (f"{name} = 1.001*({expression})", f"{name} = ({expression}) + no_such_name"):
        calculator = Calculator(right.function, right.title, (), (), (wrong,), right.example)
        with pytest.raises(AssertionError):
            Sheet(run_values(calculator, right.example)).work_out()
