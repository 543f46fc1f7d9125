"""What the build leaves out of Pyodide's interpreter, and that nothing else changes."""

import marshal
import re
import traceback
from importlib.util import find_spec
from pathlib import Path

import pytest

import calculators
from calculators.site.bytecode import compile_source
from calculators.site.dead_code import EMPTY, bodies, without_dead_code
from calculators.site.pointers import exported_function, with_pointers
from calculators.site.runtime import CACHE, extension_modules, kept_modules
from calculators.site.slimming import (
    HANDS_BACK,
    STREAMS,
    blanked,
    imported,
    slim_interpreter,
    slim_script,
    unused_data,
    without_needless_work,
    without_streams,
)
from calculators.site.wasm import (
    CODE,
    ELEMENTS,
    EXPORTS,
    FUNCTION,
    GLOBALS,
    IMPORTS,
    Import,
    imports,
    number,
    sections,
    text,
    whole,
    written_imports,
)
from tests.site.unused_data import DATA

MADE_BY_IT = "_ZNSt3__29DoIOSInitC1Ev"
"""What makes C++'s streams, and is called by `STREAMS` alone."""
SCRIPT = (
    'var _a=Module["_a"]=(a0,a1)=>(_a=Module["_a"]=wasmExports["a"])(a0,a1);'
    'var _b=Module["_b"]=a0=>(_b=Module["_b"]=wasmExports["b"])(a0);'
    'var _c=Module["_c"]=()=>(_c=Module["_c"]=wasmExports["c"])();'
    'var _d=Module["_d"]=4096;use(_b)'
)


DEFINITIONS = (
    'function _draw(a){_paint(a)}Module["_draw"]=_draw;_draw.sig="vi";'
    'var _paint=a=>_e(a);Module["_paint"]=_paint;'
    'function _now(){return clock()}Module["_now"]=_now;_now.sig="d";'
    'var clock=()=>_f();Module["clock"]=clock;'
    'var _e=Module["_e"]=a0=>(_e=Module["_e"]=wasmExports["e"])(a0);'
    'var _f=Module["_f"]=()=>(_f=Module["_f"]=wasmExports["f"])();'
    "var wasmImports={draw:_draw,now:_now};go(wasmImports)"
)
NAMES_NOW = bytes([*b"\0asm\1\0\0\0", 2, 11, 1, 3, *b"env", 3, *b"now", 0, 0])
"""A WebAssembly module that imports the function `now` (Core Specification 2.0, 5.5.5)."""


def test_a_script_keeps_what_it_or_its_caller_names() -> None:
    slim = slim_script(SCRIPT, ["Module._c()"], [])
    assert "_a" not in slim
    assert "_d" not in slim
    assert all(name in slim for name in ('wasmExports["b"]', 'wasmExports["c"]', "use(_b)"))


def test_a_script_keeps_what_is_imported_and_what_that_calls_in_turn() -> None:
    slim = slim_script(DEFINITIONS, [], [NAMES_NOW])
    assert "draw" not in slim
    assert "paint" not in slim
    assert 'wasmExports["e"]' not in slim
    assert all(name in slim for name in ("function _now()", "var clock=", 'wasmExports["f"]'))
    assert slim.endswith("var wasmImports={now:_now};go(wasmImports)")
    assert slim_script(DEFINITIONS, ["Module._draw"], [NAMES_NOW]).count("_paint") > 1


def test_a_script_does_nothing_needless_at_a_start_and_one_that_does_it_otherwise_is_refused() -> None:
    script = (CACHE / "pyodide.asm.js").read_text(encoding="utf-8")
    given = re.compile(r"""(?:eval_code|runPythonInternal|rawRun)\(["'`]""")
    assert len(given.findall(script)) == 5
    had = without_needless_work(script)
    assert len(given.findall(had)) == 1  # Where nothing is kept, Pyodide's core is still to be imported.
    asks = re.compile(r"""["']Suspend\w+["'] ?in WebAssembly""")
    assert len(asks.findall(script)) == 2
    assert not asks.search(had)
    with pytest.raises(ValueError, match="0 times, and not once"):
        without_needless_work(had)


def exports(module: bytes) -> set[str]:
    (body,) = (body for kind, body in sections(module) if kind == EXPORTS)
    count, at = number(body, 0)
    names = set()
    for _ in range(count):
        name, at = text(body, at)
        _, at = number(body, at + 1)
        names.add(name)
    return names


def functions(module: bytes) -> list[bytes]:
    code = dict(sections(module))[CODE]
    return [code[head:end] for head, end in zip(*bodies(code), strict=True)]


def test_an_interpreter_keeps_what_can_be_reached_as_it_was() -> None:
    stock = (CACHE / "pyodide.asm.wasm").read_bytes()
    extensions = extension_modules(CACHE, kept_modules())
    modules = [stock, *extensions.values()]
    script = slim_script((CACHE / "pyodide.asm.js").read_text(encoding="utf-8"), [], modules)
    places = unused_data(stock)
    slim = slim_interpreter(stock, script, extensions.values(), places)
    others = {IMPORTS, EXPORTS, CODE, DATA}
    before, after = ([part for part in sections(module) if part[0] not in others] for module in (stock, slim))
    assert before == after
    offered, kept = exports(stock), exports(slim)
    asked = set().union(*map(imported, extensions.values())) & offered
    assert len(asked) > 300
    assert asked <= kept < offered
    assert 10 * len(kept) < len(offered)
    laid = without_streams(with_pointers(blanked(stock, places), script))
    pairs = list(zip(functions(laid), functions(slim), strict=True))
    assert all(old == new or new == EMPTY for old, new in pairs)
    assert 0.05 < sum(new == EMPTY for _, new in pairs) / len(pairs) < 0.5
    assert imported(slim) < imported(stock)
    streams, others = (
        exported_function(dict(sections(stock))[EXPORTS], name) for name in (STREAMS, MADE_BY_IT)
    )
    outside = sum(line.kind == FUNCTION for line in imports(dict(sections(stock))[IMPORTS]))
    assert functions(slim)[streams - outside] == HANDS_BACK
    assert functions(slim)[others - outside] == EMPTY
    assert dict(sections(slim))[DATA] == dict(sections(laid))[DATA]
    assert 1_000_000 < sum(end - start for start, end in places) < 2_500_000
    with pytest.raises(ValueError, match=r"tests\.site\.unused_data"):
        unused_data(stock + b"another")


def module_of(*parts: tuple[int, bytes]) -> bytes:
    return whole(b"\0asm\1\0\0\0", parts)


def test_a_function_that_nobody_can_call_is_emptied_and_its_import_with_it() -> None:
    """Imported: 0 `near`, 1 `far`. Own: 2, exported, calls 3, which ends with 0; 4 is in a table; 5 calls 1;
    a global begins with 6."""
    calls = [[0x10, 3], [0x12, 0], [], [0x10, 1], []]
    code = b"".join(bytes([len(call) + 2, 0, *call, 0x0B]) for call in calls)
    near, far = (Import("env", name, bytes([FUNCTION, 0])) for name in ("near", "far"))
    module = module_of(
        (IMPORTS, written_imports([near, far])),
        (GLOBALS, bytes([1, 0x70, 0, 0xD2, 6, 0x0B])),
        (EXPORTS, bytes([1, 1, *b"a", FUNCTION, 2])),
        (ELEMENTS, bytes([1, 0, 0x41, 0, 0x0B, 1, 4])),
        (CODE, bytes([len(calls)]) + code),
    )
    slim = without_dead_code(module)
    assert functions(slim) == [*functions(module)[:3], EMPTY, functions(module)[4]]
    assert imports(dict(sections(slim))[IMPORTS]) == [near, far.renamed("abort")]
    assert [part for part in sections(slim) if part[0] in {EXPORTS, ELEMENTS}] == [
        part for part in sections(module) if part[0] in {EXPORTS, ELEMENTS}
    ]


def test_code_of_others_runs_without_its_lines_and_a_traceback_can_be_written() -> None:
    source = b"def divide(n):\n    return sum(1 / k for k in range(n, -1, -1))\n"
    for name, place in (("numpy/x.py", "line None"), ("calculators/x.py", "line 2")):
        names: dict[str, object] = {}
        exec(marshal.loads(compile_source(source, name, False)[16:]), names)
        divide = names["divide"]
        assert callable(divide)
        try:
            divide(2)
        except ZeroDivisionError:
            assert place in traceback.format_exc()


def test_what_is_blanked_of_unicodedata_is_asked_by_nobody() -> None:
    """`re` asks it for names of characters in a pattern, `traceback` for their width: we have neither."""
    asks = re.compile(r"^\s*(import|from)\s.*\bunicodedata\b", re.MULTILINE)
    found = (find_spec(name) for name in kept_modules() if not name.startswith(("pyodide", "_pyodide")))
    files = {spec.name: Path(spec.origin) for spec in found if spec and str(spec.origin).endswith(".py")}
    asking = {name for name, path in files.items() if asks.search(path.read_text(encoding="utf-8"))}
    assert asking == {"re._parser", "traceback"}
    package = Path(calculators.__file__).parent
    ours = {path.name for path in package.rglob("*.py") if asks.search(path.read_text(encoding="utf-8"))}
    assert ours == {"__main__.py"}, "the command line alone: it is not in the page"
