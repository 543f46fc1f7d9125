"""What the build leaves out of Pyodide's interpreter, and that nothing else changes."""

import marshal
import traceback

from calculators.site.bytecode import compile_source
from calculators.site.runtime import CACHE, extension_modules, kept_modules
from calculators.site.slimming import (
    EXPORTS,
    imported,
    number,
    sections,
    slim_interpreter,
    slim_script,
    text,
)

SCRIPT = (
    'var _a=Module["_a"]=(a0,a1)=>(_a=Module["_a"]=wasmExports["a"])(a0,a1);'
    'var _b=Module["_b"]=a0=>(_b=Module["_b"]=wasmExports["b"])(a0);'
    'var _c=Module["_c"]=()=>(_c=Module["_c"]=wasmExports["c"])();'
    'var _d=Module["_d"]=4096;use(_b)'
)


def test_a_script_keeps_what_it_or_its_caller_names() -> None:
    slim = slim_script(SCRIPT, ["Module._c()"])
    assert "_a" not in slim
    assert "_d" not in slim
    assert all(name in slim for name in ('wasmExports["b"]', 'wasmExports["c"]', "use(_b)"))


def exports(module: bytes) -> set[str]:
    (body,) = (body for kind, body in sections(module) if kind == EXPORTS)
    count, at = number(body, 0)
    names = set()
    for _ in range(count):
        name, at = text(body, at)
        _, at = number(body, at + 1)
        names.add(name)
    return names


def test_an_interpreter_keeps_all_but_exports_and_every_export_that_is_asked_for() -> None:
    whole = (CACHE / "pyodide.asm.wasm").read_bytes()
    script = slim_script((CACHE / "pyodide.asm.js").read_text(encoding="utf-8"), [])
    extensions = extension_modules(CACHE, kept_modules())
    slim = slim_interpreter(whole, script, extensions.values())
    before, after = ([part for part in sections(module) if part[0] != EXPORTS] for module in (whole, slim))
    assert before == after
    offered, kept = exports(whole), exports(slim)
    asked = set().union(*map(imported, extensions.values())) & offered
    assert len(asked) > 300
    assert asked <= kept < offered
    assert 10 * len(kept) < len(offered)


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
