"""Which bands, and which channels, a verdict may speak of."""

from typing import Any

import numpy as np
import pytest

from calculators.declaring import run_values
from calculators.physics.decibels import level
from calculators.stages import find_calculator
from calculators.vocabulary.feed_curves import NOT_SURE
from tests.asking import answer, run

AT = np.geomspace(25, 16e3, 120)


def level_from(low: float, high: float, lifted: float = 0.0, under: float = 0.0) -> dict[str, list[float]]:
    inside = AT[np.logical_and(low <= AT, high >= AT)]
    return {"frequency": inside.tolist(), "level": np.where(inside < under, 70 + lifted, 70.0).tolist()}


def compared(first: dict[str, list[float]], second: dict[str, list[float]]) -> Any:
    inputs = {"first": first, "second": second, "purpose": "sides"}
    return run_values(find_calculator("curve-compare"), inputs).result


def test_a_match_names_the_bands_it_is_of() -> None:
    """9 dB more under 140 Hz: no limit is known there, so nothing is said of it but that."""
    found = compared(level_from(25, 16e3), level_from(25, 16e3, 9.0, 110.0))
    assert found.verdict.startswith("match from 160 to 12500 Hz: the most is 0.0 dB at ")
    assert found.verdict.endswith("; bands under 160 Hz are not judged")
    assert abs(found.worst_difference) < 0.01


def test_nothing_has_no_sign() -> None:
    for lifted, told in ((-0.04, "0.0"), (0.04, "0.0"), (-0.06, "−0.1"), (0.06, "+0.1")):
        found = compared(level_from(25, 16e3), level_from(25, 16e3, lifted, 17e3))
        assert f"the most is {told} dB at" in found.verdict


def test_sides_measured_in_part_are_not_judged() -> None:
    found = compared(level_from(130, 480), level_from(130, 480, 1.2, 240))
    assert found.verdict == "are not judged: measure from 315 Hz to 5000 Hz at least"
    assert all(each.about != "mean_difference" for each in found.advice)
    assert compared(level_from(130, 480), level_from(130, 480, 4, 480)).verdict.startswith("do not match")


def planned(*channels: tuple[str, float, float]) -> list[str]:
    rows = [
        {"name": f"{place}", "sensitivity": 90.0, "power": power, "kind": kind, "offset": offset}
        for place, (kind, power, offset) in enumerate(channels)
    ]
    outcome = run_values(find_calculator("starting-trim"), {"channels": rows})
    return [each.message for each in outcome.advice]


def test_neither_a_wish_nor_a_subwoofer_makes_an_amplifier_too_large() -> None:
    assert planned(("front", 70, 0), ("front", 70, -14)) == []
    (bass,) = planned(("front", 70, 0), ("subwoofer", 900, 8))
    assert "take nothing more off" in bass
    (strong,) = planned(("front", 10, 0), ("front", 300, 0))
    assert "smaller amplifier" in strong


def test_a_subwoofer_counts_with_what_the_cabin_adds_before_the_weakest_is_sought() -> None:
    """By hand: 90 dB and 100 W are 110 dB; 82 dB and 100 W are 102 dB, 112 with the cabin's 10, 8 wanted."""
    front = {"name": "front", "sensitivity": 90.0, "power": 100.0}
    bass = {"name": "bass", "sensitivity": 82.0, "power": 100.0, "offset": 8.0, "kind": "subwoofer"}
    found = run_values(find_calculator("starting-trim"), {"channels": [front, bass]}).result
    assert (found.weakest, found.settings) == ("bass", "front −6.0, bass 0.0 dB")
    stronger = run_values(
        find_calculator("starting-trim"), {"channels": [front, bass | {"sensitivity": 90.0}]}
    ).result
    assert (stronger.weakest, stronger.settings) == ("front", "front 0.0, bass −2.0 dB")


def test_a_low_dip_that_stays_is_judged_neither_by_spread_nor_by_flatten() -> None:
    """A path 1.72 m longer, heard 10 cm to either side: a null at 100 Hz that spreads by less than 2 dB."""
    paths = [1.62, 1.67, 1.72, 1.77, 1.82]
    points = [
        {"frequency": AT.tolist(), "level": level(1 + 0.75 * np.exp(-2j * np.pi * AT * path / 343)).tolist()}
        for path in paths
    ]
    rows = [{"name": f"{path} m", "curve": curve} for path, curve in zip(paths, points, strict=True)]
    spread = run_values(find_calculator("spatial-spread"), {"points": rows, "high": 300.0}).result
    dip = next(row for row in spread.features if row.low < 100 < row.high)
    assert (dip.verdict, dip.wanders < 2) == (NOT_SURE, True)
    assert "near sweep" in dip.to_do
    assert {row.says for row in spread.bands if row.nominal < 200} <= {"too low to tell", "not sure"}
    given = {f"point_{number}": curve for number, curve in enumerate(points[1:], 2)}
    flat = run_values(
        find_calculator("flatten"),
        {"curve": points[0], "kind": "acoustic", "method": "bands", "high": 300.0, **given},
    ).result
    (alone,) = [row for row in flat.left_alone if row.low < 100 < row.high]
    assert alone.verdict == NOT_SURE
    assert "near sweep" in alone.reason


def test_a_hyphen_in_a_name_stays_one_beside_a_true_minus() -> None:
    rows = [
        {"name": "Mid-range", "sensitivity": 92.0, "power": 70.0, "distance": 1.0},
        {"name": "Tweeter", "sensitivity": 89.0, "power": 70.0, "distance": 1.0},
    ]
    assert answer("starting-trim", channels=rows).settings == "Mid-range −3.0, Tweeter 0.0 dB"


@pytest.mark.parametrize(("lifted", "louder"), [(0.7, "second"), (-0.7, "first")])
def test_the_louder_side_is_the_one_to_trim(lifted: float, louder: str) -> None:
    inputs = {"first": level_from(25, 16e3), "second": level_from(25, 16e3, lifted, 17e3), "purpose": "sides"}
    told = [each.message for each in run("curve-compare", **inputs).advice]
    assert [each for each in told if each.startswith(f"Trim the {louder} down by 0.7 dB")], told
