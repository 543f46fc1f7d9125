"""What the handbook costs a reader in bytes, as a plain host serves it: no compression but our own."""

import json
import re
from pathlib import Path

from calculators.site.runtime import read_manifest
from tests.conftest import ROOT

MOST_KEPT = 20_000_000
"""Bytes of the whole handbook, to fetch; and to keep, with the largest start of the calculators."""
MOST_TO_FIRST_ANSWER = 6_500_000
"""Bytes from an empty cache to the first live answer, the page's own with them."""

WANT_ALL = ("job-sheet",)
"""A job may ask any calculator, so its page fetches them all."""

BESIDE = {"recorder.js": "<doorcard-recorder", "guided.js": 'data-calculator="guided-tune"'}
"""Scripts that a form fetches at its start, by what the page holds then."""

LOADED = re.compile(
    r'<(?:link rel="(?:icon|stylesheet|preload|manifest)"|script)[^>]*? (?:href|src)="([^"#]+)'
)
IMPORTED = re.compile(r'(?:from|\bimport) ?"(\./[\w./-]+)"')
CALCULATOR = re.compile(r'<doorcard-calculator [^>]*data-calculator="([\w-]+)"')
FONT = re.compile(r'url\("?([^")]+\.woff2)')


def with_imports(script: Path) -> set[Path]:
    """A module and what it imports at its start."""
    found, unread = set[Path](), [script]
    while unread:
        if (looked_at := unread.pop()) not in found:
            found.add(looked_at)
            text = looked_at.read_text(encoding="utf-8")
            unread += [(looked_at.parent / name).resolve() for name in IMPORTED.findall(text)]
    return found


def to_first_answer(site: Path, page: Path) -> tuple[set[Path], int]:
    """The files that a page and its worker load at the start, and the bytes of the runtime.

    What other forms of the page need comes after the answer of the first.
    """
    text = page.read_text(encoding="utf-8")
    files = {page, site / "sitemap.xml"}
    for name in LOADED.findall(text):
        files.add((page.parent / name).resolve())
    assets = next(site.glob("assets/doorcard-*/"))
    beside = [script for script, sign in BESIDE.items() if sign in text]
    for script in ("page.js", "worker.js", *beside):
        files |= with_imports(assets / script)
    for sheet in [file for file in files if file.suffix == ".css"]:
        style = sheet.read_text(encoding="utf-8")
        files |= {(sheet.parent / name).resolve() for name in FONT.findall(style)}
    manifest = read_manifest(assets / "runtime")
    part = manifest["parts"][CALCULATOR.findall(text)[0]]
    return files, max(manifest["total"], manifest["start"]["total"]) + part["size"]


def test_the_first_live_answer_is_within_its_bytes(site: Path) -> None:
    live = [
        page
        for page in site.resolve().rglob("index.html")
        if (found := CALCULATOR.search(page.read_text(encoding="utf-8"))) and found[1] not in WANT_ALL
    ]
    assert len(live) > 60
    for page in live:
        files, runtime = to_first_answer(site.resolve(), page)
        assert len(files) > 15
        assert sum(file.stat().st_size for file in files) + runtime <= MOST_TO_FIRST_ANSWER, page
        if page.parent.name == "guided":
            assert {"guided.js", "guided-kept.js", "recorder.js", "microphone.js"} <= {
                one.name for one in files
            }


def test_a_device_keeps_the_whole_handbook_within_its_bytes(site: Path) -> None:
    listed = json.loads((site / "offline.json").read_text(encoding="utf-8"))
    assert listed["size"] <= MOST_KEPT
    script = (ROOT / "docs" / "assets" / "doorcard" / "kept-start.js").read_text(encoding="utf-8")
    (start,) = re.findall(r"^const MOST_BYTES = ([\d_]+);", script, re.MULTILINE)
    assert listed["kept"] + int(start) <= MOST_KEPT
    assert not [name for name in listed["files"] if name.endswith((".wav", ".mp3", ".ogg"))]
