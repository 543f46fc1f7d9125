"""The sounds of the demonstrations, measured as a stranger would: from the bytes of their files."""

import io
import json
import math
import time
import tracemalloc
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from scipy import signal

from calculators import __main__ as command_line
from calculators import browser
from calculators.declaring import Outcome, example_fields, run_values
from calculators.declaring.working import drain
from calculators.physics import sound_material
from calculators.physics.arrays import FloatArray
from calculators.physics.loudness import loudness
from calculators.presenting import plain_text
from calculators.stages import CONTENTS, find_calculator

RATE = 48_000
SLUGS = [slug for slug in CONTENTS["demonstrations"].slugs if slug != "blind-test"]
each = pytest.mark.parametrize("slug", SLUGS)


def outcome_of(slug: str, **inputs: Any) -> Outcome:
    calculator = find_calculator(slug)
    outcome = run_values(calculator, dict(calculator.example) | inputs)
    assert outcome.errors == ()
    return outcome


def sounds_of(slug: str, **inputs: Any) -> list[FloatArray]:
    """The sounds, shape (channels, samples), read by a library that is not ours."""
    found = []
    for _, made in outcome_of(slug, **inputs).sounds:
        samples, rate = soundfile.read(io.BytesIO(made.contents), always_2d=True)
        assert rate == RATE
        found.append(samples.T)
    return found


example = cache(sounds_of)


def ratio(after: FloatArray, before: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Frequencies at which both sounds are strong, and the complex gain from one to the other there."""
    one, other = np.fft.rfft(before), np.fft.rfft(after)
    strong = np.abs(one) > 1e-3 * np.max(np.abs(one))
    return np.fft.rfftfreq(before.size, 1 / RATE)[strong], other[strong] / one[strong], np.abs(one[strong])


@each
def test_equally_loud_and_nowhere_at_full_scale(slug: str) -> None:
    sounds = example(slug)
    assert {sound.shape for sound in sounds} == {sounds[0].shape}
    for sound in sounds:
        between = signal.resample(sound, 4 * sound.shape[1], axis=1)
        assert 20 * math.log10(np.max(np.abs(between))) < -2.5
    levels = [drain(loudness(sound, RATE)) for sound in sounds]
    if slug not in {"hear-hold-up", "hear-treatment"}:
        assert np.ptp(levels) < 0.1
        assert levels[0] == pytest.approx(-26, abs=0.1)


@each
def test_it_goes_round_without_a_seam(slug: str) -> None:
    """The step from the last sample to the first is no larger than steps within."""
    for sound in example(slug):
        steps = np.abs(np.diff(sound, axis=1, append=sound[:, :1]))
        assert np.all(steps[:, -1] <= np.max(steps[:, :-1]))


@pytest.mark.parametrize(("share", "lead", "level"), [(0.0, 0.49 / 343.2, 2.0), (0.4, 0.294 / 343.2, 1.2)])
def test_the_delay_and_the_level_are_found_again(share: float, lead: float, level: float) -> None:
    """Right against left: the slope of phase over frequency, and the ratio of powers."""
    left, right = sounds_of("hear-alignment", share=share)[1]
    frequency, gain, weight = ratio(right, left)
    turned = gain * np.exp(2j * math.pi * frequency * lead)  # What is left is a rest of delay near none.
    slope = np.sum(weight * frequency * np.angle(turned)) / np.sum(weight * frequency**2)
    assert abs(slope / (2 * math.pi)) < 1e-6
    assert 10 * math.log10(np.sum(left**2) / np.sum(right**2)) == pytest.approx(level, abs=0.1)


def test_each_setting_for_two_seats_is_heard_as_it_is_told() -> None:
    outcome = outcome_of("hear-two-seats", seat="passenger")
    leads = (outcome.result.for_driver, outcome.result.for_both, outcome.result.for_passenger)
    louder = (-2.0, -2.0, 0.0)  # By what the near door is louder, until the setting is for this seat.
    sounds = sounds_of("hear-two-seats", seat="passenger", louder=2.0)
    for (left, right), lead, level in zip(sounds, leads, louder, strict=True):
        assert 10 * math.log10(np.sum(left**2) / np.sum(right**2)) == pytest.approx(level, abs=0.1)
        frequency, gain, weight = ratio(right, left)
        turned = gain * np.exp(2j * math.pi * frequency * lead)
        assert abs(np.sum(weight * np.angle(turned))) / np.sum(weight * 2 * math.pi * frequency) < 1e-6


def test_the_doors_high_pass_is_found_again() -> None:
    """Doors alone against all of it: LR4 at 80 Hz, but for the one gain that makes them equally loud."""
    doors, whole = (sound[0] for sound in example("hear-subwoofer"))
    frequency, gain, _ = ratio(doors, whole)
    within = (frequency > 35) & (frequency < 2000)
    frequency, gain = frequency[within], gain[within]
    analogue = (frequency / 80) ** 4 / (1 + (frequency / 80) ** 4)
    off = 20 * np.log10(np.abs(gain) / analogue)
    assert np.max(np.abs(off - np.median(off[frequency > 300]))) < 0.1


def test_the_equalisers_filters_are_found_again() -> None:
    """With against without: cuts of 9 dB at 110 Hz and 7 dB at 6.5 kHz, but for one gain."""
    plain, equalised = (sound[0] for sound in example("hear-equaliser"))
    frequency, gain, _ = ratio(equalised, plain)
    found = 20 * np.log10(np.abs(gain))
    common = float(np.median(found[(frequency > 800) & (frequency < 1200)]))
    for hertz, cut, tolerance in ((110, -9, 0.1), (6500, -7, 0.1)):
        near = np.abs(frequency / hertz - 1) < 0.01
        assert np.median(found[near]) - common == pytest.approx(cut, abs=tolerance + 0.05)


def test_clipping_is_found_again() -> None:
    """The flat tops: the highest peak over the RMS falls, and how much of the time is spent there."""
    clipped, clean = (sound[0] for sound in example("hear-clipping"))

    def crest(sound: FloatArray) -> float:
        return float(20 * np.log10(np.max(np.abs(sound)) / np.sqrt(np.mean(sound**2))))

    assert crest(clean) - crest(clipped) > 5
    near = np.abs(clipped) > 0.8 * np.max(np.abs(clipped))
    assert np.mean(near) > 10 * np.mean(np.abs(clean) > 0.8 * np.max(np.abs(clean)))


def test_the_capacitor_holds_as_long_as_its_calculator_says() -> None:
    part = {"power": 15.8, "capacitance": 1.5, "start": 12.1, "minimum": 9.0, "isolator": 0.35}
    whole = run_values(find_calculator("hold-up"), part | {"charge_resistor": 2.2, "duration": 1.0})
    assert outcome_of("hear-hold-up", silence=1.2, **part).result.held == pytest.approx(whole.result.held)


@pytest.mark.parametrize(("capacitance", "gap_left"), [(0.2, None), (1.5, 0.0)])
def test_the_gap_is_as_long_as_it_is_told(capacitance: float, gap_left: float | None) -> None:
    outcome = outcome_of("hear-hold-up", capacitance=capacitance)
    without, held = (sound[0] for sound in sounds_of("hear-hold-up", capacitance=capacitance))
    assert outcome.result.gap_left == gap_left or gap_left is None
    told = [take.words for take in outcome.result.sound.takes]
    assert told[0] == "The music is gone for 1.2 s while the engine starts, then it comes back."
    assert (told[1] == "The music plays on through the start as if nothing had happened.") == (gap_left == 0)
    for sound, gap in ((without, 1.2), (held, outcome.result.gap_left)):
        power = np.convolve(sound**2, np.ones(960) / 960, "same")  # 20 ms.
        quiet = power < 0.03 * np.mean(without[:RATE] ** 2)
        assert np.sum(quiet[RATE : 3 * RATE]) / RATE == pytest.approx(gap, abs=0.15)
        assert np.mean(quiet[: RATE // 2]) < 0.3
    assert np.array_equal(without[: RATE // 2], held[: RATE // 2])  # One gain for both.


def test_the_road_is_quieter_and_nothing_else_but_the_knock() -> None:
    """What both share cancels in their difference: road, by 1 - 10^(-2/20), and the knock's longer ring."""
    before, after = (sound[0] for sound in sounds_of("hear-treatment", decay_before=0.04, decay_after=0.04))
    road = (before - after) / (1 - 10**-0.1)
    rest = before - road  # Voice and knocks alone.
    quiet = slice(round(2.62 * RATE), round(2.70 * RATE))  # Nobody speaks there.
    assert np.sqrt(np.mean(rest[quiet] ** 2)) < 0.1 * np.sqrt(np.mean(road[quiet] ** 2))
    longer, shorter = (sound[0] for sound in sounds_of("hear-treatment", quieter=0.0))
    ring = longer - shorter
    ends = [np.max(np.abs(ring[round((2.25 + at) * RATE) :][:480])) for at in (0.2, 0.2 + 0.09)]
    assert ends[0] / ends[1] == pytest.approx(math.e, rel=0.15)


def test_the_door_gives_sounds_to_who_wants_them_and_to_nobody_else() -> None:
    calculator = find_calculator("hear-subwoofer")
    question = {"calculator": "hear-subwoofer", "inputs": example_fields(calculator)}
    assert json.loads(browser.answer(json.dumps(question)))["files"] == []
    said = json.loads(browser.begin(1, json.dumps(question | {"want": ["sound"]})))
    while "working" in said:
        said = json.loads(browser.advance(1))
    assert "html" not in said
    assert [file["output"] for file in said["files"]] == ["sound", "sound"]
    assert said["files"][0]["name"] == "1-doors-alone.wav"
    made = [sound.contents for _, sound in outcome_of("hear-subwoofer").sounds]
    assert browser.files_of(1) == made
    wrong = question | {"inputs": {"high_pass": "x"}, "want": ["sound"]}
    assert json.loads(browser.answer(json.dumps(wrong)))["files"] == []


def test_the_command_line_keeps_the_sounds_in_a_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert command_line.main(["hear-subwoofer", "--out", str(tmp_path)]) == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == ["1-doors-alone.wav", "2-with-subwoofer.wav"]
    assert "Doors alone: Voice, snare" in capsys.readouterr().out
    assert "--out PATH" in plain_text.manual(find_calculator("hear-subwoofer"))


@each
def test_whoever_waits_is_heard_while_a_sound_is_made(slug: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No step is a large part of the work from nothing, by the processor's own clock, or transforms more
    than one sound with its tail."""
    monkeypatch.setattr(sound_material, "_kept", {})
    transformed = [0]

    def counted[**Given](transform: Callable[Given, FloatArray]) -> Callable[Given, FloatArray]:
        def one(*given: Given.args, **named: Given.kwargs) -> FloatArray:
            after = transform(*given, **named)
            transformed.append(transformed[-1] + max(np.size(given[0]), after.size))
            return after

        return one

    for name in ("rfft", "irfft"):
        monkeypatch.setattr(np.fft, name, counted(getattr(np.fft, name)))
    _, made = outcome_of(slug).sounds[0]
    marks = [(time.thread_time(), 0), *((time.thread_time(), transformed[-1]) for _ in made.pieces())]
    seconds, samples = np.diff(marks, axis=0).T
    assert np.max(seconds) < np.sum(seconds) / 4
    assert sound_material.SAMPLES <= np.max(samples) < 1.2 * sound_material.SAMPLES


def test_nothing_is_made_before_it_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object) -> None:
        raise AssertionError

    monkeypatch.setattr("calculators.vocabulary.listening.matched", never)
    for slug in SLUGS:
        assert outcome_of(slug).sounds


@pytest.mark.parametrize(
    ("slug", "inputs", "field"),
    [
        ("hear-alignment", {"near": 1.5, "far": 1.0}, "near"),
        ("hear-two-seats", {"near": 1.5, "far": 1.0}, "near"),
        ("hear-hold-up", {"start": 9.0}, "start"),
        ("hear-treatment", {"decay_after": 0.1}, "decay_after"),
        ("blind-test", {"right": 11}, "right"),
    ],
)
def test_what_contradicts_itself_is_told(slug: str, inputs: dict[str, Any], field: str) -> None:
    calculator = find_calculator(slug)
    outcome = run_values(calculator, dict(calculator.example) | inputs)
    assert [error.field for error in outcome.errors] == [field]


@pytest.mark.parametrize(
    ("slug", "inputs", "about"),
    [
        ("hear-alignment", {"share": 0.1}, "share"),
        ("hear-equaliser", {"filling": 9.0}, "filling"),
        ("hear-hold-up", {"capacitance": 0.3}, "capacitance"),
        ("hear-clipping", {"overload": 3.0}, "overload"),
        ("blind-test", {"rounds": 8.0}, "rounds"),
    ],
)
def test_what_is_worth_knowing_is_told(slug: str, inputs: dict[str, Any], about: str) -> None:
    assert [entry.about for entry in outcome_of(slug, **inputs).advice] == [about]
    assert outcome_of(slug).advice == ()


def test_a_note_filled_at_one_place_is_a_hump_beside_it() -> None:
    filled = outcome_of("hear-equaliser", filling=9.0).result
    assert filled.note_after == pytest.approx(filled.note_before + 9, abs=0.5)
    assert filled.note_after < -5
    assert filled.note_further > 5


def test_a_voice_asks_for_its_memory_bit_by_bit() -> None:
    """A page waits for it: no step before its first transform takes more than two rounds of samples."""
    steps, taken = sound_material._voice(sound_material._SPEECH, 0.0), [0]
    tracemalloc.start()
    for _ in range(1 + len(sound_material._SPEECH)):
        next(steps)
        taken.append(tracemalloc.get_traced_memory()[0])
    tracemalloc.stop()
    assert 0 < max(np.diff(taken)) < 2.5 * 8 * sound_material.SAMPLES
