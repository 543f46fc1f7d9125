"""A recording of a 10 s sweep at 48 kHz, from its bytes to the answer's HTML: in the page, and natively.

    python -m tests.benchmarks.recording SITE_DIR

The same text runs on both sides, the native one in a process with one thread. The quickest run counts:
it is the one that had the processor to itself.
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.benchmarks.browser import open_browser, run_in_runtime

WORK = """
import json, time
import numpy as np
from calculators.browser import reply
from calculators.declaring import Kept, run_values
from calculators.physics import wav
from calculators.stages import find_calculator
settings = {"low": 20.0, "high": 20000.0, "sweep_length": 10.0}
made = run_values(find_calculator("sweep"), settings | {"level": -20.0}).result.file.contents
samples = np.frombuffer(made[44:], "<i2") / 2**15
samples = samples + (np.arange(samples.size, dtype=np.int64) * 7919 % 101 - 50) * 1e-5  # A noise of our own.
heard = samples[:, np.newaxis]
contents = wav.header(samples.size, 1, 48000, 24, False) + wav.encoded(heard, 24, False)
file = Kept("a", "a.wav", len(contents), lambda start, count: contents[start : start + count])
times = []
for _ in range(5):
    start = time.perf_counter()
    outcome = run_values(find_calculator("response"), settings | {"recording": file})
    reply({}, outcome, [])
    times.append(time.perf_counter() - start)
assert not outcome.errors
"""
ANSWER = "json.dumps({'seconds': min(times), 'level': outcome.result.bands[12].level})"


def measured(site: Path) -> dict[str, float]:
    """Seconds in the page and natively; raises ValueError if the two answers differ."""
    alone = os.environ | {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-c", f"{WORK}print({ANSWER})"]
    done = subprocess.run(command, check=True, env=alone, capture_output=True, text=True)
    native = json.loads(done.stdout)
    with tempfile.TemporaryDirectory() as folder, open_browser() as browser:
        shutil.copytree(
            next(site.glob("assets/doorcard-*/runtime")), Path(folder) / "assets/doorcard/runtime"
        )
        page = run_in_runtime(browser, Path(folder), WORK + ANSWER)
    if abs(page["level"] - native["level"]) > 1e-9:
        raise ValueError(f"the page finds {page['level']}, native Python {native['level']}")
    return {"page": page["seconds"], "native": native["seconds"]}


if __name__ == "__main__":
    print(json.dumps(measured(Path(sys.argv[1]).resolve())))
