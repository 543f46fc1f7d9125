"""The page stays live while a recording is worked on: between two signs of life is one transform at most."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calculators.declaring import steps_typed
from calculators.stages import find_calculator
from tests.stages.tuning.test_response import FULL, RATE, kept, recorded, shape

LARGE = 1 << 17
"""Samples from which on a transform takes its time: 2^20 of them take some 40 ms in a page."""


def test_no_step_holds_two_large_transforms(monkeypatch: pytest.MonkeyPatch) -> None:
    """A recording with two sweeps of 2 s."""
    made: list[int] = []

    def counted(transform: Callable[..., Any], size_of: Callable[[Any], int]) -> Callable[..., Any]:
        def run(values: Any, n: int | None = None, **more: Any) -> Any:
            made.append(max(size_of(values), n or 0))
            return transform(values, n, **more)

        return run

    monkeypatch.setattr(np.fft, "rfft", counted(np.fft.rfft, np.size))
    monkeypatch.setattr(np.fft, "irfft", counted(np.fft.irfft, lambda values: 2 * np.size(values) - 2))
    file = kept(recorded(FULL, shape), RATE)
    typed = {"recording": "a"} | {name: str(value) for name, value in FULL.items()}
    steps = steps_typed(find_calculator("response"), typed, {"a": file})
    counts = []
    while True:
        made.clear()
        try:
            next(steps)
        except StopIteration:
            break
        counts.append(sum(size > LARGE for size in made))
    assert sum(counts) >= 8, "both sweeps there and back, and what takes them out"
    assert max(counts) == 1
