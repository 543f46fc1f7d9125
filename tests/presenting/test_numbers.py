"""Numbers as people read them."""

from decimal import ROUND_HALF_EVEN, Context, Decimal

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from calculators.declaring import InputField, Number, Output, OutputList
from calculators.declaring.inputs import Choice, Flag
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import ANGLE, LENGTH, LEVEL, RATIO, TEMPERATURE, TIME, Unit
from calculators.presenting.inputs import shown_input
from calculators.presenting.numbers import all_plain, clock, plain, with_unit
from calculators.presenting.values import shown_list, shown_number

LONG = Context(prec=700, Emin=-2000, Emax=2000)
FINITE = st.floats(allow_nan=False, allow_infinity=False)


@given(value=FINITE, figures=st.integers(1, 8))
def test_figures_are_kept_and_nothing_else(value: float, figures: int) -> None:
    digits = plain(value, figures)
    assert set(digits) <= set("-.0123456789")
    exact, found = Decimal(repr(value)), Decimal(digits)
    assert abs(found - exact) <= abs(exact) * Decimal(10) ** (1 - figures)
    significant = digits.lstrip("-").replace(".", "").lstrip("0")
    assert len(significant) == figures or abs(found) >= Decimal(10) ** figures or not value


@given(value=st.floats(-1e15, 1e15), decimals=st.integers(0, 6))
def test_decimals_are_kept(value: float, decimals: int) -> None:
    digits = plain(value, decimals=decimals)
    assert len(digits.partition(".")[2]) == decimals
    assert abs(Decimal(digits) - Decimal(repr(value))) <= Decimal(10) ** -decimals / 2
    assert Decimal(digits) != 0 or "-" not in digits


NEAR_HALF_WAY = st.builds(
    lambda units, power, more: float(f"{units}5e{power}") * (1 + more),
    st.integers(-(10**9), 10**9),
    st.integers(-12, 6),
    st.sampled_from([0.0, 2.3e-16, -2.3e-16, 1e-12, 1e-9, -1e-6]),
)


@settings(max_examples=500)
@given(FINITE | NEAR_HALF_WAY, st.integers(1, 9), st.none() | st.integers(0, 9))
@example(1.005, 4, 2)
@example(9.9995, 4, None)
@example(99999.5, 5, None)
def test_what_is_rounded_is_the_number_as_it_is_written(
    value: float, figures: int, decimals: int | None
) -> None:
    """Half-way to the even figure: by decimal arithmetic, whatever its binary digits are."""
    written = Decimal(repr(value))
    if decimals is None:
        decimals = figures - 1 - Decimal(f"{written:.{figures - 1}e}").adjusted() if written else 0
    rounded = written.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_EVEN, LONG)
    digits = f"{rounded:.{max(decimals, 0)}f}"
    assert plain(value, figures, decimals if decimals >= 0 else None) == (
        digits if rounded else digits.lstrip("-")
    )


@given(FINITE | NEAR_HALF_WAY | st.floats(-1, 1), st.integers(0, 9))
@example(1.005, 2)
@example(-0.004, 2)
@example(-0.0, 1)
@example(123456789012.25, 1)
def test_a_column_of_numbers_has_the_digits_of_each(value: float, decimals: int) -> None:
    assert all_plain([value, 1.5], decimals) == [plain(each, decimals=decimals) for each in (value, 1.5)]


@pytest.mark.parametrize(("value", "figures", "decimals", "digits"), [
    (0.0, 4, None, "0"), (-0.0, 4, None, "0"), (-0.004, 4, 2, "0.00"), (-0.006, 4, 2, "-0.01"),
    (1.602564, 4, 3, "1.603"), (343.2, 4, None, "343.2"), (343.2, 4, 1, "343.2"), (12345.6, 3, None, "12300"),
    (9.9996, 4, None, "10.00"), (0.00099996, 4, None, "0.001000"), (99996.0, 4, None, "100000"),
    (1e30, 4, None, "1" + "0" * 30), (1e-9, 2, None, "0.0000000010"), (2.5, 4, 0, "2"), (3.5, 4, 0, "4"),
])  # fmt: skip
def test_known_digits(value: float, figures: int, decimals: int | None, digits: str) -> None:
    assert plain(value, figures, decimals) == digits


@pytest.mark.parametrize(("kind", "value", "text"), [
    (Output("Delay", TIME, show="ms", decimals=3), 0.00160256, "1.603\u00a0ms"),
    (Output("Level", LEVEL, decimals=2), -6.0206, "−6.02\u00a0dB"),
    (Output("Level", LEVEL, decimals=2, lowest=-60), -213.0, "below −60\u00a0dB"),
    (Output("Level", LEVEL, decimals=2, lowest=-60), -60.0, "−60.00\u00a0dB"),
    (Output("Turn", ANGLE, decimals=0), -180.0, "−180°"),
    (Output("Share", RATIO, show="%", decimals=1), 0.125, "12.5%"),
    (Output("Ratio", RATIO), 1.41421356, "1.414"),
    (Output("Size", LENGTH, trim=True), 2.5, "2.5\u00a0m"),
    (Output("Size", LENGTH, trim=True), 20.0, "20\u00a0m"),
    (Output("Size", LENGTH, trim=True, figures=3), 2000.0, "2000\u00a0m"),
    (Output("Size", LENGTH, none="it does not fit"), None, "it does not fit"),
    (Output("Air", TEMPERATURE, show="°F", decimals=0), 20.0, "68\u00a0°F"),
])  # fmt: skip
def test_outputs_as_text(kind: Output, value: float | None, text: str) -> None:
    assert shown_number(kind, value) == text


def test_another_unit_and_other_decimals() -> None:
    kind = Output("Delay", TIME, show="ms", decimals=3)
    assert shown_number(kind, 0.00160256, "µs") == "1603\u00a0µs"
    assert shown_number(kind, 0.00160256, "µs", 1) == "1602.6\u00a0µs"
    assert shown_number(kind, 0.00160256, None, 1) == "1.6\u00a0ms"


def test_lists_are_cut_where_declared() -> None:
    kind = OutputList("Sizes", LENGTH, show="cm", decimals=0, none="no size", shown=2)
    assert shown_list(kind, ()) == "no size"
    assert shown_list(kind, (0.1, -0.2)) == "10, −20\u00a0cm"
    assert shown_list(kind, (0.1, 0.2, 0.3)) == "10, 20\u00a0cm and 1 more"


def test_inputs_as_text() -> None:
    depth = Number("Depth", LENGTH, -1, 1, show="cm", optional=True, empty="as it comes")
    size = Number("Size", LENGTH, 0, 9, options=(("four", 4.0),))
    wood = Choice("Wood", {"red-pine": "Red pine"})
    assert shown_input(InputField("depth", depth), -0.125) == "−12.5\u00a0cm"
    assert shown_input(InputField("depth", depth), None) == "as it comes"
    assert shown_input(InputField("size", size), 4.0) == "four"
    assert shown_input(InputField("wood", wood), "red-pine") == "Red pine"
    assert shown_input(InputField("doors", Flag("Doors")), True) == "yes"


def test_minus_sign_and_unit() -> None:
    assert typographic("-1.5") == "−1.5"
    assert with_unit("3", Unit("")) == "3"
    assert with_unit("3", Unit("mm²")) == "3\u00a0mm²"


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.0, "0 s"),
        (0.469, "0.47 s"),
        (3.44, "3.4 s"),
        (9.96, "10 s"),
        (6910.0, "1 h 55 min"),
        (28.125, "28 s"),
        (59.7, "1 min"),
        (113.4, "1 min 53 s"),
        (900.0, "15 min"),
        (1133.9, "19 min"),
        (3599.9999, "1 h"),
        (9071.4, "2 h 31 min"),
        (57600.0, "16 h"),
        (9.437184e8, "262144 h"),
    ],
)
def test_a_time_is_said_as_people_say_it(seconds: float, words: str) -> None:
    assert clock(seconds).replace("\u00a0", " ") == words


def test_a_clock_gives_way_to_a_unit_that_is_asked_for() -> None:
    kind = Output("Allowed", TIME, show="min", figures=3, clock=True)
    assert shown_number(kind, 28.125) == "28\u00a0s"
    assert shown_number(kind, 28.125, "min") == "0.469\u00a0min"
