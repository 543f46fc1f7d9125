"""Types and style of the page's scripts: `python -m tests.javascript`.

TypeScript reads the types in the scripts' comments, strictly: the page, the worker, the service worker and
what the build runs in Node are projects of their own, for each knows other names.
"""

import subprocess
import sys
from pathlib import Path

from calculators.site.node_tools import ToolError, run_tool

ROOT = Path(__file__).resolve().parents[2]
COMPILER = "typescript/bin/tsc"
PROJECTS = ("page", "worker", "service-worker", "build")
SCRIPTS = (
    "docs/assets/doorcard",
    "docs/service-worker.js",
    "calculators/site/folder_scripts",
    "calculators/site/make_start.mjs",
)


def main() -> int:
    """Check every project and the style of every script; return the exit status."""
    faults = [
        name for name in PROJECTS if run_tool(COMPILER, "-p", str(Path(__file__).with_name(f"{name}.json")))
    ]
    return 1 if style(*SCRIPTS) or faults else 0


def style(*scripts: str) -> int:
    """Print what the style of scripts lacks, with file and line; return the exit status."""
    oxlint = str(Path(sys.executable).parent / "oxlint")
    return subprocess.run([oxlint, "--deny-warnings", *scripts], cwd=ROOT, check=False).returncode


if __name__ == "__main__":
    try:
        raise SystemExit(main())
    except ToolError as error:
        sys.exit(str(error))
