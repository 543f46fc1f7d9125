"""Boxes against state spaces of their equivalent circuits, built here from Newton's and Kirchhoff's laws."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal

from calculators.physics import loudspeaker_boxes as boxes
from calculators.physics.air import AIR_DENSITY, SPEED_OF_SOUND
from calculators.physics.arrays import FloatArray
from calculators.physics.driver_parameters import Driver
from calculators.physics.loudspeaker_boxes import Box
from tests.conftest import SOAK

PLACES = np.geomspace(10, 500, 60)
CASES = max(SOAK, 200) if SOAK else 25
"""Random drivers for each kind of box, with inductance and without."""
KINDS = ("closed", "closed with a leak", "vented", "vented with a leak")


def some_driver(random: np.random.Generator, le: bool) -> Driver:
    return Driver(
        fs=random.uniform(18, 120), qms=random.uniform(1.5, 12), qes=random.uniform(0.25, 1.5),
        vas=10 ** random.uniform(-2.7, -0.7), sd=10 ** random.uniform(-2.1, -1.0),
        re=random.uniform(1.5, 7), le=random.uniform(1e-4, 3e-3) if le else 0.0,
    )  # fmt: skip


def some_box(random: np.random.Generator, kind: str) -> Box:
    volume = 10 ** random.uniform(-2.3, -0.9)
    if kind == "closed":
        return Box(volume=volume)
    if kind == "closed with a leak":
        return Box(volume=volume, leak_resistance=10 ** random.uniform(4, 6))
    ql = random.uniform(3, 20) if kind == "vented with a leak" else None
    return boxes.vented_box(volume, random.uniform(18, 90), ql)


def state_space(driver: Driver, box: Box, source: float) -> signal.StateSpace:
    """States: excursion, speed, pressure in the box, flow out of the port, current (with inductance).

    Outputs: excursion, flow out of the port, flow out of everything, current.
    """
    air = box.volume / (AIR_DENSITY * SPEED_OF_SOUND**2)
    ohm, bl, mass, area = driver.re + source, driver.force_factor, driver.mass, driver.sd
    leak = 0.0 if box.leak_resistance is None else 1 / box.leak_resistance
    port = 0.0 if box.port_mass is None else 1 / box.port_mass
    # Cone outwards thins the air behind it: its pressure falls. The port blows out under pressure.
    a = np.zeros((5, 5))
    a[0, 1] = 1
    a[1, :3] = [-1 / (driver.compliance * mass), -driver.resistance / mass, area / mass]
    a[2, 1:4] = [-area / air, -leak / air, -1 / air]
    a[3, 2] = port
    b = np.zeros((5, 1))
    outputs, through = np.zeros((4, 5)), np.zeros((4, 1))
    outputs[0, 0] = 1
    outputs[1, 3] = -1  # Against the cone, as a flow in the cone's direction is counted.
    outputs[2, 1:4] = [area, leak, 1]
    if driver.le:
        a[1, 4] = bl / mass
        a[4, 1], a[4, 4] = -bl / driver.le, -ohm / driver.le
        b[4, 0] = 1 / driver.le
        outputs[3, 4] = 1
        return signal.StateSpace(a, b, outputs, through)
    a[1, 1] -= bl**2 / (ohm * mass)
    b[1, 0] = bl / (ohm * mass)
    outputs[3, 1], through[3, 0] = -bl / ohm, 1 / ohm
    return signal.StateSpace(a[:4, :4], b[:4], outputs[:, :4], through)


def freq_response(system: signal.StateSpace, places: FloatArray = PLACES) -> np.ndarray:
    """Outputs by frequencies."""
    s = 2j * np.pi * places
    unit = np.eye(len(system.A))
    return np.stack([system.C @ np.linalg.solve(each * unit - system.A, system.B) + system.D for each in s])[
        :, :, 0
    ].T


@pytest.mark.parametrize("le", [False, True], ids=["no inductance", "inductance"])
@pytest.mark.parametrize("kind", KINDS)
def test_motion_is_that_of_the_circuit(kind: str, le: bool) -> None:
    random = np.random.default_rng(4711 + KINDS.index(kind))
    for _ in range(CASES):
        driver, box, source = some_driver(random, le), some_box(random, kind), random.uniform(0, 0.4)
        excursion, port, output, current = freq_response(state_space(driver, box, source))
        found = boxes.motion(driver, box, PLACES, source)
        np.testing.assert_allclose(found.excursion, excursion, rtol=1e-6)
        np.testing.assert_allclose(found.output, output, rtol=1e-6)
        np.testing.assert_allclose(np.abs(found.port), np.abs(port), rtol=1e-6, atol=1e-15)
        np.testing.assert_allclose(found.impedance + source, 1 / current, rtol=1e-6)
        if not le:
            flat = np.abs(boxes.pressure(output, PLACES))
            reference = driver.level(1.0) + 20 * math.log10(driver.re / (driver.re + source))
            level = 20 * np.log10(np.abs(boxes.motion(driver, box, PLACES, source).response))
            np.testing.assert_allclose(20 * np.log10(flat / 20e-6), level + reference, atol=1e-6)


@pytest.mark.filterwarnings("ignore::scipy.signal.BadCoefficients")
def test_scipy_walks_the_same_circuit_in_its_own_way() -> None:
    """Its transfer functions, by its own solver of state spaces, for one box with all parts."""
    random = np.random.default_rng(1)
    driver, box = some_driver(random, True), some_box(random, "vented with a leak")
    _, gain = signal.freqresp(
        signal.StateSpace(*_single(state_space(driver, box, 0.1), 2)), 2 * np.pi * PLACES
    )
    np.testing.assert_allclose(boxes.motion(driver, box, PLACES, 0.1).output, gain, rtol=1e-6)


def _single(system: signal.StateSpace, output: int) -> tuple[np.ndarray, ...]:
    return system.A, system.B, system.C[output : output + 1], system.D[output : output + 1]


@given(st.floats(0.2, 3), st.floats(15, 100))
def test_cutoff_and_peaks_are_where_the_curve_has_them(qtc: float, fc: float) -> None:
    """Closed forms against the curve on a dense grid, for a driver without a suspension's losses."""
    driver = Driver(fs=fc, qms=1e9, qes=qtc, vas=1e-6, sd=0.02, re=4)
    box = Box(volume=1e3)  # So large that the free-air values are the system's.
    f = fc * np.geomspace(1e-3, 1e3, 60001)
    level = 20 * np.log10(np.abs(boxes.motion(driver, box, f).response))
    excursion = np.abs(boxes.motion(driver, box, f).excursion)
    f3 = boxes.cutoff_ratio(qtc) * fc
    at_f3 = 20 * np.log10(np.abs(boxes.motion(driver, box, np.array([f3])).response))
    assert at_f3[0] == pytest.approx(-10 * math.log10(2), abs=1e-4)
    assert max(float(np.max(level)), 0.0) == pytest.approx(boxes.peak_level(qtc), abs=1e-4)
    # A low-pass of the same Q as the high-pass that the level is: one peaks as high as the other.
    peak = 20 * math.log10(float(np.max(excursion) / excursion[0]))
    assert peak == pytest.approx(boxes.peak_level(qtc), abs=1e-3)


def test_a_closed_box_is_a_vented_one_with_a_port_of_no_use() -> None:
    random = np.random.default_rng(2)
    driver = some_driver(random, True)
    tight = boxes.motion(driver, Box(volume=0.02), PLACES)
    for other in (Box(volume=0.02, port_mass=1e15), Box(volume=0.02, leak_resistance=1e15)):
        np.testing.assert_allclose(boxes.motion(driver, other, PLACES).output, tight.output, rtol=1e-8)


def test_group_delay_is_the_slope_of_the_phase() -> None:
    random = np.random.default_rng(3)
    f = np.geomspace(10, 500, 400001)
    for kind in KINDS:
        driver, box = some_driver(random, True), some_box(random, kind)
        phase = np.unwrap(np.angle(boxes.motion(driver, box, f, 0.1).response))
        slope = -np.gradient(phase, 2 * np.pi * f)
        found = boxes.group_delay(driver, box, f, 0.1)
        np.testing.assert_allclose(found[1:-1], slope[1:-1], rtol=1e-4, atol=1e-7)


def test_a_vented_box_s_polynomial_with_leakage() -> None:
    """s⁴/(s⁴ + a1·s³ + a2·s² + a3·s + 1), s over √(ωs·ωb) (Small 1973), against the circuit."""
    random = np.random.default_rng(5)
    for _ in range(20):
        driver, ql = some_driver(random, False), random.uniform(3, 20)
        volume, tuning = random.uniform(0.01, 0.1), random.uniform(18, 90)
        h, alpha, qt = tuning / driver.fs, driver.vas / volume, driver.qts
        a1 = (ql + h * qt) / (math.sqrt(h) * ql * qt)
        a2 = (h + (alpha + 1 + h**2) * ql * qt) / (h * ql * qt)
        a3 = (h * ql + qt) / (math.sqrt(h) * ql * qt)
        s = 1j * PLACES / math.sqrt(driver.fs * tuning)
        wanted = s**4 / (s**4 + a1 * s**3 + a2 * s**2 + a3 * s + 1)
        box = boxes.vented_box(volume, tuning, ql)
        np.testing.assert_allclose(boxes.motion(driver, box, PLACES).response, wanted, rtol=1e-9)


def test_a_tight_cabin_undoes_a_butterworth_box_at_its_transition() -> None:
    driver = Driver(fs=68.64, qms=1e9, qes=math.sqrt(0.5), vas=1e-6, sd=0.02, re=4)
    both = boxes.motion(driver, Box(volume=1e3), PLACES).response * boxes.cabin_gain(PLACES, 68.64)
    np.testing.assert_allclose(np.abs(both), 1, rtol=1e-6)


def test_a_hole_is_where_the_finding_of_helmholtz_has_it() -> None:
    """c/2π·√(S/(V·(t + 1.7r))): worked out here from its own terms."""
    for area, wanted in ((5e-4, 41.0), (20e-4, 58.0), (50e-4, 74.0)):
        found = boxes.tuning_of(0.04, boxes.hole_mass(area, 0.001))
        radius = math.sqrt(area / math.pi)
        assert found == pytest.approx(
            SPEED_OF_SOUND / 2 / math.pi * math.sqrt(area / (0.04 * (0.001 + 1.7 * radius))), rel=1e-12
        )
        assert found == pytest.approx(wanted, abs=0.6)


def test_a_port_of_that_length_tunes_the_box() -> None:
    length = boxes.port_length(volume=0.05, tuning=30, diameter=0.1, count=2, ends="both-free")
    whole = length + 2 * 0.6133 * 0.05
    mass = AIR_DENSITY * whole / (2 * math.pi * 0.05**2)
    assert boxes.tuning_of(0.05, mass) == pytest.approx(30, rel=1e-12)


def test_last_above_finds_the_crossing_or_says_there_is_none() -> None:
    places = np.geomspace(1, 100, 50)
    assert boxes.last_above(lambda f: 1000 / f**2, places, 1.0) == pytest.approx(math.sqrt(1000), rel=1e-9)
    assert boxes.last_above(lambda f: 1 / f, places, 2.0) is None
    assert boxes.last_above(lambda f: f, places, 2.0) == pytest.approx(100)


@pytest.mark.parametrize(
    "call",
    [
        lambda: boxes.closed_box(0, 0.5, 0.1, 0.1),
        lambda: boxes.cabin_gain(PLACES, 0),
        lambda: boxes.cabin_gain(PLACES, 60, -1),
        lambda: boxes.motion(some_driver(np.random.default_rng(1), False), Box(volume=0.1), PLACES, -1),
        lambda: boxes.vented_box(0.1, math.nan),
        lambda: boxes.slot_speed(0.02, 0.01, 50, 0),
        lambda: boxes.hole_mass(0.001, -1),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match="must be"):
        call()
