"""Cable, fuse and speaker lead where a wrong answer burns: heat of the place, volts, amperes to break.

Figures were worked out by hand from the tables of ISO 10133 (as remembered), IEC 60228 and ISO 8820.
"""

from typing import Any

import pytest

from calculators.declaring import Outcome, run_typed, run_values
from calculators.physics import conductors
from calculators.stages import find_calculator
from tests.asking import dangers, run


def notes(outcome: Outcome) -> dict[str, str]:
    return {entry.about: entry.message for entry in outcome.advice if not entry.danger}


# Where the cable runs.


def test_where_the_cable_runs_is_the_second_question_and_not_folded() -> None:
    for slug in ("cable", "fuse"):
        entries = find_calculator(slug).inputs
        assert [entry.name for entry in entries[:4]] == ["current", "route", "ambient", "insulation"]
        assert not any(getattr(entry.kind, "seldom", False) for entry in entries[:4])
        assert not getattr(find_calculator(slug).input("body_resistance").kind, "seldom", False)


def test_the_engine_bay_is_hotter_than_the_carpet() -> None:
    # 30 A wants a fuse of 40 A: 10 mm² may carry 45.0 A under carpet, in the bay PVC has no size at all
    # and class C is at 33.7 A in 10 mm², 48.7 A in 16 mm².
    carpet = run("cable", current=30.0, length=1.0).result
    assert (carpet.air, carpet.size) == (40.0, pytest.approx(10e-6))
    bay = run("cable", current=30.0, length=1.0, route="engine-bay")
    assert bay.result.air == 85.0
    assert bay.result.size is None
    assert "another sheath" in dangers(bay)["insulation"]
    better = run("cable", current=30.0, length=1.0, route="engine-bay", insulation="vehicle-class-c").result
    assert better.size == pytest.approx(16e-6)


def test_two_sizes_below_and_one_above_stand_beside_the_one_to_fit() -> None:
    result = run("cable", current=30.0, length=1.0).result
    assert [row.name.split()[0] for row in result.sizes] == ["4", "6", "10", "16"]


def test_at_85_degrees_class_b_has_no_fuse_and_class_c_has() -> None:
    # 130 A planned; (100 - 85)/(100 - 30) and (125 - 85)/(125 - 30) under the root: 60.2 and 84.4 A.
    given = {"current": 54.0, "area": 35e-6, "route": "typed", "ambient": 85.0, "load_fraction": 0.75}
    second = run("fuse", **given, insulation="vehicle-class-b")
    assert second.result.cable_current == pytest.approx(60.2, abs=0.05)
    assert second.result.rating is None
    assert "stands more heat" in dangers(second)["rating"]
    third = run("fuse", **given, insulation="vehicle-class-c")
    assert third.result.cable_current == pytest.approx(84.4, abs=0.05)
    assert third.result.rating == 80.0
    # 85 °C is the right figure there: nobody is asked whether it is.
    assert not any(entry.about == "ambient" for entry in third.advice)


@pytest.mark.parametrize("slug", ["cable", "fuse"])
def test_place_and_air_never_contradict_each_other(slug: str) -> None:
    calculator = find_calculator(slug)
    for inputs in ({"route": "typed", "ambient": None}, {"route": "carpet", "ambient": 60.0}):
        (error,) = run_values(calculator, {**calculator.example, **inputs}).errors
        assert error.field == "ambient"
    # A form whose field of the air is empty takes the place's own.
    form = {"current": "10", "route": "engine-bay", "ambient": "", "length": "2"}
    typed = run_typed(calculator, form | ({"area": "10"} if slug == "fuse" else {}))
    assert typed.errors == ()
    assert typed.result.air == 85.0


def test_air_hotter_than_the_sheath_asks_for_another_sheath_or_route_not_for_two_feeds() -> None:
    hot = {"current": 54.0, "route": "typed", "ambient": 110.0}
    for outcome in (run("cable", **hot, length=5.8), run("fuse", **hot, area=95e-6)):
        words = dangers(outcome)
        assert "another sheath, or another route" in words["insulation"]
        assert not any("two feeds" in text or "larger cable" in text for text in words.values())
    most = run("cable", current=900.0, length=10.0, extra=0.0)
    assert "two amplifiers" in dangers(most)["size"]
    assert "never joined again on one terminal" in dangers(most)["size"]


def test_class_d_and_silicone_are_offered() -> None:
    # 130 A × √(65/120) = 95.7 A; × √(95/150) = 103.5 A.
    for sheath, ampere in (("vehicle-class-d", 95.7), ("silicone", 103.5)):
        result = run("fuse", current=10.0, area=35e-6, route="engine-bay", insulation=sheath).result
        assert result.cable_current == pytest.approx(ampere, abs=0.05)


def test_four_loaded_cables_in_one_sleeve_carry_less() -> None:
    # IEC 60364-5-52 table B.52.17 as remembered: 0.65 for four, 0.80 for two, which the plan holds already.
    def carried(together: float) -> float:
        result = run("fuse", current=10.0, area=35e-6, together=together).result
        return float(result.cable_current)

    one, two, four = (carried(count) for count in (1.0, 2.0, 4.0))
    assert two == one
    assert four == pytest.approx(one * 0.65 / 0.80)
    assert [conductors.bundle_factor(count) for count in (3, 12)] == pytest.approx([0.875, 0.5625])


def test_the_drop_is_that_of_the_loaded_conductor() -> None:
    # Each of these passed a size lower at a flat 40 °C; at the conductor's own warmth that loses too much.
    for current, length, size in ((40.0, 6.0, 35), (60.0, 4.0, 35), (80.0, 6.0, 70), (150.0, 6.0, 120)):
        chosen = run("cable", current=current, length=length, extra=0.0).result.size
        assert chosen == pytest.approx(size * 1e-6)
    # Never cooler than its air, whatever was typed.
    frozen = run("cable", current=60.0, length=4.0, temperature=-40.0, area=25e-6, extra=0.0)
    assert frozen.result.warmed == 40.0
    assert "counted at 40 °C" in notes(frozen)["drop"]
    typed = run("cable", current=60.0, length=4.0, temperature=40.0, extra=0.0).result
    assert typed.size == pytest.approx(25e-6)
    # 25 mm² of 100 A planned: 40 + 40 × 0.6² = 54.4 °C.
    looked_at = run("cable", current=60.0, length=4.0, area=25e-6, extra=0.0).result
    assert looked_at.warmed == pytest.approx(54.4)
    assert looked_at.drop == pytest.approx(60 * 8 * 0.780e-3 * (1 + 0.00393 * 34.4))


# The body and the joints.


def test_the_body_is_asked_for_and_named() -> None:
    guessed = run("cable", current=60.0, length=5.8, return_="body")
    assert guessed.result.body == "0.198 V (3.3 mΩ: the limit, not measured)"
    assert "not measured" in notes(guessed)["body_resistance"]
    measured = run("cable", current=60.0, length=5.8, return_="body", body_resistance=0.0008)
    assert measured.result.body == "0.048 V (0.8 mΩ: the figure in its field)"
    assert "body_resistance" not in notes(measured)
    assert measured.result.size < guessed.result.size
    assert run("cable", current=92.0, length=5.8).result.body == "nothing: the return is a cable"


@pytest.mark.parametrize("way", ["cable", "body"])
def test_missing_joints_are_named_whatever_the_return(way: str) -> None:
    assert "No joints" in notes(run("cable", current=92.0, length=5.8, return_=way, extra=0.0))["extra"]
    for counted in ({}, {"extra": 0.001}):
        assert "extra" not in notes(run("cable", current=50.0, length=2.0, return_=way, **counted))


# Volts.


def test_where_the_body_eats_the_drop_the_ground_is_mended_first_and_no_second_feed_is_run() -> None:
    # 54 A through 6.7 mΩ of body and 0.5 of joints lose 0.389 V of 0.405; two feeds share that body.
    eaten = run("cable", current=54.0, length=4.5, return_="body", body_resistance=0.0067)
    assert eaten.result.size is None
    assert "Joints and body alone take 0.389 V of the 0.405 V allowed: mend" in dangers(eaten)["size"]
    assert "two feeds" not in dangers(eaten)["size"]
    assert "Bring the return back by a cable" in dangers(eaten)["size"]
    heat = run("cable", current=250.0, length=3.0, return_="body", body_resistance=0.0003)
    assert "two feeds to two amplifiers" in dangers(heat)["size"]
    long = run("cable", current=150.0, length=19.0)
    assert long.result.size is None
    assert "alone take" not in dangers(long)["size"]
    assert "two feeds to two amplifiers" in dangers(long)["size"]


def test_48_volts_has_no_blade_and_24_volts_is_told_of_32() -> None:
    lorry = run("fuse", current=16.0, area=4e-6, supply=24.0)
    assert lorry.result.rating == 20.0
    assert any("blade fuses are for 32 V" in entry.message for entry in lorry.advice)
    hybrid = run("fuse", current=16.0, area=4e-6, supply=48.0)
    assert hybrid.result.rating is None
    assert hybrid.result.kind == "none"
    assert "No blade fuse above 32 V" in dangers(hybrid)["supply"]
    strip = run("fuse", current=54.0, area=35e-6, supply=48.0)
    assert "58 or 70 V" in dangers(strip)["supply"]
    assert (
        "No blade fuse above 32 V" in dangers(run("cable", current=54.0, length=5.8, supply=48.0))["supply"]
    )
    assert "supply" not in dangers(run("cable", current=54.0, length=5.8, supply=13.5))


# What a fuse must break.


def test_every_kind_of_fuse_is_held_against_the_short_circuit() -> None:
    strong = run("fuse", current=64.0, area=25e-6, battery_resistance=0.0005)
    assert strong.result.near_fault == pytest.approx(25_200)
    assert "names 25200 A or more" in notes(strong)["near_fault"]
    for kind, breaks in (("blade", 1000.0), ("small-strip", 1000.0), ("large-strip", 2000.0)):
        weak = run("fuse", current=30.0, area=16e-6, fuse_type=kind, battery_resistance=0.005)
        assert weak.result.breaks == breaks
        assert "2520 A" in notes(weak)["near_fault"]
        assert "names 2520 A or more" in notes(weak)["near_fault"]
    small = run("fuse", current=30.0, area=16e-6, battery_resistance=0.02)
    assert "enough" in notes(small)["near_fault"]


def test_the_battery_is_taken_by_its_cold_crank_rating_and_is_strong_when_unknown() -> None:
    # EN 50342-1: (12.6 - 7.5) V / 760 A is 6.71 mΩ cold, half of it warm: 12.6 V / 3.36 mΩ.
    assert run("fuse", current=54.0, area=35e-6, cold_crank=760.0).result.near_fault == pytest.approx(
        3755, abs=1
    )
    assert run("fuse", current=54.0, area=35e-6).result.near_fault == pytest.approx(4200)
    both = run_values(
        find_calculator("fuse"),
        {"current": 54.0, "area": 35e-6, "cold_crank": 760.0, "battery_resistance": 0.005},
    )
    assert [error.field for error in both.errors] == ["battery_resistance"]


def test_a_small_strip_opens_later_and_so_needs_more_cable() -> None:
    # 1.5 In against 1.45 Iz: 70 A needs 72.4 A of cable, a blade or large strip just 70 A.
    def with_type(kind: str) -> Any:
        return run("fuse", current=56.0, area=16e-6, route="typed", ambient=34.5, fuse_type=kind).result

    assert 70.0 < with_type("large-strip").cable_current < 72.4
    assert with_type("large-strip").rating == 70.0
    assert with_type("large-strip").protected
    assert with_type("large-strip").surely_opens == pytest.approx(94.5)
    assert with_type("small-strip").rating is None
    assert with_type("small-strip").most == 60.0
    assert not with_type("small-strip").protected


# Speaker leads.


def test_a_speaker_lead_is_judged_by_its_heat() -> None:
    # 2 kW into 1 Ω is 44.7 A; 2.5 mm² under carpet may carry 20 A × √0.75 = 17.3 A, 10 mm² 45.03 A.
    given = {"load": 1.0, "length": 1.2, "area": 2.5e-6}
    for inputs in ({"power": 2000.0}, {"current": 45.0}):
        hot = run("speaker-lead", **given, **inputs)
        assert hot.result.most_current == pytest.approx(45.0, abs=0.3)
        assert hot.result.continuous == pytest.approx(17.3, abs=0.05)
        assert "overheat" in dangers(hot)["area"]
        assert hot.result.size == pytest.approx(10e-6)
    assert dangers(run("speaker-lead", load=4.0, length=5.0, power=300.0)) == {}
    unknown = run("speaker-lead", **given)
    assert "Heat is not judged" in notes(unknown)["continuous"]
    both = run_values(find_calculator("speaker-lead"), {**given, "power": 100.0, "current": 5.0})
    assert [error.field for error in both.errors] == ["current"]


def test_a_battery_of_which_nothing_is_known_is_weak_at_the_far_end_and_strong_behind_the_fuse() -> None:
    """By hand: (12.6 − 7.5) ÷ 200 is 25.5 mΩ cold; 3 mΩ warm let 12.6 ÷ 0.003 A through."""
    feed: dict[str, Any] = {"current": 150.0, "area": 70e-6, "length": 12.0, "insulation": "vehicle-class-c"}
    unknown, weak, strong = (
        run("fuse", **feed, **more).result for more in ({}, {"cold_crank": 200.0}, {"cold_crank": 800.0})
    )
    assert unknown.fault_current == pytest.approx(weak.fault_current)
    assert not unknown.fault_passes
    assert strong.fault_passes
    assert unknown.near_fault == pytest.approx(4200.0)
    told, known = (
        next(advice.message for advice in found.advice if advice.about == "fault_passes")
        for found in (unknown, weak)
    )
    assert "type its cold-crank rating" in told
    assert "type its cold-crank rating" not in known
