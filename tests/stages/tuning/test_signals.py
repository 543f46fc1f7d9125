"""Test signals as files: what a reader of another project's making finds in them."""

import io
import zlib
from typing import Any

import numpy as np
import pytest
import soundfile

from calculators.declaring import Made, run_values
from calculators.physics.arrays import FloatArray
from calculators.stages import find_calculator


def made(slug: str, **inputs: Any) -> tuple[Made, Any]:
    """The file that a calculator makes, and its result."""
    outcome = run_values(find_calculator(slug), inputs)
    assert outcome.errors == ()
    return outcome.result.file, outcome.result


def samples_of(file: Made) -> FloatArray:
    assert len(file.contents) == file.size
    read, _ = soundfile.read(io.BytesIO(file.contents), always_2d=True)
    return np.asarray(read)


def rms_level(samples: FloatArray) -> float:
    """dBFS by AES17: RMS against a full-scale sine."""
    return float(20 * np.log10(np.sqrt(2 * np.mean(samples**2))))


@pytest.mark.parametrize(
    ("sample_format", "step"), [("16-bit", 2**-15), ("24-bit", 2**-23), ("float", 2**-24)]
)
def test_a_tone_has_its_level_and_frequency(sample_format: str, step: float) -> None:
    inputs = {"frequency": 1000.0, "level": -12.0, "duration": 1.0, "sample_format": sample_format}
    samples = samples_of(made("tone", channels="both", **inputs)[0])
    middle = samples[4800:43200, 0]
    assert rms_level(middle) == pytest.approx(-12, abs=0.001)
    assert np.max(np.abs(samples)) == pytest.approx(10 ** (-12 / 20), abs=step)
    assert np.argmax(np.abs(np.fft.rfft(middle))) == 1000 * middle.size / 48_000
    np.testing.assert_array_equal(samples[:, 0], samples[:, 1])


@pytest.mark.parametrize(
    ("channels", "shares"),
    [("mono", [1]), ("both", [1, 1]), ("left", [1, 0]), ("right", [0, 1]), ("reversed", [1, -1])],
)
def test_each_layout_puts_the_sound_where_it_says(channels: str, shares: list[int]) -> None:
    inputs = {"frequency": 400.0, "duration": 0.1, "sample_format": "float"}
    samples = samples_of(made("tone", channels=channels, **inputs)[0])
    alone = samples_of(made("tone", channels="mono", **inputs)[0])
    np.testing.assert_array_equal(samples, alone * np.array(shares))


def test_a_loud_tone_is_a_danger_and_a_long_loud_one_is_told() -> None:
    _, loud = made("tone", frequency=400.0, level=0.0, duration=6.0)
    assert [entry.danger for entry in loud.advice] == [True, False]
    assert made("tone", frequency=400.0, level=-6.0, duration=60.0)[1].advice == ()


@pytest.mark.parametrize(
    ("slug", "inputs", "words"),
    [
        ("sweep", {"low": 3000.0, "high": 20_000.0}, "1 V RMS"),
        ("noise", {"low": 3150.0, "high": 12_500.0}, "1 V RMS"),
        ("tone", {"frequency": 5000.0}, "1 V RMS"),
        ("sweep", {"low": 30.0, "high": 8000.0}, "begins at 30 Hz: tweeters unplugged"),
        ("noise", {"low": 315.0, "high": 5000.0}, "begins at 315 Hz: tweeters unplugged"),
        ("sweep", {"low": 10.0, "high": 500.0}, None),
        ("noise", {"low": 40.0, "high": 63.0}, None),
        ("tone", {"frequency": 400.0}, None),
    ],
)
def test_what_may_reach_a_tweeter_is_a_danger_in_its_words(
    slug: str, inputs: dict[str, float], words: str | None
) -> None:
    told = [entry.message for entry in made(slug, **inputs)[1].advice if entry.danger]
    assert len(told) == (words is not None)
    assert not words or words in told[0]
    assert {"S09", "S14", "S22", "S24"} <= set(find_calculator(slug).cautions)


def test_no_sweep_over_minus_18_goes_into_a_speaker() -> None:
    def dangers(level: float) -> list[str]:
        return [entry.about for entry in made("sweep", low=30.0, high=500.0, level=level)[1].advice]

    assert (dangers(-18.0), dangers(-12.0)) == ([], ["level"])


def test_what_does_not_fit_is_refused_at_its_field() -> None:
    tone = find_calculator("tone")
    high = run_values(tone, {"frequency": 22_000.0, "sample_rate": 44_100.0})
    assert [error.field for error in high.errors] == ["frequency"]
    long = run_values(
        tone, {"frequency": 50.0, "duration": 600.0, "channels": "both", "sample_rate": 96_000.0}
    )
    assert [error.field for error in long.errors] == ["duration"]
    assert "230 MB" in long.errors[0].message


def test_noise_has_its_level_and_its_band() -> None:
    file, result = made("noise", low=315.0, high=5000.0, duration=4.0, sample_format="float")
    samples = samples_of(file)[:, 0]
    assert rms_level(samples) == pytest.approx(-18, abs=0.25)
    assert 20 * np.log10(np.max(np.abs(samples))) == pytest.approx(result.peak_about, abs=1.5)
    power = np.abs(np.fft.rfft(samples)) ** 2
    frequency = np.fft.rfftfreq(samples.size, 1 / 48_000)
    assert np.sum(power[(frequency < 300) | (frequency > 5050)]) < 1e-4 * np.sum(power)


def test_unrelated_sides_are_unrelated_and_the_left_one_is_that_of_mono() -> None:
    settings = {"low": 100.0, "high": 10_000.0, "duration": 2.0, "sample_format": "float"}
    both = samples_of(made("noise", channels="unrelated", **settings)[0])
    alone = samples_of(made("noise", **settings)[0])
    np.testing.assert_array_equal(both[:, 0], alone[:, 0])
    assert abs(np.corrcoef(both.T)[0, 1]) < 0.03


NARROW = {"colour": "white", "low": 891.0, "high": 1122.0, "duration": 1.0, "seed": 2.0}


@pytest.mark.parametrize(("settings", "checksum"), [({"duration": 1.0}, 163319927), (NARROW, 780387208)])
def test_noise_has_the_bytes_it_always_had(settings: dict[str, Any], checksum: int) -> None:
    """CRC-32 of the whole file: the same on every machine, and in the page (tests/browser)."""
    assert zlib.crc32(made("noise", **settings)[0].contents) == checksum


@pytest.mark.parametrize(
    ("subwoofer", "begins"), [([], 20.0), ([{"name": "Bass", "part": "subwoofer"}], 5.0)]
)
def test_the_level_check_names_the_file_that_the_sweep_makes(
    subwoofer: list[dict[str, Any]], begins: float
) -> None:
    """From 5 Hz where there is a subwoofer: a stick may hold both."""
    guided = find_calculator("guided-tune")
    bass = [{**each, "side": "both", "high_pass": 20.0, "low_pass": 80.0} for each in subwoofer]
    acts = run_values(guided, {"channels": [*guided.example["channels"], *bass]}).result.acts
    file, _ = made("sweep", low=begins, high=20_000.0, level=-18.0, layout="left-right")
    assert [
        act.number
        for act in acts
        if f"“left, then right”: as the page of test signals makes it, {file.name}." in act.act
    ]
