"""Advice is given from its limit on and not before: one value on each side of each limit.

The limits are the handbook's; where one is not typed itself, the value at it is worked out by hand.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator


class Limit(NamedTuple):
    """Where a calculator begins to say something; the rest of its inputs are the example's and `common`.

    ``words`` are how it begins.
    """

    slug: str
    about: str
    field: str
    silent: Any
    told: Any
    words: str
    danger: bool = False
    common: Mapping[str, Any] = MappingProxyType({})


def amplifier(efficiency: float) -> list[dict[str, Any]]:
    return [{"name": "Four channels", "power": 400.0, "efficiency": efficiency}]


def drain(current: float) -> list[dict[str, Any]]:
    return [{"name": "Vehicle", "current": current}]


def apart(decibels: float) -> list[dict[str, Any]]:
    return [
        {"name": name, "level": level, "bands": 7}
        for name, level in (("Left", 80.0), ("Right", 80.0 + decibels))
    ]


def far(metres: float) -> list[dict[str, Any]]:
    return [{"name": "near", "distance": 0.86}, {"name": "far", "distance": metres}]


def noise(level: float, hours: float) -> list[dict[str, Any]]:
    return [{"level": level, "duration": 3600 * hours}]


def points(slug: str, count: int) -> list[dict[str, Any]]:
    """So many points of measurement, out of the five of the example."""
    return list(2 * find_calculator(slug).example["points"])[:count]


def alike(sensitivity: float) -> list[dict[str, Any]]:
    return [
        {"name": name, "sensitivity": own, "power": 70.0, "distance": 1.0}
        for name, own in (("Left", 98.0), ("Right", sensitivity))
    ]


def peak(gain: float) -> list[dict[str, Any]]:
    return [{"kind": "peak", "gain": gain}]


LIMITS = (
    # Boost and cut: 6 dB is four times the power; beyond 12 dB of cut something else is wrong.
    Limit("filter", "gain", "gain", 6.0, 6.1, "More than 6 dB", common={"kind": "low-shelf"}),
    Limit("filter", "gain", "gain", -12.0, -12.1, "A cut beyond", common={"kind": "low-shelf"}),
    Limit("filter", "gain", "gain", 3.0, 3.1, "A narrow boost", common={"kind": "peak", "q": 1.0}),
    Limit("filter", "gain", "q", 0.99, 1.0, "A narrow boost", common={"kind": "peak", "gain": 3.1}),
    Limit("equaliser-headroom", "boost", "filters", peak(6.0), peak(6.1), "6.1 dB of boost"),
    Limit("level-trim", "channels", "channels", apart(12.0), apart(12.1), "A trim beyond −12 dB"),
    # 15 ms is 5.15 m at 343.2 m/s.
    Limit("delay", "speakers", "speakers", far(0.86 + 5.14), far(0.86 + 5.16), "A delay over 15 ms"),
    # Half of 12.5 ms, a cycle of 80 Hz.
    Limit("phase-and-join", "delay", "delay", 0.00624, 0.00626, "Half a cycle late"),
    # 0.8 of the disc's first null, 1.2197 × 343.2 m/s / (0.13 m × sin 60°) = 3718 Hz.
    Limit("off-axis", "off_axis_loss", "frequency", 2970.0, 2980.0, "Near and above"),
    # Three time constants at the QL of 7 that is usual:
    # Vas/V = 16.5/12.2, fc = 34 Hz × √2.352 = 52.15 Hz, 3 × 7 × 2.352 / (2π × 52.15 Hz) = 150.8 ms.
    Limit("leak-return", "ql_found", "measured_time", 0.152, 0.150, "Leakier than is usual"),
    # The air in the slot: 2π × 52 Hz × 0.0214 m² × 9 mm / 0.0109 m² = 5.773 m/s.
    Limit("slot-speed", "speed", "speed_limit", 5.78, 5.77, "It will chuff"),
    # 12 mm round a cone of 0.0214 m²: 2 × √(π × 0.0214 m²) × 12 mm = 0.006223 m².
    Limit(
        "slot-speed",
        "gap_width",
        "area",
        0.0063,
        0.0062,
        "As a gap over the cone",
        common={"speed_limit": 20.0},
    ),
    Limit("door-speaker", "leak_area", "leak_area", 5.0e-4, 5.1e-4, "The openings act as a port"),
    Limit(
        "driver-parameters",
        "shift",
        "fs_added",
        0.79 * 32.62,
        0.81 * 32.62,
        "The mass moved the resonance by 19 %",
    ),
    Limit(
        "driver-parameters",
        "shift",
        "fs_added",
        0.61 * 32.62,
        0.59 * 32.62,
        "The mass moved the resonance by 41 %",
    ),
    Limit("speaker-load", "load", "amplifier_minimum", 4.0, 4.01, "4 Ω is under", danger=True),
    # Power, gain and tones.
    Limit(
        "current-draw", "amplifiers", "amplifiers", amplifier(0.65), amplifier(0.64), "A class AB amplifier"
    ),
    # 35 A of the vehicle and 25 A are 60 A, 80 % of the 75 A that 150 A give at idle.
    Limit("charging-budget", "idle_share", "system_current", 25.0, 25.1, "Over 80 %"),
    Limit(
        "charging-budget",
        "idle_surplus",
        "system_current",
        40.0,
        40.1,
        "At idle the battery flattens",
        danger=True,
    ),
    Limit("gain-voltage", "frequency", "frequency", 400.0, 401.0, "Many meters read low above 400 Hz"),
    Limit("gain-voltage", "overlap", "overlap", 0.0, 0.1, "Never play a 0 dBFS tone", danger=True),
    Limit(
        "tone", "level", "level", -6.0, -5.9, "Speakers unplugged", danger=True, common={"frequency": 100.0}
    ),
    Limit(
        "tone", "duration", "duration", 5.0, 5.1, "Longer than 5 s", common={"frequency": 100.0, "level": 0.0}
    ),
    Limit("sweep", "level", "level", -18.0, -17.9, "Above -18 dB only into dummy loads", danger=True),
    Limit(
        "level-budget",
        "road_noise",
        "usual_level",
        76.0,
        75.9,
        "Music under 6 dB",
        common={"road_noise": 70.0},
    ),
    Limit(
        "loudness-contour",
        "listening",
        "listening",
        80.0,
        80.1,
        "Louder than it was tuned",
        common={"tuned": 80.0},
    ),
    # 12.93 dB bring 4 V to the amplifier's clip at 17.72 V, and its limiter stands half a decibel under it.
    Limit("limiter", "peak_threshold", "gain", 12.44, 12.42, "A full-scale file does not reach"),
    Limit("gain-chain", "noise", "limit", 0.00061, 0.00060, "Noise of 0.609 mV is over", danger=True),
    # An input that grounds a leg of a bridge, by the page on tapping.
    Limit(
        "speaker-level-feed",
        "input_resistance",
        "input_resistance",
        1000.0,
        999.0,
        "Read each input wire to chassis",
        danger=True,
    ),
    # A body without any resistance is a slip, or a meter that was not zeroed. A load's wish in plain figures.
    Limit(
        "cable",
        "body_resistance",
        "body_resistance",
        0.0001,
        0.0,
        "Resistance of the body is usually between 0.1 mΩ and 3.4 mΩ",
    ),
    Limit("fuse", "rating", "current", 20.0, 1000.0, "No fuse suits: this load needs 1250 A", danger=True),
    Limit("speaker-lead", "area", "share", 0.02, 0.0199, "This lead is 2% of the load"),
    Limit(
        "curve-average",
        "points",
        "points",
        points("curve-average", 6),
        points("curve-average", 5),
        "5 points",
    ),
    Limit(
        "spatial-spread",
        "points",
        "points",
        points("spatial-spread", 5),
        points("spatial-spread", 4),
        "4 points tell little",
    ),
    Limit("starting-trim", "channels", "channels", alike(86.0), alike(85.9), "More than 12 dB apart"),
    # 343.2 m/s / (2 × 20 kHz) = 8.58 mm of way round.
    Limit(
        "path-cancellation",
        "first_notch",
        "reflected",
        0.5086,
        0.5085,
        "The first notch",
        common={"direct": 0.5},
    ),
    # Behind a spacer of 18 mm the glass passes 11 mm from the magnet; 15 mm are measured twice, more are not.
    Limit("driver-fit", "glass_clearance", "spacer", 0.0221, 0.0219, "15 mm or less"),
    # A capacitor of 1 F behind 47 Ω, bled by 220 Ω, on 12.6 V.
    Limit("pre-charge", "gap", "fraction", 0.985, 0.984, "0.202 V are still missing"),
    Limit("pre-charge", "charge_time", "capacitance", 8.3, 8.33, "Nobody waits"),
    Limit("pre-charge", "bleed_time", "bleed_resistance", 220.4, 220.6, "Under 1 V within 10 minutes"),
    # Absorbent glass mat at rest: 12.3 V is half full.
    Limit("battery-state", "state_of_charge", "rest_voltage", 12.31, 12.29, "Half empty", danger=True),
    # The battery: 50 mA is good, 80 mA is to be found.
    Limit("battery-drain", "current", "drains", drain(0.050), drain(0.051), "Over 50 mA"),
    Limit("battery-drain", "days", "drains", drain(0.080), drain(0.081), "This drain flattens", danger=True),
    # Cloth, glue and plates. The data are for 23 °C.
    Limit("cure-time", "temperature", "temperature", 38.0, 38.1, "Far from the data sheet's"),
    Limit("cure-time", "temperature", "temperature", 15.0, 14.9, "Under its own lowest temperature"),
    Limit("cure-time", "temperature", "temperature", 8.0, 7.9, "Far from the data sheet's"),
    Limit("panel-damping", "coverage", "coverage", 0.50, 0.51, "The second half weighs as much"),
    Limit("transmission-loss", "open_fraction", "open_fraction", 0.0049, 0.005, "Holes let 0.5 %"),
    # NIOSH 98-126: 85 dB(A) for 8 h is the dose of a day, 140 dB(A) for no time.
    # Directive 2003/10/EC: 80 and 85 dB(A), of the day.
    Limit("noise-dose", "niosh_dose", "exposures", noise(85, 3.99), noise(85, 4.0), "Half the dose"),
    Limit(
        "noise-dose",
        "niosh_dose",
        "exposures",
        noise(85, 7.99),
        noise(85, 8.0),
        "The dose of the day",
        danger=True,
    ),
    Limit(
        "noise-dose",
        "daily_level",
        "exposures",
        noise(79.9, 8.0),
        noise(80.0, 8.0),
        "European law: from this",
    ),
    Limit(
        "noise-dose",
        "daily_level",
        "exposures",
        noise(84.9, 8),
        noise(85, 8),
        "European law asks",
        danger=True,
    ),
    Limit(
        "noise-dose",
        "exposures",
        "exposures",
        noise(139.9, 1e-3),
        noise(140, 1e-3),
        "No ear may",
        danger=True,
    ),
    # To hear: what is hardly heard, and what chance gives too easily.
    Limit("hear-clipping", "overload", "overload", 3.1, 3.0, "So little is hardly heard"),
    # 0.49 m / 343.2 m/s = 1.43 ms between the doors: with three tenths of it made good, 1 ms is left.
    Limit("hear-alignment", "share", "share", 0.301, 0.299, "More than 1 ms is left"),
    Limit("hear-equaliser", "filling", "filling", 0.9, 1.0, "The cancelled note stands at −15.0 dB"),
    Limit("blind-test", "rounds", "rounds", 10, 9, "Ten rounds or more", common={"right": 8}),
)


@pytest.mark.parametrize("limit", LIMITS, ids=lambda limit: f"{limit.slug}-{limit.about}-{limit.told!s:.12}")
def test_advice_begins_at_its_limit(limit: Limit) -> None:
    calculator = find_calculator(limit.slug)

    def said(value: Any) -> tuple[list[tuple[str, bool]], str]:
        outcome = run_values(calculator, {**calculator.example, **limit.common, limit.field: value})
        assert outcome.errors == ()
        begun = [each for each in outcome.advice if each.message.startswith(limit.words)]
        everything = "; ".join(each.message for each in outcome.advice)
        return [(each.about, each.danger) for each in begun], f"It says: {everything}"

    for value, expected in ((limit.silent, []), (limit.told, [(limit.about, limit.danger)])):
        found, everything = said(value)
        assert found == expected, everything
