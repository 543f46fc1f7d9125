"""Takes out of a WebAssembly module the functions that can no longer be called, once it exports fewer.

Called is what is exported, what stands in a table of functions, and what a function that is called names.
Where a function names another is not parsed: every byte that could be the instruction is taken for one. So a
few stay that need not, and none goes that is needed. What goes keeps its number, and a body of three bytes.
"""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from calculators.site.wasm import (
    CODE,
    ELEMENTS,
    EXPORTS,
    FUNCTION,
    GLOBALS,
    IMPORTS,
    START,
    imports,
    number,
    sections,
    text,
    whole,
    written,
    written_imports,
)

CALL, TAIL_CALL, REFERENCE = 0x10, 0x12, 0xD2
"""The instructions `call`, `return_call` and `ref.func` (version 3.0, 5.4); what is called through a table
stands in the table."""
EMPTY = bytes([3, 0, 0x00, 0x0B])
"""Length, no variables, `unreachable`, `end`: a body that fits every type."""
END, CONSTANT, GLOBAL = 0x0B, 0x41, 0x23
LONGEST = 5
"""Bytes of a number."""
FOR_GAMES = "emscripten_gl"
"""How the names of OpenGL begin: they stand in a table of names, in which no page looks one up."""
NOBODYS = "abort"
"""What is imported in place of what nobody calls."""


def without_dead_code(module: bytes) -> bytes:
    """Return a module whose functions that nobody can call are empty, or imported as `NOBODYS`.

    Raises ValueError for a table of functions written in a form that linkers do not write.
    """
    parts = dict(sections(module))
    lines = imports(parts[IMPORTS])
    outside = [line for line in lines if line.kind == FUNCTION]
    heads, ends = bodies(parts[CODE])
    alive = np.zeros(len(outside) + len(heads), dtype=bool)
    for root in roots(parts):
        if root < len(alive):
            alive[root] = True
    places, callees = named_in(parts[CODE], (CALL, TAIL_CALL, REFERENCE))
    fits = (places >= heads[0]) & (callees < len(alive))
    callers = np.searchsorted(heads, places[fits], "right") - 1 + len(outside)
    callees, known = callees[fits], 0
    while known < (count := int(alive.sum())):
        known = count
        alive[callees[alive[callers]]] = True
    called = iter(alive.tolist())
    lives = [next(called) if line.kind == FUNCTION else True for line in lines]
    kept = [
        line if lives_on and not line.name.startswith(FOR_GAMES) else line.renamed(NOBODYS)
        for line, lives_on in zip(lines, lives, strict=True)
    ]
    code = [parts[CODE][head:end] if next(called) else EMPTY for head, end in zip(heads, ends, strict=True)]
    parts[IMPORTS] = written_imports(kept)
    parts[CODE] = written(len(code)) + b"".join(code)
    changed = (IMPORTS, CODE)
    return whole(
        module, ((kind, parts[kind] if kind in changed else body) for kind, body in sections(module))
    )


def roots(parts: dict[int, bytes]) -> Iterator[int]:
    """Yield the functions that can be called from outside, through a table or by a global."""
    yield from exported(parts[EXPORTS])
    yield from in_tables(parts[ELEMENTS])
    yield from named_in(parts.get(GLOBALS, b"\0"), (REFERENCE,))[1].tolist()
    if START in parts:
        yield number(parts[START], 0)[0]


def exported(body: bytes) -> Iterator[int]:
    """Yield the functions that the section of exports offers (5.5.10)."""
    count, at = number(body, 0)
    for _ in range(count):
        _, at = text(body, at)
        kind = body[at]
        index, at = number(body, at + 1)
        if kind == FUNCTION:
            yield index


def in_tables(body: bytes) -> Iterator[int]:
    """Yield the functions of the section of elements (5.5.12)."""
    count, at = number(body, 0)
    for _ in range(count):
        form, at = number(body, at)
        if form:
            raise ValueError(f"a table of functions in form {form}")
        while body[at] != END:  # Where in the table it begins.
            if body[at] not in (CONSTANT, GLOBAL):
                raise ValueError(f"a place in a table made by instruction {body[at]:#x}")
            _, at = number(body, at + 1)
        functions, at = number(body, at + 1)
        for _ in range(functions):
            index, at = number(body, at)
            yield index


def bodies(code: bytes) -> tuple[Sequence[int], Sequence[int]]:
    """Return where each function of the section of code begins, length first, and where it ends (5.5.13)."""
    count, at = number(code, 0)
    heads, ends = [], []
    for _ in range(count):
        heads.append(at)
        size, at = number(code, at)
        at += size
        ends.append(at)
    return heads, ends


def named_in(code: bytes, by: Sequence[int]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the places of all bytes that may be those instructions, and the numbers after them (5.2.2)."""
    octets = np.frombuffer(code, np.uint8)
    places = np.flatnonzero(np.isin(octets, by))
    values = np.zeros(len(places), np.int64)
    more = np.ones(len(places), dtype=bool)
    for step in range(LONGEST):
        following = octets[np.minimum(places + 1 + step, len(octets) - 1)].astype(np.int64)
        values |= np.where(more, (following & 127) << (7 * step), 0)
        more &= following > 127
    return places[~more], values[~more]
