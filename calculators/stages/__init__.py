"""The calculators, by the handbook's stages; one file a calculator, named after it.

``CONTENTS`` is read before any calculator's file is imported, so that a page wakes only the file it
needs. A test holds that it matches the files.
"""

from collections.abc import Container, Iterable
from dataclasses import dataclass
from importlib import import_module

from calculators.cautions import CAUTIONS
from calculators.declaring import Calculator, registered
from calculators.declaring.errors import DeclarationError, likeness
from calculators.sources import SOURCES


@dataclass(frozen=True)
class Stage:
    """A stage of the job: its title as the handbook prints it, and the names of its calculators."""

    title: str
    slugs: tuple[str, ...]


# By the folder under `calculators/stages/`, in the order of the job.
CONTENTS = {
    "survey": Stage("Vehicle survey", ("battery-state", "battery-drain", "level-dependence", "feed-table")),
    "design": Stage(
        "System design",
        (
            "current-draw",
            "charging-budget",
            "level-budget",
            "maximum-level",
            "sealed-box",
            "vented-box",
            "door-speaker",
            "cabin-gain",
            "driver-parameters",
            "driver-fit",
            "tweeter-limit",
            "slot-speed",
            "leak-return",
            "speaker-load",
            "passive-crossover",
            "gain-chain",
            "hold-up",
            "pre-charge",
        ),
    ),
    "quote": Stage("Quote and job plan", ("quote", "job-hours")),
    "treatment": Stage(
        "Sound treatment", ("treatment-plan", "panel-damping", "transmission-loss", "cure-time")
    ),
    "fabrication": Stage("Fabrication", ("box-volume", "load-floor", "fixing-load", "added-mass")),
    "wiring": Stage("Power and wiring", ("cable", "fuse", "speaker-lead", "wiring-schedule")),
    "pick_up": Stage("Signal pick-up", ("speaker-level-feed", "feed-sum", "flatten")),
    "commissioning": Stage("Commissioning", ("gain-voltage", "limiter")),
    "tuning": Stage(
        "Tuning",
        (
            "delay",
            "delay-two-seats",
            "all-pass",
            "crossover",
            "acoustic-slope",
            "sub-alignment",
            "filter",
            "level-trim",
            "starting-trim",
            "loudness-contour",
            "graphic-equaliser",
            "equaliser-headroom",
            "fir-correction",
            "target-curve",
            "phase-and-join",
            "opposed-band",
            "off-axis",
            "voice-place",
            "tone",
            "noise",
            "signals",
            "sweep",
            "response",
            "curve-average",
            "curve-smooth",
            "curve-compare",
            "spatial-spread",
            "tune",
            "read-back",
            "guided-tune",
        ),
    ),
    "verification": Stage("Verification", ("noise-at-ear",)),
    "handover": Stage("Handover and after-care", ("job-sheet",)),
    "learn": Stage(
        "Learn",
        (
            "sound-speed",
            "wavelength",
            "decibels",
            "third-octave",
            "path-cancellation",
            "level-sum",
            "noise-dose",
        ),
    ),
    "demonstrations": Stage(
        "Hear it before you buy",
        (
            "hear-alignment",
            "hear-two-seats",
            "hear-equaliser",
            "hear-subwoofer",
            "hear-clipping",
            "hear-hold-up",
            "hear-treatment",
            "blind-test",
        ),
    ),
    "customers": Stage("Having it done", ("first-upgrade",)),
}

ALIKE = 0.5
"""Share of pairs of letters from which on a name that is none is likely to be another one, mistyped."""


class NotHereError(ImportError):
    """The file of a calculator that there is has not come: a page fetches it by this name, and asks again."""


def find_calculator(slug: str) -> Calculator:
    """The calculator of that name.

    Raises KeyError for one that does not exist, with the names there are; for a file that
    `CONTENTS` forgot, with its place. Raises NotHereError for one whose file is not there.
    """
    for stage, entry in CONTENTS.items():
        if slug in entry.slugs:
            module = module_of(stage, slug)
            try:
                import_module(module)
            except ModuleNotFoundError as error:
                if not f"{module}.".startswith(f"{error.name}."):
                    raise
                raise NotHereError(slug) from error
            return with_known_keys(_declared(stage, slug))
    forgotten = place_forgotten(slug)
    if forgotten is not None:
        raise KeyError(
            f"{slug} is found in {forgotten}, but CONTENTS (calculators/stages/__init__.py) does not list it."
        )
    near = max(slugs_known(), key=lambda known: likeness(known, slug))
    perhaps = f" Perhaps {near}?" if likeness(near, slug) >= ALIKE else ""
    raise KeyError(f"There is no calculator called {slug!r}.{perhaps} There are: {', '.join(slugs_known())}.")


def _declared(stage: str, slug: str) -> Calculator:
    """The calculator of a file that was imported. Raises DeclarationError if it declares another one."""
    module = module_of(stage, slug)
    named = {name for name, entry in registered().items() if entry.function.__module__ == module}
    if slug in named:
        return registered()[slug]
    function = slug.replace("-", "_")
    instead = (
        f"what is decorated there is called {', '.join(named)}" if named else "nothing there is decorated"
    )
    raise DeclarationError(
        f"{module}: it declares no calculator {slug}: {instead}; decorate the function {function} "
        "with @calculator, as the file and CONTENTS are named"
    )


def with_known_keys(calculator: Calculator) -> Calculator:
    """The calculator, if its sources and cautions exist, and it has a source. Raises DeclarationError."""
    if not calculator.sources:
        raise DeclarationError(
            f"{calculator.place}: sources: it names none: give a key of calculators/sources.py, "
            "if only 'arithmetic' or 'common-practice'"
        )
    _check_keys(calculator, "source", calculator.sources, SOURCES)
    _check_keys(calculator, "caution", calculator.cautions, CAUTIONS)
    return calculator


def _check_keys(calculator: Calculator, what: str, keys: Iterable[str], known: Container[str]) -> None:
    if isinstance(keys, str):
        raise DeclarationError(f"{calculator.place}: {what}s: write them as a tuple of keys: ({keys!r},)")
    for key in keys:
        if key not in known:
            raise DeclarationError(
                f"{calculator.place}: {what}s: there is no {what} {key!r} in calculators/{what}s.py: "
                "add it there, or name one that is"
            )


def module_of(stage: str, slug: str) -> str:
    """Full name of the module that holds a calculator of a stage."""
    return f"{__name__}.{stage}.{slug.replace('-', '_')}"


def place_forgotten(slug: str) -> str | None:
    """File of a calculator that `CONTENTS` does not list, or None where there is none."""
    if not slug.replace("-", "").isalnum():
        return None
    for stage in CONTENTS:
        module = module_of(stage, slug)
        try:
            import_module(module)
        except ModuleNotFoundError as error:
            if error.name != module:
                raise
        else:
            return f"{module.replace('.', '/')}.py"
    return None


def slugs_known() -> tuple[str, ...]:
    """Names of all calculators, in the order of the job."""
    return tuple(slug for entry in CONTENTS.values() for slug in entry.slugs)


def every_calculator() -> tuple[Calculator, ...]:
    """All calculators, in the order of the job."""
    return tuple(find_calculator(slug) for slug in slugs_known())
