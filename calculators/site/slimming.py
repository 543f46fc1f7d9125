"""Leaves out of Pyodide what no page calls: names that the interpreter offers, and functions of its script.

Pyodide is linked so that any package ever built may be loaded into it: it exports each C function by name.
At every start the browser makes an object, a place in a table and a wrapper of each, some five thousand, and
the names are a third of the script. NumPy's three modules and Pyodide's own script call a few hundred. A
third of what is then left are functions for games, their pictures and sounds, which nobody imports either.

Nor is Python asked to read source at a start: the browser would compile its parser and compiler for that.
"""

import hashlib
import re
from collections.abc import Container, Iterable
from pathlib import Path

from calculators.site.dead_code import bodies, without_dead_code
from calculators.site.pointers import exported_function, with_pointers
from calculators.site.wasm import (
    CODE,
    EXPORTS,
    FUNCTION,
    IMPORTS,
    imports,
    number,
    sections,
    text,
    whole,
    written,
)

# `var _f=Module["_f"]=(a0,a1)=>(_f=Module["_f"]=wasmExports["f"])(a0,a1);`, and the same of a number.
WRAPPER = re.compile(
    r'var (?P<name>\w+)=Module\["(?P=name)"\]='
    r'(?:\(?[\w,]*\)?=>\((?P=name)=Module\["(?P=name)"\]=wasmExports\["\w+"\]\)\([\w,]*\)|\d+);'
)
# `function _f(a){…}Module["_f"]=_f;_f.sig="vi";`, and the same of `var _f=`: so the linker ends a definition.
DEFINED = re.compile(r"(?:function (?P<function>\w+)\(|var (?P<variable>\w+)=)")
END_OF_DEFINITION = re.compile(r'Module\["(?P<name>\w+)"\]=(?P=name);(?:(?P=name)\.sig="\w+";)?')
# `wasmImports={a:_a,b:b}`: what the interpreter and its extensions may import.
OFFERED = re.compile(r"(?<=wasmImports=\{)[^}]*(?=\})")
WORD = re.compile(r"[\w$]+")
# What Pyodide's script does at each start, and what it does in its place. It has Python read source; a
# memory that was kept has imported Pyodide's core already. And it asks whether the browser can halt Python
# till JavaScript has gone on: where it can, forty small modules are made, for which no page has any use.
NEEDLESS = {
    'API.rawRun("import _pyodide_core")': 't?[0,""]:API.rawRun("import _pyodide_core")',
    'API._pyodide._base.eval_code("{}")': 'API._pyodide._base.__builtins__.get("dict")()',
    'API.runPythonInternal("import importlib; importlib")': (
        'API._pyodide._base.__builtins__.get("__import__")("importlib")'
    ),
    'API.runPythonInternal("import __main__; __main__.__dict__")': 'o("__main__").__dict__',
    'API.runPythonInternal("import builtins; builtins.__dict__")': 'o("builtins").__dict__',
    '"Suspending"in WebAssembly': "false",
    '"Suspender"in WebAssembly': "false",
}
STREAMS = "_ZNSt3__28ios_base4InitC1Ev"
"""By which C++ makes its streams ready at each start (`std::ios_base::Init`), though nobody writes to one."""
HANDS_BACK = bytes([4, 0, 0x20, 0, 0x0B])
"""Length, no variables, `local.get 0`, `end`: a body that does nothing but hand back what it is given."""
UNUSED = Path(__file__).with_name("unused_data.txt")


def slim_script(script: str, callers: Iterable[str], modules: Iterable[bytes]) -> str:
    """Return Pyodide's script without what it defines and neither it nor one of the `callers` names.

    `modules` are the compiled modules that import from it.
    """
    wanted = set[str]().union(*map(imported, modules))
    script = OFFERED.sub(lambda offered: only_wanted(offered[0], wanted), script)
    definitions = definitions_in(script)
    named = set[str]()
    unread = [WRAPPER.sub("", "".join(text for name, text in definitions if not name)), *callers]
    inside = {wrapper["name"]: wrapper[0] for wrapper in WRAPPER.finditer(script)} | dict(definitions)
    while unread:
        words = set(WORD.findall(unread.pop())) - named
        named |= words
        unread += [inside[word] for word in words & inside.keys()]
    kept = "".join(text for name, text in definitions if not name or name in named)
    return WRAPPER.sub(lambda wrapper: wrapper[0] if wrapper["name"] in named else "", kept)


def without_needless_work(script: str) -> str:
    """Return Pyodide's script, with which Python starts without source to read, and can't be halted.

    Raises ValueError if it does something else.
    """
    for needless, instead in NEEDLESS.items():
        if script.count(needless) != 1:
            raise ValueError(
                f"Pyodide's script has `{needless}` {script.count(needless)} times, and not once"
            )
        script = script.replace(needless, instead)
    return script


def only_wanted(offered: str, wanted: Container[str]) -> str:
    """Return the pairs of a list `a:_a,b:b` whose first name is wanted."""
    return ",".join(pair for pair in offered.split(",") if pair.partition(":")[0] in wanted)


def definitions_in(script: str) -> list[tuple[str, str]]:
    """Cut the script into its definitions, each with its name, and what stands between them, without one."""
    pieces, at = [], 0
    for end in END_OF_DEFINITION.finditer(script):
        begun = DEFINED.match(script, at)
        complete = begun and end["name"] in begun.groups()
        pieces.append((end["name"] if complete else "", script[at : end.end()]))
        at = end.end()
    return [*pieces, ("", script[at:])]


def slim_interpreter(
    interpreter: bytes,
    script: str,
    extensions: Iterable[bytes],
    unused: Iterable[tuple[int, int]] = (),
) -> bytes:
    """Return the interpreter without the exports that nobody asks for, the functions that then nobody can
    call, the data in the places `unused` and C++'s streams; with its pointers where `script` puts it.

    Asked for is what the script names, what the extensions import, and what the interpreter has itself linked
    by name.
    """
    wanted = set(WORD.findall(script)).union(*map(imported, (interpreter, *extensions)))
    parts = (
        (kind, with_exports(body, wanted) if kind == EXPORTS else body)
        for kind, body in sections(without_streams(with_pointers(blanked(interpreter, unused), script)))
    )
    return without_dead_code(whole(interpreter, parts))


def without_streams(interpreter: bytes) -> bytes:
    """Return the interpreter, which makes no stream of C++'s ready at its start.

    So its start asks nothing of its data, which a memory that was kept holds as they were then.
    """
    parts = dict(sections(interpreter))
    outside = sum(line.kind == FUNCTION for line in imports(parts[IMPORTS]))
    heads, ends = bodies(parts[CODE])
    mine = exported_function(parts[EXPORTS], STREAMS) - outside
    parts[CODE] = parts[CODE][: heads[mine]] + HANDS_BACK + parts[CODE][ends[mine] :]
    return whole(
        interpreter, ((kind, parts[kind] if kind == CODE else body) for kind, body in sections(interpreter))
    )


def unused_data(interpreter: bytes) -> list[tuple[int, int]]:
    """Return the places of its data that no page can reach, each by its first byte and its end.

    Raises ValueError if the list is that of another interpreter.
    """
    whose, *lines = UNUSED.read_text(encoding="utf-8").splitlines()
    if whose != hashlib.sha256(interpreter).hexdigest():
        raise ValueError(
            f"{UNUSED.name} is of another Pyodide: run `python -m tests.site.unused_data`, which lists anew "
            "what of its data no page can reach."
        )
    return [(int(start), int(end)) for start, end, _ in (line.split(maxsplit=2) for line in lines)]


def blanked(interpreter: bytes, places: Iterable[tuple[int, int]]) -> bytes:
    """Return it with nothing but zeros in those places, which are given by their first byte and their end."""
    blank = bytearray(interpreter)
    for start, end in places:
        blank[start:end] = bytes(end - start)
    return bytes(blank)


def imported(module: bytes) -> set[str]:
    """Return the names that a WebAssembly module imports."""
    (body,) = (body for kind, body in sections(module) if kind == IMPORTS)
    return {line.name for line in imports(body)}


def with_exports(body: bytes, wanted: Container[str]) -> bytes:
    """Return the section of exports with the wanted names alone (5.5.10)."""
    count, at = number(body, 0)
    kept = []
    for _ in range(count):
        start = at
        name, at = text(body, at)
        _, at = number(body, at + 1)
        if name in wanted:
            kept.append(body[start:at])
    return written(len(kept)) + b"".join(kept)
