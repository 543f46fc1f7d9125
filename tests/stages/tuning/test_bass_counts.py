"""The table of the page on measuring: how many simulated subwoofers come in where the form says.

The counts stand on the page alone, and are held here in the long tests.
"""

import re
from pathlib import Path

import numpy as np
import pytest

from tests.conftest import SOAK
from tests.recordings import played, random_cabin, speaker, through, with_noise
from tests.stages.tuning.test_response import SUBWOOFER, answered, kept, signal_of

PAGE = Path(__file__).parents[3] / "docs" / "stages" / "tuning" / "measuring.md"
ROW = re.compile(r"(?m)^\| (\d+) dB an octave \| (\d+) of 100 \| (\d+) of 100 \|$")
RATE, FIRST_SEED, STEEPNESS = 8000.0, 30_000, {12: 2, 24: 4, 36: 6, 48: 8}
PAIRS = 100 if SOAK else 2


def counts_on_the_page() -> dict[int, tuple[int, int]]:
    """By dB an octave: how many of 100 within half a millisecond, and of how many the ± holds."""
    rows = ROW.findall(PAGE.read_text(encoding="utf-8"))
    return {int(steepness): (int(within), int(held)) for steepness, within, held in rows}


def counted(order: int, pairs: int) -> tuple[float, float]:
    """Of so many pairs, each in one file, each box in a cabin of its own: both shares, in 100.

    The noise is 25 to 45 dB under the sweep, RMS of each.
    """
    signal, start, near, held = signal_of(SUBWOOFER, plays=2), 0.2, [], []
    for seed in range(FIRST_SEED, FIRST_SEED + pairs):
        random = np.random.default_rng(seed)
        noise, sound, true = float(random.uniform(25, 45)), np.zeros(1), []
        for play in range(2):
            cabin = random_cabin(random, 0.6)
            box = speaker(random.uniform(30, 50), random.uniform(60, 110), 2, order, random.uniform(0.6, 1))
            one = 0.1 * played(signal, RATE, start, 0.5 + signal.length, play=play)
            sound = sound + through(one, lambda f, b=box, c=cabin: b(f) * c(f), RATE)
            true.append(start + cabin.direct)
        sound = with_noise(sound, signal, start, RATE, noise, random)
        rows = answered(kept(sound, RATE), SUBWOOFER, plays_in_file=2.0).plays
        off = [row.arrival - time for row, time in zip(rows, true, strict=True)]
        near += [abs(each) <= 0.0005 for each in off]
        held.append(abs(off[1] - off[0]) <= rows[1].within)
    return 100 * float(np.mean(near)), 100 * float(np.mean(held))


def test_the_page_tells_every_steepness() -> None:
    assert list(counts_on_the_page()) == list(STEEPNESS)


@pytest.mark.parametrize("steepness", STEEPNESS)
def test_the_counts_on_the_page_are_those_of_simulated_subwoofers(steepness: int) -> None:
    """100 pairs of each in the long tests, to one of 100."""
    within, held = counted(STEEPNESS[steepness], PAIRS)
    print(f"{steepness} dB an octave: {within:.1f} of 100 within 0.5 ms; the ± holds {held:.1f} of 100")
    if SOAK:
        assert (within, held) == pytest.approx(counts_on_the_page()[steepness], abs=1)
    assert within >= 50
