"""Find the data in Pyodide's interpreter that no page can reach, by comparing it with what it was made of.

    python -m tests.site.unused_data

rewrites `calculators/site/unused_data.txt`. Such data are

- the tables of Chinese, Japanese and Korean encodings, Python's own (its modules beside this Python hold the
  same) and the C library's (made here out of Python's): the page has UTF-8 alone;
- the names and decompositions of characters, which `unicodedata` tells and nothing of ours imports.
"""

import importlib
from array import array
from collections.abc import Iterable, Iterator
from pathlib import Path

from calculators.site import fetching, runtime
from calculators.site.wasm import sections

DATA = 11
"""Kind of the section of data (WebAssembly Core Specification 2.0, 5.5.14)."""
MODULES = ("_codecs_cn", "_codecs_hk", "_codecs_jp", "_codecs_kr", "_codecs_tw", "unicodedata")
TO_7E, TO_FE = [*range(0x40, 0x7F)], [*range(0xA1, 0xFF)]
TABLES = {
    "gb18030": (range(0x81, 0xFF), [*TO_7E, *range(0x80, 0xFF)]),
    "euc_jp": (TO_FE, TO_FE),
    "euc_kr": (TO_FE, TO_FE),
    "big5": (range(0xA1, 0xFA), [*TO_7E, *TO_FE]),
    "big5hkscs": (range(0x87, 0xFF), [*TO_7E, *TO_FE]),
}
"""First and second bytes of two-byte encodings: one row a first byte, as C libraries lay them out."""
WINDOW = 64
"""Bytes that must agree before two places are compared further."""
DIFFERENT = 12
"""Different bytes in such a window: a run of one byte says nothing about what it is."""
LEAST = 256
"""Bytes that are worth a line."""


def character(octets: bytes, encoding: str) -> int:
    """The character of two bytes, 0 for none."""
    try:
        (found,) = octets.decode(encoding)
    except (UnicodeDecodeError, ValueError):
        return 0
    return ord(found) if ord(found) < 0x10000 else 0


def references() -> Iterator[tuple[str, bytes]]:
    """What holds the same bytes as the interpreter, with its name."""
    for name in MODULES:
        place = importlib.import_module(name).__file__
        assert place is not None
        yield name, Path(place).read_bytes()
    for encoding, (firsts, seconds) in TABLES.items():
        row = (character(bytes((first, second)), encoding) for first in firsts for second in seconds)
        yield f"iconv {encoding}", array("H", row).tobytes()


def shared(data: bytes, reference: bytes) -> Iterator[tuple[int, int]]:
    """Where `data` holds a stretch of the `reference`."""
    windows: dict[bytes, int] = {}
    for at in range(0, len(reference) - WINDOW, WINDOW):
        window = reference[at : at + WINDOW]
        if len(set(window)) >= DIFFERENT:
            windows.setdefault(window, at)
    at = 0
    while at <= len(data) - WINDOW:
        there = windows.get(data[at : at + WINDOW])
        if there is None:
            at += 1
            continue
        start, first = at, there
        while start and first and data[start - 1] == reference[first - 1]:
            start, first = start - 1, first - 1
        end, last = at + WINDOW, there + WINDOW
        while end < len(data) and last < len(reference) and data[end] == reference[last]:
            end, last = end + 1, last + 1
        if end - start >= LEAST:
            yield start, end
        at = end


def united(places: Iterable[tuple[int, int, str]]) -> list[tuple[int, int, str]]:
    """The places in their order, those that overlap as one."""
    found: list[tuple[int, int, str]] = []
    for start, end, what in sorted(places):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]), found[-1][2])
        else:
            found.append((start, end, what))
    return found


def unused() -> list[tuple[int, int, str]]:
    """Every place of the pinned interpreter, by its first byte and its end, with what stands there."""
    interpreter = (fetching.fetch() / "pyodide.asm.wasm").read_bytes()
    (data,) = (body for kind, body in sections(interpreter) if kind == DATA)
    offset = interpreter.index(data)
    places = [(*place, name) for name, reference in references() for place in shared(data, reference)]
    return [(start + offset, end + offset, what) for start, end, what in united(places)]


if __name__ == "__main__":
    listed = unused()
    lines = [
        fetching.PINNED["files"]["pyodide.asm.wasm"],
        *(f"{start} {end} {what}" for start, end, what in listed),
    ]
    (runtime.HERE / "unused_data.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(f"{len(listed)} places, {sum(end - start for start, end, _ in listed)} bytes, are not needed.")
