"""Stands in for the standard library's module, in the browser; `importlib.abc` imports it."""

__all__: list[str] = []
