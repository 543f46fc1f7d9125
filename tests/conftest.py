"""What all tests share: random inputs, the built site, a server for it, pages that are watched.

Random inputs are the same in every run, so that a failure can be repeated; `DOORCARD_SOAK=1000` tries
that many of each, other ones each time. `DOORCARD_SITE` names a folder that is built already; otherwise
the site is built once.
`CHROMIUM` names the browser; otherwise the usual names are looked for. A browser that is missing
fails the run.
"""

import http.server
import os
import shutil
import subprocess
import sys
import threading
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import AbstractContextManager, ExitStack, contextmanager
from pathlib import Path
from typing import Any

import pytest
from filelock import FileLock
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, BrowserContext, Page, expect

from calculators.declaring.errors import DeclarationError
from calculators.stages import slugs_known
from tests.chromium import CHROMIUM_FLAGS, chromium_path

PATIENT: dict[str, Any] = {"deadline": None, "suppress_health_check": list(HealthCheck)}
settings.register_profile("fixed", derandomize=True, database=None, max_examples=30, **PATIENT)
SOAK = int(os.environ.get("DOORCARD_SOAK", "0"))
"""How many random inputs of each the long tests try; 0 when they are not asked for."""
settings.register_profile("soak", max_examples=SOAK or 1, **PATIENT)
settings.load_profile("soak" if SOAK else "fixed")
expect.set_options(timeout=60_000)  # No page is tested for speed here, and a busy machine is slow.


def share[Item](items: Sequence[Item], one_in: int) -> list[Item]:
    """A fixed share of what a browser takes long to go through; the long tests go through all of it."""
    return list(items[:: 1 if SOAK else one_in])


ROOT = Path(__file__).resolve().parents[1]
FOLDER = "/handbook/"

Serve = Callable[[Path], AbstractContextManager[str]]


Once = Callable[[str, Callable[[Path], object]], Path]


@pytest.fixture(scope="session")
def once(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Once:
    """Makes a folder once in a whole run: the first worker that asks for it fills it, the others wait for it.

    For what takes longer to make than to ask; nobody changes what lies in it.
    """
    own = tmp_path_factory.getbasetemp()
    shared = own if worker_id == "master" else own.parent

    def made(name: str, fill: Callable[[Path], object]) -> Path:
        folder, unfinished = shared / name, shared / f"{name}.unfinished"
        with FileLock(f"{folder}.lock"):
            if not folder.exists():
                shutil.rmtree(unfinished, ignore_errors=True)
                unfinished.mkdir()
                fill(unfinished)
                unfinished.rename(folder)
        return folder

    return made


@pytest.fixture(scope="session")
def site(once: Once) -> Path:
    """The finished folder of the site."""
    built = os.environ.get("DOORCARD_SITE")
    return Path(built).resolve() if built else once("built", build_site) / "site"


def build_site(into: Path) -> None:
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet"]
    environment = os.environ | {"SOURCE_DATE_EPOCH": "0", "NO_MKDOCS_2_WARNING": "1"}
    done = subprocess.run(
        [*command, "--site-dir", str(into / "site")],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        pytest.fail(f"The site does not build:\n{done.stdout}{done.stderr}", pytrace=False)


def handler(folder: Path) -> type[http.server.SimpleHTTPRequestHandler]:
    """A handler that serves `folder` under FOLDER as a static host does, 404 page included."""

    class Handler(http.server.SimpleHTTPRequestHandler):
        protocol_version = "HTTP/1.1"
        extensions_map = http.server.SimpleHTTPRequestHandler.extensions_map | {
            ".js": "text/javascript",
            ".webmanifest": "application/manifest+json",
        }

        def __init__(self, *arguments: Any, **named: Any) -> None:
            super().__init__(*arguments, directory=str(folder), **named)

        def translate_path(self, path: str) -> str:
            if not path.startswith(FOLDER):
                return str(folder / "outside-the-site")
            return super().translate_path("/" + path.removeprefix(FOLDER))

        def send_error(self, code: int, *arguments: Any, **named: Any) -> None:
            page = folder / "404.html"
            if code != 404 or not page.is_file():
                super().send_error(code, *arguments, **named)
                return
            body = page.read_bytes()
            self.send_response(404)
            self.send_header("Content-Type", "text/html")
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            if self.command != "HEAD":  # A body there would be read as the next answer.
                self.wfile.write(body)

        def log_message(self, *arguments: Any) -> None:
            """Stay quiet."""

    return Handler


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve `folder` under a sub-folder of a free port; gives the address of its home page."""
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler(folder))
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}{FOLDER}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


@pytest.fixture(scope="session")
def serve() -> Serve:
    """For a test that needs a server of its own: `with serve(folder) as address:`."""
    return served


@pytest.fixture(scope="session")
def server(site: Path) -> Iterator[str]:
    """The address of the home page of the site, with its slash."""
    with served(site) as address:
        yield address


def pages_of(site: Path) -> list[str]:
    """The handbook's pages by their addresses, relative to the home page, the 404 page with them."""
    folders = (
        folder
        for page in site.rglob("index.html")
        if not (folder := page.parent.relative_to(site).as_posix()).startswith("reference")
    )
    return [*sorted("" if folder == "." else f"{folder}/" for folder in folders), "404.html"]


@pytest.fixture(scope="session")
def page_addresses(site: Path) -> list[str]:
    """The addresses of all pages, relative to the home page."""
    return pages_of(site)


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """The Chromium found, with the flags that keep it from the network."""
    return browser_type_launch_args | {
        "executable_path": chromium_path(),
        "args": list(CHROMIUM_FLAGS),
    }


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """No service worker, so that each test meets the files as they are served."""
    return browser_context_args | {"service_workers": "block"}


def watch(context: BrowserContext) -> list[str]:
    """Collect what no page may do: errors, words in the console, requests to elsewhere."""
    faults: list[str] = []

    def follow(page: Page) -> None:
        page.on("pageerror", lambda error: faults.append(f"{page.url}: {error}"))
        page.on(
            "console",
            lambda line: (
                faults.append(f"{page.url}: {line.text} {line.location.get('url', '')}")
                if line.type == "error"
                else None
            ),
        )

    context.on("page", follow)
    context.on(
        "request",
        lambda request: (
            None
            if request.url.startswith(("http://127.0.0.1:", "blob:", "data:"))
            else faults.append(f"asked {request.url}")
        ),
    )
    return faults


WITHOUT_HARM = ("/mark.svg",)
"""The tab's picture: the browser asks for it when it likes, after the network has gone too."""


@contextmanager
def watched(context: BrowserContext, allowed: tuple[str, ...] = ()) -> Iterator[BrowserContext]:
    """Close `context` at the end and fail if a page of it had a fault.

    `allowed` holds parts of those messages that the test itself provokes.
    """
    faults = watch(context)
    try:
        yield context
    finally:
        context.close()
    unexpected = [fault for fault in faults if not any(part in fault for part in (*allowed, *WITHOUT_HARM))]
    assert not unexpected, "\n".join(unexpected)


@pytest.fixture
def watched_contexts() -> Iterator[Callable[[BrowserContext, tuple[str, ...]], BrowserContext]]:
    """Watches contexts that a test makes for itself, and closes them at its end."""
    with ExitStack() as stack:
        yield lambda context, allowed=(): stack.enter_context(watched(context, allowed))


@pytest.fixture
def page(browser: Browser, browser_context_args: dict[str, Any]) -> Iterator[Page]:
    """A page that fails its test on errors, words in the console and requests to elsewhere."""
    with watched(browser.new_context(**browser_context_args)) as context:
        yield context.new_page()


SILENT_WORKER = """
self.Worker = new Proxy(Worker, {
  construct: (Genuine, [address, options]) => String(address).includes("/doorcard-")
    ? Object.assign(new EventTarget(), { postMessage() {}, terminate() {} })
    : new Genuine(address, options),
});
"""


def without_python(where: BrowserContext | Page) -> None:
    """Its calculators stay as they were printed, as while Python is starting: their worker never says a word.

    Not by holding requests back: where any may be, the browser keeps no file, and fetches all for each page.
    """
    where.add_init_script(SILENT_WORKER)


PAGE, CALCULATOR, REST = "a page", "a calculator", "the rest"
GROWS_WITH = {
    CALCULATOR: ("tests/stages/", "tests/published/", "tests/parity/"),
    PAGE: ("tests/site/",),
}
"""In these folders a run grows with what is named; elsewhere, and in a browser, where a test goes through
all."""
GOES_THROUGH = {CALCULATOR: {"calculator", "exercised_site"}, PAGE: {"page_addresses", "pages"}}
"""A test that asks for one of these goes through all of them; another that does is marked `each_page` or
`each_calculator`."""
MARKS = {CALCULATOR: "each_calculator", PAGE: "each_page"}


def grows_with(test: pytest.Function) -> str:
    """What makes a test longer, or brings more of it: one more page, one more calculator, or neither."""
    asked = set(test.fixturenames)
    for what in GROWS_WITH:
        if test.get_closest_marker(MARKS[what]) or asked & GOES_THROUGH[what]:
            return what
    for what, folders in GROWS_WITH.items():
        if test.nodeid.startswith(folders) and "browser" not in asked:
            return what
    return REST


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """Of a calculator that is declared wrongly the sentence alone: how Python came to it helps nobody."""
    report = yield
    if report.call and report.call.excinfo and isinstance(report.call.excinfo.value, DeclarationError):
        report.longrepr = str(report.call.excinfo.value)
    return report


def pytest_collection_modifyitems(items: list[pytest.Function]) -> None:
    for test in items:
        test.user_properties.append(("grows with", grows_with(test)))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say what one more page and one more calculator cost, so that the price is seen before it is too high.

    What is made ready for several tests counts once, where it is made: as its own phase of the first of them.
    """
    phases = (phase for kind in terminalreporter.stats.values() for phase in kind)
    seconds = dict.fromkeys((PAGE, CALCULATOR, REST), 0.0)
    for report in phases:
        if isinstance(report, pytest.TestReport):
            seconds[dict(report.user_properties).get("grows with", REST)] += report.duration
    counts = {PAGE: len(list((ROOT / "docs").rglob("*.md"))), CALCULATOR: len(slugs_known())}
    words = [f"{seconds[what] / count:.1f} {what} ({count})" for what, count in counts.items()]
    terminalreporter.write_line(f"Worker-seconds: {', '.join(words)}; {seconds[REST]:.0f} for {REST}")
