"""Recordings and curves with bytes gone wrong: an answer or a refusal in words, soon, and little memory.

Ten thousand of each in the long tests.
"""

import math
import time
from contextlib import suppress

import numpy as np
import pytest

from calculators.declaring import CurveText, InputError, Kept, run_values
from calculators.declaring.inputs.kind import Form, Found
from calculators.physics import wav
from calculators.stages import find_calculator
from tests.conftest import SOAK
from tests.stages.tuning.test_response import recorded

COUNT = 10_000 if SOAK else 60
LONGEST = 1.0
"""Seconds that one may take."""
SETTINGS = {"low": 150.0, "high": 3000.0, "sweep_length": 0.5, "lead": 0.5, "pause": 0.3, "markers": False}
RATE = 8000
HEAD = 60
LETTERS = "0123456789,.;:-+eE \t\n\"'#−∞µ\0é"
CURVE = "* made up\nFrequency, Level\n20, -3.5\n31,5; -2\n100 0.0\n1000\t0,5\n1e4 1.25\n20000 -6\n"


def mutated(contents: bytes, random: np.random.Generator) -> bytes:
    """The same with a few bytes changed, most of them in the head, and perhaps its end cut off."""
    found = bytearray(contents)
    for _ in range(int(random.integers(1, 6))):
        reach = HEAD if random.random() < 0.7 else len(found)
        found[int(random.integers(reach))] = int(random.integers(256))
    if random.random() < 0.3:
        del found[int(random.integers(len(found))) :]
    return bytes(found)


@pytest.mark.parametrize("floating", [False, True])
def test_a_mutated_recording_is_read_or_refused(floating: bool) -> None:
    samples = recorded(SETTINGS, rate=float(RATE), start=0.1)[:, np.newaxis]
    bits = 32 if floating else 16
    head = wav.header(samples.shape[0], 1, RATE, bits, floating)
    whole = head + wav.encoded(samples, bits, floating)
    response = find_calculator("response")
    answers = 0
    for seed in range(COUNT // 2):
        contents = mutated(whole, np.random.default_rng(seed))
        asked = 0

        def read(start: int, count: int, contents: bytes = contents) -> bytes:
            nonlocal asked
            asked += count
            return contents[start : start + count]

        file = Kept("a", "a.wav", len(contents), read)
        begun = time.thread_time()
        outcome = run_values(response, SETTINGS | {"recording": file})
        assert time.thread_time() - begun < LONGEST, seed
        assert asked <= 2 * len(whole), seed
        assert all(error.message and error.field for error in outcome.errors), seed
        answers += outcome.result is not None
    assert answers, "a byte in the sound leaves something to read"


def test_a_mutated_curve_is_read_or_refused() -> None:
    kind = CurveText("Curve")
    for seed in range(COUNT):
        random = np.random.default_rng(seed)
        letters = list(CURVE)
        for _ in range(int(random.integers(1, 12))):
            place = int(random.integers(len(letters)))
            letters[place : place + int(random.integers(3))] = LETTERS[int(random.integers(len(LETTERS)))]
        begun = time.thread_time()
        with suppress(InputError):
            curve = kind.read_text("curve", "".join(letters), Form({}, {}), Found())
            assert curve is not None
            assert all(map(math.isfinite, (*curve.frequency, *curve.level)))
        assert time.thread_time() - begun < LONGEST, seed
