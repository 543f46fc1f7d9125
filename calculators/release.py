"""Which calculators answer: their version, with a short hash of what they are made of."""

import hashlib
from functools import cache
from pathlib import Path

VERSION = "0.1.0"
PACKAGE = Path(__file__).resolve().parent
NOT_IN_THE_PAGE = ("site", "__main__.py", "release.py")


def shipped_sources(package: Path = PACKAGE) -> list[Path]:
    """Our modules but for what only the site build and the command line need."""
    return [
        path
        for path in sorted(package.rglob("*.py"))
        if path.relative_to(package).parts[0] not in NOT_IN_THE_PAGE
    ]


@cache
def release(package: Path = PACKAGE) -> str:
    """For example ``0.1.0+1a2b3c4d``; the version alone where the sources are not at hand.

    The same on the command line and in the page that was built from the same sources.
    """
    whole = hashlib.sha256()
    sources = shipped_sources(package)
    for path in sources:
        whole.update(path.relative_to(package).as_posix().encode() + b"\0")
        whole.update(hashlib.sha256(path.read_bytes()).digest())
    return f"{VERSION}+{whole.hexdigest()[:8]}" if sources else VERSION
