"""A crossover's join as measured, against scipy's filters, closed forms and a brute-force search."""

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import bessel, butter, freqs

from calculators.declaring import Curve, run_typed, run_values
from calculators.physics import bass_joins, simulated_cabin, speaker_system
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.presenting.charts import chart
from calculators.stages import find_calculator
from calculators.vocabulary import tune_demonstration, tune_measurements

CORNER = 3000.0
AT = np.geomspace(700, 13_000, 24 * 4 + 5)
FLIGHT = 2.5e-3


def linkwitz_riley(kind: str, at: FloatArray, corner: float = CORNER) -> ComplexArray:
    """By scipy: two Butterworth filters of second order in a row."""
    return np.asarray(freqs(*butter(2, 2 * np.pi * corner, kind, analog=True), worN=2 * np.pi * at)[1] ** 2)


def pasted(gain: ComplexArray, arrival: float = FLIGHT, at: FloatArray = AT, in_phase: float = 0.0) -> Any:
    """A curve as “The curve for the tune” has it; ``in_phase``: s, of the flight left in the phase."""
    phase = np.degrees(np.angle(gain * np.exp(-2j * np.pi * at * in_phase)))
    return {
        "frequency": at.tolist(),
        "level": (20 * np.log10(np.abs(gain))).tolist(),
        "phase": phase.tolist(),
        "arrival": arrival,
    }


def point(
    late: float = 0.0, gain: complex = 1.0, name: str = "fixed", how: str = "filtered"
) -> dict[str, Any]:
    """Linkwitz-Riley of 24 dB/oct, or bare drivers; the high late by so many s and changed by a gain."""
    low, high = (linkwitz_riley(kind, AT) for kind in ("low", "high"))
    if how != "filtered":
        low = np.ones_like(low)
    if how == "raw":
        high = np.ones_like(high)
    return {
        "name": name,
        "low_curve": pasted(low),
        "high_curve": pasted(gain * high, FLIGHT + late),
        "measured_with": how,
    }


def asked(*points: dict[str, Any], **inputs: Any) -> Any:
    return run_values(find_calculator("crossover"), {"low_pass": CORNER, "points": points, **inputs})


def judged(*points: dict[str, Any], **inputs: Any) -> Any:
    outcome = asked(*points, **inputs)
    assert outcome.errors == ()
    return outcome.result


def five(low: ComplexArray, high: ComplexArray, late: float = 0.0) -> list[dict[str, Any]]:
    """Five points alike, the high late by so many s."""
    one = {"low_curve": pasted(low), "high_curve": pasted(high, FLIGHT + late), "measured_with": "filtered"}
    return [one | {"name": f"point {number}"} for number in range(5)]


def said(result: Any) -> list[str]:
    return [entry.about for entry in result.advice]


@pytest.mark.parametrize("how", ["filtered", "low-raw", "raw"])
@pytest.mark.parametrize(("delay", "polarity"), [(0.0, "same"), (4e-5, "same"), (0.0, "reversed")])
def test_curves_sampled_from_a_crossover_give_its_own_answer(how: str, delay: float, polarity: str) -> None:
    """A filter counted twice would be 6 dB down where they meet, one not counted 6 dB up."""
    found = judged(point(how=how), delay=delay, polarity=polarity)
    right = judged(delay=delay, polarity=polarity)
    assert found.meeting == pytest.approx(right.meeting, rel=1e-4)
    for name in ("low_level", "high_level", "low_level_at", "high_level_at"):
        assert getattr(found, name) == pytest.approx(getattr(right, name), abs=0.02)
    assert abs((found.phase - right.phase + 180) % 360 - 180) < 0.1
    thirds = {row.frequency: row for row in right.bands}
    assert {800.0, 3150.0, 12500.0} <= {row.frequency for row in found.bands}
    for row in found.bands:
        assert row.sum_level == pytest.approx(thirds[row.frequency].sum_level, abs=0.05)
        assert row.low_delay is None


def test_gain_and_lateness_come_on_top_of_what_was_measured() -> None:
    """6 dB less of the high, by hand: -6.02 dB at 3 kHz becomes -12.02; they meet where both are level."""
    found = judged(point(), high_gain=-6.0, low_gain=-1.0, low_late=1e-5)
    # Levels of LR24 part by 40 log10 of the ratio to the second power: 5 dB at 10^(5/80).
    assert found.meeting == pytest.approx(CORNER * 10 ** (5 / 80), rel=1e-3)
    assert found.low_level == pytest.approx(found.high_level, abs=0.02)
    assert found.points[0].high_late == pytest.approx(-1e-5, abs=1e-8)


@pytest.mark.parametrize("late", [-1e-4, -3e-5, 5e-5, 1.2e-4])
def test_the_better_delay_is_the_one_by_which_they_were_apart(late: float) -> None:
    found = judged(point(late))
    as_set, better, turned = found.settings
    assert better.low_later == pytest.approx(late, abs=1.5e-6)
    assert better.mean_loss > -0.01
    assert as_set.phase == pytest.approx(-360 * CORNER * late, abs=3)
    # By numpy: what the sum of two equal turned parts lacks is the cosine of half the angle.
    octave = CORNER * 2 ** np.linspace(-0.5, 0.5, 25)
    low, high = (np.abs(linkwitz_riley(kind, octave)) for kind in ("low", "high"))
    whole = np.abs(low + high * np.exp(-2j * np.pi * octave * late)) / (low + high)
    assert as_set.mean_loss == pytest.approx(np.mean(20 * np.log10(whole)), abs=1e-3)
    assert as_set.worst_loss == pytest.approx(np.min(20 * np.log10(whole)), abs=2e-3)
    assert turned.mean_loss < better.mean_loss - 0.3
    words = found.advice[0].message
    assert said(found)[0] == "delay"
    assert f"delay the {'low' if late > 0 else 'high'} by {abs(1e3 * better.low_later):.3f} ms more" in words


@settings(max_examples=40, deadline=None)
@given(
    late=st.floats(-1.4e-4, 1.4e-4),
    level=st.floats(-6, 6),
    flight=st.floats(0, 8e-3),
    slope=st.sampled_from([12.0, 24.0, 48.0]),
)
def test_a_delay_put_in_is_found_whatever_level_and_flight(
    late: float, level: float, flight: float, slope: float
) -> None:
    """Set in the form, it is what the answer takes out again; both arrivals may be any."""
    one = point()
    for name in ("low_curve", "high_curve"):
        one[name] = one[name] | {"arrival": flight}
    found = judged(one, delay=late, high_gain=level, slope=slope)
    assert found.settings[1].low_later == pytest.approx(late, abs=2e-6)
    assert found.points[0].high_late == pytest.approx(late, abs=1e-7)
    assert all(row.mean_loss <= 1e-9 for row in found.settings)
    assert found.settings[1].mean_loss >= found.settings[0].mean_loss - 1e-9


def test_a_join_within_its_limits_is_told_to_be_moved_by_nothing() -> None:
    """30° at the upper end, 4243 Hz, are 19.6 µs: below it nothing is said, above it the delay is."""
    five = [point(late, name=str(number)) for number, late in enumerate([0.0, 3e-6, -3e-6, 5e-6, -5e-6])]
    assert judged(*five).advice == ()
    assert said(judged(point(19e-6)))[:-1] == []
    assert said(judged(point(20.5e-6)))[0] == "delay"


def test_a_reversed_tweeter_is_asked_about_and_not_delayed() -> None:
    found = judged(point(gain=-1.0))
    assert said(found)[0] == "polarity"
    assert "prove each driver's polarity by its impulse" in found.advice[0].message
    assert "delay" not in said(found)
    assert "18.4 dB weaker than turned over" in found.polarity_reason
    assert "not searched" in found.better_polarity


def test_more_than_half_a_cycle_is_for_the_clock_and_no_polarity() -> None:
    found = judged(point(3e-4))
    assert said(found)[0] == "delay"
    assert "0.30 ms late, more than half a cycle" in found.advice[0].message
    assert "polarity" not in said(found)


def test_of_several_points_all_count() -> None:
    """One 60 µs late and one 60 µs early: no delay is better for both, and each is told."""
    found = judged(point(6e-5), point(-6e-5, name="back"))
    assert found.points[0].high_late == pytest.approx(6e-5, abs=1e-8)
    assert found.points[1].high_late == pytest.approx(-6e-5, abs=1e-8)
    assert found.points[1].phase == pytest.approx(360 * CORNER * 6e-5, abs=2)
    middle = (found.points[0].found_loss + found.points[1].found_loss) / 2
    assert found.settings[0].mean_loss == pytest.approx(middle, abs=1e-9)
    assert "2 of 5 points" in found.advice[-1].message


def test_the_files_of_the_measuring_page_are_taken_as_they_are() -> None:
    """Their first line is read, and the arrival in it put back: a tenth of a millisecond between them."""
    fields = {"low_pass": "3 kHz", "points[0].name": "fixed", "points[0].measured_with": "filtered"}
    for part, kind, arrival in (("low_curve", "low", 2.87e-3), ("high_curve", "high", 2.77e-3)):
        whole = pasted(linkwitz_riley(kind, AT), arrival)
        curve = Curve(*(tuple(whole[name]) for name in ("frequency", "level", "phase")))
        made = tune_measurements.point_file("Left woofer", 1, 1, arrival, 1.0, curve)
        fields[f"points[0].{part}"] = made.contents.decode()
    read = run_typed(find_calculator("crossover"), fields)
    assert read.errors == ()
    assert read.result.settings[1].low_later == pytest.approx(-1e-4, abs=1.5e-6)


def test_flight_time_left_in_the_phase_is_the_same_join() -> None:
    """24 lines to the octave turn by 79° each at 3 kHz and 2.5 ms; 12 to the octave by more than 150°."""
    for step, wrong in ((1, ()), (2, ("points[0].low_curve",))):
        at = AT[::step]
        one = {
            "name": "fixed",
            "low_curve": pasted(linkwitz_riley("low", at), 0.0, at, FLIGHT),
            "high_curve": pasted(linkwitz_riley("high", at), 0.0, at, FLIGHT + 5e-5),
        }
        outcome = asked(one)
        assert tuple(error.field for error in outcome.errors) == wrong
        if not wrong:
            assert outcome.result.settings[1].low_later == pytest.approx(5e-5, abs=1.5e-6)


@pytest.mark.parametrize(("first", "last"), [(2500, 3500), (2900, 3200), (1500, 2200), (4000, 5000)])
def test_a_hole_where_the_two_are_compared_is_refused(first: float, last: float) -> None:
    """A straight line over it would tell of levels and phases that nobody has measured."""
    kept = (first > AT) | (last < AT)
    holed = pasted(linkwitz_riley("low", AT)[kept], at=AT[kept])
    (error,) = asked(point() | {"low_curve": holed}).errors
    assert error.field == "points[0].low_curve"
    said = re.match(r"No lines from (\d+) to (\d+) Hz", error.message)
    assert said
    assert float(said[1]) < first + 1
    assert float(said[2]) > last - 1
    beyond = (AT < 900) | (AT > 1100)
    assert (
        asked(point() | {"low_curve": pasted(linkwitz_riley("low", AT)[beyond], at=AT[beyond])}).errors == ()
    )


def test_a_phase_beyond_all_turns_is_refused() -> None:
    wild = pasted(linkwitz_riley("low", AT))
    wild["phase"] = [1e300] * len(AT)
    (error,) = asked(point() | {"low_curve": wild}).errors
    assert "million degrees" in error.message


def test_what_tells_no_phase_is_refused_beside_its_field() -> None:
    whole = point()
    cut = {name: whole["high_curve"][name][:40] for name in ("frequency", "level", "phase")}
    cases: list[tuple[str, dict[str, Any] | None, str]] = [
        ("low_curve", {"phase": None}, "the phase in degrees"),
        ("high_curve", {"phase": None}, "the phase in degrees"),
        ("low_curve", {"arrival": None}, "says no arrival"),
        ("high_curve", {"arrival": None}, "clocks ran apart"),
        ("high_curve", {"arrival": FLIGHT + 0.051}, "one clock"),
        ("high_curve", cut, "must reach from 2121 to 4243 Hz"),
    ]
    for column, change, words in cases:
        outcome = asked(whole | {column: whole[column] | change})
        assert [error.field for error in outcome.errors] == [f"points[0].{column}"]
        assert words in outcome.errors[0].message
    assert asked(whole | {"high_curve": whole["high_curve"] | {"arrival": FLIGHT + 0.049}}).errors == ()


@pytest.mark.parametrize("field", ["low_falls", "high_falls"])
def test_a_drivers_own_fall_is_in_its_curve_and_counted_once(field: str) -> None:
    (error,) = asked(point(), **{field: 900.0}).errors
    assert (error.field, "leave this empty" in error.message) == (field, True)


def test_levels_are_asked_for_within_the_curves() -> None:
    (error,) = asked(point(), at=500.0).errors
    assert (error.field, "from 700 to 13000 Hz" in error.message) == ("at", True)
    assert judged(point(), at=1500.0).high_level_at == pytest.approx(-24.61, abs=0.03)
    assert judged(point(), low_pass=7000.0, high_pass=3000.0).looked_at == pytest.approx(13_000)


def test_parts_that_are_level_nowhere_are_told() -> None:
    found = judged(point(gain=10.0 ** (40 / 20)))
    assert found.meeting == CORNER
    assert "level nowhere within an octave of 3000 Hz" in found.advice[0].message


def test_what_a_phase_wavers_by_is_what_a_parabola_leaves() -> None:
    """Against numpy's fit; a delay and a bend are no wavering."""
    at = np.geomspace(2000, 4000, 25)
    noise = np.random.default_rng(3).normal(0, 20, at.size)
    for turned in (noise, 0 * noise):
        degrees = 40 - 360 * at * 1.3e-4 + 60 * (at / 3000 - 1) ** 2 + turned
        gain = 3 * np.exp(1j * np.radians(degrees))
        found = bass_joins.TwoParts(at, gain[np.newaxis], np.full((1, at.size), 0.5 + 0j)).wavers_by()
        left = degrees - np.polyval(np.polyfit(at / 3000, degrees, 2), at / 3000)
        assert found == pytest.approx(np.sqrt(np.mean(left**2)), abs=1e-6)


@pytest.mark.parametrize(("degrees", "told"), [(8.0, False), (30.0, True)])
def test_a_phase_that_wavers_is_told_before_a_delay_is_believed(degrees: float, told: bool) -> None:
    one = point()
    noise = degrees * 2**0.5 * np.cos(np.pi * 0.9 * np.arange(AT.size))
    one["high_curve"]["phase"] = (np.array(one["high_curve"]["phase"]) + noise).tolist()
    assert any("wavers by" in entry.message for entry in judged(one).advice) is told


def test_slopes_that_differ_are_mended_by_no_delay() -> None:
    """A tweeter that falls once more, by 12 dB an octave under 1.6 kHz, turns against its woofer."""
    s = 1j * AT / 1600
    one = point()
    one["high_curve"] = pasted(linkwitz_riley("high", AT) * s**2 / (s**2 + s / 0.8 + 1), FLIGHT)
    found = judged(one)
    assert found.settings[1].phase_apart > 30
    assert [entry.about for entry in found.advice if "No delay mends that" in entry.message] == ["phase"]


def test_charts_show_what_was_measured_and_none_of_filters_delays() -> None:
    found = judged(point(1e-4))
    assert found.delay_chart is None
    assert found.sum_group_delay is None
    lines = {line.label: line.values for line in found.phase_chart.series}
    place = int(np.argmin(np.abs(np.array(found.phase_chart.at) - CORNER)))
    assert lines["As set"][place] == pytest.approx(-360 * found.phase_chart.at[place] * 1e-4, abs=0.1)
    assert lines["With the better delay"][place] == pytest.approx(0, abs=1.5)
    assert "polyline" in chart(found.phase_chart)
    assert judged().phase_chart is None


def simulated(name: str, at: FloatArray, arrival: float) -> ComplexArray:
    """A speaker of the shown cabin through its crossover: 2 ms kept, half of it faded, arrival out."""
    cabin = tune_demonstration.shown_cabin()
    speaker = next(one for one in cabin.speakers if one.name == name)
    impulse = simulated_cabin.impulse(cabin, speaker, cabin.heads[0], 48e3, 4096)
    time = np.arange(impulse.size) / 48e3
    fade = np.clip((time - arrival) / 1e-3 - 1, 0, 1)
    kept = impulse * (0.5 + 0.5 * np.cos(np.pi * fade))
    heard = np.exp(-2j * np.pi * np.outer(at, time - arrival)) @ kept
    return np.asarray(heard * speaker_system.chains((speaker.crossed(),), at, 48e3)[0])


def test_the_curves_on_the_joining_page_are_the_simulated_cabins() -> None:
    """The page says so: levels to a tenth of a decibel over 78 dB, phases to a degree."""
    page = Path("docs/stages/tuning/joining.md").read_text(encoding="utf-8")
    found = re.search(r"```calculator\ncrossover\n(.*?)```", page, re.DOTALL)
    assert found
    (one,) = yaml.safe_load(found[1])["points"]
    for column, name in (("low_curve", "Left woofer"), ("high_curve", "Left tweeter")):
        written = one[column]
        at = 750 * 2 ** (np.arange(49) / 12)
        gain = simulated(name, at, written["arrival"])
        assert written["frequency"] == np.round(at).tolist()
        assert written["level"] == pytest.approx(20 * np.log10(np.abs(gain)) + 78, abs=0.06)
        turned = np.array(written["phase"]) - np.degrees(np.angle(gain))
        assert np.max(np.abs((turned + 180) % 360 - 180)) < 0.6


def by_scipy(family: str, order: int) -> list[ComplexArray]:
    """Low and high of one corner, each -3 dB there."""
    corner, at = 2 * np.pi * CORNER, 2 * np.pi * AT
    if family == "butterworth":
        made = [butter(order, corner, kind, analog=True) for kind in ("low", "high")]
    else:
        made = [bessel(order, corner, kind, analog=True, norm="mag") for kind in ("low", "high")]
    return [np.asarray(freqs(*each, worN=at)[1]) for each in made]


@pytest.mark.parametrize(
    ("family", "order", "sign", "asked_for"),
    [
        ("butterworth", 1, 1, "90° ahead of"),
        ("butterworth", 3, -1, "90° ahead of"),
        ("butterworth", 5, 1, "90° ahead of"),
        ("butterworth", 7, -1, "90° ahead of"),
        ("bessel", 2, -1, "31° behind"),
        ("bessel", 4, -1, "62° ahead of"),
        ("bessel", 5, 1, "82° behind"),
        ("bessel", 6, 1, "50° behind"),
    ],
)
def test_a_family_whose_filters_stand_apart_is_judged_from_there(
    family: str, order: int, sign: int, asked_for: str
) -> None:
    """Polarity of the table, curves of scipy: healthy, 60 µs late, and turned over."""
    low, high = by_scipy(family, order)
    form = {"family": family, "slope": 6.0 * order}
    healthy = judged(*five(low, sign * high), **form)
    assert said(healthy) == ["family"]
    assert asked_for in healthy.advice[0].message
    assert healthy.settings[0].phase_apart == pytest.approx(0, abs=0.5)
    late = judged(*five(low, sign * high, 6e-5), **form)
    assert said(late) == ["family", "delay"]
    assert "delay the low by 0.060 ms more. That leaves 0°" in late.advice[1].message
    assert said(judged(*five(low, -sign * high), **form)) == ["family", "polarity"]
    # The lines of the chart lie about that angle.
    lines = {line.label: line.values for line in healthy.phase_chart.series}
    place = int(np.argmin(np.abs(np.array(healthy.phase_chart.at) - CORNER)))
    between = np.degrees(np.angle(sign * high * np.conj(low)))[np.argmin(np.abs(AT - CORNER))]
    assert (lines["30° ahead"][place] + lines["30° behind"][place]) / 2 == pytest.approx(between, abs=2)


def test_slopes_that_differ_are_asked_to_be_in_step() -> None:
    """One slope alone has an angle of its own: with two of them the drivers are to make up the rest."""
    low, high = by_scipy("butterworth", 3)
    assert "phase" in said(judged(*five(low, -high), family="butterworth", slope=18.0, high_slope=12.0))


def both(low_corner: float, high_corner: float) -> tuple[ComplexArray, ComplexArray]:
    return linkwitz_riley("low", AT, low_corner), linkwitz_riley("high", AT, high_corner)


def test_a_gap_and_an_overlap_are_told_and_a_familys_own_sum_is_not() -> None:
    """By hand: Linkwitz-Riley of 2 and 4.5 kHz leave 1 / (1 + 1.5^4) of each at 3 kHz, -9.66 dB for the sum.

    The tweeter is reversed and in its better delay; a third of an octave about it is a little fuller.
    """
    for corners, words, level in (
        ((2000, 4500), "a gap is between them", -9.66),
        ((6000, 1500), "they overlap", 5.49),
    ):
        low, high = both(*corners)
        (told,) = [
            entry for entry in judged(*five(low, -high)).advice if "dB where they meet" in entry.message
        ]
        assert words in told.message
        found = re.search(r"would make (\S+) dB", told.message)
        assert found
        assert float(found[1]) == pytest.approx(level, abs=0.2)
    for order in (2, 4):  # Two Butterworth in step stand 3.01 dB proud, as they should.
        low, high = by_scipy("butterworth", order)
        sign = 1 if order == 4 else -1
        assert judged(*five(low, sign * high), family="butterworth", slope=6.0 * order).advice == ()
    assert judged(*five(*both(CORNER, CORNER))).advice == ()


def test_where_they_meet_is_held_against_the_corner() -> None:
    """LR24 meets at the corner times 10 to the 80th part of the dB by which one is louder."""
    low, high = both(CORNER, CORNER)
    for level, told in ((14.0, True), (8.3, True), (7.8, False), (-7.8, False), (-8.3, True)):
        found = judged(*five(low, high * 10 ** (level / 20)))
        assert found.meeting == pytest.approx(CORNER * 10 ** (-level / 80), rel=2e-3)
        assert [entry.about for entry in found.advice] == ["points"] * told
        if told:
            side = "under" if level > 0 else "over"
            assert f"octaves {side} 3000 Hz" in found.advice[0].message
            assert ("tweeter" in found.advice[0].message) is (level > 0)


def test_curves_that_end_early_say_nothing_of_levels() -> None:
    one = point()
    near = (AT > 1700) & (AT < 5400)
    for name in ("low_curve", "high_curve"):
        one[name] |= {key: np.array(one[name][key])[near].tolist() for key in ("frequency", "level", "phase")}
    assert "gap and overlap are not judged" in judged(one).advice[0].message


@pytest.mark.parametrize("seed", [0, 4, 5, 10, 15, 18])
def test_polarity_comes_before_a_delay_where_the_phase_wavers(seed: int) -> None:
    """Two reflections each, the tweeter turned over: by loss another delay looks about as good."""
    chance = np.random.default_rng(seed)

    def heard(gain: ComplexArray) -> ComplexArray:
        late, strength = chance.uniform(1e-4, 1.2e-3, 2), chance.uniform(0.3, 0.7, 2)
        return np.asarray(gain * (1 + np.exp(-2j * np.pi * np.outer(AT, late)) @ strength))

    by = chance.uniform(-6e-5, 6e-5)
    low, high = both(CORNER, CORNER)
    found = judged(*five(heard(low), heard(-high), by))
    assert any("wavers by" in entry.message for entry in found.advice)
    assert said(found).index("polarity") < said(found).index("delay")
    (delay,) = [entry.message for entry in found.advice if entry.about == "delay"]
    assert "if the impulse proved the polarity" in delay


def test_no_delay_mends_is_said_after_a_search() -> None:
    """The woofer falls above 7486 Hz, the tweeter under 1260 Hz: by brute force 6.5 µs leave 25.7°."""
    s, w = 1j * AT / 1260, 1j * AT / 7486
    low, high = both(CORNER, CORNER)
    low, high = low / (w**2 + w / 0.88 + 1), high * s**2 / (s**2 + s / 0.61 + 1)
    found = judged(*five(low, high, 56e-6))
    near = np.abs(np.log2(AT / found.meeting)) <= 0.5
    trial = np.linspace(-5e-5, 5e-5, 1001)
    turn = np.exp(2j * np.pi * np.outer(trial - 56e-6, AT[near]))
    angle = np.max(np.abs(np.degrees(np.angle((high * np.conj(low))[near] * turn))), axis=1)
    assert found.settings[0].phase_apart > 30 > np.min(angle)
    assert said(found) == ["delay"]
    told = re.search(r"With the high (\S+) ms later than now it is (\d+)° at most", found.advice[0].message)
    assert told
    assert float(told[1]) == pytest.approx(-1e3 * trial[np.argmin(angle)], abs=2e-3)
    assert float(told[2]) == pytest.approx(np.min(angle), abs=1.5)
