"""One line for each step of a build: what it did, and how long it took."""

import time
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def step(what: str) -> Iterator[list[str]]:
    """Print `what`, with anything appended to the list it gives, and the seconds it took.

    Nothing is printed for a step that fails: its error says more.
    """
    said: list[str] = []
    start = time.perf_counter()
    yield said
    print(f"   {', '.join([what, *said])}: {time.perf_counter() - start:.1f} s", flush=True)


def megabytes(size: int) -> str:
    """A number of bytes for a person to read."""
    return f"{size / 1e6:.1f} MB"
