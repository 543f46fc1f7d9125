"""Loads, currents, voltages and drivers' limits."""

import math
from typing import Any

from tests.published.rows import Row, check, every


def draw(power: float, efficiency: float, crest: float = 12.0, supply: float = 13.8) -> dict[str, Any]:
    return {"amplifiers": [{"power": power, "efficiency": efficiency, "crest": crest}], "supply": supply}


EIGHTH = 10 * math.log10(2 * 8)
LOADS = [
    Row("EL-65", "current-draw", draw(500, 0.85), "peak_current", 42.63, 1e-2, "I = P/(ηV)", "calc"),
    Row("EL-66", "current-draw", draw(500, 0.5), "peak_current", 72.46, 1e-2, "I = P/(ηV)", "calc"),
    Row("EL-67", "current-draw", draw(1000, 0.8), "peak_current", 90.58, 1e-2, "I = P/(ηV)", "calc"),
    Row("EL-67", "current-draw", draw(1000, 0.8), "eighth_current", 11.32, 1e-2, "I = P/(ηV)", "calc"),
    Row("EL-67", "current-draw", draw(1000, 0.8), "third_current", 30.19, 1e-2, "I = P/(ηV)", "calc"),
    Row(
        "EL-67",
        "current-draw",
        draw(1000, 0.8, EIGHTH),
        "average_current",
        11.32,
        1e-2,
        "crest of 1/8 power",
        "calc",
    ),
    Row(
        "K04", "current-draw", draw(580, 0.8, supply=13.5), "peak_current", 53.70, 5e-3, "I = P/(ηV)", "calc"
    ),
    Row(
        "EL-73",
        "current-draw",
        draw(1000, 0.9, 10 * math.log10(2)),
        "amplifiers[0].heat",
        111.1,
        0.1,
        "class D at 90 %",
        "calc",
    ),
    *(
        Row(
            "EL-74",
            "gain-voltage",
            {"power": power, "load": 4.0},
            "voltage",
            volts,
            1e-3,
            "V = √(PR)",
            "calc",
        )
        for power, volts in ((50.0, 14.142), (75.0, 17.321), (100.0, 20.0))
    ),
    *(
        Row(
            "EL-79",
            "gain-voltage",
            {"power": volts**2 / 4, "load": 4.0},
            "level_dbu",
            level,
            1e-3,
            "ITU-R BS.645",
            "calc",
        )
        for volts, level in ((2.0, 8.239), (4.0, 14.260), (8.0, 20.280))
    ),
    Row("K09", "gain-voltage", {"power": 70.0, "load": 4.0}, "voltage", 16.73, 5e-3, "V = √(PR)", "calc"),
    Row(
        "K09",
        "gain-voltage",
        {"power": 100.0, "load": 4.0, "measured": 8.4},
        "measured_power",
        17.64,
        1e-9,
        "P = V²/R",
        "calc",
    ),
    Row(
        "look-up 3",
        "gain-voltage",
        {"power": 300.0, "load": 4.0, "overlap": 5.0},
        "test_voltage",
        19.48,
        5e-3,
        "V = √(PR)",
        "calc",
    ),
    Row(
        "look-up 3",
        "gain-voltage",
        {"power": 300.0, "load": 4.0, "overlap": 10.0},
        "test_voltage",
        10.95,
        6e-3,
        "V = √(PR)",
        "calc",
    ),
    Row(
        "K29",
        "noise-at-ear",
        {"noise_voltage": 0.0005, "load": 4.0, "sensitivity": 91.0, "distance": 1.0},
        "level",
        19.0,
        0.05,
        "inverse distance",
        "calc",
    ),
    *(
        Row(
            "EL-81",
            "speaker-load",
            {"coils": [{"impedance": ohm} for ohm in coils], "wiring": wiring},
            "load",
            load,
            1e-3,
            "Ohm's law",
            "calc",
        )
        for coils, wiring, load in (
            ((4.0, 4.0), "parallel", 2.0),
            ((4.0, 8.0), "parallel", 2.6667),
            ((2.0, 2.0), "parallel", 1.0),
            ((8.0, 8.0, 8.0), "parallel", 2.6667),
            ((4.0, 4.0), "series", 8.0),
        )
    ),
]


def driver(area: float, excursion: float, frequency: float, **more: float) -> dict[str, Any]:
    return {
        "sensitivity": 88.0, "power": 300.0, "area": area * 1e-4, "excursion": excursion * 1e-3,
        "frequency": frequency, **more,
    }  # fmt: skip


PISTON = "Beranek and Mellow; Small 1972"
DRIVERS = [
    Row("SP-48", "maximum-level", driver(330, 10, 30), "by_excursion", 98.00, 5e-3, PISTON, "calc"),
    Row("SP-49", "maximum-level", driver(330, 10, 60), "by_excursion", 110.04, 5e-3, PISTON, "calc"),
    Row("SP-50", "maximum-level", driver(137, 4, 80), "by_excursion", 99.44, 5e-3, PISTON, "calc"),
    Row("SP-51", "maximum-level", driver(1000, 10, 20), "by_excursion", 100.59, 5e-3, PISTON, "calc"),
    Row(
        "SP-55",
        "maximum-level",
        driver(330, 10, 40, sensitivity=100.0, power=1.0),
        "excursion_at_power",
        7.081e-3,
        1e-6,
        PISTON,
        "calc",
    ),
    Row(
        "SP-58", "maximum-level", driver(330, 10, 60), "by_power", 112.77, 1e-2, "88 dB + 10 log 300", "calc"
    ),
    Row(
        "SP-58",
        "maximum-level",
        driver(330, 10, 60, distance=2.0),
        "by_power",
        106.75,
        1e-2,
        "the same at 2 m",
        "calc",
    ),
]


@every([*LOADS, *DRIVERS])
def test_published(row: Row) -> None:
    check(row)
