"""Test signals: sizes and levels by the definitions of their formats."""

from tests.published.rows import Row, check, every

WAV = "Multimedia Programming Interface and Data Specifications 1.0: 44 bytes, then the samples"
AES17 = "AES17-2020: 0 dBFS is a full-scale sine, so a sine's peak stands at its level"
TONE = {"frequency": 1000.0, "duration": 5.0, "level": -20.0}

ROWS = [
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
]


@every(ROWS)
def test_published(row: Row) -> None:
    check(row)
