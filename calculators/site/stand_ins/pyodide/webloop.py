"""Stands in for Pyodide's module of this name: the page's scripts wait, and Python is asked and answers.

Its event loop builds on `asyncio`, and that on sockets, signals, threads and logs: a tenth of the start.
"""

from importlib import import_module

scheduleCallback = import_module("pyodide_js._api").scheduleCallback  # noqa: N816 (Pyodide's name)
"""Nobody calls it: Pyodide tells its own objects by their numbers, and the loop's asking gives it one."""


def _initialize_event_loop() -> None:
    """Begin none."""
