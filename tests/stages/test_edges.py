"""What is said on the very edge of a rule, and in the case that seldom comes."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any
from unittest.mock import MagicMock

import numpy as np
import pytest

from calculators.declaring import Kept, Outcome, Working, run_values
from calculators.stages import find_calculator
from calculators.stages.design import pre_charge, sealed_box, vented_box
from calculators.stages.fabrication import added_mass, fixing_load
from calculators.stages.quote import job_hours
from calculators.stages.tuning import loudness_contour, read_back, tune
from calculators.vocabulary.job_clock import MINUTES_A_DAY, Clock
from calculators.vocabulary.sheet_file import Sheet
from tests.stages.wiring.test_wiring_schedule import feed, ground, schedule


def asked(slug: str, **inputs: Any) -> Outcome:
    """The example with some inputs changed."""
    calculator = find_calculator(slug)
    return run_values(calculator, {**calculator.example, **inputs})


def said(outcome: Outcome) -> str:
    """All of the advice, in one."""
    return " ".join(one.message for one in outcome.advice)


def wave_of(outcome: Outcome) -> np.ndarray[Any, np.dtype[np.float64]]:
    """The samples of a file of 16 bits, part of full scale, a column for each channel."""
    contents = outcome.files["file"].contents
    channels = int.from_bytes(contents[22:24], "little")
    return np.frombuffer(contents[44:], "<i2").reshape(-1, channels) / 2.0**15


def test_a_short_tone_is_faded_over_a_quarter_of_it_at_each_end() -> None:
    """0.1 s at 100 Hz: 25 ms in place of 50, so the trough at 27.5 ms is whole."""
    wave = wave_of(asked("tone", frequency=100.0, duration=0.1, level=-6.0, sample_rate=48_000.0))[:, 0]
    assert np.max(np.abs(wave[1200:1440])) == pytest.approx(10 ** (-6 / 20), rel=1e-3)


def test_a_short_noise_is_faded_over_a_quarter_of_it_at_each_end() -> None:
    """The same noise at 30 ms, in a file of 0.1 s and in one of 1 s, whose fade is 50 ms long."""
    inputs = {"low": 50.0, "high": 15_000.0, "level": -20.0, "sample_rate": 48_000.0}
    short, long = (wave_of(asked("noise", duration=duration, **inputs))[:, 0] for duration in (0.1, 1.0))
    middle = slice(1440, 2000)
    faded = np.sin(np.pi / 2 * (np.arange(2400)[middle] + 0.5) / 2400) ** 2
    assert long[middle] == pytest.approx(short[middle] * faded, abs=1e-4)


def test_unrelated_sides_are_two_noises_and_the_left_is_the_one_of_a_mono_file() -> None:
    inputs = {"low": 200.0, "high": 8000.0, "duration": 1.0, "seed": 3.0}
    both, mono = (wave_of(asked("noise", channels=kind, **inputs)) for kind in ("unrelated", "mono"))
    assert both[:, 0] == pytest.approx(mono[:, 0], abs=1e-9)
    assert abs(np.corrcoef(both.T)[0, 1]) < 0.1


def test_a_noise_that_is_too_short_says_how_long_it_must_be() -> None:
    """A level scatters by the root of the time: four times as long, half as much (statistics, textbook)."""
    outcome = asked("noise", low=100.0, high=126.0, duration=1.0)
    needed = (outcome.result.scatter / 0.5) ** 2
    assert needed > 2
    assert f"{needed:.0f} s are needed" in said(outcome)


def test_the_narrowest_noise_is_a_tenth_wide() -> None:
    assert asked("noise", low=1000.0, high=1100.0).errors == ()
    assert [one.field for one in asked("noise", low=1000.0, high=1099.0).errors] == ["high"]


@pytest.mark.parametrize(("fill", "volume"), [(1.0, 0.01), (1.25, 0.008)])
def test_a_lining_makes_the_box_for_a_q_as_much_smaller(fill: float, volume: float) -> None:
    """Vas/((Qtc/Qts)² - 1), over what the lining is worth (closed box, textbook): Qtc 1 of Qts 0.5."""
    assert sealed_box._volume_for(1.0, 0.5, 0.03, fill) == pytest.approx(volume)


def test_no_box_is_large_enough_for_a_q_hardly_over_that_in_free_air() -> None:
    largest = sealed_box.BOX_VOLUME[1]
    ratio = (0.6 / 0.5) ** 2 - 1
    for fill in (1.0, 1.25):
        most = ratio * fill * largest
        assert sealed_box._volume_for(0.6, 0.5, 0.999 * most, fill) == pytest.approx(0.999 * largest)
        assert sealed_box._volume_for(0.6, 0.5, 1.001 * most, fill) is None


def test_a_port_that_does_not_fit_is_told_with_the_edge_of_the_cube() -> None:
    """512 litres are a cube of 80 cm."""
    (advice,) = vented_box._port_advice(0.75, 0.1, 0.512)
    assert "80 cm inside" in advice.message


@pytest.mark.parametrize(
    ("front", "words"), [(-0.5, "would leave the road"), (0.0, "would leave the road"), (0.6, "carry 1 kg")]
)
def test_an_axle_that_carries_nothing_leaves_the_road(front: float, words: str) -> None:
    assert words in added_mass._places(front, True, ())[0].message


def test_a_load_that_is_not_shown_comes_before_every_margin() -> None:
    assert min([0.0, 0.4, None, 2.0], key=fixing_load._order) is None


def test_a_task_that_begins_at_midnight_is_of_the_day_to_come_and_one_that_ends_then_of_the_last() -> None:
    clock = Clock((), 0, 7)
    assert job_hours._when(clock, MINUTES_A_DAY) == "day 1, 24:00"
    assert job_hours._when(clock, MINUTES_A_DAY, starts=True) == "day 2, 0:00"
    assert job_hours._when(clock, MINUTES_A_DAY - 1, starts=True) == "day 1, 23:59"


@pytest.mark.parametrize(("top", "fields"), [(1800.0, []), (1420.0, ["measured"])])
def test_a_curve_of_three_bands_is_smoothed_and_of_two_is_not(top: float, fields: list[str]) -> None:
    """The bands of 1, 1.25 and 1.6 kHz reach from 891 to 1778 Hz (IEC 61260-1)."""
    outcome = asked(
        "curve-smooth", measured={"frequency": np.geomspace(880.0, top, 10).tolist(), "level": [70.0] * 10}
    )
    assert [one.field for one in outcome.errors] == fields


def compared(mean: float, low: float = 280.0) -> str:
    """What is said of left and right so many dB apart, from a frequency on."""
    at = np.geomspace(low, 6000.0, 40).tolist()
    one, other = ({"frequency": at, "level": [level] * 40} for level in (80.0, 80.0 + mean))
    outcome = asked("curve-compare", first=one, second=other, purpose="sides", shift="none")
    return str(outcome.result.verdict)


@pytest.mark.parametrize(("mean", "over"), [(0.499, False), (0.5, False), (-0.5, False), (0.501, True)])
def test_sides_may_differ_by_half_a_decibel_on_the_mean(mean: float, over: bool) -> None:
    assert ("the mean is over its limit" in compared(mean)) == over


def test_one_band_under_the_limits_is_named_as_not_judged() -> None:
    """From 111 Hz on the band of 125 Hz is whole, and has no limit."""
    assert "bands under 160 Hz are not judged" in compared(0.1, 111.0)
    assert "are not judged" not in compared(0.1, 141.0)


def test_of_two_devices_that_lose_too_much_the_first_is_named() -> None:
    runs = [
        row
        for name, length in (("One", 3.0), ("Two", 3.5))
        for row in (feed("Battery", name, area=16e-6, length=length), ground(name, area=16e-6, length=0.3))
    ]
    for allowed, verdict in ((0.02, "does not pass: Two loses too much"), (0.01, "does not pass: One loses")):
        outcome = schedule(*runs, body_resistance=0.004, allowed_drop=allowed)
        assert outcome.result.verdict.startswith(verdict)


@pytest.mark.parametrize(("gain", "narrow"), [(3.0, False), (3.2, True)])
def test_a_band_that_asks_for_over_3_db_more_than_its_neighbours_is_questioned(
    gain: float, narrow: bool
) -> None:
    outcome = asked("graphic-equaliser", gains=[0.0] * 12 + [gain] + [0.0] * 18)
    assert ("asked for over 3 dB more than its neighbours" in said(outcome)) == narrow


@pytest.mark.parametrize(("level", "weak"), [(-19.5, False), (-20.0, True)])
def test_a_reflection_20_db_down_is_weak(level: float, weak: bool) -> None:
    """It moves the level by 0.83 dB: 20·log10(1.1)."""
    assert ("A reflection this weak" in said(asked("path-cancellation", reflection_level=level))) == weak


def test_a_head_on_the_line_of_both_speakers_is_no_head_there() -> None:
    """1 m and 2 m from speakers 1 m apart: just beyond one of them."""
    (error,) = asked("voice-place", near=1.0, far=2.0, between=1.0).errors
    assert "No head can be at these two distances" in error.message


@pytest.mark.parametrize(("overload", "hardly"), [(3.0, True), (3.1, False)])
def test_3_db_of_clipping_are_hardly_heard(overload: float, hardly: bool) -> None:
    words = [take.words for take in asked("hear-clipping", overload=overload).result.sound.takes]
    assert any("You will hardly tell" in each for each in words) == hardly


def test_a_charge_is_told_in_thousands_of_joules() -> None:
    assert "9.94 kJ" in pre_charge._energy_advice(9940.0).message


def test_the_axis_of_a_lift_holds_the_line_and_zero_by_3_db() -> None:
    assert loudness_contour._ends(np.array([-4.0, 7.0])) == (-6.0, 9.0)
    assert loudness_contour._ends(np.array([-6.0, 0.0])) == (-6.0, 3.0)
    assert loudness_contour._ends(np.array([0.5, 1.0])) == (-3.0, 3.0)


@pytest.mark.parametrize(
    ("distance", "danger", "words"),
    [
        (0.3, None, ""),
        (0.301, False, "within 300 mm"),
        (0.45, False, "within 300 mm"),
        (0.451, True, "burns"),
    ],
)
def test_a_fuse_sits_within_300_mm_and_at_450_mm_at_the_very_most(
    distance: float, danger: bool | None, words: str
) -> None:
    told = [one for one in asked("fuse", distance=distance).advice if one.about == "distance"]
    assert [one.danger for one in told] == ([] if danger is None else [danger])
    assert all(words in one.message for one in told)


def test_another_box_of_the_same_litres_and_lining_is_the_same_box() -> None:
    result = asked("sealed-box", volume=0.03, other_volume=0.03, fill=1.2).result
    own, other = result.response_chart.series[:2]
    assert own.values == other.values


def test_a_plan_says_how_far_it_is_and_ends_at_the_whole() -> None:
    calculator, told = find_calculator("job-hours"), list[Working]()
    run_values(calculator, calculator.example, told.append)
    shares = [each.share for each in told]
    assert shares == sorted(shares)
    assert 0 < shares[0] < shares[-1] == 1


@pytest.mark.parametrize(("smoothing", "held"), [("3", 163), ("6", 167), ("12", 169)])
def test_a_part_of_an_octave_may_end_one_place_beyond_the_curve(smoothing: str, held: int) -> None:
    """Seven octaves, 169 places: half a third of an octave is four of them, half a sixth two."""
    frequency = (62.5 * 2 ** (np.arange(169) / 24)).tolist()
    measured = {"frequency": frequency, "level": [70.0] * 169}
    result = asked("curve-smooth", measured=measured, smoothing=smoothing).result
    assert len(result.curve.frequency) == held


def test_the_table_of_a_short_curve_leaves_no_place_out() -> None:
    """An octave of 24 places and the middles of its bands: fewer than two for each of 30 lines."""
    measured = {"frequency": np.geomspace(880.0, 1800.0, 10).tolist(), "level": [70.0] * 10}
    chart = asked("curve-smooth", measured=measured).result.chart
    assert len(chart.at) < 60
    assert chart.table_at == chart.at


def test_an_equaliser_that_lifts_nothing_wants_no_cut_nor_a_minus_before_nothing() -> None:
    assert repr(asked("equaliser-headroom", filters=[]).result.cut) == "0.0"


def test_the_frame_of_a_target_holds_the_limits_on_both_sides() -> None:
    for tilt in np.arange(-2.0, 2.1, 0.25).tolist():
        chart = asked("target-curve", bass_gain=0.0, tilt=tilt).result.chart
        lines = np.array([line.values for line in chart.series])
        assert chart.y.low <= np.min(lines)
        assert np.max(lines) <= chart.y.high
        assert lines - lines[0] == pytest.approx(np.array([[0.0], [3.0], [-3.0]]) + np.zeros(lines.shape))


@pytest.mark.parametrize(("frequency", "fits"), [(20_286.0, True), (20_287.0, False)])
def test_a_tone_fits_up_to_46_hundredths_of_the_sample_rate(frequency: float, fits: bool) -> None:
    outcome = asked("tone", frequency=frequency, duration=0.1, level=-40.0, sample_rate=44_100.0)
    assert (outcome.errors == ()) == fits


@pytest.mark.parametrize(("turned", "words"), [(1, "1 all-pass is still"), (2, "2 all-passes are still")])
def test_all_passes_that_are_still_to_be_looked_at_are_counted(
    monkeypatch: pytest.MonkeyPatch, turned: int, words: str
) -> None:
    lines = [replace(each, all_pass=(200.0, 1.0)) for each in read_back.OUR_SHEET[:turned]]
    monkeypatch.setattr(read_back, "OUR_SHEET", (*lines, *read_back.OUR_SHEET[turned:]))
    names = ("name", "high_pass", "low_pass", "delay", "gain")
    read = {"slope": "24", "polarity": "normal"}
    rows = [read | {name: getattr(line, name) for name in names} for line in read_back.OUR_SHEET]
    peaks = [{"name": line.name, **vars(peak)} for line in read_back.OUR_SHEET for peak in line.peaks]
    assert f"; {words} to be looked at" in asked("read-back", channels=rows, filters=peaks).result.verdict


def test_a_device_passes_that_loses_just_what_is_allowed() -> None:
    runs = (feed("Battery", "Amplifier", area=16e-6, length=3.0), ground("Amplifier", area=16e-6))
    (device,) = schedule(*runs, supply=10.0).result.devices
    for share, verdict in ((1.0, "passes"), (1 - 1e-6, "loses too much")):
        (again,) = schedule(*runs, supply=10.0, allowed_drop=device.drop / 10 * share).result.devices
        assert again.verdict == verdict


def test_the_filters_of_a_channel_at_most_are_those_of_the_channel_that_has_the_most(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rows = [SimpleNamespace(number=number) for number in (2.0, 5.0, 0.0)]
    monkeypatch.setattr(tune, "tune_sheet", MagicMock(channel_rows=lambda *_: rows, settings_in_short=str))
    for name in ("delay_rows", "delay_advice", "image_rows", "tune_files", "tune_advice", "low_volume"):
        monkeypatch.setattr(tune, name, MagicMock())
    found = MagicMock(left_out=[], plan=MagicMock(gains=[None]))
    assert tune._sheet(found, None, None, 80.0, MagicMock(), found, ()).filters_used == 5.0


@pytest.mark.parametrize(("file", "without"), [(None, False), ("left.txt", True)])
def test_a_sheet_of_which_one_channel_has_a_fir_filter_has_no_word(
    monkeypatch: pytest.MonkeyPatch, file: str | None, without: bool
) -> None:
    """The guided tune, which asks for the word, takes none of them."""
    first, second = read_back.OUR_SHEET
    monkeypatch.setattr(read_back, "read_sheet", lambda _: Sheet((replace(first, fir=file), second)))
    names = ("name", "high_pass", "low_pass", "delay", "gain")
    read = {"slope": "24", "polarity": "normal"}
    rows = [read | {name: getattr(line, name) for name in names} for line in read_back.OUR_SHEET]
    peaks = [{"name": line.name, **vars(peak)} for line in read_back.OUR_SHEET for peak in line.peaks]
    sheet = Kept("s", "sheet.json", 2, lambda start, count: b"{}"[start : start + count])
    result = asked("read-back", channels=rows, filters=peaks, sheet=sheet).result
    assert result.differences == ()
    assert (result.word == "–") == without
