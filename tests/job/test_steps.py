"""Steps behind the hold points: looked at before which one, done by whom, checked by somebody else."""

import copy
from pathlib import Path

import pytest

from calculators.job.reading import Job, read_job
from calculators.job.signing import hindrances
from calculators.job.steps import fault_of_step
from calculators.job.working import work_out

JOB = read_job(Path("docs/job.json").read_bytes())


@pytest.mark.parametrize(
    ("by", "checked", "column"),
    [
        ("A", "", None), ("A", "B", None), ("A, B", "C", None), ("Ø", "左", None),
        ("A, B", "each at the other's side", None), ("A", "A, after a pause", None), ("Andy", "B", None),
        ("A, B", "A", "checked"), ("A and B", "b.", "checked"), ("A", "A.", "checked"),
        ("A", "B & A", "checked"),
        ("A  B", "A B", "checked"), ("A", "no", "checked"), ("A", "Not yet.", "checked"),
        ("A", "–", "checked"),
        ("A", "7", "checked"), ("", "B", "by"), ("–", "B", "by"),
    ],
)  # fmt: skip
def test_who_checks_is_somebody_else(by: str, checked: str, column: str | None) -> None:
    fault = fault_of_step({"what": "Hose test", "point": "H3", "by": by, "checked": checked})
    assert (fault and fault[0]) == column


@pytest.mark.parametrize("point", ["H2", "H4"])
def test_nobody_does_airbags_or_first_power_alone(point: str) -> None:
    fault = fault_of_step({"what": "Feed", "point": point, "by": "A", "checked": "A, after a pause"})
    assert fault
    assert "never for a step of H2 or H4" in fault[1]


def stands(**step: str) -> Job:
    job = copy.deepcopy(JOB | {"sheet": JOB["sheet"] | {"runs": [], "hold_points": []}})
    job["work"] = {"steps": [step]}
    return job


@pytest.mark.parametrize(
    ("point", "checked", "held", "words"),
    [
        ("", "B", ("H1", "H4"), "Torque: Looked at before: type H1 to H6 first."),
        ("h4", "B", ("H1", "H4"), "Torque: Looked at before: type H1 to H6 first."),
        ("H4", "a", ("H4",), "Torque: Checked by: somebody who did not do it."),
        ("H4", " ", ("H4",), "Torque: not checked yet."),
    ],
)
def test_a_file_written_elsewhere_is_held_up_too(
    point: str, checked: str, held: tuple[str, ...], words: str
) -> None:
    worked = work_out(stands(what="Torque", point=point, by="A", checked=checked), "")
    for name in ("H1", "H4"):
        assert any(found.startswith(words) for found in hindrances(worked, name)) == (name in held)
    assert any(found.startswith(words) for found in worked.missing) == bool(checked.strip())
