"""What judges the tests themselves: what counts as noticed, and how long a verdict and a map are believed."""

import json
import os
import resource
import signal
from pathlib import Path

import pytest

from tests import mutation, reach
from tests.faults import EXPLAINED, Fault, explained, faults
from tests.mutation import LISTED, NOTICED, STATUS_UNFIT, SURVIVED, UNCLEAR, UNFIT, Judged, Meets, Verdict

FAULT = next(faults(mutation.PHYSICS / "fuses.py"))


def raises(*_: object) -> tuple[int, str]:
    raise OSError


def ends(status: int) -> Meets:
    return lambda *_: (status, "")


def killed(by: int) -> Meets:
    def meets(*_: object) -> tuple[int, str]:
        os.kill(os.getpid(), by)
        return 0, ""

    return meets


def limited(*_: object) -> tuple[int, str]:
    """Passes if its seconds of a core are numbered."""
    return (0 if resource.getrlimit(resource.RLIMIT_CPU)[0] == mutation.PATIENCE else 1), ""


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")  # What is forked ends at once.
@pytest.mark.parametrize(
    ("meets", "said"),
    [
        (limited, SURVIVED),
        (ends(STATUS_UNFIT), UNFIT),
        (ends(int(pytest.ExitCode.TESTS_FAILED)), NOTICED),
        (ends(mutation.CANNOT_READ), NOTICED),
        (killed(signal.SIGXCPU), NOTICED),
        (ends(int(pytest.ExitCode.INTERNAL_ERROR)), UNCLEAR),
        (ends(int(pytest.ExitCode.USAGE_ERROR)), UNCLEAR),
        (killed(signal.SIGKILL), UNCLEAR),
        (raises, UNCLEAR),
    ],
)
def test_only_a_test_that_fails_has_noticed(meets: Meets, said: str) -> None:
    assert mutation.verdict(FAULT, [], meets).said == said


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_who_noticed_is_told() -> None:
    found = mutation.verdict(FAULT, [], lambda *_: (mutation.FAILED, "test_it"))
    assert found == Verdict(NOTICED, "test_it")


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
@pytest.mark.parametrize(("fails_without", "said"), [(True, UNCLEAR), (False, NOTICED)])
def test_a_test_that_fails_without_the_fault_has_noticed_nothing(fails_without: bool, said: str) -> None:
    def meets(fault: Fault, _: list[reach.Test]) -> tuple[int, str]:
        fails = fails_without or fault == FAULT
        return (mutation.FAILED, "test_it") if fails else (0, "")

    assert FAULT.left_out().text != FAULT.text
    assert mutation.confirmed(FAULT, [reach.Test("a.py", "test_it", 0.1)], meets).said == said


def test_who_noticed_before_comes_first_then_pinned_answers_of_its_own() -> None:
    pinned = [reach.Test(reach.NET, f"t{reach.PINNED_OF}{slug}]", 1.0) for slug in ("cable", "fuses")]
    others = [reach.Test("a.py", f"a.py::{name}", 0.1) for name in ("one", "two")]
    found = mutation.in_order(FAULT, [*others, *pinned], "a.py::two")
    assert found == [others[1], pinned[1], pinned[0], others[0]]


def test_its_module_s_tests_and_the_steps_on_the_way_come_before_quicker_files() -> None:
    """Four files whose tests take 1 to 4 s; the third is that of `fuses.py`."""
    names = ("a.py::one", "b.py::two", "test_fuses.py::own", f"{reach.NET}{reach.STEPS_OF}fits]")
    one, two, own, steps = (reach.Test(name.split("::")[0], name, at) for at, name in enumerate(names, 1))
    assert mutation.in_order(FAULT, [one, steps, own, two]) == [own, steps, one, two]


@pytest.mark.parametrize(
    ("file", "text", "near"),
    [
        ("calculators/physics/fuses.py", "from calculators.physics import cables, fuses", True),
        ("calculators/physics/fuses.py", "from calculators.physics.fuses import BLADE", True),
        ("calculators/physics/fuses.py", "import calculators.physics.fuses", True),
        ("calculators/physics/fuses.py", "from calculators.physics import cables", False),
        ("calculators/physics/fuses.py", "SLUG = 'fuses'", False),
        ("calculators/stages/tuning/read_back.py", "find_calculator('read-back')", True),
        ("calculators/stages/tuning/read_back.py", "find_calculator('response')", False),
    ],
)
def test_tests_of_a_file_of_another_name_are_known_by_what_it_imports(
    tmp_path: Path, file: str, text: str, near: bool
) -> None:
    """A file whose tests take longest comes first where it names the module."""
    written = tmp_path / "test_of_another_name.py"
    written.write_text(text, encoding="utf-8")
    fault = next(faults(reach.ROOT / file))
    far = reach.Test("a.py", "a.py::one", 1.0)
    test = reach.Test(str(written), f"{written}::one", 5.0)
    assert mutation.in_order(fault, [far, test]) == ([test, far] if near else [far, test])


def test_what_noticed_before_is_counted_once_in_the_time_there_is() -> None:
    """It takes 5 s, and so do its own answers; 4 s are left of 14, not a second less for the first."""
    before, slow = (reach.Test("a.py", f"a.py::{name}", 5.0) for name in ("before", "slow"))
    own = reach.Test(reach.NET, f"t{reach.PINNED_OF}fuses]", 5.0)
    quick = [reach.Test("b.py", f"b.py::{number}", 1.9) for number in range(3)]
    assert mutation.in_order(FAULT, [before, own, slow, *quick], before.name) == [before, own, *quick[:2]]


def test_only_pinned_answers_are_taken_for_such() -> None:
    other = reach.Test(reach.NET, f"{reach.NET}::test_a_last_digit_is_not_told[before2-after2]", 0.1)
    assert reach.parted([other]) == ([], [other])


def test_a_fault_changes_what_it_says() -> None:
    for fault, _ in zip(faults(FAULT.path), range(30), strict=False):
        assert fault.was != fault.now
        assert fault.now.splitlines()[0] in fault.text
        assert fault.at.replace("¦", "") in FAULT.path.read_text(encoding="utf-8")


def test_what_is_explained_can_still_be_drawn_and_meets_no_test(monkeypatch: pytest.MonkeyPatch) -> None:
    files = {file for file, *_ in explained()}
    drawn = [reading for file in files for fault in faults(reach.ROOT / file) for reading in fault.readings]
    assert set(explained()) <= set(drawn), f"{EXPLAINED.name} lists faults that exist no more"
    twice = [reading for reading in explained() if drawn.count(reading) > 1]
    assert not twice, f"{EXPLAINED.name}: other faults of the function read like {twice}"
    assert all(3 <= len(why.split()) <= 12 for why in explained().values())
    monkeypatch.setattr(mutation, "explained", lambda: {FAULT.readings[1]: "it is so"})
    assert Judged().of(FAULT, lambda *_: Verdict(SURVIVED)) == LISTED


def test_of_1500_faults_each_calculator_has_ten() -> None:
    shares = mutation.shares(mutation.COUNT)
    assert {shares[path] for path in mutation.CALCULATORS} == {10}
    assert sum(shares.values()) == pytest.approx(1500, abs=15)


def test_a_verdict_is_believed_while_its_tests_are_what_they_were(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    met, verdicts = tmp_path / "test_met.py", [SURVIVED, UNCLEAR, NOTICED]
    monkeypatch.setattr(mutation, "VERDICTS", tmp_path / "judged.jsonl")
    monkeypatch.setattr(mutation, "tests_of", lambda _: [reach.Test(str(met), "test_it", 0.1)])

    def judge(*_: object) -> Verdict:
        return Verdict(verdicts.pop(0))

    met.write_text("assert True", encoding="utf-8")
    assert [Judged().of(FAULT, judge) for _ in range(2)] == [SURVIVED] * 2
    met.write_text("assert 1 + 1 == 2", encoding="utf-8")
    reach.sum_of.cache_clear()  # As in the next run.
    assert [Judged().of(FAULT, judge) for _ in range(3)] == [UNCLEAR, NOTICED, NOTICED]
    assert not verdicts
    kept = mutation.VERDICTS.read_text(encoding="utf-8")
    mutation.VERDICTS.write_text(f'["a", "b\n7\n{kept}', encoding="utf-8")
    assert Judged().of(FAULT, judge) == NOTICED, "a line that was cut short costs its own verdict alone"


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


def test_the_time_given_counts_from_the_start_and_each_test_file_is_named_before_it_is_run(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    begun: list[Path] = []

    def slow(file: Path) -> None:
        assert capsys.readouterr().out.endswith(f"   {file.relative_to(reach.ROOT)}: ")
        begun.append(file)

    monkeypatch.setattr("time.perf_counter", lambda: 40.0 * len(begun))
    monkeypatch.setattr(reach, "is_known", lambda file: file in begun)
    monkeypatch.setattr(reach, "record_apart", slow)
    monkeypatch.setattr("sys.argv", ["mutation", "calculators/physics/fuses.py", "--minutes", "1"])
    monkeypatch.setattr(mutation, "in_parts", lambda *_: pytest.fail("not every test was known"))
    assert mutation.main() == 0
    assert begun == reach.files_of_tests()[:2]
    assert "no fault was tried: not yet known" in capsys.readouterr().out
