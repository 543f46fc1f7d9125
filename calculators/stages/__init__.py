"""The calculators, one file for each stage of the job.

``CONTENTS`` is read before any stage file is imported, so that a page wakes only the file it
needs. A test holds that it matches the files.
"""

from importlib import import_module

from calculators.declaring import Calculator, registered

CONTENTS = {
    "sound": ("sound-speed", "wavelength", "decibels", "third-octave"),
    "paths": ("path-cancellation", "level-sum", "phase-and-join", "opposed-band"),
    "hearing": ("noise-dose",),
    "passive": ("passive-crossover",),
    "directivity": ("off-axis",),
    "crossovers": ("crossover",),
    "alignment": ("delay",),
    "voice": ("voice-place",),
    "levelling": ("level-trim",),
    "single_filter": ("filter",),
    "loads": ("speaker-load",),
    "design": ("current-draw", "charging-budget"),
    "loudness": ("maximum-level", "level-budget"),
    "cable_size": ("cable",),
    "power": ("fuse",),
    "cables": ("speaker-lead",),
    "supply": ("battery-drain", "battery-state"),
    "pre_charging": ("pre-charge",),
    "hold_up": ("hold-up",),
    "wiring": ("wiring-schedule",),
    "chain": ("gain-chain",),
    "limiting": ("limiter",),
    "commissioning": ("gain-voltage", "noise-at-ear"),
    "graphic": ("graphic-equaliser",),
    "equaliser": ("equaliser-headroom",),
    "targets": ("target-curve",),
}


def find(slug: str) -> Calculator:
    """The calculator of that name.

    Raises KeyError, with the names there are, for one that does not exist.
    """
    for stage, slugs in CONTENTS.items():
        if slug in slugs:
            import_module(f"calculators.stages.{stage}")
            return registered()[slug]
    raise KeyError(f"There is no calculator called {slug!r}. There are: {', '.join(slugs_known())}.")


def slugs_known() -> tuple[str, ...]:
    """Names of all calculators, in the order of the job."""
    return tuple(slug for slugs in CONTENTS.values() for slug in slugs)


def every_calculator() -> tuple[Calculator, ...]:
    """All calculators, in the order of the job."""
    return tuple(find(slug) for slug in slugs_known())
