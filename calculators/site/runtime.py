"""The Python that runs in the page: fetch Pyodide once, build the files the browser loads.

    python -m calculators.site.runtime fetch
    python -m calculators.site.runtime build site

`fetch` keeps Pyodide's own files and NumPy's wheel (`fetching.py`). `build_runtime` writes what the worker
downloads: zips of byte-compiled Python (the modules of the standard library and of
NumPy named in `kept_modules.txt`, and our own package, divided as `parts.py` says), the compiled modules,
the start, which a first visit wakes in place of starting Python from the zips (`given_start.py`), and
a manifest. What draws QR codes is a zip of its own, which is fetched when the first code is asked for.
"""

import argparse
import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import symtable
import sys
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from calculators.release import release, shipped_sources
from calculators.site import given_start
from calculators.site.fetching import CACHE, PINNED, FetchError, fetch
from calculators.site.given_start import START
from calculators.site.node_tools import ToolError
from calculators.site.parts import (
    PARTS,
    REST,
    divided,
    imports_of,
    is_long,
    module_name,
    parts_of,
    read_zip,
    written_zip,
)
from calculators.site.slimming import slim_interpreter, slim_script, unused_data, without_needless_work
from calculators.site.steps import megabytes, step
from calculators.site.wasm import data_size, without_data

HERE = Path(__file__).resolve().parent
PACKAGE = HERE.parent
STAND_INS = HERE / "stand_ins"
MADE = PACKAGE.parent / ".cache" / "made"
RUNTIME = Path("assets") / "doorcard" / "runtime"
MANIFEST = "manifest.js"
MANIFEST_BEGINS = "export const manifest = "
LIBRARY = "python_stdlib.zip"
NUMPY_WHEEL = next(name for name in PINNED["files"] if name.startswith("numpy-"))
EXTENSION_SUFFIX = ".cpython-312-wasm32-emscripten.so"
# NumPy's C code copies the docstrings of these two when it is imported.
DOCUMENTED = (
    "calculators/",
    "numpy/_core/multiarray.py",
    "numpy/_core/overrides.py",
)

COMPILING = ("runtime.py", "parts.py", "bytecode.py", "compile_texts.py", "browser_start.py")
"""Our files that the zips of byte code depend on, beside the package itself."""
SLIMMING = ("slimming.py", "dead_code.py", "pointers.py", "wasm.py", "unused_data.txt")
CODES = "codes"
"""The file that draws QR codes: the encoder of the library segno."""
LATER = (CODES, REST)
"""Files that no start waits for."""
CODE_MODULES = ("__init__", "consts", "encoder", "utils")
NO_WRITERS = '"""Left out, with the third of the standard library that it imports: the page draws codes."""\n'

ONLY_SOURCES = shutil.ignore_patterns("__pycache__")


def remembered(recipe: Iterable[bytes], make: Callable[[], bytes]) -> bytes:
    """Return what `make` gives, from the last time the same `recipe` was asked for if there was one.

    The recipe is everything that the bytes depend on. What is not asked for again is left to whoever
    empties the folder `.cache`.
    """
    whole = hashlib.sha256()
    for part in recipe:
        whole.update(hashlib.sha256(part).digest())
    kept = MADE / whole.hexdigest()[:32]
    if kept.is_file():
        return kept.read_bytes()
    contents = make()
    MADE.mkdir(parents=True, exist_ok=True)
    unfinished = kept.with_suffix(f".{os.getpid()}")
    unfinished.write_bytes(contents)
    unfinished.replace(kept)
    return contents


class RuntimeBuildError(Exception):
    """The page's Python could not be built; the message says why."""


def kept_modules() -> list[str]:
    """Return the modules of the standard library, Pyodide and NumPy that the page needs."""
    return (HERE / "kept_modules.txt").read_text(encoding="utf-8").split()


@cache
def python_members(archive: Path) -> tuple[str, ...]:
    """Return the paths of the Python sources inside an archive."""
    with zipfile.ZipFile(archive) as opened:
        return tuple(member for member in opened.namelist() if member.endswith(".py"))


BUILT_IN = {"array", "binascii", "cmath", "errno", "gc", "itertools", "math", "sys", "time", "zlib"}
"""Modules of the interpreter itself, which are in no archive."""
WITH_OURS = {PACKAGE.name, "segno"}
"""Packages that go into the page beside the standard library and NumPy."""


def stood_in() -> dict[str, set[str]]:
    """Return the modules that are hollow in the page, each with the names that its stand-in has."""
    found = {}
    for path in STAND_INS.rglob("*.py"):
        table = symtable.symtable(path.read_text(encoding="utf-8"), path.name, "exec")
        names = (symbol for symbol in table.get_symbols() if symbol.is_assigned() or symbol.is_imported())
        found[module_name(path.relative_to(STAND_INS).as_posix())] = {symbol.get_name() for symbol in names}
    return found


def asked_of_stand_ins(source: str, hollow: Mapping[str, Collection[str]]) -> Iterator[str]:
    """Yield what a text imports of `hollow` modules that they may not have: a module whole, or a name."""
    for name, following in pairwise((*imports_of(source), "")):
        module, _, word = name.rpartition(".")
        whole = name in hollow and not following.startswith(f"{name}.")
        if whole or (name not in hollow and word not in hollow.get(module, (word,))):
            yield name


def require_kept(cache_dir: Path, package: Path) -> None:
    """Raise RuntimeBuildError for what our package imports and the page's Python has not, or not whole."""
    archives = (cache_dir / LIBRARY, cache_dir / NUMPY_WHEEL)
    stock = {module_name(member) for archive in archives for member in python_members(archive)}
    left_out = stock - set(kept_modules())
    there = {name.partition(".")[0] for name in stock} | BUILT_IN | WITH_OURS
    hollow = stood_in()
    for path in shipped_sources(package):
        source = path.read_text(encoding="utf-8")
        for name in imports_of(source):
            place = f"{path.relative_to(package.parent)} imports {name}"
            if name in left_out:
                raise RuntimeBuildError(
                    f"{place}, which the page's Python leaves out. "
                    "Do without it, or run `python -m tests.site.kept_modules`, which lists anew what is "
                    "needed (calculators/site/kept_modules.txt); every module makes the page's start longer."
                )
            if name.partition(".")[0] not in there:
                raise RuntimeBuildError(
                    f"{place}, which no archive of the page's Python holds. Do without it, or add it to "
                    "BUILT_IN (calculators/site/runtime.py) if its own "
                    "`sys.builtin_module_names` has it."
                )
        for name in asked_of_stand_ins(source, hollow):
            module = name if name in hollow else name.rpartition(".")[0]
            offered = ", ".join(word for word in sorted(hollow[module]) if word[0] != "_") or "nothing"
            raise RuntimeBuildError(
                f"{path.relative_to(package.parent)} imports {name}: of {module} the page has a stand-in, "
                f"and no more (in calculators/site/stand_ins/): it offers {offered}. Do without, import what "
                f"it offers by `from {module} import …`, or take the stand-in out and run "
                "`python -m tests.site.kept_modules`; the whole module makes the page's start longer."
            )


def copy_modules(archive: Path, target: Path, wanted: Iterable[str] | None) -> None:
    """Copy the Python sources of the wanted modules (all of them for None) out of an archive."""
    names = None if wanted is None else set(wanted)
    with zipfile.ZipFile(archive) as opened:
        for member in opened.namelist():
            name = module_name(member)
            if not member.endswith(".py") or (names is not None and name not in names):
                continue
            path = target / member
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(opened.read(member))


def copy_calculators(package: Path, target: Path) -> None:
    """Copy our package without what only the site build and the command line need."""
    for path in shipped_sources(package):
        place = target / package.name / path.relative_to(package)
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(path.read_bytes())


def run_fresh(script: str, *arguments: Path) -> None:
    """Run a script of this folder in a Python of its own, with a fixed hash seed and no `site`."""
    flags = ["-S", "-P", "-B", "-X", "no_debug_ranges", "-W", "ignore"]
    command = [sys.executable, *flags, str(HERE / script), *map(str, arguments)]
    environment = {**os.environ, "PYTHONHASHSEED": "0", "PYTHONPATH": ""}
    try:
        subprocess.run(command, check=True, env=environment, capture_output=True, text=True)
    except subprocess.CalledProcessError as error:
        raise RuntimeBuildError(f"{script} failed:\n{error.stderr}") from error


def compile_texts(folder: Path, ours: Path, parts: Mapping[str, set[str]]) -> dict[str, bytes]:
    """Write the module `compiled_texts` into `folder`; return the texts of each part.

    `ours` is the folder that holds our package.
    """
    names = sorted(module_name(path.relative_to(ours).as_posix()) for path in ours.rglob("*.py"))
    foreign = [name for name in kept_modules() if not name.startswith(("pyodide", "_pyodide"))]
    listed = {"all": foreign + names, "parts": {part: sorted(modules) for part, modules in parts.items()}}
    listing, output = ours / "modules.json", ours / "texts"
    output.mkdir()
    listing.write_text(json.dumps(listed), encoding="utf-8")
    numpy = importlib.util.find_spec("numpy")
    if numpy is None or numpy.origin is None:
        raise RuntimeBuildError("NumPy is not installed here; the build needs it as the page does.")
    run_fresh("compile_texts.py", listing, output, ours, Path(numpy.origin).parents[1])
    shutil.move(output / "compiled_texts.py", folder)
    return {part: (output / part).read_bytes() for part in parts}


def compiled(sources: Path, documented: Iterable[str]) -> dict[str, bytes]:
    """Return the byte code of the modules below a folder; `documented` starts those that keep docstrings."""
    with tempfile.TemporaryDirectory() as temporary:
        output, listing = Path(temporary) / "python.zip", Path(temporary) / "documented.txt"
        listing.write_text("\n".join(documented), encoding="utf-8")
        run_fresh("bytecode.py", sources, output, listing)
        return read_zip(output.read_bytes())


def foreign_code(cache: Path, modules: Iterable[str] | None) -> bytes:
    """Return the byte code of the standard library, NumPy's Python part and what stands in for theirs."""
    with tempfile.TemporaryDirectory() as temporary:
        sources = Path(temporary)
        copy_modules(cache / LIBRARY, sources, modules)
        copy_modules(cache / NUMPY_WHEEL, sources, modules)
        shutil.copytree(STAND_INS, sources, dirs_exist_ok=True, ignore=ONLY_SOURCES)
        shutil.copyfile(HERE / "browser_start.py", sources / "browser_start.py")
        return written_zip(compiled(sources, DOCUMENTED))


def compiled_zips(foreign: Mapping[str, bytes], package: Path) -> bytes:
    """Return the zips of byte code, in a zip: of the start under no name, of each part under its own.

    The start is `foreign`, and of our package what every answer needs.
    """
    with tempfile.TemporaryDirectory() as temporary:
        ours, sources = Path(temporary) / "ours", Path(temporary) / "sources"
        copy_calculators(package, ours)
        shutil.copytree(ours, sources)
        parts = parts_of(package)
        texts = compile_texts(sources, ours, parts)
        members = {**foreign, **compiled(sources, DOCUMENTED)}
        return written_zip(divided(dict(sorted(members.items())), parts, texts))


def codes_zip() -> bytes:
    """Return the zip of byte code that makes QR codes."""
    with tempfile.TemporaryDirectory() as temporary:
        sources = Path(temporary) / "segno"
        sources.mkdir()
        for source in code_sources():
            shutil.copyfile(source, sources / source.name)
        (sources / "writers.py").write_text(NO_WRITERS, encoding="utf-8")
        return written_zip(compiled(Path(temporary), ()))


def code_sources() -> list[Path]:
    """Return the library's modules that the page needs."""
    segno = importlib.util.find_spec("segno")
    if segno is None or segno.origin is None:
        raise RuntimeBuildError("segno is not installed here; the build takes the page's QR codes from it.")
    return [Path(segno.origin).with_name(f"{name}.py") for name in CODE_MODULES]


def extension_modules(cache: Path, modules: Iterable[str] | None) -> dict[str, bytes]:
    """Return the wanted compiled modules of NumPy, by their full names."""
    names = None if modules is None else set(modules)
    found = {}
    with zipfile.ZipFile(cache / NUMPY_WHEEL) as archive:
        for member in archive.namelist():
            name = member.removesuffix(EXTENSION_SUFFIX).replace("/", ".")
            if member.endswith(EXTENSION_SUFFIX) and (names is None or name in names):
                found[name] = archive.read(member)
    return found


def is_late(extension: str) -> bool:
    """Whether a compiled module comes once something of it is used: a module stands in for it till then."""
    return (STAND_INS / f"{extension.replace('.', '/')}.py").is_file()


def write_named_by_contents(
    folder: Path, stem: str, suffix: str, contents: bytes, unpacked: int
) -> dict[str, object]:
    """Write a file whose name tells its contents and return its line of the manifest."""
    sha256 = hashlib.sha256(contents).hexdigest()
    name = f"{stem}.{sha256[:12]}{suffix}"
    (folder / name).write_bytes(contents)
    return {"name": name, "size": len(contents), "unpacked": unpacked, "sha256": sha256}


def packed(contents: bytes) -> bytes:
    """Return `contents` compressed; level 9 takes thrice as long for a hundredth less.

    Not as gzip: a host that looks into files takes that for compression on the way, and has it undone.
    """
    return remembered((b"zlib 7", contents), lambda: zlib.compress(contents, level=7))


def library(cache_dir: Path, package: Path, modules: Iterable[str] | None) -> dict[str, bytes]:
    """Return the zips of byte code, made again only if what goes into them has changed."""
    kept = None if modules is None else list(modules)
    how = [sys.version.encode(), json.dumps([kept, PINNED]).encode()]
    for path in (*map(HERE.joinpath, COMPILING), *sorted(STAND_INS.rglob("*.py"))):
        how += [path.relative_to(HERE).as_posix().encode(), path.read_bytes()]
    ours = list(how)
    for path in shipped_sources(package):
        ours += [path.relative_to(package).as_posix().encode(), path.read_bytes()]

    def make() -> bytes:
        if kept == kept_modules():
            require_kept(cache_dir, package)
        foreign = remembered([b"foreign", *how], lambda: foreign_code(cache_dir, kept))
        return compiled_zips(read_zip(foreign), package)

    return read_zip(remembered(ours, make))


def codes() -> bytes:
    """Return the zip that makes QR codes, made again only if the library has changed."""
    recipe = [sys.version.encode(), *(path.read_bytes() for path in (HERE / "bytecode.py", *code_sources()))]
    return remembered([b"codes", NO_WRITERS.encode(), *recipe], codes_zip)


def slimmed(cache_dir: Path, loader: bytes, extensions: Iterable[bytes]) -> dict[str, bytes]:
    """Return Pyodide's script and interpreter without what nobody calls, and apart the interpreter's data.

    They are made again only if what they are made of changes.
    """
    whole, interpreter = ((cache_dir / f"pyodide.asm.{kind}").read_bytes() for kind in ("js", "wasm"))
    modules, callers = list(extensions), [loader.decode()]
    how = ((HERE / name).read_bytes() for name in SLIMMING)

    def make() -> bytes:
        glue = slim_script(without_needless_work(whole.decode()), callers, [interpreter, *modules])
        slim = slim_interpreter(interpreter, glue, modules, unused_data(interpreter))
        script = slim_script(glue, callers, [slim, *modules])
        python, data = without_data(slim)
        return written_zip({"script": script.encode(), "python": python, "data": data})

    return read_zip(remembered([sys.version.encode(), loader, whole, interpreter, *modules, *how], make))


def build_runtime(
    site_dir: Path,
    cache_dir: Path = CACHE,
    package: Path = PACKAGE,
    modules: Iterable[str] | None = (),
) -> dict[str, object]:
    """Write the browser's runtime into `site_dir`/assets/doorcard/runtime; return the manifest.

    `cache_dir` holds Pyodide's files (fetched if they are not there), `package` is the folder
    of our own package, `modules` the modules to keep (`()`: those of `kept_modules.txt`;
    None: all, which is how that list is found). The same inputs give the same bytes.
    Raises FetchError if Pyodide's files cannot be had, RuntimeBuildError if Python is not the browser's.
    """
    if ".".join(map(str, sys.version_info[:2])) != PINNED["python"].rpartition(".")[0]:
        raise RuntimeBuildError(
            f"The page runs Python {PINNED['python']}; build it with the same minor version, "
            f"not with {sys.version.split()[0]}."
        )
    cache = fetch(cache_dir)
    kept = kept_modules() if modules == () else modules
    folder = site_dir / RUNTIME
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)

    def script(stem: str, contents: bytes) -> dict[str, object]:
        return write_named_by_contents(folder, stem, ".js", contents, len(contents))

    def data(stem: str, contents: bytes) -> dict[str, object]:
        return write_named_by_contents(folder, stem, ".bin", packed(contents), len(contents))

    extensions = extension_modules(cache, kept)
    zips = library(cache, package, kept)
    loader = (cache / "pyodide.mjs").read_bytes()
    slim = slimmed(cache, loader, extensions.values())
    files = {
        "loader": script("pyodide", loader),
        "glue": script("pyodide.asm", slim["script"]),
        "interpreter": data("python", slim["python"]),
        "data": data("python-data", slim["data"]),
        "library": data("library", zips.pop("")),
        REST: data(REST, zips.pop(REST)),
        CODES: data(CODES, codes()),
    }
    files |= {name: data(name.rpartition(".")[2], body) for name, body in extensions.items()}
    (folder / PARTS).mkdir()
    parts = {slug: data(f"{PARTS}/{slug}", body) for slug, body in zips.items()}
    manifest = manifest_of(files, parts, sorted(extensions), release(package))
    if package == PACKAGE and kept == kept_modules():
        sizes = [len(slim["data"]), *(data_size(extensions[name]) for name in manifest["extensions"])]
        start, about = start_of(folder, manifest, sizes)
        files[START] = data(START, start)
        manifest = manifest_of(files, parts, sorted(extensions), release(package))
        without = (*LATER, "library", *manifest["late"])
        manifest["start"] = {**about, "total": bytes_of(files, without)}
    text = f"{MANIFEST_BEGINS}{json.dumps(manifest)};\n"
    (folder / MANIFEST).write_text(text, encoding="utf-8")
    return manifest


def start_of(folder: Path, manifest: dict[str, Any], sizes: list[int]) -> tuple[bytes, dict[str, Any]]:
    """Return the start of the runtime in `folder`, and what the page must know of it.

    `sizes` are the bytes of data of the interpreter and of NumPy's compiled modules. It is made again only if
    something changes that it depends on.
    Raises RuntimeBuildError if it cannot be made.
    """
    told = {name: manifest[name] for name in ("extensions", "late", "lock", "total")}
    told["files"] = {name: line for name, line in manifest["files"].items() if name not in LATER}
    try:
        recipe = [b"start", json.dumps(told).encode(), *given_start.recipe()]
        made = read_zip(remembered(recipe, lambda: written_zip(given_start.make(folder, told, sizes))))
    except ToolError as error:
        raise RuntimeBuildError(str(error)) from error
    return made["memory"], json.loads(made["about"])


def bytes_of(files: Mapping[str, Mapping[str, object]], without: Iterable[str]) -> int:
    """Return the bytes of the files together on the server."""
    sizes = {name: size for name, line in files.items() if isinstance(size := line["size"], int)}
    return sum(size for name, size in sizes.items() if name not in without)


def manifest_of(
    files: dict[str, dict[str, object]],
    parts: dict[str, dict[str, object]],
    extensions: list[str],
    calculators: str,
) -> dict[str, Any]:
    """Return the manifest: the files by what they are for, their sizes and the releases."""
    late = [name for name in extensions if is_late(name)]
    names = "".join(str(line["sha256"]) for line in files.values())
    return {
        "release": hashlib.sha256(names.encode()).hexdigest()[:16],
        "calculators": calculators,
        "pyodide": PINNED["pyodide"],
        "python": PINNED["python"],
        "numpy": PINNED["numpy"],
        "total": bytes_of(files, without=(*LATER, START, *late)),
        "files": files,
        "parts": {
            part: {"name": line["name"], "size": line["size"], "long": is_long(part)}
            for part, line in parts.items()
        },
        "extensions": [name for name in extensions if name not in late],
        "late": late,
        "lock": {"info": PINNED["lock"], "packages": {}},
    }


def read_manifest(folder: Path) -> dict[str, Any]:
    """Return the manifest of a runtime's folder."""
    text = (folder / MANIFEST).read_text(encoding="utf-8")
    manifest: dict[str, Any] = json.loads(text.removeprefix(MANIFEST_BEGINS).rstrip().removesuffix(";"))
    return manifest


def main(arguments: list[str] | None = None) -> int:
    """Fetch Pyodide's files, or build the runtime; return the exit status."""
    parser = argparse.ArgumentParser(prog="python -m calculators.site.runtime")
    parser.add_argument("action", choices=("fetch", "build"))
    parser.add_argument("site_dir", nargs="?", type=Path, default=Path("site"))
    chosen = parser.parse_args(arguments)
    try:
        if chosen.action == "fetch":
            with step("Python for the page (Pyodide), each file checked by its SHA-256"):
                fetch()
        else:
            with step("Python for the page") as said:
                size = build_runtime(chosen.site_dir)["total"]
                said.append(megabytes(size) if isinstance(size, int) else "")
    except (FetchError, RuntimeBuildError) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
