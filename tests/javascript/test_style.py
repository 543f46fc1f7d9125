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


SCRIPTS = {path.name: path.read_text("utf-8") for path in Path("docs/assets/doorcard").glob("*.js")}
WRITE_MARKUP = {
    "answer-bar.js": "its own",
    "cards.js": "a picture of a code that Python drew",
    "patching.js": "an answer as Python writes it",
    "read-off.js": "its own",
    "self-check.js": "a question as Python writes it",
    "sharing.js": "a picture of a code that Python drew",
}
"""Scripts that may write HTML, and whose it is: what was typed, read or linked goes in as text."""


def test_markup_is_written_where_it_cannot_be_a_strangers() -> None:
    written = re.compile(r"\b(inner|outer)HTML\s*\+?=(?!=)|insertAdjacentHTML|createContextualFragment")
    found = {name for name, text in SCRIPTS.items() if written.search(text)}
    assert found == WRITE_MARKUP.keys(), "use textContent or append, or say here whose text it is"
    # A name hung on the page itself under a type that is none is seen by no tool.
    assert [name for name, text in SCRIPTS.items() if "{any} */ (globalThis)" in text] == []


def test_each_script_is_asked_for() -> None:
    """By another one, by the theme's partials or by the configuration: no tool finds one that is alone."""
    pages = [Path("mkdocs.yml"), *Path("docs/overrides").rglob("*.html")]
    asking = SCRIPTS | {str(path): path.read_text("utf-8") for path in pages}
    alone = [
        name for name in SCRIPTS if not any(name in text for other, text in asking.items() if other != name)
    ]
    assert alone == [], "import it where it is needed, or delete it"
