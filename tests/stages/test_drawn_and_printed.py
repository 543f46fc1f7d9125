"""What a chart draws and what stands beside it as a number are the same.

The highest and the lowest drawn point of a line lie within 0.05 of the number printed, or the line
ends at the frame on that side and the number says more than the frame shows. Read off the picture
itself, not off the data behind it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal
from xml.etree import ElementTree

import pytest
from hypothesis import example, given

from calculators.declaring import Calculator, Chart, OutputChart, run_values
from calculators.presenting.charts import PLOT_HEIGHT, TOP, across, line_class, picture
from calculators.stages import every_calculator, find_calculator
from tests.examples import outcome_of
from tests.strategies import inputs_of

CLOSE = 0.05
# A place in the picture is written to a tenth: half of that is what reading it may be out by.
WRITTEN = 0.05


@dataclass(frozen=True)
class Claim:
    """A number of a result that a line of a chart must show: its highest or lowest point, or a place on it.

    number: of a result, None where it claims nothing. within: of the chart's horizontal axis, the
    stretch in which it is the highest or lowest.
    """

    chart: str
    line: str
    end: Literal["highest", "lowest", "farthest", "at"]
    number: Callable[[Any], float | None]
    at: Callable[[Any], float] | None = None
    within: Callable[[Any], tuple[float, float]] | None = None


def named(name: str, scale: float = 1.0) -> Callable[[Any], float | None]:
    """That output, in the unit of the chart."""

    def read(result: Any) -> float | None:
        value = getattr(result, name)
        return None if value is None else value * scale

    return read


def band_of(name: str, band: float, scale: float = 1.0) -> Callable[[Any], float | None]:
    """That column of the third-octave table, in the unit of the chart."""

    def read(result: Any) -> float | None:
        (value,) = (getattr(row, name) for row in result.max_spl if row.frequency == band)
        return None if value is None else value * scale

    return read


def fixed(place: float) -> Callable[[Any], float]:
    return lambda result: place


def place_read(result: Any) -> float:
    """Where reading off starts; outside the chart where nothing is named."""
    return result.chart.read_at or 1.0


def octave_round(chart: str) -> Callable[[Any], tuple[float, float]]:
    """An octave either side of the place where reading that chart starts."""
    return lambda result: (getattr(result, chart).read_at / 2, getattr(result, chart).read_at * 2)


def worst_band(name: str) -> Callable[[Any], float | None]:
    """That column in the band where a barrier does least."""
    return lambda result: next(getattr(row, name) for row in result.bands if row.frequency == result.worst_at)


def worst_place(result: Any) -> float:
    """The exact centre of that band, where it is drawn."""
    return result.chart.at[[row.frequency for row in result.bands].index(result.worst_at)]


def mean_band(result: Any) -> tuple[float, float]:
    """The band marked in a chart, whose lowest places are printed."""
    return result.chart.bands[0].low, result.chart.bands[0].high


def judged_bands(result: Any) -> tuple[float, float]:
    """Where the bands that have a limit are drawn; all of them where none has."""
    at, limits = result.difference_chart.at, [row.level_limit for row in result.bands]
    judged = [place for place, limit in zip(at, limits, strict=True) if limit is not None] or at
    return judged[0], judged[-1]


def quarter_turn(result: Any) -> float | None:
    """-3.01 dB (a quarter turn), where the first head is the one that is worse off."""
    worse = [
        abs(row.late_1) >= abs(row.late_2)
        for row in result.pairs
        if f"{row.first} and {row.second}" == result.farthest
    ]
    return -3.0103 if result.opposed_low and result.opposed_low > 20 and worse and all(worse) else None


def boost_if_any(result: Any) -> float | None:
    return result.boost or None


def notch_in_sight(result: Any) -> float | None:
    in_sight = any(20 <= notch <= end_of_teeth(result) for notch in result.notches)
    return result.notch_depth if in_sight else None


def peak_in_sight(result: Any) -> float | None:
    in_sight = any(20 <= peak <= end_of_teeth(result) for peak in result.peaks)
    return result.peak_height if in_sight else None


def end_of_teeth(result: Any) -> float:
    return min([20e3, *(band.low for band in result.chart.bands if band.label.startswith("Teeth"))])


CLAIMS: dict[str, tuple[Claim, ...]] = {
    "crossover": (
        Claim("chart", "Sum", "highest", named("highest_sum")),
        Claim("chart", "Sum", "lowest", named("lowest_sum")),
        Claim("chart", "Low", "at", named("low_level"), lambda result: result.meeting),
        Claim("chart", "High", "at", named("high_level"), lambda result: result.meeting),
        Claim("delay_chart", "Sum", "highest", named("sum_group_delay", 1e3)),
    ),
    "filter": (
        Claim("chart", "Digital", "at", named("level_at"), lambda result: result.looked_at),
        Claim("chart", "Difference", "farthest", named("largest_difference")),
        Claim("delay_chart", "Digital", "at", named("group_delay_at", 1e3), lambda result: result.looked_at),
    ),
    "equaliser-headroom": (
        Claim("chart", "Equaliser", "highest", boost_if_any),
        Claim("chart", "Equaliser", "at", boost_if_any, lambda result: result.boost_frequency),
    ),
    "graphic-equaliser": (
        Claim("chart", "Got", "highest", boost_if_any),
    ),
    "target-curve": (
        Claim("chart", "Target", "at", named("bass_level"), fixed(50.0)),
        Claim("chart", "Target", "at", named("middle_level"), fixed(1000.0)),
        Claim("chart", "Target", "at", named("treble_level"), lambda result: 10e3),
    ),
    "passive-crossover": (
        Claim("chart", "Sum", "highest", named("sum_high"), within=octave_round("chart")),
        Claim("chart", "Sum", "lowest", named("sum_low"), within=octave_round("chart")),
        Claim("chart", "Woofer", "at", named("woofer_level"), lambda result: result.chart.read_at),
        Claim("difference_chart", "Woofer", "farthest", named("woofer_error")),
        Claim("difference_chart", "Tweeter", "farthest", named("tweeter_error")),
    ),
    "path-cancellation": (
        Claim("chart", "Together", "lowest", notch_in_sight),
        Claim("chart", "Together", "highest", peak_in_sight),
    ),
    "phase-and-join": (
        Claim("chart", "As they are", "at", named("sum_level"), lambda result: result.chart.read_at),
        Claim("chart", "One reversed", "at", named("reversed_level"), lambda result: result.chart.read_at),
    ),
    "opposed-band": (
        Claim("chart", "Together", "at", lambda result: 6.0206, lambda result: 2 * result.band_centre),
    ),
    "all-pass": (
        Claim("chart", "Left seat", "lowest", named("lowest_1"), within=mean_band),
        Claim("chart", "Right seat", "lowest", named("lowest_2"), within=mean_band),
    ),
    "delay-two-seats": (
        Claim("chart", "First head", "at", quarter_turn, lambda result: result.opposed_low),
    ),
    "acoustic-slope": (
        Claim("chart", "Both", "at", named("acoustic_level"), lambda result: result.chart.read_at),
        Claim("chart", "Filter", "at", named("electrical_level"), lambda result: result.chart.read_at),
        Claim("chart", "Driver", "at", named("driver_level"), lambda result: result.chart.read_at),
    ),
    "loudness-contour": (
        Claim("chart", "Lift", "at", named("bass_lift"), fixed(50.0)),
        Claim("chart", "Lift", "at", named("treble_lift"), fixed(10e3)),
    ),
    "off-axis": (
        Claim(
            "chart",
            "as asked",
            "at",
            lambda result: -result.off_axis_loss,
            lambda result: result.chart.read_at,
        ),
    ),
    "maximum-level": (
        Claim("chart", "Limit of its power", "highest", named("by_power")),
    ),
    "panel-damping": (
        Claim("chart", "Rings less by", "at", named("quieter"), lambda result: result.chart.read_at),
    ),
    "transmission-loss": (
        Claim("chart", "Panel", "at", worst_band("before"), worst_place),
        Claim("chart", "As built", "at", worst_band("with_layer"), worst_place),
    ),
    "sealed-box": (
        Claim("excursion_chart", "At full power", "at", band_of("excursion", 40, 1e3), fixed(39.8107)),
        Claim("level_chart", "Most it gives", "at", band_of("level", 80), fixed(79.4328)),
        Claim("response_chart", "Half space", "at", band_of("response_level", 63), fixed(63.0957)),
        Claim("delay_chart", "Group delay", "at", band_of("group_delay", 50, 1e3), fixed(50.1187)),
    ),
    "vented-box": (
        Claim("port_chart", "At full power", "at", band_of("port_speed", 40), fixed(39.8107)),
        Claim("response_chart", "Half space", "at", band_of("response_level", 63), fixed(63.0957)),
        Claim("excursion_chart", "At full power", "at", band_of("excursion", 40, 1e3), fixed(39.8107)),
    ),
    "door-speaker": (
        Claim("excursion_chart", "At full power", "at", band_of("excursion", 80, 1e3), fixed(79.4328)),
        Claim("level_chart", "Most it gives", "at", band_of("level", 100), fixed(100.0)),
    ),
    "cabin-gain": (
        Claim("chart", "9 dB an octave", "at", named("usual_high"), place_read),
    ),
    "slot-speed": (
        Claim("chart", "At full travel", "at", named("speed"), place_read),
    ),
    "curve-average": (
        Claim("chart", "Mean", "at", lambda result: result.curve.level[2], lambda result: result.chart.at[2]),
    ),
    "curve-smooth": (
        Claim(
            "chart", "Smoothed", "at", lambda result: result.curve.level[1],
            lambda result: result.curve.frequency[1],
        ),
    ),
    "curve-compare": (
        Claim(
            "difference_chart", "Second less first", "farthest", named("worst_difference"),
            within=judged_bands,
        ),
    ),
    "spatial-spread": (Claim("chart", "Spread", "highest", named("widest_spread")),),
    "hold-up": (Claim("chart", "At the device", "lowest", named("lowest")),),
    "level-dependence": (
        Claim("chart", "Step", "farthest", named("step_most")),
        Claim("chart", "File level", "farthest", named("file_most")),
    ),
}  # fmt: skip

FOUND_ONCE: dict[str, dict[str, Any]] = {
    # Farthest apart at 80 Hz, where no limit judges the two.
    "curve-compare": {
        "first": {"frequency": [6.0, 12.0, 24.0, 48.0, 72.0, 144.0], "level": [0.0, 0.0, 0.0, 0.0, 1.0, 0.0]},
        "second": {"frequency": [2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 128.0], "level": [0.0] * 7},
        "purpose": "untouched",
    }
}

HELD_BY_EXAMPLE = {
    "flatten": (Claim("chart", "After", "farthest", named("worst")),),
    "fir-correction": (Claim("chart", "The filter", "highest", named("cut_in_front", -1.0)),),
}
"""A run takes most of a second: too long to draw many."""

HELD_ELSEWHERE = {
    "tune": "its example, by tape, draws nothing; held in tests/stages/tuning/test_tune.py",
    "guided-tune": "its example has measured nothing yet; held in tests/stages/tuning/test_guided_tune.py",
    "sub-alignment": "it prints losses and draws levels; held in tests/stages/tuning/test_two_parts.py",
    "feed-sum": "it prints losses and draws levels; its figures are held in tests/stages/test_pick_up.py",
    "response": "its bands are held against simulations in tests/stages/tuning/test_response.py",
}


def drawn_with(calculator: Calculator) -> bool:
    return any(isinstance(entry.kind, OutputChart) for entry in calculator.outputs)


def test_every_calculator_with_a_chart_is_held_to_it() -> None:
    assert {entry.slug for entry in every_calculator() if drawn_with(entry)} == {
        *CLAIMS,
        *HELD_BY_EXAMPLE,
        *HELD_ELSEWHERE,
    }


@pytest.mark.parametrize("slug", HELD_BY_EXAMPLE)
def test_the_example_draws_what_it_prints(slug: str) -> None:
    result = outcome_of(slug).result
    for claim in HELD_BY_EXAMPLE[slug]:
        chart, number = getattr(result, claim.chart), claim.number(result)
        assert number is not None
        hold(claim, number, chart, drawn(chart, claim.line), result)


@pytest.mark.parametrize("slug", CLAIMS)
def test_what_is_drawn_is_what_is_printed(slug: str) -> None:
    calculator = find_calculator(slug)
    looked_at = []

    @example(inputs=dict(calculator.example))  # Of some, few of those drawn have an answer.
    @example(inputs=FOUND_ONCE.get(slug, dict(calculator.example)))
    @given(inputs=inputs_of(calculator))
    def check(inputs: dict[str, Any]) -> None:
        outcome = run_values(calculator, inputs)
        if outcome.errors:
            return
        for claim in CLAIMS[slug]:
            number = claim.number(outcome.result)
            chart = getattr(outcome.result, claim.chart)
            lines = [] if chart is None else drawn(chart, claim.line)
            if number is None or not lines:
                continue
            looked_at.append(claim)
            hold(claim, number, chart, lines, outcome.result)

    check()
    assert looked_at


def drawn(chart: Chart, label: str) -> list[tuple[float, float]]:
    """Points of a line in the picture, those of all its runs."""
    root = ElementTree.fromstring(picture(chart))
    found = [number for number, series in enumerate(chart.series, 1) if label in series.label]
    if not found:
        return []
    # Lines of one class (limits) lie in the order of their series: the label must name one alone.
    wanted = line_class(chart.series[found[0] - 1], found[0])
    shown = [
        line.get("points", "") for line in root.iter("polyline") if line.get("class", "").endswith(wanted)
    ]
    points = [point.split(",") for line in shown for point in line.split()]
    return [(float(left), float(down)) for left, down in points]


def test_the_lowest_voltage_is_drawn_though_it_lies_between_two_steps() -> None:
    """Where the supply takes over from the capacitor again: it was drawn 0.13 V too high."""
    outcome = run_values(find_calculator("hold-up"), {"power": 14.0, "isolator": 0.35, "profile": "level-i"})
    (claim,) = CLAIMS["hold-up"]
    hold(
        claim,
        outcome.result.lowest,
        outcome.result.chart,
        drawn(outcome.result.chart, claim.line),
        outcome.result,
    )


def hold(claim: Claim, number: float, chart: Chart, points: list[tuple[float, float]], result: Any) -> None:
    low, high = chart.y.low, chart.y.high
    per_pixel = (high - low) / PLOT_HEIGHT
    close = CLOSE * min(1.0, (high - low) / 10) + WRITTEN * per_pixel
    if claim.end == "at":
        assert claim.at is not None
        if not chart.x.low <= claim.at(result) <= chart.x.high:
            return
        wanted = claim.at(result)
        index = min(range(len(chart.at)), key=lambda place: abs(chart.at[place] - wanted))
        assert chart.at[index] == pytest.approx(wanted, rel=1e-6)
        if not low < number < high:
            return
        left = across(chart.x, chart.at[index])
        heights = [high - (down - TOP) * per_pixel for at, down in points if abs(at - left) <= WRITTEN + 1e-6]
        assert min(abs(height - number) for height in heights) <= close, (number, heights)
        return
    if claim.within is not None:
        ends = [across(chart.x, end) for end in claim.within(result)]
        points = [point for point in points if ends[0] - WRITTEN <= point[0] <= ends[1] + WRITTEN]
        if not points:
            return
    heights = [high - (down - TOP) * per_pixel for _, down in points]
    end = {"highest": max, "lowest": min, "farthest": lambda values: max(values, key=abs)}[claim.end](heights)
    if number > high:
        assert max(heights) == pytest.approx(high, abs=close)
    elif number < low:
        assert min(heights) == pytest.approx(low, abs=close)
    elif claim.end == "farthest":
        assert min(abs(height - number) for height in heights) <= close
        assert abs(end) <= abs(number) + close
    else:
        assert end == pytest.approx(number, abs=close)
