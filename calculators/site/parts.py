"""What of our package a page fetches before its first answer, and what may wait until it is quiet.

The start (the library) holds what any answer needs. Beside it every calculator has a part: a zip of the
modules that it needs, alone or with others; and so has the job that is open, for filling a form from it. The
rest holds every module that is not in the start, for all else that a job is asked, a self-check and the
calculators of the next page; a part saves waiting for it, no more.
"""

import ast
import io
import zipfile
from collections.abc import Collection, Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path

from calculators.release import shipped_sources
from calculators.site.bytecode import OLDEST_ZIP_DATE
from calculators.stages import CONTENTS, find_calculator, module_of

DOOR = "calculators.browser"
WORKS_OTHERS_OUT = "calculators.job"
"""A calculator that imports it may need any other one: it waits for the rest."""
JOB, DESK = "job", "calculators.job.desk"
"""The part that fills a form from the open job, and its module; calculators that it asks have their own."""
REST = "rest"
PARTS = "parts"
"""The folder of the calculators' own parts: a device that keeps the handbook does without them."""
TEXTS = "texts"
"""The member of a part that holds what `compile_texts.py` made of its modules."""

type Imports = Mapping[str, Collection[str]]
"""Of each module of ours those of ours that it needs: its packages, and what it imports."""


def module_name(member: str) -> str:
    """Return the name under which a file inside an archive or folder is imported."""
    return member.removesuffix("c").removesuffix(".py").removesuffix("/__init__").replace("/", ".")


@cache
def imports_of(source: str, at_top: bool = False) -> tuple[str, ...]:
    """Return the names of the modules that a module's text imports, at its top alone or within too."""
    tree = ast.parse(source)
    names: list[str] = []
    for node in tree.body if at_top else statements(tree):
        if isinstance(node, ast.Import):
            names += (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names += [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
    return tuple(names)


def statements(above: ast.AST) -> Iterator[ast.stmt]:
    """Every statement, those within others too: imports are among them, and most of a text is expressions."""
    for name in ("body", "orelse", "handlers", "cases", "finalbody"):
        for node in getattr(above, name, ()):
            if isinstance(node, ast.stmt):
                yield node
            yield from statements(node)


def with_packages(name: str) -> list[str]:
    """Return a module's name after those of the packages that it lies in."""
    words = name.split(".")
    return [".".join(words[:count]) for count in range(1, len(words) + 1)]


def imports_within(package: Path) -> Imports:
    """Return what each module needs; what the door imports inside a function is left to the rest."""
    places = {
        module_name(path.relative_to(package.parent).as_posix()): path for path in shipped_sources(package)
    }
    needs = {}
    for name, path in places.items():
        source = path.read_text(encoding="utf-8")
        imported = imports_of(source, at_top=True) if name == DOOR else imports_of(source)
        reached = {module for each in (name, *imported) for module in with_packages(each)}
        needs[name] = (reached & places.keys()) - {name}
    return needs


def reached_from(roots: Iterable[str], needs: Imports) -> set[str]:
    """Return the modules that are imported when the `roots` are."""
    found, unread = set[str](), list(roots)
    while unread:
        if (name := unread.pop()) not in found:
            found.add(name)
            unread += needs[name]
    return found


def parts_of(package: Path) -> dict[str, set[str]]:
    """Return the modules of each calculator's part, by its name, of the `job` and of the `rest`."""
    needs = imports_within(package)
    start = reached_from([DOOR], needs)
    modules = {slug: module_of(stage, slug) for stage, entry in CONTENTS.items() for slug in entry.slugs}
    modules[JOB] = DESK
    whole = {name: reached_from([module], needs) for name, module in modules.items() if module in needs}
    parts = {
        name: needed - start
        for name, needed in whole.items()
        if name == JOB or WORKS_OTHERS_OUT not in needed
    }
    return {**parts, REST: needs.keys() - start}


def is_long(part: str) -> bool:
    """Whether it is the part of a calculator that takes long."""
    return part != JOB and find_calculator(part).is_long


def written_zip(members: Mapping[str, bytes]) -> bytes:
    """Return a zip of those members, stored as they are and undated."""
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_STORED) as archive:
        for name, contents in members.items():
            archive.writestr(zipfile.ZipInfo(name, OLDEST_ZIP_DATE), contents)
    return written.getvalue()


def read_zip(contents: bytes) -> dict[str, bytes]:
    """Return the members of a zip."""
    with zipfile.ZipFile(io.BytesIO(contents)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def divided(
    members: Mapping[str, bytes], parts: Mapping[str, Collection[str]], texts: Mapping[str, bytes]
) -> dict[str, bytes]:
    """Return the zips of the parts, and under an empty name that of all other members.

    `texts` holds what goes beside a part's modules.
    """
    names = {member: module_name(member) for member in members}
    zips = {
        part: written_zip(
            {member: members[member] for member, name in names.items() if name in modules}
            | {TEXTS: texts[part]}
        )
        for part, modules in parts.items()
    }
    start = {member: members[member] for member, name in names.items() if name not in parts[REST]}
    return {"": written_zip(start), **zips}
