"""Drivers: parameters from parts and back, and an impedance measurement of a driver made here."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calculators.physics import driver_parameters as drivers
from calculators.physics import loudspeaker_boxes as boxes
from calculators.physics.loudspeaker_boxes import Box
from tests.drivers import driver_of_parts

parts = st.fixed_dictionaries(
    {
        "mass": st.floats(0.003, 0.4), "compliance": st.floats(5e-5, 2e-3), "resistance": st.floats(0.3, 6),
        "force_factor": st.floats(3, 25), "re": st.floats(1.5, 7), "sd": st.floats(0.005, 0.1),
    }
)  # fmt: skip


@given(parts)
def test_parts_come_back(given_parts: dict[str, float]) -> None:
    driver = driver_of_parts(**given_parts)
    for name in ("mass", "compliance", "resistance", "force_factor"):
        assert getattr(driver, name) == pytest.approx(given_parts[name], rel=1e-9)
    assert driver.qes == pytest.approx(drivers.electrical_q(driver.qts, driver.qms), rel=1e-9)


@given(parts, st.floats(0.2, 0.45))
def test_an_impedance_curve_gives_the_driver_back(given_parts: dict[str, float], share: float) -> None:
    """The circuit's own impedance, its crossings found by a root finder, the mass added to the mass."""
    driver = driver_of_parts(**given_parts)
    if not driver.qms / driver.qes > 1.2:
        return

    def impedance(f: float, of: drivers.Driver = driver, volume: float = 1e6) -> float:
        return float(np.abs(boxes.motion(of, Box(volume=volume), np.array([f])).impedance[0]))

    z_max = impedance(driver.fs)
    target = drivers.side_impedance(driver.re, z_max)
    f1 = brentq(lambda f: impedance(f) - target, driver.fs / 100, driver.fs, xtol=1e-10)
    f2 = brentq(lambda f: impedance(f) - target, driver.fs, driver.fs * 100, xtol=1e-10)
    found = drivers.q_of_impedance(re=driver.re, z_max=z_max, fs=driver.fs, f1=f1, f2=f2)
    assert found.qms == pytest.approx(driver.qms, rel=1e-5)
    assert found.qes == pytest.approx(driver.qes, rel=1e-5)
    assert found.symmetry == pytest.approx(1, abs=1e-5)
    added = share * driver.mass
    heavier = driver_of_parts(**{**given_parts, "mass": driver.mass + added})
    assert drivers.mass_by_added(added, driver.fs, heavier.fs) == pytest.approx(driver.mass, rel=1e-6)
    closed = boxes.closed_box(driver.fs, driver.qts, driver.vas, 0.02)
    qec = driver.qes * closed.fc / driver.fs
    vas = drivers.vas_by_box(volume=0.02, fs=driver.fs, qes=driver.qes, fs_box=closed.fc, qec=qec)
    assert vas == pytest.approx(driver.vas, rel=1e-6)


def test_the_air_that_a_box_adds_to_the_cone_cancels() -> None:
    """A moving mass 5 % larger in the box: the product is right, the square of the ratio 7 % low or more."""
    mass, air, bl, ohm = 0.085, 1 / 0.28e-3, 10.5, 3.4
    box = 0.7 * air
    fs, fc = math.sqrt(air / mass) / 2 / math.pi, math.sqrt((air + box) / (1.05 * mass)) / 2 / math.pi
    qes = 2 * math.pi * fs * mass * ohm / bl**2
    qec = 2 * math.pi * fc * 1.05 * mass * ohm / bl**2
    right = drivers.vas_by_box(volume=0.025, fs=fs, qes=qes, fs_box=fc, qec=qec)
    assert right == pytest.approx(0.7 * 0.025, rel=1e-12)
    assert 0.025 * ((fc / fs) ** 2 - 1) < 0.93 * right


@pytest.mark.parametrize(
    "call",
    [
        lambda: drivers.electrical_q(0.5, 0.5),
        lambda: drivers.q_of_impedance(re=4, z_max=3, fs=30, f1=20, f2=40),
        lambda: drivers.q_of_impedance(re=4, z_max=30, fs=30, f1=31, f2=40),
        lambda: drivers.mass_by_added(0.01, 30, 31),
        lambda: drivers.vas_by_box(volume=0.02, fs=30, qes=0.5, fs_box=29, qec=0.5),
        lambda: drivers.Driver(fs=30, qms=5, qes=0.5, vas=0.02, sd=0.02, re=4, le=-1),
        lambda: drivers.level_of_acoustic_power(0),
    ],
)
def test_what_cannot_be_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=r"."):
        call()
