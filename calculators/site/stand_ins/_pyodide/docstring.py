"""Stands in for Pyodide's module of this name, in the browser.

Pyodide works out a signature and a docstring for each method of its JavaScript objects when it
starts. Nobody reads them in a page.
"""

from collections.abc import Callable
from typing import Any


def get_cmeth_docstring(func: Callable[..., Any]) -> str:
    """Return the least that CPython takes as the docstring of a method written in C."""
    return f"{func.__name__}()\n--\n\n"


def dedent_docstring(docstring: str) -> str:
    """Return the docstring as it is."""
    return docstring
