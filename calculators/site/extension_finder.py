"""Runs in the browser only: lets Python import NumPy's compiled modules.

The runtime keeps NumPy's Python part in a zip file, from which a compiled module cannot be
loaded. The worker hands each compiled module to Pyodide under a path of its own; this finder
names that path when the module is imported. It stands last among the finders, so it is asked
only for what no other finder has.
"""

import sys
from collections.abc import Sequence
from importlib.machinery import ExtensionFileLoader, ModuleSpec
from types import ModuleType


class ExtensionFinder:
    """Finds the modules named in `paths`: full module name to the path the worker chose."""

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


def install(names: str, folder: str) -> None:
    """Make the compiled modules in `names` (blank between them) importable from `folder`."""
    paths = {name: f"{folder}/{name}" for name in names.split()}
    sys.meta_path.append(ExtensionFinder(paths))
