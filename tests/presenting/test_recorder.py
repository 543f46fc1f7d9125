"""What the recorder offers to play, against the handbook's own table of levels."""

import re
from pathlib import Path

from calculators.presenting.recorder import FIRST, LEVELS

SIGNALS = Path("docs/stages/tuning/test-signals.md")


def test_no_level_is_offered_that_goes_into_no_speaker() -> None:
    rows = [row.split("|") for row in SIGNALS.read_text(encoding="utf-8").splitlines() if " dB |" in row]
    loudest = {row[1].strip(): float(re.findall(r"-\d+", row[4])[0]) for row in rows if "never" not in row[5]}
    assert {"Subwoofer", "Door", "Tweeter"} <= loudest.keys()
    assert max(LEVELS) <= min(loudest.values())
    assert min(LEVELS) == LEVELS[0] == FIRST, "the first run is the softest"
