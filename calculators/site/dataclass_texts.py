"""Compile the methods that our dataclasses write as text, once, when the site is built.

Run as a program of its own, in a fresh Python with a fixed hash seed, so that the same package
gives the same bytes:

    python -B dataclass_texts.py FOLDER_OF_THE_PACKAGE OUTPUT.py

The output is a module with one value: a marshalled table from text to code.
"""

import dataclasses
import importlib
import marshal
import sys
from pathlib import Path
from types import CodeType
from typing import Any


def recorded_texts(folder: Path) -> dict[str, CodeType]:
    """Import every module under `folder` and return what `dataclasses` compiled, by its text."""
    texts: dict[str, CodeType] = {}

    def execute(text: str, names: dict[str, Any], results: dict[str, Any]) -> None:
        texts[text] = compile(text, "<dataclass>", "exec", dont_inherit=True)
        exec(texts[text], names, results)

    vars(dataclasses)["exec"] = execute
    sys.path.insert(0, str(folder))
    for path in sorted(folder.rglob("*.py"), key=lambda path: path.as_posix()):
        inner = path.relative_to(folder).as_posix()
        importlib.import_module(inner.removesuffix(".py").removesuffix("/__init__").replace("/", "."))
    return texts


if __name__ == "__main__":
    table = dict(sorted(recorded_texts(Path(sys.argv[1])).items()))
    text = f'"""Text to code, for `browser_start`."""\n\nMARSHALLED = {marshal.dumps(table)!r}\n'
    Path(sys.argv[2]).write_text(text, encoding="utf-8")
