"""The guided tune: what comes next from what there is, and before and after against sums of its own."""

import json
from typing import Any

import numpy as np
import pytest

from calculators.declaring import Kept, Outcome, run_values
from calculators.physics.arrays import ComplexArray
from calculators.physics.equalisers import TargetShape, target_levels
from calculators.physics.speaker_system import band_centres, grid
from calculators.stages import find_calculator
from calculators.vocabulary import guided_way
from calculators.vocabulary.tune_measurements import measurement_file

GUIDED = find_calculator("guided-tune")
NAMES = ["Left tweeter", "Left woofer", "Right tweeter", "Right woofer"]
CHANNELS = GUIDED.example["channels"]
POINTS = guided_way.POINT_SETS["5"]
DRAWN = np.random.default_rng(4)
GAINS = (DRAWN.normal(size=(9, 4, 216)) + 1j * DRAWN.normal(size=(9, 4, 216))).astype(complex)
"""Four speakers at nine points: noise, so that nothing comes out right by chance."""
SHEET = {
    "format": "tuning-sheet",
    "version": 1,
    "channels": [
        {
            "name": name,
            "high_pass": 3000.0 if "tw" in name else 80.0,
            "low_pass": None if "tw" in name else 3000.0,
            "polarity": "reversed" if name == "Left woofer" else "normal",
            "delay": 1e-4 * place,
            "gain": -2.0 * place,
            "filters": [],
        }
        for place, name in enumerate(NAMES)
    ],
}


def kept(contents: bytes) -> Kept:
    return Kept("a", "a.txt", len(contents), lambda start, count: contents[start : start + count])


def measured(gains: ComplexArray = GAINS) -> bytes:
    arrivals, signs = np.full((1, 4), 0.002), np.ones(4)
    return measurement_file(NAMES, (gains,), arrivals, signs).contents


def without(text: bytes, *runs: str) -> bytes:
    """The measurements but for some runs, named by the beginning of their first line."""
    blocks = [block for block in text.decode().split("\n") if block]
    found, skipping = [], False
    for line in blocks:
        if ";" in line:
            skipping = line.startswith(runs)
        if not skipping:
            found.append(line)
    return "\n".join(found).encode()


def run(**values: Any) -> Outcome:
    return run_values(GUIDED, {"channels": CHANNELS} | values)


def test_every_speaker_at_a_point_before_the_microphone_moves() -> None:
    rows = run().result.runs
    assert [(row.speaker, row.point) for row in rows[:20]] == [(n, p) for p in POINTS for n in NAMES]
    assert [(row.speaker, row.point) for row in rows[20:]] == [("Whole", p) for p in POINTS]


def test_what_is_missing_comes_next_and_time_left_shrinks() -> None:
    """A run that was thrown away comes before those that were never made."""
    text = without(measured(), *(f"{name}; seat 1; point {p}" for name in NAMES for p in (8, 9)))
    rest = run(measurements=kept(text)).result
    assert (rest.stage, rest.speaker, rest.point, rest.done) == ("measure", "Left tweeter", 8, 12)
    bad = run(measurements=kept(without(text, "Right tweeter; seat 1; point 6"))).result
    assert (bad.speaker, bad.point, bad.done) == ("Right tweeter", 6, 11)
    assert bad.time_left > rest.time_left
    # 3 s, and for each of two plays four markers of half a second with their pauses and two sweeps of 6 s.
    assert guided_way.run_length() == pytest.approx(3 + 2 * (2 + 2 * 6), abs=1.5)


def test_the_stages_follow_one_another() -> None:
    files: dict[str, Any] = {"measurements": kept(measured())}
    assert run(**files).result.stage == "tune"
    files["sheet"] = kept(json.dumps(SHEET).encode())
    assert run(**files).result.stage == "read back"
    files["read_back"] = "yes"
    once = run(**files).result
    assert (once.stage, once.point, once.after) == ("measure again", 1, None)
    files["again"] = [{"name": "Point", "curve": flat()} for _ in POINTS]
    end = run(**files).result
    assert (end.stage, end.done, end.of, end.time_left) == ("finished", 25, 25, 0)
    assert [line.polarity for line in end.settings] == ["normal", "reversed", "normal", "normal"]


def curve(frequency: Any, level: Any) -> dict[str, list[float]]:
    return {"frequency": list(map(float, frequency)), "level": list(map(float, level))}


def flat() -> dict[str, list[float]]:
    return curve((40, 100, 1000, 9000, 16_000), (0, 0, 0, 0, 0))


def off(sums: ComplexArray) -> Any:
    """Third octaves over the target, written out once more: mean power of five points and eight places."""
    level = 10 * np.log10(np.mean(np.abs(sums) ** 2, axis=0).reshape(27, 8).mean(axis=1))
    apart = level - target_levels(band_centres(), TargetShape(8.0, 80.0, -0.5, 200.0))
    return apart - apart.mean()


def test_before_expected_and_after_are_sums_of_what_was_measured() -> None:
    at = [point - 1 for point in POINTS]
    plays = GAINS[at]
    turn = np.exp(-2j * np.pi * grid()[np.newaxis] * 1e-4 * np.arange(4)[:, np.newaxis])
    gain = 10 ** (-2.0 * np.arange(4) / 20)[:, np.newaxis]
    sign = np.array([1, -1, 1, 1])[:, np.newaxis]
    told: list[dict[str, Any]] = [
        {"name": f"Point {point}", "curve": curve(grid(), level)}
        for point, level in zip(
            POINTS, 20 * np.log10(np.abs(np.sum(plays * turn * gain * sign, axis=1))), strict=True
        )
    ]
    result = run(
        measurements=kept(measured()), sheet=kept(json.dumps(SHEET).encode()), read_back="yes", again=told
    ).result
    before = off(np.sum(plays, axis=1))
    expected = off(np.sum(plays * turn * gain * sign, axis=1))
    assert [row.before for row in result.bands] == pytest.approx(before.tolist(), abs=0.05)
    assert [row.expected for row in result.bands] == pytest.approx(expected.tolist(), abs=0.05)
    assert [row.after for row in result.bands] == pytest.approx(expected.tolist(), abs=0.05)
    assert result.before == pytest.approx(np.sqrt(np.mean(before**2)), abs=0.02)
    assert result.advice == ()
    told[0]["curve"] = curve(grid(), np.array(told[0]["curve"]["level"]) + 12 * (grid() > 4000))
    louder = run(
        measurements=kept(measured()), sheet=kept(json.dumps(SHEET).encode()), read_back="yes", again=told
    ).result
    assert "what was expected" in louder.advice[0].message


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({"measurements": kept(measured().replace(b"Left tweeter", b"Centre"))},
         "measurements", "no channel is called so"),
        ({"again": [{"name": "Point", "curve": flat()}] * 6}, "again", "5 points"),
        ({"channels": [{"name": "T", "part": "tweeter", "side": "left"}]}, "channels[0].high_pass", "dead"),
        ({"sheet": kept(b"{}")}, "sheet", "no sheet of the tune"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_at_its_field(values: dict[str, Any], field: str, words: str) -> None:
    (error,) = run(**values).errors
    assert error.field == field
    assert words in error.message


def test_a_sheet_of_another_vehicle_and_a_narrow_curve_are_refused() -> None:
    other = SHEET | {
        "channels": [channel | {"name": channel["name"] + " 2"} for channel in SHEET["channels"]]
    }
    (error,) = run(measurements=kept(measured()), sheet=kept(json.dumps(other).encode())).errors
    assert error.field == "sheet"
    narrow = [{"name": "Point", "curve": flat()}] * 4 + [
        {"name": "Point", "curve": curve((100, 200, 1000, 5000, 9000), (0, 0, 0, 0, 0))}
    ]
    (error,) = run(measurements=kept(measured()), again=narrow).errors
    assert error.field == "again[4].curve"


def test_with_a_subwoofer_the_sweep_begins_far_under_its_band() -> None:
    bass = {"name": "Subwoofer", "part": "subwoofer", "side": "both", "low_pass": 80.0}
    assert run().result.swept_from == 20
    assert run_values(GUIDED, {"channels": [*CHANNELS, bass]}).result.swept_from == 5


def test_a_phone_that_was_not_compared_goes_by_tape() -> None:
    result = run(microphone="phone").result
    assert (result.stage, result.of) == ("tune", 0)
    assert "delays by tape" in result.advice[0].message


def test_the_reference_is_a_tweeter_on_the_left() -> None:
    acts = [row.act for row in run().result.acts]
    assert any("left and right input to Left tweeter alone" in act for act in acts)
    second = run(measurements=kept(without(measured(), *(f"{n}; seat" for n in NAMES[1:])))).result
    assert any(
        "left input to Left tweeter alone, right input to Left woofer" in row.act for row in second.acts
    )
