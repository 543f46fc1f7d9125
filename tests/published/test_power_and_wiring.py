"""Cables, fuses, battery and hold-up."""

import math
from typing import Any

import pytest

from calculators.declaring import run_values
from calculators.physics import fuses
from calculators.presenting.values import find_value
from calculators.stages import find_calculator
from tests.published.rows import Row, check, every

CLASS_5 = "IEC 60228:2004 table 3, class 5"
VEHICLE = "ISO 6722-1:2011"


def values(slug: str, inputs: dict[str, Any], *paths: str) -> list[Any]:
    """Values of a run without errors."""
    outcome = run_values(find_calculator(slug), inputs)
    assert outcome.errors == ()
    return [find_value(outcome, path)[1] for path in paths]


def one_metre(area: float, table: str = "class-5", temperature: float = 20.0) -> dict[str, Any]:
    """A speaker lead of half a metre one way: its resistance is that of one metre of wire."""
    return {"load": 4.0, "length": 0.5, "area": area * 1e-6, "table": table, "temperature": temperature}


# EL-09 to EL-22, ohm per km = milliohm per metre. The tolerance is far inside the printed digits.
FLEXIBLE = {
    0.5: 39.0, 0.75: 26.0, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21,
    25: 0.780, 35: 0.554, 50: 0.386, 70: 0.272, 95: 0.206,
}  # fmt: skip
# EL-23.
TINNED = {2.5: 8.21, 6: 3.39, 25: 0.795, 50: 0.393}
# Remembered, but for 1.5 mm², which was read. 0.35 mm² is offered by no form.
ROAD = {
    0.5: 37.1, 0.75: 24.7, 1: 18.5, 1.5: 12.7, 2.5: 7.60, 4: 4.71, 6: 3.14, 10: 1.82,
    16: 1.16, 25: 0.743, 35: 0.527, 50: 0.368, 70: 0.259, 95: 0.196,
}  # fmt: skip
RESISTANCES = [
    *(
        Row(
            "EL-09 to 22",
            "speaker-lead",
            one_metre(area),
            "resistance",
            ohm / 1e3,
            ohm * 1e-9,
            CLASS_5,
            "page",
        )
        for area, ohm in FLEXIBLE.items()
    ),
    *(
        Row(
            "EL-23",
            "speaker-lead",
            one_metre(area, "class-5-tinned"),
            "resistance",
            ohm / 1e3,
            ohm * 1e-9,
            CLASS_5 + ", tinned",
            "page",
        )
        for area, ohm in TINNED.items()
    ),
    *(
        Row(
            "EL-24",
            "speaker-lead",
            one_metre(area, "iso-6722"),
            "resistance",
            ohm / 1e3,
            ohm * 1e-9,
            VEHICLE,
            "page" if area == 1.5 else "memory",
        )
        for area, ohm in ROAD.items()
    ),
    # Factors of IEC 60028 on the 1.91 milliohm of 10 mm².
    *(
        Row(
            "EL-04",
            "speaker-lead",
            one_metre(10, temperature=t),
            "resistance",
            1.91e-3 * factor,
            1.91e-7,
            "IEC 60028:1925",
            "calc",
        )
        for t, factor in ((70.0, 1.1965), (85.0, 1.2555), (90.0, 1.2751), (105.0, 1.3341))
    ),
]

# ASTM B258, areas in mm² and resistances of solid copper in ohm per km. The lead's limit is set
# just over that gauge's resistance (a flexible cable: 16 % more), so that the gauge is the answer.
GAUGE_AREAS = {
    "4/0": (107.22, 0.1608), "3/0": (85.03, 0.2028), "2/0": (67.43, 0.2557), "1/0": (53.48, 0.3224),
    "1": (42.41, 0.4066), "2": (33.63, 0.5127), "4": (21.15, 0.8152), "6": (13.30, 1.2962),
    "8": (8.366, 2.0610), "10": (5.261, 3.2771), "12": (3.309, 5.2108), "14": (2.081, 8.2855),
    "16": (1.309, 13.175), "18": (0.8230, 20.948), "20": (0.5176, 33.309),
}  # fmt: skip
GAUGES = [
    Row(
        "EL-25",
        "speaker-lead",
        {"load": 0.5, "length": 0.5 * 0.01 / (ohm * 1e-3 * 1.16 * 1.001), "share": 0.02, "table": "gauge"},
        "size",
        area * 1e-6,
        area * 1e-9,
        f"ASTM B258, {name} AWG",
        "calc",
    )
    for name, (area, ohm) in GAUGE_AREAS.items()
]


def one_way(current: float, length: float, area: float, **more: Any) -> dict[str, Any]:
    """A run whose way back costs nothing, so that the drop is that of one conductor."""
    return {
        "current": current, "length": length, "area": area * 1e-6, "return": "body", "body_resistance": 0.0,
        "ground": 0.0, "extra": 0.0, "temperature": 20.0, "route": "typed", "ambient": 20.0, **more,
    }  # fmt: skip


DROPS = [
    Row("EL-28", "cable", one_way(50, 10, 25, temperature=70.0), "drop", 0.4666, 1e-4, CLASS_5, "calc"),
    Row("EL-29", "cable", one_way(60, 4.5, 16, supply=13.8), "drop", 0.3267, 1e-4, CLASS_5, "calc"),
    Row("EL-29", "cable", one_way(60, 4.5, 16, supply=13.8), "drop_fraction", 0.0237, 5e-5, CLASS_5, "calc"),
    Row(
        "EL-30",
        "cable",
        one_way(4.17, 5, 1.5, supply=12.0, table="iso-6722"),
        "drop",
        0.265,
        0.0013,
        "a wiring page's worked drop at 12.7 mΩ/m",
        "page",
    ),
    Row(
        "EL-30",
        "cable",
        one_way(4.17, 5, 1.5, supply=12.0, table="iso-6722"),
        "drop_fraction",
        0.0221,
        1.1e-4,
        "the same",
        "page",
    ),
    # Both conductors, 60 °C, volts for each ampere and metre of route.
    *(
        Row(
            "EL-31",
            "cable",
            {"current": 1.0, "length": 1.0, "area": area * 1e-6, "temperature": 60.0, "extra": 0.0},
            "drop",
            millivolts / 1e3,
            5e-5,
            CLASS_5,
            "calc",
        )
        for area, millivolts in ((1, 45.1), (1.5, 30.8), (2.5, 18.5))
    ),
    *(
        Row(
            "EL-31",
            "cable",
            {"current": 1.0, "length": 1.0, "area": area * 1e-6, "temperature": 60.0, "extra": 0.0},
            "drop",
            millivolts / 1e3,
            millivolts * 4e-5,
            "BS 7671 table 4F3B",
            "page",
        )
        for area, millivolts in ((1, 46), (1.5, 32), (2.5, 19))
    ),
    # The feed of the handbook's example: 35 mm² by the vehicle table at 40 °C, 3.6 mΩ of joints and body.
    Row(
        "K05",
        "cable",
        {
            "current": 53.7,
            "length": 5.8,
            "area": 35e-6,
            "return": "body",
            "body_resistance": 0.0026,
            "ground": 0.0,
            "extra": 0.001,
            "temperature": 40.0,
            "table": "iso-6722",
        },
        "drop",
        0.370,
        5e-4,
        "Ohm's law on the remembered 0.527 mΩ/m",
        "calc",
    ),
    Row(
        "EL-32",
        "speaker-lead",
        {"load": 4.0, "length": 5.0, "area": 1.5e-6},
        "resistance",
        0.133,
        1e-9,
        CLASS_5,
        "calc",
    ),
    Row(
        "EL-32",
        "speaker-lead",
        {"load": 4.0, "length": 5.0, "area": 1.5e-6},
        "level_loss",
        -0.284,
        1e-3,
        CLASS_5,
        "calc",
    ),
    Row(
        "EL-32",
        "speaker-lead",
        {"load": 4.0, "length": 5.0, "area": 1.5e-6},
        "power_share",
        0.0322,
        5e-5,
        CLASS_5,
        "calc",
    ),
    Row(
        "EL-32",
        "speaker-lead",
        {"load": 4.0, "length": 5.0, "area": 1.5e-6},
        "damping",
        30.1,
        0.05,
        CLASS_5,
        "calc",
    ),
    Row(
        "EL-33",
        "speaker-lead",
        {"load": 4.0, "length": 5.0, "area": 2.5e-6},
        "resistance",
        0.0798,
        1e-9,
        CLASS_5,
        "calc",
    ),
    Row(
        "EL-33",
        "speaker-lead",
        {"load": 4.0, "length": 5.0, "area": 2.5e-6},
        "level_loss",
        -0.172,
        1e-3,
        CLASS_5,
        "calc",
    ),
]

# ISO 8820-3 and DIN 72581.
COLOURS = {
    1: "black", 2: "grey", 3: "violet", 4: "pink", 5: "tan", 7.5: "brown", 10: "red", 15: "blue",
    20: "yellow", 25: "clear", 30: "green", 40: "orange",
}  # fmt: skip
FUSES = [
    *(
        Row(
            "EL-38",
            "fuse",
            {"current": rating * 0.8, "area": 35e-6},
            "colour",
            colour,
            0.0,
            "ISO 8820-3",
            "page",
        )
        for rating, colour in COLOURS.items()
    ),
    *(
        Row(
            "EL-39", "fuse", {"current": current, "area": 70e-6}, "wanted", wanted, 0.05, "125 % rule", "page"
        )
        for current, wanted in ((20.0, 25.0), (42.63, 53.3), (90.58, 113.2))
    ),
    # The steps 60 and 125 are of the bolt-down series, remembered.
    *(
        Row("EL-39", "fuse", {"current": current, "area": 70e-6}, "rating", rating, 1e-9, "125 % rule", mark)
        for current, rating, mark in ((20.0, 25.0, "page"), (42.63, 60.0, "memory"), (90.58, 125.0, "memory"))
    ),
]


def hold(**inputs: Any) -> dict[str, Any]:
    return {"minimum": 8.0, "derate": 0.0, **inputs}


SUPPLY = [
    # Battery maker's council manual, remembered: from full to empty.
    *(
        Row(
            "EL-57",
            "battery-state",
            {"rest_voltage": volts, "chemistry": "flooded"},
            "state_of_charge",
            charge,
            0.01,
            "BCI Battery Service Manual",
            "memory",
        )
        for volts, charge in ((12.65, 1.0), (12.45, 0.75), (12.24, 0.5), (12.06, 0.25), (11.89, 0.0))
    ),
    Row(
        "EL-58",
        "battery-drain",
        {"drains": [{"name": "All", "current": 0.030}], "capacity": 70.0, "usable": 0.5},
        "days",
        48.6,
        0.1,
        "arithmetic",
        "calc",
    ),
    Row(
        "EL-59",
        "hold-up",
        hold(power=1000.0, start=14.4, minimum=12.0, capacitance=1.0),
        "energy",
        31.68,
        1e-4,
        "identity",
        "calc",
    ),
    Row(
        "EL-59",
        "hold-up",
        hold(power=1000.0, start=14.4, minimum=12.0, capacitance=1.0),
        "held",
        0.03168,
        5e-5,
        "identity",
        "calc",
    ),
    Row(
        "EL-60",
        "hold-up",
        hold(current=100.0, start=14.4, minimum=12.0, capacitance=1.0),
        "held",
        0.024,
        1e-9,
        "identity",
        "calc",
    ),
    Row(
        "EL-61", "pre-charge", {"capacitance": 1.0, "supply": 13.8}, "energy", 95.22, 1e-9, "identity", "calc"
    ),
    Row(
        "EL-62",
        "hold-up",
        hold(current=2.0, start=11.0, duration=0.05),
        "capacitance",
        0.0333,
        1e-4,
        "identity",
        "calc",
    ),
    Row(
        "EL-63",
        "hold-up",
        hold(power=24.0, start=12.0, duration=0.05),
        "capacitance",
        0.030,
        1e-9,
        "identity",
        "calc",
    ),
    Row(
        "K07",
        "hold-up",
        hold(power=14.0, start=11.75, minimum=9.0, duration=1.5),
        "capacitance",
        0.736,
        5e-4,
        "identity",
        "calc",
    ),
    # The first dip, level I read, the others remembered.
    *(
        Row(
            "EL-43",
            "hold-up",
            hold(power=14.0, start=12.0, minimum=9.0, profile=f"level-{level}"),
            "unaided",
            dip,
            1e-9,
            "ISO 16750-2",
            mark,
        )
        for level, dip, mark in (
            ("i", 8.0, "page"),
            ("ii", 4.5, "memory"),
            ("iii", 3.0, "memory"),
            ("iv", 6.0, "memory"),
        )
    ),
    Row(
        "EL-64",
        "pre-charge",
        {"capacitance": 1.0, "resistance": 30.0},
        "peak_current",
        0.42,
        1e-3,
        "RC law",
        "calc",
    ),
    Row(
        "EL-64",
        "pre-charge",
        {"capacitance": 1.0, "resistance": 30.0},
        "peak_power",
        5.29,
        5e-3,
        "RC law",
        "calc",
    ),
    Row(
        "EL-64",
        "pre-charge",
        {"capacitance": 1.0, "resistance": 30.0},
        "charge_time",
        138.2,
        0.05,
        "RC law",
        "calc",
    ),
    Row(
        "EL-64",
        "pre-charge",
        {"capacitance": 1.0, "resistance": 30.0, "fraction": 0.632120559},
        "charge_time",
        30.0,
        1e-3,
        "RC law",
        "calc",
    ),
    Row(
        "K08",
        "pre-charge",
        {"capacitance": 1.0, "bleed_resistance": 220.0, "charging_voltage": 12.6},
        "bleed_time",
        557.0,
        0.5,
        "RC law",
        "calc",
    ),
]


@every([*RESISTANCES, *GAUGES, *DROPS, *FUSES, *SUPPLY])
def test_published(row: Row) -> None:
    check(row)


def test_a_20_ampere_blade_needs_a_cable_of_20_ampere() -> None:
    # IEC 60364-4-43 clause 433.1 with I2 = 1.35 In: 27 A against 1.45 × 20 A.
    assert fuses.overload_protected(20.0, 20.0)
    assert not fuses.overload_protected(20.0, 19.9)
    rating, carried, protected = values(
        "fuse", {"current": 16.0, "area": 4e-6}, "rating", "cable_current", "protected"
    )
    assert rating == 20.0
    assert carried >= 20.0
    assert protected is True


def test_short_circuit_of_25_square_millimetres() -> None:
    # k = 115 for PVC and copper (remembered): 2875 A for 1 s, 9092 A for 0.1 s.
    time, current = values("fuse", {"current": 40.0, "area": 25e-6}, "withstand_time", "fault_current")
    assert current * math.sqrt(time) == pytest.approx(2875, rel=1e-3)
    assert current * math.sqrt(time / 0.1) == pytest.approx(9092, rel=1e-3)


def test_starting_profile_of_level_one() -> None:
    # 8 V held 15 ms, then a plateau of 10.5 V with 2 V peak to peak at 2 Hz for 1 s.
    (chart,) = values(
        "hold-up", {"power": 14.0, "start": 12.0, "minimum": 7.0, "profile": "level-i"}, "chart"
    )
    supply = dict(zip(chart.at, chart.series[1].values, strict=True))
    assert [supply[0.005], supply[0.020]] == pytest.approx([8.0, 8.0])
    riding = [volts for at, volts in supply.items() if 0.0701 <= at <= 1.07]
    assert min(riding) == pytest.approx(9.5, abs=0.01)
    assert max(riding) == pytest.approx(11.5, abs=0.01)
    assert chart.at[-1] == pytest.approx(0.070 + 1.0 + 0.040)
