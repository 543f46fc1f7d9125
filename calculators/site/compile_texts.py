"""Compile once, when the site is built, what Python would compile in the page each time it starts.

Run as a program of its own, in a fresh Python with a fixed hash seed, so that the same package
gives the same bytes; without `site`, so that nothing is imported before the recording starts:

    python -S -P -B compile_texts.py MODULES.txt OUTPUT.py FOLDER...

It imports the modules named in MODULES.txt, from the folders too, and records the methods of
dataclasses and named tuples by their text, and regular expressions by pattern and flags. The
output is a module with one value, the marshalled table that `browser_start` reads.
"""

import marshal
import sys
from importlib import import_module
from types import CodeType
from typing import Any

# `_sre.MAXREPEAT` of 32-bit Python, the browser's: what `*` stands for in a compiled pattern.
MOST_REPEATS = 2**31 - 1

patterns: dict[tuple[str | bytes, int], tuple[Any, ...]] = {}
texts: dict[str, CodeType] = {}


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

    def compiled(text: str, mode: str) -> CodeType:
        texts[text] = compile(text, "<compiled when the site was built>", mode, dont_inherit=True)
        return texts[text]

    import collections

    vars(collections)["eval"] = lambda text, names: eval(compiled(text, "eval"), names)
    import dataclasses

    vars(dataclasses)["exec"] = lambda text, *names: exec(compiled(text, "exec"), *names)


def import_all(names: list[str]) -> None:
    """Import each module that this Python has."""
    for name in names:
        try:
            __import__(name)
        except ImportError:
            if name.startswith("calculators"):
                raise


def table() -> bytes:
    """Return what was recorded, in an order that does not depend on the order of importing."""
    sys.path.append(sys.argv[0].rpartition("/")[0])  # Not before: nothing beside this file is to be recorded.
    without_lines = import_module("bytecode").without_lines
    ordered = {key: patterns[key] for key in sorted(patterns, key=repr)}
    return marshal.dumps(
        {"patterns": ordered, "texts": {text: without_lines(texts[text]) for text in sorted(texts)}}
    )


if __name__ == "__main__":
    listing, output, *folders = sys.argv[1:]
    record_patterns()
    record_texts()
    sys.path += folders
    with open(listing, encoding="utf-8") as opened:
        import_all(opened.read().split())
    with open(output, "w", encoding="utf-8") as opened:
        opened.write(f'"""What `browser_start` reads."""\n\nMARSHALLED = {table()!r}\n')
