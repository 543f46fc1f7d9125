"""Our package as a wheel for other people's Pyodide, compiled by pyodide-build.

`write_wheel` puts two files into the site's folder `python/`: the wheel of the calculators, without
the site build, and Pyodide's own list of packages with it added. Plain Pyodide of the same release, or
a notebook that runs on it, installs the wheel from its address by one line (README).

The lock tool refuses a wheel that is compiled already, and `py-compile` renames the wheel and writes
its new name and hash into the list: so the list comes first, then the compiling.

The handbook's own pages do not load this wheel but the zip of `bytecode.py`, for what `py-compile` has
no setting for: it keeps every docstring and assertion of NumPy and the standard library, and it
compresses each member by itself: 2.23 MB for the same modules, against 1.62 MB.
"""

import hashlib
import io
import json
import os
import shutil
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

from calculators.release import shipped_sources
from calculators.site.bytecode import OLDEST_ZIP_DATE
from calculators.site.fetching import CACHE, PINNED, fetch
from calculators.site.runtime import PACKAGE, RuntimeBuildError, remembered

FOLDER = "python"
LIST = "pyodide-lock.json"
DATE = "315532800"  # The first day that a zip can hold, so that the same sources give the same bytes.
BACKEND = "import sys; from setuptools import build_meta; build_meta.build_wheel(sys.argv[1])"
# Not by the one command that has both: it imports all its others, which takes three times as long.
LOCK = "from pyodide_lock.cli import main; main()"
COMPILE = "from pyodide_build.cli.py_compile import main; main()"


def write_wheel(site: Path, cache_dir: Path = CACHE, package: Path = PACKAGE) -> Path:
    """Write the compiled wheel and the list of packages into `site`/python; return the wheel's path.

    The same sources give the same bytes. Raises RuntimeBuildError, with what the tool said, if one of
    the three steps fails.
    """
    sources = [
        *shipped_sources(package),
        package / "__main__.py",
        package / "release.py",
        package.parent / "pyproject.toml",
    ]
    recipe = [sys.version.encode(), json.dumps(PINNED).encode(), Path(__file__).read_bytes()]
    for path in sources:
        recipe += [path.relative_to(package.parent).as_posix().encode(), path.read_bytes()]
    both = remembered(recipe, lambda: made(sources, package.parent, fetch(cache_dir) / LIST))
    folder = site / FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    size, _, rest = both.partition(b"\n")
    (folder / LIST).write_bytes(rest[int(size) :])
    name: str = json.loads(rest[int(size) :])["packages"]["doorcard"]["file_name"]
    (folder / name).write_bytes(rest[: int(size)])
    return folder / name


def made(sources: list[Path], root: Path, stock_list: Path) -> bytes:
    """Return the compiled wheel and the list of packages, the wheel's size on a line before them."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        project, out = folder / "project", folder / "out"
        for path in sources:
            place = project / path.relative_to(root)
            place.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, place)
        out.mkdir()
        fresh = (sys.executable, "-c")
        run([*fresh, BACKEND, str(out)], project)
        (plain,) = out.glob("*.whl")
        run([*fresh, LOCK, "add-wheels", "--input", str(stock_list), "--output", str(out / LIST),
             "--base-path", str(out), str(plain)], folder)  # fmt: skip
        run([*fresh, COMPILE, "--silent", "--compression-level", "0", str(out)], folder)
        (compiled,) = out.glob("*.whl")
        contents = without_dates(compiled)
        listed = json.loads((out / LIST).read_text(encoding="utf-8"))
        listed["packages"]["doorcard"]["sha256"] = hashlib.sha256(contents).hexdigest()
        return b"%d\n" % len(contents) + contents + json.dumps(listed).encode()


def without_dates(wheel: Path) -> bytes:
    """Return a wheel's bytes with every member dated alike: `py-compile` writes the time of the build."""
    written = io.BytesIO()
    with zipfile.ZipFile(wheel) as old, zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(zipfile.ZipInfo(name, OLDEST_ZIP_DATE), old.read(name), zipfile.ZIP_DEFLATED, 9)
    return written.getvalue()


def run(command: list[str], folder: Path) -> None:
    """Run one tool in `folder`, with a fixed date and hash seed."""
    environment = os.environ | {"SOURCE_DATE_EPOCH": DATE, "PYTHONHASHSEED": "0"}
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeBuildError(f"{' '.join(command[1:4])} failed:\n{done.stdout}{done.stderr}")
