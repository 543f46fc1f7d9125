"""Fixing, load floor and mass: what is forbidden, what is never called shown, and what must hold."""

import json
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given

from calculators.declaring import Outcome, run_values
from calculators.presenting import plain_text
from calculators.stages import find_calculator
from calculators.vocabulary.fixing import FACES
from tests.asking import dangers_said
from tests.strategies import inputs_of

BOX = {
    "mass": 13.0,
    "centre_height": 0.061,
    "row_spacing": 0.3,
    "face": "floor",
    "holes": "maker",
    "drive": "fuel",
    "anchors": "clear",
    "sheet": 0.0015,
    "washer": 0.017,
}


def fixing(**inputs: Any) -> Outcome:
    outcome = run_values(find_calculator("fixing-load"), {**BOX, **inputs})
    assert outcome.errors == ()
    return outcome


def test_a_sound_joint_is_shown_and_is_no_certificate() -> None:
    outcome = fixing()
    result: Any = outcome.result
    assert dangers_said(outcome) == []
    assert result.verdict.startswith("shown: 2 times")
    assert "no certificate" in result.standing
    assert "certificate" not in result.verdict


@pytest.mark.parametrize(("face", "drive"), [*product(FACES, ("electric", "unknown", "fuel"))])
def test_no_new_hole_in_the_floor_of_an_electric_vehicle(face: str, drive: str) -> None:
    """Not known counts as electric; the spare-wheel well is forbidden to anybody."""
    outcome = fixing(face=face, drive=drive, holes="new")
    said = " ".join(dangers_said(outcome))
    assert ("no hole, rivet or self-tapping screw" in said) == (FACES[face].is_floor and drive != "fuel")
    assert ("rear crush zone" in said) == (face == "well")
    assert ("no new hole here either" in said) == (not FACES[face].is_floor and drive != "fuel")
    assert any("borescope" in advice.message for advice in outcome.advice)
    if said:
        assert outcome.result.verdict.startswith("not like this")  # type: ignore[union-attr]
        text = plain_text.result_text(outcome)
        assert text.index("Danger") < text.index("Weakest part holds")


def test_the_maker_s_threads_are_allowed_in_any_vehicle() -> None:
    for drive in ("electric", "unknown", "fuel"):
        assert dangers_said(fixing(face="well", drive=drive, spare_mass=14.0)) == []


def test_a_box_heavier_than_the_wheel_is_a_danger() -> None:
    (message,) = dangers_said(fixing(face="well", spare_mass=12.0))
    assert "Heavier than the wheel it replaces" in message


@pytest.mark.parametrize("anchors", ["unknown", "shared"])
def test_the_child_seat_s_tether_comes_first(anchors: str) -> None:
    outcome = fixing(anchors=anchors)
    (message,) = dangers_said(outcome)
    assert "tether" in message
    assert outcome.result.verdict.startswith("not like this")  # type: ignore[union-attr]


def test_screws_into_board_hold_nothing_over_a_kilogram() -> None:
    heavy, light = fixing(holder="board", mass=1.5), fixing(holder="board", mass=0.8)
    assert any("Over 1 kg" in message for message in dangers_said(heavy))
    for outcome in (heavy, light):
        assert outcome.result.margin is None  # type: ignore[union-attr]


def test_an_insert_without_its_data_sheet_is_not_shown() -> None:
    bare = fixing(holder="insert")
    assert bare.result.margin is None  # type: ignore[union-attr]
    assert bare.result.verdict.startswith("not shown")  # type: ignore[union-attr]
    assert any("data sheet" in message for message in dangers_said(bare))
    half: Any = fixing(holder="insert", insert_pull=6e3).result
    assert half.margin is None
    full: Any = fixing(holder="insert", insert_pull=6e3, insert_shear=8e3).result
    assert full.verdict.startswith("shown")


def test_plain_washers_in_body_sheet_fail_and_the_bolt_is_not_the_reason() -> None:
    result: Any = fixing(sheet=0.0007, washer=0.016).result
    assert result.weakest == "sheet, thrown forward"
    assert result.margin == pytest.approx(1 / (1274.9 / 2492.2 + 518.4 / 2419.2), rel=1e-3)
    assert result.verdict.startswith("not shown")
    # A plate of 40 mm does not save it: the hole tears sideways.
    assert fixing(sheet=0.0007, washer=0.040).result.margin < 2  # type: ignore[union-attr]


def test_a_tall_box_pulls_half_of_its_rear_row_out() -> None:
    """13 kg, 30 cm up, rows 30 cm apart: all of 2550 N on one of the two behind; EN 1993-1-3, by hand."""
    result: Any = fixing(centre_height=0.30).result
    assert result.pull_each == pytest.approx(2549.7, abs=0.05)
    assert result.margin == pytest.approx(1 / (1274.9 / 6480 + 2549.7 / 5508), rel=1e-3)
    assert result.verdict.startswith("not shown")


@pytest.mark.parametrize(
    ("bolt_class", "mass", "margin"), [("4.8", 7.0, 1.8), ("5.8", 9.0, 1.75), ("10.9", 18.0, 1.75)]
)
def test_thin_bolts_of_classes_that_shear_early_are_not_shown(
    bolt_class: str, mass: float, margin: float
) -> None:
    """Four M4 in thick plate: EN 1993-1-8, table 3.4, 0.5 of the strength across the thread, by hand."""
    result: Any = fixing(
        bolt=0.004, bolt_class=bolt_class, mass=mass, centre_height=0.1, sheet=0.01, washer=0.009
    ).result
    assert result.weakest == "bolt, thrown forward"
    assert result.margin < margin
    assert result.verdict.startswith("not shown")


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("forward", 195.0),
        ("rearward", 9.80665),
        ("sideways", 50.0),
        ("upward", 50.0),
        ("factor", 1.2),
    ],
)
def test_nothing_under_the_floor_of_experience_is_called_shown(field: str, value: float) -> None:
    outcome = fixing(**{field: value})
    result: Any = outcome.result
    assert result.margin > 2
    assert result.verdict.startswith("not shown: under the floor")
    (message,) = dangers_said(outcome)
    assert "Who allows less signs for it" in message


@pytest.mark.parametrize(
    ("inputs", "field"),
    [({"bolt": 0.012, "edge": 0.003, "washer": 0.024}, "edge"), ({"bolt": 0.012, "washer": 0.005}, "washer"),
     ({"fixings_used": 2}, "fixings_used")],
)  # fmt: skip
def test_a_joint_without_metal_or_in_one_line_is_refused(inputs: dict[str, Any], field: str) -> None:
    (error,) = run_values(find_calculator("fixing-load"), {**BOX, **inputs}).errors
    assert error.field == field


def test_outside_its_range_the_form_for_bearing_says_so() -> None:
    outside: tuple[dict[str, Any], ...] = ({"sheet": 0.0007}, {"sheet": 0.004}, {"bolt": 0.005})
    for inputs in ({}, *outside):
        told = any("bearing" in advice.message for advice in fixing(**inputs).advice)
        assert told == (inputs in outside)


def test_what_pulls_off_its_wall() -> None:
    """A load along the bolts is pull alone; one across them is side load, and lifts a row."""
    for face, entry in FACES.items():
        result: Any = fixing(face=face).result
        for row in result.directions:
            assert (row.shear_each == 0) == (row.name in entry.pulls)
            assert row.pull_each > 0


@given(inputs_of(find_calculator("fixing-load")))
def test_every_answer_counts_half_and_names_the_weakest(inputs: dict[str, Any]) -> None:
    outcome = run_values(find_calculator("fixing-load"), inputs)
    if outcome.errors:
        return
    result: Any = outcome.result
    assert result.fixings_counted == int(outcome.arguments["fixings_used"]) // 2
    assert result.weakest
    assert "no certificate" in result.standing
    assert [row.name for row in result.directions] == ["forward", "rearward", "left", "right", "up"]
    # Together the counted fixings carry the whole load.
    for row in result.directions:
        across = max(row.shear_each, row.pull_each if row.shear_each == 0 else 0)
        assert across * result.fixings_counted == pytest.approx(row.force)
    if result.verdict.startswith("shown"):
        assert result.margin >= 2 - 1e-9
        assert dangers_said(outcome) == []
        assert all(row.margin >= result.margin - 1e-12 for row in result.directions)
    else:
        assert dangers_said(outcome)


@given(inputs_of(find_calculator("fixing-load")))
def test_more_mass_never_holds_better(inputs: dict[str, Any]) -> None:
    lighter = {**inputs, "mass": max(0.1, inputs["mass"] / 2)}
    heavy, light = (run_values(find_calculator("fixing-load"), one).result for one in (inputs, lighter))
    if heavy is not None and light is not None and heavy.margin is not None:  # type: ignore[attr-defined]
        assert light.margin >= heavy.margin - 1e-12  # type: ignore[attr-defined]


def floor(**inputs: Any) -> Outcome:
    return run_values(find_calculator("load-floor"), {"span": 0.59, "thickness": 0.015, **inputs})


def test_a_lid_carried_all_round_and_at_two_sides() -> None:
    """Birch: all round 12 mm bend too far, 15 mm do not; at two sides 15 mm do if the grain runs wrong."""
    for thickness, carried, grain, verdict in (
        (0.012, "round", "unknown", "bends too far"),
        (0.015, "round", "unknown", "passes"),
        (0.015, "strip", "unknown", "bends too far"),
        (0.015, "strip", "width", "bends too far"),
        (0.015, "strip", "span", "passes in the middle"),
    ):
        result: Any = floor(thickness=thickness, carried=carried, width=0.59, grain=grain).result
        assert result.verdict == verdict
    assert floor(thickness=0.009).result.board == 0.015  # type: ignore[union-attr]
    assert "a foot in the middle" in floor(thickness=0.009).advice[0].message


@pytest.mark.parametrize(
    ("inputs", "bends"),
    [
        ({"span": 0.59, "thickness": 0.0118}, 3.28),
        ({"span": 0.6, "width": 0.6, "thickness": 0.012, "carried": "rectangle"}, 4.0),
        ({"span": 0.6, "width": 0.6, "thickness": 0.015, "carried": "strip", "grain": "width"}, 3.54),
        ({"span": 0.5, "width": 0.9, "thickness": 0.015, "carried": "strip", "grain": "width"}, 1.91),
    ],
)
def test_plywood_bends_as_a_second_reckoning_says(inputs: dict[str, Any], bends: float) -> None:
    """A structures engineer's own reckoning with a shear modulus of 0.62 to 0.75 GPa."""
    assert floor(**inputs).result.deflection == pytest.approx(bends / 1e3, rel=0.015)  # type: ignore[union-attr]


def test_a_birch_board_of_the_shop_is_judged_at_its_thinnest() -> None:
    """14.6 mm are needed: what is sold as 15 may be 14.15 (EN 315). Other boards are as thick as they say."""
    sides = {"carried": "rectangle", "span": 0.8, "width": 0.6, "grain": "span"}
    asked: Any = floor(**sides).result
    assert asked.thickness_needed == pytest.approx(0.0146, abs=5e-5)
    assert asked.board == 0.018
    thinnest: Any = floor(**sides, thickness=0.01415).result
    assert asked.boards[2].deflection == thinnest.deflection
    other: Any = floor(**sides, material="other", thickness=0.018).result
    assert other.boards[3].deflection == other.deflection


def test_a_free_edge_is_told_beside_the_middle_that_passes() -> None:
    outcome = floor(carried="strip", width=0.59, grain="span")
    assert [advice.message for advice in outcome.advice] == [
        "That is its middle. The same load against a free edge bends it 4.6 mm: a batten under each free "
        "edge."
    ]


@pytest.mark.parametrize(
    ("inputs", "field", "words"),
    [
        ({"carried": "strip"}, "width", "other side"),
        ({"carried": "rectangle"}, "width", "other side"),
        ({"carried": "rectangle", "width": 0.2}, "patch", "on the board"),
        ({"span": 0.3}, "patch", "on the lid"),
    ],
)
def test_a_board_that_cannot_be_is_refused(inputs: dict[str, Any], field: str, words: str) -> None:
    (error,) = floor(**inputs).errors
    assert error.field == field
    assert words in error.message


@given(inputs_of(find_calculator("load-floor")))
def test_the_thickness_that_just_does_just_does(inputs: dict[str, Any]) -> None:
    outcome = run_values(find_calculator("load-floor"), inputs)
    if outcome.errors or not 0.002 < outcome.result.thickness_needed < 0.08:  # type: ignore[union-attr]
        return
    result: Any = outcome.result
    again: Any = run_values(
        find_calculator("load-floor"), {**inputs, "thickness": result.thickness_needed}
    ).result
    assert again.deflection == pytest.approx(outcome.arguments["most_deflection"])
    assert (result.deflection <= outcome.arguments["most_deflection"]) == result.verdict.startswith("passes")


SATURDAY = {
    "job": [{"name": "Box", "place": "load-bay", "mass": 13.0, "station": 3.1}],
    "payload": 520.0,
    "wheelbase": 2.7,
}


def mass(**inputs: Any) -> Outcome:
    outcome = run_values(find_calculator("added-mass"), {**SATURDAY, **inputs})
    assert outcome.errors == ()
    return outcome


def test_over_the_payload_or_an_axle_is_a_danger() -> None:
    (message,) = dangers_said(mass(payload=10.0))
    assert "payload" in message
    plates = {"front_axle": 800.0, "front_plate": 900.0, "rear_axle": 700.0}
    (message,) = dangers_said(mass(**plates, rear_plate=710.0))
    assert "rear axle would be 5 kg over" in message
    kept = mass(**plates, rear_plate=900.0)
    assert dangers_said(kept) == []
    assert kept.result.verdict == "payload and axles kept"  # type: ignore[union-attr]


def test_a_load_bay_in_front_of_the_middle_is_not_believed() -> None:
    """A box typed without its place would sit on the front axle, and spare the rear one."""
    outcome = mass(job=[{"name": "Box", "mass": 40.0}])
    assert "measure how far behind the front axle" in dangers_said(outcome)[0]
    assert outcome.result.verdict.startswith("not shown")  # type: ignore[union-attr]
    assert dangers_said(mass(job=[{"name": "Box", "mass": 40.0, "station": 3.4}])) == []


@pytest.mark.parametrize(("front", "words"), [(300.0, "leave the road"), (400.0, "under a quarter")])
def test_a_front_axle_too_light_to_steer_is_a_danger(front: float, words: str) -> None:
    """400 kg at 4.5 m behind the front axle, wheelbase 2.4 m: 350 kg off the front axle."""
    heavy = [{"name": "Load", "mass": 400.0, "station": 4.5}]
    outcome = mass(job=heavy, wheelbase=2.4, front_axle=front, rear_axle=500.0)
    assert words in dangers_said(outcome)[0]
    assert outcome.result.verdict == "front axle too light: not driven like this"  # type: ignore[union-attr]
    assert dangers_said(mass(job=heavy, wheelbase=2.4, front_axle=900.0, rear_axle=500.0)) == []


def test_doors_and_tailgate_have_limits_of_their_own() -> None:
    parts = [
        {"place": "left-front-door", "mass": 3.0},
        {"place": "left-front-door", "mass": 2.5},
        {"place": "right-front-door", "mass": 4.0},
        {"place": "tailgate", "mass": 1.2},
    ]
    rows: Any = mass(job=parts).result.doors  # type: ignore[union-attr]
    assert [row.verdict == "within its limit" for row in rows] == [False, True, False]


def test_over_a_kilogram_asks_for_a_load_path() -> None:
    parts = [{"name": "A", "mass": 1.0}, {"name": "B", "mass": 1.01}, {"name": "C", "mass": -14.0}]
    assert mass(job=parts).result.to_hold == "B"  # type: ignore[union-attr]
    assert mass(job=parts[:1]).result.to_hold == "none"  # type: ignore[union-attr]


@given(inputs_of(find_calculator("added-mass")))
def test_nothing_is_lost_on_the_way_to_the_axles(inputs: dict[str, Any]) -> None:
    result: Any = run_values(find_calculator("added-mass"), inputs).result
    assert result.front_change + result.rear_change == pytest.approx(result.added, abs=1e-6)
    spent = result.added + result.carried_mass + result.driver_counted
    assert result.payload_left + spent == pytest.approx(inputs["payload"], abs=1e-6)
    over = result.payload_left < 0 or any(
        left is not None and left < 0 for left in (result.front_left, result.rear_left)
    )
    assert over == result.verdict.startswith("over")


def test_the_running_job_s_mass_is_that_of_its_parts() -> None:
    """What stands in the list of parts is what plan and box weigh."""
    job = json.loads(Path("docs/job.json").read_text("utf-8"))
    treatment = {name: job["treatment"][name] for name in ("doors", "panels", "materials")}
    plan: Any = run_values(find_calculator("treatment-plan"), treatment).result
    parts = {part["name"]: part["mass"] for part in job["mass"]["job"]}
    doors = parts["Left door"] + parts["Right door"]
    assert parts["Left door"] == pytest.approx(plan.doors[0].mass, abs=0.05)
    assert doors + parts["Load floor, treatment"] == pytest.approx(plan.total_mass, abs=0.1)
    assert parts["Box with driver"] == job["fixing"]["mass"] <= job["fixing"]["spare_mass"]
    assert parts["Spare wheel, taken out"] == -job["fixing"]["spare_mass"]


def test_the_running_job_s_fixings_and_floor_fail_first_and_then_hold() -> None:
    """The moments that teach: plain washers in body sheet, 12 mm birch, a lid on two battens."""
    job = json.loads(Path("docs/job.json").read_text("utf-8"))
    held = {name: job["fixing"][name] for name in ("mass", "centre_height", "row_spacing", "spare_mass")}
    thin = {"sheet": job["fixing"]["sheet_that_fails"], "washer": job["fixing"]["washer_that_fails"]}
    first = fixing(**held, **thin, face="well", holes="new", fixings_used=job["fixing"]["fixings"])
    assert 1 < first.result.margin < 2  # type: ignore[union-attr]
    assert len(dangers_said(first)) == 2
    built = {"sheet": job["fixing"]["sheet"], "washer": job["fixing"]["nut"]}
    second = fixing(**held, **built, face="well", fixings_used=job["fixing"]["fixings"])
    assert second.result.verdict.startswith("shown")  # type: ignore[union-attr]
    span = job["floor"]["span"]
    for thickness, carried, verdict in (
        (job["floor"]["board_that_fails"], "round", "bends too far"),
        (job["floor"]["thickness"], "round", "passes"),
        (job["floor"]["thickness"], "strip", "bends too far"),
    ):
        lid: Any = floor(span=span, width=span, thickness=thickness, carried=carried).result
        assert lid.verdict == verdict
