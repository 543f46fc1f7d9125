"""The start that comes with the handbook: Python's memory with every module loaded, made once, at the build.

A first visit wakes it in place of starting Python anew. Node runs the page's own scripts (`make_start.mjs`)
on the runtime just built: once to the start, and twice, for readers of two languages, to what an interpreter
lays out by itself before a start is put over it. Nobody has typed anything into that memory, and clock and
chance stand still: the same runtime gives the same bytes.

The file says first, a byte for each page of 4096 bytes of the memory, of which kind it is; then follow the
contents of those that are stored, in order:

- 0: nothing but zeros;
- 1: as the interpreter has laid it out by itself;
- 2: stored as the exclusive or with what the interpreter has laid out, most of which is zeros;
- 3: stored as it is.

What an interpreter lays out by itself is relied on in its own data and in that of NumPy's modules alone.
"""

import json
import shutil
import struct
import tempfile
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calculators.site.join_scripts import imported
from calculators.site.node_tools import ROOT, run_node

START = "start"
"""Its name among the runtime's files."""
MAKER = Path(__file__).with_name("make_start.mjs")
SCRIPTS = ROOT / "docs" / "assets" / "doorcard"
BOOT = "boot.js"
MANIFEST = "manifest.json"
MAKERS = ("make_start.mjs", "given_start.py", "join_scripts.py", "node_tools.py")
"""Our files that a start depends on, beside the page's scripts and the runtime."""
PAGE = 4096
"""Bytes."""
ZERO, LAID_OUT, DIFFERENCE, PLAIN = range(4)
"""Kinds of pages."""
MEMORY_BASE = 1024
"""Where Pyodide's script has the interpreter's data begin (`___memory_base`)."""
LANGUAGES = ("en-GB", "de")
"""Of two readers: an interpreter keeps the language among its variables of the environment."""
SNAPSHOT_HEAD = 48
"""Bytes before the state in Pyodide's snapshot (`API.makeSnapshot`)."""

type Bytes = NDArray[np.uint8]


def recipe() -> list[bytes]:
    """Return everything that a start depends on, beside the runtime."""
    scripts = (SCRIPTS / name for name in imported(SCRIPTS, BOOT))
    files = (*map(MAKER.with_name, MAKERS), *scripts)
    return [run_node("--version").encode(), *(path.read_bytes() for path in files)]


def make(runtime: Path, manifest: Mapping[str, Any], sizes: Iterable[int]) -> dict[str, bytes]:
    """Return the file of a start, `memory`, and as JSON what the page must know of it, `about`.

    `runtime` is the folder of the files that the manifest lists, `sizes` are the bytes of data of the
    interpreter and of NumPy's compiled modules in the manifest's order. Raises ToolError if it cannot be
    made.
    """
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary) / "worker"
        (folder / "runtime").mkdir(parents=True)
        for line in manifest["files"].values():
            shutil.copy(runtime / line["name"], folder / "runtime")
        for name in imported(SCRIPTS, BOOT):
            shutil.copy(SCRIPTS / name, folder)
        (folder / MANIFEST).write_text(json.dumps(manifest), encoding="utf-8")
        (folder / "package.json").write_text('{"type": "module"}', encoding="utf-8")

        def memory(language: str, *laid: str) -> tuple[bytes, str]:
            output = Path(temporary) / "-".join(("memory", language, *laid[1:]))
            said = run_node(str(MAKER), str(folder), str(output), language, *laid)
            return output.read_bytes(), said

        snapshot, said = memory(LANGUAGES[0])
        state, image = opened(snapshot)
        with ThreadPoolExecutor() as pool:
            bare = list(pool.map(lambda language: memory(language, said, str(len(image)))[0], LANGUAGES))
    layout = json.loads(said)
    places = (MEMORY_BASE, *(place for place, _ in layout["places"]))
    own = [(place, place + size) for place, size in zip(places, sizes, strict=True)]
    about = {"length": len(image), "layout": layout, "state": state}
    return {"memory": written(image, bare, own), "about": json.dumps(about).encode()}


def opened(snapshot: bytes) -> tuple[dict[str, Any], bytes]:
    """Return the state and the memory of a snapshot of Pyodide's."""
    _, start, size = struct.unpack_from("<3I", snapshot)
    return json.loads(snapshot[SNAPSHOT_HEAD : SNAPSHOT_HEAD + size]), snapshot[start:]


def written(image: bytes, bare: Iterable[bytes], own: Iterable[tuple[int, int]]) -> bytes:
    """Return the file of a memory.

    `bare` are memories of interpreters before it is put over theirs, `own` the places of the data that an
    interpreter lays out by itself, each by its first byte and its end.
    """
    pages = in_pages(image)
    first, *others = map(in_pages, bare)
    begins = np.arange(len(pages)) * PAGE
    certain = np.zeros(len(pages), bool)
    for start, end in own:
        certain |= (begins >= start) & (begins + PAGE <= end)
    for other in others:
        certain &= (first == other).all(axis=1)
    kinds = np.full(len(pages), PLAIN, np.uint8)
    kinds[certain] = DIFFERENCE
    kinds[~pages.any(axis=1)] = ZERO
    kinds[certain & (pages == first).all(axis=1)] = LAID_OUT
    stored = np.where((kinds == DIFFERENCE)[:, None], pages ^ first, pages)[kinds >= DIFFERENCE]
    return kinds.tobytes() + stored.tobytes()


def in_pages(memory: bytes) -> Bytes:
    """A memory by its pages."""
    return np.frombuffer(memory, np.uint8).reshape(-1, PAGE)
