"""The running job worked out, and its values as one of its runs is asked with them."""

from functools import cache
from pathlib import Path
from typing import Any

from calculators.job.reading import read_job
from calculators.job.working import Worked, resolved, work_out


@cache
def worked_out() -> Worked:
    """All its runs, once for all tests of a process, and not where tests are only collected."""
    return work_out(read_job(Path("docs/job.json").read_bytes()), "")


def schedule_of(job: dict[str, Any]) -> dict[str, Any]:
    """The inputs of its wiring schedule: what the main feed rests on too stands there once."""
    (run,) = (run for run in job["sheet"]["runs"] if run["name"] == "wiring")
    inputs: dict[str, Any] = resolved(job, run["inputs"], {})
    return inputs
