"""What a device keeps so that the handbook works without a network."""

import base64
import gzip
import hashlib
import json
from pathlib import Path
from typing import Any

from calculators.site.given_start import START
from calculators.site.parts import PARTS

LIST = "offline.json"
SERVICE_WORKER = "service-worker.js"
# The browser fetches the first two by its own rules; the third is for the host alone, and the folders
# for other people's programs.
PACKED_ALREADY = (".bin", ".png", ".woff2")
"""What would not become smaller; all else lies packed on the device."""
NOT_KEPT = (SERVICE_WORKER, LIST, "_headers", "python/", "reference/")
FROM_A_NETWORK = (f"/runtime/{PARTS}/", f"/runtime/{START}.")
"""What saves waiting for a network: a device that keeps the handbook has the rest, and a start of its own."""


def integrity(contents: bytes) -> str:
    """Return the SHA-256 of `contents` as a browser wants it (W3C Subresource Integrity)."""
    return f"sha256-{base64.b64encode(hashlib.sha256(contents).digest()).decode()}"


def address(name: str) -> str:
    """Return the address of a file relative to the home page; a page's is that of its folder."""
    return "./" if name == "index.html" else name.removesuffix("index.html")


def is_kept(name: str) -> bool:
    """Whether a device keeps the file of that path in the site."""
    return not name.startswith(NOT_KEPT) and not any(part in name for part in FROM_A_NETWORK)


def write_offline_list(site: Path) -> bytes:
    """Write `offline.json` and return its contents.

    It holds `build`, which changes with any file and with the service worker; `size`, the bytes
    of all files together; `kept`, the bytes that they take on a device; and `files`: by its address
    relative to the home page each file's size in bytes, its integrity and, if the device packs it, about
    the bytes that are left.
    """
    files: dict[str, dict[str, Any]] = {}
    for path in sorted(site.rglob("*"), key=lambda path: path.as_posix()):
        name = path.relative_to(site).as_posix()
        if path.is_file() and is_kept(name):
            contents = path.read_bytes()
            line: dict[str, Any] = {"size": len(contents), "integrity": integrity(contents)}
            if path.suffix not in PACKED_ALREADY:
                line["packed"] = len(gzip.compress(contents, compresslevel=6))
            files[address(name)] = line
    whole = json.dumps(files).encode() + (site / SERVICE_WORKER).read_bytes()
    build = hashlib.sha256(whole).hexdigest()[:16]
    text = json.dumps({"build": build, **sizes(files), "files": files}, indent=1) + "\n"
    (site / LIST).write_text(text, encoding="utf-8", newline="\n")
    return text.encode()


def sizes(files: dict[str, dict[str, Any]]) -> dict[str, int]:
    """Return the bytes of all files together, and those that they take on a device."""
    return {
        "size": sum(line["size"] for line in files.values()),
        "kept": sum(line.get("packed", line["size"]) for line in files.values()),
    }


def write_service_worker(site: Path, listed: bytes, policy: str) -> None:
    """Tell the service worker its release: the build, the list's integrity, the policy.

    A browser compares the service worker byte by byte to see whether there is a newer release.
    """
    path = site / SERVICE_WORKER
    release = {
        "build": json.loads(listed)["build"],
        "list": integrity(listed),
        "policy": policy,
    }
    script = path.read_text(encoding="utf-8")
    text = f"const RELEASE = {json.dumps(release, indent=1)};\n\n{script}"
    path.write_text(text, encoding="utf-8", newline="\n")
