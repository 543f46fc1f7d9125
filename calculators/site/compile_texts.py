"""Compile once, when the site is built, what Python would compile in the page each time it starts.

Run as a program of its own, in a fresh Python with a fixed hash seed, so that the same package
gives the same bytes; without `site`, so that nothing is imported before the recording starts:

    python -S -P -B compile_texts.py MODULES.json OUTPUT FOLDER...

MODULES.json holds the names of all modules, and of those of each part that comes after the start
(`parts.py`). It imports them, from the folders too, and records the methods of dataclasses and
named tuples by their text, and regular expressions by pattern and flags. Into the folder OUTPUT it
writes the module `compiled_texts` with one value, the marshalled table that `browser_start` reads,
and under the name of each part the marshalled texts of its modules.
"""

import json
import marshal
import sys
from collections import defaultdict
from collections.abc import Iterable
from importlib import import_module
from types import CodeType
from typing import Any

# `_sre.MAXREPEAT` of 32-bit Python, the browser's: what `*` stands for in a compiled pattern.
MOST_REPEATS = 2**31 - 1

patterns: dict[tuple[str | bytes, int], tuple[Any, ...]] = {}
texts: dict[str, dict[str, CodeType]] = defaultdict(dict)
"""The texts of each module, by its name; a named tuple's stand under one of its own."""


def record_patterns() -> None:
    """Keep what every regular expression compiled from now on was made of."""
    compiler: Any = import_module("re._compiler")
    for name in ("re._compiler", "re._parser", "re._constants"):
        vars(import_module(name))["MAXREPEAT"] = MOST_REPEATS
    compile_pattern, construct = compiler.compile, compiler._sre.compile

    class Recorder:
        """The module `_sre`, but for `compile`."""

        def __getattr__(self, name: str) -> Any:
            return getattr(sys.modules["_sre"], name)

        def compile(self, pattern: str | bytes, *made: Any) -> Any:
            asked.append(made)
            return construct(pattern, *made)

    asked: list[tuple[Any, ...]] = []

    def compile_and_keep(pattern: Any, flags: int = 0) -> Any:
        compiled = compile_pattern(pattern, flags)
        if isinstance(pattern, str | bytes):
            final_flags, code, *rest = asked[-1]
            # Plain numbers: the compiler's own are named ones, which cannot be marshalled.
            patterns[pattern, int(flags)] = (int(final_flags), [int(word) for word in code], *rest)
        return compiled

    compiler._sre, compiler.compile = Recorder(), compile_and_keep


def record_texts() -> None:
    """Keep the code of every named tuple and dataclass declared from now on."""

    def compiled(text: str, mode: str, names: dict[str, Any]) -> CodeType:
        code = compile(text, "<compiled when the site was built>", mode, dont_inherit=True)
        return texts[names["__name__"]].setdefault(text, code)

    import collections

    vars(collections)["eval"] = lambda text, names: eval(compiled(text, "eval", names), names)
    import dataclasses

    vars(dataclasses)["exec"] = lambda text, *names: exec(compiled(text, "exec", names[0]), *names)


def import_all(names: list[str]) -> None:
    """Import each module that this Python has."""
    for name in names:
        try:
            __import__(name)
        except ImportError:
            if name.startswith("calculators"):
                raise


def ordered(modules: Iterable[str]) -> dict[str, CodeType]:
    """Return the texts of those modules, in an order that does not depend on the order of importing."""
    found = {text: code for name in modules for text, code in texts.get(name, {}).items()}
    return {text: without_lines(found[text]) for text in sorted(found)}


if __name__ == "__main__":
    listing, output, *folders = sys.argv[1:]
    record_patterns()
    record_texts()
    sys.path += folders
    with open(listing, encoding="utf-8") as opened:
        listed = json.load(opened)
    import_all(listed["all"])
    sys.path.append(sys.argv[0].rpartition("/")[0])  # Not before: nothing beside this file is to be recorded.
    without_lines = import_module("bytecode").without_lines
    later = {name for modules in listed["parts"].values() for name in modules}
    made = {
        "patterns": {key: patterns[key] for key in sorted(patterns, key=repr)},
        "texts": ordered(texts.keys() - later),
    }
    with open(f"{output}/compiled_texts.py", "w", encoding="utf-8") as opened:
        opened.write(f'"""What `browser_start` reads."""\n\nMARSHALLED = {marshal.dumps(made)!r}\n')
    for part, modules in listed["parts"].items():
        with open(f"{output}/{part}", "wb") as written:
            written.write(marshal.dumps(ordered(modules)))
