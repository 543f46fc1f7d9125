"""The set of test files: as a reader of another project's making finds them, and the same bytes as ever."""

import io
import json
import re
import zipfile
import zlib
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from calculators import __main__ as command_line
from calculators import browser
from calculators.declaring import Made, run_values
from calculators.declaring.kept import MOST_BYTES
from calculators.physics import probe_signals
from calculators.physics.arrays import FloatArray
from calculators.stages import find_calculator
from calculators.vocabulary import signal_parts
from calculators.vocabulary.signal_checksums import CHECKED_FORMAT, CHECKED_RATE, CHECKSUMS
from calculators.vocabulary.signal_set import LOADS, SIGNAL_SET
from calculators.vocabulary.sound_files import BLOCK
from tests.conftest import ROOT, SOAK
from tests.stages.tuning.test_signals import made, rms_level

QUICK = ("03", "06b", "14", "20", "24", "25", "29c")


def wanted(*numbers: str, **settings: Any) -> Any:
    rows = [{"signal": number} for number in numbers]
    outcome = run_values(find_calculator("signals"), {"signals": rows, **settings})
    assert outcome.errors == ()
    return outcome.result


def beginning(number: str, seconds: float) -> FloatArray:
    """The first seconds of a signal of one channel, part of full scale."""
    one = SIGNAL_SET[number]
    pieces = signal_parts.file_of(one.file_name, one.parts(), CHECKED_RATE, "float").pieces()
    count = round(seconds * CHECKED_RATE)
    wanted_pieces = islice(pieces, 1, 2 + count // BLOCK)
    return np.concatenate([np.frombuffer(piece, "<f4").astype(float) for piece in wanted_pieces])[:count]


def checksum(file: Made) -> tuple[int, int]:
    """Size and CRC-32 of what a file holds, piece by piece."""
    size = found = 0
    for piece in file.pieces():
        size, found = size + len(piece), zlib.crc32(piece, found)
    return size, found


@pytest.mark.parametrize("number", SIGNAL_SET if SOAK else QUICK)
def test_a_signal_has_the_bytes_it_always_had(number: str) -> None:
    """A signal that is changed on purpose: write the number that this test finds into `signal_checksums`."""
    one = SIGNAL_SET[number]
    file = signal_parts.file_of(one.file_name, one.parts(), CHECKED_RATE, CHECKED_FORMAT)
    assert checksum(file) == (file.size, CHECKSUMS[number])


def test_the_set_is_whole_and_says_how_it_is_played() -> None:
    """Every number of the handbook's list but the pairs for customers, which are heard on their pages."""
    assert {number[:2] for number in SIGNAL_SET} == {f"{n:02}" for n in range(1, 30)} - {"22"}
    assert set(CHECKSUMS) == set(SIGNAL_SET)
    for one in SIGNAL_SET.values():
        assert all((one.care, one.used, one.holds))
        assert one.care == LOADS or one.level is None or one.level <= -9
        assert ("speakers-off" in one.file_name) == (one.care == LOADS)


def test_whatever_may_reach_a_tweeter_says_so() -> None:
    for number in ("03", "06b", "09a", "11b", "12f", "17", "28"):
        assert "weeter" in SIGNAL_SET[number].care
    (advice,) = wanted("12a").advice
    assert (advice.danger, "What reaches a tweeter: 1 V RMS" in advice.message) == (True, True)
    # Its RMS over a second says nothing of its peak: a meter that reads peaks sets it, as the page does.
    assert "1 V peak" in SIGNAL_SET["03"].care
    assert "on this file, by a meter that reads peaks" in SIGNAL_SET["03"].care


def test_the_set_is_the_one_that_the_pages_ask_for() -> None:
    """No tone at full scale comes by itself after a softer one: each is a file of its own."""
    folder = ROOT / "docs" / "stages"
    gain, survey, identity, levels = (
        " ".join((folder / page).read_text(encoding="utf-8").split())
        for page in (
            "commissioning/gain.md",
            "survey/signal.md",
            "commissioning/channel-identity.md",
            "tuning/levels.md",
        )
    )
    assert "Play only the file the step names" in gain
    assert "at 0, −5 and −10 dBFS (29a, b, c); tone of 50 Hz at the same levels (05a, b, c)" in gain
    assert "at −6 and 0 dBFS, of 1 kHz 04b and 04a" in survey
    assert "at −20 dBFS (03)" in identity
    for letters, wanted in (("05", (0, -5, -10)), ("29", (0, -5, -10)), ("04", (0, -6))):
        for letter, level in zip("abc", wanted, strict=False):
            one = SIGNAL_SET[letters + letter]
            assert (one.level, len(one.parts())) == (level, 1)
    assert {part.length for part in SIGNAL_SET["04a"].parts()} == {3.0}
    assert SIGNAL_SET["03"].level == -20
    for band, number in (
        ("40 to 63 Hz", "11d"),
        ("315 Hz to 2.5 kHz", "11e"),
        ("3.15 to 12.5 kHz", "11f"),
        ("315 Hz to 5 kHz", "11a"),
        ("2.1 to 3 kHz", "11g"),
        ("3 to 4.2 kHz", "11h"),
    ):
        assert f"{band} ({number})" in levels
        assert band in SIGNAL_SET[number].holds


@pytest.mark.parametrize(
    ("number", "slug", "settings"),
    [
        ("06c", "sweep", {"low": 30.0, "high": 8000.0, "layout": "left-right"}),
        ("06e", "sweep", {"low": 10.0, "high": 20_000.0, "level": -12.0, "direction": "falling"}),
        ("29b", "tone", {"frequency": 400.0, "level": -5.0}),
        ("11c", "noise", {"low": 2000.0, "high": 4000.0, "duration": 60.0}),
    ],
)
def test_a_signal_is_that_of_its_own_calculator(number: str, slug: str, settings: dict[str, Any]) -> None:
    """So a recording of it is read with the settings that stand in its line."""
    mine = wanted(number).file
    theirs = made(slug, **settings, sample_rate=CHECKED_RATE)[0]
    assert mine.size == theirs.size
    assert all(one == other for one, other in islice(zip(mine.pieces(), theirs.pieces(), strict=True), 15))


def test_levels_and_peaks_are_what_they_say() -> None:
    """AES17: RMS against a full-scale sine; peaks stand 3.01 dB less than their crest above that."""
    step = 2.0**-15
    silence = probe_signals.dither(0, 1 << 18, 1)
    assert set(np.unique(silence)) == {-step, 0.0, step}
    assert rms_level(silence) == pytest.approx(-93.32, abs=0.05)  # Lipshitz 1992: half a step.
    pulse = beginning("03", 2.5)
    assert np.max(pulse) == pytest.approx(10 ** (-20 / 20), abs=0.006)
    assert np.min(pulse) >= 0
    assert np.flatnonzero(np.diff(np.flatnonzero(pulse)) > 1).size == 2
    tones = beginning("20", 2.0)
    assert rms_level(tones[10_000:]) == pytest.approx(-15, abs=0.05)
    crest = 20 * np.log10(np.max(np.abs(tones))) - rms_level(tones) + 3.0103
    assert crest < 11.6
    spectrum = np.abs(np.fft.rfft(tones[8192 : 8192 + 65_536]))
    assert np.count_nonzero(spectrum > 0.01 * np.max(spectrum)) == 31


@pytest.mark.parametrize(("number", "crest", "seconds"), [("19a", 6, 6), ("19b", 12, 20), ("19c", 18, 60)])
def test_noise_has_the_peaks_it_is_named_for(number: str, crest: float, seconds: float) -> None:
    samples = beginning(number, seconds if SOAK else 4)[4410:]
    assert rms_level(samples) == pytest.approx(-20, abs=0.5)
    reached = 20 * np.log10(np.max(np.abs(samples))) - (-20 - 3.0103)
    assert reached <= crest + 0.3
    assert reached > crest - (0.3 if SOAK or number == "19a" else 2.0)


def test_several_are_a_zip_that_others_read() -> None:
    result = wanted("24", "29a", "03", sample_rate=48_000.0)
    contents = result.file.contents
    assert len(contents) == result.file.size == result.file_size
    with zipfile.ZipFile(io.BytesIO(contents)) as packed:
        assert packed.testzip() is None
        assert packed.namelist() == [file.name for file in result.file.holds]
        for file in result.file.holds:
            assert packed.read(file.name) == file.contents
            assert soundfile.read(io.BytesIO(file.contents))[1] == 48_000
    assert [row.checksum for row in result.signals_held] == ["–"] * 3
    twice = run_values(find_calculator("signals"), {"signals": [{"signal": "24"}] * 2})
    assert [(error.field, error.message[:9]) for error in twice.errors] == [
        ("signals[1].signal", "24 stands")
    ]


def test_a_page_makes_no_file_over_its_most_and_says_so() -> None:
    whole = wanted()
    assert len(whole.signals_held) == len(SIGNAL_SET)
    under = {row.number: re.findall(r"Volume (\d+) dB under", row.care) for row in whole.signals_held}
    assert {number: float(found[0]) for number, found in under.items() if found} == {
        "02": 6, "13a": 3, "13b": 3, "14": 9, "16": 3, "18": 6, "20": 3,
    }  # fmt: skip
    assert whole.file.size > MOST_BYTES
    assert "a page makes 100 MB at most" in whole.advice[-1].message
    said = json.loads(browser.answer(json.dumps({"calculator": "signals", "inputs": {}, "release": ""})))
    assert said["files"] == []
    assert "too large for a page to make" in said["html"]
    assert "data-file" not in said["html"]


def test_the_command_line_writes_them_unpacked_and_names_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    words = ["--signals", "signal=29a", "--signals", "signal=29c"]
    assert command_line.main(["signals", *words, "--out", str(tmp_path)]) == 0
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == ["29a-400-Hz-0-dB-speakers-off.wav", "29c-400-Hz-minus-10-dB-speakers-off.wav"]
    assert f"CRC-32 {CHECKSUMS['29c']:08x}" in capsys.readouterr().err
    assert command_line.main(["signals", *words, "--out", str(tmp_path / "two.zip")]) == 0
    assert zipfile.ZipFile(tmp_path / "two.zip").namelist() == names
    capsys.readouterr()
    given = {"frequency": 400.0, "level": -10.0, "sample_rate": 44_100.0}
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps(given)))
    path = tmp_path / "tone.wav"
    assert command_line.main(["tone", "--json", "--out", str(path)]) == 0
    told = {"path": str(path), "size": path.stat().st_size, "crc32": f"{CHECKSUMS['29c']:08x}"}
    assert json.loads(capsys.readouterr().out)["files"] == [told]


def test_a_recording_is_named_by_its_path_and_a_wrong_path_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "short.wav"
    path.write_bytes(made("tone", frequency=400.0, duration=0.5)[0].contents)
    for given, field, words in (
        (str(path), "recording", "too short"),
        ("no-such.wav", "recording", "There is no file no-such.wav."),
    ):
        monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps({"recording": given})))
        assert command_line.main(["response", "--json"]) == 2
        (error,) = json.loads(capsys.readouterr().out)["errors"]
        assert error["field"] == field
        assert words in error["message"]
