"""Panels against published rows, against transfer matrices, and by what must hold of any wall."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import panels
from calculators.physics.panels import ALUMINIUM, GLASS, STEEL

MASSES = st.floats(0.5, 60)
FREQUENCIES = st.floats(20, 20e3)
GAPS = st.floats(1e-3, 0.1)
SIDES = st.floats(0.1, 2)


def field(frequency: float, mass: float) -> float:
    """The mass law for sound from all sides, third octaves, as the published rows state it."""
    return float(panels.transmission_loss(frequency, mass)) - panels.FIELD_CORRECTION


@pytest.mark.parametrize(
    ("mass", "frequency", "normal", "third"),
    [
        (6.28, 100, 13.763, 8.263),
        (6.28, 500, 27.564, 22.064),
        (6.28, 1000, 33.578, 28.078),
        (6.28, 2000, 39.598, 34.098),
        (7.85, 1000, 35.516, 30.016),
        (10, 1000, 37.618, 32.118),
    ],
)
def test_mass_law_of_a_reference_library(mass: float, frequency: float, normal: float, third: float) -> None:
    """Bies, Hansen and Howard, eqs 7.40 and 7.42, from an acoustics library: ρc 413.3."""
    assert panels.transmission_loss(frequency, mass) == pytest.approx(normal, abs=0.01)
    assert field(frequency, mass) == pytest.approx(third, abs=0.01)


def test_twice_the_mass_is_six_decibel() -> None:
    for more in (
        panels.transmission_loss(4e3, 20) - panels.transmission_loss(4e3, 10),
        panels.transmission_loss(8e3, 10) - panels.transmission_loss(4e3, 10),
    ):
        assert more == pytest.approx(6.0206, abs=0.01)
    gain = panels.transmission_loss(4e3, 10.28) - panels.transmission_loss(4e3, 6.28)
    assert gain == pytest.approx(4.28, abs=0.01)


@pytest.mark.parametrize(
    ("modulus", "poisson", "speed", "expected"),
    [
        (210e9, 0.30, 343.0, 11963),
        (210e9, 0.30, 343.2, 11977),
        (200e9, 0.28, 343.0, 12336),
        (200e9, 0.28, 343.2, 12351),
    ],
)
def test_coincidence_of_one_millimetre_of_steel(
    modulus: float, poisson: float, speed: float, expected: float
) -> None:
    """Bies, Hansen and Howard, eq. 7.3, from an acoustics library; both speeds worked out."""
    stiffness = panels.bending_stiffness(modulus, 1e-3, poisson)
    assert panels.coincidence_frequency(stiffness, 7.85, speed) == pytest.approx(expected, abs=1)


@pytest.mark.parametrize(("material", "product"), [(STEEL, 12.4), (ALUMINIUM, 12.0), (GLASS, 12.7)])
def test_coincidence_times_thickness_as_printed(material: panels.Material, product: float) -> None:
    """M. Long, Architectural Acoustics, table 9.1, m/s; 10 %, as moduli in books differ."""
    stiffness = panels.bending_stiffness(material.modulus, 4e-3, material.poisson)
    found = panels.coincidence_frequency(stiffness, material.density * 4e-3)
    assert found * 4e-3 == pytest.approx(product, rel=0.1)


def test_modes_of_supported_panels() -> None:
    """Cremer and Heckl; Leissa (1973): 0.5 × 0.4 m and 0.3 × 0.3 m of 0.8 mm steel."""
    stiffness = panels.bending_stiffness(210e9, 0.8e-3, 0.3)
    for across, expected in (((1, 1), 20.160), ((2, 1), 43.763), ((2, 2), 80.641)):
        found = panels.supported_frequency(stiffness, 6.28, 0.5, 0.4, *across)
        assert found == pytest.approx(expected, abs=1e-3)
    assert panels.supported_frequency(stiffness, 6.28, 0.3, 0.3) == pytest.approx(43.708, abs=1e-3)
    square = panels.supported_frequency(1, 1, 1, 1) * 2 * math.pi
    assert square == pytest.approx(2 * math.pi**2, abs=1e-3)


@pytest.mark.parametrize(("ratio", "expected"), [(1.25, 46.700), (4 / 3, 51.024), (2, 98.311)])
def test_first_mode_of_clamped_panels(ratio: float, expected: float) -> None:
    """ωa²√(m/B), a the longer side: Ritz with 64 terms; Leissa (1973) has the same to three figures."""
    found = panels.clamped_frequency(1, 1, ratio, 1) * 2 * math.pi * ratio**2
    assert found == pytest.approx(expected, rel=1e-4)


def test_a_clamped_door_panel() -> None:
    stiffness = panels.bending_stiffness(210e9, 0.8e-3, 0.3)
    clamped = panels.clamped_frequency(stiffness, 6.28, 0.5, 0.4)
    assert clamped == pytest.approx(37.227, rel=1e-3)
    supported = panels.supported_frequency(stiffness, 6.28, 0.5, 0.4)
    assert clamped / supported == pytest.approx(1.847, rel=1e-3)


@given(SIDES, SIDES)
def test_clamping_raises_and_sides_may_be_swapped(length: float, width: float) -> None:
    clamped = panels.clamped_frequency(10, 5, length, width)
    assert clamped == pytest.approx(panels.clamped_frequency(10, 5, width, length), rel=1e-4)
    supported = panels.supported_frequency(10, 5, length, width)
    # A square is 1.823 times as high, a long strip (4.730/π)² = 2.267 times.
    assert 1.82 < clamped / supported < 2.27


@pytest.mark.parametrize(
    ("masses", "gap", "expected", "within"),
    [((5.495, 4.5), 8e-3, 426.03, 0.01), ((6.28, 4.0), 10e-3, 383.4, 0.2), ((4.0, 1e12), 10e-3, 299.6, 0.1)],
)
def test_mass_on_air_on_mass(masses: tuple[float, float], gap: float, expected: float, within: float) -> None:
    """Bies, eq. 7.62; the last is a mass on a closed cavity, 60/√(m·d) (Cox and D'Antonio, eq. 7.9)."""
    assert panels.mass_air_mass_frequency(*masses, gap) == pytest.approx(expected, abs=within)


@pytest.mark.parametrize(
    ("loss", "part", "expected"),
    [(30, 0.01, 19.590), (40, 0.01, 19.957), (25, 0.001, 23.81), (40, 0.001, 29.586)],
)
def test_a_hole_caps_the_loss(loss: float, part: float, expected: float) -> None:
    """Worked by hand from the sum of powers."""
    assert panels.with_open_area(loss, part) == pytest.approx(expected, abs=5e-3)


@given(st.floats(0, 90), st.floats(1e-6, 1))
def test_a_hole_never_lets_more_stay_out_than_its_cap(loss: float, part: float) -> None:
    found = float(panels.with_open_area(loss, part))
    assert found <= min(loss, -10 * math.log10(part)) + 1e-9
    assert panels.with_open_area(loss, 0) == pytest.approx(loss)


@given(FREQUENCIES, MASSES, MASSES, GAPS, st.floats(0, 1))
def test_a_double_wall_is_its_transfer_matrices(
    frequency: float, mass: float, layer: float, gap: float, loss: float
) -> None:
    """Mass, spring, mass: pressure and speed through each in turn."""
    angular = 2j * math.pi * frequency
    spring = angular * gap / (panels.AIR_IMPEDANCE * panels.SPEED_OF_SOUND * (1 + 1j * loss))
    chain = np.array([[1, angular * mass], [0, 1]]) @ np.array([[1, 0], [spring, 1]])
    (a, b), (c, d) = chain @ np.array([[1, angular * layer], [0, 1]])
    z = panels.AIR_IMPEDANCE
    through = 2 / (a + b / z + c * z + d)
    expected = -20 * math.log10(abs(through))
    found = panels.transmission_loss(frequency, mass, layer, gap, loss)
    assert found == pytest.approx(expected, abs=1e-8)


@given(FREQUENCIES, MASSES, MASSES)
def test_glued_on_is_the_mass_law_of_both(frequency: float, mass: float, layer: float) -> None:
    together = panels.transmission_loss(frequency, mass, layer)
    law = 10 * math.log10(1 + (math.pi * frequency * (mass + layer) / panels.AIR_IMPEDANCE) ** 2)
    assert together == pytest.approx(law, abs=1e-9)


@given(MASSES, MASSES, GAPS)
def test_on_a_spring_less_at_the_resonance_and_more_well_above(mass: float, layer: float, gap: float) -> None:
    resonance = panels.mass_air_mass_frequency(mass, layer, gap)
    at = np.array([resonance, 3 * resonance])
    change = panels.transmission_loss(at, mass, layer, gap, 0.2) - panels.transmission_loss(at, mass + layer)
    if resonance * math.pi * min(mass, layer) > 5 * panels.AIR_IMPEDANCE:
        assert change[0] < 0
    assert change[1] > 0


def test_a_band_holds_the_average_of_what_gets_through() -> None:
    """The dip at one frequency is deeper than that of its band; far off both agree."""
    deep = float(panels.transmission_loss(426.03, 5.495, 4.5, 8e-3, 0.2)) - panels.FIELD_CORRECTION
    band = float(panels.band_transmission_loss(426.03, 5.495, 4.5, 8e-3, 0.2))
    assert deep + 0.5 < band
    plain = panels.band_transmission_loss(1000, 6.28)
    assert plain == pytest.approx(field(1000, 6.28), abs=0.06)


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, math.inf])
def test_what_has_no_meaning_is_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match="mass must be above zero"):
        panels.transmission_loss(100, wrong)
    with pytest.raises(ValueError, match="thickness must be above zero"):
        panels.bending_stiffness(210e9, wrong, 0.3)
    with pytest.raises(ValueError, match="air_gap must be above zero"):
        panels.mass_air_mass_frequency(5, 5, wrong)


def test_parts_and_ratios_outside_their_range_are_refused() -> None:
    with pytest.raises(ValueError, match="open_fraction"):
        panels.with_open_area(30, 1.1)
    with pytest.raises(ValueError, match="poisson"):
        panels.bending_stiffness(210e9, 1e-3, 1)
    with pytest.raises(ValueError, match="frequencies"):
        panels.transmission_loss([100, 0], 5)
    with pytest.raises(ValueError, match="highest must be a finite"):
        panels.with_open_area([30, math.inf], 0.01)
