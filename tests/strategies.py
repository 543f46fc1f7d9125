"""Random inputs for any calculator, derived from what it declares.

Every input set stays inside the declared ranges. It starts from the calculator's example and
changes some of it, so that rules between inputs (fill in just one of four) are often kept and
sometimes broken.
"""

from datetime import date
from decimal import Decimal
from math import ceil, exp, floor, log
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import SearchStrategy

from calculators.declaring import (
    Bands,
    Calculator,
    Choice,
    CurveText,
    Day,
    Exact,
    File,
    Flag,
    InputField,
    Number,
    Rows,
    Text,
)
from calculators.declaring.inputs import BAND_COUNT
from calculators.declaring.inputs.exact import plain_digits

HOSTILE = (
    "<script>alert(1)</script>",
    "</textarea></td></svg><img src=x onerror=alert(1)>",
    '" onfocus="alert(1)',
    "' & < > &amp; &#0; ]]>",
    "=1+1",
    "\x00\x0b\x1b\x7f\ufffe",
    "\ud800",
    "\u202eright to left",
    "-3",
)
MOST_ROWS = 6
PARTS = 10**9
FIRST_DAY = date(2000, 1, 1).toordinal()


LONG_WORK = {"tune": 15, "flatten": 8, "job-hours": 2, "job-sheet": 4}
"""They work long, some for most of a second: of random inputs they are asked one in so many."""
NEAR = (1, 2, 3, 6)
"""Of ten inputs, so many are drawn anew: near the example more sets are answered."""


def inputs_of(
    calculator: Calculator, chances: tuple[int, ...] = (3, 6, 9, 10)
) -> SearchStrategy[dict[str, Any]]:
    """Input sets of a calculator: values in the quantities' own units, as JSON gives them.

    chances: of ten inputs, so many are drawn anew; one of these numbers for each set.
    """
    # Made once: making them takes longer than drawing from them.
    ways = {entry.name: values_of(entry) for entry in calculator.inputs}
    drawn_anew, of_ten = st.sampled_from(chances), st.integers(1, 10)

    @st.composite
    def draw_inputs(draw: Any) -> dict[str, Any]:
        values = dict(calculator.example)
        chance = draw(drawn_anew)
        for entry in calculator.inputs:
            if draw(of_ten) <= chance:
                values[entry.name] = draw(ways[entry.name])
            if not entry.required and entry.name in values and draw(of_ten) == 1:
                del values[entry.name]
        return values

    return draw_inputs()


def values_of(entry: InputField) -> SearchStrategy[Any]:
    """Values of one input or of one column of its rows."""
    kind = entry.kind
    if isinstance(kind, Number):
        return mostly_none(numbers(kind)) if kind.optional else numbers(kind)
    if isinstance(kind, Exact):
        return mostly_none(digits(kind)) if kind.optional else digits(kind)
    if isinstance(kind, Choice):
        return st.sampled_from(list(kind.options))
    if isinstance(kind, File):
        return st.none()
    if isinstance(kind, Flag):
        return st.booleans()
    if isinstance(kind, Day):
        days = st.integers(0, 36500).map(lambda day: date.fromordinal(FIRST_DAY + day).isoformat())
        return st.integers(1, 5).flatmap(lambda way: st.just("") if way == 1 else days)
    if isinstance(kind, Text):
        return patterned(kind) if kind.pattern else texts(kind.longest)
    if isinstance(kind, Rows):
        most = max(kind.at_least, min(kind.at_most, MOST_ROWS))
        usual = st.lists(records(entry), min_size=kind.at_least, max_size=most)
        full = st.lists(records(entry), min_size=kind.at_most, max_size=kind.at_most)
        return st.integers(1, 20).flatmap(lambda draw: full if draw == 1 else usual)
    if isinstance(kind, Bands):
        cell = numbers(kind.cell)
        return st.lists(cell, min_size=BAND_COUNT, max_size=BAND_COUNT)
    assert isinstance(kind, CurveText)
    return st.none() | curves() if kind.optional else curves()


def mostly_none(strategy: SearchStrategy[Any]) -> SearchStrategy[Any]:
    """Two of three are left empty: often just one of several ways to say a thing is filled in."""
    nothing = st.none()
    return st.integers(1, 3).flatmap(lambda way: strategy if way == 1 else nothing)


def records(entry: InputField) -> SearchStrategy[dict[str, Any]]:
    """One row: columns with a default may be left out."""
    needed = {column.name: values_of(column) for column in entry.columns if column.required}
    spare = {column.name: values_of(column) for column in entry.columns if not column.required}
    return st.fixed_dictionaries(needed, optional=spare)


def numbers(kind: Number) -> SearchStrategy[float]:
    """Numbers of the whole range: its edges, its usual part, even and by ratio."""
    if kind.options:
        return st.sampled_from([size for _, size in kind.options])
    if kind.whole:
        return st.integers(ceil(kind.low), floor(kind.high)).map(float)
    ways = [st.sampled_from([kind.low, kind.high]), st.floats(kind.low, kind.high)]
    ways.append(between(kind.low, kind.high))
    if kind.usual is not None:
        ways.append(between(max(kind.usual[0], kind.low), min(kind.usual[1], kind.high)))
    if kind.low > 0:
        ways.append(
            between(log(kind.low), log(kind.high)).map(lambda e: min(max(exp(e), kind.low), kind.high))
        )
    return st.one_of(ways)


def between(low: float, high: float) -> SearchStrategy[float]:
    """Evenly spread numbers, of which hardly two are alike."""
    return st.integers(0, PARTS).map(lambda part: min(low + (high - low) * (part / PARTS), high))


def texts(longest: int) -> SearchStrategy[str]:
    """Names: plain, long, and hostile."""
    return st.one_of(
        st.text(max_size=longest),
        st.sampled_from([hostile for hostile in HOSTILE if len(hostile) <= longest]),
    )


def patterned(kind: Text) -> SearchStrategy[str]:
    """Texts of the form wanted, and nothing."""
    fitting = st.from_regex(kind.pattern, fullmatch=True, alphabet=st.characters(codec="ascii"))
    return st.just("") | fitting.filter(lambda text: len(text) <= kind.longest)


def digits(kind: Exact) -> SearchStrategy[str]:
    """Decimal text of the whole range, short numbers more often than long ones."""
    least, most = Decimal(kind.low), Decimal(kind.high)
    ways = [
        st.decimals(least, most, places=places, allow_nan=False, allow_infinity=False)
        for places in {kind.places, min(kind.places, 2)}
    ]
    ways.append(st.sampled_from([least, most]))
    return st.one_of(ways).map(plain_digits)


@st.composite
def curves(draw: Any) -> dict[str, list[float]]:
    """Responses over strictly rising frequencies, with or without phase."""
    steps = draw(st.lists(st.floats(1.001, 2), min_size=5, max_size=40))
    frequency, at = [], draw(st.floats(1, 100))
    for step in steps:
        at *= step
        frequency.append(at)
    size = len(frequency)
    curve = {
        "frequency": frequency,
        "level": draw(st.lists(st.floats(-120, 140), min_size=size, max_size=size)),
    }
    if draw(st.booleans()):
        curve["phase"] = draw(st.lists(st.floats(-720, 720), min_size=size, max_size=size))
    return curve
