"""Speed of sound, wavelength and delay."""

from typing import Any

import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator
from tests.published.rows import Row, check, every

ISO_9613 = "ISO 9613-1:1993, Formula A.5"
CRAMER = "O. Cramer, J. Acoust. Soc. Am. 93 (1993) 2510"
DEFINITION = "definition: length over speed, with the speed of ISO 9613-1 at 20 °C, 343.2 m/s"

SPEEDS = [
    Row("AC-01", "sound-speed", {"temperature": 20}, "speed", 343.2, 1e-9, ISO_9613, "lib"),
    Row("AC-02", "sound-speed", {"temperature": 0}, "speed", 331.286, 1e-3, ISO_9613, "lib"),
    Row("AC-04", "sound-speed", {"temperature": 25}, "speed", 346.115, 1e-3, ISO_9613, "lib"),
    Row("AC-08", "sound-speed", {"humidity": 0.5}, "humid_speed", 343.987, 1e-2, CRAMER, "lib"),
    Row("AC-09", "sound-speed", {"humidity": 1.0}, "humid_speed", 344.613, 1e-2, CRAMER, "lib"),
]

COX = "Cox and D'Antonio, Acoustic Absorbers and Diffusers: 25 mm of felt, a tenth and a quarter"
WAVELENGTHS = [
    Row("AC-21", "wavelength", {"frequency": 1372.8}, "tenth", 25e-3, 1e-9, COX, "memory"),
    Row("AC-21", "wavelength", {"frequency": 3432}, "quarter", 25e-3, 1e-9, COX, "memory"),
    Row("AC-20", "wavelength", {"frequency": 20}, "wavelength", 17.16, 17.16e-9, DEFINITION, "calc"),
    Row("AC-22", "wavelength", {"frequency": 1000}, "wavelength", 0.3432, 0.3432e-9, DEFINITION, "calc"),
    Row("AC-23", "wavelength", {"frequency": 20e3}, "wavelength", 17.16e-3, 17.16e-12, DEFINITION, "calc"),
    # One sample at 96 kHz lasts as long as one cycle of 96 kHz.
    Row("AC-27", "wavelength", {"frequency": 96e3}, "wavelength", 3.575e-3, 0.5e-6, DEFINITION, "calc"),
]


def difference(metres: float, **rest: float) -> dict[str, Any]:
    """Two speakers, one so much farther away than the other."""
    return {
        "speakers": [{"name": "near", "distance": 0.85}, {"name": "far", "distance": 0.85 + metres}],
        **rest,
    }


SAMPLE = 1 / 48e3
# What was measured later than taped moves all the others; the delay itself is never below nothing.
LATE = {
    "speakers": [
        {"name": "Left tweeter", "distance": 0.86, "late": -0.07e-3},
        {"name": "Left woofer", "distance": 0.98},
        {"name": "Right tweeter", "distance": 1.38, "late": -0.07e-3},
        {"name": "Right woofer", "distance": 1.47},
        {"name": "Subwoofer", "distance": 1.92, "late": 1.31e-3},
    ],
    "temperature": 24.0,
}
LATE_BY_HAND = "gaps of 0.94, 0.54 and 0.45 m over 345.534 m/s (ISO 9613-1), and 1.31 and 0.07 ms, by hand"
DELAYS = [
    *(
        Row("AC-25", "delay", LATE, f"speakers[{place}].delay", delay, 1e-6, LATE_BY_HAND, "calc")
        for place, delay in enumerate((4.4478e-3, 4.0305e-3, 2.9428e-3, 2.6123e-3))
    ),
    Row("AC-25", "delay", LATE, "last", "Subwoofer", 0, LATE_BY_HAND, "calc"),
    Row("AC-24", "delay", difference(1.0), "speakers[0].delay", 2.91375e-3, 0.5e-8, DEFINITION, "calc"),
    Row("AC-28", "delay", difference(0.55), "speakers[0].delay", 1.60256e-3, 0.5e-8, DEFINITION, "calc"),
    Row("AC-28", "delay", difference(0.55), "speakers[0].samples", 77, 1e-9, DEFINITION, "calc"),
    Row("AC-28", "delay", difference(0.55), "speakers[1].delay", 0.0, 0.0, DEFINITION, "calc"),
    Row("ME-23", "delay", difference(0.3432), "speakers[0].delay", 1e-3, 1e-12, DEFINITION, "calc"),
    Row("ME-23", "delay", difference(0.3432), "speakers[0].samples", 48, 1e-9, DEFINITION, "calc"),
    Row(
        "ME-23",
        "delay",
        difference(0.3432, sample_rate=96e3),
        "speakers[0].samples",
        96,
        1e-9,
        DEFINITION,
        "calc",
    ),
    Row("ME-24", "delay", difference(1.5), "speakers[0].samples", 210, 1e-9, DEFINITION, "calc"),
    Row(
        "ME-24",
        "delay",
        difference(1.5, step=SAMPLE),
        "speakers[0].left",
        4.37e-6,
        0.01e-6,
        DEFINITION,
        "calc",
    ),
]


@every([*SPEEDS, *WAVELENGTHS, *DELAYS])
def test_published_values(row: Row) -> None:
    check(row)


def answer(slug: str, inputs: dict[str, Any]) -> Any:
    return run_values(find_calculator(slug), inputs).result


def test_what_humidity_adds() -> None:
    """+1.25 m/s from 0 to 100 % at 20 °C (Cramer 1993; calc)."""
    dry, wet = (answer("sound-speed", {"humidity": share}).humid_speed for share in (0, 1))
    assert wet - dry == pytest.approx(1.25, abs=0.02)


def test_drift_of_a_delay_with_the_cabin() -> None:
    """1.40 m from 0 °C to 40 °C is 279 µs, 13.4 samples at 48 kHz (ISO 9613-1; calc)."""
    cold, hot = (answer("delay", difference(1.4, temperature=at)).speakers[0].delay for at in (0, 40))
    assert cold - hot == pytest.approx(279e-6, abs=1e-6)
    assert (cold - hot) * 48e3 == pytest.approx(13.4, abs=0.05)


def test_phase_of_a_step() -> None:
    """At 1 kHz one sample of 48 kHz is 7.5° (360 f/fs; calc): half of it is left at most."""
    rows = answer("delay", difference(1.5, step=SAMPLE)).speakers
    assert rows[0].left_phase / rows[0].left * SAMPLE == pytest.approx(7.5, rel=1e-12)
    assert 0 < abs(rows[0].left) <= SAMPLE / 2
