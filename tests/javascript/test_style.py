"""What the scripts' style lacks is told with its place."""

import re
from pathlib import Path

import pytest

from tests.javascript.__main__ import style


def test_a_fault_of_style_is_told_with_file_and_line(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    script = tmp_path / "unused.js"
    script.write_text("const used = 1;\nfunction idle() { return used; }\n", encoding="utf-8")
    assert style(str(script)) == 1
    # Where CI is set the tool colours its words, the file's name apart from the line's number.
    told = re.sub(r"\x1b\[[0-9;]*m", "", capfd.readouterr().out)
    assert "unused.js:2" in told
    assert "idle" in told
