"""`./run check NAME` runs the tests that speak of its calculator, and its own published values before all."""

import importlib
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from _pytest.mark.expression import Expression

from calculators.self_checks import BLOCKS, question
from calculators.self_checks.asking import Figure
from calculators.stages import find_calculator, slugs_known
from tests import check
from tests.check import ROOT, SEARCHED, TESTS, chosen, only, own_files, self_checks_of
from tests.published.rows import Row

OF_MANY = {
    "tests/physics/test_by_pyfar.py",
    "tests/physics/test_on_the_edge.py",
    "tests/stages/test_first_excursion.py",
}
"""Test files that are of no one calculator: `./run test` alone runs them."""


@cache
def files_of(slug: str) -> tuple[list[Path], list[Path]]:
    """Those that are run whole, and those of which some tests are run."""
    return chosen(slug, Path(sys.modules[find_calculator(slug).function.__module__].__file__ or ""))


def published() -> Iterator[tuple[Path, str, Row]]:
    """Every published value with its file and its test's name."""
    for path in sorted((TESTS / "published").glob("test_*.py")):
        module = importlib.import_module(f"tests.published.{path.stem}")
        for test in vars(module).values():
            for mark in getattr(test, "pytestmark", ()):
                if mark.name == "parametrize" and mark.args[0] == "row":
                    for name, row in zip(mark.kwargs["ids"], mark.args[1], strict=True):
                        yield path, f"{path.name}::{test.__name__}[{name}]", row


def test_the_check_of_a_calculator_runs_all_its_published_values() -> None:
    rows = list(published())
    assert len(rows) > 800
    missed = [
        name
        for path, name, row in rows
        if not any(path in files for files in files_of(row.slug)) or not _picks(row.slug, name)
    ]
    assert missed == []


def _picks(slug: str, name: str) -> bool:
    """Whether pytest's own matcher picks a test of that name for a calculator."""
    return Expression.compile(only(slug)).evaluate(lambda word, **_: word.lower() in name.lower())


def test_no_test_of_the_science_is_left_out_of_every_check() -> None:
    found = {file for slug in slugs_known() for files in files_of(slug) for file in files}
    there = {file for room in SEARCHED for file in (TESTS / room).rglob("test_*.py")}
    assert {file.relative_to(TESTS.parent).as_posix() for file in there - found} == OF_MANY


def test_a_tunes_check_runs_what_tests_its_parts() -> None:
    """Their names say nothing of it."""
    whole = {file.stem for file in files_of("tune")[0]}
    assert {"test_tuning", "test_tuning_ties", "test_tune_told", "test_tune_fir", "test_names"} <= whole
    assert "test_standard_tables" in {file.stem for file in files_of("cable")[0]}


def test_the_check_of_a_calculator_runs_the_self_checks_that_ask_it() -> None:
    assert {"electricity-cable_drop", "electricity-feed_order"} & {*self_checks_of("cable")}
    for block, entry in BLOCKS.items():
        for name in entry.checks:
            asked = question(block, name, 5)
            if isinstance(asked, Figure):
                assert f"{block}-{name}" in self_checks_of(asked.calculator)
    assert self_checks_of("response") == []


def test_a_calculators_own_files_are_those_that_no_other_reaches() -> None:
    own = own_files(ROOT / "calculators/stages/tuning/response.py")
    assert "calculators/vocabulary/measuring_loop.py" in own
    assert "calculators/vocabulary/measuring.py" not in own


def test_what_is_staged_has_changed_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def git(*words: str) -> None:
        person = ("-c", "user.name=nobody", "-c", "user.email=nobody@example.org")
        subprocess.run(["git", *person, *words], cwd=tmp_path, check=True, capture_output=True)

    names = ("as_it_was", "changed", "staged", "gone")
    git("init")
    for name in names:
        (tmp_path / f"{name}.py").write_text("first = 1\n")
    git("add", "--all")
    git("commit", "--message=first")
    for name in ("changed", "staged", "new", "new_and_staged"):
        (tmp_path / f"{name}.py").write_text("second = 2\n")
    (tmp_path / "notes.txt").write_text("no Python\n")
    (tmp_path / "gone.py").unlink()
    git("add", "staged.py", "new_and_staged.py")
    monkeypatch.setattr(check, "ROOT", tmp_path)
    assert check.changed_files() == ["changed.py", "new.py", "new_and_staged.py", "staged.py"]
