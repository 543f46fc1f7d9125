"""A vehicle as found, as its sheet makes one expect it, and as it was measured again: third octaves."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Chart, InputError, Output, OutputText
from calculators.declaring.quantities import FREQUENCY, LEVEL, TIME
from calculators.physics import bands, speaker_system
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.speaker_system import Setting, band_centres, grid
from calculators.physics.tuning_fit import Limits
from calculators.vocabulary import tune_measurements
from calculators.vocabulary.curve_points import MeasuredPoint
from calculators.vocabulary.names import name_key
from calculators.vocabulary.responses import Places, level_axis, response_chart
from calculators.vocabulary.sheet_reading import Line
from calculators.vocabulary.tune_channels import InTheFile

WHOLE_BAND = 63.0, 12_500.0
"""Hz: what a curve of everything together holds at least."""


@dataclass(frozen=True, kw_only=True)
class BandHeard:
    """One third octave, over the target."""

    nominal: Annotated[float, Output("Band", FREQUENCY, trim=True, figures=5)]
    before: Annotated[float, Output("Untuned", LEVEL, decimals=1)]
    expected: Annotated[float | None, Output("Expected", LEVEL, decimals=1, none="–")]
    after: Annotated[float | None, Output("Measured again", LEVEL, decimals=1, none="–")]


@dataclass(frozen=True, kw_only=True)
class SheetLine:
    """One channel of the sheet, as it was typed in."""

    name: Annotated[str, OutputText("Channel")]
    high_pass: Annotated[float | None, Output("High-pass", FREQUENCY, figures=4, trim=True)]
    low_pass: Annotated[float | None, Output("Low-pass", FREQUENCY, figures=4, trim=True)]
    polarity: Annotated[str, OutputText("Polarity")]
    delay: Annotated[float, Output("Delay", TIME, show="ms", decimals=3)]
    gain: Annotated[float, Output("Gain", LEVEL, decimals=1)]
    filters: Annotated[str, OutputText("Filters")]


def sheet_lines(sheet: Sequence[Line]) -> tuple[SheetLine, ...]:
    """A sheet as a table."""
    return tuple(
        SheetLine(
            name=line.name,
            high_pass=line.high_pass,
            low_pass=line.low_pass,
            polarity="reversed" if line.reversed else "normal",
            delay=line.delay,
            gain=line.gain,
            filters="; ".join(peak.words for peak in line.peaks) or "none",
        )
        for line in sheet
    )


@dataclass(frozen=True, eq=False)
class Heard:
    """What third octaves are over the target, dB, but for what all have in common.

    ``bands``: which of the 27 they are. ``target``: dB in those, its mean taken out.
    """

    bands: FloatArray
    target: FloatArray
    before: FloatArray
    expected: FloatArray | None
    after: FloatArray | None

    def rows(self) -> tuple[BandHeard, ...]:
        """All of it as a table."""
        names = bands.NOMINAL_THIRD_OCTAVES
        return tuple(
            BandHeard(
                nominal=float(names[int(band) + speaker_system.LOWEST_BAND - bands.FIRST_BAND]),
                before=float(self.before[place]),
                expected=None if self.expected is None else float(self.expected[place]),
                after=None if self.after is None else float(self.after[place]),
            )
            for place, band in enumerate(self.bands)
        )

    def chart(self) -> Chart:
        """All of it as a picture, on the target."""
        found = {"Untuned": self.before, "Expected": self.expected, "Measured again": self.after}
        drawn = {name: line + self.target for name, line in found.items() if line is not None}
        last = next(reversed(drawn))
        centres = band_centres()[self.bands.astype(int)]
        return response_chart(
            "Before and after: mean of the points, by third octave",
            Places(centres, centres),
            {
                **{name: (line, "main") if name == last else line for name, line in drawn.items()},
                "Target": (self.target, "limit"),
            },
            level_axis(*drawn.values(), self.target),
            read_at=1000.0,
        )

    def farthest(self) -> tuple[float, float] | None:
        """Where what was measured again is farthest from what was expected: Hz and dB; None without both."""
        if self.after is None or self.expected is None:
            return None
        apart = self.after - self.expected
        place = int(np.argmax(np.round(np.abs(apart), 6)))
        return self.rows()[place].nominal, float(apart[place])


def rms_of(line: FloatArray | None) -> float | None:
    """Root mean square, dB, of what there may be."""
    return None if line is None else speaker_system.rms(line)


def heard_of(
    file: InTheFile,
    sheet: Sequence[Line],
    again: Sequence[MeasuredPoint],
    at: Sequence[int],
    target: FloatArray,
) -> Heard:
    """What the measured channels did together, what a sheet makes of them, and what was measured again.

    ``again``: everything together, at the points ``at``, numbers from 1 on; told once all are there.
    ``target``: dB, shape (27,). Raises InputError for a sheet of other channels, or too narrow a curve.
    """
    points = [file.points[place] + 1 for place in tune_measurements.parts_of_points(file.points)[1]]
    wide = [file.points.index(point - 1) for point in points]
    gains = file.gains[0][wide]
    bare = tuple(Setting(each.high_pass, each.low_pass) for each in file.channels)
    before = _levels(gains, bare)
    expected = _levels(gains, _settings(file, sheet)) if sheet else None
    curves = [
        (place, each.curve)
        for place, (each, point) in enumerate(zip(again, at, strict=True))
        if point in points
    ]
    inside = np.arange(speaker_system.THIRDS)
    after = None
    if len(curves) == len(points):
        for place, curve in curves:
            if curve.frequency[0] > WHOLE_BAND[0] or curve.frequency[-1] < WHOLE_BAND[1]:
                raise InputError(
                    f"again[{place}].curve",
                    "This is no curve of everything together: it must reach from 63 Hz to 12.5 kHz.",
                )
        low = max(curve.frequency[0] for _, curve in curves)
        high = min(curve.frequency[-1] for _, curve in curves)
        inside = np.flatnonzero((band_centres() >= low * 0.99) & (band_centres() <= high * 1.01))
        levels = [np.interp(np.log(grid()), np.log(curve.frequency), curve.level) for _, curve in curves]
        power = np.mean(10 ** (np.stack(levels) / 10), axis=0)
        after = 10 * np.log10(speaker_system.in_bands(power))
    wanted = target[inside] - np.mean(target[inside])
    off = [
        None if line is None else speaker_system.off_target(line[inside], wanted)
        for line in (before, expected, after)
    ]
    assert off[0] is not None
    return Heard(inside.astype(float), wanted, off[0], off[1], off[2])


def _levels(gains: ComplexArray, settings: tuple[Setting, ...]) -> FloatArray:
    through = speaker_system.chains(settings, grid(), Limits().sample_rate)
    return speaker_system.band_levels(speaker_system.summed(gains, through))


def _settings(file: InTheFile, sheet: Sequence[Line]) -> tuple[Setting, ...]:
    """A sheet's channels in the order of the file's. Raises InputError for a channel that is not on it."""
    by_name = {name_key(line.name): line for line in sheet}
    found = []
    for channel in file.channels:
        line = by_name.get(name_key(channel.name))
        if line is None:
            raise InputError(
                "sheet", f"{channel.name} is not on this sheet: it is another vehicle's, or older."
            )
        found.append(
            Setting(
                line.high_pass,
                line.low_pass,
                gain=line.gain,
                delay=line.delay,
                sign=-1.0 if line.reversed else 1.0,
                filters=np.array([(peak.frequency, peak.gain, peak.q) for peak in line.peaks]).reshape(-1, 3),
            )
        )
    return tuple(found)
