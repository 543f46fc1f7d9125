"""Python runs this by itself as soon as it starts, before Pyodide imports anything."""

from importlib import import_module

import_module("browser_start").use_compiled_texts()
