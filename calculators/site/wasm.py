"""Reads and writes the parts of a WebAssembly module (WebAssembly Core Specification 2.0, 5.2 and 5.5)."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

IMPORTS, GLOBALS, EXPORTS, START, ELEMENTS, CODE, DATA, DATA_COUNT = 2, 6, 7, 8, 9, 10, 11, 12
"""Kinds of sections (5.5.2)."""
FUNCTION = 0
"""Kind of an import and of an export."""
AT_A_GLOBAL = bytes([0, 0x23])
"""So begins a piece of data whose place is the value of a global (5.4.6, `global.get`)."""


@dataclass(frozen=True)
class Import:
    """One line of the section of imports: from which module, by what name, its kind and its type as bytes."""

    module: str
    name: str
    type: bytes

    @property
    def kind(self) -> int:
        """Function, table, memory, global or tag."""
        return self.type[0]

    def renamed(self, name: str) -> "Import":
        """Return it under another name."""
        return replace(self, name=name)


def sections(module: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield kind and body of each section of a WebAssembly module."""
    at = 8
    while at < len(module):
        kind = module[at]
        size, start = number(module, at + 1)
        at = start + size
        yield kind, module[start:at]


def whole(module: bytes, parts: Iterable[tuple[int, bytes]]) -> bytes:
    """Return a module of those sections, in the version of `module`."""
    return module[:8] + b"".join(bytes([kind]) + written(len(body)) + body for kind, body in parts)


def imports(body: bytes) -> list[Import]:
    """Return the lines of the section of imports (5.5.5)."""
    count, at = number(body, 0)
    lines = []
    for _ in range(count):
        module, at = text(body, at)
        name, at = text(body, at)
        end = after_type(body, at)
        lines.append(Import(module, name, body[at:end]))
        at = end
    return lines


def written_imports(lines: Sequence[Import]) -> bytes:
    """Return the section of imports with those lines."""
    named = (written_text(line.module) + written_text(line.name) + line.type for line in lines)
    return written(len(lines)) + b"".join(named)


def data_size(module: bytes) -> int:
    """Return the bytes of the one piece of data that a module lays out at its place in the memory (5.5.14).

    Raises ValueError for a module whose data are in several pieces, or lie at no place that it is told.
    """
    return len(without_data(module)[1])


def without_data(module: bytes) -> tuple[bytes, bytes]:
    """Return a module that lays out nothing in the memory, and the data that it laid out at its place.

    Raises ValueError as `data_size` does. The count of the pieces goes too, which a module needs only if its
    code names one (5.5.16).
    """
    (body,) = (body for kind, body in sections(module) if kind == DATA)
    count, at = number(body, 0)
    if count != 1 or body[at : at + 2] != AT_A_GLOBAL:
        raise ValueError("The module's data are not in one piece at a place that it is told.")
    _, at = number(body, at + 2)
    size, start = number(body, at + 1)  # Between them the place's expression ends.
    kept = ((kind, part) for kind, part in sections(module) if kind not in (DATA, DATA_COUNT))
    return whole(module, kept), body[start : start + size]


def after_type(body: bytes, at: int) -> int:
    """Return where the type of an import ends: function, table, memory, global or tag."""
    kind, at = body[at], at + 1
    if kind == FUNCTION:
        return number(body, at)[1]
    if kind == 3:
        return at + 2
    if kind == 4:
        return number(body, at + 1)[1]
    at += kind == 1  # A table says first what it holds.
    bounded, at = body[at] & 1, at + 1
    for _ in range(1 + bounded):
        _, at = number(body, at)
    return at


def text(body: bytes, at: int) -> tuple[str, int]:
    """Return the name that stands at a place, and where it ends."""
    size, start = number(body, at)
    return body[start : start + size].decode(), start + size


def written_text(name: str) -> bytes:
    """Return a name with its length before it."""
    return written(len(name.encode())) + name.encode()


def number(body: bytes, at: int) -> tuple[int, int]:
    """Return the LEB128 number that stands at a place, and where it ends (5.2.2)."""
    value = shift = 0
    while True:
        value |= (body[at] & 127) << shift
        if body[at] < 128:
            return value, at + 1
        shift, at = shift + 7, at + 1


def written(value: int) -> bytes:
    """Return a number as LEB128."""
    parts = bytearray()
    while value > 127:
        parts.append(value & 127 | 128)
        value >>= 7
    return bytes([*parts, value])
