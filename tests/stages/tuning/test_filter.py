"""The filter calculator: what is printed is what is drawn."""

from typing import Any

import pytest

from calculators.declaring import run_values
from calculators.stages import find


def run(**inputs: Any) -> Any:
    outcome = run_values(find("filter"), inputs)
    assert outcome.errors == ()
    return outcome.result


def drawn(result: Any, label: str) -> list[float]:
    return list(next(series.values for series in result.chart.series if series.label == label))


def test_a_narrow_peak_is_drawn_as_high_as_it_is() -> None:
    """+12 dB at a Q of 12: the grid of 40 places a decade topped out at 8 dB."""
    result = run(kind="peak", frequency=1089.0, gain=12.0, q=12.0)
    assert max(drawn(result, "Digital")) == pytest.approx(12.0, abs=1e-6)
    assert result.level_at == pytest.approx(12.0, abs=1e-6)


def test_a_notch_is_drawn_to_the_foot_of_the_frame() -> None:
    """A notch at 1089 Hz of Q 12 stood at -5.1 dB on the old grid."""
    result = run(kind="notch", frequency=1089.0, q=12.0)
    assert result.level_at < -60
    assert min(drawn(result, "Digital")) < result.chart.y.low
