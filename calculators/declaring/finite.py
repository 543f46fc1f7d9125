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
_IN_A_LIST = frozenset({float, int, bool, NoneType})


def first_without_number(result: Any, arguments: Mapping[str, Any]) -> str | None:
    """Name of the first field of a result that holds NaN or infinity; None if all is well.

    NumPy's numbers are judged as Python's are, arrays and mappings by what they hold. Not looked at are the
    bytes of a file that is made piece by piece, for nobody has asked for them yet, and objects that keep
    nothing in ``__dict__``. Words that a reader gave anything such a name are not judged.
    """
    found = next(_fields(result, True), None)
    if found is None or not any(map(NO_NUMBER.search, _given(arguments))):
        return found
    return next(_fields(result, False), None)


def _fields(result: Any, words: bool) -> Iterator[str]:
    return (name for name, value in vars(result).items() if not _is_sound(value, words))


def _given(arguments: Mapping[str, Any]) -> Iterator[str]:
    """What the reader typed and chose, as text."""
    yield repr(arguments)
    for value in arguments.values():
        if isinstance(value, Kept):
            yield from (block.decode("ascii", "replace") for block in value.blocks())


def _is_sound(value: Any, words: bool) -> bool:
    if isinstance(value, float | int):
        return isfinite(value)
    if isinstance(value, str):
        return not (words and any(map(value.__contains__, _WORDS)) and NO_NUMBER.search(value))
    if isinstance(value, tuple | list | set | frozenset):
        if _IN_A_LIST.issuperset(map(type, value)):  # A curve has thousands, and this is asked at every key.
            return all(map(isfinite, filter(None, value)))
        return all(_is_sound(each, words) for each in value)
    if isinstance(value, Made):
        return _is_sound(value.text, words) and _is_sound(value.holds, words)
    if isinstance(value, type):
        return True
    if held := getattr(value, "__dict__", None):  # Before what follows, which asks for long.
        return all(_is_sound(each, words) for each in held.values())
    if isinstance(value, Complex):  # NumPy registers its own here.
        return cmath.isfinite(value)
    if isinstance(value, Mapping):
        return all(_is_sound(each, words) for pair in value.items() for each in pair)
    if hasattr(value, "tolist"):  # An array.
        return _is_sound(value.tolist(), words)
    return True
