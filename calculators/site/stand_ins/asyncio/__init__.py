# ruff: noqa: F403
"""Stands in for the standard library's package, in the browser.

Pyodide's event loop builds on futures, tasks and events alone. Sockets, subprocesses, streams
and the loops of other systems, which `asyncio` also imports, take a tenth of the start.
"""

from asyncio.coroutines import *
from asyncio.events import *
from asyncio.events import BaseDefaultEventLoopPolicy as DefaultEventLoopPolicy  # noqa: F401
from asyncio.exceptions import *
from asyncio.futures import *
from asyncio.runners import *
from asyncio.tasks import *
