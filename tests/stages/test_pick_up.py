"""Signal pick-up: what is refused, left alone, told and exported; more cases in the long tests."""

import json
import math
from typing import Any, Literal

import numpy as np
import pytest

from calculators.declaring import Curve, Kept, Made, Outcome, run_values
from calculators.physics import wav
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.bands import NOMINAL_THIRD_OCTAVES
from calculators.physics.biquads import biquad
from calculators.physics.decibels import level
from calculators.physics.filters import crossover_filter, response
from calculators.physics.sweeps import Signal, checked_sweep
from calculators.stages import find_calculator
from calculators.vocabulary.feed_curves import (
    CANCELLATION,
    NOT_SURE,
    SUMMATION,
    TOO_DEEP,
    even_feed,
    judged_dips,
)
from calculators.vocabulary.feed_examples import FACTORY_FEED, FACTORY_FEED_LOUD
from calculators.vocabulary.third_octaves import SLIDER_Q
from tests.conftest import SOAK
from tests.recordings import played, through, with_noise

AT = np.geomspace(20, 20e3, 240)
CASES = 100 if SOAK else 8


def run(slug: str, **inputs: Any) -> Outcome:
    return run_values(find_calculator(slug), inputs)


def field_refused(slug: str, **inputs: Any) -> str:
    outcome = run(slug, **inputs)
    assert len(outcome.errors) == 1
    return outcome.errors[0].field


def curve(levels: FloatArray, phase: FloatArray | None = None) -> dict[str, Any]:
    data = {"frequency": AT.tolist(), "level": levels.tolist()}
    return data if phase is None else data | {"phase": phase.tolist()}


def peak(centre: float, gain: float, q: float) -> FloatArray:
    return level(response(biquad("peak", centre, gain, q), AT))


def rough(rng: np.random.Generator) -> FloatArray:
    return np.asarray(np.convolve(rng.normal(0, 0.5, AT.size + 4), np.ones(5) / 5, "valid"))


def dips_of(points: list[FloatArray], kind: str) -> list[str]:
    feed = even_feed(
        {str(n): Curve(tuple(AT.tolist()), tuple(p.tolist())) for n, p in enumerate(points)}, 30, 16e3
    )
    return [row.verdict for row in judged_dips(feed, kind == "electrical", False)[1]]


def most_lifted(low: float, high: float, points: list[FloatArray]) -> float:
    """By how much the filters for some points lift there at most, dB, against the middle of the band."""
    given = {f"point_{n}": curve(each) for n, each in enumerate(points[1:], 2)}
    found = run("flatten", curve=curve(points[0]), kind="acoustic", filters=6.0, **given).result.filters
    rows = [(f.kind.lower().replace(" ", "-"), f.frequency, f.gain, f.q, 48e3) for f in found]
    does = np.sum([np.zeros_like(AT), *(level(response(biquad(*each), AT)) for each in rows)], axis=0)
    return float(np.max(does[(low <= AT) & (high >= AT)]) - np.median(does[(AT > 30) & (AT < 16e3)]))


def test_a_cancellation_is_left_alone_and_a_resonance_is_not() -> None:
    """Five points: a notch that wanders by a third of an octave, and one that stays (our own simulation)."""
    rng = np.random.default_rng(140)
    for _ in range(CASES):
        centre, q = np.exp(rng.uniform(np.log(100), np.log(4000))), rng.uniform(3, 6)
        shifts = 2 ** (rng.permutation(np.linspace(-0.3, 0.3, 5)) + rng.uniform(-0.03, 0.03, 5))
        wandering = [peak(centre * shift, -14, q) + rough(rng) for shift in shifts]
        assert CANCELLATION in dips_of(wandering, "acoustic")
        stays_at = max(centre, 230.0)
        staying = [peak(stays_at, -8, q) + rough(rng) for _ in range(5)]
        assert dips_of(staying, "acoustic") == []
    assert most_lifted(stays_at, stays_at * 1.03, staying) > 3
    assert most_lifted(centre / 1.5, centre * 1.5, wandering) < 1  # Nor are its skirts.


def test_a_doubtful_dip_is_seldom_called_wrongly() -> None:
    """Shallow notches that wander a little: "not sure" is allowed, "a resonance" is wrong."""
    rng = np.random.default_rng(141)
    wrong = 0
    for _ in range(CASES):
        centre, q = np.exp(rng.uniform(np.log(100), np.log(4000))), rng.uniform(3, 6)
        shifts = 2 ** (rng.permutation(np.linspace(-0.2, 0.2, 5)) + rng.uniform(-0.03, 0.03, 5))
        found = dips_of([peak(centre * shift, -10, q) + rough(rng) for shift in shifts], "acoustic")
        wrong += not set(found) & {CANCELLATION, NOT_SURE}
    assert wrong <= CASES * 0.05


def test_a_dip_of_summation_is_named_and_not_filled() -> None:
    rng = np.random.default_rng(142)
    for _ in range(CASES):
        corner = rng.uniform(1500, 5000)
        low, high = (
            response(crossover_filter(side, "linkwitz-riley", 4, corner), AT)
            for side in ("low-pass", "high-pass")
        )
        late = rng.uniform(0.35, 0.65) / corner
        total = level(low + high * np.exp(-2j * np.pi * AT * late)) + rough(rng) / 4
        assert dips_of([total], "electrical") == [SUMMATION]
    outcome = run("flatten", curve=curve(total), filters=4.0)
    dip = next(row for row in outcome.result.left_alone if row.verdict == SUMMATION)
    assert "feed-sum" in dip.reason
    assert outcome.result.settings == "nothing yet: prove the sum first"
    assert outcome.result.filters == ()


def crossed(sign: float) -> FloatArray:
    """Level of the sum of a crossover's halves at 3 kHz, by the textbook."""
    low, high = (
        response(crossover_filter(side, "linkwitz-riley", 4, 3000.0), AT)
        for side in ("low-pass", "high-pass")
    )
    return level(low + sign * high)


@pytest.mark.parametrize(
    "levels", [crossed(-1.0), level(1 + 0.9 * np.exp(-1j * np.pi * AT / 3000.0))], ids=["inverted", "comb"]
)
@pytest.mark.parametrize("method", ["parametric", "bands"])
def test_a_deep_null_is_no_proven_sum_whatever_is_ticked(levels: FloatArray, method: str) -> None:
    result = run("flatten", curve=curve(levels), summed=True, method=method).result
    assert (result.settings, result.filters) == ("nothing yet: prove the sum first", ())
    assert (result.cut_in_front, result.boost, result.loudest_change, result.hiss_change) == (0,) * 4
    assert any(row.low < 3000 < row.high and row.verdict == TOO_DEEP for row in result.left_alone)
    told = [advice.message for advice in result.advice]
    assert "A null this deep is no proven sum: back to feed-sum." in told
    assert not any("allow more filters" in message for message in told)


def test_a_lift_counts_against_the_middle_of_the_band() -> None:
    """A broad dip of 9 dB, filled: the highest of the filters' levels less their median, by themselves."""
    given = curve(peak(600, -9, 0.5))
    result = run("flatten", curve=given, summed=True, method="bands", max_boost=9.0).result
    lines = [
        level(response(biquad(row.kind.lower().replace(" ", "-"), row.frequency, row.gain, row.q, 48e3), AT))
        for row in result.filters
    ]
    inside = np.searchsorted(AT, [result.low_used, result.high_used])
    does = np.sum(lines, axis=0)[slice(*inside)]
    assert result.lift == pytest.approx(np.max(does) - np.median(does), abs=0.1)
    assert result.lift > 6.05
    assert any(advice.about == "lift" for advice in result.advice)


def test_frequencies_in_advice_are_plain() -> None:
    given = curve(peak(3000, -9, 8))
    told = run("flatten", curve=given, summed=True, method="bands", max_boost=0.0).result.advice
    assert any(" Hz it stays" in advice.message for advice in told)
    assert not any("e+" in advice.message for advice in told)


def test_one_point_cannot_tell() -> None:
    assert dips_of([peak(800, -10, 5)], "acoustic") == [NOT_SURE]


def test_flatten_takes_the_fewest_filters_within_0_3_db_of_ten() -> None:
    result = run("flatten", curve=FACTORY_FEED, summed=True).result
    left = [row.rms for row in result.by_number]
    assert len(left) == 11
    number = next(n for n, rms in enumerate(left) if rms <= left[-1] + 0.3)
    assert result.number == number
    assert result.after <= left[number] + 0.05
    assert result.before == pytest.approx(left[0], abs=0.01)
    for row in result.filters:
        assert row.frequency == round(row.frequency)
        assert row.gain * 10 == pytest.approx(round(row.gain * 10))
        assert -12 <= row.gain <= 6


def test_cuts_stand_before_lifts_and_the_trim_holds_after_each_filter() -> None:
    """By the filters' own levels: in the order of the table, and of the files."""
    result = run("flatten", curve=FACTORY_FEED, summed=True, filters=4.0).result
    gains = [row.gain for row in result.filters]
    assert gains[0] < 0 < gains[-1]
    assert gains == sorted(gains, key=lambda gain: gain > 0)
    rows = [(f.kind.lower().replace(" ", "-"), f.frequency, f.gain, f.q, 48e3) for f in result.filters]
    running = np.cumsum([level(response(biquad(*each), AT)) for each in rows], axis=0)
    assert -result.cut_in_front == pytest.approx(max(float(np.max(running)), 0.0), abs=0.05)
    assert -result.cut_in_front == pytest.approx(result.boost, abs=0.05)
    written = [line for line in result.biquads.contents.decode().splitlines() if not line.startswith("#")]
    for line, each in zip(written, rows, strict=True):
        assert [float(x) for x in line.split()[:3]] == pytest.approx(biquad(*each).numerator[0].tolist())


def test_a_second_volume_does_not_change_what_is_told_of_the_first() -> None:
    """What moves counts less in the search alone: the RMS of every place alike, by its definition."""
    result = run(
        "flatten", curve=FACTORY_FEED, summed=True, method="bands", other_step=FACTORY_FEED_LOUD
    ).result
    alone = run("flatten", curve=FACTORY_FEED, summed=True, method="bands").result
    assert result.before == pytest.approx(alone.before, abs=1e-9)
    at = np.geomspace(result.low_used, result.high_used, 400)
    levels = np.interp(np.log(at), np.log(FACTORY_FEED["frequency"]), FACTORY_FEED["level"])
    assert result.before == pytest.approx(np.std(levels), abs=0.05)
    rows = [(row.kind.lower(), row.frequency, row.gain, row.q, 48e3) for row in result.filters]
    does = np.sum([level(response(biquad(*each), at)) for each in rows], axis=0)
    assert result.after == pytest.approx(np.std(levels + does), abs=0.05)


@pytest.mark.parametrize(("levels", "given", "said", "allow"), [
    (peak(300, -7, 0.7), {"max_boost": 0.0}, "nothing: these limits allow no lift", "allow a lift,"),
    (peak(500, 8, 1), {"max_boost": 0.0, "max_cut": 0.9, "step_gain": 1.0, "method": "bands"},
     "nothing: these limits allow no cut", "allow a cut,"),
    (peak(500, 1.7, 8), {"max_boost": 0.0}, "nothing: no filter within these limits helps enough",
     "allow more filters,"),
    (peak(500, 0.9, 8), {}, "nothing: it is flat enough", None),
])  # fmt: skip
def test_nothing_to_type_in_is_called_flat_only_where_it_is(
    levels: FloatArray, given: dict[str, Any], said: str, allow: str | None
) -> None:
    result = run("flatten", curve=curve(levels), summed=True, **given).result
    assert (result.settings, result.filters) == (said, ())
    told = [advice.message for advice in result.advice if advice.about == "worst"]
    assert bool(told) == (abs(result.worst) > 1) == (allow is not None)
    assert all(allow in message for message in told if allow)


def test_filters_that_stand_on_one_another_are_told() -> None:
    """A hump of 8 dB where a filter may cut by 1 dB: three stand together at their limit."""
    given = {"curve": curve(peak(100, 8, 1)), "summed": True, "max_boost": 0.0, "filters": 4.0}
    held = run("flatten", **given, max_cut=1.0).result
    (told,) = [advice.message for advice in held.advice if advice.about == "filters"]
    assert told.startswith("3 filters stand at about")
    assert "3.0 dB together: the limit is of each filter, not of their sum" in told
    assert not any(advice.about == "filters" for advice in run("flatten", **given).result.advice)


def test_flatten_writes_three_files() -> None:
    result = run("flatten", curve=FACTORY_FEED, summed=True, filters=2.0).result
    files: list[Made] = [result.csv, result.data, result.biquads]
    assert [made.name for made in files] == ["filters.csv", "filters.json", "biquads.txt"]
    table = result.csv.contents.decode().splitlines()
    assert table[0] == "kind,frequency Hz,gain dB,Q"
    assert len(table) == 1 + len(result.filters)
    data = json.loads(result.data.contents)
    assert [each["gain"] for each in data["filters"]] == [row.gain for row in result.filters]
    numbers = [
        line.split() for line in result.biquads.contents.decode().splitlines() if not line.startswith("#")
    ]
    first = result.filters[0]
    assert all(len(line) == 5 for line in numbers)
    kind = first.kind.lower().replace(" ", "-")
    built = biquad(kind, first.frequency, first.gain, first.q, 48000.0)
    assert any(np.allclose([float(x) for x in line[:3]], built.numerator[0], atol=1e-12) for line in numbers)


def test_flatten_by_bands_moves_gains_alone() -> None:
    result = run("flatten", curve=FACTORY_FEED, summed=True, method="bands").result
    assert result.by_number == ()
    assert [row.q for row in result.filters] == [SLIDER_Q] * len(result.filters)
    assert {row.frequency for row in result.filters} <= set(NOMINAL_THIRD_OCTAVES)
    assert result.after < 0.5


def test_flatten_keeps_clear_of_the_feeds_own_ends() -> None:
    low = response(crossover_filter("low-pass", "linkwitz-riley", 4, 3000.0), AT)
    result = run("flatten", curve=curve(level(low)), summed=True, filters=3.0).result
    assert 3000 < result.high_used < 4500
    (end,) = [row for row in result.left_alone if row.verdict == "the feed's own end"]
    assert end.low > result.high_used
    assert result.boost < 3.2


def test_flatten_counts_less_what_moves_with_the_volume() -> None:
    result = run("flatten", curve=FACTORY_FEED, summed=True, filters=2.0, other_step=FACTORY_FEED_LOUD).result
    (moved,) = [row for row in result.left_alone if row.verdict == "moves with the volume"]
    assert moved.low < 50 < 100 < moved.high < 200
    assert moved.dip_depth == pytest.approx(4.0, abs=0.3)
    other = curve(6 * np.sin(3 * np.log2(AT / 20)))
    assert field_refused("flatten", curve=curve(np.zeros_like(AT)), other_step=other) == "other_step"


@pytest.mark.parametrize(("meaning", "factor"), [("constant", 10 ** (6 / 40)), ("half-gain", 1.0)])
def test_flatten_types_q_in_the_makers_sense(meaning: str, factor: float) -> None:
    given = curve(peak(1000, 6, 2))
    result = run("flatten", curve=given, summed=True, filters=1.0, q_kind=meaning, shelves="none").result
    (row,) = result.filters
    assert (row.frequency, row.gain) == (pytest.approx(1000, rel=0.01), pytest.approx(-6, abs=0.11))
    assert row.q == pytest.approx(2 * factor, abs=0.11)


@pytest.mark.parametrize(("field", "inputs"), [
    ("high", {"low": 100.0, "high": 150.0}), ("q_high", {"q_low": 4.0, "q_high": 2.0}),
    ("kind", {"point_2": FACTORY_FEED}), ("curve", {"low": 5000.0, "high": 20e3, "curve": {
        "frequency": [20.0, 30, 40, 50, 60], "level": [0.0, 0, 0, 0, 0]}}),
    ("curve", {"curve": {"frequency": [20.0, 30, 40, 50, 2000], "level": [0.0, 0, 0, 0, 900]}}),
])  # fmt: skip
def test_flatten_refuses(field: str, inputs: dict[str, Any]) -> None:
    assert field_refused("flatten", **({"curve": FACTORY_FEED} | inputs)) == field


def fed(sign: float, late: float, turn: float = 0.0) -> dict[str, Any]:
    low, high = (
        response(crossover_filter(side, "linkwitz-riley", 4, 3000.0), AT)
        for side in ("low-pass", "high-pass")
    )
    high = sign * high * np.exp(-2j * np.pi * AT * late + 1j * turn)
    return {
        name: curve(level(gain), np.degrees(np.angle(gain)))
        for name, gain in (("low_curve", low), ("high_curve", high))
    }


def test_feed_sum_of_pasted_curves() -> None:
    result = run("feed-sum", **fed(-1.0, 2.5e-4)).result
    assert (result.verdict, result.polarity_word) == ("yes", "invert it")
    assert result.delay_found == pytest.approx(2.5e-4, abs=2e-6)
    assert result.setting == "invert it, delay the low feed by 0.250 ms"


@pytest.mark.parametrize("late", [2.15e-3, -2.15e-3, 4.9e-3])
def test_feed_sum_finds_a_long_delay(late: float) -> None:
    result = run("feed-sum", **fed(1.0, late)).result
    assert (result.verdict, result.polarity_word, result.certainty) == ("yes", "leave it", "certain")
    assert result.delay_found == pytest.approx(late, abs=2e-6)


@pytest.mark.parametrize("late", [5.1e-3, 5.4e-3, 5.5e-3, 6e-3, -5.45e-3])
def test_feed_sum_does_not_guess_beyond_what_it_searched(late: float) -> None:
    result = run("feed-sum", **fed(1.0, late)).result
    assert (result.verdict, result.polarity_word) == ("cannot tell", "cannot tell")
    assert result.setting == result.certainty
    assert result.certainty == "cannot tell: the delay lies at the end of what was searched"
    assert any("pulse" in advice.message for advice in result.advice)


def test_feed_sum_says_when_it_cannot_tell() -> None:
    """A quarter turn between them: both polarities do alike."""
    assert run("feed-sum", **fed(1.0, 0.0, np.pi / 2)).result.verdict == "cannot tell"


def test_feed_sum_does_not_sum_what_turns_through_the_overlap() -> None:
    pair = fed(1.0, 0.0)
    turned = np.asarray(pair["high_curve"]["phase"]) + np.degrees(
        np.angle(response(biquad("all-pass", 3000.0, 0.0, 3.0), AT))
    )
    result = run("feed-sum", **pair | {"high_curve": pair["high_curve"] | {"phase": turned.tolist()}}).result
    assert result.verdict in {"no", "cannot tell"}
    assert any("do not sum" in advice.message.lower() for advice in result.advice)


@pytest.mark.parametrize(("field", "inputs"), [
    ("one_recording", {"one_recording": False}), ("signal_to_noise", {"signal_to_noise": 39.0}),
    ("moves", {"moves": 1.1}), ("high_curve", {"high_curve": None}),
    ("low_curve", {"low_curve": FACTORY_FEED}),
    ("high_curve", {"high_curve": FACTORY_FEED | {"phase": [0.0] * 61}}),
])  # fmt: skip
def test_feed_sum_refuses(field: str, inputs: dict[str, Any]) -> None:
    assert field_refused("feed-sum", **fed(1.0, 0.0) | inputs) == field


RATE, START = 48_000.0, 0.3137
RECORDED = {
    "given": "recorded",
    "low": 20.0,
    "high": 20_000.0,
    "sweep_length": 1.0,
    "lead": 1.0,
    "pause": 0.4,
}


def recording(
    noise: float,
    late: float = 1e-4,
    channels: int = 2,
    drift: float = 0.0,
    silence: bool = True,
    softer: float = 1.0,
) -> Kept:
    """Both halves of a crossover at 3 kHz, the high one inverted and late, recorded over a wire."""
    signal = Signal(checked_sweep(20.0, 20_000.0, 1.0), 1.0, 0.4)
    sound = 0.3 * played(signal, RATE, START, START + signal.length + 0.3, drift)

    def feed(side: Literal["low-pass", "high-pass"]) -> FloatArray:
        def gain(frequency: FloatArray) -> ComplexArray:
            found = response(crossover_filter(side, "linkwitz-riley", 4, 3000.0), np.maximum(frequency, 1e-3))
            turn = 1.0 if side == "low-pass" else -np.exp(-2j * np.pi * frequency * late)
            return np.asarray(found * turn)

        heard = through(sound, gain, RATE)
        return with_noise(heard, signal, START, RATE, noise, np.random.default_rng(len(side)))

    columns = np.stack([feed("low-pass"), feed("high-pass")][:channels], axis=1)
    begins = START + signal.play(0).first
    second = round((START + signal.play(0).second - 0.1) * RATE)
    columns[second : second + round(1.3 * RATE)] *= softer
    columns = columns if silence else columns[round((begins - 0.03) * RATE) :]
    contents = wav.header(len(columns), channels, round(RATE), 24) + wav.encoded(columns, 24)
    return Kept("a", "a.wav", len(contents), lambda start, count: contents[start : start + count])


@pytest.mark.parametrize("late", [1e-4, -1.3e-3])
def test_feed_sum_of_a_recording(late: float) -> None:
    """At 50 dB over noise the delay within 2 µs, a recorder's clock 60 ppm fast."""
    given = recording(50.0, late, drift=60e-6)
    result = run("feed-sum", **RECORDED, recording=given, at=3000.0).result
    assert (result.verdict, result.polarity_word) == ("yes", "invert it")
    assert result.delay_found == pytest.approx(late, abs=2e-6)
    assert result.gain_found == pytest.approx(0, abs=0.11)
    if late == 1e-4:  # Two equal feeds at 3 kHz: 54° of half a turn.
        half = math.pi * result.looked_at * late
        assert result.looked_at == pytest.approx(3000, rel=0.01)
        assert result.found_loss_at == pytest.approx(20 * math.log10(math.sin(half)), abs=0.05)
        assert result.turned_loss_at == pytest.approx(20 * math.log10(math.cos(half)), abs=0.05)


def test_feed_sum_refuses_a_recording_that_tells_nothing() -> None:
    def words(**inputs: Any) -> str:
        (error,) = run("feed-sum", **RECORDED | inputs).errors
        assert error.field == "recording"
        return error.message

    assert "Choose the recording" in words()
    assert "one channel" in words(recording=recording(60.0, channels=1))
    assert "Under 40 dB" in words(recording=recording(30.0))
    assert "record 3 s before" in words(recording=recording(60.0, silence=False), markers=False)
    assert "turns the gain by itself" in words(recording=recording(60.0, softer=10 ** (5.6 / 20)))
    assert "clocks run was not found" in words(recording=recording(60.0, drift=500e-6))
    assert "No sweep with these settings" in words(recording=recording(60.0), sweep_length=3.0)


def test_left_against_right() -> None:
    pair = fed(1.0, 0.0)
    low = pair["low_curve"]
    for turn, words in ((0.0, "in step"), (180.0, "one side is inverted"), (100.0, "turned in phase")):
        other = low | {"phase": (np.asarray(low["phase"]) + turn).tolist()}
        assert words in run("feed-sum", **pair, other_side=other).result.sides


def test_a_load_too_small_for_the_clipped_feed_is_a_danger() -> None:
    hot = run(
        "speaker-level-feed", input_limit=10.0, measured_voltage=8.4, load_resistor=47.0, load_rating=5.0
    )
    (danger,) = [advice for advice in hot.advice if advice.danger]
    assert "4.4 W" in danger.message
    cool = run(
        "speaker-level-feed", input_limit=10.0, measured_voltage=8.4, load_resistor=33.0, load_rating=10.0
    )
    assert cool.advice == ()


def test_a_feed_louder_than_its_supply_is_told() -> None:
    loud = run("speaker-level-feed", input_limit=20.0, measured_voltage=14.0).result
    assert [advice.about for advice in loud.advice] == ["rail"]


def test_a_source_with_its_own_converter_is_reckoned_by_its_own_peak() -> None:
    """28 V RMS is 39.6 V peak; as a square in 33 Ω (2·28²)/33 = 47.5 W, by hand."""
    outcome = run(
        "speaker-level-feed", input_limit=10.0, measured_voltage=28.0, load_resistor=33.0, load_rating=10.0
    )
    assert outcome.result.load_heat_clipped == pytest.approx(1568 / 33)
    assert outcome.result.load_rating_needed == pytest.approx(1.5 * 1568 / 33)
    assert outcome.result.clipped_voltage == pytest.approx(39.598, abs=0.001)
    assert outcome.result.fault_current == pytest.approx(39.598 / outcome.result.leg_used, rel=1e-4)
    assert "by its maker's data" in outcome.result.rest
    assert "by its maker's data" in outcome.result.swing
    assert [advice.about for advice in outcome.advice if advice.danger] == ["load_rating"]


@pytest.mark.parametrize("volts", [8.3, 9.0, 11.7, 14.2, 19.9, 27.3])
def test_a_pad_keeps_the_reserve_that_was_asked_for(volts: float) -> None:
    found = run("speaker-level-feed", input_limit=4.0, measured_voltage=volts, reserve=2.0).result
    assert 1.95 <= found.headroom < 3
    assert not [advice for advice in found.advice if advice.about == "headroom"]
    typed = run(
        "speaker-level-feed", input_limit=4.0, measured_voltage=volts, leg=found.leg_used, reserve=4.0
    )
    assert "4 dB that you asked for" in next(a.message for a in typed.advice if a.about == "headroom")


def test_a_pad_that_guards_nothing_is_a_danger() -> None:
    """14.4 V on 11 Ω: 1.3 A, 19 W; and 14.4 V on 2 x 10 Ω and 10 Ω side by side with 10 kΩ, by hand."""
    bare = {"input_limit": 8.4, "measured_voltage": 8.4, "reserve": 0.1}
    (danger,) = [each for each in run("speaker-level-feed", **bare).advice if each.danger]
    assert (danger.about, "1.3 A" in danger.message, "19 W" in danger.message) == ("leg_used", True, True)
    load = run("speaker-level-feed", **bare, leg=10.0, across=10.0)
    assert load.result.leg_heat == pytest.approx(2.306, abs=0.002)
    assert {each.about for each in load.advice if each.danger} == {"across_heat", "leg_used"}
    assert run("speaker-level-feed", input_limit=2.0, measured_voltage=8.4).advice == ()
