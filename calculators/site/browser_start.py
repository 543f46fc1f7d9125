"""Runs in the browser only, before anything else: two ways to be ready sooner.

The runtime keeps NumPy's Python part in a zip file, from which a compiled module cannot be
loaded. The worker hands each compiled module to Pyodide under a path of its own;
`ExtensionFinder` names that path when the module is imported. What few answers need, the worker hands over
late, and a module stands in for it till something of it is used (`late`).

Dataclasses and named tuples write their methods as text and compile them each time they are
declared, and regular expressions are compiled each time Python starts. In a browser that takes
longer than all the rest of our imports. The build has compiled the same texts already (see
`compile_texts.py`); `use_compiled_texts` puts what it made in their place. A text that the build
has not seen is compiled as ever.
"""

import marshal
import sys
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from importlib import import_module
from importlib.machinery import ExtensionFileLoader, ModuleSpec
from importlib.util import module_from_spec
from types import CodeType, ModuleType
from typing import Any
from zipimport import zipimporter


class ExtensionFinder:
    """Finds the modules named in `paths`: full module name to the path the worker chose.

    It stands last among the finders, so it is asked only for what no other finder has.
    """

    def __init__(self) -> None:
        """Know of none."""
        self.paths: dict[str, str] = {}

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Return how to load `name`, or None if it is not one of the compiled modules."""
        if name not in self.paths:
            return None
        place = self.paths[name]
        return ModuleSpec(name, ExtensionFileLoader(name, place), origin=place)


_extensions = ExtensionFinder()


def add_extensions(names: str, folder: str) -> None:
    """Make the compiled modules in `names` (blank between them) importable from `folder`."""
    if _extensions not in sys.meta_path:
        sys.meta_path.append(_extensions)
    _extensions.paths |= {name: f"{folder}/{name}" for name in names.split()}


class LateExtensionError(ImportError):
    """Something of a compiled module is used that the worker has not handed over yet; then it asks again."""


def late(name: str) -> Callable[[str], Any]:
    """Return what gives the names of a compiled module, for the module that stands in for it.

    Where one is asked for that the worker has not handed over, it raises LateExtensionError.
    """

    @cache
    def compiled() -> Any:
        spec: Any = _extensions.find_spec(name)
        if not spec:
            raise LateExtensionError(name)
        module = module_from_spec(spec)
        spec.loader.exec_module(module)
        return module

    def named(wanted: str) -> Any:
        if wanted.startswith("__"):  # Whoever imports a module asks for such.
            raise AttributeError(wanted)
        return getattr(compiled(), wanted)

    return named


class PartFinder:
    """Finds the modules of zips that came after the start; `places` tells the zip of each."""

    def __init__(self) -> None:
        """Know of none."""
        self.places: dict[str, str] = {}

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Return how to load `name`, or None if it came in no part."""
        if name not in self.places:
            return None
        folder = name.rpartition(".")[0].replace(".", "/")
        return zipimporter(f"{self.places[name]}/{folder}".rstrip("/")).find_spec(name)


_parts = PartFinder()


def add_part(path: str) -> None:
    """Make the modules of a zip importable, and use what the build has compiled for them."""
    if _parts not in sys.meta_path:
        sys.meta_path.append(_parts)
    part = zipimporter(path)
    _parts.places |= dict.fromkeys(modules_of(part), path)
    if "texts" in part._files:  # type: ignore[attr-defined]
        _texts.update(marshal.loads(part.get_data("texts")))


def modules_of(archive: Any) -> list[str]:
    """Name the modules that a zip's loader knows."""
    members = (member for member in archive._files if member.endswith(".pyc"))
    return [member.removesuffix(".pyc").removesuffix("/__init__").replace("/", ".") for member in members]


def not_loaded() -> list[str]:
    """Name the modules that have come to the page and that nothing has imported yet."""
    names = [*modules_of(import_module("calculators").__loader__), *_parts.places]
    return [name for name in names if name not in sys.modules]


_texts: dict[str, CodeType] = {}
"""Methods of dataclasses and named tuples that the build has compiled, by their text."""


def forget_texts() -> None:
    """Let go of the texts once each module that asks for them is loaded: a part brings its own."""
    _texts.clear()


def made_of(text: str) -> CodeType | str:
    """Return what the build has compiled of a text, or the text itself."""
    return _texts.get(text) or text


def use_compiled_texts() -> None:
    """Let `re`, `collections` and `dataclasses` take from the build what they would compile."""
    compiled_texts: Any = import_module("compiled_texts")
    table = marshal.loads(compiled_texts.MARSHALLED)
    compiled_texts.MARSHALLED = b""
    compiler: Any = import_module("re._compiler")
    compiler.compile = pattern_maker(table["patterns"], compiler.compile)
    _texts.update(table["texts"])
    # These modules look `eval` and `exec` up among their own names first.
    vars(import_module("collections"))["eval"] = lambda text, names: eval(made_of(text), names)
    vars(import_module("dataclasses"))["exec"] = lambda text, *names: exec(made_of(text), *names)


def pattern_maker(
    made: Mapping[tuple[str | bytes, int], tuple[Any, ...]], otherwise: Callable[..., Any]
) -> Callable[..., Any]:
    """Return what `re` calls to compile a pattern: take it ready `made`, or compile it `otherwise`."""
    construct = import_module("_sre").compile

    def compile_pattern(pattern: Any, flags: int = 0) -> Any:
        ready = made.get((pattern, flags)) if isinstance(pattern, str | bytes) else None
        return construct(pattern, *ready) if ready else otherwise(pattern, flags)

    return compile_pattern
