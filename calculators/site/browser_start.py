"""Runs in the browser only, before our package is imported: two ways to get there sooner.

The runtime keeps NumPy's Python part in a zip file, from which a compiled module cannot be
loaded. The worker hands each compiled module to Pyodide under a path of its own;
`ExtensionFinder` names that path when the module is imported.

A dataclass writes its methods as text and compiles them each time it is declared, which takes
Python in a browser longer than all the rest of our imports. The build has compiled the same
texts already (see `dataclass_texts.py`); `use_compiled_dataclasses` puts that code in their
place. A text the build has not seen is compiled as ever.
"""

import dataclasses
import marshal
import sys
from collections.abc import Sequence
from importlib import import_module
from importlib.machinery import ExtensionFileLoader, ModuleSpec
from types import CodeType, ModuleType
from typing import Any


class ExtensionFinder:
    """Finds the modules named in `paths`: full module name to the path the worker chose.

    It stands last among the finders, so it is asked only for what no other finder has.
    """

    def __init__(self, paths: dict[str, str]) -> None:
        """Keep the paths."""
        self.paths = paths

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Return how to load `name`, or None if it is not one of the compiled modules."""
        if name not in self.paths:
            return None
        place = self.paths[name]
        return ModuleSpec(name, ExtensionFileLoader(name, place), origin=place)


def install_extensions(names: str, folder: str) -> None:
    """Make the compiled modules in `names` (blank between them) importable from `folder`."""
    paths = {name: f"{folder}/{name}" for name in names.split()}
    sys.meta_path.append(ExtensionFinder(paths))


def use_compiled_dataclasses() -> None:
    """Let `dataclasses` take the code of its methods from the build, text by text."""
    compiled: dict[str, CodeType] = marshal.loads(import_module("dataclass_code").MARSHALLED)

    def execute(text: str, names: dict[str, Any], results: dict[str, Any]) -> None:
        exec(compiled.get(text, text), names, results)

    # The module looks `exec` up among its own names first.
    vars(dataclasses)["exec"] = execute
