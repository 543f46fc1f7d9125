"""Find the modules that the browser's runtime needs, by running everything in it.

    python -m tests.site.kept_modules

builds a runtime with the whole standard library and NumPy, runs every calculator in it in
Chromium, and rewrites `calculators/site/kept_modules.txt`.
"""

import inspect
import tempfile
import zipfile
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser

from calculators.site import fetching, runtime
from calculators.site.parts import module_name
from tests.benchmarks.browser import open_browser, run_in_runtime

# Python text that the probe runs. It imports all of our package, answers every example and a
# form full of nonsense for each calculator, and fails once, so that a traceback is written.
# NumPy loads its parts `ma` (for median) and `fft` when they are first used.
EXERCISE = """
import _imp, json, sys, traceback

asked_in_vain = set()

class LastFinder:
    @staticmethod
    def find_spec(name, path=None, target=None):
        asked_in_vain.add(name)

sys.meta_path.append(LastFinder)

import numpy
numpy.median([1.0, 2.0]), numpy.fft.rfft([1.0, 2.0, 3.0, 4.0]), numpy.linalg.solve([[2.0]], [1.0])
import calculators
import browser_start
for name in sorted(browser_start.not_loaded()):
    if name.startswith("calculators"):
        __import__(name)
from calculators.browser import answer
from calculators.declaring.running import example_fields
from calculators.stages import every_calculator

unanswered = []
for calculator in every_calculator():
    example = example_fields(calculator)
    for inputs in (example, dict.fromkeys(example, "x"), {}):
        reply = json.loads(answer(json.dumps({"calculator": calculator.slug, "inputs": inputs})))
        if inputs is example and reply["errors"]:
            unanswered.append([calculator.slug, reply["errors"]])
try:
    answer(json.dumps({"calculator": "no-such-calculator", "inputs": {}}))
except Exception:
    traceback.format_exc()

import compiled_texts, importlib, marshal, re
importlib.reload(compiled_texts)  # Python has let go of it.
table = marshal.loads(compiled_texts.MARSHALLED)
wrong_patterns = [
    str(pattern) for (pattern, flags), ready in table["patterns"].items()
    if ready[1] != [*re._compiler._code(re._parser.parse(pattern, flags), flags)]
]

json.dumps({
    "letters": letters(),
    "frozen": [name for name in _imp._frozen_module_names() if not _imp.get_frozen_object(name)],
    "wrong_patterns": wrong_patterns,
    "compiled": [len(table["patterns"]), len(table["texts"])],
    "loaded": sorted(sys.modules),
    "asked_in_vain": sorted(asked_in_vain),
    "unanswered": unanswered,
    "versions": [sys.version.split()[0], numpy.__version__],
})
"""


def letters() -> int:
    """What an interpreter knows of the letters of the world, as one number; it runs in the page too."""
    import zlib

    every = "".join(map(chr, [*range(0xD800), *range(0xE000, 0x10000)]))
    kinds = "".join(f"{letter.isalnum():d}{letter.isidentifier():d}" for letter in every)
    return zlib.crc32((every.upper() + every.lower() + every.casefold() + kinds).encode())


def stock_modules() -> set[str]:
    """Return the names of all modules in Pyodide's standard library and NumPy's wheel."""
    cache = fetching.fetch()
    names = set()
    for archive in (runtime.LIBRARY, runtime.NUMPY_WHEEL):
        with zipfile.ZipFile(cache / archive) as opened:
            members = opened.namelist()
        names |= {module_name(member) for member in members if member.endswith(".py")}
    return names | set(runtime.extension_modules(cache, None))


def exercise(browser: Browser, folder: Path, modules: list[str] | None) -> dict[str, Any]:
    """Build a runtime with those modules in `folder` and run EXERCISE in it."""
    runtime.build_runtime(folder, modules=modules)
    return dict(run_in_runtime(browser, folder, inspect.getsource(letters) + EXERCISE))


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as temporary, open_browser() as opened:
        loaded = exercise(opened, Path(temporary), None)["loaded"]
    kept = sorted(set(loaded) & stock_modules())
    (runtime.HERE / "kept_modules.txt").write_text("\n".join(kept) + "\n", encoding="utf-8")
    print(f"{len(kept)} modules are needed.")
