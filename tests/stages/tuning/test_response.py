"""The response from a recording, against simulated speakers, rooms, clocks and faults that are known."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calculators.declaring import Kept, Outcome, run_values
from calculators.physics import recording_faults, wav
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.bands import NOMINAL_THIRD_OCTAVES, third_octave_edges
from calculators.physics.impulse_responses import Beginning
from calculators.physics.sweeps import Signal, checked_sweep
from calculators.stages import find_calculator
from calculators.vocabulary import measuring, measuring_charts
from calculators.vocabulary.measuring import Clock, Heard, Tape
from tests.conftest import SOAK, share
from tests.recordings import Cabin, played, speaker, through, with_noise

RATE = 48_000.0
FULL = {"low": 20.0, "high": 20_000.0, "sweep_length": 2.0, "lead": 1.0, "pause": 0.5}
DOOR = {"low": 30.0, "high": 8000.0, "sweep_length": 2.0, "lead": 0.7, "pause": 0.4, "markers": False}
TWEETER = DOOR | {"low": 1000.0, "high": 20_000.0, "sweep_length": 1.0}
SUBWOOFER = DOOR | {"low": 10.0, "high": 500.0, "sweep_length": 2.0}


def kept(samples: FloatArray, sample_rate: float, bits: int = 24, floating: bool = False) -> Kept:
    columns = samples if samples.ndim == 2 else samples[:, np.newaxis]
    head = wav.header(columns.shape[0], columns.shape[1], round(sample_rate), bits, floating)
    contents = head + wav.encoded(columns, bits, floating)
    return Kept("a", "a.wav", len(contents), lambda start, count: contents[start : start + count])


def signal_of(settings: dict[str, Any], plays: int = 1) -> Signal:
    sweep = checked_sweep(settings["low"], settings["high"], settings["sweep_length"])
    return Signal(sweep, settings["lead"], settings["pause"], plays, settings.get("markers", True))


def answered(file: Kept, settings: dict[str, Any], **more: Any) -> Any:
    outcome = run(file, settings, **more)
    assert outcome.errors == ()
    return outcome.result


def run(file: Kept, settings: dict[str, Any], **more: Any) -> Outcome:
    return run_values(find_calculator("response"), settings | {"recording": file} | more)


def recorded(
    settings: dict[str, Any],
    response: Callable[[FloatArray], ComplexArray] | None = None,
    rate: float = RATE,
    drift: float = 0.0,
    start: float = 0.3137,
    noise: float = 60.0,
    seed: int = 1,
) -> FloatArray:
    signal = signal_of(settings)
    sound = 0.3 * played(signal, rate, start, start + signal.length + 0.3, drift)
    if response is not None:
        sound = through(sound, response, rate)
    return with_noise(sound, signal, start, rate, noise, np.random.default_rng(seed))


def true_levels(response: Callable[[FloatArray], ComplexArray], bands: list[int]) -> FloatArray:
    """Level of a response over each third octave, every octave weighing alike."""
    found = []
    for low, high in third_octave_edges()[bands]:
        power = np.abs(response(np.geomspace(low, high, 4001))) ** 2
        found.append(10 * np.log10(np.mean((power[1:] + power[:-1]) / 2)))
    return np.array(found) + 20 * np.log10(0.3)


def shape(frequency: FloatArray) -> ComplexArray:
    """A response without a room: a high-pass at 60 Hz, and a peak of 6 dB at 1 kHz."""
    s = 1j * np.maximum(frequency, 1e-3)
    peak = (s**2 + s * 1000 + 1e6) / (s**2 + s * 500 + 1e6)
    return np.asarray(peak * (s / 60) ** 2 / ((s / 60) ** 2 + (s / 60) / 0.7 + 1))


@pytest.mark.parametrize(
    ("rate", "drift", "noise", "bits", "within"),
    [
        (48_000.0, 0.0, 40.0, 24, 0.05),
        (48_000.0, 0.0, 20.0, 24, 0.2),
        (44_100.0, 100e-6, 40.0, 16, 0.1),
        (96_000.0, -200e-6, 40.0, 24, 0.1),
    ],
)
def test_levels_are_those_of_the_model(
    rate: float, drift: float, noise: float, bits: int, within: float
) -> None:
    settings = FULL | {"sweep_length": 5.0 if within < 0.1 else 2.0}
    result = answered(kept(recorded(settings, shape, rate, drift, noise=noise), rate, bits), settings)
    bands = [NOMINAL_THIRD_OCTAVES.index(row.nominal) for row in result.bands if row.nominal >= 50]
    found = np.array([row.level for row in result.bands if row.nominal >= 50])
    assert len(bands) >= 25
    np.testing.assert_allclose(found, true_levels(shape, bands), atol=within)
    assert result.drift == pytest.approx(drift, abs=0.5e-6)


def tweeter(random: Any, reversed_: bool) -> Any:
    low, high = random.uniform(1500, 3500), random.uniform(17e3, 25e3)
    return speaker(low, high, int(random.choice([2, 4])), 2, random.uniform(0.6, 1), reversed_)


def door(random: Any, reversed_: bool) -> Any:
    low, high = random.uniform(50, 90), random.uniform(2200, 5000)
    orders = int(random.choice([2, 4])), int(random.choice([2, 4]))
    return speaker(low, high, *orders, random.uniform(0.5, 1), reversed_)


def subwoofer(random: Any, reversed_: bool) -> Any:
    return speaker(random.uniform(30, 50), random.uniform(60, 110), 2, 4, random.uniform(0.6, 1), reversed_)


SPEAKERS = {"tweeter": (TWEETER, tweeter), "door": (DOOR, door), "subwoofer": (SUBWOOFER, subwoofer)}
KNOWN_DELAYS = [("subwoofer", 10e-6), ("tweeter", 2e-6), ("door", 2e-6)]


@pytest.mark.parametrize(("kind", "within"), share(KNOWN_DELAYS, 3))
def test_a_known_pure_delay_is_told(kind: str, within: float) -> None:
    """One speaker without a room, played twice, the second time later by a delay that is no whole sample."""
    settings = SPEAKERS[kind][0] | {"sweep_length": 2.0, "lead": 0.5, "markers": False}
    low, high = {"tweeter": (2500, 20e3), "door": (70, 3000), "subwoofer": (40, 80)}[kind]
    signal, driver = signal_of(settings, plays=2), speaker(low, high, 2, 4)
    for seed in range(max(SOAK // 50, 1)):
        random = np.random.default_rng(seed)
        delays, sound = random.uniform(2e-3, 5e-3, 2), np.zeros(1)
        for play, delay in enumerate(delays.tolist()):
            one = 0.2 * played(signal, RATE, 0.2, 0.5 + signal.length, play=play)
            late = Cabin(delay, (), ())
            sound = sound + through(one, lambda f, late=late: driver(f) * late(f), RATE)
        sound = with_noise(sound, signal, 0.2, RATE, 40.0, random)
        later = answered(kept(sound, RATE), settings, plays_in_file=2.0).plays[1].later
        assert later == pytest.approx(delays[1] - delays[0], abs=within)


def test_one_speaker_played_twice_is_timed_by_all_of_its_sound() -> None:
    """And its phase from there. Its second play is told 30 µs late; another speaker is left alone."""
    tape = Tape(np.zeros(0, np.float32), RATE, signal_of(TWEETER, plays=2))
    frequency, later, clock = np.fft.rfftfreq(8192, 1 / RATE), 2.3e-4, Clock(1e-4, 0.0)

    def play(driver: Callable[[FloatArray], ComplexArray], late: float, told: float) -> Heard:
        turn = np.exp(-2j * np.pi * frequency * (0.02 + late))
        sound = np.fft.irfft(driver(frequency) * turn, 8192)
        beginning = Beginning(0.02 + told, 1e-5, 1, True, False, False)
        return Heard(sound, sound, beginning, (0.02 + told) / clock.stretch, None)

    first = play(speaker(2500.0, 20e3), 0.0, 0.0)
    other = measuring.repeated(first, play(speaker(2500.0, 20e3), later, later + 3e-5), tape, clock)
    assert other.beginning.time == pytest.approx(0.02 + later, abs=1e-7)
    assert other.time - first.time == pytest.approx(later / clock.stretch, abs=1e-7)
    assert other.repeats is not None
    unlike = play(speaker(1500.0, 12e3), later, later + 3e-5)
    assert measuring.repeated(first, unlike, tape, clock) is unlike


@pytest.mark.parametrize(("low", "certain"), [(3150.0, False), (1000.0, True)])
def test_a_sweep_from_inside_a_tweeters_band_tells_neither_arrival_nor_polarity(
    low: float, certain: bool
) -> None:
    """Before, an unfiltered tweeter swept from 3.15 kHz read "negative, certain", and 0.2 ms early."""
    settings = TWEETER | {"low": low, "plays_in_file": 2.0}
    signal = signal_of(settings, plays=2)
    driver = speaker(2000.0 if certain else 1100.0, 20e3, 2, 2)
    both = sum(0.2 * played(signal, RATE, 0.2, 0.5 + signal.length, play=play) for play in range(2))
    heard_ = with_noise(through(both, driver, RATE), signal, 0.2, RATE, 50.0, np.random.default_rng(2))
    result = answered(kept(heard_, RATE), settings)
    assert [row.polarity.endswith(", certain") for row in result.plays] == [certain] * 2
    assert (result.plays[1].within is not None) == certain
    told = {row.use: row.may for row in result.uses}["Arrival between speakers"]
    assert told.startswith("yes" if certain else "no: the sweep begins inside")


def test_a_harmonic_is_found_and_a_noise_is_none() -> None:
    """x + 0.1 x² + 0.1 x³ at amplitude 1: H2 -26.65 dB, H3 -32.67 dB (algebra, multiple angles)."""
    settings = FULL | {"sweep_length": 3.0}
    signal = signal_of(settings)
    clean = played(signal, RATE, 0.2, 0.5 + signal.length)
    bent = 0.3 * (clean + 0.1 * clean**2 + 0.1 * clean**3)
    random = np.random.default_rng(3)
    rows = {
        row.nominal: row
        for row in answered(kept(with_noise(bent, signal, 0.2, RATE, 60.0, random), RATE), settings).bands
    }
    for nominal in (500, 1000, 2000):
        assert 20 * np.log10(rows[nominal].second_harmonic) == pytest.approx(-26.649, abs=0.5)
        assert 20 * np.log10(rows[nominal].third_harmonic) == pytest.approx(-32.669, abs=0.5)
    noisy = with_noise(0.3 * clean, signal, 0.2, RATE, 40.0, random)
    straight = answered(kept(noisy, RATE), settings).bands
    assert [row.nominal for row in straight if row.second_harmonic and row.nominal > 100] == []
    assert [row.nominal for row in straight if row.fifth_harmonic and row.nominal > 100] == []


def clipped(sound: FloatArray) -> FloatArray:
    return np.asarray(np.clip(sound, -0.25, 0.25))


def with_a_hole(sound: FloatArray) -> FloatArray:
    place = round(3.5 * RATE)
    return np.concatenate([sound[:place], np.full(300, sound[place]), sound[place + 300 :]])


@pytest.mark.parametrize(
    ("damage", "words"),
    [
        (clipped, "is clipped"),
        (with_a_hole, "lost pieces"),
        (lambda sound: sound * 1e-6, "is silent"),
        (lambda sound: sound[: round(1.5 * RATE)], "too short"),
        (lambda sound: sound[::-1], "No sweep with these settings"),
        (lambda sound: sound[: round(0.3 * RATE)], "too short"),
    ],
)
def test_what_cannot_be_used_is_refused_in_words(
    damage: Callable[[FloatArray], FloatArray], words: str
) -> None:
    outcome = run(kept(damage(recorded(FULL)), RATE), FULL)
    assert [error.field for error in outcome.errors] == ["recording"]
    assert words in outcome.errors[0].message


def test_a_slow_sine_at_full_scale_is_not_clipped() -> None:
    sound = recorded(SUBWOOFER, noise=90.0)
    assert answered(kept(0.999 * sound / np.max(np.abs(sound)), RATE, 16), SUBWOOFER).drift is not None


def test_80_db_under_full_scale_is_silent_and_a_little_more_is_not() -> None:
    sound = recorded(SUBWOOFER, noise=60.0)
    for level, silent in ((-81.0, True), (-79.0, False), (-77.0, False)):
        faint = sound / np.max(np.abs(sound)) * 10 ** (level / 20)
        told = " ".join(error.message for error in run(kept(faint, RATE), SUBWOOFER).errors)
        assert ("is silent" in told) == silent


def test_places_of_which_a_coder_left_nothing_are_counted() -> None:
    """Noise at 48 kHz, half of the time without what is above 10 kHz, of what is looked at up to 19.2 kHz."""
    random = np.random.default_rng(8)
    silence, sound = random.normal(0, 1e-3, (2, 1 << 17))
    spectrum = np.fft.rfft(sound)
    spectrum[np.fft.rfftfreq(sound.size, 1 / RATE) > 10_000] = 0
    sound[: sound.size // 2] = np.fft.irfft(spectrum)[: sound.size // 2]
    expected = (0.4 * RATE - 10_000) / (0.4 * RATE - recording_faults.WALLS_FROM) / 2
    assert recording_faults.faint_share(silence, sound, RATE) == pytest.approx(expected, abs=0.02)
    assert recording_faults.faint_share(silence, random.normal(0, 1e-3, 1 << 17), RATE) < 0.005


def test_a_coder_is_known_by_its_edge() -> None:
    sound = recorded(FULL, noise=60.0)
    spectrum = np.fft.rfft(sound)
    spectrum[np.fft.rfftfreq(sound.size, 1 / RATE) > 16_000] = 0
    result = answered(kept(np.fft.irfft(spectrum, sound.size), RATE, 24), FULL | {"smoothing": "24"})
    assert "lossy" in " ".join(entry.message for entry in result.advice)
    assert all(row.second_harmonic is None for row in result.bands)


def test_what_a_phone_may_be_used_for() -> None:
    result = answered(kept(recorded(FULL, shape), RATE), FULL, microphone="phone")
    assert "comparisons" in result.verdict
    assert all(row.second_harmonic is None for row in result.bands)
    assert [(band.low, band.high) for band in result.level_chart.bands] == [
        (result.valid_low, 200.0),
        (8000.0, result.valid_high),
    ]


def test_other_curves_stand_over_the_level_where_they_have_one() -> None:
    others = [
        {
            "name": "before",
            "curve": {
                "frequency": [100.0, 200.0, 400.0, 800.0, 1000.0],
                "level": [-20.0, -18.0, -14.0, -11.0, -10.0],
            },
        },
        {"name": "Noise", "curve": {"frequency": [1.0, 2.0, 3.0, 4.0, 5.0], "level": [0.0] * 5}},
    ]
    chart = run_values(find_calculator("response"), {"others": others}).result.level_chart
    line = {series.label: series.values for series in chart.series}
    assert list(line) == ["Level", "before", "Point 2", "Noise"]
    drawn = {at: value for at, value in zip(chart.at, line["before"], strict=True) if value is not None}
    assert min(drawn) > 100
    assert max(drawn) <= 1000
    assert drawn[1000.0] == pytest.approx(-10)
    assert set(line["Point 2"]) == {None}


def test_a_correction_and_a_calibrator_move_the_level() -> None:
    file = kept(recorded(FULL, shape), RATE)
    plain = answered(file, FULL).bands
    flat = {"frequency": [10.0, 100.0, 1000.0, 10_000.0, 20_000.0], "level": [2.0] * 5}
    moved = answered(file, FULL, correction=flat, calibrator=-30.0).bands
    for one, other in zip(plain, moved, strict=True):
        assert other.level - one.level == pytest.approx(94 + 30 - 2, abs=1e-9)


def test_the_wrong_channel_and_play_are_told_at_their_fields() -> None:
    file = kept(recorded(DOOR), RATE)
    assert [error.field for error in run(file, DOOR, recording_channel=2.0).errors] == ["recording_channel"]
    assert [error.field for error in run(file, DOOR, play=2.0).errors] == ["play"]


def test_the_demonstration_says_that_it_is_one() -> None:
    result = run_values(find_calculator("response"), {}).result
    assert "simulated" in result.advice[0].message
    # The model of the demonstration: the right way round, one clock.
    assert result.plays[0].polarity == "positive (goes up first), certain"
    assert abs(result.drift) < 0.5e-6
    # Up to an octave over the sweep's start, 20 Hz, its own fade would be read as 1.7 ms of delay.
    assert 40 <= result.group_delay_chart.at[0] == result.phase_chart.at[0] < 42


def with_loop(drift: float, later: float, plays: int, loop_hears: tuple[int, ...]) -> Kept:
    """Two channels: a door so much later, s, in noise, and a cable that hears some of the plays."""
    signal = signal_of(DOOR, plays)
    sound, cable = np.zeros(1), np.zeros(1)
    for play in range(plays):
        one = played(signal, RATE, 0.3, 0.6 + signal.length, drift, play)
        turn = lambda f: woofer()(f) * np.exp(-2j * np.pi * f * later)  # noqa: E731
        sound = sound + through(0.3 * one, turn, RATE)
        cable = cable + (0.1 * one if play in loop_hears else np.zeros(one.size))
    random = np.random.default_rng(5)
    noisy = with_noise(sound, signal, 0.3, RATE, 12.0, random)
    return kept(np.stack([noisy, cable + random.normal(0, 1e-5, cable.size)], axis=1), RATE)


@pytest.mark.parametrize(
    ("later", "plays", "hears"),
    [(0.0065, 1, (0,)), (0.0837, 2, (0,)), (0.0837, 2, (1,)), (0.0837, 2, (0, 1))],
)
def test_a_loop_tells_clock_and_time(later: float, plays: int, hears: tuple[int, ...]) -> None:
    """Through a processor that is 80 ms late, and in noise: the delay of the model, and its drift."""
    file = with_loop(80e-6, later, plays, hears)
    result = answered(file, DOOR, plays_in_file=float(plays), loop_channel=2.0)
    assert result.drift == pytest.approx(80e-6, abs=0.5e-6)
    for row in result.plays:
        assert row.after_loop == pytest.approx(later, abs=60e-6)


def test_a_loop_that_is_not_plugged_is_told_at_its_field() -> None:
    for loop, channel in ((with_loop(0.0, 0.006, 1, ()), 2.0), (with_loop(0.0, 0.006, 1, (0,)), 3.0)):
        outcome = run(loop, DOOR, loop_channel=channel)
        assert [error.field for error in outcome.errors] == ["loop_channel"]


def woofer() -> Any:
    return speaker(70.0, 3500.0, 2, 4, 0.8, False)


@pytest.mark.parametrize("typed", [
    {"high": 16_000.0}, {"low": 30.0, "high": 8000.0}, {"low": 25.0, "high": 18_000.0}, {"pause": 0.8},
])  # fmt: skip
def test_another_sweep_than_the_one_typed_is_refused_as_that(typed: dict[str, Any]) -> None:
    """Before, a speaker in the right way read "reversed, certain", and the gain was blamed."""
    outcome = run(kept(recorded(FULL, woofer(), noise=50.0), RATE), FULL | typed)
    assert [error.field for error in outcome.errors] == ["recording"]
    assert "not the one of these settings" in outcome.errors[0].message


def test_a_sample_rate_that_the_header_gives_wrong_is_refused() -> None:
    outcome = run(kept(recorded(FULL, woofer(), noise=50.0), 44_100.0), FULL)
    assert "sample rate is wrong" in outcome.errors[0].message


@pytest.mark.parametrize("drift", [600e-6, -1000e-6])
def test_a_clock_too_far_off_leaves_polarity_uncertain(drift: float) -> None:
    result = answered(kept(recorded(FULL, woofer(), drift=drift, noise=50.0), RATE), FULL)
    assert result.drift is None
    assert result.plays[0].polarity.endswith("not certain: the two sweeps are not alike; check the settings")
    assert "polarity" not in result.verdict
    told = " ".join(entry.message for entry in result.advice)
    assert f"{round(drift * 1e6):+d} ppm apart".replace("-", "−") in told
    assert "gain by itself" not in told
    assert result.verdict == "levels; no arrivals"


@pytest.mark.parametrize(("microphone", "told", "verdict"), [
    ("calibrated", "noise gate", "comparisons only: noise gate on, or no silence recorded"),
    ("wire", "Digital silence", "comparisons only: the noise is not known"),
])  # fmt: skip
def test_a_noise_that_is_not_known_makes_nothing_certain(microphone: str, told: str, verdict: str) -> None:
    signal = signal_of(FULL)
    file = kept(0.25 * played(signal, RATE, 0.3, 0.6 + signal.length), RATE, 16)
    result = answered(file, FULL, microphone=microphone)
    assert (result.signal_to_noise, result.verdict) == (None, verdict)
    assert {(row.over_noise, row.second_harmonic) for row in result.bands} == {(None, None)}
    assert "not certain: the noise is not known" in result.plays[0].polarity
    assert told in " ".join(entry.message for entry in result.advice)


def test_a_verdict_leaves_polarity_out_where_it_is_not_certain() -> None:
    result = answered(kept(recorded(FULL, woofer(), noise=18.0), RATE), FULL)
    assert "not certain: repeat" in result.plays[0].polarity
    assert result.verdict == "levels and phase"


@pytest.mark.parametrize("rate", [44_100.0, 48_000.0, 96_000.0])
def test_a_clean_electrical_sweep_of_16_bits_is_not_clipped(rate: float) -> None:
    """Rounding with dither makes equal samples at the tops; a sweep cut at nine tenths has flat ones."""
    signal, random = Signal(checked_sweep(20.0, 20_000.0, 5.0), 0.2, 0.5, 1, False), np.random.default_rng(1)
    clean = played(signal, rate, 0.0, 5.2) * 0.1 * 2**15
    sound = np.round(clean + random.random(clean.size) - random.random(clean.size)) / 2**15
    assert recording_faults.clipped_peaks(sound, 0.0) == 0
    top = 0.9 * np.max(sound)
    assert recording_faults.clipped_peaks(np.clip(sound, -top, top), 0.0) > 100


@pytest.mark.parametrize(("functions", "danger", "verdict"), [
    ("on", True, "polarity alone: the recorder alters the sound"),
    ("unknown", False, "levels, phase and polarity, if the recorder alters nothing"),
])  # fmt: skip
def test_what_the_recorder_does_by_itself_is_told(functions: str, danger: bool, verdict: str) -> None:
    straight = recorded(FULL, woofer(), noise=50.0)
    result = answered(kept(straight + straight**2, RATE), FULL, functions=functions)
    assert result.verdict == verdict
    assert [entry.danger for entry in result.advice if entry.about == "functions"] == [danger]
    assert all(row.second_harmonic is None for row in result.bands) == danger


def test_a_file_declared_lossy_keeps_its_levels_alone() -> None:
    straight = recorded(FULL, woofer(), noise=50.0)
    file = kept(straight + straight**2, RATE)
    plain, lossy = answered(file, FULL), answered(file, FULL, declared_lossy=True)
    assert lossy.verdict == "levels, and comparisons"
    assert [row.level for row in lossy.bands] == [row.level for row in plain.bands]
    assert all(row.second_harmonic is None for row in lossy.bands)
    assert any("A lossy file" in entry.message for entry in lossy.advice)
    drawn, left = (each.decay_chart.series[0].values for each in (plain, lossy))
    assert [value for value, kept_ in zip(drawn, left, strict=True) if kept_ is None and value > -40] == []
    assert min(value for value in left if value is not None) >= -40 > min(drawn)


def test_a_reference_speaker_needs_two_plays() -> None:
    outcome = run(kept(recorded(DOOR), RATE), DOOR, tie="reference")
    assert [error.field for error in outcome.errors] == ["tie"]


def test_group_delay_and_step_are_those_of_the_model() -> None:
    """A first-order high-pass at 100 Hz: late by w0/(w0² + w²), and a step dies as exp(-w0 t) (textbook)."""
    settings = FULL | {"low": 5.0, "high": 20_000.0}
    file = kept(recorded(settings, lambda f: 1j * f / (1j * f + 100.0), noise=60.0), RATE)
    result = answered(file, settings)
    late = result.group_delay_chart
    at = np.array(late.at)
    chosen = (at > 60) & (at < 5000)
    measured = np.array(late.series[0].values, dtype=float)[chosen]
    w = 2 * np.pi * at[chosen]
    np.testing.assert_allclose(measured, 1000 * 628.3 / (628.3**2 + w**2), atol=0.06)
    step = result.step_chart
    for time in (0.5, 1.6, 4.0):
        found = np.interp(time, step.at, np.array(step.series[0].values, dtype=float))
        assert found == pytest.approx(np.exp(-0.6283 * time), abs=0.08)


def test_excess_phase_is_that_of_an_all_pass_and_nothing_of_a_filter() -> None:
    """First order: an all-pass turns by −2·atan(f/300 Hz); a high-pass at 80 Hz has no excess (textbook)."""
    turning = lambda f: (1 - 1j * f / 300) / (1 + 1j * f / 300) * 1j * f / (1j * f + 80)  # noqa: E731
    result = answered(kept(recorded(FULL, turning, noise=60.0), RATE), FULL)
    excess = {series.label: series.values for series in result.phase_chart.series}[measuring_charts.EXCESS]
    at = np.array(result.phase_chart.at)
    found = np.interp([150, 300, 600], at, np.array(excess, dtype=float))
    np.testing.assert_allclose(found, -2 * np.degrees(np.arctan([0.5, 1, 2])), atol=6)


def test_a_gain_that_moves_between_the_markers_alone_is_told() -> None:
    """Both sweeps as they should be, and the soft markers 1.6 dB too loud."""
    settings, rate = DOOR | {"markers": True}, 24_000.0
    sound, signal = recorded(settings, woofer(), rate, noise=50.0), signal_of(settings)
    assert "gain moved" not in answered(kept(sound, rate), settings).verdict
    for at in signal.play(0).soft:
        begins = round((0.3137 + at) * rate)
        sound[begins : begins + round(signal.marker.length * rate)] *= 1.2
    result = answered(kept(sound, rate), settings)
    assert "gain moved" in result.verdict
    assert any("the soft marker is 10.5 dB lower instead of 12.0" in entry.message for entry in result.advice)


def test_a_recording_of_more_than_ten_minutes_is_refused_before_it_is_read() -> None:
    head, asked = wav.header(601 * 8000, 1, 8000, 16, False), 0

    def read(start: int, count: int) -> bytes:
        nonlocal asked
        asked += count
        return head[start : start + count].ljust(count, b"\0")

    outcome = run(Kept("a", "a.wav", len(head) + 2 * 601 * 8000, read), DOOR)
    assert [error.message for error in outcome.errors] == [
        "This recording is longer than 10 minutes: cut it."
    ]
    assert asked < 200
