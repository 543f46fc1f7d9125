"""Cables against the standards' tables; each value names its source and how it is known."""

import math

import numpy as np
import pytest
from fluids.piping import t_from_gauge
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.physics import conductors as c

CLASS_5 = {size.name: size for size in c.FLEXIBLE_SIZES.sizes}
TINNED = {size.name: size for size in c.TINNED_FLEXIBLE_SIZES.sizes}
VEHICLE = {size.name: size for size in c.VEHICLE_SIZES.sizes}
TABLES = [c.FLEXIBLE_SIZES, c.TINNED_FLEXIBLE_SIZES, c.VEHICLE_SIZES, c.GAUGE_SIZES]


def test_copper_constants_iec_60028() -> None:
    # EL-01, EL-02. IEC 60028:1925, read in print.
    assert pytest.approx(0.0172414, abs=1e-7) == c.COPPER_RESISTIVITY * 1e6
    assert c.COPPER_TEMPERATURE_COEFFICIENT == 0.00393


# EL-03, computed from IEC 60028: ohm per km.
@pytest.mark.parametrize(("area", "ohm_per_km"), [(1, 17.241), (10, 1.7241), (25, 0.6897), (50, 0.3448)])
def test_ideal_resistance(area: float, ohm_per_km: float) -> None:
    assert c.ideal_resistance(area * 1e-6) * 1e3 == pytest.approx(ohm_per_km, rel=1e-4)


# EL-04, IEC 60028.
@pytest.mark.parametrize(("temperature", "factor"), [(70, 1.1965), (85, 1.2555), (90, 1.2751), (105, 1.3341)])
def test_temperature_factor(temperature: float, factor: float) -> None:
    assert c.temperature_factor(temperature) == pytest.approx(factor, abs=1e-4)


def test_resistances_at_70_degrees_as_a_cable_table_prints_them() -> None:
    # EL-05, EL-06: printed 14.5 and 8.87 ohm per km at 70 degrees; IEC 60228 class 2 at 20.
    assert 12.1 * c.temperature_factor(70) == pytest.approx(14.5, rel=0.005)
    assert 7.41 * c.temperature_factor(70) == pytest.approx(8.87, rel=0.001)


# EL-07 by the formula of IEC 60228 annex B (from memory); EL-08 as table B.1 prints it, which
# uses 0.004 per kelvin and so differs by up to 0.5 %.
@pytest.mark.parametrize(
    ("temperature", "by_formula", "printed"),
    [(5, 1.0626, 1.064), (40, 0.9271, 0.926), (70, 0.8358, 0.833), (90, 0.7843, 0.781)],
)
def test_correction_to_20_degrees(temperature: float, by_formula: float, printed: float) -> None:
    correction = 1.0 / c.temperature_factor(temperature)
    assert correction == pytest.approx(by_formula, abs=1e-4)
    assert correction == pytest.approx(printed, rel=0.005)


# EL-09 to EL-22: IEC 60228:2004 table 3 class 5, read in print; 120 mm2 likewise.
@pytest.mark.parametrize(
    ("name", "ohm_per_km", "to_ideal"),
    [
        ("0.5 mm²", 39.0, 1.131),
        ("0.75 mm²", 26.0, 1.131),
        ("1 mm²", 19.5, 1.131),
        ("1.5 mm²", 13.3, 1.157),
        ("2.5 mm²", 7.98, 1.157),
        ("4 mm²", 4.95, 1.148),
        ("6 mm²", 3.30, 1.148),
        ("10 mm²", 1.91, 1.108),
        ("16 mm²", 1.21, 1.123),
        ("25 mm²", 0.780, 1.131),
        ("35 mm²", 0.554, 1.125),
        ("50 mm²", 0.386, 1.119),
        ("70 mm²", 0.272, 1.104),
        ("95 mm²", 0.206, 1.135),
        ("120 mm²", 0.161, 1.121),
    ],
)
def test_class_5_table(name: str, ohm_per_km: float, to_ideal: float) -> None:
    size = CLASS_5[name]
    assert size.resistance * 1e3 == pytest.approx(ohm_per_km, rel=1e-12)
    assert size.resistance / c.ideal_resistance(size.area) == pytest.approx(to_ideal, abs=6e-4)


# EL-23: IEC 60228 class 5 tinned, read in print.
@pytest.mark.parametrize(
    ("name", "ohm_per_km"),
    [("2.5 mm²", 8.21), ("6 mm²", 3.39), ("25 mm²", 0.795), ("50 mm²", 0.393)],
)
def test_tinned_table(name: str, ohm_per_km: float) -> None:
    assert TINNED[name].resistance * 1e3 == pytest.approx(ohm_per_km, rel=1e-12)


# EL-24: ISO 6722-1:2011 from memory, except 1.5 mm2, read in a printed worked example.
@pytest.mark.parametrize(
    ("area", "milliohm"),
    [(0.35, 54.4), (0.5, 37.1), (0.75, 24.7), (1, 18.5), (1.5, 12.7), (2.5, 7.60), (4, 4.71),
     (6, 3.14), (10, 1.82), (16, 1.16), (25, 0.743), (35, 0.527), (50, 0.368), (70, 0.259),
     (95, 0.196)],
)  # fmt: skip
def test_vehicle_table(area: float, milliohm: float) -> None:
    size = VEHICLE[f"{area:g} mm²"]
    assert size.resistance * 1e3 == pytest.approx(milliohm, rel=1e-12)
    # Never better than solid copper of the nominal area by more than the standard's area play.
    assert 1.04 < size.resistance / c.ideal_resistance(size.area) < 1.11
    assert c.VEHICLE_SIZES.confidence == "memory"


# EL-25: ASTM B258, 4 significant figures; diameter mm, area mm2, ideal ohm per km.
@pytest.mark.parametrize(
    ("gauge", "diameter", "area", "ohm_per_km"),
    [
        (-3, 11.684, 107.22, 0.1608),
        (-2, 10.405, 85.03, 0.2028),
        (-1, 9.266, 67.43, 0.2557),
        (0, 8.251, 53.48, 0.3224),
        (1, 7.348, 42.41, 0.4066),
        (2, 6.544, 33.63, 0.5127),
        (4, 5.189, 21.15, 0.8152),
        (6, 4.115, 13.30, 1.2962),
        (8, 3.264, 8.366, 2.0610),
        (10, 2.588, 5.261, 3.2771),
        (12, 2.053, 3.309, 5.2108),
        (14, 1.628, 2.081, 8.2855),
        (16, 1.291, 1.309, 13.175),
        (18, 1.024, 0.8230, 20.948),
        (20, 0.8118, 0.5176, 33.309),
        (22, 0.6438, 0.3255, 52.963),
        (24, 0.5106, 0.2047, 84.215),
    ],
)
def test_wire_gauge(gauge: int, diameter: float, area: float, ohm_per_km: float) -> None:
    assert c.gauge_diameter(gauge) * 1e3 == pytest.approx(diameter, rel=1e-3)
    assert c.gauge_area(gauge) * 1e6 == pytest.approx(area, rel=1e-3)
    assert c.ideal_resistance(c.gauge_area(gauge)) * 1e3 == pytest.approx(ohm_per_km, rel=1e-3)


def test_wire_gauge_against_a_library() -> None:
    # fluids 1.x, an outside implementation of the gauge tables (tests only).
    for gauge in range(1, 31):
        expected = t_from_gauge(gauge, SI=True, schedule="AWG")
        # The library holds inches to 3 or 4 digits: half a thousandth of an inch in the last.
        assert c.gauge_diameter(gauge) == pytest.approx(expected, abs=0.00005 * 0.0254)


def test_wire_gauge_ratio() -> None:
    # EL-26.
    assert c.gauge_diameter(3) / c.gauge_diameter(4) == pytest.approx(1.122932, rel=1e-6)
    assert c.gauge_area(3) / c.gauge_area(4) == pytest.approx(1.260977, rel=1e-6)
    assert [c.gauge_name(g) for g in (-3, 0, 1, 8)] == ["4/0 AWG", "1/0 AWG", "1 AWG", "8 AWG"]


def test_copper_clad_is_at_least_as_resistive_as_a_wire_makers_table() -> None:
    # ASTM B566 classes as a maker's table prints them: 62.9 % (10 %) and 64.4 % (15 %) of copper.
    assert c.metal_factor("copper-clad-aluminium") > 1 / 0.629 > 1 / 0.644
    assert c.metal_factor("copper-clad-aluminium") <= 1.65


def test_voltage_drop_and_loss() -> None:
    # EL-28: 25 mm2 class 5, 5 m, 100 A at 70 degrees, one way.
    resistance = c.run_resistance(CLASS_5["25 mm²"].resistance, 5.0, 70.0)
    assert 100.0 * resistance == pytest.approx(0.4666, abs=1e-4)
    assert c.cable_loss(100.0, resistance) == pytest.approx(46.66, abs=1e-2)
    # EL-29: 16 mm2 class 5, 4.5 m, 60 A.
    drop = 60.0 * c.run_resistance(CLASS_5["16 mm²"].resistance, 4.5)
    assert drop == pytest.approx(0.3267, abs=1e-4)
    assert drop / 13.8 == pytest.approx(0.0237, abs=5e-5)
    # EL-30: 1.5 mm2 road-vehicle cable, 5 m, 4.17 A; a printed worked example.
    drop = 4.17 * c.run_resistance(VEHICLE["1.5 mm²"].resistance, 5.0)
    assert drop == pytest.approx(0.265, rel=0.005)
    assert drop / 12.0 == pytest.approx(0.0221, rel=0.005)


# EL-31: BS 7671 table 4F3B prints 46, 32, 19 mV/A/m for both conductors at 60 degrees.
@pytest.mark.parametrize(
    ("name", "computed", "printed"),
    [("1 mm²", 45.1, 46.0), ("1.5 mm²", 30.8, 32.0), ("2.5 mm²", 18.5, 19.0)],
)
def test_loop_counts_both_conductors(name: str, computed: float, printed: float) -> None:
    both = c.conductor_length(1.0, "cable")
    millivolt = 1e3 * c.run_resistance(CLASS_5[name].resistance, both, 60.0)
    assert millivolt == pytest.approx(computed, abs=0.05)
    assert millivolt == pytest.approx(printed, rel=0.04)


def test_body_return_counts_the_cable_once() -> None:
    assert c.conductor_length(5.8, "body") == 5.8
    assert c.conductor_length(5.8, "cable") == 11.6


def test_running_example_drop() -> None:
    # 35 mm2 ISO 6722-1 (from memory), 5.8 m at 40 degrees, 53.7 A, 3.6 mohm of joints and body.
    resistance = c.run_resistance(VEHICLE["35 mm²"].resistance, 5.8, 40.0, "copper", 3.6e-3)
    assert 53.7 * resistance == pytest.approx(0.370, abs=5e-4)


# Metres for 0.25 V at 40 degrees on ISO 6722-1 (from memory), as the pocket table prints them.
@pytest.mark.parametrize(
    ("name", "current", "metres"),
    [("16 mm²", 20, 10.0), ("16 mm²", 40, 5.0), ("16 mm²", 60, 3.3), ("16 mm²", 80, 2.5),
     ("35 mm²", 20, 22.0), ("35 mm²", 40, 11.0), ("35 mm²", 60, 7.3), ("35 mm²", 80, 5.5)],
)  # fmt: skip
def test_longest_run(name: str, current: float, metres: float) -> None:
    length = c.longest_run(VEHICLE[name].resistance, current, 0.25, 40.0)
    assert length == pytest.approx(metres, abs=0.05)


def test_joints_alone_over_the_drop_are_refused() -> None:
    with pytest.raises(ValueError, match="no cable can help"):
        c.smallest_area(100.0, 5.0, 0.3, extra_resistance=0.003)


# 33 CFR 183.425 table 5 (law on boat wiring, stranded copper, read in print), ampere by gauge:
# insulation of 60, 75, 90 and 105 degrees.
BOAT_LAW = {
    18: (10, 10, 20, 20), 16: (15, 15, 25, 25), 14: (20, 20, 30, 35), 12: (25, 25, 40, 45),
    10: (40, 40, 55, 60), 8: (55, 65, 70, 80), 6: (80, 95, 100, 120), 4: (105, 125, 135, 160),
    2: (140, 170, 180, 210), 1: (165, 195, 210, 245), 0: (195, 230, 245, 285),
    -1: (225, 265, 285, 330), -2: (260, 310, 330, 385), -3: (300, 360, 385, 445),
}  # fmt: skip


@pytest.mark.parametrize("gauge", BOAT_LAW)
def test_continuous_current_stays_under_the_boat_wiring_law(gauge: int) -> None:
    area = c.gauge_area(gauge)
    for limit, law in zip((60.0, 75.0, 90.0, 105.0), BOAT_LAW[gauge], strict=True):
        carried = c.continuous_current(area, limit)
        assert 0.4 * law < carried <= law


# 33 CFR 183.425 table 5 note 1, engine spaces at 50 degrees against 30 (105 read in print, the
# rest from memory).
@pytest.mark.parametrize(("limit", "factor"), [(60, 0.58), (75, 0.75), (80, 0.78), (90, 0.82), (105, 0.85)])
def test_ambient_factor_against_the_boat_wiring_law(limit: float, factor: float) -> None:
    assert c.ambient_factor(50.0, limit) == pytest.approx(factor, abs=0.007)


# A cable maker's printed table of ambient factors, 45 degrees being 1 (ship cable).
@pytest.mark.parametrize(
    ("limit", "ambient", "factor"),
    [(60, 50, 0.82), (70, 50, 0.89), (70, 55, 0.77), (70, 60, 0.63), (85, 60, 0.79),
     (85, 70, 0.61), (85, 75, 0.50), (90, 60, 0.82), (90, 80, 0.47)],
)  # fmt: skip
def test_ambient_factor_against_a_cable_table(limit: float, ambient: float, factor: float) -> None:
    ratio = c.ambient_factor(ambient, limit) / c.ambient_factor(45.0, limit)
    assert ratio == pytest.approx(factor, abs=0.006)


def test_continuous_current_edges() -> None:
    # Planning currents, common practice, no source.
    assert c.continuous_current(16e-6) == pytest.approx(75.0)
    assert c.continuous_current(35e-6) == pytest.approx(130.0)
    assert c.continuous_current(16e-6, 60.0) == pytest.approx(54.0)  # ISO 10133, from memory
    assert c.continuous_current(16e-6, 70.0, 70.0) == 0.0
    assert c.continuous_current(16e-6, 70.0, -20.0) == pytest.approx(75.0)
    assert c.continuous_current(500e-6) == c.continuous_current(120e-6)
    clad = c.continuous_current(16e-6, conductor="copper-clad-aluminium")
    assert clad == pytest.approx(75.0 / math.sqrt(1.65))


# Planning currents, common practice, no source: exact at the sizes, so a fuse may equal them.
@pytest.mark.parametrize(("area", "planned"), [(0.75, 7.5), (1, 10), (2.5, 20), (25, 100)])
def test_continuous_current_is_exact_at_a_size(area: float, planned: float) -> None:
    assert c.continuous_current(area * 1e-6) == planned


def test_conductor_temperature() -> None:
    assert c.conductor_temperature(75.0, 75.0, 30.0, 70.0) == pytest.approx(70.0)
    assert c.conductor_temperature(0.0, 75.0, 45.0, 70.0) == 45.0


def test_short_circuit_constant() -> None:
    # IEC 60364-5-54 table A.54.4: PVC 70 to 160 copper 115, aluminium 76; XLPE 90 to 250 copper
    # 143, aluminium 94 (from memory).
    assert c.short_circuit_constant() * 1e-6 == pytest.approx(115.0, rel=1e-3)
    aluminium = c.short_circuit_constant(conductor="copper-clad-aluminium")
    assert aluminium * 1e-6 == pytest.approx(76.0, rel=3e-3)
    assert c.short_circuit_constant(90.0, 250.0) * 1e-6 == pytest.approx(143.0, rel=1e-3)
    # EL-41: 25 mm2 stands 2875 A for 1 s and 9092 A for 0.1 s.
    energy = c.withstand_energy(25e-6, c.short_circuit_constant())
    assert math.sqrt(energy) == pytest.approx(2875.0, rel=1e-3)
    assert math.sqrt(energy / 0.1) == pytest.approx(9092.0, rel=1e-3)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.standard)
def test_tables_rise(table: c.SizeTable) -> None:
    assert (np.diff([size.area for size in table.sizes]) > 0).all()
    assert (np.diff([size.resistance for size in table.sizes]) < 0).all()


@settings(max_examples=1000, deadline=None)
@given(
    area=st.floats(0.1e-6, 200e-6),
    more=st.floats(1.0, 5.0),
    limit=st.floats(60, 200),
    ambient=st.floats(-40, 120),
    hotter=st.floats(0, 80),
)
def test_continuous_current_is_monotone(
    area: float, more: float, limit: float, ambient: float, hotter: float
) -> None:
    base = c.continuous_current(area, limit, ambient)
    assert math.isfinite(base)
    assert base >= 0.0
    assert c.continuous_current(area * more, limit, ambient) >= base * (1 - 1e-12) - 1e-9
    assert c.continuous_current(area, limit, ambient + hotter) <= base
    assert c.continuous_current(area, min(limit * more, 250), ambient) >= base * (1 - 1e-12)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: c.ideal_resistance(0.0), "area must be above zero"),
        (lambda: c.ideal_resistance(math.nan), "area must be above zero"),
        (lambda: c.gauge_diameter(41), "gauge must be"),
        (lambda: c.temperature_factor(-300.0), "temperature must be"),
        (lambda: c.conductor_length(-1.0, "cable"), "length must be zero or more"),
        (lambda: c.metal_factor("gold"), "conductor must be"),  # type: ignore[arg-type]
        (lambda: c.conductor_length(1.0, "sea"), "return path"),  # type: ignore[arg-type]
        (lambda: c.continuous_current(16e-6, 50.0), "insulation limit"),
        (lambda: c.short_circuit_constant(160.0, 160.0), "must be above the start"),
        (lambda: c.cable_loss(math.inf, 1.0), "current must be"),
    ],
)
def test_refusals(call: object, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()  # type: ignore[operator]


def test_a_loaded_conductor_settles_between_its_air_and_its_limit() -> None:
    # The planning current warms a conductor by 40 K (PVC 70 in air of 30), half of it by a quarter of that.
    assert c.loaded_temperature(35e-6, 130.0, 30.0, 70.0) == pytest.approx(70.0)
    assert c.loaded_temperature(35e-6, 65.0, 40.0, 70.0) == pytest.approx(50.0)
    # A better sheath makes no conductor hotter, and metal that heats more is counted.
    assert c.loaded_temperature(35e-6, 65.0, 85.0, 125.0) == pytest.approx(95.0)
    assert c.loaded_temperature(35e-6, 65.0, 40.0, 70.0, "copper-clad-aluminium") == pytest.approx(56.5)
    assert c.loaded_temperature(35e-6, 500.0, 40.0, 70.0) == 70.0
    assert c.loaded_temperature(35e-6, 500.0, 110.0, 70.0) == 110.0


def test_what_a_cable_carries_keeps_its_conductor_under_its_limit() -> None:
    for limit in c.INSULATION_LIMITS.values():
        for size in c.FLEXIBLE_SIZES.sizes:
            for ambient in (-20.0, 30.0, 40.0, 60.0, 85.0, 110.0):
                carried = c.continuous_current(size.area, limit, ambient)
                if carried > 0.0:
                    settled = c.loaded_temperature(size.area, carried, ambient, limit)
                    assert settled <= limit * (1 + 1e-12)
