"""Dangers that were told when a sheet was made: kept in its files, for what is typed in another day."""

import json
from collections.abc import Iterable

from calculators.declaring import Advice, InputError, Kept
from calculators.vocabulary.sheet_reading import NOT_A_SHEET, SHEET_FIELD

KEY = "dangers"
"""What a sheet as data calls them."""


def dangers_in(advice: Iterable[Advice]) -> tuple[str, ...]:
    """The words of those that are dangers."""
    return tuple(each.message for each in advice if each.danger)


def danger_advice(sheet: Kept | None) -> tuple[Advice, ...]:
    """The dangers of a sheet kept as data and read, told again. Raises InputError for what is none."""
    if sheet is None:
        return ()
    words = json.loads(b"".join(sheet.blocks()).decode().removeprefix("\ufeff")).get(KEY, [])
    if not isinstance(words, list) or not all(isinstance(each, str) for each in words):
        raise InputError(SHEET_FIELD, NOT_A_SHEET)
    return tuple(
        Advice(SHEET_FIELD, f"A danger told when this sheet was made: {each}", danger=True) for each in words
    )
