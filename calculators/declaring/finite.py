"""The one door that keeps NaN and infinity from a reader, whatever part of an answer they stand in."""

import cmath
import re
from collections.abc import Iterator, Mapping
from math import isfinite
from numbers import Complex
from types import NoneType
from typing import Any

from calculators.declaring.kept import Kept, Made

_WORDS = ("nan", "NaN", "inf", "Infinity")
"""How Python and JSON write what is no number, in a sentence or a file."""
NO_NUMBER = re.compile(rf"\b(?:{'|'.join(_WORDS)})\b")
_NUMBERS = float, int  # No unions: to look into one takes half as long again, at every part of an answer.
_LISTS = tuple, list, set, frozenset
_IN_A_LIST = frozenset({float, int, bool, NoneType})


def first_without_number(result: Any, arguments: Mapping[str, Any]) -> str | None:
    """Name of the first field of a result that holds NaN or infinity; None if all is well.

    NumPy's numbers are judged as Python's are, arrays and mappings by what they hold. Not looked at are the
    bytes of a file that is made piece by piece, for nobody has asked for them yet, and objects that keep
    nothing in ``__dict__``. Words that a reader gave anything such a name are not judged.
    """
    # So are nearly all: one look, and not one for each field.
    if _is_sound(list(vars(result).values()), True):
        return None
    words = not any(map(NO_NUMBER.search, _given(arguments)))
    return next((name for name, value in vars(result).items() if not _is_sound(value, words)), None)


def _given(arguments: Mapping[str, Any]) -> Iterator[str]:
    """What the reader typed and chose, as text."""
    yield repr(arguments)
    for value in arguments.values():
        if isinstance(value, Kept):
            yield from (block.decode("ascii", "replace") for block in value.blocks())


def _is_sound(value: Any, words: bool) -> bool:
    pending, texts = [value], []
    while pending:
        each = pending.pop()
        if isinstance(each, str):
            texts.append(each)
        elif isinstance(each, _NUMBERS):
            if not isfinite(each):
                return False
        elif isinstance(each, _LISTS):
            if not _IN_A_LIST.issuperset(map(type, each)):
                pending += each
            elif not all(map(isfinite, filter(None, each))):  # A curve has thousands.
                return False
        elif each is None or isinstance(each, type):
            continue
        elif held := getattr(each, "__dict__", None):  # Before what follows, which asks for long.
            pending += (each.text, each.holds) if isinstance(each, Made) else held.values()
        elif isinstance(each, Complex):  # NumPy registers its own here.
            if not cmath.isfinite(each):
                return False
        elif isinstance(each, Mapping):
            pending += each.keys()
            pending += each.values()
        elif hasattr(each, "tolist"):  # An array.
            pending.append(each.tolist())
    said = "\n".join(texts) if words else ""
    return not (any(map(said.__contains__, _WORDS)) and NO_NUMBER.search(said))
