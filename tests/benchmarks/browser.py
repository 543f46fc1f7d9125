"""A small web server and a real Chromium, for measuring and for looking inside the runtime."""

import functools
import gzip
import http.server
import io
import json
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

from calculators.site.join_scripts import as_function, imported
from tests.chromium import CHROMIUM_FLAGS, chromium_path

POLICY = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; "
    "img-src 'self' data:; font-src 'self'; connect-src 'self'; worker-src 'self'; "
    "manifest-src 'self'; form-action 'self'; base-uri 'none'"
)
PIECE = 16_384
"""Bytes that are sent at a time over a slow link."""
COMPRESSED_TYPES = (".js", ".mjs", ".html", ".json", ".wasm", ".css", ".svg")

PROBE_PAGE = '<!doctype html><meta charset="utf-8"><title>Probe</title><script src="probe.js"></script>'
PROBE_SCRIPT = """
window.answers = new Promise((settle, refuse) => {
  const worker = new Worker("assets/doorcard/probe-worker.js", { type: "module" });
  worker.onmessage = ({ data }) => data.failure ? refuse(new Error(data.failure)) : settle(data);
  worker.onerror = (event) => refuse(new Error(event.message));
  window.ask = (code) => worker.postMessage(code);
});
"""
SCRIPTS = Path(__file__).parents[2] / "docs" / "assets" / "doorcard"
PROBE_WORKER = """
import { manifest } from "./runtime/manifest.js";
const { addExtension, addPart, boot, fetchPart } = $boot;
self.onmessage = async ({ data }) => {
  try {
    const { pyodide } = await boot(manifest, { progress: () => {}, step: () => {} });
    const { rest } = manifest.files;
    addPart(pyodide, rest, await fetchPart(rest));
    for (const name of manifest.late) {
      await addExtension(pyodide, name, await fetchPart(manifest.files[name]));
    }
    self.postMessage({ answer: pyodide.runPython(data) });
  } catch (error) {
    self.postMessage({ failure: String(error && error.stack || error) });
  }
};
"""


class Handler(http.server.SimpleHTTPRequestHandler):
    """Serves a folder with the site's security policy; compresses text when told to."""

    protocol_version = "HTTP/1.1"
    compressing = False
    policy = POLICY
    rate: float | None = None
    more_headers: Mapping[str, str] = {}
    link = threading.Lock()
    extensions_map = http.server.SimpleHTTPRequestHandler.extensions_map | {
        ".mjs": "text/javascript",
        ".js": "text/javascript",
        ".wasm": "application/wasm",
    }

    def log_message(self, format: str, *arguments: Any) -> None:
        """Say nothing."""

    def end_headers(self) -> None:
        if self.policy:
            self.send_header("Content-Security-Policy", self.policy)
        for name, value in self.more_headers.items():
            self.send_header(name, value)
        super().end_headers()

    def copyfile(self, source: Any, outputfile: Any) -> None:
        """Send a file, over a link that all files of this machine share where it has a rate."""
        if self.rate is None:
            super().copyfile(source, outputfile)
            return
        while piece := source.read(PIECE):
            with self.link:
                time.sleep(len(piece) / self.rate)
            outputfile.write(piece)

    def do_GET(self) -> None:
        path = Path(self.translate_path(self.path))
        if not (self.compressing and path.is_file() and path.suffix in COMPRESSED_TYPES):
            super().do_GET()
            return
        body = compressed(path)
        self.send_response(200)
        self.send_header("Content-Type", self.guess_type(str(path)))
        self.send_header("Content-Encoding", "gzip")
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Last-Modified", self.date_time_string(path.stat().st_mtime))
        self.end_headers()
        self.copyfile(io.BytesIO(body), self.wfile)


class QuietServer(http.server.ThreadingHTTPServer):
    """A server that says nothing of a page that was closed before its files had come."""

    def handle_error(self, *_: object) -> None:
        """Say nothing."""


@functools.cache
def compressed(path: Path) -> bytes:
    """Return a file's bytes with gzip at the level that servers use."""
    return gzip.compress(path.read_bytes(), 6)


@contextmanager
def serve(
    folder: Path,
    compress: bool = False,
    policy: str = POLICY,
    rate: float | None = None,
    headers: Mapping[str, str] = {},
) -> Iterator[str]:
    """Serve `folder` on a free port of this machine and give its address.

    `compress` makes it a host that compresses what it knows to be compressible; `rate` is the link's bytes a
    second, as many as it can if it is not given; `headers` are sent with every file.
    """
    told = {"compressing": compress, "policy": policy, "rate": rate, "more_headers": headers}
    kind = type("OwnHandler", (Handler,), told)
    handler = functools.partial(kind, directory=str(folder))
    server = QuietServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()


@contextmanager
def open_browser() -> Iterator[Browser]:
    """Start Chromium without a window and close it at the end."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=CHROMIUM_FLAGS)
        try:
            yield browser
        finally:
            browser.close()


def run_in_runtime(browser: Browser, site: Path, code: str) -> Any:
    """Run Python text in the runtime of a built site, in Chromium; return its JSON answer.

    The text ends with an expression that gives JSON. Files of the probe are written into `site`, which has to
    hold the runtime. What boots it is joined here as a build joins it into the worker: no site has it apart.
    """
    booting = [
        as_function(name, (SCRIPTS / name).read_text("utf-8")) for name in imported(SCRIPTS, "boot.js")
    ]
    (site / "probe.html").write_text(PROBE_PAGE, encoding="utf-8")
    (site / "probe.js").write_text(PROBE_SCRIPT, encoding="utf-8")
    (site / "assets/doorcard/probe-worker.js").write_text("".join((*booting, PROBE_WORKER)), encoding="utf-8")
    with serve(site) as address:
        page: Page = browser.new_page()
        page.goto(f"{address}probe.html")
        return json.loads(page.evaluate("async (code) => { ask(code); return (await answers).answer }", code))
