"""One page with live calculators, in seconds: for whoever writes it.

    python -m calculators.site.one_page build stages/tuning/levels.md
    python -m calculators.site.one_page watch stages/tuning/levels.md

The page is built as the whole site is, into `.cache/page/`, but alone: links to other pages lead
nowhere there, and search finds nothing else. `watch` serves it and builds it again, in a fresh Python,
whenever a file under `docs/` or `calculators/` is saved; a page that is saved becomes the one shown.
"""

import argparse
import functools
import http.server
import logging
import re
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

from pymdownx.inlinehilite import InlineHiliteException
from pymdownx.superfences import SuperFencesException

from calculators.declaring.errors import DeclarationError

ROOT = Path(__file__).resolve().parents[2]
DOCS = Path("docs")
CODE = Path("calculators")
FOLDER = Path(".cache") / "page"
PORT = 8001
EVERY = 0.3
"""Seconds between two looks at the files."""
LINK = re.compile(r"\]\(([\w./-]+\.md)")
"""Of a page's text to another page."""


def source_of(name: str) -> Path:
    """The page meant by a path inside `docs/`, by one that starts with it, or by an address.

    Raises FileNotFoundError, in the writer's words, if there is none.
    """
    inner = name.removeprefix("docs/").strip("/")
    for path in (DOCS / inner, DOCS / f"{inner}.md", DOCS / inner / "index.md"):
        if path.is_file() and path.suffix == ".md":
            return path
    raise FileNotFoundError(f"There is no page {name}. A page is a Markdown file under docs/, by its path.")


def build(page: Path, folder: Path = FOLDER) -> Path:
    """Build one page and what it loads into `folder`; return its HTML file.

    Raises what the site build raises: a fence that is wrong says so with its line.
    """
    from mkdocs.commands.build import build as build_site
    from mkdocs.config import load_config

    logging.getLogger("mkdocs").setLevel(logging.ERROR)
    inner = page.relative_to(DOCS).as_posix()
    config = load_config("mkdocs.yml", site_dir=str(folder), nav=[inner], strict=False)
    left_out = config["exclude_docs"].patterns if config["exclude_docs"] else []
    lines = [str(pattern.pattern) for pattern in left_out]
    config.load_dict({"exclude_docs": "\n".join([*lines, "*.md", f"!{inner}"])})
    config.validate()
    config["extra"]["alone"] = True
    config.plugins.on_startup(command="build", dirty=False)
    build_site(config)
    parts = page.relative_to(DOCS).with_suffix("")
    return folder / (parts.parent if parts.name == "index" else parts) / "index.html"


def unseen_alone(page: Path) -> list[str]:
    """What stops the build of the whole site and not that of the page: no place in nav, a link to no page."""
    inner = re.escape(page.relative_to(DOCS).as_posix())
    listed = re.search(rf"^ *- (?:.*: )?{inner}$", Path("mkdocs.yml").read_text("utf-8"), re.MULTILINE)
    links = dict.fromkeys(LINK.findall(page.read_text("utf-8")))
    missing = [link for link in links if not (page.parent / link).is_file()]
    unlisted = [] if listed else ["it has no line under nav in mkdocs.yml"]
    return unlisted + [f"it links to {link}, and there is no such page" for link in missing]


def last_saved() -> Iterator[tuple[float, Path]]:
    """Every file that a page may be made of, with the time it was saved."""
    for root in (DOCS, CODE):
        for path in root.rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts:
                yield path.stat().st_mtime, path


def watch(page: Path) -> None:
    """Serve the page and build it again after each change, until stopped."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    handler = functools.partial(QuietHandler, directory=str(FOLDER))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", PORT), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    newest = 0.0
    while True:
        saved, path = max(last_saved())
        if saved > newest:
            if newest and path.suffix == ".md":
                page = path
            newest = saved
            subprocess.run(
                [sys.executable, "-m", "calculators.site.one_page", "build", str(page)], check=False
            )
            address = page.relative_to(DOCS).with_suffix("").as_posix().removesuffix("index")
            print(f"== http://127.0.0.1:{PORT}/{address} (stop with Ctrl-C)", flush=True)
        time.sleep(EVERY)


class QuietHandler(http.server.SimpleHTTPRequestHandler):
    """Serves files, each fresh, and says nothing."""

    def end_headers(self) -> None:
        """Have the browser ask anew each time."""
        self.send_header("Cache-Control", "no-store")
        super().end_headers()

    def log_message(self, *arguments: object) -> None:
        """Stay quiet."""


def main(arguments: list[str] | None = None) -> int:
    """Build or watch one page; return the exit status."""
    parser = argparse.ArgumentParser(prog="python -m calculators.site.one_page")
    parser.add_argument("action", choices=("build", "watch"))
    parser.add_argument("page", nargs="?", default="index.md")
    parser.add_argument("--into", type=Path, default=FOLDER, help="the folder to build into")
    chosen = parser.parse_args(arguments)
    try:
        page = source_of(chosen.page)
        if chosen.action == "watch":
            watch(page)
        print(f"== {build(page, chosen.into)}")
        for why in unseen_alone(page):
            print(f"== ./run build will stop at it: {why}")
    except FileNotFoundError as error:
        print(error, file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130
    except (DeclarationError, SuperFencesException, InlineHiliteException) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
