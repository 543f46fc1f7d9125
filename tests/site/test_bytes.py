"""What the handbook costs a reader in bytes, as a plain host serves it: no compression but our own."""

import json
import re
from pathlib import Path

import pytest

PAGES = ("look-up/delay-by-distance", "stages/wiring/main-feed", "stages/tuning/tune")
MOST_KEPT = 20_000_000
"""Bytes of the whole handbook on a device."""
MOST_TO_FIRST_ANSWER = 6_500_000
"""Bytes from an empty cache to the first live answer."""

LOADED = re.compile(
    r'<(?:link rel="(?:icon|stylesheet|preload|manifest)"|script)[^>]*? (?:href|src)="([^"]+)"'
)
IMPORTED = re.compile(r'(?:from|^import) ?"(\./[\w./-]+)"', re.MULTILINE)
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
    """The files that a page and its worker load at the start, and the bytes of the runtime."""
    text = page.read_text(encoding="utf-8")
    files = {page, site / "sitemap.xml"}
    for name in LOADED.findall(text):
        files.add((page.parent / name).resolve())
    assets = next(site.glob("assets/doorcard-*/"))
    files |= with_imports(assets / "page.js") | with_imports(assets / "worker.js")
    for sheet in [file for file in files if file.suffix == ".css"]:
        style = sheet.read_text(encoding="utf-8")
        files |= {(sheet.parent / name).resolve() for name in FONT.findall(style)}
    listed = assets / "runtime" / "manifest.json"
    manifest = json.loads(listed.read_text(encoding="utf-8"))
    parts = sum(manifest["parts"][slug]["size"] for slug in set(CALCULATOR.findall(text)))
    return files | {listed}, manifest["total"] + parts


@pytest.mark.parametrize("place", PAGES)
def test_the_first_live_answer_is_within_its_bytes(site: Path, place: str) -> None:
    files, runtime = to_first_answer(site.resolve(), site.resolve() / place / "index.html")
    assert len(files) > 25
    assert sum(file.stat().st_size for file in files) + runtime <= MOST_TO_FIRST_ANSWER


def test_a_device_keeps_the_whole_handbook_within_its_bytes(site: Path) -> None:
    listed = json.loads((site / "offline.json").read_text(encoding="utf-8"))
    assert listed["size"] <= MOST_KEPT
    assert not [name for name in listed["files"] if name.endswith((".wav", ".mp3", ".ogg"))]
