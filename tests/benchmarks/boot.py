"""How long a reader waits for Python: from opening the page to the first live answer.

    python -m tests.benchmarks.boot SITE_DIR

Beside our runtime the same browser opens a bare page in turn: plain Pyodide as its own
documentation starts it (`loadPyodide`, `loadPackage("numpy")`, an import, one print), in a module
worker, from the same server. What counts is the ratio; seconds depend on the machine.
"""

import argparse
import json
import shutil
import statistics
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import BrowserContext, Page, Playwright, sync_playwright

from calculators.site.runtime import CACHE, NUMPY_WHEEL, PINNED, RUNTIME, fetch
from tests.benchmarks.browser import CHROMIUM_FLAGS, chromium_path, serve

COLD_TARGET, WARM_TARGET = 0.45, 0.42
DELAY_TARGET, CROSSOVER_TARGET = 16.0, 50.0
SETTLING_MS = 700

PAGE = '<!doctype html><meta charset="utf-8"><title>{0}</title><script type="module" src="{0}.js"></script>'

BARE_PAGE = """
const worker = new Worker("bare/worker.js", { type: "module" });
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
OURS_PAGE = """
import { Engine } from "./site/assets/doorcard/engine.js";
const engine = new Engine({ onState: (state) => { window.state = state; } });
window.engine = engine;
const question = await (await fetch("question.json")).json();
window.firstReply = await engine.ask(question);
window.firstAnswer = performance.now();

/** Time from a key pressed to the new answer standing in the page, one for each text typed. */
window.typed = async ({ calculator, inputs }, field, texts) => {
  const place = document.body.appendChild(document.createElement("output"));
  const times = [];
  for (const text of texts) {
    await new Promise((settle) => setTimeout(settle, 30));
    const start = performance.now();
    const reply = await engine.ask({ calculator, inputs: { ...inputs, [field]: text } });
    if (!reply || !reply.html) throw new Error(JSON.stringify(reply));
    place.innerHTML = reply.html;
    place.getBoundingClientRect();
    times.push(performance.now() - start);
  }
  return times;
};
"""


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
    (folder / "worker.js").write_text(BARE_WORKER, encoding="utf-8")


def write_pages(folder: Path, site: Path, question: dict[str, object], cache: Path) -> None:
    """Write both pages into `folder`, with a link to the built site beside them."""
    write_bare(folder / "bare", cache)
    (folder / "site").symlink_to(site.resolve())
    (folder / "question.json").write_text(json.dumps(question), encoding="utf-8")
    for name, script in (("barepage", BARE_PAGE), ("ourspage", OURS_PAGE)):
        (folder / f"{name}.html").write_text(PAGE.format(name), encoding="utf-8")
        (folder / f"{name}.js").write_text(script, encoding="utf-8")


@contextmanager
def fresh_profile(playwright: Playwright) -> Iterator[BrowserContext]:
    """Start Chromium with an empty profile on disk, so that a second visit finds its cache."""
    with tempfile.TemporaryDirectory() as profile:
        context = playwright.chromium.launch_persistent_context(
            profile, executable_path=chromium_path(), args=CHROMIUM_FLAGS
        )
        try:
            yield context
        finally:
            context.close()


def wait_for_answer(page: Page) -> float:
    """Return the seconds from navigation to the first answer; RuntimeError after two minutes."""
    for _ in range(1200):
        # Not wait_for_function: the security policy forbids what it does in the page.
        milliseconds = page.evaluate("window.firstAnswer ?? null")
        if milliseconds is not None:
            return float(milliseconds) / 1000
        page.wait_for_timeout(100)
    raise RuntimeError(f"No answer at {page.url}: {page.evaluate('window.state ?? null')}")


def visit(context: BrowserContext, address: str) -> float:
    """Open a page and return the seconds from navigation to its first answer."""
    page = context.new_page()
    page.wait_for_timeout(SETTLING_MS)
    page.goto(address)
    seconds = wait_for_answer(page)
    page.wait_for_timeout(SETTLING_MS)
    page.close()
    return seconds


def measure_starts(
    site: Path,
    question: dict[str, object],
    runs: int = 5,
    compress: bool = False,
    cache: Path = CACHE,
) -> dict[str, list[float]]:
    """Return seconds to the first answer: bare and ours, cold and warm, one of each per run.

    The two pages take turns, each run with a fresh profile. Warm is the third visit: a browser
    keeps compiled code from the second on.
    """
    times: dict[str, list[float]] = {
        f"{who} {how}": [] for how in ("cold", "warm") for who in ("bare", "ours")
    }
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        write_pages(folder, site, question, fetch(cache))
        with serve(folder, compress) as address, sync_playwright() as playwright:
            for _ in range(runs):
                for who in ("bare", "ours"):
                    with fresh_profile(playwright) as context:
                        visits = [visit(context, f"{address}{who}page.html") for _ in range(3)]
                    times[f"{who} cold"].append(visits[0])
                    times[f"{who} warm"].append(visits[2])
    return times
