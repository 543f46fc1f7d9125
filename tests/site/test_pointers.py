"""An interpreter with its pointers in its data lays out the memory that it had laid out without."""

from pathlib import Path

import pytest

from calculators.site.dead_code import bodies
from calculators.site.node_tools import run_node
from calculators.site.pointers import APPLIES, exported_function, with_pointers
from calculators.site.runtime import CACHE
from calculators.site.wasm import (
    CODE,
    DATA,
    EXPORTS,
    FUNCTION,
    IMPORTS,
    START,
    Import,
    imports,
    sections,
    whole,
    written_imports,
    written_text,
)

LAID_OUT = Path(__file__).with_name("laid_out.mjs")
SCRIPT = "".join(
    f'var _{name}=new WebAssembly.Global({{"value":"i32","mutable":false}},{place});'
    for name, place in (("__memory_base", 1024), ("__table_base", 1))
)
GLOBALS = (("env", "__memory_base", 0), ("env", "__table_base", 0), ("GOT.mem", "elsewhere", 1))
MEMORY, TABLE, ELSEWHERE, OWN = ([0x23, index] for index in range(4))
ADD, STORE, SET_OWN = 0x6A, [0x36, 2, 0], [0x24, 3]
FIVE = [0x41, 5, ADD]
TO_DATA = [*MEMORY, 0x41, 4, ADD, *MEMORY, *FIVE, *STORE]
TO_FUNCTION = [*MEMORY, *TABLE, *FIVE, *STORE]
TO_OWN = [*MEMORY, 0x41, 8, ADD, *OWN, *STORE]
TO_ANOTHER = [*MEMORY, 0x41, 12, ADD, *ELSEWHERE, *STORE]
BEHIND_DATA = [*MEMORY, 0x41, 13, ADD, *TABLE, *STORE]
AT_MEMORY = bytes([1, 0, *MEMORY, 0x0B])
SETS = [*MEMORY, 0x41, 7, ADD, *SET_OWN]


def module_of(applied: list[int], first: tuple[int, ...] = tuple(SETS)) -> bytes:
    """An interpreter with 16 bytes of data: its function 0 runs first, its function 1 stores pointers."""
    lines = [Import(place, name, bytes([3, 0x7F, mutable])) for place, name, mutable in GLOBALS]
    code = b"".join(bytes([len(body) + 2, 0, *body, 0x0B]) for body in (first, applied))
    parts = (
        (IMPORTS, written_imports(lines)),
        (EXPORTS, bytes([1]) + written_text(APPLIES) + bytes([FUNCTION, 1])),
        (START, bytes([0])),
        (CODE, bytes([2]) + code),
        (DATA, AT_MEMORY + bytes([16]) + bytes(16)),
    )
    return whole(b"\0asm\1\0\0\0", parts)


def function_and_data(module: bytes) -> tuple[list[int], list[int]]:
    parts = dict(sections(module))
    head, end = (list(places)[1] for places in bodies(parts[CODE]))
    data = parts[DATA][-16:]
    words = [int.from_bytes(data[at : at + 4], "little") for at in range(0, 16, 4)]
    return list(parts[CODE][head + 2 : end - 1]), words


def test_what_is_known_stands_in_the_data_and_the_rest_is_stored_as_before() -> None:
    applied = [*TO_DATA, *TO_ANOTHER, *TO_FUNCTION, *TO_OWN, *BEHIND_DATA]
    laid = with_pointers(module_of(applied), SCRIPT)
    assert function_and_data(laid) == ([*TO_ANOTHER, *BEHIND_DATA], [1 + 5, 1024 + 5, 1024 + 7, 0])


@pytest.mark.parametrize(
    ("module", "script", "words"),
    [
        (module_of(TO_DATA), SCRIPT.replace("__table_base", "__another"), "does not say where"),
        (module_of(TO_DATA, tuple(TO_DATA)), SCRIPT, "runs first stores something"),
        (module_of([0x10, 0]), SCRIPT, "instruction 0x10"),
        (module_of([*TO_DATA, *MEMORY]), SCRIPT, "ends within a store"),
        (module_of(TO_DATA).replace(APPLIES.encode(), APPLIES[::-1].encode()), SCRIPT, "exports no function"),
        (module_of(TO_DATA).replace(AT_MEMORY, bytes([1, 0, *TABLE, 0x0B])), SCRIPT, "one piece"),
    ],
)  # fmt: skip
def test_an_interpreter_of_another_form_is_refused(module: bytes, script: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        with_pointers(module, script)


def test_the_interpreter_lays_out_the_same_memory(tmp_path: Path) -> None:
    """Run in Node, with all that it imports made of nothing: its data and pointers, byte for byte."""
    stock, script = CACHE / "pyodide.asm.wasm", (CACHE / "pyodide.asm.js").read_text(encoding="utf-8")
    module, laid = stock.read_bytes(), tmp_path / "laid.wasm"
    laid.write_bytes(with_pointers(module, script))
    before, after = run_node(str(LAID_OUT), str(stock), str(laid)).split()
    assert before == after
    parts = dict(sections(laid.read_bytes()))
    outside = sum(line.kind == FUNCTION for line in imports(parts[IMPORTS]))
    head, end = (
        list(places)[exported_function(parts[EXPORTS], APPLIES) - outside] for places in bodies(parts[CODE])
    )
    assert end - head < 100, "the function stores what it need not"
