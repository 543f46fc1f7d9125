"""A release is one set of files: its folder is named by what is in it."""

import hashlib
from pathlib import Path

OWN_ASSETS = "assets/doorcard/"
REFERRING = ("*.html", "*.webmanifest")


def contents_hash(folder: Path) -> str:
    """Return a hash of the names and contents of all files in `folder`, 12 hexadecimal digits."""
    whole = hashlib.sha256()
    for path in sorted(folder.rglob("*"), key=lambda path: path.as_posix()):
        if path.is_file():
            whole.update(path.relative_to(folder).as_posix().encode() + b"\0")
            whole.update(hashlib.sha256(path.read_bytes()).digest())
    return whole.hexdigest()[:12]


def name_by_contents(site: Path) -> str:
    """Rename our assets' folder after its contents; return its new path in the site.

    Every reference in pages and in the web manifest follows, so a page can only ever load the
    scripts and the Python that it was built with.
    """
    folder = site / OWN_ASSETS
    renamed = f"assets/doorcard-{contents_hash(folder)}/"
    folder.rename(site / renamed)
    for pattern in REFERRING:
        for path in site.rglob(pattern):
            text = path.read_text(encoding="utf-8")
            path.write_text(text.replace(OWN_ASSETS, renamed), encoding="utf-8", newline="\n")
    return renamed
