"""The 31-band equaliser, its headroom and the target curve, as a page asks for them."""

from typing import Any

import numpy as np
import pytest
from scipy import optimize, signal

from calculators.declaring import run_values
from calculators.physics.bands import exact_third_octaves
from calculators.physics.equalisers import graphic_equaliser
from calculators.presenting.forms import form
from calculators.stages import find_calculator
from tests.asking import run
from tests.conftest import SOAK

CENTRES = exact_third_octaves()


def library_levels(gains: Any, q: float, rate: float, at: Any = CENTRES) -> Any:
    """Levels of 31 peaks of the Audio EQ Cookbook, worked by the library from its coefficients."""
    sections = []
    for centre, gain in zip(CENTRES, gains, strict=True):
        root, angle = 10 ** (gain / 40), 2 * np.pi * centre / rate
        alpha = np.sin(angle) / (2 * q)
        above = [1 + alpha * root, -2 * np.cos(angle), 1 - alpha * root]
        below = [1 + alpha / root, -2 * np.cos(angle), 1 - alpha / root]
        sections.append([*np.array(above) / below[0], *np.array(below) / below[0]])
    return 20 * np.log10(np.abs(signal.sosfreqz(sections, at, fs=rate)[1]))


def between(wanted: Any) -> Any:
    """Half-way between two bands, over the logarithm of frequency, a straight line is at their mean."""
    return np.interp(np.arange(61), np.arange(0, 61, 2), wanted)


POINTS = np.sort(np.concatenate([CENTRES, np.sqrt(CENTRES[1:] * CENTRES[:-1])]))


@pytest.mark.parametrize("rate", [44100.0, 48000.0, 96000.0, 192000.0])
def test_random_targets_are_met(rate: float) -> None:
    """At and between the bands: no worse than the bounded library solver's linear gains."""
    random = np.random.default_rng(int(rate))
    one_by_one = np.array([library_levels(0.01 * row, 4.33, rate, POINTS) for row in np.eye(31)]).T / 0.01
    for _ in range(25 if SOAK else 6):
        wanted = random.uniform(-12, 12, 31)
        result: Any = run("graphic-equaliser", gains=list(wanted), sample_rate=rate).result
        gains = [row.gain for row in result.bands]
        left = library_levels(gains, 4.33, rate, POINTS) - between(wanted)
        linear = optimize.lsq_linear(one_by_one, between(wanted), (-24, 24)).x
        left_by_linear = library_levels(linear, 4.33, rate, POINTS) - between(wanted)
        assert np.sum(left**2) <= np.sum(left_by_linear**2)
        assert result.miss == pytest.approx(np.sqrt(np.mean(left**2)), abs=1e-6)
        assert result.worst_miss == pytest.approx(np.max(np.abs(left[::2])), abs=1e-6)
        assert max(abs(row.gain) for row in result.bands) <= 24


def test_what_is_left_between_the_bands_is_said() -> None:
    """A level +6 dB: sliders solved at the centres alone leave 1.8 dB between them and say 0.00."""
    outcome = run("graphic-equaliser", gains=[6.0] * 31)
    result: Any = outcome.result
    gains = [row.gain for row in result.bands]
    grid = np.geomspace(CENTRES[0], CENTRES[-1], 3001)
    left = np.abs(library_levels(gains, 4.33, 48000.0, grid) - 6)
    assert np.max(left) > 4
    assert result.worst_between == pytest.approx(np.max(left), abs=0.05)
    assert result.worst_between_frequency == pytest.approx(grid[np.argmax(left)], rel=0.03)
    assert np.max(left[grid < 8000]) < 1.25
    assert any(entry.about == "q" and "too narrow" in entry.message for entry in outcome.advice)
    drawn = [value for value in result.chart.series[2].values if value is not None]
    assert max(map(abs, drawn)) == pytest.approx(result.worst_between, abs=1e-9)


def test_it_starts_level_and_moves_nothing() -> None:
    for inputs in ({}, dict(find_calculator("graphic-equaliser").example)):
        outcome = run("graphic-equaliser", **inputs)
        assert outcome.result.settings == "none"
        assert outcome.result.to_move == ()
        assert outcome.result.miss == 0
        assert outcome.result.worst_between_frequency is None
        assert outcome.advice == ()
    page = form(find_calculator("graphic-equaliser"), "test")
    assert all(f'name="gains[{band}]"' in page for band in range(31))
    assert page.count('value="0"') >= 31


HUMP = [0.0] * 7 + [1.0, 3.0, 6.0, 3.0, 1.0] + [0.0] * 19


def test_a_measured_hump_is_typed_as_measured_and_comes_down() -> None:
    """Five bands typed; the sign is turned, and the first answer holds the bands to move alone."""
    measured: Any = run("graphic-equaliser", given="measured", gains=HUMP).result
    wanted: Any = run("graphic-equaliser", gains=[-level for level in HUMP]).result
    assert measured.settings == wanted.settings
    assert [row.gain for row in measured.bands] == pytest.approx([row.gain for row in wanted.bands], abs=1e-9)
    assert "125 Hz −2.0, 160 Hz −5.6, 200 Hz −2.0" in measured.settings
    assert len(measured.to_move) == measured.settings.count(", ") + 1 < 12
    assert all(abs(row.gain) >= 0.05 for row in measured.to_move)
    after = np.array(HUMP) + library_levels([row.gain for row in measured.bands], 4.33, 48000.0)
    assert np.max(np.abs(after)) < 0.5


def test_a_measured_curve_goes_to_the_target_given() -> None:
    """The target of the other calculator, less what was measured, is what is asked."""
    shape = {"bass_gain": 7.5, "bass_frequency": 80.0, "tilt": -0.5, "hinge": 200.0}
    target: Any = run("target-curve", **shape).result
    result: Any = run("graphic-equaliser", given="measured", gains=HUMP, **shape).result
    for row, aim, level in zip(result.bands, target.bands, HUMP, strict=True):
        assert row.asked == pytest.approx(aim.level - level, abs=1e-9)
    far = run_values(
        find_calculator("graphic-equaliser"), {"given": "measured", "gains": [20.0] * 31, "bass_gain": -10}
    )
    assert [error.field for error in far.errors] == ["gains[0]"]


def test_neighbours_add_up_when_sliders_are_set_as_asked() -> None:
    gains = [6.0 if 10 <= band <= 16 else 0.0 for band in range(31)]
    result: Any = run("graphic-equaliser", gains=gains).result
    left = library_levels(gains, 4.33, 48000.0, POINTS) - between(gains)
    assert result.miss_as_set == pytest.approx(np.sqrt(np.mean(left**2)), rel=1e-6)
    assert result.worst_miss_as_set == pytest.approx(np.max(np.abs(left[::2])), rel=1e-6)
    assert result.worst_miss_as_set > 2
    assert result.worst_miss < result.worst_miss_as_set / 3


def test_a_curve_beyond_the_limit_is_said_to_be_out_of_reach() -> None:
    ragged = [12.0 if band % 2 else -12.0 for band in range(31)]
    outcome = run("graphic-equaliser", gains=ragged, gain_limit=12.0)
    assert any("cannot be had" in entry.message for entry in outcome.advice)


def test_boosts_on_one_another_add_and_are_cut_in_front() -> None:
    peak = {"kind": "peak", "frequency": 100.0, "gain": 3.0, "q": 1.0}
    result: Any = run("equaliser-headroom", filters=[peak, peak]).result
    assert result.boost == pytest.approx(6, abs=1e-6)
    assert result.boost_frequency == pytest.approx(100, rel=1e-3)
    assert result.cut == pytest.approx(-6, abs=1e-6)
    # Definition: 6 dB is 10^0.6 times the power.
    assert result.power_ratio == pytest.approx(10**0.6, rel=1e-6)
    roomy: Any = run("equaliser-headroom", filters=[peak, peak], output_limit=4.0).result
    assert roomy.cut == pytest.approx(-2, abs=1e-6)
    assert run("equaliser-headroom").result.boost == 0


def squares_through(sections: Any, lowest: float, highest: float) -> float:
    """Level, dB, of the highest peak that square waves of full level come out with, by the library."""
    seconds = np.arange(48000) / 48000
    peaks = [
        np.max(np.abs(signal.sosfilt(sections, signal.square(2 * np.pi * frequency * seconds))[4800:]))
        for frequency in np.geomspace(lowest, highest, 40)
    ]
    return float(20 * np.log10(np.max(peaks)))


@pytest.mark.parametrize(
    ("row", "rise"),
    [
        ({"kind": "high-pass", "frequency": 80.0, "q": 0.7071}, 7.4),
        ({"kind": "all-pass", "frequency": 350.0, "q": 1.0}, 3.7),
    ],
)
def test_turned_phase_raises_peaks_that_no_tone_has(row: dict[str, Any], rise: float) -> None:
    """Limited music, as square waves of 30 to 350 Hz: a response of 0 dB and yet 7.4 and 3.7 dB of peak."""
    outcome = run("equaliser-headroom", filters=[row])
    angle = 2 * np.pi * row["frequency"] / 48000
    alpha, cosine = np.sin(angle) / (2 * row["q"]), np.cos(angle)
    above = {
        "high-pass": [(1 + cosine) / 2, -1 - cosine, (1 + cosine) / 2],
        "all-pass": [1 - alpha, -2 * cosine, 1 + alpha],
    }[row["kind"]]
    section = np.array([[*above, 1 + alpha, -2 * cosine, 1 - alpha]]) / (1 + alpha)
    assert outcome.result.boost == pytest.approx(0, abs=0.02)
    assert squares_through(section, 30, 350) >= rise
    assert outcome.result.worst_peak > squares_through(section, 30, 350)
    impulse = signal.sosfilt(section, np.eye(1, 96000)[0])
    assert outcome.result.worst_peak == pytest.approx(20 * np.log10(np.sum(np.abs(impulse))), abs=0.01)
    assert outcome.result.worst_cut == pytest.approx(-outcome.result.worst_peak)
    assert any("3 dB more" in entry.message for entry in outcome.advice)
    assert run("equaliser-headroom", filters=[{"kind": "peak", "gain": -3.0}]).advice == ()


@pytest.mark.parametrize("rate", [None, 44100.0, 192000.0])
def test_the_worst_peak_is_that_of_the_whole_equaliser(rate: float | None) -> None:
    """The signs of the impulse response, backwards, are the signal that comes out highest."""
    gains = [float(gain) for gain in np.random.default_rng(4).uniform(-6, 6, 31)]
    result: Any = run("equaliser-headroom", gains=gains, sample_rate=rate).result
    built = graphic_equaliser(gains, 4.33, 44100.0 if rate == 44100 else 48000.0)
    sections = np.hstack([built.numerator, built.denominator])
    impulse = signal.sosfilt(sections, np.eye(1, 2**17)[0])
    highest = signal.sosfilt(sections, np.sign(impulse[::-1]))[-1]
    assert result.worst_peak == pytest.approx(20 * np.log10(abs(highest)), abs=0.01)
    assert result.worst_peak >= result.boost


def test_headroom_of_sliders_and_filters_together_is_that_of_the_library() -> None:
    gains = [float(gain) for gain in np.random.default_rng(4).uniform(-6, 6, 31)]
    result: Any = run("equaliser-headroom", gains=gains).result
    grid = np.geomspace(20, 20000, 20000)
    assert result.boost == pytest.approx(np.max(library_levels(gains, 4.33, 48000.0, grid)), abs=1e-3)


def test_target_is_level_at_1_kilohertz_and_falls_as_asked() -> None:
    """A shelf's middle holds half its gain (Audio EQ Cookbook); the tilt is so many dB an octave."""
    result: Any = run("target-curve", bass_gain=0.0, tilt=-1.0, hinge=500.0).result
    assert result.middle_level == pytest.approx(0, abs=1e-12)
    assert result.bass_level == pytest.approx(1, abs=1e-9)  # One octave from the hinge to 1 kHz.
    assert result.treble_level == pytest.approx(-np.log2(10), abs=1e-9)
    shelf: Any = run("target-curve", bass_gain=8.0, bass_frequency=50.0, tilt=0.0).result
    assert shelf.bass_level == pytest.approx(4, abs=1e-3)


def test_points_stand_for_the_shape_and_must_rise() -> None:
    points = [{"frequency": 50.0, "level": 6.0}, {"frequency": 5000.0, "level": 0.0}]
    result: Any = run("target-curve", points=points).result
    assert result.bass_level == 6
    # Half-way between 50 Hz and 5 kHz by ratio is 500 Hz; 1 kHz is log(20)/log(100) of the way.
    assert result.middle_level == pytest.approx(6 * (1 - np.log(20) / np.log(100)), rel=1e-9)
    wrong = run_values(find_calculator("target-curve"), {"points": points[::-1]})
    assert [error.field for error in wrong.errors] == ["points"]


def test_published_curves_are_told_as_they_are_published_and_as_made_for_rooms() -> None:
    """ISO 2969:2015: level to 2 kHz, 3 dB an octave down to 10 kHz, 6 dB above; BS.1116-3: level."""
    cinema: Any = run("target-curve", published="iso-2969").result
    assert (cinema.bass_level, cinema.middle_level, cinema.treble_level) == (-1, 0, -7)
    at = {row.frequency: row.level for row in cinema.bands}
    assert at[2000] == pytest.approx(0, abs=0.02)
    assert at[4000] == pytest.approx(-3, abs=0.05)
    assert at[16e3] - at[8e3] == pytest.approx(-3 * np.log2(10 / 8) - 6 * np.log2(16 / 10), abs=0.15)
    room: Any = run("target-curve", published="bs-1116").result
    assert {row.level for row in room.bands} == {0.0}
    for found, words in ((cinema, "cinemas over 125 m³, from 40 Hz to 16 kHz"), (room, "listening rooms")):
        (note,) = (each.message for each in found.advice if each.about == "published")
        assert note.startswith(f"Made for {words}")
        assert "for no vehicle" in note
    both = {"published": "bs-1116", "points": [{"frequency": 50.0, "level": 6.0}]}
    assert [error.field for error in run_values(find_calculator("target-curve"), both).errors] == [
        "published"
    ]


@pytest.mark.parametrize("rate", [44100.0, 48000.0, 96000.0, 192000.0])
def test_digital_filters_differ_near_the_top_of_the_band_alone(rate: float) -> None:
    """The bilinear transform squeezes the band up to half the sample rate (Oppenheim and Schafer)."""
    high: Any = run("filter", kind="peak", frequency=12000.0, gain=6.0, q=1.0, sample_rate=rate).result
    low: Any = run("filter", kind="peak", frequency=100.0, gain=6.0, q=1.0, sample_rate=rate).result
    assert abs(low.largest_difference) < 0.01
    warped = np.tan(np.pi * high.largest_difference_frequency / rate) / np.tan(np.pi * 12000 / rate)
    analogue, digital = (peak(ratio) for ratio in (high.largest_difference_frequency / 12000, warped))
    assert high.largest_difference == pytest.approx(digital - analogue, abs=1e-9)
    assert abs(high.largest_difference) > 0.01


def peak(ratio: float) -> float:
    """Level, dB, of the cookbook's analogue peak of 6 dB and Q 1 at a ratio to its centre."""
    root, s = 10 ** (6 / 40), 1j * ratio
    return float(20 * np.log10(abs((s**2 + s * root + 1) / (s**2 + s / root + 1))))


def test_a_filter_without_sample_rate_is_analogue() -> None:
    inputs = {"kind": "peak", "frequency": 12000.0, "gain": 6.0, "q": 1.0, "at": 6000.0}
    result: Any = run("filter", **inputs, sample_rate=None).result
    assert result.largest_difference is None
    assert result.level_at == pytest.approx(peak(0.5), abs=1e-9)
    assert len(result.coefficients) == 4


def test_a_width_stands_for_a_q_in_peaks_and_notches_only() -> None:
    wrong = run_values(find_calculator("filter"), {"kind": "low-shelf", "bandwidth": 1.0})
    assert [error.field for error in wrong.errors] == ["bandwidth"]


def test_a_narrow_null_is_not_filled_without_a_word() -> None:
    """A dip of 5.9 dB in one band: the slider went to +6.6 dB and nothing was said."""
    measured = [0.0] * 31
    measured[10] = -5.9
    outcome = run("graphic-equaliser", given="measured", gains=measured)
    assert "200 Hz +6.6" in outcome.result.settings  # type: ignore[union-attr]
    narrow, lifted = (entry.message for entry in outcome.advice)
    assert "200 Hz: asked for over 3 dB more than its neighbours" in narrow
    assert "200 Hz: lifted by more than 3 dB" in lifted
    for place in (0, 30):
        edge = [0.0] * 31
        edge[place] = 3.5
        assert any("its neighbours" in entry.message for entry in run("graphic-equaliser", gains=edge).advice)
    shelf = [2.5] * 8 + [0.0] * 23
    assert run("graphic-equaliser", gains=shelf).advice == ()


def test_headroom_gives_the_cut_in_front_at_any_boost() -> None:
    said = run("equaliser-headroom", filters=[{"kind": "peak", "gain": 8.0}]).advice
    assert any("6 times the power" in entry.message for entry in said)
    assert any("−8.0 dB in front" in entry.message for entry in said)


@pytest.mark.parametrize(("row", "boost", "at"), [
    ({"kind": "peak", "frequency": 12.0, "gain": 12.0, "q": 8.0}, 12.0, 12.0),
    # Low shelf, Audio EQ Cookbook, analogue, at 5/12 of its corner with Q 0.71: by the library below.
    ({"kind": "low-shelf", "frequency": 12.0, "gain": 6.0, "q": 0.71}, None, 5.0),
])  # fmt: skip
def test_headroom_hears_filters_under_20_hz(row: dict[str, Any], boost: float | None, at: float) -> None:
    result: Any = run("equaliser-headroom", filters=[row], sample_rate=None).result
    if boost is None:
        root = 10 ** (row["gain"] / 40)
        above = root * np.array([1, np.sqrt(root) / row["q"], root])
        below = [root, np.sqrt(root) / row["q"], 1]
        response = signal.freqs(above, below, [at / row["frequency"]])[1][0]
        boost = float(20 * np.log10(abs(response)))
    assert result.boost == pytest.approx(boost, abs=1e-4)
    assert result.boost_frequency == pytest.approx(at, rel=1e-3)
    assert result.chart.x.low <= at


def test_nobody_is_told_to_set_a_cut_of_nothing() -> None:
    outcome = run_values(find_calculator("equaliser-headroom"), {"filters": [{"kind": "peak", "gain": 0.04}]})
    assert 0 < outcome.result.boost < 0.05
    assert "cut" not in {entry.about for entry in outcome.advice}


@pytest.mark.parametrize(
    ("filters", "more", "cut"),
    [
        ([{"kind": "peak", "gain": 4.0}], {}, -4.0),
        ([{"kind": "peak", "gain": 4.0}], {"crossed": True}, -7.0),
        ([], {"crossed": True, "output_limit": 2.0}, -1.0),  # The channel's own trim of -2 dB is room.
        ([], {"crossed": True, "output_limit": 3.0}, 0.0),
        ([{"kind": "all-pass", "frequency": 300.0, "q": 1.0}], {}, -3.0),
        ([{"kind": "all-pass", "frequency": 300.0, "q": 1.0}], {"crossed": True}, -3.0),  # Once, not twice.
    ],
)
def test_where_passes_are_in_line_3_db_more_go_in_front(
    filters: list[dict[str, Any]], more: dict[str, Any], cut: float
) -> None:
    """The tune's rule too."""
    outcome = run_values(find_calculator("equaliser-headroom"), {"filters": filters} | more)
    assert outcome.result.cut == pytest.approx(cut, abs=1e-3)
    assert ("cut" in {entry.about for entry in outcome.advice}) == (cut < 0)
    if more.get("crossed"):  # What is not listed is in no worst case.
        assert outcome.result.worst_cut is None
    else:
        assert outcome.result.worst_cut <= outcome.result.cut


def test_no_smaller_cut_is_enough_for_everything_than_music_asks() -> None:
    """A low-pass: its own worst case is 0.4 dB, and the rule asks 3."""
    result: Any = run(
        "equaliser-headroom", filters=[{"kind": "low-pass", "frequency": 80.0, "q": 0.7071}]
    ).result
    assert result.worst_peak < 1
    assert result.worst_cut == result.cut == pytest.approx(-3, abs=1e-6)


def test_a_boost_of_over_ten_times_the_power_is_a_danger() -> None:
    for gain, danger in ((6.5, False), (9.9, False), (10.1, True), (24.0, True)):
        peak = {"kind": "peak", "frequency": 100.0, "gain": gain, "q": 3.0}
        (told,) = [each for each in run("equaliser-headroom", filters=[peak]).advice if each.about == "boost"]
        assert told.danger == danger
