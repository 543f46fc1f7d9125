"""The 31-band solver beside the general one of SciPy, one thread each, in one run.

OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 python -m tests.benchmarks.solver
"""

import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np
from scipy import optimize

from calculators.physics import equalisers
from calculators.physics.bands import THIRD_OCTAVE_Q, exact_third_octaves
from tests.physics.test_equalisers import POINTS, between, random_target

TARGETS, RUNS, RATE = 30, 5, 48000.0


def measured_alone() -> dict[str, float]:
    """What `measure` finds in a process of its own that has one thread."""
    alone = os.environ | {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-m", "tests.benchmarks.solver"]
    done = subprocess.run(command, check=True, env=alone, capture_output=True, text=True)
    found: dict[str, float] = json.loads(done.stdout)
    return found


def measure() -> dict[str, float]:
    """Mean milliseconds for a random target: ours, and the fastest of four starts of the library."""
    pairs = [one_target(number) for number in range(TARGETS)]
    ours, theirs = zip(*pairs, strict=True)
    slower = sum(one > other for one, other in pairs)
    return {"ours": statistics.mean(ours), "theirs": statistics.mean(theirs), "slower": float(slower)}


def one_target(number: int) -> tuple[float, float]:
    """Milliseconds for one target: ours, and the fastest of four starts of ``least_squares``.

    The library's has TRF, the exact Jacobian, the same bounds and the same formulas; what they
    need beforehand is not counted.
    """
    warped = np.tan(np.pi * POINTS / RATE)[:, np.newaxis] / np.tan(np.pi * exact_third_octaves() / RATE)
    distance = (THIRD_OCTAVE_Q * (warped - 1 / warped)) ** 2
    random = np.random.default_rng(number)
    wanted, limit = random_target(random, number), (24.0, 12.0, 6.0)[number % 3]
    goal = between(wanted)

    def misses(gains: equalisers.FloatArray) -> equalisers.FloatArray:
        growth = 10 ** (gains / 20)
        return 10 * np.log10(np.prod((distance + growth) / (distance + 1 / growth), axis=1)) - goal

    def slopes(gains: equalisers.FloatArray) -> equalisers.FloatArray:
        growth = 10 ** (gains / 20)
        return (growth / (distance + growth) + 1 / (distance * growth + 1)) / 2

    def library(start: equalisers.FloatArray) -> object:
        inside = np.clip(start, -0.99 * limit, 0.99 * limit)
        return optimize.least_squares(misses, inside, jac=slopes, bounds=(-limit, limit))

    starts = (np.zeros(31), wanted, 0.7 * wanted, random.uniform(-limit, limit, 31))
    return (
        fastest(lambda: equalisers.solve_graphic_equaliser(wanted, THIRD_OCTAVE_Q, RATE, limit)),
        min(fastest(lambda: library(start)) for start in starts),  # noqa: B023
    )


def fastest(work: Callable[[], object]) -> float:
    """Milliseconds of the processor for the quickest of some runs."""
    times = []
    for _ in range(RUNS):
        start = time.process_time()
        work()
        times.append(1000 * (time.process_time() - start))
    return min(times)


if __name__ == "__main__":
    print(json.dumps(measure()))
