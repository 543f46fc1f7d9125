"""The sheet of a tune as files: for a spreadsheet, and as data that the read-back takes."""

import json
from collections.abc import Iterable

from calculators.declaring import Advice, Made
from calculators.declaring.csv_rows import csv_text
from calculators.vocabulary import sheet_file
from calculators.vocabulary.tune_fir import ChannelFir
from calculators.vocabulary.tune_plan import Plan
from calculators.vocabulary.tune_sheet import ChannelFilter, ChannelSheet


def csv_file(
    trim: float,
    rows: Iterable[ChannelSheet],
    filters: Iterable[ChannelFilter],
    firs: Iterable[ChannelFir] = (),
    advice: Iterable[Advice] = (),
) -> Made:
    """The sheet for a spreadsheet: what is told as a danger, channels, then filters of each kind.

    ``trim``: dB in front of every channel; ``advice``: all that is told. What a spreadsheet would work out is
    text.
    """
    dangers = sheet_file.dangers_in(advice)
    lines: list[tuple[str, ...]] = [("danger", each) for each in dangers] + [()] * bool(dangers)
    lines.append(
        (
            "channel",
            "high-pass Hz",
            "low-pass Hz",
            "crossover family",
            "slope dB per octave",
            "polarity",
            "delay ms",
            "gain dB",
            "lowest safe Hz",
            "all-pass",
        )
    )
    for row in rows:
        ends = (str(row.high_pass or ""), str(row.low_pass or ""))
        crossed = (sheet_file.FAMILY, f"{sheet_file.SLOPE:g}") if any(ends) else ("", "")
        safe = str(row.lowest_safe or "")
        late, gain = f"{1000 * row.delay:.4f}", f"{row.gain:g}"
        lines.append((row.name, *ends, *crossed, row.polarity, late, gain, safe, row.all_pass))
    lines += [(), ("trim in front of every channel dB",), (f"{trim:g}",)]
    lines += [(), ("channel", "kind", "frequency Hz", "gain dB", "Q")]
    lines += [(row.name, "peak", f"{row.frequency:g}", f"{row.gain:g}", f"{row.q:g}") for row in filters]
    if firs:
        lines += [(), ("channel", "FIR file", "taps", "sample rate Hz")]
        lines += [(row.name, row.file, f"{row.taps:g}", f"{row.sample_rate:g}") for row in firs]
    return Made.whole("tuning-sheet.csv", "text/csv", csv_text(lines).encode("utf-8", "replace"))


def json_file(
    plan: Plan,
    trim: float,
    rows: Iterable[ChannelSheet],
    filters: Iterable[ChannelFilter],
    firs: Iterable[ChannelFir] = (),
    advice: Iterable[Advice] = (),
) -> Made:
    """The sheet as data of our own, and what is told as a danger.

    ``trim``: dB in front of every channel; ``advice``: all that is told.
    """
    peaks, dangers = list(filters), sheet_file.dangers_in(advice)
    loaded = {
        row.name: {"file": row.file, "taps": int(row.taps), "sample_rate": row.sample_rate} for row in firs
    }
    data = {
        "format": "tuning-sheet",
        "version": 1,
        "units": sheet_file.UNITS,
        "crossovers": sheet_file.CROSSOVERS,
        "sample_rate": plan.processor.limits.sample_rate,
        "trim_in_front": trim,
        **({sheet_file.DANGERS: list(dangers)} if dangers else {}),
        "channels": [
            {
                "name": row.name,
                "high_pass": row.high_pass,
                "low_pass": row.low_pass,
                "lowest_safe": row.lowest_safe,
                "polarity": row.polarity,
                "delay": row.delay,
                "gain": row.gain,
                "all_pass": row.all_pass,
                "filters": [
                    {
                        "kind": sheet_file.FILTER_KIND,
                        "frequency": each.frequency,
                        "gain": each.gain,
                        "q": each.q,
                    }
                    for each in peaks
                    if each.name == row.name
                ],
                **({"fir": loaded[row.name]} if row.name in loaded else {}),
            }
            for row in rows
        ],
    }
    return Made.whole("tuning-sheet.json", "application/json", (json.dumps(data, indent=1) + "\n").encode())
