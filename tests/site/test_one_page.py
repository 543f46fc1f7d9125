"""One page alone: the page named, as the whole site has it, and live."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from calculators.site.one_page import DOCS, ROOT, source_of, unseen_alone

RELEASE = re.compile(r"doorcard-[0-9a-f]{12}|sha256-[\w+/=]+")
ARTICLE = re.compile(r"<article.*?</article>", re.DOTALL)


@pytest.mark.parametrize(
    "name", ["docs/look-up/ears.md", "look-up/ears.md", "look-up/ears", "/look-up/ears/"]
)
def test_a_page_is_named_by_path_or_address(name: str) -> None:
    assert source_of(name) == Path("docs/look-up/ears.md")


@pytest.mark.parametrize("name", ["look-up/nose", "docs/job.json", ""])
def test_a_page_that_is_not_there_is_said_to_be_missing(name: str) -> None:
    if name:
        with pytest.raises(FileNotFoundError, match="There is no page"):
            source_of(name)
    else:
        assert source_of(name) == Path("docs/index.md")


def test_what_stops_the_whole_build_alone_is_told_after_that_of_the_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert [page for page in DOCS.rglob("*.md") if page.name == "index.md" and unseen_alone(page)] == []
    assert unseen_alone(DOCS / "look-up" / "ears.md") == []
    monkeypatch.chdir(tmp_path)
    Path("docs/look-up").mkdir(parents=True)
    Path("mkdocs.yml").write_text("nav:\n  - Ears: look-up/ears.md\n", encoding="utf-8")
    for name in ("ears", "nose"):
        Path(f"docs/look-up/{name}.md").write_text("[one](ears.md#so), [other](../eyes.md)", encoding="utf-8")
    dead = "it links to ../eyes.md, and there is no such page"
    assert unseen_alone(DOCS / "look-up" / "ears.md") == [dead]
    assert unseen_alone(DOCS / "look-up" / "nose.md") == ["it has no line under nav in mkdocs.yml", dead]


def test_a_page_built_alone_is_the_page_of_the_site(site: Path, tmp_path: Path) -> None:
    command = [
        sys.executable,
        "-m",
        "calculators.site.one_page",
        "build",
        "look-up/ears",
        "--into",
        str(tmp_path),
    ]
    environment = os.environ | {"NO_MKDOCS_2_WARNING": "1"}
    subprocess.run(command, cwd=ROOT, env=environment, check=True, capture_output=True)
    alone, whole = (
        ARTICLE.findall((folder / "look-up" / "ears" / "index.html").read_text(encoding="utf-8"))
        for folder in (tmp_path, site)
    )
    assert [RELEASE.sub("", part) for part in alone] == [RELEASE.sub("", part) for part in whole]
    assert "doorcard-calculator" in alone[0]
    assert list(tmp_path.glob("assets/doorcard-*/runtime/manifest.js"))
    assert not (tmp_path / "reference").exists()  # What takes long and is not the page's stays away.
