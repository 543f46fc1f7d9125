"""What may go wrong in the science: a file with one thing wrong, drawn the same in every run.

A fault is a number one off or a tenth larger, another operator, another comparison, a condition turned
round, the largest for the smallest. Some lead to the same outcome: these are listed in
`explained_faults.toml`, each with its reason, and so is no other.
"""

import ast
import hashlib
import random
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import islice
from pathlib import Path

from tests.reach import ROOT

NONE = -1
EXPLAINED = ROOT / "tests" / "explained_faults.toml"
"""Faults that lead to the same outcome for every reader, each with its reason."""
OTHER: dict[type[ast.AST], tuple[type[ast.AST], ...]] = {
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.Div,),
    ast.Div: (ast.Mult,),
    ast.FloorDiv: (ast.Div,),
    ast.Mod: (ast.Mult,),
    ast.Pow: (ast.Mult,),
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.GtE),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.LtE),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.And: (ast.Or,),
    ast.Or: (ast.And,),
    ast.USub: (ast.UAdd,),
}
type Reading = tuple[str, str, str, str, str]
"""File, function, what was and what is now; and the place in its line, or nothing."""
NO_WORK = {"example", "decimals", "figures", "frozen", "kw_only", "strict"}
"""Words by which nothing is worked out: what is shown, how a result is built, a guard of equal lengths."""
NAMES = {"min": "max", "any": "all", "sin": "cos", "floor": "ceil", "minimum": "maximum", "argmin": "argmax"}
NAMES |= {other: name for name, other in NAMES.items()}


@dataclass(frozen=True)
class Fault:
    """A file with one thing wrong: where, the function that holds it, if one does, and how that reads.

    at: its line, with a `¦` where it begins.
    """

    path: Path
    place: int
    which: int
    function: str
    was: str
    now: str
    at: str

    @cached_property
    def text(self) -> str:
        """The whole file, fault and all; of none, as it is."""
        tree = ast.parse(self.path.read_text(encoding="utf-8"))
        if self.which != NONE:
            changes(next(islice(nodes(tree), self.place, None)))[self.which]()
        return ast.unparse(tree)

    @cached_property
    def key(self) -> str:
        """What a verdict is kept under; another one as soon as anything in the file is changed."""
        return hashlib.sha256(f"{self.file}\n{self.text}".encode()).hexdigest()[:24]

    def left_out(self) -> "Fault":
        """The same file without it."""
        return replace(self, which=NONE)

    @property
    def file(self) -> str:
        """Its file, as it stands in the repository."""
        return self.path.relative_to(ROOT).as_posix()

    @property
    def readings(self) -> tuple[Reading, Reading]:
        """What it is listed by: without its place and, where others of its function read alike, with it."""
        return tuple((self.file, self.function, self.was, self.now, at) for at in ("", self.at))

    def __str__(self) -> str:
        return f"{self.file} {self.function}\n      was {self.was}\n      now {self.now}"


@cache
def explained() -> dict[Reading, str]:
    """The reasons in `EXPLAINED`, by the reading of each fault."""
    listed = tomllib.loads(EXPLAINED.read_text(encoding="utf-8")).get("fault", [])
    return {
        (one["file"], one["function"], one["was"], one["now"], one.get("at", "")): one["why"]
        for one in listed
    }


def changes(node: ast.AST) -> list[Callable[[], None]]:
    """What may go wrong at one node; each is done in place."""
    if isinstance(node, ast.Constant) and isinstance(node.value, bool):
        return [lambda: setattr(node, "value", not node.value)]
    if isinstance(node, ast.Constant) and isinstance(node.value, int):
        return [lambda by=by: setattr(node, "value", node.value + by) for by in (1, -1)]
    if isinstance(node, ast.Constant) and isinstance(node.value, float):
        return [lambda: setattr(node, "value", node.value * 1.1 or 1.0)]
    if isinstance(node, ast.Compare):
        first, *others = node.ops
        return [
            lambda kind=kind: setattr(node, "ops", [kind(), *others]) for kind in OTHER.get(type(first), ())
        ]
    if isinstance(node, ast.BinOp | ast.BoolOp | ast.UnaryOp):
        return [lambda kind=kind: setattr(node, "op", kind()) for kind in OTHER.get(type(node.op), ())]
    if isinstance(node, ast.If | ast.IfExp | ast.While):
        return [lambda: setattr(node, "test", ast.UnaryOp(ast.Not(), node.test))]
    if isinstance(node, ast.Name) and node.id in NAMES:
        return [lambda: setattr(node, "id", NAMES[node.id])]
    if isinstance(node, ast.Attribute) and node.attr in NAMES:
        return [lambda: setattr(node, "attr", NAMES[node.attr])]
    return []


def nodes(tree: ast.AST) -> Iterator[ast.AST]:
    """Every node but those under the words of `NO_WORK`."""
    left_out = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.keyword) and node.arg in NO_WORK
        for inner in ast.walk(node)
    }
    return (node for node in ast.walk(tree) if id(node) not in left_out)


def functions(tree: ast.AST, above: str = "") -> dict[int, str]:
    """The full name of the function that holds each node, by the node's identity; as Python writes it."""
    found = {}
    for node in ast.iter_child_nodes(tree):
        inside = above
        if isinstance(node, ast.FunctionDef):
            inside = f"{above}{node.name}"
            for statement in node.body:
                found |= {id(inner): inside for inner in ast.walk(statement)}
            inside += ".<locals>."
        elif isinstance(node, ast.ClassDef):
            inside = f"{above}{node.name}."
        found |= functions(node, inside)
    return found


def faults(path: Path) -> Iterator[Fault]:
    """The file with one fault after another, in an order that is the same in every run."""
    text = path.read_text(encoding="utf-8")
    tree, lines = ast.parse(text), text.splitlines()
    within, above = functions(tree), parents(tree)
    every = list(nodes(tree))
    places = [(place, which) for place, node in enumerate(every) for which in range(len(changes(node)))]
    random.Random(path.relative_to(ROOT).as_posix()).shuffle(places)
    for place, which in places:
        node = every[place]
        shown = node if isinstance(node, ast.Compare | ast.BinOp | ast.BoolOp) else above[id(node)]
        shown = node if isinstance(node, ast.If | ast.IfExp | ast.While) else shown
        before, was = dict(vars(node)), reads(shown)
        changes(node)[which]()
        now = reads(shown)
        vars(node).update(before)
        yield Fault(path, place, which, within.get(id(node), ""), was, now, marked(lines, node))


def parents(tree: ast.AST) -> dict[int, ast.AST]:
    """What each node is a part of, by the node's identity."""
    return {id(inner): node for node in ast.walk(tree) for inner in ast.iter_child_nodes(node)}


def marked(lines: list[str], node: ast.expr | ast.stmt) -> str:
    """The line on which a node begins, with a `¦` before it."""
    line = lines[node.lineno - 1].encode()
    return f"{line[: node.col_offset].decode()}¦{line[node.col_offset :].decode()}".strip()


def reads(node: ast.AST) -> str:
    """A node in one line: of a condition and what hangs on it, the condition."""
    return ast.unparse(node.test if isinstance(node, ast.If | ast.While) else node)
