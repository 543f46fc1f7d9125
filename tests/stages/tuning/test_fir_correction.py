"""The correction by many taps as a fitter meets it: its file, its delay, other points, refusals."""

from typing import Any

import numpy as np
import pytest
from scipy import signal

from calculators.declaring import run_values
from calculators.physics.biquads import biquad
from calculators.physics.filters import response
from calculators.stages import find_calculator
from calculators.vocabulary import fir_filters, point_examples

FIR = find_calculator("fir-correction")
COAXIAL: dict[str, Any] = {
    name: list(getattr(point_examples.COAXIAL, name)) for name in ("frequency", "level", "phase")
}
AT = 1000 * 2 ** (np.arange(-60, 49) / 12)
SLOW: dict[str, Any] = {
    "frequency": AT.tolist(),
    "level": [75.0] * AT.size,
    "phase": np.degrees(np.angle(response(biquad("all-pass", 200.0, q=2.0), AT))).tolist(),
}
"""Nothing but an all-pass, so low that the bound on pre-ringing lets none of it be undone."""


def run(**inputs: Any) -> Any:
    outcome = run_values(FIR, {"curve": COAXIAL} | inputs)
    assert outcome.errors == ()
    return outcome.result


def test_a_stop_is_heard_after_every_second_transform_of_many_taps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where it was in one piece, the curve's least phase and the filter's first two came before any sign."""
    count, at_signs = [0], [0]

    def counted(transform: Any) -> Any:
        def call(*given: Any, **more: Any) -> Any:
            count[0] += 1
            return transform(*given, **more)

        return call

    for name in ("rfft", "irfft"):
        monkeypatch.setattr(np.fft, name, counted(getattr(np.fft, name)))
    values = {"curve": COAXIAL, "way": "mixed", "taps": 16_384.0}
    outcome = run_values(FIR, values, lambda _: at_signs.append(count[0]))
    assert outcome.errors == ()
    assert count[0] >= 10
    assert max(np.diff([*at_signs, count[0]])) == 2


def with_level(change: Any) -> dict[str, list[float]]:
    level = np.array(COAXIAL["level"]) + change(np.array(COAXIAL["frequency"]))
    return COAXIAL | {"level": level.tolist()}


def test_the_file_holds_the_filter_that_was_told() -> None:
    """Read back and looked at by SciPy: the level it leaves is the one on the sheet."""
    found = run(way="mixed", taps=1500.0)
    lines = b"".join(found.coefficients.pieces()).decode().split()
    taps = np.array([float(line) for line in lines])
    assert taps.size == 1500
    frequency, level = np.array(COAXIAL["frequency"]), np.array(COAXIAL["level"])
    inside = (frequency > 100) & (frequency < 10e3)
    with_it = level + 20 * np.log10(np.abs(signal.freqz(taps, worN=frequency, fs=48e3)[1]))
    assert np.std(level[inside]) == pytest.approx(found.before, abs=0.15)
    assert np.std(with_it[inside]) == pytest.approx(found.after, abs=0.15)
    # Rounded up, so that what is divided by it has no tap over 1.
    assert 0 <= found.largest - np.max(np.abs(taps)) < 1e-3
    assert found.largest == round(found.largest, 3)
    early = np.abs(taps[: np.argmax(np.abs(taps))])
    assert found.loudest_early == pytest.approx(20 * np.log10(np.max(early) / np.max(np.abs(taps))), abs=1e-6)
    assert found.after < found.before / 3
    assert found.phase_after < found.phase_before / 2
    # The peak stands where the others are told to wait for it.
    assert np.argmax(np.abs(taps)) / 48e3 == pytest.approx(found.delay, abs=1e-4)
    assert f"every other channel {1000 * found.delay:.3f} ms later" in found.setting
    assert found.delay - found.at_top == pytest.approx(4e-3)
    assert max(found.rings, 0) <= 2e-3


@pytest.mark.parametrize(("channel", "rate", "called"), [
    ("", 48e3, "fir-{}-64-taps-48000-Hz.txt"),
    ("Left woofer / door", 176_400.0, "fir-left-woofer-door-{}-64-taps-176400-Hz.txt"),
    ("..\\", 44.1e3, "fir-{}-64-taps-44100-Hz.txt"),
])  # fmt: skip
def test_no_two_filters_are_called_the_same(channel: str, rate: float, called: str) -> None:
    taps = np.linspace(0.8, 0, 64)
    # Counted by hand, once: the CRC-32 of these coefficients in millionths.
    assert fir_filters.coefficients(taps, rate, channel).name == called.format("49A9")
    # Another machine's last digits are no other filter; last week's is.
    assert fir_filters.coefficients(taps * (1 + 1e-12), rate, channel).name == called.format("49A9")
    assert fir_filters.coefficients(taps * 0.99, rate, channel).name != called.format("49A9")


def test_a_filter_for_the_invented_speaker_says_so_in_its_name() -> None:
    assert run_values(FIR, {}).result.coefficients.name.startswith("fir-invented-")
    assert run().coefficients.name.startswith(f"fir-{fir_filters.mark_of(taps_of(run()))}-")


@pytest.mark.parametrize("size", [1.0001, 1.020979, 1.0999999, 2.0])
def test_what_the_form_says_to_divide_by_leaves_no_tap_over_one(size: float) -> None:
    taps = np.array([0.1, -size, 0.2])
    told = fir_filters.divisor_in_words(fir_filters.largest(taps))
    assert np.max(np.abs(taps)) / float(told.split()[0]) <= 1
    assert float(told.split("(")[1].split()[0]) == pytest.approx(20 * np.log10(size), abs=0.06)


def taps_of(found: Any) -> Any:
    return np.array([float(line) for line in b"".join(found.coefficients.pieces()).split()])


@pytest.mark.parametrize(("high", "left_in"), [(10e3, 0.0), (8e3, 0.0), (5e3, 0.0), (10e3, 3e-4)])
def test_the_others_wait_until_its_top_octave_comes_as_before(high: float, left_in: float) -> None:
    """Group delay by SciPy, against the filter that has the same level by least phase."""
    late = np.array(COAXIAL["phase"]) - 360 * left_in * np.array(COAXIAL["frequency"])
    curve = COAXIAL | {"phase": late.tolist()}
    mixed, least = (run(curve=curve, high=high, way=way) for way in ("mixed", "least"))
    top = np.linspace(high / 2, high, 200)
    slopes = [
        np.polyfit(top, np.unwrap(np.angle(signal.freqz(taps_of(each), worN=top, fs=48e3)[1])), 1)[0]
        for each in (mixed, least)
    ]
    assert (slopes[1] - slopes[0]) / (2 * np.pi) == pytest.approx(mixed.delay - least.delay, abs=1.5e-5)


@pytest.mark.parametrize("way", ["least", "mixed"])
@pytest.mark.parametrize(("low", "high"), [(2e3, 10e3), (1e3, 10e3), (100.0, 3e3)])
def test_polarity_is_told_by_the_low_end_of_the_curve_whatever_the_band(
    way: str, low: float, high: float
) -> None:
    turned = COAXIAL | {"phase": [each - 180 for each in COAXIAL["phase"]]}
    begins = [number for number, each in enumerate(COAXIAL["frequency"]) if each >= 950]
    cut = {name: [values[number] for number in begins] for name, values in COAXIAL.items()}

    def said(**inputs: Any) -> list[str]:
        notes = run(low=low, high=high, way=way, **inputs).advice
        return [note.message for note in notes if "polarity" in note.message]

    assert said() == []
    assert "is turned" in said(curve=turned)[0]
    if low >= 1e3:
        assert "does not tell" in said(curve=cut)[0]


def test_where_the_phase_is_left_alone_no_channel_waits() -> None:
    found, least = run(way="mixed", ring_time=2e-4, ring_level=80.0), run()
    assert (found.delay, found.earlier, found.phase_from, found.rings) == (0, None, None, 0)
    assert found.setting == least.setting
    assert np.array_equal(taps_of(found), taps_of(least))


def test_off_unless_chosen_it_takes_no_time() -> None:
    found = run()
    assert (found.delay, found.earlier, found.rings, found.phase_from) == (0, None, 0, None)
    assert (found.at_top, found.loudest_early) == (0, None)
    assert found.phase_after == pytest.approx(found.phase_before, abs=0.1)
    assert not any(note.about == "way" for note in found.advice)


def test_another_point_says_whether_it_is_the_speaker_s_or_the_place_s() -> None:
    alike = {"name": "Forward", "curve": with_level(lambda frequency: 0.5 * np.sin(frequency / 300))}
    opposite = {"name": "Back", "curve": COAXIAL | {"level": [150 - each for each in COAXIAL["level"]]}}
    found = run(others=[alike, opposite])
    good, poor = found.points
    assert good.after < good.before / 2
    assert poor.after > poor.before
    (told,) = (note.message for note in found.advice if note.about == "others")
    assert "nothing at Back:" in told


@pytest.mark.parametrize(
    ("inputs", "field"),
    [
        ({"curve": {name: COAXIAL[name] for name in ("frequency", "level")}}, "curve"),
        ({"curve": COAXIAL | {"phase": [170.0 * (n % 2) for n in range(len(COAXIAL["level"]))]}}, "curve"),
        ({"low": 40.0}, "low"),
        ({"high": 18e3}, "high"),
        ({"high": 150.0}, "high"),
        ({"curve": COAXIAL | {"frequency": [each * 1.3 for each in COAXIAL["frequency"]]},
          "high": 20e3, "sample_rate": 44_100.0}, "high"),
        ({"lowest_safe": 120.0}, "low"),
        ({"taps": 300.0, "way": "mixed"}, "taps"),
        ({"others": [{"name": "a", "curve": {"frequency": [200.0, 300.0, 400.0, 500.0, 600.0],
                                             "level": [1.0, 2.0, 3.0, 4.0, 5.0]}}]}, "others[0].curve"),
    ],
)  # fmt: skip
def test_it_refuses(inputs: dict[str, Any], field: str) -> None:
    (error,) = run_values(FIR, {"curve": COAXIAL} | inputs).errors
    assert error.field == field


@pytest.mark.parametrize(
    ("inputs", "about", "words"),
    [
        ({"curve": None}, "curve", "invented"),
        ({"curve": COAXIAL | {"phase": [each - 180 for each in COAXIAL["phase"]]}}, "curve", "polarity"),
        ({"taps": 256.0}, "taps", "too short"),
        ({"taps": 256.0}, "taps", "they move the level by up to"),
        ({}, "taps", "largest coefficient is 1."),
        ({}, "lowest_safe", "job sheet"),
        ({"lowest_safe": 60.0}, "low", "do not fill it"),
        ({"curve": SLOW, "way": "mixed", "ring_time": 5e-4}, "ring_time", "in the middle of a turn"),
        ({"way": "mixed", "ring_time": 2e-4, "ring_level": 80.0}, "ring_time", "left alone"),
        ({"way": "mixed"}, "way", "join"),
        ({}, "others", "other points"),
    ],
)
def test_what_to_know_before_it_is_loaded(inputs: dict[str, Any], about: str, words: str) -> None:
    assert any(note.about == about and words in note.message for note in run(**inputs).advice)


def behind(corner: float, side: str, from_low: float = 20.0) -> dict[str, Any]:
    """A driver with a hump of 4 dB at twice a high-pass's corner, or half a low-pass's, LR24, by SciPy."""
    at = np.geomspace(from_low, 20e3, 480)
    found = signal.butter(2, 2 * np.pi * corner, side, analog=True)
    hump = corner * (2.0 if side == "high" else 0.5)
    s = 1j * at / hump
    gain = 10 ** (4 / 40)
    heard = signal.freqs(*found, worN=2 * np.pi * at)[1] ** 2
    heard = heard * (s**2 + s * gain / 1.5 + 1) / (s**2 + s / gain / 1.5 + 1)
    level = 80 + 20 * np.log10(np.abs(heard))
    return {
        "frequency": at.tolist(), "level": level.tolist(), "phase": np.degrees(np.angle(heard)).tolist()
    }  # fmt: skip


@pytest.mark.parametrize("low", [100.0, 500.0, 3000.0])
def test_a_crossovers_fall_is_not_filled_whatever_band_is_typed(low: float) -> None:
    """A tweeter behind 3 kHz at the form's own band: it was +3 dB at 500 Hz and −12 dB at 4 kHz.

    LR24 is 10 dB down where 1 + (3000/f)⁴ is the square root of 10 and the hump's 0.3 dB, at 2.48 kHz: an
    octave over that it begins.
    """
    found = run(curve=behind(3000.0, "high"), low=low)
    assert found.low_used == pytest.approx(4.96e3, rel=0.03)
    at = np.geomspace(20, found.low_used / 1.06, 300)
    does = 20 * np.log10(np.abs(signal.freqz(taps_of(found), worN=at, fs=48e3)[1]))
    assert np.max(np.abs(does)) < 0.3
    humped = 20 * np.log10(np.abs(signal.freqz(taps_of(found), worN=[6e3, 7e3, 9e3], fs=48e3)[1]))
    assert (humped[0] < -0.3, humped[0] < humped[2]) == (True, True)
    assert found.after < found.before < 1.5
    (note,) = [each for each in found.advice if each.about == "low"]
    assert "Nothing is corrected under 49" in note.message


def test_a_low_pass_ends_the_band_and_a_curve_that_shows_no_fall_leaves_it() -> None:
    found = run(curve=behind(3000.0, "low"), low=100.0)
    assert (found.low_used, found.high_used) == (100.0, pytest.approx(3.6e3, rel=0.05))
    assert any(
        each.about == "high" and "Nothing is corrected over 3" in each.message for each in found.advice
    )
    swept = run(curve=behind(3000.0, "high", from_low=2700.0), low=3000.0)
    assert (swept.low_used, swept.high_used) == (3000.0, 10e3)
    (danger,) = [each for each in swept.advice if each.danger]
    lifted = 20 * np.log10(
        np.abs(signal.freqz(taps_of(swept), worN=np.geomspace(3e3, 5.4e3, 300), fs=48e3)[1])
    )
    assert f"lifts it by up to {np.max(lifted):.1f} dB" in danger.message
    assert "begins at 2700 Hz, " in danger.message
    assert "correct from 5400 Hz up" in danger.message
    clear = run(curve=behind(3000.0, "high", from_low=2700.0), low=5400.0, high=12e3)
    assert not any(each.danger for each in (*clear.advice, *run().advice, *found.advice))
    # One that begins level has no fall to fill, whatever is lifted near its end.
    assert not any(each.danger for each in run(curve=behind(3000.0, "high", from_low=5e3), low=5e3).advice)
    assert (run().low_used, run().high_used) == (100.0, 10e3)


def filtered_only(corner: float, order: int, side: str) -> dict[str, Any]:
    """A level driver behind a crossover alone, a Butterworth squared or a first order, by SciPy."""
    at = np.geomspace(20, 20e3, 480)
    heard = signal.freqs(*signal.butter(order, 2 * np.pi * corner, side, analog=True), worN=2 * np.pi * at)[1]
    heard = heard**2 if order == 2 else heard
    level, phase = 80 + 20 * np.log10(np.abs(heard)), np.degrees(np.angle(heard))
    return {"frequency": at.tolist(), "level": level.tolist(), "phase": phase.tolist()}


@pytest.mark.parametrize(("high", "told"), [(10e3, True), (2900.0, True), (1500.0, False)])
def test_a_low_passs_fall_that_is_lifted_is_told(high: float, told: bool) -> None:
    found = run(curve=filtered_only(3000.0, 2, "low"), low=160.0, high=high)
    notes = [each.message for each in found.advice if each.about == "high"]
    at = np.geomspace(1900, found.high_used, 300)
    lifted = np.max(20 * np.log10(np.abs(signal.freqz(taps_of(found), worN=at, fs=48e3)[1])))
    assert any(f"lifts that by up to {lifted:.1f} dB" in each for each in notes) == told
    assert any("correct to 18" in each for each in notes) == told  # Half of where LR24 is 10 dB down.


def test_where_no_octave_is_left_under_a_lifted_fall_the_equaliser_is_named() -> None:
    found = run(curve=filtered_only(3000.0, 2, "low"), low=1000.0)
    assert any("join is lost: leave it to the equaliser" in each.message for each in found.advice)


def test_a_flat_high_passs_fall_in_the_band_is_a_danger() -> None:
    """6 dB an octave at 3 kHz: an octave over the −10 dB point is half the corner, 7 dB down."""
    found = run(curve=filtered_only(3000.0, 1, "high"))
    assert found.low_used == pytest.approx(2e3, rel=0.25)
    (danger,) = [each for each in found.advice if each.danger]
    assert "This band begins at" in danger.message


@pytest.mark.parametrize(("low", "high"), [(100.0, 2000.0), (3000.0, 9000.0)])
def test_a_band_in_which_less_than_an_octave_plays_is_refused(low: float, high: float) -> None:
    outcome = run_values(FIR, {"curve": behind(3000.0, "high"), "low": low, "high": high})
    assert [error.field for error in outcome.errors] == ["low"]
    assert "less than an octave" in outcome.errors[0].message
