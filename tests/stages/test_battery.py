"""What a battery's voltage may not hide: a charger, a shorted cell, frozen acid, days that are not there."""

import pytest

from calculators.declaring import run_values
from calculators.physics import batteries
from calculators.stages import find_calculator
from tests.asking import dangers, run


def test_a_shorted_and_frozen_battery_is_not_charged() -> None:
    outcome = run("battery-state", rest_voltage=8.5, temperature=-25.0)
    assert set(dangers(outcome)) == {"rest_voltage", "freezing_point"}
    assert outcome.advice[0].danger
    assert "do not charge" in outcome.result.verdict
    warm = run("battery-state", rest_voltage=10.4, temperature=20.0)
    assert set(dangers(warm)) == {"rest_voltage"}
    assert warm.result.verdict == "replace it: do not charge it in the vehicle"


def test_low_charge_in_the_cold_may_be_frozen_and_full_charge_is_not() -> None:
    assert "freezing_point" in dangers(run("battery-state", rest_voltage=11.9, temperature=-12.0))
    assert "freezing_point" not in dangers(run("battery-state", rest_voltage=11.9, temperature=0.0))
    assert dangers(run("battery-state", rest_voltage=12.8, temperature=-30.0)) == {}


def test_a_charging_voltage_is_refused() -> None:
    for slug, rest in (
        ("battery-state", {}),
        ("battery-drain", {"drains": [{"name": "All", "current": 0.03}]}),
    ):
        for volts in (13.3, 14.4):
            outcome = run_values(find_calculator(slug), {"rest_voltage": volts, **rest})
            assert [error.field for error in outcome.errors] == ["rest_voltage"]
        assert run_values(find_calculator(slug), {"rest_voltage": 13.2, **rest}).errors == ()


# Read in print: US Army Ordnance OD1002, °F by gravity. A second table in print (an owner's manual of
# a maker of small vehicles) says 1.265 at -75, 1.225 at -35, 1.050 at +27 °F: held within 7 K.
@pytest.mark.parametrize(
    ("gravity", "fahrenheit", "within"),
    [(1.1, 19, 0.1), (1.15, 5, 0.1), (1.2, -16, 0.1), (1.25, -62, 0.1),
     (1.265, -75, 2), (1.225, -35, 3), (1.05, 27, 1)],
)  # fmt: skip
def test_freezing_point(gravity: float, fahrenheit: float, within: float) -> None:
    # By the voltage of that gravity (Linden, Handbook of Batteries), with charge to spare.
    found = batteries.freezing_point(6 * (gravity + 0.84), 1.0)
    assert found == pytest.approx((fahrenheit - 32) / 1.8, abs=within)


def test_glass_mat_is_acted_on_at_12_6_and_flooded_at_12_4() -> None:
    charge = "charge it and test it again, before any other test"
    assert run("battery-state", rest_voltage=12.6, chemistry="absorbent-glass-mat").result.verdict == charge
    assert run("battery-state", rest_voltage=12.7, chemistry="absorbent-glass-mat").result.verdict != charge
    assert run("battery-state", rest_voltage=12.4, chemistry="flooded").result.verdict == charge
    assert run("battery-state", rest_voltage=12.5, chemistry="flooded").result.verdict != charge


@pytest.mark.parametrize(
    ("chemistry", "volts", "verdict"),
    [("flooded", 12.6, "well charged"), ("flooded", 12.5, "fair"), ("flooded", 12.4, "charge it and"),
     ("absorbent-glass-mat", 12.8, "well charged"), ("absorbent-glass-mat", 12.7, "fair"),
     ("absorbent-glass-mat", 12.6, "charge it and")],
)  # fmt: skip
def test_no_gap_between_good_and_act(chemistry: str, volts: float, verdict: str) -> None:
    # The lines of the look-up on battery voltage; 12.2 V and less is half empty for both.
    result = run("battery-state", rest_voltage=volts, chemistry=chemistry).result
    assert result.verdict.startswith(verdict)
    assert "state_of_charge" in dangers(run("battery-state", rest_voltage=12.2, chemistry=chemistry))


@pytest.mark.parametrize(
    ("chemistry", "every", "first"), [("flooded", 12.6, 12.4), ("absorbent-glass-mat", 12.8, 12.6)]
)
def test_the_lines_that_pages_print_are_those_of_the_verdict(
    chemistry: str, every: float, first: float
) -> None:
    result = run("battery-state", rest_voltage=12.5, chemistry=chemistry).result
    assert (result.tests_from, result.charge_first) == (every, first)
    for volts in (11.5, 12.0, 12.4, 12.5, 12.6, 12.7, *((12.8, 12.9) if every > 12.7 else ())):
        verdict = run("battery-state", rest_voltage=volts, chemistry=chemistry).result.verdict
        assert verdict.startswith("charge it and") == (volts <= first)
        assert verdict.startswith("well charged") == (volts >= every)


@pytest.mark.parametrize(("chemistry", "full"), [("flooded", 12.65), ("absorbent-glass-mat", 12.85)])
def test_more_than_a_full_one_rests_at_is_not_called_well_charged(chemistry: str, full: float) -> None:
    """13.1 V is a charger's tail or lithium, which rests so half empty: no load test by that."""
    drains = [{"name": "All", "current": 0.03}]
    for volts, over in ((full + 0.1, False), (full + 0.11, True), (13.2, True)):
        state = run("battery-state", rest_voltage=volts, chemistry=chemistry)
        drain = run("battery-drain", drains=drains, rest_voltage=volts, chemistry=chemistry)
        assert state.result.verdict.startswith("well charged") != over
        assert state.result.verdict.startswith("no test yet") == over
        for told in (state.advice, drain.advice):
            assert any("lithium" in each.message for each in told) == over


def test_what_is_left_is_counted_to_half() -> None:
    # 63 % of 70 Ah flooded, warm: 9.1 Ah over half, not 44 Ah.
    result = run(
        "battery-state", rest_voltage=12.35, chemistry="flooded", temperature=25.0, capacity=70.0
    ).result
    assert result.charge_left == pytest.approx(9.1, abs=0.2)


def test_days_start_from_the_charge_of_today() -> None:
    drains = {"drains": [{"name": "All", "current": 0.045}], "capacity": 70.0}
    by_volts = run("battery-drain", **drains, rest_voltage=12.35, chemistry="flooded").result
    assert by_volts.days == pytest.approx(8.4, abs=0.2)
    by_charge = run("battery-drain", **drains, state_of_charge=0.63).result
    assert by_charge.days == pytest.approx(70 * 0.13 / 0.045 / 24)
    full = run("battery-drain", **drains).result
    assert full.days == pytest.approx(70 * 0.4 / 0.045 / 24)
    flat = run("battery-drain", **drains, state_of_charge=0.45)
    assert flat.result.days == 0.0
    assert flat.advice[0].danger


def test_one_of_three_ways_to_say_the_charge() -> None:
    drains = [{"name": "All", "current": 0.045}]
    outcome = run_values(
        find_calculator("battery-drain"), {"drains": drains, "state_of_charge": 0.6, "usable": 0.4}
    )
    assert [error.field for error in outcome.errors] == ["usable"]


def test_a_fast_discharge_gets_less_and_age_takes_half() -> None:
    # By hand: 20 h (70/(53 × 20))^1.2 is 46 minutes for all of it, not the 79 of 70 Ah over 53 A.
    budget = run(
        "charging-budget", alternator=150.0, vehicle_load=35.0, system_current=18.0, capacity=70.0
    ).result
    assert budget.battery_endurance == pytest.approx(0.4 * 46 * 60, rel=0.01)
    assert budget.worn_endurance == pytest.approx(budget.battery_endurance / 2)
    assert budget.system_endurance == pytest.approx(0.4 * 72e3 * (70 / (18 * 20)) ** 1.2)
    # A slow one gets what is written on it and no more.
    assert batteries.time_to_spend(70.0, 0.4, 1.0) == pytest.approx(0.4 * 70 * 3600)


@pytest.mark.parametrize("volts", [9.0, 10.0, 10.4])
def test_nobody_is_told_to_charge_a_shorted_battery(volts: float) -> None:
    drains = [{"name": "All", "current": 0.03}]
    outcome = run("battery-drain", drains=drains, rest_voltage=volts)
    assert "Do not charge it in the vehicle: replace it" in dangers(outcome)["rest_voltage"]
    assert not any("Charge it first" in entry.message for entry in outcome.advice)
    flat = run("battery-drain", drains=drains, rest_voltage=10.6)
    assert "Charge it first" in dangers(flat)["usable_today"]


def test_more_than_half_of_a_battery_is_told() -> None:
    drains = [{"name": "All", "current": 0.03}]
    assert "less than half" in dangers(run("battery-drain", drains=drains, usable=1.0))["usable"]
    assert dangers(run("battery-drain", drains=drains, usable=0.5)) == {}
    assert dangers(run("battery-drain", drains=drains, state_of_charge=1.0)) == {}


def test_a_vehicle_that_draws_nothing_was_measured_wrongly() -> None:
    drain = find_calculator("battery-drain")
    nothing = run_values(drain, {"drains": [{"name": "Vehicle", "current": 0.0}], "capacity": 70.0})
    (error,) = nothing.errors
    assert error.field == "drains[0].current"
    assert "Measure again" in error.message
    both = [{"name": "Vehicle", "current": 0.02}, {"name": "Sound system", "current": 0.0}]
    added = run_values(drain, {"drains": both, "capacity": 70.0}).result
    assert added.days == run_values(drain, {"drains": both[:1], "capacity": 70.0}).result.days
    assert added.drains[1].days_alone is None
