"""Stands in for the standard library's package: Pyodide asks whether a function is a coroutine's, no more."""

from inspect import iscoroutinefunction

__all__ = ["iscoroutinefunction"]
