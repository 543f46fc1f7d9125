"""The running job's values as one of its runs is asked with them."""

from typing import Any

from calculators.job.working import resolved


def schedule_of(job: dict[str, Any]) -> dict[str, Any]:
    """The inputs of its wiring schedule: what the main feed rests on too stands there once."""
    (run,) = (run for run in job["sheet"]["runs"] if run["name"] == "wiring")
    inputs: dict[str, Any] = resolved(job, run["inputs"], {})
    return inputs
