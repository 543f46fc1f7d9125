"""The filter calculator: what is printed is what is drawn."""

import math
from typing import Any

import numpy as np
import pytest

from calculators.declaring import run_values
from calculators.physics import biquads, filters
from calculators.physics.decibels import LOWEST_LEVEL, level
from calculators.stages import find_calculator


def run(**inputs: Any) -> Any:
    outcome = run_values(find_calculator("filter"), inputs)
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


@pytest.mark.parametrize(("kind", "gain"), [("notch", 0.0), ("peak", -24.0), ("high-shelf", 24.0)])
def test_the_largest_difference_is_found(kind: str, gain: float) -> None:
    """Against 200,001 places; a Q of 40 at 19.9 kHz was missed by 7.9 dB."""
    result = run(kind=kind, frequency=19.9e3, gain=gain, q=40.0, sample_rate=44100.0)
    f = np.geomspace(20, 20e3, 200001)
    digital, analogue = (
        np.maximum(level(filters.response(biquads.biquad(kind, 19.9e3, gain, 40.0, rate), f)), -60)  # type: ignore[arg-type]
        for rate in (44100.0, None)
    )
    assert abs(result.largest_difference) == pytest.approx(np.max(np.abs(digital - analogue)), abs=0.05)


def test_an_all_pass_shows_its_phase_and_its_delay() -> None:
    """Its level is 0 dB everywhere, which was all there was to see. Q 0.707: 2·√2/w at the frequency."""
    result = run(kind="all-pass", frequency=350.0, q=1 / math.sqrt(2), sample_rate=None)
    (phase,) = result.phase_chart.series
    assert phase.values[0] == pytest.approx(0, abs=10)
    assert phase.values[-1] == pytest.approx(-360, abs=10)
    assert result.phase_at == pytest.approx(180, abs=1e-6) or result.phase_at == pytest.approx(-180, abs=1e-6)
    assert result.group_delay_at == pytest.approx(2 * math.sqrt(2) / (2 * math.pi * 350), rel=1e-9)
    assert max(result.delay_chart.series[0].values) >= 1e3 * result.group_delay_at - 1e-9


@pytest.mark.parametrize(
    ("meaning", "own"), [("half-gain", 4.0), ("constant", 4 / 1.99526), ("three-db", 4 / 1.86513)]
)
def test_one_q_in_three_senses(meaning: str, own: float) -> None:
    """-12 dB: A = 1.99526, √(A⁴ - 2)/A = 1.86513 (worked out by hand)."""
    result = run(kind="peak", frequency=1000.0, gain=-12.0, q=4.0, q_kind=meaning)
    assert result.q_used == pytest.approx(own, rel=1e-3)
    assert result.q_constant == pytest.approx(own * 1.99526, rel=1e-3)
    assert result.q_three_db == pytest.approx(own * 1.86513, rel=1e-3)


def test_a_q_by_3_db_needs_3_db() -> None:
    outcome = run_values(find_calculator("filter"), {"kind": "peak", "gain": 2.0, "q_kind": "three-db"})
    assert [error.field for error in outcome.errors] == ["q_kind"]


def test_no_advice_that_a_boost_tells_a_null() -> None:
    """A filter lifts direct sound and reflection alike: filling with 3 dB proves nothing."""
    (advice,) = run(kind="peak", frequency=210.0, gain=6.0, q=3.0).advice
    assert "does not fill" not in advice.message
    assert "from point to point" in advice.message


@pytest.mark.parametrize(("values", "said"), [
    ({"kind": "peak", "gain": 8.0, "q": 0.7}, ["More than 6 dB of boost asks 6.3 times the power"]),
    ({"kind": "low-shelf", "gain": 6.5, "q": 0.7}, ["More than 6 dB of boost asks 4.5 times the power"]),
    ({"kind": "peak", "gain": 3.5, "q": 1.0}, ["A narrow boost over 3 dB"]),
    ({"kind": "peak", "gain": 9.0, "q": 3.0}, ["More than 6 dB", "A narrow boost over 3 dB"]),
    ({"kind": "high-shelf-1", "gain": -13.0}, ["A cut beyond −12 dB"]),
    ({"kind": "peak", "gain": 6.0, "q": 0.9}, []), ({"kind": "peak", "gain": -12.0, "q": 4.0}, []),
    ({"kind": "low-pass", "gain": 14.0, "q": 0.7}, []),
])  # fmt: skip
def test_gain_beyond_the_pages_limits_is_questioned(values: dict[str, object], said: list[str]) -> None:
    """Times the power of a level in dB: 10^(dB/10)."""
    found = [entry.message for entry in run(**values).advice]
    assert len(found) == len(said)
    assert all(text.startswith(start) for text, start in zip(found, said, strict=True))


def test_what_a_notch_takes_out_has_no_phase() -> None:
    """What is left of it at its own frequency is a last digit."""
    inputs = {"kind": "notch", "frequency": 1000.0, "q": 4.0}
    at, above = (run_values(find_calculator("filter"), inputs | {"at": at}).result for at in (1000.0, 1001.0))
    assert (at.level_at, at.phase_at) == (LOWEST_LEVEL, None)
    assert above.phase_at == pytest.approx(89.54, abs=0.01)  # arctan(1 / (4 (1.001 - 1 / 1.001))) = 89.54.
