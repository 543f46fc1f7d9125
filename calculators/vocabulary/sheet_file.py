"""A tuning sheet kept as data, read again: its channels, and the dangers that were told when it was made."""

import json
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from calculators.declaring import Advice, File, InputError, Kept
from calculators.declaring.errors import short
from calculators.vocabulary.names import name_key
from calculators.vocabulary.sheet_reading import Line, Peak

SHEET_FIELD = "sheet"
SHEET = File(
    "The sheet",
    most=1_000_000,
    accept=".json,application/json",
    help="“Sheet as data”, kept from the tune.",
    optional=True,
)
FAMILY, SLOPE = "Linkwitz-Riley", 24.0
"""Of every crossover of a sheet; dB per octave."""
UNITS = {"frequency": "Hz", "delay": "s", "gain": "dB"}
CROSSOVERS = f"{FAMILY}, {SLOPE:g} dB per octave"
FILTER_KIND = "peak"
"""What a sheet as data says of itself; one that says otherwise is not of these numbers."""
DANGERS = "dangers"
"""What a sheet as data calls what was told as a danger."""
MOST_PEAK_GAIN, LEAST_PEAK_Q, MOST_PEAKS_OF_A_CHANNEL = 100.0, 0.01, 100
"""dB, up or down, Q, and how many: what a channel's filters on a sheet may be."""
LOWEST_ON_SHEET, HALF_RATE = 1.0, 24_000.0
"""Hz: corners and filters of a sheet lie from the one up to, but not at, the other: half the sample rate that
the tune reckons with."""
LEAST_ON_SHEET, MOST_ON_SHEET = -100.0, 12.0
"""dB: a channel's on a sheet. The tune itself never goes over 0 dB."""
MOST_DELAY = 0.2
"""s: the longest delay that the tune's form lets a processor have."""
_ALL_PASS = re.compile(r"(?:second order, )?(?P<frequency>\d+(?:\.\d+)?) Hz, Q (?P<q>\d+(?:\.\d+)?)")
NEWER = "A newer release of this handbook made this sheet: load this page anew, and choose the file again."
NOT_A_SHEET = "This is no sheet of the tune. Keep “Sheet as data” there, and choose that file."


@dataclass(frozen=True)
class Sheet:
    """A sheet read: its channels, and the words of each danger that was told when it was made."""

    lines: tuple[Line, ...]
    dangers: tuple[str, ...] = ()

    def advice(self) -> tuple[Advice, ...]:
        """Those dangers, told again: it may be typed in another day than it was made."""
        return tuple(
            Advice(SHEET_FIELD, f"A danger told when this sheet was made: {each}", danger=True)
            for each in self.dangers
        )


def dangers_in(advice: Iterable[Advice]) -> tuple[str, ...]:
    """The words of those that are dangers."""
    return tuple(each.message for each in advice if each.danger)


def read_sheet(kept: Kept) -> Sheet:
    """A sheet kept as data. Raises InputError, about its field, for anything else."""
    try:
        # Some editors write a mark before the text; the page's Python knows no name of an encoding but UTF-8.
        text = b"".join(kept.blocks()).decode().removeprefix("\ufeff")
        data = json.loads(text, object_pairs_hook=_once_each)
        if data["format"] != "tuning-sheet" or isinstance(data["version"], bool):
            raise InputError(SHEET_FIELD, NOT_A_SHEET)
        if data["version"] != 1:
            raise InputError(SHEET_FIELD, NEWER if data["version"] > 1 else NOT_A_SHEET)
        _refuse_otherwise("units", data.get("units", UNITS), UNITS)
        _refuse_otherwise("crossovers", data.get("crossovers", CROSSOVERS), CROSSOVERS)
        if not _number(data.get("sample_rate", 2 * HALF_RATE)) > 0:
            raise ValueError(data["sample_rate"])
        trim = _number(data["trim_in_front"]) if "trim_in_front" in data else None
        if trim is not None and not LEAST_ON_SHEET <= trim <= 0:
            raise ValueError(trim)
        lines = tuple(replace(_line(each), trim=trim) for each in data["channels"])
        dangers = data.get(DANGERS, [])
        if not isinstance(dangers, list) or not all(isinstance(each, str) for each in dangers):
            raise ValueError(dangers)
    except (ValueError, KeyError, TypeError, RecursionError):
        raise InputError(SHEET_FIELD, NOT_A_SHEET) from None
    if not lines or len({name_key(line.name) for line in lines}) < len(lines):
        raise InputError(SHEET_FIELD, "Every channel of a sheet has a name of its own: make the sheet again.")
    return Sheet(lines, tuple(dangers))


def _refuse_otherwise(name: str, given: Any, ours: Any) -> None:
    """Raises InputError where a sheet says something of itself that its numbers are not read as."""
    if given != ours:
        words = f"“{name}” of this sheet is not what the tune writes there: keep the sheet as data anew."
        raise InputError(SHEET_FIELD, words)


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object of the sheet. Raises InputError for a name that stands in it twice: which of both holds?"""
    given = dict(pairs)
    if len(given) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise InputError(SHEET_FIELD, f"“{short(twice)}” stands in it twice: keep the sheet as data anew.")
    return given


def _line(given: dict[str, Any]) -> Line:
    if given["polarity"] not in ("normal", "reversed"):
        raise ValueError(given["polarity"])
    peaks = [_peak(each) for each in given["filters"]]
    delay, gain = _number(given["delay"]), _number(given["gain"])
    if not (0 <= delay <= MOST_DELAY and LEAST_ON_SHEET <= gain <= MOST_ON_SHEET):
        raise ValueError(delay, gain)
    if len(peaks) > MOST_PEAKS_OF_A_CHANNEL:
        raise ValueError(len(peaks))
    ends = [None if given[name] is None else _frequency(given[name]) for name in ("high_pass", "low_pass")]
    return Line(
        name=str(given["name"])[:60],
        high_pass=ends[0],
        low_pass=ends[1],
        reversed=given["polarity"] == "reversed",
        delay=delay,
        gain=gain,
        peaks=tuple(peaks),
        all_pass=_all_pass(given.get("all_pass", "none")),
        fir=str(given["fir"]["file"])[:120] if "fir" in given else None,
    )


def _peak(given: dict[str, Any]) -> Peak:
    _refuse_otherwise("kind", given.get("kind", FILTER_KIND), FILTER_KIND)
    peak = Peak(_frequency(given["frequency"]), _number(given["gain"]), _number(given["q"]))
    if not (peak.q >= LEAST_PEAK_Q and abs(peak.gain) <= MOST_PEAK_GAIN):
        raise ValueError(peak)
    return peak


def _all_pass(given: Any) -> tuple[float, float] | None:
    """Hz and Q of an all-pass, as the tune writes it down."""
    if given == "none":
        return None
    words = _ALL_PASS.fullmatch(given)
    if words is None:
        raise ValueError(given)
    frequency, q = _frequency(float(words["frequency"])), _number(float(words["q"]))
    if q < LEAST_PEAK_Q:
        raise ValueError(given)
    return frequency, q


def _frequency(given: Any) -> float:
    """A frequency, Hz, that a digital filter can have."""
    frequency = _number(given)
    if not LOWEST_ON_SHEET <= frequency < HALF_RATE:
        raise ValueError(frequency)
    return frequency


def _number(given: Any) -> float:
    if isinstance(given, bool) or not isinstance(given, int | float) or not abs(given) < 1e6:
        raise ValueError(given)
    return float(given)
