"""Signal pick-up: dividers, heat and phasors worked out by hand, and our own simulated feeds.

No standard prints these chains; each row names the formula it was worked out from.
"""

from typing import Any

import pytest

from calculators.declaring import run_values
from calculators.presenting.values import find_value
from calculators.stages import find_calculator
from tests.published.rows import Row, check, every

DIVIDER = "voltage divider, by hand"
HEAT = "V²/R, by hand"
PHASOR = "20·log10(cos(half the angle)), by hand"
FEED = {"measured_voltage": 8.4, "input_limit": 10.0, "load_resistor": 33.0, "load_rating": 10.0}
TAP = {"measured_voltage": 8.4, "input_limit": 2.0, "leg": 10e3, "across": 2200.0, "input_resistance": 1e6}
MODEL = {"given": "model", "slope": 24.0, "corner": 3000.0, "polarity": "inverted", "delay": 1e-4}

LOOKED_AT = {"tone": "nothing", "load_detection": "no"}
TABLE = [
    {"name": "Woofer", "side": "left", "plays_to": 3000.0, "ceiling": 8.4, **LOOKED_AT},
    {"name": "Tweeter", "side": "left", "plays_from": 3000.0, "ceiling": 7.84, **LOOKED_AT},
]


def rows(
    slug: str, inputs: dict[str, Any], source: str, *values: tuple[str, float | str, float]
) -> list[Row]:
    return [Row(slug, slug, inputs, path, found, near, source, "calc") for path, found, near in values]


BANDS = [1000 * 10 ** (n / 10) for n in range(-17, 13)]
LEVEL = {"frequency": BANDS, "level": [0.0] * 30}
LIFTED = {"frequency": BANDS, "level": [4.0 if n == 5 else 2.0 for n in range(30)]}
ROWS = [
    *rows("feed-table", {"feeds": TABLE}, "20·log10(7.84/8.4); IEC 60027-3",
          ("asked[1].ceiling_level", -0.599, 1e-3), ("loudest", 8.4, 0), ("asked[0].asks", "nothing", 0)),
    *rows("feed-sum", {"given": "table", "feeds": TABLE}, "20·log10(8.4/7.84)", ("gain_found", 0.599, 0.05)),
    *rows("level-dependence", {"middle": LEVEL, "other_step": LIFTED, "other_file": LEVEL},
          "third-octave levels 2 dB up, one band 4 dB: less the shift, 2 dB at 63 Hz, by hand",
          ("step_most", 2.0, 1e-9), ("step_frequency", 63.0, 1e-9), ("verdict", "the knob", 0)),
    *rows("flatten", {"curve": {"frequency": BANDS, "level": [10.0] * 30}, "summed": True},
          "a flat feed needs nothing, whatever its level", ("settings", "nothing: it is flat enough", 0)),
    *rows(
        "speaker-level-feed", FEED, HEAT,
        ("source_voltage", 8.4, 1e-12), ("source_power", 17.64, 1e-9), ("source_peak", 11.879, 1e-3),
        ("load_heat", 2.138, 1e-3), ("load_heat_clipped", 6.284, 1e-3), ("load_rating_needed", 9.425, 1e-3),
        ("headroom", 1.514, 1e-3),
    ),
    *rows("speaker-level-feed", FEED | {"load_resistor": 47.0, "load_rating": 5.0}, HEAT,
          ("load_heat", 1.501, 1e-3), ("load_heat_clipped", 4.412, 1e-3)),
    *rows("speaker-level-feed", FEED, "0.5 mV / (29.76 V / 8.4 V) / √2, by hand",
          ("feed_noise_limit", 9.98e-5, 1e-7)),
    *rows("speaker-level-feed", TAP, DIVIDER, ("pad_level", -20.10, 0.005), ("level_in", 0.830, 1e-3),
          ("fault_current", 1.44e-3, 1e-9), ("pad_noise", 0.801e-6, 1e-9)),
    *rows("speaker-level-feed", TAP | {"input_resistance": 10e3},
          "2.2 kΩ and 10 kΩ below, 20 kΩ above: 12.092 times less; 99.8 µV behind it, by hand",
          ("noise_limit_in", 8.25e-6, 1e-8), ("level_in", 0.6947, 1e-4)),
    *rows("speaker-level-feed", {"source_power": 25.92, "source_load": 4.0, "input_limit": 20.0},
          "√(P·R), by hand", ("source_voltage", 10.182, 1e-3)),
    *rows("speaker-level-feed", {"measured_voltage": 8.4, "input_limit": 10.0, "input_limit_is": "peak"},
          "10 V peak is 7.07 V RMS; 1 dB under it 6.302 V; 1803 Ω below, 2.5 dB: 300 Ω a leg, E24",
          ("attenuation", 2.496, 1e-3), ("leg_used", 300.0, 1e-9), ("level_in", 6.302, 0.01)),
    *rows(
        "feed-sum", MODEL, PHASOR,
        ("found_loss_at", -1.84, 0.005), ("turned_loss_at", -4.62, 0.005), ("delay_found", 1e-4, 2e-6),
        ("verdict", "yes", 0), ("polarity_word", "invert it", 0),
    ),
    *rows(
        "feed-sum", MODEL, "LR24 parts with the delay, worked out with another program",
        ("found_loss", -2.5, 0.05), ("found_frequency", 2460.0, 25.0), ("turned_loss", -5.6, 0.05),
        ("turned_frequency", 3470.0, 25.0), ("overlap_low", 2120.0, 65.0), ("overlap_high", 4240.0, 125.0),
    ),
]  # fmt: skip


@every(ROWS)
def test_published_values(row: Row) -> None:
    check(row)


def test_nothing_is_lost_when_all_is_put_right() -> None:
    outcome = run_values(find_calculator("feed-sum"), MODEL)
    for path in ("loss_at", "worst_loss"):
        assert find_value(outcome, path)[1] == pytest.approx(0, abs=0.05)
