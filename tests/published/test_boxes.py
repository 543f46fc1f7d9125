"""Boxes and drivers: published tables, and values of our own by Small's definitions.

Thiele's table is held against his own figures (rounded, so to 1 %) as they are remembered.
"""

import math
from typing import Any

import numpy as np
import pytest
from numpy.polynomial import chebyshev

from calculators.declaring import run_values
from calculators.physics import driver_parameters as drivers
from calculators.physics import loudspeaker_boxes as boxes
from calculators.physics import speaker_output
from calculators.physics.driver_parameters import Driver
from calculators.physics.loudspeaker_boxes import Box
from calculators.stages import find_calculator
from tests.drivers import driver_of_parts
from tests.published.rows import Row, check, every

CLOSED = "Small, Closed-Box Loudspeaker Systems, 1972"
VENTED = "Small, Vented-Box Loudspeaker Systems, 1973"
DIRECT = "Small, Direct-Radiator Loudspeaker System Analysis, 1972"
ENDS = "Helmholtz; Levine and Schwinger 1948; Dalmont and others 2001"


def closed(fs: float, qts: float, vas: float, volume: float, **more: float) -> dict[str, Any]:
    return {"fs": fs, "qts": qts, "vas": vas / 1e3, "volume": volume / 1e3, **more}


CLOSED_ROWS = [
    Row("SP-11", "sealed-box", closed(30, 0.4, 100, 47.06), "qtc", 0.7071, 1e-3, CLOSED, "calc"),
    Row("SP-11", "sealed-box", closed(30, 0.4, 100, 47.06), "fc", 53.03, 5e-2, CLOSED, "calc"),
    Row("SP-11", "sealed-box", closed(30, 0.4, 100, 47.06), "f3", 53.03, 5e-2, CLOSED, "calc"),
    Row("SP-12", "sealed-box", closed(40, 0.5, 30, 30), "f3", 56.57, 5e-2, CLOSED, "calc"),
    Row("SP-13", "sealed-box", closed(40, 0.5, 30, 15), "qtc", 0.8660, 1e-3, CLOSED, "calc"),
    Row("SP-13", "sealed-box", closed(40, 0.5, 30, 15), "f3", 58.82, 5e-2, CLOSED, "calc"),
    # Past Q 0.707 a larger box no longer goes lower.
    Row("SP-14", "sealed-box", closed(40, 0.5, 30, 60), "fc", 48.99, 5e-2, CLOSED, "calc"),
    Row("SP-14", "sealed-box", closed(40, 0.5, 30, 60), "f3", 57.70, 5e-2, CLOSED, "calc"),
    *(
        Row("K19", "sealed-box", closed(34, 0.48, 16.5, 12.2), path, value, tolerance, CLOSED, "calc")
        for path, value, tolerance in (("qtc", 0.736, 5e-4), ("fc", 52.15, 5e-3), ("f3", 50.17, 2e-2))
    ),
    *(
        Row(
            "travel at 300 W",
            "sealed-box",
            closed(34, 0.48, 16.5, volume, re=3.4, sd=0.0214, xmax=0.009, power=300, source_resistance=0.0),
            path,
            value,
            tolerance,
            DIRECT,
            "calc",
        )
        for volume, path, value, tolerance in (
            (12.2, "voltage", 34.641, 1e-3), (12.2, "peak_excursion", 0.0170, 5e-5),
            (12.2, "travel_power", 84.5, 0.5), (12.2, "inside_from", 67.4, 0.5),
            (22.7, "peak_excursion", 0.0230, 1e-4), (22.7, "travel_power", 46.1, 0.5),
            (22.7, "inside_from", 65.0, 0.5),
        )
    ),
]  # fmt: skip


def in_parts(identity: str, path: str, value: float) -> Row:
    measured = {
        "re": 3.4, "fs": 32.6236, "z_max": 49.3375, "f1": 25.1685, "f2": 42.2869, "sd": 0.0214,
        "added_mass": 0.05, "fs_added": 25.8866, "box_volume": 0.025, "fs_box": 42.8772,
        # In the box Qec = Qes·fc/fs, for a cone that takes no more air along than in the open.
        "qec": 0.537317 * 42.8772 / 32.6236,
    }  # fmt: skip
    return Row(
        identity,
        "driver-parameters",
        measured,
        path,
        value,
        2e-4 * value,
        f"{DIRECT}; numbers of our own",
        "calc",
    )


MEASURED = [
    in_parts("D2", "qms", 7.25971), in_parts("D2", "qes", 0.537317), in_parts("D2", "qts", 0.500289),
    in_parts("D2", "mass", 0.085), in_parts("D2", "compliance", 0.28e-3),
    in_parts("D2", "force_factor", 10.5), in_parts("D2", "vas", 0.0181847),
    in_parts("D2", "vas_of_box", 0.0181847),
]  # fmt: skip


def vented(qt: float, h: float, alpha: float, ql: float | None) -> dict[str, Any]:
    """A driver of fs 40 Hz; its box by Vas/Vb, its tuning by fb/fs."""
    return {
        "fs": 40.0, "qts": qt, "vas": 0.05, "volume": 0.05 / alpha, "tuning": 40.0 * h,
        "port_diameter": 0.05, "ql": ql,
    }  # fmt: skip


ALIGNMENTS = [
    ("SP-15", 0.38268, 1.0000, 1.41421, 1.0000, None), ("SP-17", 0.209, 1.7298, 7.454, 2.274, None),
    ("SP-18", 0.259, 1.4133, 4.456, 1.772, None), ("SP-19", 0.303, 1.2244, 2.947, 1.448, None),
    ("SP-21", 0.415, 0.9277, 1.0528, 0.8663, None), ("SP-22", 0.466, 0.8270, 0.7243, 0.7260, None),
    ("SP-23", 0.518, 0.7553, 0.5578, 0.6414, None), ("SP-24", 0.557, 0.7177, 0.4858, 0.6001, None),
    ("SP-25", 0.40481, 1.0000, 1.06132, 1.0000, 7.0), ("SP-26", 0.20, 1.9393, 7.778, 2.529, 7.0),
    ("SP-27", 0.25, 1.5629, 4.582, 1.967, 7.0), ("SP-28", 0.30, 1.3145, 2.845, 1.573, 7.0),
    ("SP-29", 0.35, 1.1395, 1.796, 1.270, 7.0), ("SP-31", 0.50, 0.8031, 0.4642, 0.7155, 7.0),
    ("D1", 0.180, 1.9968, 10.445, 2.6792, None),
]  # fmt: skip
VENTED_ROWS = [
    Row(name, "vented-box", vented(qt, h, alpha, ql), "f3", 40 * f3, 40 * f3 * 5e-4, VENTED, "calc")
    for name, qt, h, alpha, f3, ql in ALIGNMENTS
]
RIPPLES = [
    Row(name, "vented-box", vented(qt, h, alpha, ql), "peak", ripple, 0.006, VENTED, "calc")
    for name, qt, h, alpha, _, ql in ALIGNMENTS
    for ripple in [{"SP-22": 0.07, "SP-23": 0.28, "SP-24": 0.51, "SP-31": 0.07}.get(name)]
    if ripple is not None
]
THIELE = [
    Row(
        f"Thiele no. {number}",
        "vented-box",
        vented(qt, h, alpha, None),
        "f3",
        40 * f3,
        0.4 * f3,
        "Thiele, Loudspeakers in Vented Boxes, 1971, Table I",
        "memory",
    )
    for number, f3, h, alpha, qt in (
        (1, 2.68, 2.000, 10.48, 0.180), (2, 2.28, 1.730, 7.48, 0.209), (3, 1.77, 1.42, 4.46, 0.259),
        (4, 1.45, 1.23, 2.95, 0.303), (5, 1.000, 1.000, 1.414, 0.383), (6, 0.867, 0.927, 1.055, 0.415),
        (7, 0.729, 0.829, 0.729, 0.466), (8, 0.641, 0.757, 0.559, 0.518), (9, 0.600, 0.716, 0.485, 0.557),
    )
]  # fmt: skip
PORTS = [
    Row(
        name,
        "vented-box",
        {
            "fs": 40.0, "qts": 0.4, "vas": 0.05, "volume": litres / 1e3, "tuning": tuning,
            "port_diameter": diameter, "port_ends": "flush-and-free",
        },
        "port_length",
        length,
        2e-4,
        ENDS,
        "calc",
    )
    for name, litres, tuning, diameter, length in (
        ("SP-32", 50, 30.0, 0.1, 0.4490), ("SP-33", 30, 40.0, 0.075, 0.2208),
        ("SP-34", 40, 35.0, 0.1, 0.4065),
        ("K20", 25, 35.0, 0.07, 0.32467),
    )
]  # fmt: skip
OTHERS = [
    Row("SP-64", "cabin-gain", {"longest": 2.5}, "transition", 68.64, 5e-3, "c/2L, textbook", "calc"),
    Row("SP-64", "cabin-gain", {"longest": 2.0}, "transition", 85.8, 5e-3, "c/2L, textbook", "calc"),
    Row("SP-64", "cabin-gain", {"longest": 1.5}, "transition", 114.4, 5e-3, "c/2L, textbook", "calc"),
    Row(
        "SP-66 on the slope",
        "cabin-gain",
        {"longest": 2.5, "frequency": 34.32},
        "gain_at",
        12.30,
        5e-3,
        "√(1 + (f0/f)⁴)",
        "calc",
    ),
    *(
        Row(
            "SP-67",
            "cabin-gain",
            {"longest": 2.5, "cabin_volume": volume},
            "volume_transition",
            value,
            0.06,
            "adiabatic law",
            "calc",
        )
        for volume, value in ((2.5, 86.6), (3.0, 79.0), (4.0, 68.5))
    ),
    *(
        Row(
            "slot of 21 mm round 16.5 cm",
            "slot-speed",
            {"sd": 0.0214, "xmax": 0.009, "frequency": 52.0, "area": 0.0109},
            path,
            value,
            tolerance,
            "2πf·Sd·x/S",
            "calc",
        )
        for path, value, tolerance in (
            ("speed", 5.8, 0.05), ("area_ratio", 0.51, 5e-3), ("gap_width", 0.021, 1e-4),
        )
    ),
    *(
        Row(
            "return",
            "leak-return",
            {"fs": 34.0, "vas": 0.0165, "volume": 0.0122, "ql": 7.0, "measured_time": 2.0},
            path,
            value,
            tolerance,
            f"derived from the circuit of {CLOSED}",
            "calc",
        )
        for path, value, tolerance in (("time_constant", 0.050, 5e-4), ("ql_found", 93.0, 0.5))
    ),
    *(
        Row(
            "K18",
            "tweeter-limit",
            {"resonance": 1100.0, "corner": 3000.0, "slope": slope, "capacitor": 47e-6},
            path,
            value,
            tolerance,
            source,
            "calc",
        )
        for slope, path, value, tolerance, source in (
            (24.0, "lowest_corner", 2200.0, 1e-6, "2 ×, common practice"),
            (18.0, "lowest_corner", 2750.0, 1e-6, "2.5 ×, common practice"),
            (12.0, "lowest_corner", 3300.0, 1e-6, "3 ×, common practice"),
            (24.0, "ratio", 2.727, 1e-3, "a ratio"),
            (24.0, "capacitor_corner", 847.0, 1.0, "1/(2πRC)"),
            (24.0, "capacitor_turn", 15.8, 0.05, "atan"),
            (24.0, "capacitor_loss", 0.33, 5e-3, "first-order high-pass"),
            (24.0, "level_at_resonance", -34.86, 1e-2, "Butterworth 1930"),
        )
    ),
    *(
        Row(
            "leak of a door of 40 L",
            "door-speaker",
            {"fs": 62.0, "qts": 0.6, "vas": 0.012, "door_volume": 0.04, "leak_area": area},
            "leak_tuning",
            value,
            0.5,
            "c/2π·√(S/(V·(t + 1.7r))), Helmholtz",
            "calc",
        )
        for area, value in ((5e-4, 41.0), (20e-4, 58.0))
    ),
    *(
        Row(
            "fit",
            "driver-fit",
            {"cutout": 0.144, "opening": 0.15, "depth": 0.08, "magnet": 0.1, "glass": 0.068},
            path,
            value,
            1e-9,
            "geometry",
            "calc",
        )
        for path, value in (("glass_clearance", -0.012), ("spacer_needed", 0.022), ("opening_spare", 0.006))
    ),
]  # fmt: skip


@every([*CLOSED_ROWS, *MEASURED, *VENTED_ROWS, *RIPPLES, *THIELE, *PORTS, *OTHERS])
def test_published(row: Row) -> None:
    check(row)


@pytest.mark.parametrize(
    ("qtc", "f3", "peak", "at_fc", "excursion"),
    [
        (0.5, 1.5538, 0.0, -6.021, 1.0), (0.6, 1.2091, 0.0, -4.437, 1.0),
        (math.sqrt(0.5), 1.0, 0.0, -3.010, 1.0), (1.0, 0.7862, 1.249, 0.0, 1.1547),
        (1.1, 0.7567, 1.833, 0.828, 1.2350), (1.2, 0.7358, 2.412, 1.584, 1.3200),
        (1.5, 0.6993, 4.033, 3.522, 1.5910),
    ],
)  # fmt: skip
def test_closed_box_by_its_q(qtc: float, f3: float, peak: float, at_fc: float, excursion: float) -> None:
    """SP-01 to SP-10: Small 1972."""
    assert boxes.cutoff_ratio(qtc) == pytest.approx(f3, abs=1e-4)
    assert boxes.peak_level(qtc) == pytest.approx(peak, abs=1e-3)
    system = Driver(fs=50.0, qms=1e9, qes=qtc, vas=1e-9, sd=0.02, re=4.0), Box(volume=1e3)
    level = 20 * math.log10(abs(boxes.motion(*system, np.array([50.0])).response[0]))
    assert level == pytest.approx(at_fc, abs=1e-3)
    moved = np.abs(boxes.motion(*system, np.geomspace(0.05, 200, 4001)).excursion)
    assert np.max(moved) / moved[0] == pytest.approx(excursion, abs=1e-4)


def test_closed_box_excursion_by_frequency() -> None:
    """A second-order low-pass, over its value at DC."""
    system = Driver(fs=50.0, qms=1e9, qes=math.sqrt(0.5), vas=1e-9, sd=0.02, re=4.0), Box(volume=1e3)
    f = 50 * np.array([0.001, 0.1, 0.5, 1, 2, 4])
    moved = np.abs(boxes.motion(*system, f).excursion)
    np.testing.assert_allclose(moved[1:] / moved[0], [1.0, 0.9701, 0.7071, 0.2425, 0.0624], atol=1e-4)


@pytest.mark.parametrize(
    ("fs", "vas", "qes", "efficiency", "level"),
    [
        (30.0, 0.100, 0.42, 0.006278, 90.14), (25.0, 0.200, 0.40, 0.007630, 90.98),
        (40.0, 0.030, 0.55, 0.003409, 87.49), (60.0, 0.0125, 0.60, 0.004395, 88.59),
    ],
)  # fmt: skip
def test_reference_efficiency(fs: float, vas: float, qes: float, efficiency: float, level: float) -> None:
    """SP-38 and SP-40 to SP-43: Small 1972; Beranek and Mellow."""
    driver = Driver(fs=fs, qms=5.0, qes=qes, vas=vas, sd=0.02, re=4.0)
    assert driver.efficiency == pytest.approx(efficiency, rel=1e-4)
    assert driver.level(2.0) == pytest.approx(level, abs=6e-3)  # 2 V are 1 W in 4 ohm.
    assert drivers.level_of_acoustic_power(1.0) == pytest.approx(112.159, abs=1e-3)


def test_a_driver_of_its_parts() -> None:
    """SP-44 to SP-46: Small 1972."""
    driver = driver_of_parts(
        mass=0.09, compliance=0.35e-3, resistance=3.0, force_factor=12.0, re=3.4, sd=0.033
    )
    assert driver.fs == pytest.approx(28.357, rel=1e-4)
    assert driver.qes == pytest.approx(0.37862, rel=1e-4)
    assert driver.qms == pytest.approx(5.3452, rel=1e-4)
    assert driver.qts == pytest.approx(0.35358, rel=1e-4)
    assert driver.vas == pytest.approx(0.054053, rel=1e-4)
    other_way = 1.204 * 12.0**2 * 0.033**2 / (2 * math.pi * 343.2 * 3.4 * 0.09**2)
    assert driver.efficiency == pytest.approx(other_way, rel=1e-9)
    assert driver.efficiency == pytest.approx(0.00317926, rel=1e-6)
    assert driver.level(math.sqrt(3.4)) == pytest.approx(87.183, abs=1e-3)
    assert driver.level(2.83) == pytest.approx(90.899, abs=5e-3)


def test_travel_at_the_lowest_frequencies() -> None:
    """D2: 34.641 V into the measured driver in 25 L, far below its resonance, 24.524 mm peak."""
    driver = driver_of_parts(
        mass=0.085, compliance=0.28e-3, resistance=2.4, force_factor=10.5, re=3.4, sd=0.0214
    )
    moved = boxes.motion(driver, Box(volume=0.025), np.array([0.01])).excursion
    assert 34.641016 * math.sqrt(2) * abs(moved[0]) == pytest.approx(0.024524, rel=1e-4)
    system = boxes.closed_box(driver.fs, driver.qts, driver.vas, 0.025)
    assert (system.fc, system.qtc) == pytest.approx((42.8772, 0.65753), rel=1e-4)


@pytest.mark.parametrize(
    ("litres", "tuning", "diameter", "whole"),
    [(50, 30, 0.1, 0.52073), (30, 40, 0.075, 0.27460), (40, 35, 0.1, 0.47822)],
)
def test_port_before_its_ends(litres: float, tuning: float, diameter: float, whole: float) -> None:
    """SP-32 to SP-34: Helmholtz, and what the ends are worth in radii."""
    for ends, radii in (("flush-and-free", 1.4350), ("both-flush", 1.6434), ("both-free", 1.2266)):
        length = boxes.port_length(
            volume=litres / 1e3,
            tuning=tuning,
            diameter=diameter,
            count=1,
            ends=ends,  # type: ignore[arg-type]
        )
        assert length == pytest.approx(whole - radii * diameter / 2, abs=1e-4)


def test_port_by_the_textbook_s_own_units() -> None:
    """Lv = 23562.5·D²/(fb²·Vb) - 0.732·D (cm, L): it hides c = 344.15 m/s and 1.464 radii."""
    book = 23562.5 * 10**2 / (30**2 * 50) - 0.732 * 10
    assert book == pytest.approx(45.04, abs=1e-2)
    ours = 100 * boxes.port_length(volume=0.05, tuning=30.0, diameter=0.1, count=1, ends="flush-and-free")
    assert (ours + 1.435 * 5) * (344.15 / 343.2) ** 2 - 1.464 * 5 == pytest.approx(book, abs=2e-2)


@pytest.mark.parametrize(("diameter", "level"), [(0.07, 99.8), (0.1, 106.0)])
def test_what_a_port_can_give(diameter: float, level: float) -> None:
    """17 m/s, a twentieth of the speed of sound (Small 1973), at 35 Hz, as a piston of its area."""
    area = math.pi * diameter**2 / 4
    excursion = 17.0 / (2 * math.pi * 35)
    assert speaker_output.level_from_excursion(area, excursion, 35.0, 1.0) == pytest.approx(level, abs=0.05)


def test_most_it_gives_is_the_piston_s_where_travel_stops_it() -> None:
    """Against the piston formula (Beranek and Mellow), which knows neither box nor driver."""
    inputs = closed(34, 0.48, 16.5, 14, re=3.4, sd=0.0214, xmax=0.009, power=300)
    outcome = run_values(find_calculator("sealed-box"), inputs)
    limited = [row for row in outcome.result.max_spl if row.limit == "its travel"]
    assert len(limited) >= 4
    exact = 1000 * 10 ** (np.round(10 * np.log10([row.frequency / 1000 for row in limited])) / 10)
    for row, frequency in zip(limited, exact.tolist(), strict=True):
        piston = speaker_output.level_from_excursion(0.0214, 0.009, frequency, 1.0)
        assert row.level == pytest.approx(piston, abs=1e-6)


def test_chebyshev_alignments_ripple_as_they_are_meant_to() -> None:
    """C4, lossless (Thiele; Small 1973): 1/|G|² is a Chebyshev polynomial of the fourth order in 1/f²."""
    for name, qt, h, alpha, _, ql in ALIGNMENTS:
        if name not in {"SP-23", "SP-24"}:
            continue
        assert ql is None
        driver = Driver(fs=40, qms=1e9, qes=qt, vas=0.05, sd=0.02, re=4)
        box = boxes.vented_box(0.05 / alpha, 40 * h)
        f = 40 * np.geomspace(0.5, 50, 4000)
        inverse = 1 / np.abs(boxes.motion(driver, box, f).response) ** 2
        # A polynomial of the fourth order in (1/f)²: fitted, then put to another test than its own points.
        x = 2 * (40 / f) ** 2 / (1 / 0.5**2) - 1
        fitted = chebyshev.chebfit(x, inverse, 4)
        np.testing.assert_allclose(chebyshev.chebval(x, fitted), inverse, rtol=1e-6)
        turns = int(np.sum(np.diff(np.sign(np.diff(inverse))) != 0))
        assert turns == 3  # Two equal peaks and the dip between them.
