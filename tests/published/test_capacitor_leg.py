"""What a capacitor that has failed draws through its leg, by Ohm's law worked out beside the calculator.

A blade of ISO 8820-3 opens for certain at 1.35 times its rating, and at 2 times within 5 s (remembered).
"""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import Outcome, run_values
from calculators.stages import find_calculator

BLADES = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)
PROCESSOR = {"power": 14.0, "start": 12.1, "minimum": 9.0, "duration": 1.5, "capacitance": 1.5}


def leg(**inputs: Any) -> Outcome:
    outcome = run_values(find_calculator("hold-up"), {**PROCESSOR, "isolator": 0.35, **inputs})
    assert outcome.errors == ()
    return outcome


def dangers(outcome: Outcome) -> list[str]:
    return [entry.about for entry in outcome.advice if entry.danger]


def test_the_example_by_hand() -> None:
    result = leg(charge_resistor=2.2, leg_fuse=3.0).result
    # (15.2 V - 0.35 V)/(2.2 Ω + 0.065 Ω) = 6.556 A; times itself times 2.2 Ω = 94.57 W; half is 3.28 A.
    assert result.shorted_current == pytest.approx(6.5563, abs=5e-5)
    assert result.shorted_heat == pytest.approx(94.567, abs=5e-4)
    assert result.opening_fuse == 3.0
    # 1.35 × 3 A = 4.05 A, times itself times 2.2 Ω.
    assert result.resistor_wanted == pytest.approx(36.0855)
    assert result.fuse_verdict == "carries every refill: 2.43 A at most; opens if the capacitor fails short"


@pytest.mark.parametrize(
    ("fuse", "words"), [(4.0, "may take 50 s to open"), (7.5, "may never open"), (40.0, "may never open")]
)
def test_a_fuse_that_stands_the_filling_from_empty_lets_the_resistor_burn(fuse: float, words: str) -> None:
    outcome = leg(charge_resistor=2.2, leg_fuse=fuse)
    assert dangers(outcome) == ["leg_fuse"]
    message = outcome.advice[0].message
    assert f"The fuse of {fuse:g} A {words}, and with 94.6 W in it the charge resistor burns" in message
    assert "a fuse of 3 A, which carries the refill" in message
    assert words in outcome.result.fuse_verdict


def test_a_resistor_is_made_for_what_its_fuse_lets_through_for_good() -> None:
    assert dangers(leg(charge_resistor=2.2, leg_fuse=3.0, resistor_rating=10.0)) == ["resistor_rating"]
    assert dangers(leg(charge_resistor=2.2, leg_fuse=3.0, resistor_rating=36.0)) == ["resistor_rating"]
    assert dangers(leg(charge_resistor=2.2, leg_fuse=3.0, resistor_rating=36.1)) == []
    # No fuse that opens, or none at all: all of 94.57 W.
    for fuse in ({"leg_fuse": 7.5}, {}):
        assert dangers(leg(charge_resistor=2.2, **fuse, resistor_rating=94.5)) == ["resistor_rating"]
        assert dangers(leg(charge_resistor=2.2, **fuse, resistor_rating=94.6)) == []


def test_an_isolator_at_its_limit_is_told_and_is_no_danger() -> None:
    outcome = leg(charge_limit=2.0, leg_fuse=3.0)
    assert dangers(outcome) == []
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
    assert dangers(outcome) == []
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
    lasting = ampere if ampere < 1.35 * fuse else 1.35 * fuse
    assert result.shorted_current == pytest.approx(ampere)
    assert result.shorted_heat == pytest.approx(ampere * ampere * ohm)
    assert result.resistor_wanted == pytest.approx(lasting * lasting * ohm)
    assert result.opening_fuse == max((rating for rating in BLADES if 2 * rating <= ampere), default=None)
    if made_for is None:
        assert ("leg_fuse" in dangers(outcome)) is (ampere < 2 * fuse)
    else:
        assert ("resistor_rating" in dangers(outcome)) is (made_for < lasting * lasting * ohm)
        assert "leg_fuse" not in dangers(outcome)
