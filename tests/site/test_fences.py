"""A fence that cannot be shown stops the strict build, with the page and the line."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from mkdocs.commands.build import build
from mkdocs.config import load_config

from calculators.site.figures import FIGURES
from tests.conftest import ROOT

CONFIG = """
INHERIT: {root}/mkdocs.yml
docs_dir: docs
site_dir: site
theme: {{name: material, custom_dir: {root}/docs/overrides, font: false}}
hooks: []
nav: []
extra_css: []
extra_javascript: []
"""
ABOVE = "# A page\n\nSome text.\n\n"  # So that what follows begins in line 5.


def write_site(folder: Path, page: str) -> Path:
    (folder / "docs").mkdir()
    (folder / "docs" / "index.md").write_text(ABOVE + page, "utf-8")
    config = folder / "mkdocs.yml"
    config.write_text(CONFIG.format(root=ROOT), "utf-8")
    return config


def fence(word: str, body: str) -> str:
    return f"```{word}\n{body}\n```\n"


WRONG = [
    ("`#!picture no-such`\n", "picture: there is no picture called 'no-such'"),
    (fence("calculator", "no-such"), "index.md:6: calculator: There is no calculator called 'no-such'"),
    (
        fence("calculator", "sound-speed\nheat: 1"),
        "index.md:6: calculator: heat: There is no such input. Nearest by name: temperature.",
    ),
    (
        fence("calculator", "sound-speed\ntemperature: 99"),
        "index.md:6: calculator: temperature: Air in the cabin must be between −40 °C and 60 °C.",
    ),
    (
        fence("calculator", "wavelength\ntemperature: 20"),
        "index.md:6: calculator: frequency: Frequency is missing.",
    ),
    (fence("calculator", "sound-speed\ntemperature: [1"), "index.md:6: calculator: its values are not YAML"),
    (fence("calculator", "sound-speed\njust words"), "index.md:6: calculator: its values must be written as"),
    (fence("calculator", "delay\nspeakers: job:no.such"), "index.md:6: calculator: the running job has no"),
    (
        fence("calculator", "sound-speed\ntemperature: 20\nin_job: {heat: a.b}"),
        "index.md:6: calculator: in_job: there is no such input: heat",
    ),
    (
        fence("calculator", "sound-speed\nin_job: a.b"),
        "index.md:6: calculator: in_job: must be written as {input: fact}",
    ),
    (fence("worked", "sound-speed\ntemperature: 99"), "index.md:6: worked: temperature"),
    (fence("look-up", "no-such"), "index.md:6: look_up_table: There is no calculator called 'no-such'"),
    (fence("look-up", "sound-speed"), "index.md:6: look_up_table: the table: it has no 'title'; it has"),
    (
        fence(
            "look-up",
            "sound-speed\ntitle: Speed\nrows: {input: temperature, title: Air, values: [99]}\n"
            "columns: [{title: Speed, output: speed}]",
        ),
        "index.md:6: look_up_table: temperature: Air in the cabin must be between",
    ),
    (fence("figure", "no-such"), "index.md:6: figure: there is no figure called 'no-such'"),
    (fence("caution", "S99999"), "index.md:6: caution: there is no caution called S99999"),
    (
        fence("calculator", "sound-speed\nas: air") + "\nIt is `#!answer air.sped`.\n",
        "index.md:10: answer: there is no 'sped'; there are: speed",
    ),
    ("It is `#!answer air.speed`.\n", "index.md:5: answer: no example on this page is called 'air'"),
    ("It is `#!given air.temperature`.\n", "index.md:5: given: no example on this page is called 'air'"),
]


@pytest.mark.parametrize(("markdown", "message"), WRONG, ids=[message for _, message in WRONG])
def test_what_cannot_be_shown_is_reported_with_page_and_line(
    markdown: str, message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    config = write_site(tmp_path, markdown)
    monkeypatch.chdir(ROOT)
    with pytest.raises(Exception, match=r"index\.md") as caught:
        build(load_config(str(config), strict=True))
    assert message in str(caught.value)


def test_the_command_fails(tmp_path: Path) -> None:
    config = write_site(tmp_path, fence("calculator", "sound-speed\ntemperature: 99"))
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--config-file", str(config)],
        cwd=ROOT,
        env=os.environ | {"NO_MKDOCS_2_WARNING": "1", "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
    )
    assert done.returncode != 0
    assert "index.md:6: calculator: temperature" in done.stderr


def test_what_can_be_shown_is_built(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page = fence("calculator", "sound-speed\nas: air") + "\nIt is `#!answer air.speed in ft/s to 0`.\n"
    config = write_site(tmp_path, page)
    monkeypatch.chdir(ROOT)
    build(load_config(str(config), strict=True))
    built = (tmp_path / "site" / "index.html").read_text("utf-8")
    # 343.2 m/s (ISO 9613-1, 20 °C) over 0.3048 m to the foot.
    assert '<span class="dc-answer">1126\u00a0ft/s</span>' in built
    assert re.search(r'<doorcard-calculator class="dc-calculator"[^>]* data-calculator="sound-speed"', built)


def test_a_figure_is_drawn_with_its_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    config = write_site(tmp_path, fence("figure", "cabin-tapes"))
    monkeypatch.chdir(ROOT)
    build(load_config(str(config), strict=True))
    built = (tmp_path / "site" / "index.html").read_text("utf-8")
    drawn = FIGURES["cabin-tapes"]()
    assert f'aria-label="{drawn.spoken}"' in built
    assert f"<figcaption>{drawn.title}</figcaption>" in built


def test_every_figure_stands_on_a_page() -> None:
    pages = "".join(page.read_text("utf-8") for page in (ROOT / "docs").rglob("*.md"))
    named = set(re.findall(r"^ *```figure\n *(\S+)\n *```$", pages, re.MULTILINE))
    assert named == set(FIGURES)


def test_a_figure_of_the_running_job_says_so_in_its_title() -> None:
    told = [name for name, draw in FIGURES.items() if "running job" in draw().spoken]
    assert "feed-map" in told
    assert [name for name in told if "running job" not in FIGURES[name]().title] == []


def test_the_name_of_a_stage_leads_to_its_first_page() -> None:
    text = (ROOT / "docs" / "stages" / "index.md").read_text(encoding="utf-8")
    items = re.findall(r"(?m)^\d+\. \*\*\[[^\]]+\]\(([^)]+)\)\.\*\*(?s:.*?)\]\(([^)#]+)", text)
    assert len(items) == 14
    assert all(own == first for own, first in items)
