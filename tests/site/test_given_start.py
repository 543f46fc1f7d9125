"""The start that comes with the handbook: what its file says, and that it is the same whoever makes it."""

import json
import re
import subprocess
import tempfile
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calculators.site import given_start, runtime
from calculators.site.given_start import DIFFERENCE, LAID_OUT, PAGE, PLAIN, ZERO
from calculators.site.node_tools import ToolError, run_node
from calculators.site.parts import imports_of
from calculators.site.wasm import data_size, without_data


def page(byte: int) -> bytes:
    return bytes([byte]) * PAGE


def put_over(bare: bytes, contents: bytes) -> bytes:
    """A memory as the page makes it of the file and of what its interpreter has laid out."""
    laid = given_start.in_pages(bare)
    kinds, at, pages = contents[: len(laid)], len(laid), []
    for kind, own in zip(kinds, laid, strict=True):
        stored = np.frombuffer(contents[at : at + PAGE], np.uint8) if kind in {DIFFERENCE, PLAIN} else own
        at += PAGE * (kind in {DIFFERENCE, PLAIN})
        pages.append({ZERO: own * 0, LAID_OUT: own, DIFFERENCE: own ^ stored, PLAIN: stored}[kind])
    assert at == len(contents)
    return b"".join(map(bytes, pages))


def test_each_page_is_of_the_kind_that_fits_it() -> None:
    image = b"".join(map(page, (5, 0, 1, 7, 9, 4, 0, 3)))
    bare = b"".join(map(page, (5, 1, 1, 1, 1, 4, 1, 3)))
    other = b"".join(map(page, (5, 1, 1, 1, 2, 4, 1, 3)))
    # Data of the interpreter from the middle of page 0 to the middle of page 7, but of page 5.
    own = [(PAGE // 2, 5 * PAGE), (6 * PAGE, 7 * PAGE + 1)]
    contents = given_start.written(image, [bare, other], own)
    assert list(contents[:8]) == [PLAIN, ZERO, LAID_OUT, DIFFERENCE, PLAIN, PLAIN, ZERO, PLAIN]
    assert contents[8:] == b"".join(map(page, (5, 7 ^ 1, 9, 4, 3)))
    assert put_over(bare, contents) == put_over(other, contents) == image


def test_a_modules_data_are_taken_out_of_it_where_they_are_in_one_piece() -> None:
    head = b"\0asm\1\0\0\0"
    piece = bytes([0, 0x23, 1, 0x0B, 3]) + b"abc"
    count, custom = bytes([12, 1, 1]), bytes([0, 2, 1]) + b"x"
    module = head + count + bytes([11, 1 + len(piece), 1]) + piece + custom
    assert data_size(module) == 3
    assert without_data(module) == (head + custom, b"abc")
    with pytest.raises(ValueError, match="not in one piece"):
        data_size(head + bytes([11, 1 + 2 * len(piece), 2]) + piece * 2)
    fixed = bytes([0, 0x41, 1, 0x0B, 3]) + b"abc"
    with pytest.raises(ValueError, match="not in one piece"):
        data_size(head + bytes([11, 1 + len(fixed), 1]) + fixed)


def test_who_makes_it_and_when_is_not_in_it(built: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Made anew, in another folder, by a machine elsewhere: the same bytes."""
    folder = built / runtime.RUNTIME
    manifest = runtime.read_manifest(folder)
    modules = (unpacked(folder, manifest, name) for name in manifest["extensions"])
    sizes = [len(unpacked(folder, manifest, "data")), *map(data_size, modules)]
    with tempfile.TemporaryDirectory(prefix="a longer name than usual ") as temporary:
        monkeypatch.setattr(tempfile, "tempdir", temporary)
        monkeypatch.setenv("TZ", "Asia/Tokyo")
        made = given_start.make(folder, told(manifest), sizes)
        assert temporary.encode() not in made["memory"]
    about = manifest["start"]
    assert json.loads(made["about"]) == {name: about[name] for name in ("length", "layout", "state")}
    assert made["memory"] == unpacked(folder, manifest, "start")
    assert str(runtime.HERE.parents[1]).encode() not in made["memory"]


def test_a_start_depends_on_every_file_that_makes_it() -> None:
    """Else a machine that has made one before would give another than a clean one does."""
    sources = [given_start.MAKER.with_name(name) for name in given_start.MAKERS]
    ours = "calculators.site."
    texts = (path.read_text(encoding="utf-8") for path in sources if path.suffix == ".py")
    used = {name.split(".")[2] for text in texts for name in imports_of(text) if name.startswith(ours)}
    assert {f"{module}.py" for module in used} <= set(given_start.MAKERS)
    recipe = given_start.recipe()
    assert [path.name for path in sources if path.read_bytes() not in recipe] == []


def test_nothing_was_asked_before_it_was_made(built: Path) -> None:
    """A question is text, as `JSON.stringify` writes it, and what was typed stays in a memory."""
    folder = built / runtime.RUNTIME
    memory = unpacked(folder, runtime.read_manifest(folder), "start")
    question = re.compile(rb'\{\0*"\0*c\0*a\0*l\0*c\0*u\0*l\0*a\0*t\0*o\0*r\0*"\0*:\0*"')
    assert question.search(b'...{"calculator":"delay"')
    assert not question.search(memory)


def test_its_file_fits_what_the_manifest_says(built: Path) -> None:
    folder = built / runtime.RUNTIME
    manifest = runtime.read_manifest(folder)
    memory, about = unpacked(folder, manifest, "start"), manifest["start"]
    pages = about["length"] // PAGE
    kinds = np.bincount(np.frombuffer(memory[:pages], np.uint8))
    assert about["length"] % PAGE == 0
    assert len(kinds) == 4
    assert len(memory) == pages + PAGE * (kinds[DIFFERENCE] + kinds[PLAIN])
    # Most of the interpreter's own data stay as they are: else what lay there was not recognised.
    assert kinds[LAID_OUT] > 500
    assert (
        len(about["layout"]["places"]) == len(manifest["extensions"]) == len(about["layout"]["lengths"]) - 1
    )


def test_the_release_is_another_with_another_start() -> None:
    def release(start: str) -> Any:
        files: dict[str, dict[str, object]] = {
            "loader": {"sha256": "a", "size": 1},
            "start": {"sha256": start, "size": 2},
        }
        return runtime.manifest_of(files, {}, [], "")["release"]

    assert release("b") == release("b") != release("c")


def test_a_start_that_cannot_be_made_stops_the_build_and_says_why(tmp_path: Path) -> None:
    with pytest.raises(ToolError, match=r"did not start in Node(.|\n)*no such file"):
        run_node(str(given_start.MAKER), str(tmp_path), str(tmp_path / "memory"), "de")
    manifest: dict[str, Any] = {"files": {}, "extensions": [], "late": [], "lock": {}, "total": 0}
    with pytest.raises(runtime.RuntimeBuildError, match="Node"):
        runtime.start_of(tmp_path, manifest, [])


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (
            FileNotFoundError(2, "No such file or directory", "node"),
            "Node cannot be run.*Delete the folder .venv",
        ),
        (subprocess.TimeoutExpired("node", 120), "took longer than 120 s"),
    ],
)
def test_where_node_is_missing_or_does_not_end_the_build_says_what_to_do(
    monkeypatch: pytest.MonkeyPatch, fault: Exception, said: str
) -> None:
    def run(*_: object, **__: object) -> None:
        raise fault

    monkeypatch.setattr(subprocess, "run", run)
    with pytest.raises(ToolError, match=said):
        run_node("--version")


def told(manifest: dict[str, Any]) -> dict[str, Any]:
    names = (*runtime.LATER, "start")
    files = {name: line for name, line in manifest["files"].items() if name not in names}
    return {**{name: manifest[name] for name in ("extensions", "late", "lock", "total")}, "files": files}


def unpacked(folder: Path, manifest: dict[str, Any], name: str) -> bytes:
    return zlib.decompress((folder / manifest["files"][name]["name"]).read_bytes())
