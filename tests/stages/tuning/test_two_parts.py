"""The subwoofer's join against a brute-force search, and what acoustic slopes make of a measured curve."""

import re
from typing import Any

import numpy as np
import pytest
from scipy import signal

from calculators.declaring import Curve, run_typed, run_values
from calculators.physics import air, bass_joins, biquads, filters, two_seats
from calculators.physics.arrays import FloatArray
from calculators.stages import find_calculator
from calculators.vocabulary import tune_measurements
from tests.asking import answer

AT = np.geomspace(30, 300, 121)


def curve(level: FloatArray, late: float, turned: FloatArray | float = 0.0) -> dict[str, Any]:
    """As it is pasted: the phase wrapped, the flight time in it, and the line that says so."""
    phase = (np.degrees(turned) - 360 * AT * late + 180) % 360 - 180
    return {"frequency": AT.tolist(), "level": level.tolist(), "phase": phase.tolist(), "arrival": 0.0}


def points(late: float, sign: float = 1.0, places: int = 3) -> list[dict[str, Any]]:
    """Two parts of one slope, the subwoofer late and perhaps reversed, heard a little apart."""
    low, high = -20 * np.log10(1 + (AT / 80) ** 4), -20 * np.log10(1 + (80 / AT) ** 4)
    flights = 4e-3 + 0.2e-3 * np.arange(places)
    return [
        {
            "name": f"point {place}",
            "sub": curve(low + 3, flight + late + 2e-4 * place, 0.0 if sign > 0 else np.pi),
            "front": curve(high, flight),
        }
        for place, flight in enumerate(flights)
    ]


def test_the_delay_is_the_best_of_a_brute_force_search() -> None:
    """Every microsecond of half a cycle either way, at three points that ask for three delays."""
    rng = np.random.default_rng(5)
    frequency = np.geomspace(50, 125, 32)
    gains = rng.uniform(0.5, 1.5, (2, 3, 32)) * np.exp(2j * rng.uniform(0, 0.6, (2, 3, 1)))
    late = np.array([[1.4e-3], [1.9e-3], [1.6e-3]])
    join = bass_joins.TwoParts(frequency, gains[0] * np.exp(-2j * np.pi * frequency * late), gains[1])
    for sign in (1.0, -1.0):
        found = bass_joins.best_setting(join, sign)
        half = 1 / (2 * join.middle)
        tried = np.arange(-half, half, 10e-6)
        losses = [join.changed(sign, delay, 0.0).lost().ravel() for delay in tried.tolist()]
        assert found.cost <= np.min(bass_joins.cost_of(np.array(losses))) + 1e-6
        assert abs(found.delay) <= half + 1e-6


def test_a_part_raised_by_20_db_is_ten_times_as_high() -> None:
    """Definition of the decibel; a delay turns by 360 degrees in each cycle."""
    frequency, ones = np.array([50.0, 100.0]), np.ones((1, 2), complex)
    changed = bass_joins.TwoParts(frequency, ones, ones).changed(-1.0, 5e-3, 20.0)
    assert changed.low == pytest.approx(np.array([[10j, 10.0]]), abs=1e-9)
    assert changed.high is ones


@pytest.mark.parametrize(("sign", "freedom", "word"), [
    (1.0, "proven", "as it is"), (-1.0, "free", "turn it"), (1.0, "free", "as it is"),
])  # fmt: skip
def test_measured_points_give_back_delay_polarity_and_level(sign: float, freedom: str, word: str) -> None:
    found = answer("sub-alignment", points=points(1.5e-3, sign), polarity=freedom, wanted_over_front=0.0)
    assert found.polarity_word == word
    assert found.delay == pytest.approx(-1.7e-3, abs=0.05e-3)  # The middle one of three points.
    assert found.gain == pytest.approx(-3.0, abs=0.2)  # Both parts have one slope, mirrored at 80 Hz.
    assert found.mean_loss > -0.05
    assert found.whole_cycle == "none"


def test_the_arrival_in_the_first_line_of_the_tunes_own_file_is_put_back() -> None:
    """Phase with its flight time taken out, as the file for the tune has it: the same join."""
    fields = {}
    for number, point in enumerate(points(1.5e-3)):
        fields[f"points[{number}].name"] = point["name"]
        for part, arrival in (("sub", 6.3e-3), ("front", 3.25e-3)):
            whole = point[part]
            bare = np.array(whole["phase"]) + 360 * AT * arrival
            pasted = Curve(*(tuple(whole[name]) for name in ("frequency", "level")), tuple(bare.tolist()))
            made = tune_measurements.point_file("Rear subwoofer", 1, 1, arrival, 1.0, pasted)
            fields[f"points[{number}].{part}"] = made.contents.decode()
    read = run_typed(find_calculator("sub-alignment"), fields)
    assert read.errors == ()
    whole = answer("sub-alignment", points=points(1.5e-3))
    assert read.result.delay == pytest.approx(whole.delay, abs=2e-6)
    assert read.result.mean_loss == pytest.approx(whole.mean_loss, abs=1e-3)
    assert read.result.advice == whole.advice == ()


def test_a_curve_that_says_no_arrival_is_asked_about_and_one_of_a_pair_is_refused() -> None:
    bare = [
        point | {part: point[part] | {"arrival": None} for part in ("sub", "front")} for point in points(0)
    ]
    assert "Is the flight time in these phases?" in answer("sub-alignment", points=bare).advice[0].message
    for lost, kept in (("sub", "front"), ("front", "sub")):
        mixed = [points(0)[0], bare[0] | {kept: points(0)[0][kept]}]
        outcome = run_values(find_calculator("sub-alignment"), {"points": mixed})
        assert [error.field for error in outcome.errors] == [f"points[1].{lost}"]


def test_a_start_that_was_searched_is_not_asked_for_again() -> None:
    """A reversed subwoofer has the slope of a healthy one: another start sends round in a circle."""
    for sign, about in ((-1.0, 0.0), (-1.0, -0.4e-3), (1.0, 2e-3)):
        found = answer("sub-alignment", points=in_boxes(0.0, sign), search_about=about)
        assert all("Type" not in each.message for each in found.advice)
    told = answer("sub-alignment", points=in_boxes(0.0, -1.0)).advice[0].message
    assert "The slope's delay was inside the search: look at polarity" in told


def test_a_reversed_subwoofer_is_not_turned_in_silence() -> None:
    """Proven polarity stands; that the other one would lose less is said."""
    found = answer("sub-alignment", points=points(0.0, -1.0))
    assert found.polarity_word == "as it is"
    assert found.mean_loss < found.other_loss - 0.3
    assert any("Prove its polarity".lower() in each.message.lower() for each in found.advice)


def test_a_free_polarity_that_hardly_betters_stays_as_proven() -> None:
    """Turned it would lose 0.12 dB less, half a cycle later: as proven it is 0.65 ms, worked out anew."""
    model = find_calculator("sub-alignment").example | {"front_family": "butterworth", "front_slope": 12.0}
    free, proven = (answer("sub-alignment", **model | {"polarity": each}) for each in ("free", "proven"))
    assert free.setting == proven.setting == "subwoofer: polarity as it is, delay it by 0.65 ms more"
    assert free.delay == proven.delay
    assert 0.1 < free.other_loss - free.mean_loss < 0.3
    assert [note.message for note in free.advice if note.about == "polarity"] == [
        "Both polarities do nearly as well: the one that was proven stays. See the slope."
    ]


def test_a_whole_cycle_is_seen_by_its_slope() -> None:
    """12.5 ms at 80 Hz: right by level, and a beat behind; from there the search goes back."""
    late = answer("sub-alignment", points=points(12.5e-3, places=1))
    assert late.whole_cycle == "the subwoofer is about a cycle late"
    right = answer("sub-alignment", points=points(12.5e-3, places=1), search_about=-12.5e-3)
    assert right.delay == pytest.approx(-12.5e-3, abs=2e-6)
    assert right.whole_cycle == "none"


@pytest.mark.parametrize(("change", "field"), [
    ({"points": []}, "points"),
    ({"points": [{"name": "a", "sub": {"frequency": [1, 2, 3, 4, 5], "level": [0] * 5}, "front":
    {"frequency": [1, 2, 3, 4, 5], "level": [0] * 5}}]}, "points[0].sub"), ({"low": 100.0, "high": 120.0,
    "points": []}, "high"), ])  # fmt: skip
def test_what_cannot_be_judged_is_refused_beside_its_field(change: dict[str, Any], field: str) -> None:
    outcome = run_values(find_calculator("sub-alignment"), change)
    assert [error.field for error in outcome.errors] == [field]


def test_a_measured_driver_is_judged_as_its_model() -> None:
    """Measured raw or through the filter, 94 dB in its pass band: the same slope as the model's."""
    at = np.geomspace(20, 1000, 200)
    fall = -10 * np.log10((1 - (70 / at) ** 2) ** 2 + (70 / at / 0.8) ** 2)
    through = fall - 20 * np.log10(1 + (80 / at) ** 4)
    model = answer("acoustic-slope", corner=80.0, driver_frequency=70.0, driver_q=0.8)
    for levels, how in ((fall, "raw"), (through, "filtered")):
        pasted = {"frequency": at.tolist(), "level": (levels + 94).tolist()}
        found = answer("acoustic-slope", corner=80.0, measured=pasted, measured_with=how)
        assert found.acoustic_level == pytest.approx(model.acoustic_level, abs=0.15)
        assert found.acoustic_corner == pytest.approx(model.acoustic_corner, rel=0.01)
        assert found.turned is None
    short = run_values(
        find_calculator("acoustic-slope"),
        {"corner": 400.0, "measured": {"frequency": at.tolist(), "level": fall.tolist()}},
    )
    assert [error.field for error in short.errors] == ["measured"]


def test_the_nearest_filter_is_the_best_of_a_dense_search() -> None:
    """Butterworth and Linkwitz-Riley of 12 dB/oct, every thousandth of an octave: none is nearer by level."""
    found = answer("acoustic-slope", corner=80.0, driver_frequency=70.0, driver_q=0.8)
    at = 80 * 2 ** np.linspace(-1, 1, 49)
    wanted = -20 * np.log10(1 + (80 / at) ** 4)
    driver = -10 * np.log10((1 - (70 / at) ** 2) ** 2 + (70 / at / 0.8) ** 2)
    corners = 80 * 2 ** np.arange(-1, 1, 0.001)[:, np.newaxis]
    tried = (-10 * np.log10(1 + (corners / at) ** 4), -20 * np.log10(1 + (corners / at) ** 2))
    best = min(float(np.min(np.sqrt(np.mean((each + driver - wanted) ** 2, axis=1)))) for each in tried)
    assert found.nearest_miss <= best + 1e-4
    q = 1 / (1 - (70 / 80) ** 2 - 1j * (70 / 80) / 0.8)
    corner = found.nearest_corner / 80
    filtered = 1 / (1 - corner**2 - 1j * 2**0.5 * corner)  # Butterworth, 12 dB/oct, by the textbook.
    turned = np.degrees(np.angle(q * filtered / -1))  # Linkwitz-Riley, 24 dB/oct, turns by 180° there.
    assert found.nearest_turned == pytest.approx(turned, abs=1e-6)


def test_a_filter_that_turns_is_not_the_nearest_for_a_little_less_level() -> None:
    """By level alone it was a Butterworth of 48 dB/oct, turned by 144° at the corner."""
    found = answer("acoustic-slope", corner=80.0, wanted_slope=12.0, driver_frequency=76.9, driver_q=0.5)
    assert found.nearest == "Butterworth, 12 dB/oct"
    assert abs(found.nearest_turned) < 45
    assert found.nearest_turned_above < found.nearest_turned < found.nearest_turned_below < 60


def test_the_filter_found_with_both_falls_leaves_the_tape_right() -> None:
    """The join added up with SciPy's filters: its proposal is in step by distance alone, the others are not.

    A box of 45 Hz and a door of 70 Hz, Q 0.8, at 80 Hz; without the box it is Butterworth 12 that is right.
    """
    at = np.geomspace(50, 125, 101)

    def through(found: tuple[Any, Any]) -> Any:
        return signal.freqs(*found, worN=2 * np.pi * at)[1]

    def falls(resonance: float) -> Any:
        return 1 / (1 - (resonance / at) ** 2 - 1j * resonance / at / 0.8)

    def apart(front: Any, box: Any) -> float:
        sub = through(signal.butter(2, 2 * np.pi * 80, "low", analog=True)) ** 2 * box
        return float(np.max(np.abs(np.degrees(np.angle(sub / (front * falls(70)))))))

    def fits(found: Any) -> Any:
        corner = 2 * np.pi * found.nearest_corner
        if found.nearest.startswith("Bessel"):
            return through(signal.bessel(4, corner, "high", analog=True, norm="mag"))
        return through(signal.butter(2, corner, "high", analog=True))

    both, alone = (
        answer("acoustic-slope", corner=80.0, driver_frequency=70.0, driver_q=0.8, partner_frequency=falls_at)
        for falls_at in (45.0, None)
    )
    assert (both.nearest, alone.nearest) == (
        "Bessel (−3 dB at the corner), 24 dB/oct", "Butterworth, 12 dB/oct",
    )  # fmt: skip
    assert apart(fits(both), falls(45)) < 6
    assert apart(fits(alone), 1.0) < 6
    assert apart(fits(alone), falls(45)) > 70
    steep = through(signal.butter(2, 2 * np.pi * 80, "high", analog=True)) ** 2
    assert apart(steep, falls(45)) == pytest.approx(39, abs=0.5)
    assert both.wanted_level == pytest.approx(
        -6.0206 + 20 * np.log10(np.abs(np.interp(80, at, falls(45)))), abs=0.01
    )


def test_a_resonance_in_a_box_is_no_fall_towards_the_treble() -> None:
    """Under 200 Hz, or over an octave under the corner, a low-pass asks back; the other's box is refused."""

    def asked(corner: float, falls_from: float) -> bool:
        found = answer("acoustic-slope", side="low-pass", corner=corner, driver_frequency=falls_from)
        return any("Does this driver fall towards the treble" in each.message for each in found.advice)

    assert [asked(80.0, at) for at in (45.0, 199.0, 200.0, 400.0)] == [True, True, False, False]
    assert [asked(3000.0, at) for at in (70.0, 1499.0, 1500.0)] == [True, True, False]
    refused = run_values(find_calculator("acoustic-slope"), {"side": "low-pass", "partner_frequency": 45.0})
    assert [error.field for error in refused.errors] == ["partner_frequency"]


def test_an_all_pass_says_that_each_seat_keeps_a_null() -> None:
    found = answer("all-pass", path_difference=0.49, temperature=24.0)
    assert re.search(r"^both gain: .* dB; each keeps a null, at \d+ and \d+ Hz$", found.words)
    assert (found.lowest_1 < -12, found.lowest_2 < -12) == (True, True)
    alone = answer("all-pass", left_order="none", right_order="first", right_frequency=353.0)
    assert "null" not in alone.words or alone.words.startswith("both gain")


@pytest.mark.parametrize(("difference", "low", "high"), [(3.0, 100.0, 800.0), (0.49, 1000.0, 5000.0)])
def test_where_both_seats_gain_has_no_hole(difference: float, low: float, high: float) -> None:
    """Between its ends both gain everywhere: looked at once more in that stretch alone, none is left out."""
    whole = answer("all-pass", path_difference=difference, low=low, high=high)
    ends = whole.gain_low, whole.gain_high
    assert low <= ends[0] < ends[1] <= high
    speed, at = air.speed_of_sound(20.0), np.geomspace(*ends, 400)
    sides = (
        filters.response(biquads.biquad("all-pass", share * speed / difference, 0.0, q), at)
        for share, q in ((0.27, 2.0), (0.58, 1.4))
    )
    none = np.ones_like(at, dtype=complex)
    plain, _ = two_seats.at_both_seats(at, difference / speed, none, none)
    one, other = two_seats.at_both_seats(at, difference / speed, *sides)
    assert np.min(two_seats.regained(plain, one, other)[1:-1]) > -0.01


def shared(name: str, first: float, second: float, low: float, high: float) -> dict[str, Any]:
    return {"name": name, "distance_1": first, "distance_2": second, "low": low, "high": high}


def test_opposite_sides_have_no_phase_to_set_and_a_subwoofer_has_one_with_both() -> None:
    """The subwoofer stands in the left corner: it has no counterpart, so it is of both sides."""
    found = answer(
        "delay-two-seats",
        speakers=[
            shared("Left tweeter", 0.86, 1.38, 3000, 20e3), shared("Left woofer", 0.98, 1.47, 80, 3000),
            shared("Right tweeter", 1.38, 0.86, 3000, 20e3), shared("Right woofer", 1.47, 0.98, 80, 3000),
            shared("Subwoofer", 1.7, 2.1, 20, 80),
        ],
    )  # fmt: skip
    phases = {(row.first, row.second): (row.phase_1, row.phase_2, row.meet) for row in found.pairs}
    for pair in (("Left tweeter", "Right woofer"), ("Left woofer", "Right tweeter")):
        assert phases[pair] == (None, None, "opposite sides, 3 kHz")
        assert not any(" and ".join(pair) in each.message for each in found.advice)
    joins = {pair for pair, told in phases.items() if told[0] is not None}
    assert joins == {
        ("Left tweeter", "Left woofer"), ("Right tweeter", "Right woofer"), ("Left woofer", "Subwoofer"),
        ("Right woofer", "Subwoofer"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("step", "typed", "angle"), [(1e-4, ("0.500", "0.500"), 104), (1e-5, ("0.550", "0.450"), None)]
)  # fmt: skip
def test_two_seats_are_told_of_the_delays_that_are_typed(
    step: float, typed: tuple[str, str], angle: int | None
) -> None:
    """131.2 and 134.5 cm are 96.2 µs of air at 20 °C; in steps of 0.1 ms nothing makes up for them."""
    found = answer(
        "delay-two-seats",
        step=step,
        speakers=[
            shared("Tweeter", 1.312, 1.312, 3000, 20e3), shared("Woofer", 1.345, 1.345, 80, 3000),
            shared("Subwoofer", 1.5, 1.5, 20, 80),
        ],
    )  # fmt: skip
    assert found.settings == f"Tweeter {typed[0]}, Woofer {typed[1]}, Subwoofer 0.000"
    between = (1.345 - 1.312) / 343.2 + 1e-3 * (float(typed[1]) - float(typed[0]))
    assert found.pairs[0].late_1 == pytest.approx(between, abs=1e-9)
    assert found.pairs[0].phase_1 == pytest.approx(360 * 3000 * between, abs=1e-3)
    first = [distance / 343.2 for distance in (1.312, 1.345, 1.5)]
    arrive = np.array(first) + 1e-3 * np.array([float(typed[0]), float(typed[1]), 0.0])
    assert found.error_rms == pytest.approx(float(np.std(arrive)), abs=1e-9)
    assert [row.error_1 for row in found.speakers] == pytest.approx(
        (arrive - arrive.mean()).tolist(), abs=1e-9
    )
    told = [each.message for each in found.advice]
    if angle is None:
        assert told == []
    else:
        (only,) = told
        assert (
            f"step of 0.1 ms, these end up apart by rounding alone: Tweeter and Woofer by 96 µs, {angle}°"
            in only
        )


def test_a_pair_of_one_band_is_told_of_a_coarse_step_and_a_mirrored_one_never() -> None:
    """A step of 2.5 ms: the twins round alike, front and rear do not."""
    rows = [
        shared("Left", 0.98, 1.47, 80, 3000), shared("Right", 1.47, 0.98, 80, 3000),
        shared("Rear", 1.9, 1.9, 80, 3000),
    ]  # fmt: skip
    found = answer("delay-two-seats", step=2.5e-3, speakers=rows)
    delays = [row.set_delay for row in found.speakers]
    assert delays[0] == delays[1]
    told = next(each.message for each in found.advice if each.about == "step")
    assert "Left and Right" not in told
    assert "Left and Rear by" in told


def test_a_join_that_no_fair_delay_mends_is_said_to_be_shared_already() -> None:
    """±47° of the running job are left alone; ±60° and more are told, and no join check is sent for."""

    def told(apart: float) -> list[str]:
        rows = [shared("Tweeter", 1.0, 1.0 + apart, 3000, 20e3), shared("Woofer", 1.1, 1.1, 80, 3000)]
        return [each.message for each in answer("delay-two-seats", speakers=rows, step=1e-7).advice]

    edge = 2 * 60 / 360 / 3000 * 343.2
    assert told(edge - 1e-3) == []
    (over,) = told(edge + 1e-3)
    assert "share it already" in over
    assert "join check" not in over
    assert "no join check tells anything" in told(3.1 * edge)[0]
    rows = [shared("Tweeter", 1.0, 1.0 + 2 * edge, 3000, 20e3), shared("Woofer", 1.1, 1.1, 80, 3000)]
    alone = [each.message for each in answer("delay-two-seats", speakers=rows, seat_share=1.0).advice]
    assert any("at one seat or both" in each for each in alone)
    assert not any("share it already" in each for each in alone)


def test_parts_of_their_own_families_and_polarities() -> None:
    """A part turned is the other part turned; a part late is the other one early."""
    plain = {"low_pass": 80.0, "high_family": "butterworth", "high_slope": 12.0}
    first = answer("crossover", **plain, polarity="reversed", delay=1e-3)
    second = answer("crossover", **plain, low_polarity="reversed", low_late=-1e-3)
    assert first.lowest_sum == second.lowest_sum
    assert first.high_level == pytest.approx(-3.0103, abs=1e-4)
    assert "low" in first.section_qs
    driven = answer("crossover", low_pass=80.0, low_falls=45.0, high_falls=70.0, sample_rate=48e3)
    assert driven.better_polarity == "as wired"
    turned = answer("crossover", low_pass=80.0, low_falls=45.0, high_falls=70.0, polarity="reversed")
    assert any("the other way round" in each.message for each in turned.advice)


def in_boxes(late: float, sign: float = 1.0) -> list[dict[str, Any]]:
    """A box of 45 Hz and a door of 70 Hz behind Linkwitz-Riley 24 dB/oct at 80 Hz, at four points."""

    def falls(resonance: float) -> tuple[FloatArray, FloatArray]:
        driver = 1 / (1 - (resonance / AT) ** 2 - 1j * resonance / AT / 0.8)
        return 20 * np.log10(np.abs(driver)), np.angle(driver)

    (box, box_turned), (door, door_turned) = falls(45), falls(70)
    half = 1j * AT / 80
    filtered = np.angle(1 / (half**2 + np.sqrt(2) * half + 1) ** 2)  # The same for both, and a whole turn.
    return [
        {
            "name": f"point {place}",
            "sub": curve(
                box - 20 * np.log10(1 + (AT / 80) ** 4),
                late + 1e-4 * (place - 1.5),
                filtered + box_turned + (0.0 if sign > 0 else np.pi),
            ),
            "front": curve(door - 20 * np.log10(1 + (80 / AT) ** 4), 0.0, filtered + door_turned),
        }
        for place in range(4)
    ]


def typed(found: Any) -> float:
    """The delay that the advice asks to be typed, s."""
    (number,) = {match for each in found.advice for match in re.findall(r"Type (\S+) ms", each.message)}
    return float(number.replace("−", "-")) / 1e3


@pytest.mark.parametrize(("late", "about"), [(6e-3, "search_about"), (7e-3, "search_about"),
    (8.6e-3, "whole_cycle"), (12e-3, "whole_cycle"), (-8e-3, "search_about")])  # fmt: skip
def test_a_search_in_the_wrong_place_says_where_to_search_and_leaves_polarity_alone(
    late: float, about: str
) -> None:
    """0.91 ms more than they arrive apart is best; what the advice says to type finds it."""
    found = answer("sub-alignment", points=in_boxes(late))
    assert found.advice[0].about == about
    assert all(each.about != "polarity" for each in found.advice)
    again = answer("sub-alignment", points=in_boxes(late), search_about=typed(found))
    assert again.delay == pytest.approx(-late - 0.91e-3, abs=0.02e-3)
    assert again.advice == ()


@pytest.mark.parametrize(("late", "sign", "polarity"), [(9e-3, 1.0, "free"), (2e-3, -1.0, "proven")])
def test_half_a_cycle_is_not_taken_for_a_polarity(late: float, sign: float, polarity: str) -> None:
    """Both lose 0.2 dB only, by half a cycle and a wrong polarity, and stand 57 degrees apart."""
    found = answer("sub-alignment", points=in_boxes(late, sign), polarity=polarity)
    assert found.mean_loss > -0.25
    assert found.largest_phase > 50
    assert all(point.phase_apart > 50 for point in found.points)
    assert "prove its polarity" in found.advice[0].message
    if late < 5e-3:
        assert "The slope's delay was inside the search" in found.advice[0].message
        return
    healthy = answer("sub-alignment", points=in_boxes(late), search_about=typed(found))
    assert healthy.delay == pytest.approx(-late - 0.91e-3, abs=0.02e-3)


@pytest.mark.parametrize(("latency", "told"), [(0.0, False), (0.018, False), (0.1, True)])
def test_a_delay_longer_than_processors_set_is_asked_about_for_two_seats_too(
    latency: float, told: bool
) -> None:
    """The subwoofer's latency is what all others wait."""
    rows = [
        {"name": "Left", "distance_1": 1.0, "distance_2": 1.4},
        {"name": "Right", "distance_1": 1.4, "distance_2": 1.0},
        {"name": "Subwoofer", "distance_1": 1.2, "distance_2": 1.2, "latency": latency},
    ]
    notes = answer("delay-two-seats", speakers=rows).advice
    asked = [note.message for note in notes if note.about == "longest_delay"]
    assert [
        each.startswith("Over 20 ms, which is more than most processors set: Left, Right.") for each in asked
    ] == ([True] if told else [])
