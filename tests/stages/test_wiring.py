"""The wiring schedule: the drop of a whole way, hand-worked; grounds, totals and what is refused."""

from typing import Any

import pytest

from calculators.declaring import Outcome, run_values
from calculators.stages import find


def schedule(*runs: dict[str, Any], **inputs: Any) -> Outcome:
    return run_values(find("wiring-schedule"), {"runs": list(runs), **inputs})


def feed(start: str, end: str, current: float = 20.0, **more: Any) -> dict[str, Any]:
    return {
        "name": f"{start} to {end}",
        "start": start,
        "end": end,
        "length": 1.0,
        "current": current,
        **more,
    }


def ground(start: str, end: str = "Body", current: float = 20.0, **more: Any) -> dict[str, Any]:
    return feed(start, end, current, kind="ground", **more)


def test_drop_of_a_device_is_that_of_its_whole_way() -> None:
    # By hand: 1 m of 10 mm² is 1.91 mΩ at 20 °C (IEC 60228 class 5), each run has 0.5 mΩ of joints:
    # 40 A and 20 A out, 20 A back, and 20 A through 2 mΩ of body.
    outcome = schedule(
        feed("Battery", "Block", 40.0, area=10e-6),
        feed("block ", "Amplifier", area=10e-6),
        ground("AMPLIFIER", area=10e-6),
        temperature=20.0,
        joint_resistance=0.0005,
        body_resistance=0.002,
    )
    assert outcome.errors == ()
    (device,) = outcome.result.devices
    assert device.name == "Amplifier"
    assert device.drop == pytest.approx((40 + 20 + 20) * 0.00241 + 20 * 0.002)


def test_a_way_back_to_the_battery_costs_no_body() -> None:
    runs = (feed("Battery", "Amplifier", area=10e-6), ground("Amplifier", "Battery", area=10e-6))
    outcome = schedule(*runs, temperature=20.0, joint_resistance=0.0, body_resistance=0.01)
    assert outcome.result.devices[0].drop == pytest.approx(2 * 20 * 0.00191)


def test_open_sizes_share_the_drop_and_a_ground_is_as_thick_as_its_feed() -> None:
    outcome = schedule(
        feed("Battery", "Block", 60.0, length=5.0),
        feed("Block", "Amplifier", 50.0, length=0.5),
        ground("Amplifier", "Stud", 50.0, length=0.3),
        ground("Stud", "Body", 50.0, length=0.3),
    )
    result = outcome.result
    assert result.verdict == "all runs pass"
    main, branch, first, second = result.runs
    assert main.size >= branch.size
    assert first.size >= branch.size
    assert second.size >= first.size
    assert result.devices[0].drop_fraction <= 0.03
    assert first.fuse is None
    assert main.fuse >= 60.0 / 0.8


def test_a_thin_cable_is_named_before_anything_else() -> None:
    outcome = schedule(feed("Battery", "Amplifier", 54.0, length=0.5, area=6e-6))
    assert outcome.advice[0].danger
    assert "never a larger fuse" in outcome.advice[0].message
    assert outcome.result.runs[0].fuse is None
    assert outcome.result.verdict == "does not pass: see below"


def test_the_hottest_air_of_a_run_and_its_sheath_decide_what_it_may_carry() -> None:
    # 35 mm² under carpet at 40 °C, PVC: 113 A; at 60 °C PVC 65 A, class B 98 A (the table of the page
    # on the main feed, ISO 10133 as remembered).
    def main_feed(**more: Any) -> Any:
        runs = (feed("Battery", "Amplifier", 54.0, area=35e-6, **more), ground("Amplifier", area=35e-6))
        return schedule(*runs, load_fraction=0.75).result.runs[0]

    under_carpet, hot = main_feed(), main_feed(air=60.0)
    better = main_feed(air=60.0, insulation="vehicle-class-b")
    assert [line.carries for line in (under_carpet, hot, better)] == pytest.approx(
        [112.6, 65.0, 98.3], abs=0.05
    )
    assert [line.fuse for line in (under_carpet, hot, better)] == [80.0, None, 80.0]
    assert [line.verdict for line in (under_carpet, hot, better)] == [
        "passes",
        "too thin for its fuse",
        "passes",
    ]


def test_a_feed_that_hands_on_too_much_is_named() -> None:
    outcome = schedule(feed("Battery", "Block", 20.0), feed("Block", "One", 15.0), feed("Block", "Two", 15.0))
    assert any("hands on 30 A" in entry.message for entry in outcome.advice)


def test_speaker_pairs_and_totals() -> None:
    # 2 × 5 m of 2.5 mm² is 0.0798 Ω, just under 2 % of 4 Ω; of 1.5 mm² 0.133 Ω.
    speaker = {"start": "Amplifier", "end": "Woofer", "length": 5.0, "kind": "speaker"}
    outcome = schedule(
        feed("Battery", "Amplifier", area=16e-6),
        {"name": "Chosen", **speaker},
        {"name": "Thin", **speaker, "area": 1.5e-6},
        {"name": "Knob", **speaker, "kind": "signal"},
    )
    _, chosen, thin, knob = outcome.result.runs
    assert chosen.size == pytest.approx(2.5e-6)
    assert chosen.verdict == "passes"
    assert thin.verdict == "over 2 % of the speaker"
    assert knob.size is None
    metres = {total.size: total.length for total in outcome.result.totals}
    assert metres == {"1.5 mm²": 5.0, "2.5 mm²": 5.0, "16 mm²": 1.0}


@pytest.mark.parametrize(
    ("runs", "field", "words"),
    [
        ([ground("Amplifier")], "runs", "at least one run must be a feed"),
        ([feed("Battery", "A", 5.0) | {"current": None}], "runs[0].current", "needs its current"),
        ([feed("Battery", "battery")], "runs[0].end", "from one named place to another"),
        ([feed("Battery", "A"), feed("Battery", "A")], "runs[1].end", "two feeds end at a"),
        ([feed("A", "B"), feed("B", "A")], "runs[0].end", "ring"),
        ([feed("Battery", "A"), ground("A", "B"), ground("B", "A")], "runs[1].end", "ring"),
    ],
)
def test_runs_that_make_no_sense_are_refused(runs: list[dict[str, Any]], field: str, words: str) -> None:
    (error,) = schedule(*runs).errors
    assert error.field == field
    assert words in error.message.casefold()
