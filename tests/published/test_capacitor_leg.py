"""What a capacitor that has failed draws through its leg, by Ohm's law worked out beside the calculator.

A blade of ISO 8820-3 is for 32 V. It opens for certain at 1.35 times its rating: there within 600 s, at 1.6
times within 50 s, at 2 times within 5 s (remembered).
"""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import Outcome, run_values
from calculators.stages import find_calculator
from tests.asking import dangers

BLADES = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)
PROCESSOR = {"power": 14.0, "start": 12.1, "minimum": 9.0, "duration": 1.5, "capacitance": 1.5}


def leg(**inputs: Any) -> Outcome:
    outcome = run_values(find_calculator("hold-up"), {**PROCESSOR, "isolator": 0.35, **inputs})
    assert outcome.errors == ()
    return outcome


def test_the_example_by_hand() -> None:
    result = leg(charge_resistor=2.2, leg_fuse=3.0).result
    # (15.2 V - 0.35 V)/(2.2 Ω + 0.065 Ω) = 6.556 A; times itself times 2.2 Ω = 94.57 W; half is 3.28 A.
    assert result.shorted_current == pytest.approx(6.5563, abs=5e-5)
    assert result.shorted_heat == pytest.approx(94.567, abs=5e-4)
    assert result.opening_fuse == 3.0
    # 2 × 3 A = 6 A, times itself times 2.2 Ω.
    assert result.resistor_wanted == pytest.approx(79.2)
    # On the battery alone (12.1 V - 0.35 V)/2.265 Ω = 5.19 A, 1.73 times 3 A: 50 s.
    assert result.fuse_verdict == (
        "carries every refill: 2.43 A at most; opens if the capacitor fails short; "
        "on the battery alone it may take 50 s to open"
    )


def test_a_fuse_is_judged_on_the_battery_alone_too() -> None:
    # 12.1 V: (12.1 V - 0.35 V)/(1.8 Ω + 0.065 Ω) = 6.30 A, 2.1 times 3 A; 2.7 Ω: 4.25 A, 1.42 times.
    for ohm, words in ((1.8, "fails short"), (2.2, "alone it may take 50 s to open")):
        assert leg(charge_resistor=ohm, leg_fuse=3.0).result.fuse_verdict.endswith(words)
    slow = leg(charge_resistor=2.7, leg_fuse=3.0, charging_voltage=17.5).result.fuse_verdict
    assert slow.endswith("alone it may take 600 s to open")


@pytest.mark.parametrize(
    ("ohm", "fuse", "watts"),
    # 6.556 A is 1.64 × 4 A; 14.85 V/2.065 Ω = 7.19 A is 1.44 × 5 A; 14.85 V/1.565 Ω = 9.49 A is 1.90 × 5 A.
    [(2.2, 4.0, 94.567), (2.0, 5.0, 103.43), (1.5, 5.0, 135.06)],
)
def test_behind_a_fuse_that_opens_slowly_all_of_the_heat_counts(
    ohm: float, fuse: float, watts: float
) -> None:
    result = leg(charge_resistor=ohm, leg_fuse=fuse).result
    assert result.resistor_wanted == pytest.approx(watts, rel=1e-4)
    assert list(dangers(leg(charge_resistor=ohm, leg_fuse=fuse, resistor_rating=0.98 * watts))) == [
        "resistor_rating"
    ]
    # As shown, to three figures, is enough.
    shown = float(f"{watts:.3g}")
    assert list(dangers(leg(charge_resistor=ohm, leg_fuse=fuse, resistor_rating=shown))) == []


def test_no_blade_guards_a_leg_over_32_v() -> None:
    high = {"power": 40.0, "start": 50.0, "minimum": 36.0, "capacitance": 0.5, "voltage_rating": 63.0}
    outcome = leg(**high, charging_voltage=56.0, charge_resistor=6.0, leg_fuse=4.0, resistor_rating=180.0)
    result = outcome.result
    assert result.opening_fuse is None
    assert result.fuse_verdict.endswith("not made for 56 V, and may arc on if the capacitor fails short")
    # (56 V - 0.35 V)/6.065 Ω = 9.18 A, times itself times 6 Ω.
    assert result.resistor_wanted == pytest.approx(505.15, abs=0.05)
    assert list(dangers(outcome)) == ["charging_voltage", "resistor_rating"]
    assert "No blade fuse above 32 V" in outcome.advice[0].message
    assert list(dangers(leg(charging_voltage=32.0, voltage_rating=40.0))) == []


@pytest.mark.parametrize(("fuse", "watts"), [(3.0, "79.2"), (None, "94.6")])
def test_what_the_resistor_is_made_for_is_asked_where_nobody_knows(fuse: float | None, watts: str) -> None:
    outcome = leg(charge_resistor=2.2, leg_fuse=fuse)
    assert list(dangers(outcome)) == []
    (entry,) = (entry for entry in outcome.advice if entry.about == "resistor_rating")
    assert f"{watts} W or more. Type it here" in entry.message
    assert leg(charge_resistor=2.2, leg_fuse=fuse, resistor_rating=100.0).advice == ()


@pytest.mark.parametrize(
    ("fuse", "words"), [(4.0, "may take 50 s to open"), (7.5, "may never open"), (40.0, "may never open")]
)
def test_a_fuse_that_stands_the_filling_from_empty_lets_the_resistor_burn(fuse: float, words: str) -> None:
    outcome = leg(charge_resistor=2.2, leg_fuse=fuse)
    assert list(dangers(outcome)) == ["leg_fuse"]
    message = outcome.advice[0].message
    assert f"The fuse of {fuse:g} A {words}, and with 94.6 W in it the charge resistor burns" in message
    assert "or a fuse of 3 A and a charge resistor made for 79.2 W or more" in message
    assert words in outcome.result.fuse_verdict


def test_a_resistor_is_made_for_what_its_fuse_lets_through_for_good() -> None:
    assert list(dangers(leg(charge_resistor=2.2, leg_fuse=3.0, resistor_rating=10.0))) == ["resistor_rating"]
    assert list(dangers(leg(charge_resistor=2.2, leg_fuse=3.0, resistor_rating=78.8))) == ["resistor_rating"]
    assert list(dangers(leg(charge_resistor=2.2, leg_fuse=3.0, resistor_rating=79.2))) == []
    # No fuse that opens, or none at all: all of 94.57 W.
    for fuse in ({"leg_fuse": 7.5}, {}):
        assert list(dangers(leg(charge_resistor=2.2, **fuse, resistor_rating=94.0))) == ["resistor_rating"]
        assert list(dangers(leg(charge_resistor=2.2, **fuse, resistor_rating=94.6))) == []


def test_an_isolator_at_its_limit_is_told_and_is_no_danger() -> None:
    outcome = leg(charge_limit=2.0, leg_fuse=3.0)
    assert list(dangers(outcome)) == []
    assert "may never open" in outcome.result.fuse_verdict
    (entry,) = (entry for entry in outcome.advice if entry.about == "charge_limit")
    # 2 A at 15.2 V less 0.35 V.
    assert "up to 29.7 W in it" in entry.message
    assert outcome.result.shorted_heat is None


def test_without_a_capacitor_nothing_is_said_of_its_leg() -> None:
    outcome = leg(
        minimum=6.0, profile="measured", dip=8.0, capacitance=None, charge_resistor=2.2, leg_fuse=40.0
    )
    result = outcome.result
    assert result.capacitance_looked_at == 0.0
    assert list(dangers(outcome)) == []
    assert (result.shorted_current, result.shorted_heat, result.opening_fuse, result.resistor_wanted) == (
        None,
        None,
        None,
        None,
    )


@given(
    ohm=st.floats(0.1, 100),
    fuse=st.sampled_from(BLADES),
    path=st.floats(1e-3, 2),
    volts=st.floats(12.1, 60),
    drop=st.floats(0, 1),
    limit=st.none() | st.floats(1.6, 200),
    made_for=st.none() | st.floats(0.1, 1000),
)
def test_the_resistor_burns_just_where_ohms_law_says_so(
    ohm: float,
    fuse: float,
    path: float,
    volts: float,
    drop: float,
    limit: float | None,
    made_for: float | None,
) -> None:
    outcome = leg(
        charge_resistor=ohm,
        leg_fuse=fuse,
        path_resistance=path,
        charging_voltage=volts,
        isolator=drop,
        charge_limit=limit,
        resistor_rating=made_for,
    )
    result = outcome.result
    ampere = min((volts - drop) / (ohm + path), limit or float("inf"))
    lasting = ampere if ampere < 2 * fuse or volts > 32 else 2 * fuse
    assert result.shorted_current == pytest.approx(ampere)
    assert result.shorted_heat == pytest.approx(ampere * ampere * ohm)
    assert result.resistor_wanted == pytest.approx(lasting * lasting * ohm)
    opening = [rating for rating in BLADES if 2 * rating <= ampere and volts <= 32]
    assert result.opening_fuse == max(opening, default=None)
    assert ("charging_voltage" in dangers(outcome)) is (volts > 32)
    if made_for is None:
        assert ("leg_fuse" in dangers(outcome)) is (fuse not in opening)
    else:
        assert ("resistor_rating" in dangers(outcome)) is (made_for < 0.995 * lasting * lasting * ohm)
        assert "leg_fuse" not in dangers(outcome)
