"""Treatment: what the gate lets through, and what must hold over the whole range."""

import math
from itertools import pairwise, product
from typing import Any

import pytest
from hypothesis import given

from calculators.declaring import Outcome, run_values
from calculators.presenting import plain_text
from calculators.stages import find_calculator
from calculators.vocabulary.treatment import DOORS, LAYERS, SENSORS
from tests.asking import dangers_said
from tests.strategies import inputs_of

BUTYL = {"goods": "butyl", "sheet_width": 0.5, "sheet_height": 0.8, "surface_mass": 3.4}
THIN_BEAD = {"kind": "moisture", "data_depth": 0.003, "depth": 0.001}
EVERY_SHEET = [
    {**BUTYL, "goods": goods, "fire": "shown"}
    for goods in ("butyl", "bitumen", "plate", "absorber", "foam", "barrier", "fleece")
]


def treatment(**inputs: Any) -> Outcome:
    outcome = run_values(find_calculator("treatment-plan"), {"materials": EVERY_SHEET, **inputs})
    assert outcome.errors == ()
    return outcome


def layer(kind: str, place: str = "left-front-door", **rest: Any) -> dict[str, Any]:
    return {"place": place, "layer": kind, "area": 0.5, **rest}


SEALED_OR_OPENED = [key for key, entry in LAYERS.items() if entry.inside]


@pytest.mark.parametrize(("sensor", "kind"), [*product(SENSORS, SEALED_OR_OPENED)])
def test_the_gate(sensor: str, kind: str) -> None:
    """Unknown or pressure: nothing inside the door, no sheet ordered, and a danger before any number."""
    door = {"place": "left-front-door", "sensor": sensor}
    outcome = treatment(doors=[door], panels=[layer(kind)])
    plan: Any = outcome.result
    if sensor in ("unknown", "pressure"):
        assert outcome.advice[0].danger
        assert "No plates, no sealing" in outcome.advice[0].message
        assert plan.total_mass == 0
        assert all(order.sheets == 0 for order in plan.orders)
        assert plan.hours == 0
        assert plan.cuts == ()
        assert plan.layers[0].verdict.startswith("left out")
        assert "neither sealed nor opened" in plan.doors[0].verdict
        text = plain_text.result_text(outcome)
        assert text.index("Danger") < text.index("Goes into the vehicle")
    elif kind != "bitumen":
        assert not dangers_said(outcome)
        assert plan.total_mass == pytest.approx(0.5 * 3.4)
        assert plan.doors[0].verdict == "may be treated"


@pytest.mark.parametrize("place", DOORS)
def test_a_door_that_nobody_listed_is_not_known(place: str) -> None:
    outcome = treatment(panels=[layer("sealing", place)])
    (message,) = dangers_said(outcome)
    assert message.startswith(DOORS[place].capitalize())
    assert "not known" in message
    assert "before its membrane is touched" in message


def test_one_door_closed_and_the_other_treated() -> None:
    doors = [{"place": "left-front-door", "sensor": "acceleration"}, {"place": "left-rear-door"}]
    outcome = treatment(doors=doors, panels=[layer("damping"), layer("damping", "left-rear-door")])
    plan: Any = outcome.result
    assert [row.mass for row in plan.layers] == [pytest.approx(1.7), 0.0]
    assert len(dangers_said(outcome)) == 1


@pytest.mark.parametrize("sensor", SENSORS)
def test_fleece_on_the_card_may_stay_on_a_closed_door(sensor: str) -> None:
    door = {"place": "left-front-door", "sensor": sensor}
    outcome = treatment(doors=[door], panels=[layer("card"), layer("card", "roof")])
    plan: Any = outcome.result
    assert not dangers_said(outcome)
    assert plan.total_mass > 0
    told = [advice.message for advice in outcome.advice if "no foam" in advice.message]
    closed = sensor in ("unknown", "pressure")
    verdicts = [row.verdict for row in plan.layers]
    assert verdicts == ["fleece, no foam" if closed else "as planned", "as planned"]
    assert len(told) == closed


@pytest.mark.parametrize("sensor", SENSORS)
def test_another_driver_in_a_closed_door_meets_the_gate(sensor: str) -> None:
    """Its mass alone, with nothing laid inside the door."""
    for mass in (0.0, 1.5):
        door = {"place": "left-front-door", "sensor": sensor, "other_mass": mass}
        said = dangers_said(treatment(doors=[door], panels=[layer("card")]))
        assert ["adaptor depth" in message for message in said] == [True] * (
            mass > 0 and sensor in ("unknown", "pressure")
        )


@pytest.mark.parametrize(("place", "most"), [("floor", 0.6), ("load-floor", 0.6), ("arches", 0.5)])
def test_a_floor_may_be_damped_further_than_a_door(place: str, most: float) -> None:
    for coverage, told in ((most, False), (most + 0.01, True)):
        outcome = treatment(panels=[layer("damping", place, coverage=coverage)])
        assert any("Damping over more than half" in advice.message for advice in outcome.advice) == told


def test_a_torn_membrane_is_a_danger() -> None:
    door = {"place": "left-front-door", "sensor": "acceleration", "membrane": "torn"}
    (message,) = dangers_said(treatment(doors=[door], panels=[layer("damping")]))
    assert "new one, or the maker's patch" in message


def test_bitumen_lies_on_floors_only() -> None:
    door = {"place": "left-front-door", "sensor": "none"}
    places = ["left-front-door", "roof", "floor", "load-floor"]
    plan: Any = treatment(doors=[door], panels=[layer("bitumen", place) for place in places]).result
    assert [row.mass > 0 for row in plan.layers] == [False, False, True, True]


@pytest.mark.parametrize("goods", ["absorber", "foam", "barrier", "fleece", "butyl", "bitumen"])
def test_nothing_that_burns_fast_goes_in(goods: str) -> None:
    kind = next(key for key, entry in LAYERS.items() if entry.goods == goods)
    sheet = {**BUTYL, "goods": goods, "fire": "not-shown"}
    (message,) = dangers_said(treatment(panels=[layer(kind, "floor")], materials=[sheet]))
    assert "ISO 3795" in message


@pytest.mark.parametrize(
    ("place", "area", "danger", "words"),
    [
        ("roof", 0.3, True, "Leave it out"),  # 0.3 m² of 3.4 kg/m² are 1.02 kg.
        ("bulkhead", 0.3, False, "stands against a crossmember"),
        ("floor", 0.3, False, "stands against a crossmember"),
        ("roof", 0.29, False, ""),
        ("bulkhead", 0.29, False, ""),
    ],
)
def test_a_heavy_barrier_asks_what_holds_it(place: str, area: float, danger: bool, words: str) -> None:
    outcome = treatment(panels=[layer("barrier", place, area=area)])
    said = [advice for advice in outcome.advice if advice.message.startswith("Barrier")]
    assert [advice.danger for advice in said] == [danger] * bool(words)
    assert all(words in advice.message for advice in said)


@pytest.mark.parametrize(("night", "hours", "told"), [(16.0, 19.5, 1), (23.0, 12.0, 0), (9.0, 31.7, 2)])
def test_a_primer_cures_in_the_bay_and_not_under_the_lamp(night: float, hours: float, told: int) -> None:
    """12 h at 23 °C, twice as long for each 10 K colder; the panel is at 35 °C when the sheet is laid."""
    inputs = {"primer_cure": 12 * 3600.0, "temperature": 35.0, "night_temperature": night}
    outcome = treatment(panels=[layer("damping", "floor")], **inputs)
    assert outcome.result.cure_wait == pytest.approx(3600 * hours, rel=2e-3)  # type: ignore[union-attr]
    assert sum("primer" in advice.message for advice in outcome.advice) == told


@pytest.mark.parametrize(
    ("panels", "field", "words"),
    [
        ([{"place": "floor", "layer": "damping"}], "panels[0].width", "or the area"),
        ([{"place": "floor", "layer": "damping", "width": 1}], "panels[0].height", "or the area"),
        ([layer("damping", "floor", width=1.0)], "panels[0].area", "not both"),
    ],
)
def test_an_area_is_said_once(panels: list[dict[str, Any]], field: str, words: str) -> None:
    outcome = run_values(find_calculator("treatment-plan"), {"panels": panels, "materials": [BUTYL]})
    (error,) = outcome.errors
    assert error.field == field
    assert words in error.message


def test_what_is_missing_or_listed_twice_is_named() -> None:
    plan = find_calculator("treatment-plan")
    door = {"place": "left-front-door"}
    tiny = {**BUTYL, "sheet_width": 0.1, "sheet_height": 0.1}
    for inputs, field in (
        ({"panels": [layer("barrier", "floor")], "materials": [BUTYL]}, "panels[0].layer"),
        ({"panels": [layer("damping", "floor")], "materials": [BUTYL, BUTYL]}, "materials[1].goods"),
        ({"panels": [layer("card")], "materials": EVERY_SHEET, "doors": [door, door]}, "doors[1].place"),
        ({"panels": [layer("damping", "floor", area=9.0)], "materials": [tiny]}, "materials"),
    ):
        assert field in {error.field for error in run_values(plan, inputs).errors}


@given(inputs_of(find_calculator("treatment-plan")))
def test_no_closed_door_ever_gets_a_layer_inside(inputs: dict[str, Any]) -> None:
    outcome = run_values(find_calculator("treatment-plan"), inputs)
    if outcome.errors:
        return
    sensors = {door["place"]: door.get("sensor", "unknown") for door in inputs.get("doors", [])}
    plan: Any = outcome.result
    for panel, row in zip(inputs["panels"], plan.layers, strict=True):
        closed = sensors.get(panel["place"], "unknown") in ("unknown", "pressure")
        if panel["place"] in DOORS and closed and LAYERS[panel["layer"]].inside:
            assert row.mass == 0
            assert dangers_said(outcome)


@given(inputs_of(find_calculator("treatment-plan")))
def test_sheets_hold_what_is_laid(inputs: dict[str, Any]) -> None:
    """Areas and masses add up; sheets are never fewer than the area and its spare ask for."""
    outcome = run_values(find_calculator("treatment-plan"), inputs)
    if outcome.errors:
        return
    plan: Any = outcome.result
    sheets = {sheet["goods"]: sheet["sheet_width"] * sheet["sheet_height"] for sheet in inputs["materials"]}
    waste = inputs.get("waste", 0.1)
    for order, size in zip(plan.orders, sheets.values(), strict=True):
        assert order.sheets * size >= order.treated * (1 + waste) * (1 - 1e-6)
        assert 0 <= order.door_sheets <= order.sheets
    if not {panel["place"] for panel in inputs["panels"]} & {*DOORS}:
        assert not any(order.door_sheets for order in plan.orders)
    assert math.fsum(order.mass for order in plan.orders) == pytest.approx(
        math.fsum(row.mass for row in plan.layers)
    )
    others = math.fsum(door.get("other_mass", 0.0) for door in inputs.get("doors", []))
    assert plan.total_mass == pytest.approx(math.fsum(row.mass for row in plan.layers) + others)


@given(inputs_of(find_calculator("panel-damping")))
def test_more_cover_takes_more_and_never_more_than_the_core(inputs: dict[str, Any]) -> None:
    outcome = run_values(find_calculator("panel-damping"), inputs)
    assert outcome.errors == ()
    found: Any = outcome.result
    bought = [step.quieter for step in found.steps]
    gains = [step.this_quarter for step in found.steps]
    assert bought == sorted(bought)
    # A sheet that takes nothing over the bare panel leaves differences of rounding.
    assert all(after <= before + 1e-12 for before, after in pairwise(gains))
    assert found.quieter >= 0
    core = inputs.get("layer_loss") or {"free": 0.4}.get(inputs.get("kind", ""), 1.0)
    assert found.full_loss <= core * (1 + 1e-9)


def test_a_foil_of_nothing_and_a_soft_core_take_nothing() -> None:
    sheet = {"thickness": 0.0008, "layer_thickness": 0.0019}
    assert run_values(find_calculator("panel-damping"), {**sheet, "modulus": 1e3}).result.full_loss < 1e-3  # type: ignore[union-attr]
    thin = run_values(find_calculator("panel-damping"), {**sheet, "foil_thickness": 1e-5}).result
    assert thin.full_loss < run_values(find_calculator("panel-damping"), sheet).result.full_loss / 2  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("kind", "coverage", "ways"),
    [
        ("constrained", 0.3, ": more area, or a thicker foil,"),
        ("constrained", 1.0, ": a thicker foil,"),
        ("free", 0.3, ": more area, or a thicker sheet,"),
        ("free", 1.0, ": a thicker sheet,"),
    ],
)
def test_no_foil_and_no_area_is_offered_that_there_is_not(kind: str, coverage: float, ways: str) -> None:
    thin = {"thickness": 0.0008, "layer_thickness": 0.0002, "modulus": 1e4, "frequency": 50.0}
    outcome = run_values(find_calculator("panel-damping"), {**thin, "kind": kind, "coverage": coverage})
    (said,) = [advice.message for advice in outcome.advice if advice.about == "rings_short"]
    assert ways in said


def test_a_hot_sheet_is_said_to_be_soft() -> None:
    sheet = {"thickness": 0.0008, "layer_thickness": 0.0019, "temperature": 60.0}
    outcome = run_values(find_calculator("panel-damping"), sheet)
    assert any("less than half" in advice.message for advice in outcome.advice)


@given(inputs_of(find_calculator("transmission-loss")))
def test_holes_cap_and_glue_is_mass(inputs: dict[str, Any]) -> None:
    outcome = run_values(find_calculator("transmission-loss"), inputs)
    assert outcome.errors == ()
    found: Any = outcome.result
    for band in found.bands:
        if found.hole_cap is not None:
            assert band.with_layer <= found.hole_cap + 1e-9
        if inputs.get("air_gap", 0.0) == 0:
            assert band.with_layer == pytest.approx(band.as_mass)
        assert band.as_mass >= band.before - 1e-9


@given(inputs_of(find_calculator("cure-time")))
def test_colder_is_never_sooner(inputs: dict[str, Any]) -> None:
    warm = run_values(find_calculator("cure-time"), {**inputs, "temperature": 20.0})
    cold = run_values(find_calculator("cure-time"), {**inputs, "temperature": 10.0})
    if warm.errors:
        assert cold.errors
        return
    assert cold.result.cured_after == pytest.approx(2 * warm.result.cured_after)  # type: ignore[union-attr]
    assert warm.result.in_time == "yes" or cold.result.in_time == "no"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("kind", "lowest"), [({"kind": "reaction"}, 10), ({"kind": "drying"}, 15), (THIN_BEAD, 5)]
)
def test_nothing_is_called_cured_where_many_products_do_not_cure(kind: dict[str, Any], lowest: int) -> None:
    """By the rule of thumb 4 h are 12 h at 7 °C and 10 at 10 °C, in time for the morning."""
    said = {}
    for temperature in (lowest, lowest - 0.1):
        inputs = {"data_time": 4 * 3600.0, **kind, "temperature": temperature}
        found: Any = run_values(find_calculator("cure-time"), inputs).result
        assert found.lacking == 0
        said[temperature] = found.in_time
    assert said == {lowest: "yes", lowest - 0.1: "only if its data sheet allows it so cold"}


def test_the_doors_alone_take_their_own_sheets() -> None:
    panels = [layer("sealing", area=0.7), layer("sealing", "floor", area=0.7)]
    door = {"place": "left-front-door", "sensor": "none"}
    plan: Any = treatment(doors=[door], panels=panels).result
    order = next(order for order in plan.orders if order.treated)
    assert (order.sheets, order.door_sheets) == (4, 2)  # 1.4 m² and 0.7 m², a tenth more, over 0.4 m².


def test_sheets_cost_nothing_known_while_one_price_is_missing() -> None:
    """A sum over some of the sheets would be read as the price of all."""
    values: dict[str, Any] = {
        "panels": [
            {"place": "roof", "layer": layer, "name": "a", "area": 0.3} for layer in ("damping", "absorber")
        ],
        "materials": [
            {"goods": "butyl", "sheet_width": 0.5, "sheet_height": 0.8, "surface_mass": 3.4, "price": 10.0},
            {"goods": "absorber", "sheet_width": 0.5, "sheet_height": 0.8, "surface_mass": 0.4},
        ],
    }
    plan = find_calculator("treatment-plan")
    outcome = run_values(plan, values)
    assert not outcome.errors
    assert outcome.result.cost is None
    values["materials"][1]["price"] = 5.0
    whole = run_values(plan, values).result
    assert whole.cost == math.fsum(order.cost for order in whole.orders) > 0
