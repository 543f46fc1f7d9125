"""What the tests of the built pages share: the pages, read once in a whole run."""

import pickle
import shutil
from collections.abc import Iterator
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib
import pytest

from calculators.site import runtime
from tests.benchmarks.browser import serve
from tests.conftest import Once
from tests.site.test_engine import write_page


@pytest.fixture(scope="session")
def built(once: Once) -> Path:
    """A folder with the browser's runtime alone."""
    return once("runtime", runtime.build_runtime)


@pytest.fixture
def address(built: Path, tmp_path: Path) -> Iterator[str]:
    """A page with an engine that has not started, served with the runtime."""
    shutil.copytree(built, tmp_path, dirs_exist_ok=True)
    write_page(tmp_path)
    with serve(tmp_path) as address:
        yield address


@pytest.fixture(scope="session")
def pages(site: Path, once: Once) -> dict[str, Element]:
    """The handbook's pages as a browser reads them, by address; any error of syntax or nesting fails.

    Workers of one run read them once between them, for reading takes longer than all that is asked of them.
    """
    folder = once("pages", lambda into: (into / "pages.pickle").write_bytes(pickle.dumps(read(site))))
    found: dict[str, Element] = pickle.loads((folder / "pages.pickle").read_bytes())
    return found


def read(site: Path) -> dict[str, Element]:
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    return {
        name.removesuffix("index.html"): parser.parse((site / name).read_bytes())
        for name in sorted(path.relative_to(site).as_posix() for path in site.rglob("*.html"))
        if not name.startswith("reference/")
    }
