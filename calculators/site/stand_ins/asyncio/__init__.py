"""Stands in for the standard library's package, in the browser.

Pyodide's event loop builds on futures, tasks and events alone. Sockets, subprocesses, streams
and the loops of other systems, which `asyncio` also imports, take a tenth of the start.
"""

from .coroutines import *
from .events import *
from .events import BaseDefaultEventLoopPolicy as DefaultEventLoopPolicy
from .exceptions import *
from .futures import *
from .runners import *
from .tasks import *
