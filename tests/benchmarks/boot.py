"""How long a reader waits for Python: to the first live answer of a page, and after each keystroke.

    python -m tests.benchmarks.boot SITE_DIR

Four pages take turns in the same browser, from the same server. Bare is plain Pyodide as its own
documentation starts it (`loadPyodide`, `loadPackage("numpy")`, an import, one print) in a module
worker; ours is our worker, which answers the example of a calculator. Each starts once from an empty
page and once from the page of the handbook with that calculator, theme and all.

What counts is the ratio; seconds depend on the machine and on what else it does. The service worker
is off: only the browser's own cache helps, and the start that our worker keeps on the device after the
first visit, which is waited for.
"""

import argparse
import json
import os
import re
import shutil
import statistics
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import BrowserContext, Page, Playwright, sync_playwright

from calculators.declaring.running import example_fields
from calculators.site.fetching import CACHE, PINNED, fetch
from calculators.site.runtime import NUMPY_WHEEL
from calculators.stages import find_calculator
from tests.benchmarks.browser import serve
from tests.benchmarks.processes import at_a_fourth_of_the_speed, memory
from tests.chromium import CHROMIUM_FLAGS, chromium_path

SETTLING_MS = 700
START_KEPT = """(async () => {
  for (const name of (await caches.keys()).filter((name) => name.startsWith("doorcard-start"))) {
    const cache = await caches.open(name);
    if ((await cache.keys()).length) return true;
  }
  return false;
})()"""

BARE_PAGE = """<!doctype html><meta charset="utf-8"><title>Bare</title>
<script type="module" src="bare.js"></script>"""
BARE_SCRIPT = """
const worker = new Worker(new URL("worker.js", import.meta.url), { type: "module" });
worker.onmessage = () => { window.firstAnswer = performance.now(); };
"""
CALCULATION = """
import numpy
turn = numpy.exp(-2j * numpy.pi * numpy.geomspace(20, 20000, 480) / 48000)
answer = numpy.prod([(1 + turn / k) / (1 - turn / (2 * k)) for k in range(1, 11)], axis=0)
print(abs(answer).max())
"""
BARE_WORKER = f"""
import {{ loadPyodide }} from "./pyodide.mjs";
const pyodide = await loadPyodide();
await pyodide.loadPackage("numpy");
pyodide.runPython(`{CALCULATION}`);
self.postMessage("done");
"""
RUNTIME_PAGE = """<!doctype html><meta charset="utf-8"><title>Runtime</title>
<script type="module" src="runtime.js"></script>"""
RUNTIME_SCRIPT = """
import {{ Engine }} from "./site/{assets}/engine.js";
const engine = new Engine();
const reply = await engine.ask({question});
document.body.innerHTML = reply.html;
window.firstAnswer = performance.now();
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
        .observe(result, { childList: true, subtree: true, characterData: true });
    });
    const start = performance.now();
    input.value = text;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    const error = new Error(`${slug}: no answer to ${text}`);
    const late = new Promise((_, refuse) => setTimeout(refuse, 5000, error));
    await Promise.race([changed, late]);
    result.getBoundingClientRect();
    times.push(performance.now() - start);
  }
  return times;
}
"""


@dataclass(frozen=True)
class Typing:
    """One calculator to type into: a field, the texts, and the most milliseconds at the 95 % point.

    page: where it stands with its own example; the shortest address that holds it if None.
    """

    slug: str
    field: str
    texts: tuple[str, ...]
    target: float
    page: str | None = None


TYPINGS = (
    Typing("delay", "speakers[0].distance", tuple(str(60 + step) for step in range(60)), 16.0),
    Typing(
        "crossover",
        "low_pass",
        tuple(str(60 + step) for step in range(60)),
        33.0,
        page="look-up/crossover-levels/",
    ),
)
LINK = 10e6 / 8
"""Bytes a second of a slow link: 10 Mbit/s."""
AT_LINK = 0.60
"""The most that ours may take of what bare takes over it, cold, on a page of the handbook."""
type Starts = dict[str, dict[str, dict[str, list[float]]]]
# The most that ours may take of what bare takes, at the machine's own speed and at a fourth of it.
STARTS = {
    "empty page": {"cold": 0.30, "warm": 0.15},
    "page of the handbook": {"cold": 0.38, "warm": 0.28},
}
HOWS = ("cold", "warm")
OUR_SCRIPT = re.compile(r'<script src="[^"]*/page\.js" type="module">')
OUR_START = re.compile(
    r'<link rel="modulepreload"[^>]*>|<script type="module" async src="[^"]*/early\.js[^"]*"></script>'
)
HELD = re.compile(r'<doorcard-calculator[^>]* data-calculator="([^"]+)"')
POLICY_TAG = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*>')


def page_with(site: Path, slug: str, alone: bool = False) -> str:
    """Return the address within the site of a page with that calculator, and no other if it shall be `alone`.

    It is the shortest there is. Raises RuntimeError if no page holds it.
    """
    found = []
    for path in site.rglob("index.html"):
        held = HELD.findall(path.read_text(encoding="utf-8"))
        if slug in held and not (alone and len(held) > 1):
            found.append(path.parent.relative_to(site).as_posix() + "/")
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


def write_runtime_page(folder: Path, site: Path, slug: str) -> None:
    """Write an empty page that asks our worker for the example of one calculator."""
    (engine,) = site.glob("assets/doorcard*/engine.js")
    assets = engine.parent.relative_to(site).as_posix()
    question = {"calculator": slug, "inputs": example_fields(find_calculator(slug)), "example": True}
    script = RUNTIME_SCRIPT.format(assets=assets, question=json.dumps(question))
    (folder / "runtime.html").write_text(RUNTIME_PAGE, encoding="utf-8")
    (folder / "runtime.js").write_text(script, encoding="utf-8")


def write_bare_site(
    folder: Path, site: Path, slug: str, script: str = '<script type="module" src="/bare/bare.js">'
) -> None:
    """Write the site once more, with another script (bare's) in place of ours on one calculator's page."""
    shutil.copytree(site.resolve(), folder, copy_function=os.symlink)
    page = folder / page_with(site, slug) / "index.html"
    text = OUR_START.sub("", POLICY_TAG.sub("", page.read_text(encoding="utf-8")))
    text, found = OUR_SCRIPT.subn(script, text)
    if found != 1:
        raise RuntimeError(f"{page} holds our script {found} times")
    page.unlink()  # A link so far: the site itself stays as it is.
    page.write_text(text, encoding="utf-8")


@contextmanager
def all_served(
    site: Path, slug: str, compress: bool, cache: Path, rate: float | None = None
) -> Iterator[str]:
    """Serve /bare/, /runtime.html, the built site under /site/ and with bare under /bare-site/."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        write_bare(folder / "bare", fetch(cache))
        write_runtime_page(folder, site, slug)
        write_bare_site(folder / "bare-site", site, slug)
        (folder / "site").symlink_to(site.resolve())
        # The site's pages carry their policy themselves, with the hashes of their inline scripts.
        with serve(folder, compress, policy="", rate=rate) as address:
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
    page.close()
    raise RuntimeError(f"no answer at {address}")


def wait_for_start(page: Page) -> None:
    """Wait until our worker has kept a start on the device.

    Raises RuntimeError if it has not after a minute.
    """
    for _ in range(300):
        if page.evaluate(START_KEPT):
            return
        page.wait_for_timeout(200)
    raise RuntimeError("no start was kept")


def measure_starts(
    site: Path,
    slug: str = "delay",
    runs: int = 5,
    compress: bool = False,
    cache: Path = CACHE,
    device: Callable[[], AbstractContextManager[None]] = nullcontext,
) -> Starts:
    """Return seconds to the first live answer: by kind of page and who, then cold and warm.

    The pages take turns, each run with a fresh profile. Warm is the third visit: a browser keeps
    compiled code from the second on. `device` holds the browser back meanwhile.
    """
    page_address = page_with(site, slug)
    pages = {
        "empty page": {"bare": "bare/", "ours": "runtime.html"},
        "page of the handbook": {"bare": f"bare-site/{page_address}", "ours": f"site/{page_address}"},
    }
    times: Starts = {kind: {who: {how: [] for how in HOWS} for who in both} for kind, both in pages.items()}
    turns = [(kind, who, place) for kind, both in pages.items() for who, place in both.items()]
    with all_served(site, slug, compress, cache) as address, sync_playwright() as playwright:
        for _ in range(runs):
            for kind, who, place in turns:
                with fresh_profile(playwright) as context, device():
                    visits: list[float] = []
                    for _ in range(3):
                        page, seconds = open_until_answer(context, address + place)
                        if who == "ours" and not visits:
                            wait_for_start(page)
                        page.close()
                        visits.append(seconds)
                times[kind][who]["cold"].append(visits[0])
                times[kind][who]["warm"].append(visits[2])
    return times


def measure_linked(
    site: Path, slug: str = "delay", runs: int = 3, cache: Path = CACHE
) -> dict[str, list[float]]:
    """Return cold seconds on a page of the handbook over a slow link, by who answers."""
    page_address = page_with(site, slug)
    places = {"bare": f"bare-site/{page_address}", "ours": f"site/{page_address}"}
    times: dict[str, list[float]] = {who: [] for who in places}
    with all_served(site, slug, False, cache, LINK) as address, sync_playwright() as playwright:
        for _ in range(runs):
            for who, place in places.items():
                with fresh_profile(playwright) as context:
                    times[who].append(open_until_answer(context, address + place)[1])
    return times


def measure_memory(site: Path, slug: str = "delay", cache: Path = CACHE) -> list[float]:
    """Return the megabytes of the browser with an empty tab, and with one and two tabs that have answered."""
    with (
        all_served(site, slug, False, cache) as address,
        sync_playwright() as playwright,
        fresh_profile(playwright) as context,
    ):
        taken = [memory()]
        for _ in range(2):
            open_until_answer(context, f"{address}site/{page_with(site, slug)}")
            taken.append(memory())
        return taken


def measure_typing(site: Path, typing: Typing, cache: Path = CACHE) -> list[float]:
    """Return milliseconds from a keystroke to the new answer in the page, once for each text."""
    with (
        all_served(site, typing.slug, False, cache) as address,
        sync_playwright() as playwright,
        fresh_profile(playwright) as context,
    ):
        page, _ = open_until_answer(context, f"{address}site/{typing.page or page_with(site, typing.slug)}")
        asked = {"slug": typing.slug, "field": typing.field, "texts": list(typing.texts)}
        return [float(milliseconds) for milliseconds in page.evaluate(TYPE_TEXTS, asked)]


def at_95_percent(times: list[float]) -> float:
    """Return the time that 95 % of them stay within."""
    return statistics.quantiles(times, n=20, method="inclusive")[-1]


def start_line(what: str, times: dict[str, list[float]], most: float) -> str:
    """Return a line of the table of starts: medians of bare and of ours, and their ratio."""
    bare, ours = (statistics.median(times[who]) for who in ("bare", "ours"))
    return f"| {what} | {bare:.2f} | {ours:.2f} | {ours / bare:.2f} | {most:.2f} |"


def tables(starts: dict[str, Starts], linked: dict[str, list[float]], typed: dict[str, list[float]]) -> str:
    """Return two Markdown tables of medians; `starts` by what is added to the names of their lines."""
    lines = ["| first live answer | bare, s | ours, s | ratio | at most |", "|---|---|---|---|---|"]
    for speed, kinds in starts.items():
        for kind, both in kinds.items():
            for how, most in STARTS[kind].items():
                times = {who: found[how] for who, found in both.items()}
                lines.append(start_line(f"{kind}, {how}{speed}", times, most))
    lines.append(start_line("page of the handbook, cold, at 10 Mbit/s", linked, AT_LINK))
    lines += ["", "| keystroke to answer | median, ms | 95 %, ms | at most |", "|---|---|---|---|"]
    for typing in TYPINGS:
        middle, late = statistics.median(typed[typing.slug]), at_95_percent(typed[typing.slug])
        lines.append(f"| {typing.slug} | {middle:.1f} | {late:.1f} | {typing.target:.0f} |")
    return "\n".join(lines)


def measure(site: Path, runs: int = 5, compress: bool = False, cache: Path = CACHE) -> dict[str, object]:
    """Measure everything; return `starts`, `typed` (all times) and `table` (Markdown)."""
    few = min(runs, 3)  # What is slow is slow to measure.
    starts = {
        "": measure_starts(site, runs=runs, compress=compress, cache=cache),
        ", at a fourth of the speed": measure_starts(
            site, runs=few, compress=compress, cache=cache, device=at_a_fourth_of_the_speed
        ),
    }
    linked = measure_linked(site, runs=few, cache=cache)
    typed = {typing.slug: measure_typing(site, typing, cache) for typing in TYPINGS}
    return {"starts": starts, "typed": typed, "table": tables(starts, linked, typed)}


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
