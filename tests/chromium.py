"""The browser that tests and measurements run in."""

import os
import shutil

NAMES = ("chromium", "chromium-browser", "google-chrome")
CHROMIUM_FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--font-render-hinting=none",
    "--js-flags=--expose-gc",
)
"""They keep the browser from the network and from what a server has no use for; a line is as long without a
window as with one; by the last, a test can have garbage collected."""


def chromium_path() -> str:
    """The browser's path: $CHROMIUM, or one of the usual names. Raises RuntimeError if it is missing."""
    for name in (os.environ.get("CHROMIUM", ""), *NAMES):
        if name and (found := shutil.which(name)):
            return found
    raise RuntimeError("No Chromium here: install it, or set CHROMIUM to its path.")
