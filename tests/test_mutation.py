"""What judges the tests themselves: what counts as noticed, and how long a verdict and a map are believed."""

import json
import os
import resource
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from tests import mutation, reach
from tests.mutation import NOTICED, STATUS_UNFIT, SURVIVED, UNCLEAR, UNFIT, Fault, Judged

FAULT = Fault(mutation.PHYSICS / "fuses.py", "", "")


def raises(_: Fault) -> int:
    raise OSError


def killed(by: int) -> Callable[[Fault], int]:
    def meets(_: Fault) -> int:
        os.kill(os.getpid(), by)
        return 0

    return meets


def limited(_: Fault) -> int:
    """Passes if its seconds of a core are numbered."""
    return 0 if resource.getrlimit(resource.RLIMIT_CPU)[0] == mutation.PATIENCE else 1


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")  # What is forked ends at once.
@pytest.mark.parametrize(
    ("meets", "said"),
    [
        (limited, SURVIVED),
        (lambda _: STATUS_UNFIT, UNFIT),
        (lambda _: int(pytest.ExitCode.TESTS_FAILED), NOTICED),
        (lambda _: mutation.CANNOT_READ, NOTICED),
        (killed(signal.SIGXCPU), NOTICED),
        (lambda _: int(pytest.ExitCode.INTERNAL_ERROR), UNCLEAR),
        (lambda _: int(pytest.ExitCode.USAGE_ERROR), UNCLEAR),
        (killed(signal.SIGKILL), UNCLEAR),
        (raises, UNCLEAR),
    ],
)
def test_only_a_test_that_fails_has_noticed(
    monkeypatch: pytest.MonkeyPatch, meets: Callable[[Fault], int], said: str
) -> None:
    monkeypatch.setattr(Fault, "tests", lambda _: [])
    monkeypatch.setattr(mutation, "meet_the_tests", meets)
    assert mutation.verdict(FAULT) == said


def test_a_verdict_is_believed_while_its_tests_are_what_they_were(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    met, verdicts = tmp_path / "test_met.py", [SURVIVED, UNCLEAR, NOTICED]
    monkeypatch.setattr(mutation, "VERDICTS", tmp_path / "judged.jsonl")
    monkeypatch.setattr(mutation, "verdict", lambda _: verdicts.pop(0))
    monkeypatch.setattr(Fault, "tests", lambda _: [reach.Test(str(met), "test_it", 0.1)])
    met.write_text("assert True", encoding="utf-8")
    assert [Judged(again=False).of(FAULT) for _ in range(2)] == [SURVIVED] * 2
    met.write_text("assert 1 + 1 == 2", encoding="utf-8")
    reach.sum_of.cache_clear()  # As in the next run.
    assert [Judged(again=False).of(FAULT) for _ in range(3)] == [UNCLEAR, NOTICED, NOTICED]
    assert not verdicts
    kept = mutation.VERDICTS.read_text(encoding="utf-8")
    mutation.VERDICTS.write_text(f'["a", "b\n7\n{kept}', encoding="utf-8")
    assert Judged(again=False).of(FAULT) == NOTICED, "a line that was cut short costs its own verdict alone"


@pytest.mark.parametrize("changed", ["tests/physics/test_some.py", "tests/helper.py", "calculators/some.py"])
def test_what_a_test_file_starts_is_known_until_something_under_it_changes(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, changed: str
) -> None:
    monkeypatch.setattr(reach, "ROOT", tmp_path)
    monkeypatch.setattr(reach, "KEPT", tmp_path / "kept")
    file, started = tmp_path / "tests/physics/test_some.py", ["calculators/some.py:work"]
    for path in (file, tmp_path / "tests/helper.py", tmp_path / "calculators/some.py"):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch()
    place = reach.kept_at(file)
    place.parent.mkdir(parents=True)
    told = {"digest": reach.digest(reach.rests_on(file, started)), "starts": dict.fromkeys(started)}
    place.write_text(json.dumps(told), encoding="utf-8")
    assert reach.is_known(file)
    (tmp_path / changed).write_text("# changed", encoding="utf-8")
    reach.sum_of.cache_clear()
    assert not reach.is_known(file)
    monkeypatch.setattr(reach, "Recorder", object)
    monkeypatch.setattr(pytest, "main", lambda *_, **__: pytest.ExitCode.TESTS_FAILED)
    reach.record(file)
    assert not place.exists(), "what is known of a file with a test that fails"
