"""The wiring schedule: the drop of a whole way, hand-worked; grounds, totals and what is refused."""

from typing import Any

import pytest

from calculators.declaring import Outcome, run_values
from calculators.stages import find_calculator


def schedule(*runs: dict[str, Any], **inputs: Any) -> Outcome:
    """A schedule whose feeds from the battery lie in the air of all the others, unless one says else."""
    air = {"air": inputs.get("ambient", 40.0)}
    said = [(air if run["start"] == "Battery" else {}) | run for run in runs]
    return run_values(find_calculator("wiring-schedule"), {"runs": said, **inputs})


def feed(start: str, end: str, current: float | None = 20.0, **more: Any) -> dict[str, Any]:
    return {
        "name": f"{start} to {end}",
        "start": start,
        "end": end,
        "length": 1.0,
        "current": current,
        **more,
    }


def ground(start: str, end: str = "Body", current: float | None = 20.0, **more: Any) -> dict[str, Any]:
    return feed(start, end, current, kind="ground", **more)


def hot(size: float, current: float, length: float, air: float, joint: float = 0.0) -> float:
    """Ohm of a copper run by hand: IEC 60228 class 5, warmed by 40 K at its planning current."""
    per_metre, planning = {10e-6: (0.00191, 52.0), 70e-6: (0.000272, 215.0)}[size]
    warm = air + 40.0 * (current / planning) ** 2
    return per_metre * length * (1 + 0.00393 * (warm - 20)) + joint


def test_drop_of_a_device_is_that_of_its_whole_way() -> None:
    # 40 A out, of which 20 A stay at the block; 20 A on and back; 40 A through 2 mΩ of body.
    outcome = schedule(
        feed("Battery", "Block", 40.0, area=10e-6),
        feed("block ", "Amplifier", area=10e-6),
        ground("AMPLIFIER", area=10e-6),
        ambient=20.0,
        joint_resistance=0.0005,
        body_resistance=0.002,
    )
    assert outcome.errors == ()
    block, amplifier = outcome.result.devices
    main, branch = hot(10e-6, 40, 1, 20, 0.0005), hot(10e-6, 20, 1, 20, 0.0005)
    # The ground's joint is in the body's figure, which was measured at its lug.
    home = hot(10e-6, 20, 1, 20)
    assert block.drop == pytest.approx(40 * main + 40 * 0.002)
    assert amplifier.name == "Amplifier"
    assert amplifier.drop == pytest.approx(40 * main + 20 * (branch + home) + 40 * 0.002)
    assert amplifier.resistance == pytest.approx(main + branch + home + 0.002)
    # What a meter shows at 20 °C: three metres of the standard's resistance, two joints and the body.
    assert amplifier.cold == pytest.approx(3 * 0.00191 + 2 * 0.0005 + 0.002)
    assert [line.cold for line in outcome.result.runs] == pytest.approx([0.00241, 0.00241, 0.00191])
    assert any("20 A more than is on the list" in entry.message for entry in outcome.advice)


def test_a_way_back_to_the_battery_costs_no_body_and_goes_round_the_sensor() -> None:
    runs = (feed("Battery", "Amplifier", area=10e-6), ground("Amplifier", "Battery", area=10e-6))
    outcome = schedule(*runs, ambient=20.0, joint_resistance=0.0, body_resistance=0.01)
    assert outcome.result.devices[0].drop == pytest.approx(2 * 20 * hot(10e-6, 20, 1, 20))
    assert outcome.result.body_current == 0.0
    assert any("current sensor" in entry.message for entry in outcome.advice)


def test_the_verdict_names_what_to_mend_first() -> None:
    """A feed and a ground behind a main feed that no size is left for are not where the fault is."""
    outcome = schedule(
        feed("Battery", "Block", 200.0, name="Main feed", length=12.0),
        feed("Block", "Amplifier", 200.0, name="Amplifier feed"),
        ground("Amplifier", current=None, name="Ground"),
        allowed_drop=0.01,
    )
    assert outcome.result.verdict == "does not pass: first mend Main feed"
    assert outcome.advice[0].message.startswith("Main feed: no size is large enough: this table has none")
    assert outcome.advice[0].about == "runs[0].area"
    behind = [entry.message for entry in outcome.advice[1:] if entry.danger]
    assert behind == [
        f"{name}: no size is large enough: first mend Main feed, on the same way."
        for name in ("Amplifier feed", "Ground")
    ]
    (amplifier,) = outcome.result.devices
    assert amplifier.verdict == "no size is large enough: first mend Main feed"


def test_a_feed_too_thin_in_front_is_why_none_behind_it_has_a_size() -> None:
    outcome = schedule(
        feed("Battery", "Block", 20.0, name="Main feed", length=3.0, area=6e-6),
        feed("Block", "Amplifier", 54.0, name="Amplifier feed"),
        ground("Amplifier", current=None, name="Ground"),
    )
    assert outcome.result.runs[0].verdict == "too hot"
    assert outcome.result.devices[0].verdict == "no size is large enough: first mend Main feed"
    assert "Amplifier feed: no size is large enough: first mend Main feed, on the same way." in {
        entry.message for entry in outcome.advice
    }


def test_what_could_burn_is_mended_first() -> None:
    outcome = schedule(
        feed("Battery", "Amplifier", 40.0),
        ground("Amplifier", "Battery", None, name="Ground to the post"),
        feed("Amplifier", "Door", 45.0, name="Door lead", kind="speaker", area=1.5e-6),
    )
    assert [line.verdict for line in outcome.result.runs] == ["passes", "goes round the sensor", "too hot"]
    assert outcome.result.verdict == "does not pass: first mend Door lead"
    assert [entry.about for entry in outcome.advice[:2]] == ["runs[2].area", "runs[1].end"]


def test_two_runs_of_one_name_are_both_told() -> None:
    thin = {"name": "Feed", "area": 0.5e-6}
    outcome = schedule(feed("Battery", "Left", 20.0, **thin), feed("Battery", "Right", 20.0, **thin))
    dangers = [entry.about for entry in outcome.advice if entry.danger]
    assert dangers == ["runs[0].area", "runs[1].area"]


def failing(outcome: Outcome, name: str) -> str:
    """Verdict of a run that must fail, with a danger that names it, before all else."""
    assert outcome.errors == ()
    assert outcome.result.verdict.startswith("does not pass: ")
    assert outcome.advice[0].danger
    assert any(entry.danger and entry.message.startswith(name) for entry in outcome.advice)
    return next(line.verdict for line in outcome.result.runs if line.name == name)


def test_a_ground_thinner_than_its_feed_fails_whatever_current_is_typed() -> None:
    outcome = schedule(
        feed("Battery", "Amplifier", 54.0, area=25e-6),
        ground("Amplifier", current=3.0, area=0.75e-6),
    )
    assert failing(outcome, "Amplifier to Body") == "too hot"
    assert "carries 54 A" in outcome.advice[0].message


def test_a_shared_ground_carries_the_sum_of_what_arrives() -> None:
    runs = [
        feed("Battery", "Block", None, area=35e-6),
        feed("Block", "One", 40.0, area=16e-6),
        feed("Block", "Two", 40.0, area=16e-6),
        ground("One", "Bus", None, area=16e-6),
        ground("Two", "Bus", None, area=16e-6),
        ground("Bus", "Body", 40.0),
    ]
    outcome = schedule(*runs, body_resistance=0.001)
    assert failing(outcome, "Bus to Body") == "carries more than planned"
    bus = outcome.result.runs[-1]
    assert bus.current == pytest.approx(80.0)
    assert bus.carries >= 100.0  # The fuses of 50 A let through 100 A, as does the main fuse.
    assert bus.size >= 35e-6
    runs[-1] = ground("Bus", "Body", None)
    passing = schedule(*runs, body_resistance=0.001)
    assert passing.result.verdict == "all runs pass"
    runs[-1] = ground("Bus", "Body", None, area=16e-6)
    assert failing(schedule(*runs, body_resistance=0.001), "Bus to Body") == "too hot"


def test_a_ground_stands_behind_the_fuse_of_its_feed() -> None:
    runs = (
        feed("Battery", "Amplifier", 32.0, area=16e-6, length=0.5),
        ground("Amplifier", current=None, area=6e-6, length=0.5),
    )
    assert failing(schedule(*runs), "Amplifier to Body") == "too hot"
    runs = (runs[0] | {"current": 28.0}, runs[1])
    outcome = schedule(*runs)
    assert failing(outcome, "Amplifier to Body") == "too thin for its fuse"
    assert "behind 35 A of fuse" in outcome.advice[0].message
    # Where the fuse would be carried, the thickness of the feed is still asked for.
    runs = (runs[0] | {"current": 20.0}, runs[1])
    assert failing(schedule(*runs), "Amplifier to Body") == "thinner than its feed"


def test_the_body_carries_the_current_of_all() -> None:
    # Two of 60 A behind one feed of 70 mm², 3.5 m, on one stud: 120 A through 2.6 mΩ of body.
    runs = [feed("Battery", "Block", 120.0, area=70e-6, length=3.5)]
    for name in ("One", "Two"):
        runs.append(feed("Block", name, 60.0, area=70e-6, length=0.3))
        runs.append(ground(name, "Stud", None, area=70e-6, length=0.3))
    outcome = schedule(*runs, body_resistance=0.0026)
    result = outcome.result
    assert result.body_current == pytest.approx(120.0)
    assert result.body_drop == pytest.approx(0.312)
    main, branch = hot(70e-6, 120, 3.5, 40, 0.0005), hot(70e-6, 60, 0.3, 40, 0.0005)
    home = hot(70e-6, 60, 0.3, 40)
    for device in result.devices:
        assert device.drop == pytest.approx(120 * main + 60 * (branch + home) + 120 * 0.0026)
        assert device.verdict == "loses too much"
        assert device.drop_fraction > 0.04
    assert result.verdict.startswith("does not pass: ")


def test_a_feed_that_hands_on_more_than_planned_fails() -> None:
    outcome = schedule(
        feed("Battery", "Block", 20.0, area=6e-6),
        feed("Block", "Amplifier", 54.0, area=25e-6, length=0.3),
        ground("Amplifier", current=None, area=25e-6, length=0.3),
    )
    assert failing(outcome, "Battery to Block") == "too hot"
    assert outcome.result.runs[0].current == pytest.approx(54.0)
    thick = schedule(
        feed("Battery", "Block", 20.0, area=35e-6),
        feed("Block", "One", 15.0),
        feed("Block", "Two", 15.0),
    )
    assert failing(thick, "Battery to Block") == "hands on more than planned"
    assert any("planned for 20 A, it hands on 30 A" in entry.message for entry in thick.advice)
    assert thick.result.runs[0].fuse == 40.0


def test_a_run_that_carries_battery_voltage_has_a_fuse_whatever_its_kind() -> None:
    wake = {"name": "Wake-up", "start": "Accessory", "end": "Processor", "length": 4.0, "kind": "wake-up"}
    runs = (feed("Battery", "Processor", 1.1), ground("Processor", current=None))
    outcome = schedule(*runs, wake | {"current": 0.1, "area": 0.5e-6})
    assert outcome.result.verdict == "all runs pass"
    assert outcome.result.runs[2].fuse == 1.0
    assert outcome.result.body_current == pytest.approx(1.2)
    assert "Accessory feeds Processor through a fuse of 1 A" in outcome.result.diagram.spoken
    assert failing(schedule(*runs, wake | {"current": 20.0, "area": 0.5e-6}), "Wake-up") == "too hot"
    # Without a current it would have had no fuse: it is asked for, and a signal may not have one.
    (error,) = schedule(*runs, wake).errors
    assert error.field == "runs[2].current"
    (error,) = schedule(*runs, wake | {"kind": "signal", "current": 0.1}).errors
    assert error.field == "runs[2].kind"
    assert schedule(*runs, wake | {"kind": "signal"}).result.runs[2].verdict == "by the drawing"


def test_a_capacitor_takes_its_current_for_seconds_only() -> None:
    # Of the 3.6 A that the branch feed carries at a refill, 1.1 A stay: a fuse of 4 A, where the load
    # alone would have had 2 A; the main feed's 55.1 A and 2.5 A are no 80 A.
    runs = [
        feed("Battery", "Block", None, area=35e-6),
        feed("Block", "Amplifier", 54.0, area=25e-6, length=0.3),
        feed("Block", "Isolator", None),
        feed("Isolator", "Processor", 1.1),
        feed("Isolator", "Capacitor", 2.5, kind="capacitor"),
        ground("Amplifier", current=None, length=0.3),
        ground("Processor", current=None),
        ground("Capacitor", current=None),
    ]
    outcome = schedule(*runs, body_resistance=0.001)
    result = outcome.result
    assert result.verdict == "all runs pass"
    assert [line.fuse for line in result.runs[:5]] == [70.0, 70.0, 4.0, 2.0, 3.0]
    assert result.body_current == pytest.approx(55.1)
    assert [device.name for device in result.devices] == ["Amplifier", "Processor"]
    assert "Capacitor is grounded to Body" in result.diagram.spoken
    # 6.4 A, as from empty, would get a fuse that the cable bears and that never opens on a short capacitor.
    larger = schedule(*runs[:4], runs[4] | {"current": 6.4}, *runs[5:], body_resistance=0.001)
    words = words_of(larger, "runs[4].current")
    assert "its fuse, here 7.5 A, must be no larger than hold-up's" in words
    label = words.split("\N{LEFT DOUBLE QUOTATION MARK}")[1].split("\N{RIGHT DOUBLE QUOTATION MARK}")[0]
    assert find_calculator("hold-up").output("opening_fuse").kind.label.startswith(label)
    bare = schedule(*runs[:-1], body_resistance=0.001)
    assert any(entry.message.startswith("Capacitor has no ground run") for entry in bare.advice)


def test_a_supply_that_no_blade_fuse_breaks_does_not_pass() -> None:
    runs = (feed("Battery", "Amplifier", 10.0), ground("Amplifier", current=None))
    assert schedule(*runs, supply=24.0).result.verdict == "all runs pass"
    outcome = schedule(*runs, supply=48.0)
    assert outcome.result.verdict.startswith("does not pass: ")
    assert outcome.advice[0].danger
    assert "No blade fuse above 32 V" in outcome.advice[0].message


def test_where_the_sheath_melts_no_larger_cable_is_offered() -> None:
    runs = (feed("Battery", "Amplifier", 20.0, air=110.0), ground("Amplifier", current=None))
    outcome = schedule(*runs)
    assert failing(outcome, "Battery to Amplifier") == "no size is large enough"
    assert "another sheath" in outcome.advice[0].message
    assert "larger cable" not in outcome.advice[0].message


def test_a_speaker_pair_is_judged_by_heat() -> None:
    # 2 kW into 1 Ω is 45 A; 2.5 mm² under carpet may carry 17.3 A.
    pair = {"name": "Woofer", "start": "A", "end": "Woofer", "length": 1.2, "kind": "speaker", "area": 2.5e-6}
    runs = (feed("Battery", "A", 20.0), ground("A", current=None))
    outcome = schedule(*runs, pair | {"current": 45.0}, speaker=1.0)
    assert failing(outcome, "Woofer") == "too hot"
    assert outcome.result.runs[2].carries == pytest.approx(17.3, abs=0.05)
    chosen = schedule(*runs, pair | {"current": 45.0, "area": None}, speaker=1.0)
    assert chosen.result.runs[2].size == pytest.approx(10e-6)
    assert chosen.result.verdict == "all runs pass"
    # Without a current its heat is not known, so it does not pass.
    assert schedule(*runs, pair, speaker=1.0).result.runs[2].verdict == "type its current"


def test_grounds_side_by_side_share_the_current_and_each_carries_the_fuse_alone() -> None:
    sides = (
        ground("Amplifier", "Body", None, area=25e-6, length=1.0),
        ground("Amplifier", "Stud", None, area=25e-6, length=2.0),
    )
    outcome = schedule(feed("Battery", "Amplifier", 54.0, area=25e-6), *sides, joint_resistance=0.0)
    near, far = outcome.result.runs[1:]
    assert near.current + far.current == pytest.approx(54.0)
    assert near.current * near.resistance == pytest.approx(far.current * far.resistance)
    assert outcome.result.verdict == "all runs pass"
    thin = schedule(feed("Battery", "Amplifier", 54.0, area=25e-6), sides[0], sides[1] | {"area": 10e-6})
    assert failing(thin, "Amplifier to Stud") == "too thin for its fuse"


def test_places_may_bear_any_name() -> None:
    outcome = schedule(feed("source", "body"), ground("body", "plus", None), ground("plus", "minus", None))
    assert outcome.errors == ()
    assert outcome.result.body_current == pytest.approx(20.0)


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
    assert outcome.result.verdict.startswith("does not pass: ")


def test_the_hottest_air_of_a_run_and_its_sheath_decide_what_it_may_carry() -> None:
    # 35 mm² under carpet at 40 °C, PVC: 113 A; in an engine bay at 85 °C PVC melts, class B carries 60 A,
    # class C 84 A (ISO 10133 as remembered).
    def main_feed(**more: Any) -> Any:
        runs = (
            feed("Battery", "Amplifier", 54.0, area=35e-6, **more),
            ground("Amplifier", area=35e-6, current=None),
        )
        return schedule(*runs).result.runs[0]

    under_carpet, hot = main_feed(), main_feed(air=85.0)
    better = main_feed(air=85.0, insulation="vehicle-class-b")
    best = main_feed(air=85.0, insulation="vehicle-class-c")
    lines = (under_carpet, hot, better, best)
    assert [line.carries for line in lines] == pytest.approx([112.6, 0.0, 60.2, 84.4], abs=0.05)
    assert [line.fuse for line in lines] == [70.0, None, None, 70.0]
    assert [line.verdict for line in lines] == ["passes", "too hot", "too thin for its fuse", "passes"]


def test_speaker_pairs_and_totals() -> None:
    # 2 × 5 m of 2.5 mm² is 0.0798 Ω, just under 2 % of 4 Ω; of 1.5 mm² 0.133 Ω.
    speaker = {"start": "Amplifier", "end": "Woofer", "length": 5.0, "kind": "speaker"}
    outcome = schedule(
        feed("Battery", "Amplifier", area=16e-6),
        {"name": "Chosen", **speaker, "current": 4.2},
        {"name": "Thin", **speaker, "current": 4.2, "area": 1.5e-6},
        {"name": "Knob", **speaker, "kind": "signal"},
    )
    _, chosen, thin, knob = outcome.result.runs
    assert chosen.size == pytest.approx(2.5e-6)
    assert chosen.verdict == "passes"
    assert thin.verdict == "over 2 % of the speaker"
    assert knob.size is None
    metres = {total.size: total.length for total in outcome.result.totals}
    assert metres == {"1.5 mm², pairs": 5.0, "2.5 mm², pairs": 5.0, "16 mm²": 1.0}


@pytest.mark.parametrize(
    ("runs", "field", "words"),
    [
        ([ground("Amplifier")], "runs", "at least one run must be a feed"),
        ([feed("Battery", "A", None)], "runs[0].current", "needs its current"),
        ([feed("Battery", "A"), ground("B", current=None)], "runs[1].current", "nothing arrives at b"),
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


# What a master fitter found: each passed.


def words_of(outcome: Outcome, field: str) -> str:
    return next(entry.message for entry in outcome.advice if entry.about == field)


@pytest.mark.parametrize("name", ["Second battery", "battery 2", "Batt. 2", "Aux accu"])
def test_a_link_to_a_second_battery_does_not_pass_with_one_fuse(name: str) -> None:
    outcome = schedule(
        feed("Battery", name, None, length=4.0),
        feed(name, "Amplifier", 30.0, length=0.5),
        ground("Amplifier", current=None, length=0.3),
        body_resistance=0.001,
    )
    assert failing(outcome, f"Battery to {name}") == "fused at one end only"
    assert "within 300 mm of both ends" in words_of(outcome, "runs[0].end")
    # Two batteries that are not linked have each their own feed and fuse.
    apart = (feed("Battery", "Amplifier", 20.0), ground("Amplifier", current=None))
    beside = (feed(name, "Lamp", 5.0, air=40.0), ground("Lamp", current=None))
    assert schedule(*apart, *beside).result.verdict == "all runs pass"


def test_a_capacitor_s_leg_is_guarded_from_both_sides() -> None:
    # Its fuse of 3 A sits beside the capacitor; between block and fuse 50 A would have to open.
    runs = [
        feed("Battery", "Block", None, area=35e-6),
        feed("Block", "Amplifier", 40.0, area=16e-6, length=0.3),
        feed("Block", "Capacitor", 2.5, kind="capacitor", area=1.5e-6, length=0.2),
        ground("Amplifier", current=None, length=0.3),
        ground("Capacitor", current=None),
    ]
    outcome = schedule(*runs, body_resistance=0.001)
    assert failing(outcome, "Block to Capacitor") == "too thin for its fuse"
    assert "behind 50 A of fuse" in outcome.advice[0].message
    bare = schedule(
        runs[2] | {"start": "Battery"}, *runs[3:][1:], feed("Battery", "Lamp", 1.0), ground("Lamp")
    )
    assert failing(bare, "Block to Capacitor") == "fused at one end only"


def test_a_run_from_the_battery_asks_how_hot_it_lies() -> None:
    # 35 mm² in PVC may carry 112.6 A under carpet and nothing under a bonnet.
    runs = (feed("Battery", "Amplifier", 50.0, length=5.0, air=None), ground("Amplifier", current=None))
    outcome = schedule(*runs, body_resistance=0.001)
    assert failing(outcome, "Battery to Amplifier") == "type its hottest air"
    assert "Under a bonnet 85 °C" in words_of(outcome, "runs[0].air")
    for air, sheath, passes in (
        (40.0, "as-below", True),
        (85.0, "as-below", False),
        (85.0, "vehicle-class-c", True),
    ):
        said = runs[0] | {"air": air, "insulation": sheath}
        verdict = schedule(said, runs[1], body_resistance=0.001).result.verdict
        assert (verdict == "all runs pass") == passes
    # Whoever names the post something else is asked too; a tap inside the vehicle is not.
    assert (
        schedule(runs[0] | {"start": "Plus post"}, runs[1]).result.runs[0].verdict == "type its hottest air"
    )
    tap = {
        "name": "Tap",
        "start": "Accessory",
        "end": "Amplifier",
        "length": 2.0,
        "kind": "wake-up",
        "current": 0.1,
    }
    tapped = schedule(runs[0] | {"air": 40.0}, runs[1], tap, body_resistance=0.001)
    assert tapped.result.verdict == "all runs pass"
    assert schedule(*runs, ambient=85.0, insulation="vehicle-class-c").result.runs[0].verdict == "passes"


def test_an_amplifier_without_a_ground_does_not_pass() -> None:
    outcome = schedule(feed("Battery", "Amplifier", 20.0))
    assert outcome.result.verdict.startswith("does not pass: ")
    assert outcome.result.devices[0].verdict == "no ground run"
    assert words_of(outcome, "runs[0].end").startswith("Amplifier has no ground run")
    # Not even one that hands a turn-on line on.
    turn_on = {
        "name": "Turn-on",
        "start": "Amplifier",
        "end": "Fan",
        "length": 1.0,
        "kind": "wake-up",
        "current": 0.1,
    }
    assert schedule(feed("Battery", "Amplifier", 20.0), turn_on).result.devices[0].verdict == "no ground run"


@pytest.mark.parametrize("post", ["Battery", "Battery minus post", "Battery negative", "batt minus"])
def test_a_ground_on_the_battery_s_post_does_not_pass(post: str) -> None:
    outcome = schedule(feed("Battery", "Amplifier", 20.0), ground("Amplifier", post, None, name="Home"))
    assert outcome.result.verdict.startswith("does not pass: ")
    assert outcome.result.runs[1].verdict == "goes round the sensor"
    assert outcome.result.body_current == 0.0


def test_a_joint_is_counted_once() -> None:
    """A ground to the body has its joint in the body's figure; one to a bus has its own."""
    runs = [feed("Battery", "Amplifier", 20.0, area=10e-6), ground("Amplifier", "Bus", None, area=10e-6),
            ground("Bus", "Body", None, area=10e-6)]  # fmt: skip
    lines = schedule(*runs, joint_resistance=0.0005).result.runs
    assert [line.cold for line in lines] == pytest.approx([0.00241, 0.00241, 0.00191])
