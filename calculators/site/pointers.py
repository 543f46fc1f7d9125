"""Lays an interpreter's pointers out at the build, where they are known: no start has to put them in.

Pyodide is linked to lie anywhere, so its data hold no pointers: a function of nearly a megabyte stores each
once the interpreter has its place. Its script puts it at the same places always. So what points to its own
data and functions stands in the data here, and the function stores what is imported alone.
"""

import re
from collections.abc import Iterator

from calculators.site.dead_code import bodies
from calculators.site.wasm import (
    AT_A_GLOBAL,
    CODE,
    DATA,
    EXPORTS,
    FUNCTION,
    IMPORTS,
    START,
    imports,
    number,
    sections,
    text,
    whole,
    written,
)

APPLIES = "__wasm_apply_data_relocs"
"""How a linker calls the function (WebAssembly's conventions for dynamic linking)."""
BASES = ("__memory_base", "__table_base")
"""The imported globals of the places that are known."""
GLOBAL_KIND = 3
"""Kind of an import (5.5.5)."""
END, GET, SET, CONSTANT, STORE, ADD, SUBTRACT = 0x0B, 0x23, 0x24, 0x41, 0x36, 0x6A, 0x6B
"""The instructions that it is made of (5.4): `i32.store` and what gives its place and what it stores. The
function that runs first has `global.set` in place of the store."""
POINTER = 4
"""Bytes."""
MODULUS = 2**32

type Store = tuple[bytes, int | None, int | None]
"""A store's instructions, its place in the memory, and what it puts there; None for what is not known."""


def with_pointers(interpreter: bytes, script: str) -> bytes:
    """Return the interpreter with the pointers in its data that are known where `script` puts it.

    Raises ValueError where the script does not say the places, or the function that stores them is not as
    linkers write it.
    """
    parts = dict(sections(interpreter))
    lines = imports(parts[IMPORTS])
    names = [line.name for line in lines if line.kind == GLOBAL_KIND]
    known: dict[int, int | None] = {names.index(name): place_in(script, name) for name in BASES}
    outside = sum(line.kind == FUNCTION for line in lines)
    functions = [parts[CODE][head:end] for head, end in zip(*bodies(parts[CODE]), strict=True)]
    if START in parts and any(stores(functions[number(parts[START], 0)[0] - outside], known)):
        raise ValueError("The function that runs first stores something.")
    base = place_in(script, BASES[0])
    start, data = laid_out(parts[DATA], names.index(BASES[0]))
    mine, kept = exported_function(parts[EXPORTS], APPLIES) - outside, []
    for instructions, place, value in stores(functions[mine], known):
        if place is None or value is None or not base <= place <= base + len(data) - POINTER:
            kept.append(instructions)
        else:
            data[place - base : place - base + POINTER] = value.to_bytes(POINTER, "little")
    body = b"".join([b"\0", *kept, bytes([END])])
    functions[mine] = written(len(body)) + body
    changed = {CODE: written(len(functions)) + b"".join(functions), DATA: parts[DATA][:start] + bytes(data)}
    return whole(interpreter, ((kind, changed.get(kind, part)) for kind, part in sections(interpreter)))


def place_in(script: str, name: str) -> int:
    """Return the place that Pyodide's script gives an imported global. Raises ValueError if it gives none."""
    given = re.search(rf'\b_{name}=new WebAssembly\.Global\(\{{[^}}]*"mutable":false\}},(\d+)\)', script)
    if not given:
        raise ValueError(f"Pyodide's script does not say where it puts {name}")
    return int(given[1])


def exported_function(body: bytes, wanted: str) -> int:
    """Return the number of the function exported under a name. Raises ValueError if none is."""
    count, at = number(body, 0)
    for _ in range(count):
        name, at = text(body, at)
        index, end = number(body, at + 1)
        if name == wanted and body[at] == FUNCTION:
            return index
        at = end
    raise ValueError(f"the interpreter exports no function {wanted}")


def laid_out(body: bytes, base: int) -> tuple[int, bytearray]:
    """Return where a module's one piece of data begins in its section, and the data.

    Raises ValueError if they are not in one piece at the place that the global `base` says.
    """
    begins = written(1) + AT_A_GLOBAL + written(base) + bytes([END])
    size, start = number(body, len(begins))
    if not body.startswith(begins) or start + size != len(body):
        raise ValueError("The interpreter's data are not in one piece at a place that it is told.")
    return start, bytearray(body[start:])


def stores(function: bytes, known: dict[int, int | None]) -> Iterator[Store]:
    """Yield the stores of a function with its length before it.

    `known` are the values of globals: what the function sets is put there.

    Raises ValueError for a function that does anything else, or does it in parts.
    """
    _, at = number(function, 0)
    if function[at] or function[-1] != END:
        raise ValueError("The function that stores pointers has variables.")
    at = begun = at + 1
    stack: list[int | None] = []
    while at < len(function) - 1:
        instruction, at = function[at], at + 1
        if instruction == GET:
            name, at = number(function, at)
            stack.append(known.get(name))
        elif instruction == CONSTANT:
            constant, at = signed_number(function, at)
            stack.append(constant % MODULUS)
        elif instruction in (ADD, SUBTRACT) and len(stack) > 1:
            second, one = stack.pop(), stack.pop()
            sign = 1 if instruction == ADD else -1
            stack.append(None if one is None or second is None else (one + sign * second) % MODULUS)
        elif instruction == STORE and len(stack) == 2:
            offset, at = number(function, number(function, at)[1])  # First stands how it is aligned.
            value, place = stack.pop(), stack.pop()
            yield function[begun:at], place if place is None else place + offset, value
            begun = at
        elif instruction == SET and stack:
            name, at = number(function, at)
            known[name] = stack.pop()
            begun = at
        else:
            raise ValueError(f"The function that stores pointers has the instruction {instruction:#x}.")
    if stack:
        raise ValueError("The function that stores pointers ends within a store.")


def signed_number(body: bytes, at: int) -> tuple[int, int]:
    """Return the signed LEB128 number that stands at a place, and where it ends (5.2.2)."""
    value, end = number(body, at)
    bits = 7 * (end - at)
    return value - (1 << bits if body[end - 1] & 0x40 else 0), end
