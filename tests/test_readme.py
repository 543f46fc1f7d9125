"""What README shows is so: its Python runs as it stands, its wheel has the name that is published."""

import re
from pathlib import Path

import pytest

from calculators.site import wheel

README = (Path(__file__).resolve().parents[1] / "README.md").read_text(encoding="utf-8")


def test_the_python_shown_runs(capsys: pytest.CaptureFixture[str]) -> None:
    (code,) = re.findall(r"```python\n(.*?)```", README, re.DOTALL)
    exec(compile(code, "README.md", "exec"), {})
    assert float(capsys.readouterr().out) == pytest.approx((1.38 - 0.86) / 343.2, abs=1e-5)


def test_the_wheel_shown_is_the_one_published(tmp_path: Path) -> None:
    assert f"https://example.org/python/{wheel.write_wheel(tmp_path).name}" in README


def test_each_head_of_the_changelog_stands_once() -> None:
    changes = (Path(__file__).parents[1] / "CHANGELOG.md").read_text(encoding="utf-8")
    for release in changes.split("\n## ")[1:]:
        heads = re.findall(r"(?m)^### (.+)$", release)
        assert heads == [each for each in ("Added", "Changed", "Mended") if each in heads], release[:20]


def test_the_map_of_the_tune_names_each_of_its_files() -> None:
    (table,) = re.findall(
        r"\| files `tune_….py` \|\n(.*?)\n\n", Path("DEVELOPERS.md").read_text("utf-8"), re.DOTALL
    )
    named = [name for row in table.splitlines() for name in re.findall(r"`(\w+)`", row.split("|")[2])]
    files = Path("calculators/vocabulary").glob("tune_*.py")
    assert sorted(named) == sorted(path.stem.removeprefix("tune_") for path in files)
