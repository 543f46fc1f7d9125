"""How long a reader waits for Python: to the first live answer of a page, and after each keystroke.

    python -m tests.benchmarks.boot SITE_DIR

The pages are the built ones. Beside them the same browser opens a bare page in turn: plain
Pyodide as its own documentation starts it (`loadPyodide`, `loadPackage("numpy")`, an import, one
print), in a module worker, from the same server. What counts is the ratio; seconds depend on the
machine and on what else it does. The service worker is off: only the browser's own cache helps.
"""

import argparse
import json
import shutil
import statistics
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import BrowserContext, Page, Playwright, sync_playwright

from calculators.site.runtime import CACHE, NUMPY_WHEEL, PINNED, fetch
from tests.benchmarks.browser import CHROMIUM_FLAGS, chromium_path, serve

SETTLING_MS = 700

BARE_PAGE = '<!doctype html><meta charset="utf-8"><title>Bare</title><script src="bare.js"></script>'
BARE_SCRIPT = """
const worker = new Worker("worker.js", { type: "module" });
worker.onmessage = () => { window.firstAnswer = performance.now(); };
"""
BARE_WORKER = """
import { loadPyodide } from "./pyodide.mjs";
const pyodide = await loadPyodide();
await pyodide.loadPackage("numpy");
pyodide.runPython(`
import numpy
turn = numpy.exp(-2j * numpy.pi * numpy.geomspace(20, 20000, 480) / 48000)
answer = numpy.prod([(1 + turn / k) / (1 - turn / (2 * k)) for k in range(1, 11)], axis=0)
print(abs(answer).max())
`);
self.postMessage("done");
"""
NOTE_FIRST_ANSWER = """
new MutationObserver((changes) => {
  const answered = changes.some(({ target }) => target.dataset.live === "answer");
  if (answered) window.firstAnswer ??= performance.now();
}).observe(document, { subtree: true, attributes: true, attributeFilter: ["data-live"] });
"""
TYPE_TEXTS = """
async ({ slug, field, texts }) => {
  const calculator = document.querySelector(`doorcard-calculator[data-calculator="${slug}"]`);
  const input = calculator.querySelector(`.dc-form [name="${CSS.escape(field)}"]`);
  const result = calculator.querySelector("[data-result]");
  const times = [];
  for (const text of texts) {
    await new Promise((settle) => setTimeout(settle, 50));
    const changed = new Promise((settle) => {
      new MutationObserver((_, observer) => { observer.disconnect(); settle(); })
        .observe(result, { childList: true });
    });
    const start = performance.now();
    input.value = text;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    await changed;
    result.getBoundingClientRect();
    times.push(performance.now() - start);
  }
  return times;
}
"""


@dataclass(frozen=True)
class Typing:
    """One calculator to type into: a field, the texts, and the most milliseconds at the 95 % point."""

    slug: str
    field: str
    texts: tuple[str, ...]
    target: float


TYPINGS = (
    Typing("delay", "speakers[0].distance", tuple(str(60 + step) for step in range(60)), 16.0),
    Typing("crossover", "low_pass", tuple(str(60 + step) for step in range(60)), 50.0),
)
STARTS = (("cold", 0, 0.45), ("warm", 2, 0.42))  # Which visit with one profile; the most it may cost.


def page_with(site: Path, slug: str) -> str:
    """Return the address within the site of a page with that calculator, the shortest there is.

    Raises RuntimeError if no page holds it.
    """
    mark = f'data-calculator="{slug}"'
    found = [
        path.parent.relative_to(site).as_posix() + "/"
        for path in site.rglob("index.html")
        if mark in path.read_text(encoding="utf-8")
    ]
    if not found:
        raise RuntimeError(f"no page of {site} holds the calculator {slug}")
    return min(found, key=lambda address: (len(address), address))


def write_bare(folder: Path, cache: Path) -> None:
    """Write the bare page: Pyodide's own files, NumPy's wheel and a lock file that names it."""
    folder.mkdir()
    for name in PINNED["files"]:
        shutil.copyfile(cache / name, folder / name)
    numpy = {
        "name": "numpy",
        "version": PINNED["numpy"],
        "file_name": NUMPY_WHEEL,
        "sha256": PINNED["files"][NUMPY_WHEEL],
        "install_dir": "site",
        "imports": ["numpy"],
        "depends": [],
        "package_type": "package",
        "unvendored_tests": True,
    }
    lock = {"info": PINNED["lock"], "packages": {"numpy": numpy}}
    (folder / "pyodide-lock.json").write_text(json.dumps(lock), encoding="utf-8")
    (folder / "index.html").write_text(BARE_PAGE, encoding="utf-8")
    (folder / "bare.js").write_text(BARE_SCRIPT, encoding="utf-8")
    (folder / "worker.js").write_text(BARE_WORKER, encoding="utf-8")


@contextmanager
def both_served(site: Path, compress: bool, cache: Path) -> Iterator[str]:
    """Serve the bare page at /bare/ and the built site at /site/, without its own policy file."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        write_bare(folder / "bare", fetch(cache))
        (folder / "site").symlink_to(site.resolve())
        # The site's pages carry their policy themselves, with the hashes of their inline scripts.
        with serve(folder, compress, policy="") as address:
            yield address


@contextmanager
def fresh_profile(playwright: Playwright) -> Iterator[BrowserContext]:
    """Start Chromium with an empty profile on disk, so that a second visit finds its cache."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        context = playwright.chromium.launch_persistent_context(
            profile, executable_path=chromium_path(), args=CHROMIUM_FLAGS, service_workers="block"
        )
        context.add_init_script(NOTE_FIRST_ANSWER)
        try:
            yield context
        finally:
            context.close()


def open_until_answer(context: BrowserContext, address: str) -> tuple[Page, float]:
    """Open a page; return it and the seconds from navigation to its first answer.

    Raises RuntimeError if there is none within two minutes.
    """
    page = context.new_page()
    page.wait_for_timeout(SETTLING_MS)
    page.goto(address, wait_until="commit")
    for _ in range(1200):
        # Not wait_for_function: the security policy forbids what that does in the page.
        milliseconds = page.evaluate("window.firstAnswer ?? null")
        if milliseconds is not None:
            page.wait_for_timeout(SETTLING_MS)
            return page, float(milliseconds) / 1000
        page.wait_for_timeout(100)
    raise RuntimeError(f"no answer at {address}")


def measure_starts(
    site: Path, slug: str = "delay", runs: int = 5, compress: bool = False, cache: Path = CACHE
) -> dict[str, list[float]]:
    """Return seconds to the first live answer under `bare cold`, `ours cold`, `bare warm`, `ours warm`.

    The two pages take turns, each run with a fresh profile. Warm is the third visit: a browser
    keeps compiled code from the second on.
    """
    times: dict[str, list[float]] = {f"{who} {how}": [] for how, _, _ in STARTS for who in ("bare", "ours")}
    pages = {"bare": "bare/", "ours": f"site/{page_with(site, slug)}"}
    with both_served(site, compress, cache) as address, sync_playwright() as playwright:
        for _ in range(runs):
            for who, place in pages.items():
                with fresh_profile(playwright) as context:
                    visits = []
                    for _ in range(3):
                        page, seconds = open_until_answer(context, address + place)
                        page.close()
                        visits.append(seconds)
                for how, visit, _ in STARTS:
                    times[f"{who} {how}"].append(visits[visit])
    return times


def measure_typing(site: Path, typing: Typing, cache: Path = CACHE) -> list[float]:
    """Return milliseconds from a keystroke to the new answer in the page, once for each text."""
    with (
        both_served(site, False, cache) as address,
        sync_playwright() as playwright,
        fresh_profile(playwright) as context,
    ):
        page, _ = open_until_answer(context, f"{address}site/{page_with(site, typing.slug)}")
        asked = {"slug": typing.slug, "field": typing.field, "texts": list(typing.texts)}
        return [float(milliseconds) for milliseconds in page.evaluate(TYPE_TEXTS, asked)]


def ratio(times: dict[str, list[float]], how: str) -> float:
    """Return the median of ours over the median of bare."""
    return statistics.median(times[f"ours {how}"]) / statistics.median(times[f"bare {how}"])


def at_95_percent(times: list[float]) -> float:
    """Return the time that 95 % of them stay within."""
    return statistics.quantiles(times, n=20, method="inclusive")[-1]


def tables(starts: dict[str, list[float]], typed: dict[str, list[float]]) -> str:
    """Return what was measured as two Markdown tables."""
    lines = ["| first live answer | bare, s | ours, s | ratio | at most |", "|---|---|---|---|---|"]
    for how, _, most in STARTS:
        bare, ours = (statistics.median(starts[f"{who} {how}"]) for who in ("bare", "ours"))
        lines.append(f"| {how} | {bare:.2f} | {ours:.2f} | {ratio(starts, how):.2f} | {most} |")
    lines += ["", "| keystroke to answer | median, ms | 95 %, ms | at most |", "|---|---|---|---|"]
    for typing in TYPINGS:
        times = typed[typing.slug]
        middle, late = statistics.median(times), at_95_percent(times)
        lines.append(f"| {typing.slug} | {middle:.1f} | {late:.1f} | {typing.target:.0f} |")
    return "\n".join(lines)


def measure(site: Path, runs: int = 5, compress: bool = False, cache: Path = CACHE) -> dict[str, object]:
    """Measure everything; return `starts`, `typed` (all times) and `table` (Markdown)."""
    starts = measure_starts(site, runs=runs, compress=compress, cache=cache)
    typed = {typing.slug: measure_typing(site, typing, cache) for typing in TYPINGS}
    return {"starts": starts, "typed": typed, "table": tables(starts, typed)}


def main() -> None:
    """Measure the site that the command line names, and print the tables."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.boot")
    parser.add_argument("site", type=Path)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--compress", action="store_true", help="serve as a host that compresses")
    chosen = parser.parse_args()
    print(measure(chosen.site, chosen.runs, chosen.compress)["table"])


if __name__ == "__main__":
    main()
