"""Stands in for NumPy's module of this name: no page reads arrays from files, or writes them there."""

from typing import Any

from numpy._core.multiarray import packbits, unpackbits

__all__ = ["packbits", "unpackbits"]


class DataSource:
    """Where arrays would come from."""


class NpzFile:
    """Several arrays in a file."""


def savetxt(*_: Any, **__: Any) -> Any:
    """Refuse: there are no files."""
    raise NotImplementedError


loadtxt = genfromtxt = load = save = savez = savez_compressed = fromregex = savetxt
