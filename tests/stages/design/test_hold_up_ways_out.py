"""Whoever fits what a hold-up's leg is told to, by the figures told, comes to a leg that is right."""

import re
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from calculators.declaring import Advice, Outcome, run_values
from calculators.physics import fuses
from calculators.stages import find_calculator
from tests.conftest import SOAK

BRIDGED = {"start": 12.1, "isolator": 0.35, "duration": 0.2, "charging_voltage": 15.2}
LEG = ("resistor_rating", "leg_fuse", "fuse_verdict", "refill_current", "refill_time")
NO_LEG = "a boost regulator"
FITS = (
    (r"a fuse of ([\d.]+) A", "leg_fuse"),
    (r"made for ([\d.]+) W or more", "resistor_rating"),
    (r"([\d.]+) W or more\. Type it here", "resistor_rating"),
)


def run(**inputs: Any) -> Outcome:
    outcome = run_values(find_calculator("hold-up"), inputs)
    assert outcome.errors == (), outcome.errors
    return outcome


def fitted(leg: dict[str, Any], sentence: str, part: float) -> dict[str, Any]:
    """The leg with what a sentence asks for; of a span, so far from its least to its most."""
    leg = dict(leg)
    for pattern, name in FITS:
        if found := re.search(pattern, sentence):
            leg[name] = max(float(found[1]), 0.1)
    for pattern, name in (
        (r"resistor of ([\d. to]+) Ω", "charge_resistor"),
        (r"limits the current at ([\d. to]+) A", "charge_limit"),
    ):
        if found := re.search(pattern, sentence):
            ends = [float(end) for end in found[1].split(" to ")]
            leg[name] = ends[0] + part * (ends[-1] - ends[0])
    if "limits the current" in sentence:
        leg |= {"charge_resistor": None, "resistor_rating": None}
    return leg


def told(outcome: Outcome) -> list[Advice]:
    """What is told of the leg."""
    return [
        entry for entry in outcome.advice if entry.about in LEG and "usually between" not in entry.message
    ]


def ways_out(message: str) -> list[str]:
    """Each of the ways out that a message offers."""
    return re.split(r"; or |(?<=sits), or ", re.split(r"(?:It takes|Fit|sheet,) ", message)[-1])


def right(leg: dict[str, Any], outcome: Outcome) -> bool:
    """Whether the leg bears its refills and nothing burns, judged anew from its figures."""
    result = outcome.result
    fuse, resistor = leg["leg_fuse"], leg["charge_resistor"]
    spared = result.refill_integral <= fuses.pulse_withstand(fuse)
    bears = result.refill_current <= fuse * (1 + 1e-9) or spared
    flows = min(result.shorted_current, 2 * fuse) if leg["charging_voltage"] <= 32 else result.shorted_current
    cool = resistor is None or leg["resistor_rating"] >= 0.99 * flows**2 * resistor
    gives = (leg["power"] / leg["minimum"]) <= fuse
    return bool(bears and cool and gives and result.refill_time <= 20)


legs = st.fixed_dictionaries(
    {
        "power": st.floats(1, 450),
        "minimum": st.floats(5, 11),
        "isolator": st.sampled_from([0.05, 0.35]),
        "capacitance": st.none() | st.floats(0.05, 30),
        "charge_resistor": st.none() | st.floats(0.1, 30),
        "resistor_rating": st.none() | st.floats(5, 200),
        "charge_limit": st.none() | st.floats(0.5, 60),
        "leg_fuse": st.sampled_from(fuses.BLADE_RATINGS),
        "path_resistance": st.floats(0.01, 0.3),
    }
)


def circle(**leg: Any) -> dict[str, Any]:
    """A leg in which the advice once went round."""
    plain = {"charge_resistor": 2.2, "resistor_rating": None, "charge_limit": None, "path_resistance": 0.065}
    return {**plain, **leg}


@settings(max_examples=3000 if SOAK else 150, deadline=None)
@given(leg=legs, part=st.floats(0, 1), bus=st.booleans())
@example(
    leg=circle(power=36.0, minimum=9.0, capacitance=5.0, leg_fuse=3.0, resistor_rating=50.0),
    part=0.0,
    bus=False,
)
@example(
    leg=circle(power=36.0, minimum=9.0, capacitance=5.0, leg_fuse=5.0, resistor_rating=50.0),
    part=1.0,
    bus=False,
)
@example(leg=circle(power=14.0, minimum=6.0, capacitance=1.0, leg_fuse=3.0), part=0.5, bus=False)
@example(
    leg=circle(power=14.0, minimum=9.0, capacitance=1.0, leg_fuse=3.0, charge_resistor=None)
    | {"charge_limit": 7.0},
    part=0.5, bus=False,
)  # fmt: skip
@example(
    leg=circle(power=2.06, minimum=5.54, capacitance=4.79, leg_fuse=15.0, charge_resistor=None)
    | {"start": 12.3, "isolator": 0.05},
    part=0.0, bus=False,
)  # fmt: skip
@example(
    leg=circle(power=78.9, minimum=9.0, capacitance=2.16, leg_fuse=3.0, charge_resistor=10.0),
    part=0.0,
    bus=False,
)
def test_who_fits_what_the_leg_is_told_meets_no_second_complaint(
    leg: dict[str, Any], part: float, bus: bool
) -> None:
    leg = {**BRIDGED, **leg}
    if bus:
        leg |= {"start": 24.4, "charging_voltage": 28.8, "minimum": 2 * leg["minimum"]}
    if leg["charge_limit"] is not None and leg["charge_limit"] <= leg["power"] / leg["minimum"]:
        leg["charge_limit"] = None
    outcome = run(**leg)
    complaints = told(outcome)
    if not complaints:
        assert right(leg, outcome), leg
        assert outcome.result.fuse_verdict.startswith("carries every refill")
    for entry in complaints:
        if NO_LEG in entry.message:
            continue
        for way in ways_out(entry.message):
            after = fitted(leg, way, part)
            assert after != leg, entry.message
            later = run(**after)
            assert [again.message for again in told(later)] == [], (entry.message, after)
            assert right(after, later), (entry.message, after)


def messages(outcome: Outcome) -> dict[str, str]:
    return {entry.about: entry.message for entry in outcome.advice}


def test_a_leg_with_too_many_ohm_is_told_the_ohm_the_fuse_and_the_watts() -> None:
    leg = {**BRIDGED, **circle(power=36.0, minimum=9.0, capacitance=5.0, leg_fuse=3.0, resistor_rating=50.0)}
    # By hand: full again in 20 s takes 20/(5 ln 55) = 0.998 Ω in all; 7.5 A carry 5.5 V over 0.733 Ω, and
    # 15 A flow into a short from 14.85 V over 0.99 Ω.
    assert (
        "a fuse of 7.5 A on a cable that carries it and a charge resistor of 0.67 to 0.88 Ω, made for 198 W"
        in (messages(run(**leg))["fuse_verdict"])
    )
    burns = messages(run(**{**leg, "leg_fuse": 5.0}))["resistor_rating"]
    assert "94.6 W" in burns
    assert "a fuse of 7.5 A on a cable that carries it and a charge resistor of 0.67 to 0.88 Ω" in burns


def test_a_device_that_runs_below_7_volts_is_told_that_no_fuse_does_both() -> None:
    leg = {**BRIDGED, **circle(power=14.0, minimum=6.0, capacitance=1.0, leg_fuse=3.0)}
    told_so = messages(run(**leg))["fuse_verdict"]
    assert "No blade fuse carries a refill within 20 s and opens if the capacitor fails short" in told_so
    # 14.85 V over 2.265 Ω are 6.56 A: 94.6 W.
    assert "a fuse of 4 A on a cable that carries it and a charge resistor made for 94.6 W" in told_so
    assert (
        "an isolator that limits the current at 2.8 to 3 A, with a fuse of 3 A and no charge resistor"
        in told_so
    )
    # Two diodes take 0.7 V, and half of 14.85 V is 7.425 V: a fuse does both from 7.075 V up.
    for minimum, both in ((7.0, False), (7.4, True)):
        words = messages(run(**{**leg, "minimum": minimum, "leg_fuse": 2.0}))["fuse_verdict"]
        assert ("No blade fuse" in words) is not both


def test_a_limiter_alone_is_told_a_fuse_and_no_resistor() -> None:
    leg = {**BRIDGED, "power": 14.0, "minimum": 9.0, "capacitance": 1.0, "charge_limit": 7.0}
    told_so = messages(run(**leg, leg_fuse=3.0))["fuse_verdict"]
    assert "charge resistor" not in told_so
    assert "It takes a fuse of 7.5 A on a cable that carries it." in told_so
    assert "stands a short circuit for good" in messages(run(**leg, leg_fuse=7.5))["charge_limit"]


def test_what_no_blade_carries_is_told() -> None:
    leg = {**BRIDGED, "power": 400.0, "minimum": 9.0, "capacitance": 1.0, "leg_fuse": 40.0}
    # It gives 44 A: fewer farad help nothing there.
    assert messages(run(**leg))["fuse_verdict"].endswith("blade fuse does this: take a boost regulator.")


def test_an_empty_capacitor_draws_what_a_short_one_does() -> None:
    # The by-pass diode blocks that way: 14.85 V over 2.265 Ω.
    result = run(**BRIDGED, power=14.0, capacitance=1.5, charge_resistor=2.2).result
    assert result.empty_current == pytest.approx(14.85 / 2.265)
    assert result.empty_current == pytest.approx(result.shorted_current)


def test_a_rating_too_low_is_told_ratings_that_do() -> None:
    for charging, sold in ((15.2, "20 V or 25 V"), (28.8, "35 V or 50 V"), (56.0, "63 V or 80 V")):
        outcome = run(**{**BRIDGED, "charging_voltage": charging}, power=14.0, voltage_rating=16.0)
        assert f"so {sold}, or a set" in messages(outcome)["voltage_rating"]


@settings(max_examples=1000 if SOAK else 100, deadline=None)
@given(
    capacitance=st.floats(0.1, 800),
    ohm=st.floats(0.5, 5000),
    watts=st.floats(1, 50),
    supply=st.sampled_from([12.6, 25.2, 50.4]),
)
@example(capacitance=100.0, ohm=10.0, watts=5.0, supply=12.6)
def test_a_resistor_told_for_filling_or_emptying_does(
    capacitance: float, ohm: float, watts: float, supply: float
) -> None:
    inputs = {
        "capacitance": capacitance, "resistance": ohm, "bleed_resistance": ohm, "resistor_rating": watts,
        "supply": supply, "charging_voltage": supply * 1.2,
    }  # fmt: skip
    names = {"resistance": "resistance", "bleed_resistance": "bleed_resistance"}
    names |= {"charge_time": "resistance", "bleed_time": "bleed_resistance"}
    for _ in range(4):
        outcome = run_values(find_calculator("pre-charge"), inputs)
        assert outcome.errors == ()
        ways = [entry for entry in outcome.advice if entry.about in names and "made for" in entry.message]
        for entry in ways:
            if found := re.search(r"resistor of ([\d.]+) Ω", entry.message):
                inputs[names[entry.about]] = float(found[1])
            if found := re.search(r"made for ([\d.]+) W or more", entry.message):
                inputs["resistor_rating"] = max(inputs["resistor_rating"], 1.005 * float(found[1]))
        if not ways:
            assert outcome.result.bleed_power <= inputs["resistor_rating"]
            return
    pytest.fail(f"still told: {ways}")


def test_no_lamp_of_12_volts_is_told_for_more() -> None:
    for supply, lamps in ((12.6, True), (25.2, False)):
        outcome = run_values(
            find_calculator("pre-charge"),
            {"capacitance": 100.0, "supply": supply, "charging_voltage": 1.1 * supply},
        )
        assert ("12 V 21 W lamps" in messages(outcome)["charge_time"]) is lamps
