"""The published wheel: stock Pyodide installs it by one line, and it answers as native Python does."""

import json
import os
import zipfile
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from calculators.browser import answer
from calculators.declaring import example_fields
from calculators.site import fetching, runtime, wheel
from calculators.stages import find_calculator
from tests.benchmarks.browser import serve
from tests.conftest import SOAK
from tests.parity.test_parity import CLOSED_FORM, ITERATION, LOOSER, assert_close

TEN = (
    "sound-speed", "delay", "crossover", "filter", "cable", "fuse", "hold-up", "decibels", "noise-dose",
    "speaker-load",
)  # fmt: skip
STOCK_PAGE = (
    '<!doctype html><meta charset="utf-8"><title>Stock</title><script type="module" src="stock.js"></script>'
)
STOCK_SCRIPT = """
import { loadPyodide } from "./pyodide.mjs";
window.ask = async (address, code) => {
  const pyodide = await loadPyodide();
  await pyodide.loadPackage(["numpy", address]);
  return pyodide.runPython(code);
};
window.ready = true;
"""
NO_POLICY = ""


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with stock Pyodide and our wheel beside it."""
    folder = tmp_path_factory.mktemp("stock")
    for name in fetching.PINNED["files"]:
        os.symlink(fetching.fetch() / name, folder / name)
    (folder / "stock.html").write_text(STOCK_PAGE, encoding="utf-8")
    (folder / "stock.js").write_text(STOCK_SCRIPT, encoding="utf-8")
    return wheel.write_wheel(folder)


def test_stock_pyodide_answers_as_native_python(browser: Browser, published: Path) -> None:
    questions = [
        json.dumps(
            {
                "calculator": slug,
                "inputs": example_fields(find_calculator(slug)),
                "want": ["answer"],
                "release": "",
            }
        )
        for slug in TEN
    ]
    code = (
        "import json\nfrom calculators.browser import answer\n"
        f"json.dumps([json.loads(answer(question)) for question in {questions!r}])"
    )
    folder = published.parents[1]
    with serve(folder, policy=NO_POLICY) as address:
        page = browser.new_page()
        page.goto(f"{address}stock.html")
        page.wait_for_function("window.ready")
        replies = json.loads(
            page.evaluate("([a, c]) => ask(a, c)", [f"{address}python/{published.name}", code])
        )
        page.close()
    for slug, question, reply in zip(TEN, questions, replies, strict=True):
        native: dict[str, Any] = json.loads(answer(question))
        tolerance = ITERATION if slug in LOOSER else CLOSED_FORM
        assert native["answer"]
        assert_close(native["answer"], reply["answer"], tolerance, slug)


def test_the_list_of_packages_names_the_wheel_as_it_is(published: Path) -> None:
    listed = json.loads((published.parent / wheel.LIST).read_text(encoding="utf-8"))["packages"]
    assert listed["doorcard"]["file_name"] == published.name
    assert listed["doorcard"]["sha256"] == fetching.digest(published)
    assert listed["doorcard"]["depends"] == ["numpy"]
    assert "scipy" in listed


def test_the_wheel_is_compiled_and_leaves_out_the_site_build(published: Path) -> None:
    with zipfile.ZipFile(published) as opened:
        ours = [name for name in opened.namelist() if name.startswith("calculators/")]
    assert "calculators/browser.pyc" in ours
    assert not [name for name in ours if name.startswith("calculators/site/") or name.endswith(".py")]


if SOAK:  # It takes as long as all of the above.

    def test_the_same_sources_give_the_same_wheel(
        published: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(runtime, "MADE", tmp_path / "nothing made before")
        assert wheel.write_wheel(tmp_path).read_bytes() == published.read_bytes()
