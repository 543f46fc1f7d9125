"""The browser's runtime: its files are the pinned ones, built the same each time, and complete."""

import hashlib
import io
import json
import re
import subprocess
import sys
import zipfile
import zlib
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from calculators.site import fetching, runtime
from calculators.site.parts import REST, imports_of, module_name, parts_of
from calculators.stages import slugs_known
from tests.conftest import SOAK, Once
from tests.site.kept_modules import exercise, letters, stock_modules

ROOT = runtime.PACKAGE.parent


@pytest.fixture(scope="session")
def exercised_site(browser: Browser, once: Once) -> Path:
    """A runtime, and what everything in it said; in the long tests nothing made before went into it."""

    def fill(site: Path) -> None:
        with pytest.MonkeyPatch.context() as patch:
            if SOAK:
                patch.setattr(runtime, "MADE", site / "nothing made before")
            said = exercise(browser, site, runtime.kept_modules())
        (site / "said.json").write_text(json.dumps(said), encoding="utf-8")

    return once("exercised", fill)


@pytest.fixture(scope="session")
def exercised(exercised_site: Path) -> dict[str, Any]:
    said: dict[str, Any] = json.loads((exercised_site / "said.json").read_text(encoding="utf-8"))
    return said


def folder_contents(site: Path) -> dict[str, bytes]:
    folder = site / runtime.RUNTIME
    files = [path for path in sorted(folder.rglob("*")) if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def library(site: Path) -> zipfile.ZipFile:
    (packed,) = (site / runtime.RUNTIME).glob("library.*.bin")
    return zipfile.ZipFile(io.BytesIO(zlib.decompress(packed.read_bytes())))


def test_fetched_files_have_the_pinned_hashes() -> None:
    cache = fetching.fetch()
    for name, expected in fetching.PINNED["files"].items():
        assert hashlib.sha256((cache / name).read_bytes()).hexdigest() == expected, name


def test_a_damaged_file_is_fetched_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache = fetching.fetch()
    for name in fetching.PINNED["files"]:
        (tmp_path / name).write_bytes((cache / name).read_bytes())
    (tmp_path / "pyodide.mjs").write_bytes(b"damaged")
    asked = []

    def take(wanted: list[str], folder: Path) -> None:
        asked.append(wanted)
        fetching.keep_if_genuine(wanted[0], (cache / wanted[0]).read_bytes(), folder)

    monkeypatch.setattr(fetching, "SOURCES", (("here", take),))
    fetching.fetch(tmp_path)
    assert asked == [["pyodide.mjs"]]
    assert (tmp_path / "pyodide.mjs").read_bytes() == (cache / "pyodide.mjs").read_bytes()


def test_a_forged_file_is_refused_with_what_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def take(wanted: list[str], folder: Path) -> None:
        for name in wanted:
            fetching.keep_if_genuine(name, b"forged", folder)

    monkeypatch.setattr(fetching, "SOURCES", (("elsewhere", take),))
    with pytest.raises(fetching.FetchError, match=fetching.ADDRESS_VARIABLE):
        fetching.fetch(tmp_path)
    assert not list(tmp_path.iterdir())


if SOAK:  # To pack and slim all anew takes half a minute.

    def test_the_same_inputs_give_the_same_bytes(built: Path, exercised_site: Path) -> None:
        assert folder_contents(exercised_site) == folder_contents(built)


def test_what_was_made_is_made_again_when_its_recipe_changes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(runtime, "MADE", tmp_path)
    made = iter([b"first", b"second"])
    recipes = [(b"a", b"b"), (b"a", b"b"), (b"ab", b"")]
    assert [runtime.remembered(recipe, lambda: next(made)) for recipe in recipes] == [
        b"first",
        b"first",
        b"second",
    ]


def test_what_is_remembered_depends_on_every_file_that_makes_it() -> None:
    makers = {f"calculators.site.{name.removesuffix('.py')}" for name in runtime.COMPILING}
    sources = ((runtime.HERE / name).read_text(encoding="utf-8") for name in runtime.COMPILING)
    used = {name for source in sources for name in imports_of(source) if name.startswith("calculators.site.")}
    modules = {name for name in used if (runtime.HERE / f"{name.rpartition('.')[2]}.py").is_file()}
    others = {
        "fetching",
        "given_start",
        "node_tools",
        "slimming",
        "steps",
        "wasm",
    }  # None of them makes byte code.
    assert modules - makers == {f"calculators.site.{name}" for name in others}


def test_a_module_that_the_page_leaves_out_is_named_with_what_to_do(tmp_path: Path) -> None:
    package = tmp_path / "calculators"
    package.mkdir()
    (package / "heat.py").write_text("def f():\n    import statistics\n", encoding="utf-8")
    with pytest.raises(
        runtime.RuntimeBuildError, match=r"heat\.py imports statistics.*tests\.site\.kept_modules"
    ):
        runtime.require_kept(fetching.CACHE, package)


@pytest.mark.parametrize(
    ("line", "asked", "offered"),
    [
        ("import pickle", "pickle", "nothing"),
        ("import html", "html", "escape"),
        ("from html import escape, unescape", "html.unescape", "escape"),
        ("from html import *", "html.*", "escape"),
        ("from numpy import ma", "numpy.ma", "isMaskedArray"),
        ("import numpy.linalg._umath_linalg", "numpy.linalg._umath_linalg", "import_module"),
    ],
)
def test_a_module_that_a_stand_in_hollows_out_is_named_with_what_to_do(
    tmp_path: Path, line: str, asked: str, offered: str
) -> None:
    package = tmp_path / "calculators"
    package.mkdir()
    (package / "heat.py").write_text(f"def f():\n    {line}\n", encoding="utf-8")
    with pytest.raises(runtime.RuntimeBuildError) as refused:
        runtime.require_kept(fetching.CACHE, package)
    said = str(refused.value)
    assert f"heat.py imports {asked}: of" in said
    assert f"a stand-in, and no more (in calculators/site/stand_ins/): it offers {offered}. Do" in said
    assert "take the stand-in out and run `python -m tests.site.kept_modules`" in said


def test_names_that_a_stand_in_has_may_be_imported(tmp_path: Path) -> None:
    package = tmp_path / "calculators"
    package.mkdir()
    text = "from html import escape\nimport numpy.linalg\nfrom numpy import fft, linalg\n"
    (package / "heat.py").write_text(text, encoding="utf-8")
    runtime.require_kept(fetching.CACHE, package)
    runtime.require_kept(fetching.CACHE, runtime.PACKAGE)


def test_a_module_that_no_page_has_is_named(tmp_path: Path) -> None:
    package = tmp_path / "calculators"
    package.mkdir()
    (package / "heat.py").write_text("from sqlite3 import connect\n", encoding="utf-8")
    with pytest.raises(runtime.RuntimeBuildError, match=r"heat\.py imports sqlite3, which no archive"):
        runtime.require_kept(fetching.CACHE, package)


def test_the_manifest_lists_every_file_as_it_is(built: Path) -> None:
    contents = folder_contents(built)
    contents.pop(runtime.MANIFEST)
    manifest = runtime.read_manifest(built / runtime.RUNTIME)
    lines = [*manifest["files"].values(), *manifest["parts"].values()]
    assert {line["name"] for line in lines} == set(contents)
    assert [line for line in lines if line["size"] != len(contents[line["name"]])] == []
    for line in manifest["files"].values():
        body = contents[line["name"]]
        assert not body.startswith(b"\x1f\x8b"), "a host that looks into files has a browser unpack gzip"
        assert line["sha256"] == hashlib.sha256(body).hexdigest()
        assert line["sha256"].startswith(line["name"].split(".")[-2])
    later = ("codes", "rest", *manifest["late"])
    sizes = {name: line["size"] for name, line in manifest["files"].items() if name not in later}
    assert manifest["start"]["total"] == sum(size for name, size in sizes.items() if name != "library")
    assert manifest["total"] == sum(size for name, size in sizes.items() if name != "start")


def test_no_place_on_the_building_machine_is_named(built: Path) -> None:
    archive = library(built)
    for member in archive.namelist():
        body = archive.read(member)
        assert str(ROOT).encode() not in body, member
        assert member.removesuffix("c").encode() in body, member


def test_the_library_leaves_out_the_site_build_and_the_command_line(built: Path) -> None:
    members = library(built).namelist()
    assert "calculators/browser.pyc" in members
    assert not [name for name in members if name.startswith(("calculators/site/", "calculators/__main__"))]


def test_a_part_holds_all_that_its_calculator_imports(built: Path) -> None:
    """Outside the build: a Python of its own for each says what is loaded when the calculator is there."""
    asked = ("delay", "tune", "cable", "response", "hear-clipping", "vented-box")
    script = (
        "import os, sys, calculators.browser as door\n"
        "from calculators.stages import find_calculator\n"
        "start = set(sys.modules)\n"
        "for slug in sys.argv[1:]:\n"
        "    if os.fork():\n"
        "        os.wait()\n"
        "    else:\n"
        "        find_calculator(slug)\n"
        "        came = (name for name in sys.modules.keys() - start if name.startswith('calculators'))\n"
        "        print(*came, flush=True)\n"
        "        os._exit(0)\n"
    )
    members = library(built).namelist()
    command = [sys.executable, "-c", script, *asked]
    said = subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT)
    for slug, came in zip(asked, said.stdout.splitlines(), strict=True):
        (packed,) = (built / runtime.RUNTIME / "parts").glob(f"{slug}.*.bin")
        with zipfile.ZipFile(io.BytesIO(zlib.decompress(packed.read_bytes()))) as part:
            there = {module_name(name) for name in [*part.namelist(), *members]}
        assert slug.replace("-", "_") in came, slug
        assert set(came.split()) - there == set(), slug


def test_only_who_needs_any_calculator_has_no_part_of_its_own() -> None:
    parts = parts_of(runtime.PACKAGE)
    assert set(slugs_known()) - parts.keys() == {"job-sheet"}
    assert set().union(*parts.values()) == parts[REST]


def test_what_makes_codes_waits_until_it_is_asked_for(built: Path) -> None:
    assert not [name for name in library(built).namelist() if name.startswith("segno")]
    (packed,) = (built / runtime.RUNTIME).glob("codes.*.bin")
    with zipfile.ZipFile(io.BytesIO(zlib.decompress(packed.read_bytes()))) as codes:
        assert sorted(codes.namelist()) == [
            f"segno/{name}.pyc" for name in ("__init__", "consts", "encoder", "utils", "writers")
        ]
    assert packed.stat().st_size < 50_000


def test_every_calculator_answers_in_the_shipped_runtime(exercised: dict[str, Any]) -> None:
    assert exercised["unanswered"] == []


def test_nothing_is_asked_in_vain_that_pyodide_or_numpy_has(exercised: dict[str, Any]) -> None:
    assert set(exercised["asked_in_vain"]) & stock_modules() == set()


def test_patterns_compiled_by_the_build_are_those_the_browser_would_make(exercised: dict[str, Any]) -> None:
    assert exercised["wrong_patterns"] == []
    assert min(exercised["compiled"]) > 30


def test_the_interpreter_knows_every_letter_and_its_own_modules(exercised: dict[str, Any]) -> None:
    assert exercised["letters"] == letters()
    assert exercised["frozen"] == []


def test_every_kept_module_is_needed(exercised: dict[str, Any]) -> None:
    assert set(runtime.kept_modules()) - set(exercised["loaded"]) == set()


def test_versions_agree_in_every_file_that_names_them(exercised: dict[str, Any]) -> None:
    pinned = fetching.PINNED
    assert exercised["versions"] == [pinned["python"], pinned["numpy"]]
    assert pinned["lock"]["python"] == pinned["python"]
    assert pinned["lock"]["version"] == pinned["pyodide"]
    assert runtime.NUMPY_WHEEL.split("-")[1] == pinned["numpy"]
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert f'"numpy=={pinned["numpy"]}"' in project
    minor = pinned["python"].rpartition(".")[0]
    assert (ROOT / ".python-version").read_text(encoding="utf-8").strip() == minor
    wheel_tag = re.search(r"-cp(\d)(\d+)-", runtime.NUMPY_WHEEL)
    assert wheel_tag is not None
    assert ".".join(wheel_tag.groups()) == minor
