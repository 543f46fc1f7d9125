"""Test signals: sizes and levels by the definitions of their formats."""

from math import log10

from tests.published.rows import Row, check, every

WAV = "Multimedia Programming Interface and Data Specifications 1.0: 44 bytes, then the samples"
AES17 = "AES17-2020: 0 dBFS is a full-scale sine, so a sine's peak stands at its level"
NOVAK = "Novak, Lotton and Simon 2015: L = round(f1 T/ln(f2/f1))/f1, length L ln(f2/f1)"
FARINA = "Farina 2000, by Novak's L of 1.45 s: L ln 2"
SWEEP = {"low": 20.0, "high": 20_000.0, "sweep_length": 5.0, "level": -18.0}
TONE = {"frequency": 1000.0, "duration": 5.0, "level": -20.0}

THIRD = {"low": 35.481, "high": 44.668, "duration": 33.0}
SCATTER = "4.34/√(B·T), IEC 61260-1 edges of the 40 Hz band, 33 s"
RICE = "Rice 1945 and Cartwright and Longuet-Higgins 1956; 14.4 dB was found over 87 s of one noise"

ONE, TWO = {"signals": [{"signal": "29c"}]}, {"signals": [{"signal": "29b"}, {"signal": "29c"}]}
FIVE_SECONDS = 44 + 2 * 5 * 44_100
ZIP = ".ZIP File Format Specification: 30 + 16 + 46 bytes and its name twice for each file, 22 at the end"
NAMES = len("29b-400-Hz-minus-5-dB.wav29c-400-Hz-minus-10-dB.wav") + 2 * len("-speakers-off")

ROWS = [
    Row("SG-10", "signals", ONE, "file_size", FIVE_SECONDS, 0, WAV, "memory"),
    Row("SG-11", "signals", TWO, "file_size", 22 + 2 * (92 + FIVE_SECONDS) + 2 * NAMES, 0, ZIP, "memory"),
    Row("SG-07", "noise", THIRD, "scatter", 0.249, 0.002, SCATTER, "calc"),
    Row("SG-08", "noise", {"duration": 87.0}, "crest_factor", 14.4, 0.3, RICE, "calc"),
    Row("SG-09", "noise", {"duration": 10.0}, "file_size", 44 + 2 * 10 * 48_000, 0, WAV, "memory"),
    Row("SG-01", "tone", TONE, "file_size", 44 + 2 * 5 * 48_000, 0, WAV, "memory"),
    Row(
        "SG-02",
        "tone",
        TONE | {"sample_rate": 44_100.0, "channels": "left", "sample_format": "24-bit"},
        "file_size",
        44 + 2 * 3 * 5 * 44_100,
        0,
        WAV,
        "memory",
    ),
    Row("SG-03", "tone", TONE, "peak_level", -20.0, 1e-12, AES17, "calc"),
    Row("ML-07", "sweep", SWEEP, "rate_constant", 0.7, 1e-9, NOVAK, "calc"),
    Row("ML-07", "sweep", SWEEP, "true_length", 4.83543, 1e-5, NOVAK, "calc"),
    Row(
        "ME-04",
        "sweep",
        SWEEP | {"sweep_length": 10.0},
        "second_harmonic_lead",
        1.00507,
        1e-5,
        FARINA,
        "calc",
    ),
    Row("SG-04", "sweep", SWEEP, "second_level", -18 - 20 * log10(2), 1e-12, "half as large", "calc"),
    Row("SG-05", "response", {}, "drift", 0.0, 1e-7, "the model of the demonstration has one clock", "calc"),
    Row(
        "SG-06",
        "response",
        {},
        "plays[0].polarity",
        "positive (goes up first), certain",
        0,
        "the model's sign",
        "calc",
    ),
]


@every(ROWS)
def test_published(row: Row) -> None:
    check(row)
