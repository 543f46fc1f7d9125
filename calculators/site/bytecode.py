"""Byte-compile a folder of Python sources into one zip file, the same bytes for the same sources.

Run as a program of its own, in a fresh Python with a fixed hash seed, because the order of
constants in a set and the sharing of strings would otherwise depend on what ran before:

    python -S -P -B -X no_debug_ranges bytecode.py SOURCES OUTPUT.zip KEEP_DOCSTRINGS.txt

The byte code carries a hash-based header that says "do not check against the source", and the
name of a file inside the zip instead of its place on the machine that built it. Where in a file each
instruction stands is a third of the zip: of our own package a traceback tells the line, of others the
function alone.
"""

import ast
import importlib.util
import marshal
import sys
import zipfile
from functools import cache
from pathlib import Path
from types import CodeType

OLDEST_ZIP_DATE = (1980, 1, 1, 0, 0, 0)
HASH_BASED_UNCHECKED = (1).to_bytes(4, "little")
NOWHERE = 0b1_1111_000
"""Entry of a table of places: no place, of one instruction and as many more as the last three bits say."""
OURS = "calculators/"
BRIEF = "-"
"""What is left of docstrings that nobody reads."""


def without_lines(code: CodeType) -> CodeType:
    """Return code that does not tell its lines: its table names no place.

    Source: CPython 3.12, `Objects/locations.md`.
    """
    inner = (without_lines(part) if isinstance(part, CodeType) else part for part in code.co_consts)
    return code.replace(co_consts=tuple(inner), co_linetable=no_lines(len(code.co_code) // 2))


@cache
def no_lines(instructions: int) -> bytes:
    """Return the table of so many instructions; codes as long share one, in the page's memory too."""
    eights, rest = divmod(instructions, 8)
    return bytes([NOWHERE | 7]) * eights + bytes([NOWHERE | rest - 1] if rest else [])


def briefly(source: bytes) -> ast.Module:
    """Return a module whose docstrings are a sign each: who asks for one gets no text, and no error."""
    tree = ast.parse(source)
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and ast.get_docstring(node, clean=False):
            node.body[0] = ast.copy_location(ast.Expr(ast.Constant(BRIEF)), node.body[0])
    return ast.fix_missing_locations(tree)


def compile_source(source: bytes, name: str, keep_docstrings: bool) -> bytes:
    """Return the contents of a `.pyc` file for one module.

    `source` is the module's text as bytes, `name` the file name that a traceback shows.
    Without `keep_docstrings` the docstrings and assertions are left out (level 2 of CPython's
    optimisation); with it our own docstrings are kept, and of others that there is one. Layout of the
    header: PEP 552. Raises SyntaxError for a source that is not Python.
    """
    level = 0 if keep_docstrings else 2
    text = briefly(source) if keep_docstrings and not name.startswith(OURS) else source
    code = compile(text, name, "exec", dont_inherit=True, optimize=level)
    if not name.startswith(OURS):
        code = without_lines(code)
    header = importlib.util.MAGIC_NUMBER + HASH_BASED_UNCHECKED
    return header + importlib.util.source_hash(source) + marshal.dumps(code)


def compile_folder(sources: Path, output: Path, documented: tuple[str, ...]) -> None:
    """Compile every `.py` file under `sources` into `output`, stored without compression.

    `documented` holds the beginnings of those paths that keep their docstrings.
    """
    with zipfile.ZipFile(output, "w", zipfile.ZIP_STORED) as archive:
        for path in sorted(sources.rglob("*.py"), key=lambda path: path.as_posix()):
            name = path.relative_to(sources).as_posix()
            contents = compile_source(path.read_bytes(), name, name.startswith(documented))
            archive.writestr(zipfile.ZipInfo(name + "c", OLDEST_ZIP_DATE), contents)


if __name__ == "__main__":
    compile_folder(Path(sys.argv[1]), Path(sys.argv[2]), tuple(Path(sys.argv[3]).read_text().split()))
