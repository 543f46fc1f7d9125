"""Equaliser filters and band-passes, by a library and by their definitions."""

from typing import Any

import numpy as np
import pytest
from scipy.signal import sosfreqz

from calculators.declaring import run_values
from calculators.presenting.values import find_value, shown
from calculators.stages import find_calculator
from tests.published.rows import Row, check, every

COOKBOOK = "Audio EQ Cookbook, W3C Working Group Note, 8 June 2021"
BAND = "IEC 61260-1: 1/(G^(1/6) - G^(-1/6)), base ten and base two"
BUTTERWORTH_Q = 0.5**0.5  # 0.70711 as printed; the coefficients are those of the exact figure.
KINDS = ("peak", "low-shelf", "high-shelf", "low-pass", "high-pass", "notch", "all-pass")
AT_48_KHZ = 1  # Line of the table of coefficients, which rises in sample rate.


def one(kind: str, frequency: float, gain: float, q: float, **rest: float) -> dict[str, Any]:
    return {"kind": kind, "frequency": frequency, "gain": gain, "q": q, "sample_rate": 48000.0, **rest}


PEAK_UP = one("peak", 1000.0, 6.0, 1.0)
PEAK_DOWN = one("peak", 1000.0, -6.0, 1.0)
NARROW = one("peak", 100.0, -3.0, 4.0)
LOW_PASS = one("low-pass", 1000.0, 0.0, BUTTERWORTH_Q)
HIGH_PASS = one("high-pass", 80.0, 0.0, BUTTERWORTH_Q)
DEEP_LOW_PASS = one("low-pass", 80.0, 0.0, BUTTERWORTH_Q)
# Slope 1 is a Q of 1/sqrt(2).
LOW_SHELF = one("low-shelf", 100.0, 6.0, 0.5**0.5)
HIGH_SHELF = one("high-shelf", 8000.0, -3.0, 0.5**0.5)
NOTCH = one("notch", 1000.0, 0.0, 10.0)
ALL_PASS = one("all-pass", 1000.0, 0.0, BUTTERWORTH_Q)

COEFFICIENTS = [
    ("FI-48", PEAK_UP, (1.0439530870, -1.8953207239, 0.8677222848, -1.8953207239, 0.9116753718), 1e-9),
    ("FI-49", PEAK_DOWN, (0.9578974501, -1.8155228885, 0.8732915139, -1.8155228885, 0.8311889639), 1e-9),
    ("FI-50", NARROW, (0.9994331659, -1.9959472828, 0.9966851292, -1.9959472828, 0.9961182951), 1e-9),
    ("FI-52", LOW_PASS, (0.0039161267, 0.0078322533, 0.0039161267, -1.8153410827, 0.8310055893), 1e-9),
    ("FI-53", HIGH_PASS, (0.9926225428, -1.9852450855, 0.9926225428, -1.9851906579, 0.9852995131), 1e-9),
    ("FI-54", DEEP_LOW_PASS, (2.72138e-5, 5.44276e-5, 2.72138e-5, -1.9851906579, 0.9852995131), 1e-9),
    ("FI-55", LOW_SHELF, (1.0032178957, -1.9843644308, 0.9813866987, -1.9844243291, 0.9845446961), 1e-9),
    ("FI-56", HIGH_SHELF, (0.7975568339, -0.4212841295, 0.1765263483, -0.7091048318, 0.2619038845), 1e-9),
    ("FI-57", NOTCH, (0.9935160069, -1.9700326795, 0.9935160069, -1.9700326795, 0.9870320139), 1e-9),
    ("FI-58", ALL_PASS, (0.8310055893, -1.8153410827, 1.0, -1.8153410827, 0.8310055893), 1e-9),
]
BIQUADS = [
    Row(identity, "filter", inputs, f"coefficients[{AT_48_KHZ}].{name}", value, tolerance, COOKBOOK, "lib")
    for identity, inputs, numbers, tolerance in COEFFICIENTS
    for name, value in zip(("b0", "b1", "b2", "a1", "a2"), numbers, strict=True)
]  # fmt: skip

LEVELS = [
    Row(identity, "filter", {**inputs, "at": at}, "level_at", level, 1e-3, COOKBOOK, "lib")
    for identity, inputs, at, level in (
        ("FI-48", PEAK_UP, 1000.0, 6.000),
        ("FI-48", PEAK_UP, 500.0, 1.879),
        ("FI-48", PEAK_UP, 2000.0, 1.866),
        ("FI-49", PEAK_DOWN, 500.0, -1.879),
        ("FI-50", NARROW, 100.0, -3.000),
        ("FI-50", NARROW, 200.0, -0.083),
        ("FI-52", LOW_PASS, 1000.0, -3.0103),
        ("FI-52", LOW_PASS, 2000.0, -12.375),
        ("FI-53", HIGH_PASS, 80.0, -3.0103),
        ("FI-53", HIGH_PASS, 40.0, -12.305),
        ("FI-55", LOW_SHELF, 100.0, 3.000),
        ("FI-55", LOW_SHELF, 200.0, 0.376),
        ("FI-56", HIGH_SHELF, 8000.0, -1.500),
    )
]
OTHERS = [
    Row("FI-58", "filter", ALL_PASS, "level_at", 0.0, 1e-9, COOKBOOK, "lib"),
    Row("FI-58", "filter", {**ALL_PASS, "at": 100.0}, "level_at", 0.0, 1e-9, COOKBOOK, "lib"),
    Row("AC-87", "filter", {"kind": "peak", "bandwidth": 1 / 3}, "q_used", 4.3185, 1e-4, BAND, "calc"),
    # A third octave of base ten is a tenth of a decade: 0.332193 octaves.
    Row("AC-87", "filter", {"kind": "peak", "bandwidth": 0.33219281}, "q_used", 4.3334, 1e-4, BAND, "calc"),
]


@every(BIQUADS)
def test_coefficients_at_48_kilohertz(row: Row) -> None:
    check(row)


@every(LEVELS)
def test_levels(row: Row) -> None:
    check(row)


@every(OTHERS)
def test_all_pass_and_width(row: Row) -> None:
    check(row)


def test_a_notch_leaves_nothing_and_an_all_pass_turns_half_a_cycle() -> None:
    """FI-57, FI-58."""
    at_notch = run_values(find_calculator("filter"), NOTCH).result.level_at
    assert at_notch < -150
    phase = run_values(find_calculator("filter"), ALL_PASS).result.phase_at
    assert abs(phase) == pytest.approx(180, abs=1e-6)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("frequency", [10.0, 100.0, 19000.0])
def test_coefficients_as_printed_are_enough(kind: str, frequency: float) -> None:
    """Copied off the page, with the figures shown there, they are stable and give the same response."""
    inputs = {"kind": kind, "frequency": frequency, "gain": 6.0, "q": 4.0}
    outcome = run_values(find_calculator("filter"), inputs)
    at = np.geomspace(10, 20000, 60)
    for line, row in enumerate(outcome.result.coefficients):
        printed = [
            float(shown(*find_value(outcome, f"coefficients[{line}].{name}")).replace("−", "-"))
            for name in ("b0", "b1", "b2", "a1", "a2")
        ]
        assert abs(printed[4]) < 1
        assert abs(printed[3]) < 1 + printed[4]
        full = [row.b0, row.b1, row.b2, row.a1, row.a2]
        sections = np.array([[*printed[:3], 1.0, *printed[3:]], [*full[:3], 1.0, *full[3:]]])
        as_printed, exact = (sosfreqz([section], at, fs=row.sample_rate)[1] for section in sections)
        assert np.max(np.abs(as_printed - exact)) < 1e-3
