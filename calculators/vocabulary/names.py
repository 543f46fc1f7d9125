"""Names that a reader gives to things, as they are compared, and signs by which things are told apart."""

from binascii import crc32
from functools import lru_cache


@lru_cache(1024)  # A wiring schedule compares each of its names some hundred times.
def name_key(name: str) -> str:
    """A name however it was typed, capitals and spaces forgiven: one word for one thing."""
    return " ".join(name.split()).casefold()


def four_signs(words: str) -> str:
    """Four signs that stand for words, such as 3D2A: others have the same once in 65,536 times."""
    return f"{crc32(words.encode()) & 0xFFFF:04X}"
