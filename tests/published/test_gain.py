"""The gain chain, limiters and noise at the ear: our own worked chain, and arithmetic.

No standard prints a chain of gains. The chain below is our own invention; its figures were worked out
by hand with logarithms, to the digits shown, before the calculator was written.
"""

from typing import Any

import pytest

from calculators.declaring import run_values
from calculators.presenting.values import find_value
from calculators.stages import find_calculator
from tests.published.rows import Row, check, every

PICK_UP = {"name": "Pick-up", "input_max": 10.18, "gain": 0.0}
INPUT = {"name": "Processor input", "input_max": 10.0, "gain": 0.0, "noise": 100e-6, "noise_at": "input"}
OUTPUT = {"name": "Processor output", "output_max": 4.0, "unity": 10.0, "boost": 4.5, "noise": 22.494e-6}
AMPLIFIER = {"name": "Amplifier", "output_max": 16.733, "noise": 5e-6, "noise_at": "input"}


def chain(
    processor: float | None = None, amplifier: float | None = None, full: float = 16.733
) -> dict[str, Any]:
    """The worked chain; a gain that is not given is found."""
    return {
        "source": 8.4,
        "source_noise": 80e-6,
        "stages": [
            PICK_UP,
            INPUT,
            OUTPUT | {"gain": processor},
            AMPLIFIER | {"gain": amplifier, "output_max": full},
        ],
        "headroom": 5.0,
        "reserve": 3.0,
        "load": 4.0,
        "sensitivity": 91.0,
        "distance": 0.86,
    }


OURS = "our own worked chain, arithmetic"


def rows_of(values: dict[str, tuple[float | str, float]], inputs: dict[str, Any]) -> list[Row]:
    return [
        Row("chain", "gain-chain", inputs, path, expected, tolerance, OURS, "calc")
        for path, (expected, tolerance) in values.items()
    ]


WORKED = rows_of(
    {
        "first_to_clip": ("Amplifier", 0.0),
        "order": (
            "Amplifier −9.5, Source 0.0, Processor input +1.5, Pick-up +1.7, Processor output +3.0 dBFS",
            0.0,
        ),
        "chain[0].voltage": (8.40, 5e-3),
        "chain[0].noise": (0.283e-3, 1e-6),
        "chain[1].voltage": (8.40, 5e-3),
        "chain[1].clip_margin": (1.7, 0.05),
        "chain[2].clip_margin": (1.51, 5e-3),
        "chain[2].noise": (0.354e-3, 1e-6),
        "chain[3].gain": (-5.99, 5e-3),
        "chain[3].voltage": (1.687, 1e-3),
        "chain[3].voltage_boosted": (2.832, 1e-3),
        "chain[3].clip_margin": (3.0, 1e-6),
        "chain[3].noise": (0.397e-3, 1e-6),
        "chain[4].gain": (24.93, 5e-3),
        "chain[4].voltage": (29.76, 5e-3),
        "chain[4].clip_margin": (-5.0, 1e-6),
        "chain[4].clips_at": (-9.5, 1e-6),
        "chain[4].noise": (0.088e-3, 1e-6),
        "setting": (24.93, 5e-3),
        "limiter": (-12.5, 0.05),
        "noise": (0.609e-3, 1e-6),
        "noise_at_ear": (22.0, 0.05),
        "source_noise_limit": (0.0998e-3, 1e-7),
        "below_full": (93.8 - 5.0, 0.05),
    },
    chain(),
)
# The tweeter needs 6 dB less: taken in the processor, or at the amplifier.
TRIMMED = [
    *rows_of({"noise": (0.466e-3, 1e-6), "noise_at_ear": (19.7, 0.05)}, chain(-11.99, 24.93)),
    *rows_of({"noise": (0.305e-3, 1e-6), "noise_at_ear": (16.0, 0.05)}, chain(-5.99, 18.93)),
]
# Volts of noise that stand 100 and 90 dB under 16.73 V.
UNDER_FULL = [
    Row("chain", "gain-chain", {
        "source": 1.0,
        "stages": [{"name": "A", "output_max": 16.733, "gain": 0.0, "noise": noise}],
    }, "below_full", level, 0.05, OURS, "calc")
    for noise, level in ((0.167e-3, 100.0), (0.529e-3, 90.0))
]  # fmt: skip
SUBWOOFER = rows_of({"setting": (31.25, 5e-3), "limiter": (-12.5, 0.05)}, chain(full=34.641))

DOOR = {"full_output": 4.0, "gain": 24.93, "clip_voltage": 17.72, "driver_power": 20.0}
LIMITERS = [
    Row("limiter", "limiter", inputs, path, expected, tolerance, "20 log of volts over full scale", "calc")
    for inputs, path, expected, tolerance in (
        (DOOR, "full_scale_voltage", 70.6, 0.05),
        (DOOR, "peak_voltage", 16.73, 5e-3),
        (DOOR, "peak_threshold", -12.5, 0.05),
        (DOOR, "thermal_voltage", 6.33, 5e-3),
        (DOOR, "thermal_threshold", -20.9, 0.05),
        (DOOR | {"gain": 18.93}, "thermal_threshold", -14.9, 0.05),
        ({"full_output": 4.0, "gain": 31.25, "clip_voltage": 36.69}, "peak_threshold", -12.5, 0.05),
        (DOOR | {"stroke_voltage": 10.0}, "stroke_threshold", -16.97, 5e-3),
    )
]

NOISE = {"noise_voltage": 0.0005, "load": 4.0, "sensitivity": 91.0, "distance": 0.86}
RIGHT = {"noise_voltage": 0.0005, "distance": 1.38}
NOISES = [
    Row("noise", "noise-at-ear", inputs, path, expected, 0.05, "inverse distance", "calc")
    for inputs, path, expected in (
        (NOISE, "level", 20.3),
        (NOISE | {"sensitivity_basis": "2.83-volts"}, "level", 17.3),
        (NOISE | {"distance": 0.3}, "level", 29.4),
        (NOISE | {"others": [RIGHT]}, "total", 21.7),
    )
]

HEADROOM = {"power": 300.0, "load": 4.0, "overlap": 5.0}
TARGETS = [
    Row("target", "gain-voltage", inputs, path, expected, tolerance, "V = √(PR) and decibels", "calc")
    for inputs, path, expected, tolerance in (
        (HEADROOM | {"overlap": 0.0}, "voltage", 34.64, 5e-3),
        (HEADROOM, "test_voltage", 19.48, 5e-3),
        (HEADROOM, "voltage", 34.64, 5e-3),
        (HEADROOM, "full_scale_voltage", 61.60, 5e-3),
        (HEADROOM, "full_scale_power", 949.0, 0.5),
        (HEADROOM | {"power": 70.0}, "full_scale_power", 221.0, 0.5),
        # LR24 of 80 Hz at 40 Hz takes 0.53 dB.
        (HEADROOM | {"filter_level": -0.53}, "voltage", 34.64 * 0.9408, 5e-3),
    )
]


@every([*WORKED, *TRIMMED, *UNDER_FULL, *SUBWOOFER, *LIMITERS, *NOISES, *TARGETS])
def test_published(row: Row) -> None:
    check(row)


@pytest.mark.parametrize(
    ("slug", "inputs", "output"),
    [
        ("maximum-level", {"power": 300.0, "area": 0.0214, "excursion": 0.009}, "by_power"),
        ("level-budget", {"usual_level": 76.0}, "headroom"),
        ("noise-at-ear", {"noise_voltage": 0.0005}, "level"),
        ("gain-chain", chain(), "noise_at_ear"),
    ],
)
def test_sensitivity_at_2_83_v_into_4_ohm_is_2_w(slug: str, inputs: dict[str, Any], output: str) -> None:
    """10 log(2.83²/4) = 3.015 dB, in each calculator that asks for a sensitivity."""
    both = {"sensitivity": 91.0, "load": 4.0, **inputs}
    at_1_watt, at_2_83_volts = (
        value_of(slug, both | {"sensitivity_basis": basis}, output) for basis in ("1-watt", "2.83-volts")
    )
    assert at_1_watt - at_2_83_volts == pytest.approx(3.015, abs=5e-4)


def value_of(slug: str, inputs: dict[str, Any], path: str) -> Any:
    outcome = run_values(find_calculator(slug), inputs)
    assert outcome.errors == ()
    return find_value(outcome, path)[1]
