"""The page's script as one file: a browser asks once instead of for each module when another has named it.

A module becomes a function that is called once and returns what the module exports, so names stay its own.
What comes later (`import()`) asks for modules by their files as ever: each joined one leaves a file there
that hands on what the joined script holds, so that nothing starts twice. What the script that comes before
the page's loads too is joined apart. A worker is one file with all it needs at its start.
"""

import re
from collections.abc import Iterator
from pathlib import Path

PAGE = "page.js"
ENGINE = "engine.js"
"""What the script that starts before the page's needs of it."""
WORKER = "worker.js"
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
    """The name under which the joined script holds a module."""
    return "$" + re.sub(r"[-/]", "_", module.removesuffix(".js"))


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
    return f"const {variable(name)} = (() => {{\n{body}\nreturn {{ {names} }};\n}})();\n"


def join_worker(folder: Path) -> None:
    """Join the worker's script with its modules; what no page's script needs is then no file any more."""
    needed = imported(folder, WORKER)
    of_pages = {name for script in (ENGINE, PAGE) for name in imported(folder, script)}
    joined = "".join(as_function(name, (folder / name).read_text(encoding="utf-8")) for name in needed)
    (folder / WORKER).write_text(joined, encoding="utf-8", newline="\n")
    for name in {*needed} - of_pages - {WORKER}:
        if "/" not in name:
            (folder / name).unlink()


def join_scripts(folder: Path) -> None:
    """Join the page's script with its modules, what comes before it with its own, and the worker's.

    Raises JoinError if one imports or exports otherwise than the others.
    """
    join_worker(folder)
    before, needed = imported(folder, ENGINE), imported(folder, PAGE)
    held = ", ".join(map(variable, before))
    join_into(
        folder,
        PAGE,
        [name for name in needed if name not in before],
        f'import {{ {held} }} from "./{ENGINE}";\n',
    )
    join_into(folder, ENGINE, before)


def join_into(folder: Path, script: str, names: list[str], head: str = "") -> None:
    """Join modules into the script that is the last of them; each other's file hands on what it exports."""
    texts = {name: (folder / name).read_text(encoding="utf-8") for name in names}
    handed_on = {
        name: f"export const {{ {', '.join(exported(text))} }} = {variable(name)};\n"
        for name, text in texts.items()
    }
    lines = [as_function(name, text) for name, text in texts.items()]
    held = ", ".join(map(variable, names))
    (folder / script).write_text(
        "".join((head, *lines, f"export {{ {held} }};\n", handed_on.pop(script))),
        encoding="utf-8",
        newline="\n",
    )
    for name, line in handed_on.items():
        (folder / name).write_text(
            f'import {{ {variable(name)} }} from "./{script}";\n{line}', encoding="utf-8", newline="\n"
        )
