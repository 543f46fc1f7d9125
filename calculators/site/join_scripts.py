"""The page's script as one file: a browser asks once instead of for each module when another has named it.

A module becomes a function that is called once and returns what the module exports, so names stay its own.
What comes later (`import()`) asks for modules by their files as ever: each joined one leaves a file there
that hands on what the joined script holds, so that nothing starts twice. What the script that comes before
the page's loads too stays a file. A worker is one file with all it needs at its start.
"""

import re
from collections.abc import Iterator
from pathlib import Path

PAGE = "page.js"
EARLY = "early.js"
"""The script that starts before the page's."""
WORKERS = ("worker.js", "kept-memory.js")
IMPORT = re.compile(
    r'^import (?:(?:\{(?P<names>[^}]*)\}|\* as (?P<whole>\w+)) from )?"\./(?P<module>[\w/-]+)\.js";$',
    re.MULTILINE,
)
EXPORT = re.compile(r"^export (?P<kept>(?:async )?(?:function|class|const) (?P<name>\w+))", re.MULTILINE)
LEFT = re.compile(r"^(?:import\b(?!\()|export\b).*", re.MULTILINE)


class JoinError(Exception):
    """A module imports or exports in a way that is not known here; the message names it."""


def imported(folder: Path, script: str) -> list[str]:
    """Return all modules that a script needs at its start and then its own name, each after what it needs.

    Raises JoinError if some import one another.
    """
    names: dict[str, None] = {}
    way: list[str] = []

    def visit(name: str) -> None:
        if name in way:
            ring = " imports ".join((*way[way.index(name) :], name))
            raise JoinError(f"{ring}: move what they share into a module of its own")
        way.append(name)
        for found in IMPORT.finditer((folder / name).read_text(encoding="utf-8")):
            if f"{found['module']}.js" not in names:
                visit(f"{found['module']}.js")
        names.setdefault(way.pop())

    visit(script)
    return list(names)


def variable(module: str) -> str:
    """The name under which the joined script holds a module, given without its ending."""
    return "$" + module.replace("-", "_").replace("/", "_")


def taken(found: re.Match[str]) -> str:
    """What stands in the joined script for an import."""
    held = variable(found["module"])
    if found["whole"]:
        return f"const {found['whole']} = {held};"
    return f"const {{{found['names'].replace(' as ', ': ')}}} = {held};" if found["names"] else ""


def exported(text: str) -> Iterator[str]:
    """Yield the names that a module exports."""
    return (found["name"] for found in EXPORT.finditer(text))


def as_function(name: str, text: str) -> str:
    """A module as a call whose value is what it exports.

    Raises JoinError for an import or export it cannot read.
    """
    body = EXPORT.sub(r"\g<kept>", IMPORT.sub(taken, text))
    if left := LEFT.search(body):
        remedy = 'write `export const name = …` and `import { name } from "./module.js";`'
        raise JoinError(f"{name}: {left[0]}: {remedy}")
    names = ", ".join(exported(text))
    return f"const {variable(name.removesuffix('.js'))} = (() => {{\n{body}\nreturn {{ {names} }};\n}})();\n"


def join_workers(folder: Path) -> None:
    """Join each worker's script with its modules; what no page's script needs is then no file any more."""
    needed = {script: imported(folder, script) for script in WORKERS}
    texts = {name: (folder / name).read_text(encoding="utf-8") for names in needed.values() for name in names}
    of_pages = {name for script in (EARLY, PAGE) for name in imported(folder, script)}
    for script, names in needed.items():
        joined = "".join(as_function(name, texts[name]) for name in names)
        (folder / script).write_text(joined, encoding="utf-8", newline="\n")
    for name in texts.keys() - of_pages - set(WORKERS):
        if "/" not in name:
            (folder / name).unlink()


def join_scripts(folder: Path) -> None:
    """Join the page's script with its modules, and each worker's.

    Raises JoinError if one imports or exports otherwise than the others.
    """
    join_workers(folder)
    apart = set(imported(folder, EARLY))
    needed = imported(folder, PAGE)
    texts = {name: (folder / name).read_text(encoding="utf-8") for name in needed if name not in apart}
    beside = [name.removesuffix(".js") for name in needed if name in apart]
    lines = [f'import * as {variable(name)} from "./{name}.js";\n' for name in beside]
    lines += [as_function(name, text) for name, text in texts.items()]
    held = ", ".join(variable(name.removesuffix(".js")) for name in texts if name != PAGE)
    (folder / PAGE).write_text("".join((*lines, f"export {{ {held} }};\n")), encoding="utf-8", newline="\n")
    for name in texts.keys() - {PAGE}:
        own = variable(name.removesuffix(".js"))
        names = ", ".join(exported(texts[name]))
        handed_on = f'import {{ {own} }} from "./{PAGE}";\nexport const {{ {names} }} = {own};\n'
        (folder / name).write_text(handed_on, encoding="utf-8", newline="\n")
