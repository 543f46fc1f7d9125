"""The browser's processes: how much memory they take, and how they fare at a fourth of the speed.

A browser slows its pages for a debugger, but not their workers, where Python runs. So all its processes are
halted for three quarters of each 40 ms. Linux alone: it reads /proc.
"""

import os
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path

RUNNING, HALTED = 0.010, 0.030
"""Seconds of each turn."""
TURNS_TO_LOOK = 10
"""Turns after which new processes are looked for."""


def parents() -> dict[int, int]:
    """Return the parent of each process of this machine."""
    found = {}
    for place in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):  # It has ended meanwhile.
            found[int(place.name)] = int((place / "stat").read_text().rpartition(")")[2].split()[1])
    return found


def browsers() -> list[int]:
    """Return the processes of the browsers that this process has started."""
    above = parents()
    found = []
    for process in above:
        line = [process]
        while line[-1] in above and line[-1] != os.getpid():
            line.append(above[line[-1]])
        with suppress(OSError):
            program = Path(f"/proc/{process}/cmdline").read_bytes().split(b"\0")[0]
            if line[-1] == os.getpid() and b"chrom" in program:
                found.append(process)
    return found


def memory() -> float:
    """Return the megabytes that the browser takes, each shared page counted once."""
    kilobytes = 0
    for process in browsers():
        with suppress(OSError):
            for line in Path(f"/proc/{process}/smaps_rollup").read_text().splitlines():
                kilobytes += int(line.split()[1]) if line.startswith("Pss:") else 0
    return kilobytes / 1000


def tell(processes: list[int], what: signal.Signals) -> None:
    """Send a signal to those of the processes that are still there."""
    for process in processes:
        with suppress(ProcessLookupError):
            os.kill(process, what)


@contextmanager
def at_a_fourth_of_the_speed() -> Iterator[None]:
    """Let the browser run for a fourth of the time."""
    done = threading.Event()

    def take_turns() -> None:
        found: list[int] = []
        for turn in count():
            if turn % TURNS_TO_LOOK == 0:
                found = browsers()
            tell(found, signal.SIGSTOP)
            ended = done.wait(HALTED)
            tell(found, signal.SIGCONT)
            if ended or done.wait(RUNNING):
                return

    thread = threading.Thread(target=take_turns)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
