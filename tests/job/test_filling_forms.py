"""What of a job fills one form of a page, and what else of it is not even looked at."""

import subprocess
import sys

from calculators.job.reading import write_job
from tests.job.test_carrying import JOB, ask, text_of

OTHERS_LOADED = """
import json, sys
from calculators.browser import answer
inputs = {"job": sys.stdin.read(), "calculator": "fuse", "paths": "{}", "another": ""}
told = json.loads(answer(json.dumps({"calculator": "job:fields", "inputs": inputs, "release": ""})))
assert [entry["from"] for entry in told["inputs"]].count("current") == 1
print(*(name for name in sys.modules if name.startswith("calculators.stages.") and name.count(".") == 3))
"""


def test_a_form_is_filled_by_its_own_calculator_and_those_it_rests_on_alone() -> None:
    """A page waits for it: what the other runs of the job are of is not even loaded."""
    command = [sys.executable, "-c", OTHERS_LOADED]
    said = subprocess.run(command, check=True, capture_output=True, text=True, input=text_of(JOB)).stdout
    assert {name.rpartition(".")[2] for name in said.split()} == {"fuse", "cable", "current_draw"}


def test_a_run_with_an_input_that_its_calculator_has_not_stops_those_forms_alone_that_rest_on_it() -> None:
    runs = [
        run | {"inputs": run["inputs"] | {"z": 1}} if run["name"] == "current" else run
        for run in JOB["sheet"]["runs"]
    ]
    job = write_job(JOB | {"sheet": JOB["sheet"] | {"runs": runs}}).decode()
    for slug, filled in (("delay", True), ("current-draw", False), ("cable", False), ("fuse", False)):
        told = ask("fields", job=job, calculator=slug, paths={})
        assert bool(told.get("inputs")) == filled, slug
        assert filled or told["errors"][0]["message"] == "“z” is no input of current-draw."
    assert ask("stand", job=job)["errors"]
    assert ask("put", job=job, calculator="delay", fields={}, paths={})["errors"]
