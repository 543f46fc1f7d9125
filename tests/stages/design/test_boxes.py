"""Boxes and drivers as a reader meets them: what must hold whatever is typed."""

import math
from typing import Any, get_type_hints

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from calculators.declaring import Chart, run_values
from calculators.physics import loudspeaker_boxes as boxes
from calculators.physics.loudspeaker_boxes import Box
from calculators.stages import find_calculator
from calculators.vocabulary.driven_boxes import DrivenBox
from tests.asking import answer, run
from tests.conftest import SOAK
from tests.physics.test_loudspeaker_boxes import freq_response, some_driver, state_space

DRIVER = st.fixed_dictionaries(
    {
        "fs": st.floats(20, 110), "qts": st.floats(0.2, 1.2), "vas": st.floats(0.003, 0.15),
        "qms": st.floats(2, 12), "re": st.floats(1.5, 7), "sd": st.floats(0.006, 0.09),
        "xmax": st.floats(0.002, 0.02), "power": st.floats(20, 800),
    }
)  # fmt: skip
HELD_BY_5_HZ = {
    "fs": 20.0, "qts": 0.5, "vas": 0.03125, "qms": 2.0, "re": 2.0, "sd": 0.0625, "xmax": 0.00390625,
    "power": 20.0,
}  # fmt: skip


@given(DRIVER, st.floats(0.01, 0.1))
def test_a_door_without_a_leak_is_a_closed_box(driver: dict[str, float], volume: float) -> None:
    door = answer("door-speaker", door_volume=volume, leak_area=0.0, **driver)
    box = answer("sealed-box", volume=volume, **driver)
    assert door.f3 == pytest.approx(box.f3, rel=1e-9)
    assert door.peak_excursion == pytest.approx(box.peak_excursion, rel=1e-9)
    np.testing.assert_allclose(door.response.level, box.response.level, atol=1e-9)
    for one, other in zip(door.max_spl, box.max_spl, strict=True):
        assert one.level == pytest.approx(other.level, rel=1e-9)


@given(DRIVER, st.floats(1.0, 1.4))
def test_in_the_volume_told_for_it_a_driver_has_q_0_71(driver: dict[str, float], fill: float) -> None:
    volume = answer("sealed-box", volume=0.02, fill=fill, **driver).flat_volume
    if volume is None:
        largest = answer("sealed-box", volume=2.0, fill=fill, **driver)
        assert largest.qtc > 2**-0.5, "in no box is it as low as that"
    elif volume > 1e-4:
        box = answer("sealed-box", volume=volume, fill=fill, **driver)
        assert box.qtc == pytest.approx(2**-0.5, rel=1e-9)
        assert box.f3 == pytest.approx(box.fc, rel=1e-9)  # Small 1972: at Q 0.71 the corner is the resonance.


def drawn(chart: Chart) -> np.ndarray:
    """The line of the reader's own design."""
    return np.array(chart.series[0].values)


@pytest.mark.parametrize("ql", [None, 7.0])
def test_travel_and_air_in_the_port_are_drawn_as_scipy_s_state_space_has_them(ql: float | None) -> None:
    """From Qts and Qms as they are typed to mm and m/s at full power: Qes is carried apart from Qms."""
    random = np.random.default_rng(1207)
    for _ in range(max(SOAK, 200) if SOAK else 20):
        own = some_driver(random, le=True)
        volume, tuning, diameter, lead = (random.uniform(*ends) for ends in (
            (0.005, 0.12), (18, 90), (0.04, 0.15), (0, 0.4),
        ))  # fmt: skip
        typed = {
            "fs": own.fs, "qts": own.qts, "qms": own.qms, "vas": own.vas, "sd": own.sd, "re": own.re,
            "le": own.le, "volume": volume, "power": 200.0, "load": 4.0, "source_resistance": lead,
        }  # fmt: skip
        vented = answer("vented-box", **typed, tuning=tuning, port_diameter=diameter, ql=ql)
        for found, box in (
            (vented, boxes.vented_box(volume, tuning, ql)),
            (answer("sealed-box", **typed), Box(volume=volume)),
        ):
            at = np.array(found.excursion_chart.at)
            excursion, port, *_ = np.abs(freq_response(state_space(own, box, lead), at))
            peak = math.sqrt(2) * found.voltage
            np.testing.assert_allclose(drawn(found.excursion_chart), 1e3 * peak * excursion, rtol=1e-6)
            if box.port_mass is not None:
                air = peak * port / (math.pi * diameter**2 / 4)
                np.testing.assert_allclose(drawn(found.port_chart), air, rtol=1e-6)


@given(DRIVER, st.floats(0.005, 0.1), st.sampled_from([12.0, 24.0, 48.0]))
@example(HELD_BY_5_HZ, 0.0625, 12.0)
def test_behind_the_lowest_high_pass_the_cone_just_keeps_inside(
    driver: dict[str, float], volume: float, slope: float
) -> None:
    bare = answer("sealed-box", volume=volume, slope=slope, **driver)
    if bare.minimum_high_pass is None:  # None is needed, or none is enough.
        told = any("less power, or a driver with more area" in note.message for note in bare.advice)
        assert told is (bare.stroke_voltage < bare.voltage)
        return
    # 5 Hz, the lowest looked at, may be more than enough.
    if not 5 * (1 + 1e-9) < bare.minimum_high_pass < 900:
        return
    behind = answer("sealed-box", volume=volume, slope=slope, high_pass=bare.minimum_high_pass, **driver)
    assert behind.peak_excursion == pytest.approx(driver["xmax"], rel=2e-3)
    assert behind.stroke_voltage == pytest.approx(bare.voltage, rel=2e-3)


@given(DRIVER, st.floats(0.005, 0.1))
def test_the_limits_are_reached_where_they_are_said_to_be(driver: dict[str, float], volume: float) -> None:
    box = answer("sealed-box", volume=volume, **driver)
    if not 0.1 <= box.travel_power <= 10e3:  # What the form takes.
        return
    at_limit = answer("sealed-box", volume=volume, **driver | {"power": box.travel_power})
    assert at_limit.peak_excursion == pytest.approx(driver["xmax"], rel=1e-6)
    assert at_limit.voltage == pytest.approx(box.stroke_voltage, rel=1e-6)
    for row in box.max_spl:
        assert row.limit == ("its travel" if row.excursion > driver["xmax"] else "the amplifier")


@given(DRIVER, st.floats(0.02, 0.1), st.floats(20, 60))
def test_a_port_holds_the_cone_at_its_tuning(driver: dict[str, float], volume: float, tuning: float) -> None:
    """At the tuning the port does the work: the cone moves less than it would in the same box shut."""
    vented = answer("vented-box", volume=volume, tuning=tuning, port_diameter=0.08, **driver)
    shut = answer("sealed-box", volume=volume, **driver)
    chart = vented.excursion_chart
    place = int(np.argmin(np.abs(np.asarray(chart.at) - tuning)))
    travel = {line.label: line.values[place] for line in chart.series}
    held, moved = travel["At full power"], travel["The same box, shut"]
    assert held < moved
    assert vented.voltage == shut.voltage


@given(DRIVER, st.floats(0.01, 0.05), st.floats(1.0, 1.25))
def test_lining_is_a_larger_box(driver: dict[str, float], volume: float, fill: float) -> None:
    lined = answer("sealed-box", volume=volume, fill=fill, **driver)
    larger = answer("sealed-box", volume=volume * fill, **driver)
    assert (lined.qtc, lined.fc) == pytest.approx((larger.qtc, larger.fc), rel=1e-12)


def test_without_re_and_area_what_is_not_known_is_not_said() -> None:
    box = answer("sealed-box", fs=34.0, qts=0.48, vas=0.0165, volume=0.0122)
    assert box.qtc == pytest.approx(0.736, abs=5e-4)  # No lead counts where Re is not known.
    assert (box.sensitivity, box.peak_excursion, box.excursion_chart, box.level_chart) == (None,) * 4
    assert all(row.level is None and row.limit == "not known" for row in box.max_spl)


def test_a_lead_raises_q_and_lowers_travel() -> None:
    given_values = dict(find_calculator("sealed-box").example)
    del given_values["source_resistance"]
    without, with_lead = (answer("sealed-box", source_resistance=ohm, **given_values) for ohm in (0.0, 0.1))
    assert with_lead.qes / without.qes == pytest.approx(1 + 0.1 / 3.4, rel=1e-9)
    assert with_lead.peak_excursion < without.peak_excursion


def test_qms_that_cannot_be_is_refused_at_its_field() -> None:
    for slug in ("sealed-box", "vented-box", "door-speaker"):
        asked = dict(find_calculator(slug).example) | {"qts": 0.8, "qms": 0.8}
        assert [error.field for error in run_values(find_calculator(slug), asked).errors] == ["qms"]


def test_a_port_that_cannot_be_is_told() -> None:
    asked = {"fs": 40.0, "qts": 0.4, "vas": 0.05, "volume": 0.05, "port_diameter": 0.1}
    impossible = answer("vented-box", tuning=90.0, **asked)
    assert impossible.port_length is None
    assert any("hole without a pipe" in advice.message for advice in impossible.advice)
    long = answer("vented-box", tuning=20.0, **asked)
    assert any("does not fit" in advice.message for advice in long.advice)


@pytest.mark.parametrize(
    ("slope", "corner", "allowed", "words"),
    [
        (12.0, 3000.0, False, "take 3.3 kHz at 12 dB/oct or 24 dB/oct"),
        (18.0, 3000.0, True, "2.5 × is the least at 18 dB/oct"),
        (24.0, 2200.0, True, "2 × is the least at 24 dB/oct"),
        (24.0, 2190.0, False, "take 2.2 kHz at 24 dB/oct"),
        (48.0, 2000.0, False, "take 2.2 kHz at 48 dB/oct"),
    ],
)
def test_a_tweeter_s_verdict(slope: float, corner: float, allowed: bool, words: str) -> None:
    limit = answer("tweeter-limit", resonance=1100.0, corner=corner, slope=slope)
    assert limit.allowed is allowed
    assert words in limit.verdict
    assert (limit.excursion_ratio <= 1 + 1e-9) is allowed


def test_half_a_measurement_is_told_and_left_out() -> None:
    measured = {"re": 3.4, "fs": 32.62, "z_max": 49.34, "f1": 25.17, "f2": 42.29, "sd": 0.0214}
    half = answer("driver-parameters", added_mass=0.05, **measured)
    assert half.vas is None
    assert [advice.about for advice in half.advice] == ["fs_added"]
    askew = answer("driver-parameters", **measured | {"f2": 44.0})
    assert any("within 1 %" in advice.message for advice in askew.advice)
    little = answer("driver-parameters", added_mass=0.005, fs_added=31.7, **measured)
    assert any("20 to 40 %" in advice.message for advice in little.advice)


def test_a_driver_that_does_not_fit_says_why() -> None:
    asked = {"cutout": 0.144, "opening": 0.14, "depth": 0.08, "magnet": 0.1, "glass": 0.064, "card": 0.02}
    asked["front_height"] = 0.01
    found = answer("driver-fit", **asked)
    assert not found.fits
    assert all(words in found.verdict for words in ("wider than it", "10 mm is the least"))
    assert any("pressure sensor" in advice.message for advice in found.advice)
    close = answer("driver-fit", **asked | {"opening": 0.15, "depth": 0.05})
    assert any("second person" in advice.message for advice in close.advice)


def test_a_card_is_not_judged_without_the_highest_point_in_front() -> None:
    """Left empty it counted as nothing: 8 to 12 mm of surround were given away as clearance."""
    asked = {"cutout": 0.144, "opening": 0.15, "depth": 0.05, "magnet": 0.1, "glass": 0.064}
    (error,) = run_values(find_calculator("driver-fit"), asked | {"card": 0.02}).errors
    assert error.field == "front_height"
    assert answer("driver-fit", **asked).front_clearance is None
    assert answer("driver-fit", **asked, card=0.02, front_height=0.01).front_clearance == pytest.approx(0.005)


def test_a_leak_cannot_end_a_rise_that_has_not_begun() -> None:
    outcome = run_values(find_calculator("cabin-gain"), {"longest": 6.0, "leak": 40.0})
    assert [error.field for error in outcome.errors] == ["leak"]


SUBWOOFER = {
    "fs": 30.0, "qts": 0.4, "vas": 0.03, "sd": 0.033, "xmax": 0.012, "power": 400.0, "driver_power": 400.0,
}  # fmt: skip
BOXES = {
    "sealed-box": {"volume": 0.03},
    "vented-box": {"volume": 0.05, "tuning": 32.0, "port_diameter": 0.1},
    "door-speaker": {"sensor": "acceleration"},
}


def coil_danger(slug: str, **inputs: Any) -> list[str]:
    told = answer(slug, **BOXES[slug], **inputs).advice
    return [advice.message for advice in told if advice.danger and advice.about == "driver_power"]


@pytest.mark.parametrize("slug", BOXES)
def test_a_coil_bears_its_rating_into_its_own_impedance(slug: str) -> None:
    """400 W at 4 Ω are 40 V, and 800 W into a driver of 2 Ω, whose coil bears √(400 · 2) = 28.3 V."""
    two_ohm = SUBWOOFER | {"re": 1.7, "load": 4.0}
    (said,) = coil_danger(slug, rated_impedance=2.0, **two_ohm)
    assert "gives 40.0 V" in said
    assert "bears 28.3 V" in said
    assert "20.0 V, before any music" in said
    (by_re,) = coil_danger(slug, **two_ohm)
    assert "bears 26.1 V" in by_re
    found = answer(slug, rated_impedance=2.0, **BOXES[slug], **two_ohm)
    assert "its coil" in {row.limit for row in found.max_spl}
    assert "the amplifier" not in {row.limit for row in found.max_spl}
    assert coil_danger(slug, rated_impedance=4.0, **SUBWOOFER | {"re": 3.4}) == []
    assert coil_danger(slug, rated_impedance=2.0, **SUBWOOFER)  # Without Re too.


@pytest.mark.parametrize("slug", BOXES)
def test_where_no_high_pass_is_enough_none_is_named(slug: str) -> None:
    light = {"re": 3.4, "xmax": 1e-4, "power": 3000.0}
    found = answer(slug, **BOXES[slug], **SUBWOOFER | {"fs": 100.0, "vas": 0.002, "sd": 0.005} | light)
    assert found.minimum_high_pass is None
    said = " ".join(advice.message for advice in found.advice)
    assert "No high-pass up to 2 kHz" in said
    assert "or higher at" not in said


def test_air_in_a_port_is_looked_for_below_the_curves_that_are_drawn() -> None:
    asked = {
        "fs": 15.0, "qts": 0.38, "vas": 0.3, "volume": 0.2, "tuning": 7.0, "port_diameter": 0.1,
        "re": 3.4, "sd": 0.033, "power": 300.0,
    }  # fmt: skip
    low = answer("vented-box", **asked)
    assert low.port_speed > 2 * 17
    assert any(advice.about == "port_speed" for advice in low.advice)


def test_a_cone_that_stands_still_is_answered() -> None:
    """Without losses a port holds the cone altogether, here at the end of the curves."""
    held = {"tuning": 499.99999999999983, "port_diameter": 0.00506046217, "port_count": 6.0, "ql": None}
    example = dict(find_calculator("vented-box").example)
    assert answer("vented-box", **example | held, source_resistance=7.085022503090949).level_chart


def test_all_boxes_answer_the_same_of_their_driver_behind_their_own_answers() -> None:
    shared = list(get_type_hints(DrivenBox))
    for slug, main in (("sealed-box", "qtc"), ("vented-box", "f3"), ("door-speaker", "minimum_high_pass")):
        names = [output.name for output in find_calculator(slug).outputs]
        assert names[0] == main
        assert [name for name in names if name in shared] == shared


def test_a_box_takes_the_losses_that_a_pressed_cone_finds() -> None:
    """A tight box of 5000 was refused: over 1000."""
    tight = dict(find_calculator("leak-return").example) | {"measured_time": 107.0}
    found = answer("leak-return", **tight).ql_found
    assert 1000 < found < 10_000
    run("vented-box", **dict(find_calculator("vented-box").example) | {"ql": found})
