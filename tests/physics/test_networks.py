"""Passive crossovers against published ladder tables."""

import math
from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import filters, networks
from calculators.physics.decibels import level

SIDES: tuple[filters.Side, ...] = get_args(filters.Side)
MILLI, MICRO = 1e-3, 1e-6

# Singly terminated ladders, source first: Zverev, Handbook of Filter Synthesis; Linkwitz-Riley by
# the continued fraction.
ELEMENTS: list[tuple[filters.Family, int, list[float]]] = [
    ("butterworth", 3, [1.5, 1.333333, 0.5]),
    ("butterworth", 4, [1.530734, 1.577161, 1.082392, 0.382683]),
    ("linkwitz-riley", 4, [1.885618, 1.590990, 0.942809, 0.353553]),
]


@pytest.mark.parametrize(("family", "order", "expected"), ELEMENTS)
def test_normalised_elements(family: filters.Family, order: int, expected: list[float]) -> None:
    assert networks.ladder_elements(family, order) == pytest.approx(expected, abs=1e-6)


# Small, JAES 1971; Zverev; the Linkwitz-Riley and Butterworth rows also in Dickason, Loudspeaker
# Design Cookbook (from memory). Load ohm, frequency 3 kHz, parts in mH and microfarads, amplifier
# first.
PARTS: list[tuple[filters.Side, filters.Family, int, networks.BesselScale, float, list[float]]] = [
    ("low-pass", "butterworth", 1, "magnitude", 4, [0.2122]),
    ("high-pass", "butterworth", 1, "magnitude", 4, [13.263]),
    ("low-pass", "butterworth", 1, "magnitude", 8, [0.4244]),
    ("high-pass", "butterworth", 1, "magnitude", 8, [6.631]),
    ("low-pass", "butterworth", 2, "magnitude", 4, [0.3001, 9.378]),
    ("high-pass", "butterworth", 2, "magnitude", 4, [9.378, 0.3001]),
    ("low-pass", "butterworth", 2, "magnitude", 8, [0.6002, 4.689]),
    ("low-pass", "linkwitz-riley", 2, "magnitude", 4, [0.4244, 6.631]),
    ("low-pass", "linkwitz-riley", 2, "magnitude", 8, [0.8488, 3.316]),
    ("high-pass", "linkwitz-riley", 2, "magnitude", 8, [3.316, 0.8488]),
    ("low-pass", "bessel", 2, "phase", 4, [0.3676, 7.657]),
    ("low-pass", "bessel", 2, "phase", 8, [0.7351, 3.829]),
    ("low-pass", "bessel", 2, "magnitude", 4, [0.2890, 6.020]),
    ("high-pass", "bessel", 2, "magnitude", 4, [9.740, 0.4675]),
    ("low-pass", "bessel", 2, "magnitude", 8, [0.5779, 3.010]),
    ("low-pass", "butterworth", 3, "magnitude", 4, [0.3183, 17.684, 0.1061]),
    ("low-pass", "butterworth", 3, "magnitude", 8, [0.6366, 8.842, 0.2122]),
    ("high-pass", "butterworth", 3, "magnitude", 4, [8.842, 0.1592, 26.526]),
    ("high-pass", "butterworth", 3, "magnitude", 8, [4.421, 0.3183, 13.263]),
    ("low-pass", "linkwitz-riley", 4, "magnitude", 4, [0.4001, 21.101, 0.2001, 4.689]),
    ("low-pass", "linkwitz-riley", 4, "magnitude", 8, [0.8003, 10.551, 0.4001, 2.345]),
    ("high-pass", "linkwitz-riley", 4, "magnitude", 4, [7.034, 0.1334, 14.067, 0.6002]),
    ("high-pass", "linkwitz-riley", 4, "magnitude", 8, [3.517, 0.2668, 7.034, 1.2004]),
    ("low-pass", "butterworth", 4, "magnitude", 4, [0.3248, 20.918, 0.2297, 5.075]),
    ("low-pass", "butterworth", 4, "magnitude", 8, [0.6497, 10.459, 0.4594, 2.538]),
]


@pytest.mark.parametrize(("side", "family", "order", "scale", "load", "expected"), PARTS)
def test_parts_at_3_kilohertz(
    side: filters.Side,
    family: filters.Family,
    order: int,
    scale: networks.BesselScale,
    load: float,
    expected: list[float],
) -> None:
    parts = networks.crossover_parts(side, family, order, 3000, load, scale)
    found = [part.value / (MILLI if part.kind == "inductor" else MICRO) for part in parts]
    # Half a unit of the last printed figure: 0.1 uH or 1 nF.
    assert found == pytest.approx(expected, abs=6e-4)
    first = "inductor" if side == "low-pass" else "capacitor"
    assert all((part.kind == first) == (part.place == "series") for part in parts)


def test_first_order_high_pass_at_80_hertz() -> None:
    # C = 1/(2 pi f R).
    (part,) = networks.crossover_parts("high-pass", "butterworth", 1, 80, 4)
    assert part.value / MICRO == pytest.approx(497.4, abs=0.05)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("family", networks.LADDER_ORDERS)
def test_a_ladder_into_a_resistor_is_the_filter(side: filters.Side, family: filters.Family) -> None:
    frequency = np.geomspace(20, 20000, 60)
    for order in networks.LADDER_ORDERS[family]:
        parts = networks.crossover_parts(side, family, order, 2500, 4)
        found = networks.ladder_response(parts, 4.0, frequency).gain
        wanted = filters.response(filters.crossover_filter(side, family, order, 2500), frequency)
        np.testing.assert_allclose(found, wanted, atol=1e-12)


def test_bessel_of_the_passive_tables_is_lower_at_its_corner() -> None:
    # 20·log10 of its Q, 0.57735: -4.771 dB, not -3.01.
    parts = networks.crossover_parts("low-pass", "bessel", 2, 1000, 8, "phase")
    gain = networks.ladder_response(parts, 8.0, 1000.0).gain
    assert float(level(gain)) == pytest.approx(-4.771, abs=1e-3)


def test_zobel_makes_a_driver_a_resistor() -> None:
    # Identity: C = Le/Re².
    resistance, capacitance = networks.zobel(3.2, 0.3e-3)
    assert capacitance / MICRO == pytest.approx(29.297, abs=1e-3)
    frequency = np.array([100.0, 1000.0, 10000.0])
    driver = networks.voice_coil_impedance(frequency, 3.2, 0.3e-3)
    seen = networks.with_zobel(driver, frequency, resistance, capacitance)
    np.testing.assert_allclose(seen, 3.2, rtol=1e-9)


def test_a_coil_spoils_the_slope_and_a_zobel_mends_it() -> None:
    parts = networks.crossover_parts("low-pass", "linkwitz-riley", 2, 2500, 3.2)
    frequency = np.array([2500.0])
    driver = networks.voice_coil_impedance(frequency, 3.2, 0.4e-3)
    mended = networks.with_zobel(driver, frequency, *networks.zobel(3.2, 0.4e-3))
    spoilt = float(level(networks.ladder_response(parts, driver, frequency).gain)[0])
    right = float(level(networks.ladder_response(parts, mended, frequency).gain)[0])
    assert right == pytest.approx(-6.0206, abs=1e-4)
    assert spoilt > right + 3


# Attenuator identity; load ohm, dB, resistors ohm.
PADS = [
    (8, 3, 2.336, 19.392), (8, 6, 3.990, 8.038), (4, 3, 1.168, 9.696), (4, 6, 1.995, 4.019),
    (4, 10, 2.735, 1.850),
]  # fmt: skip


@pytest.mark.parametrize(("load", "attenuation", "series", "shunt"), PADS)
def test_pads(load: float, attenuation: float, series: float, shunt: float) -> None:
    found = networks.l_pad(load, attenuation)
    assert found == pytest.approx((series, shunt), abs=1e-3)
    whole, gain = networks.through_pad(load, *found)
    assert complex(whole) == pytest.approx(load, rel=1e-12)
    assert float(level(gain)) == pytest.approx(-attenuation, abs=1e-9)


def test_pad_of_standard_values() -> None:
    # Worked from Ohm's law: 3.9 ohm in series and 8.2 ohm across 8 ohm.
    whole, gain = networks.through_pad(8, 3.9, 8.2)
    assert float(level(gain)) == pytest.approx(-5.859, abs=1e-3)
    assert complex(whole).real == pytest.approx(7.949, abs=1e-3)


# IEC 60063.
def test_preferred_values_of_iec_60063() -> None:
    assert [len(networks.PREFERRED_VALUES[series]) for series in ("e12", "e24")] == [12, 24]
    assert set(networks.PREFERRED_VALUES["e12"]) < set(networks.PREFERRED_VALUES["e24"])
    assert networks.nearest_value(4.689e-6, "e12") == 4.7e-6
    assert networks.nearest_value(0.3001e-3, "e12") == 0.33e-3
    assert networks.nearest_value(0.3001e-3, "e24") == 0.3e-3
    assert networks.nearest_value(9.8, "e12") == 10
    assert networks.nearest_value(1000.0, "e24") == 1000


def test_preferred_values_from_below() -> None:
    assert networks.value_not_under(300.0, "e24") == 300
    assert networks.value_not_under(300.1, "e24") == 330
    assert networks.value_not_under(9.2, "e24") == 10
    with pytest.raises(ValueError, match="above 0"):
        networks.value_not_under(0.0, "e24")


@given(st.floats(1e-9, 1e3))
def test_a_preferred_value_is_near(value: float) -> None:
    # The widest steps of the series, 1.2 to 1.5 in E12 and 1.3 to 1.5 in E24, halved by ratio.
    for series, widest in (("e12", 15 / 12), ("e24", 15 / 13)):
        ratio = networks.nearest_value(value, series) / value
        assert abs(math.log(ratio)) <= math.log(widest) / 2 + 1e-9


def test_a_coil_with_resistance_loses_level() -> None:
    # Voltage divider: 0.4 ohm of wire before 4 ohm at a frequency where the coil itself is nothing.
    parts = (networks.Part("inductor", "series", 1e-3, 0.4),)
    found = networks.ladder_response(parts, 4.0, 0.01)
    assert float(level(found.gain)) == pytest.approx(20 * math.log10(4 / 4.4), abs=1e-6)
    assert complex(found.impedance).real == pytest.approx(4.4, rel=1e-9)


def test_both_ways_of_a_first_order_pair_load_the_amplifier_like_one_resistor() -> None:
    # Constant-resistance property of the first-order pair, Small, JAES 1971.
    frequency = np.geomspace(20, 20000, 30)
    admittance = sum(
        1
        / networks.ladder_response(
            networks.crossover_parts(side, "butterworth", 1, 2000, 4), 4.0, frequency
        ).impedance
        for side in SIDES
    )
    np.testing.assert_allclose(1 / admittance, 4, rtol=1e-12)


def test_refusals() -> None:
    with pytest.raises(ValueError, match="order 3"):
        networks.ladder_elements("linkwitz-riley", 3)
    with pytest.raises(ValueError, match="order 5"):
        networks.ladder_elements("butterworth", 5)
    for frequency, load in ((0, 4), (100, 0), (math.nan, 4)):
        with pytest.raises(ValueError, match="above 0"):
            networks.crossover_parts("low-pass", "butterworth", 2, frequency, load)
    for value in (0, -1, math.inf, math.nan):
        with pytest.raises(ValueError, match="above 0"):
            networks.nearest_value(value, "e12")
    for resistance, inductance in ((0, 1e-3), (4, -1e-3)):
        with pytest.raises(ValueError, match="resistance"):
            networks.zobel(resistance, inductance)
    for load, attenuation in ((0, 3), (8, 0)):
        with pytest.raises(ValueError, match="attenuation"):
            networks.l_pad(load, attenuation)
    for impedance, at in ((4, 0), (0, 100), (1j, 100)):
        with pytest.raises(ValueError, match="above 0"):
            networks.ladder_response((), impedance, at)


@pytest.mark.parametrize("exponent", [0.4, 0.6, 0.7, 1.0])
def test_a_lossy_coil_has_the_reactance_of_its_inductance_at_1_khz(exponent: float) -> None:
    found = networks.voice_coil_impedance([1000.0, 4000.0], 3.2, 0.3e-3, exponent) - 3.2
    assert found[0].imag == pytest.approx(2 * math.pi * 1000 * 0.3e-3, rel=1e-12)
    assert abs(found[1] / found[0]) == pytest.approx(4**exponent, rel=1e-12)
    assert math.degrees(math.atan2(found[0].imag, found[0].real)) == pytest.approx(90 * exponent, rel=1e-9)


@pytest.mark.parametrize("wrong", [0.0, 1.1, math.nan])
def test_a_coil_rises_no_faster_than_an_ideal_one(wrong: float) -> None:
    with pytest.raises(ValueError, match="exponent"):
        networks.voice_coil_impedance(100.0, 4.0, 1e-3, wrong)
