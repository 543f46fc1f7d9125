"""Each limit from which a tune tells something stands in the one row that the page prints."""

import ast
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

from calculators.vocabulary import tune_told

ROOM = Path(tune_told.__file__).parent
TELLS = re.compile(r"\b(told|danger)\b")


def limits(text: str) -> Iterator[str]:
    """The constants of a file whose words, under them, say that something is told from there on."""
    body = ast.parse(text).body
    for node, words in pairwise(body):
        if isinstance(node, ast.Assign) and isinstance(words, ast.Expr) and TELLS.search(ast.unparse(words)):
            yield from (name.id for name in ast.walk(node.targets[0]) if isinstance(name, ast.Name))


def test_each_limit_from_which_a_tune_tells_stands_in_its_row() -> None:
    files = [path for path in ROOM.glob("tune_*.py") if path.name != "tune_told.py"]
    found = {name for path in files for name in limits(path.read_text(encoding="utf-8"))}
    assert {"SIDES_UNLIKE", "OFF_TAPE", "LIFT_WHERE_UNSAFE"} <= found
    row = (ROOM / "tune_told.py").read_text(encoding="utf-8")
    found -= {"FEWEST_TO_SCATTER"}  # Points that a scatter takes.
    assert {name for name in found if not re.search(rf"\b{name}\b", row)} == set()


def test_a_limit_that_is_told_is_found_by_its_words() -> None:
    text = 'NEAR, FAR = 1.0, 2.0\n"""dB; more is a danger."""\nSTEP = 0.1\n"""dB."""\n'
    assert [*limits(text)] == ["NEAR", "FAR"]
