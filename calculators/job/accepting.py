"""The mark by which an answer that was accepted is known again."""

from collections.abc import Mapping
from json import dumps
from typing import Any

from calculators.declaring import Answer


def mark_of(answer: Answer) -> str:
    """A mark of an answer's values, to six figures: another answer has another. It is FNV-1a, of 64 bits."""
    mark = 0xCBF29CE484222325
    for byte in dumps(_rounded(answer.values), sort_keys=True).encode():
        mark = (mark ^ byte) * 0x100000001B3 % 2**64
    return f"{mark:016x}"


def _rounded(value: Any) -> Any:
    """Values with their numbers to six figures, in which browsers do not differ."""
    if isinstance(value, Mapping):
        return {name: _rounded(entry) for name, entry in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(entry) for entry in value]
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if number:
        return f"{round(value, 12) + 0.0:.6g}"  # What is left of a difference is 0, and has no sign.
    return value if isinstance(value, str | bool | None) else str(value)
