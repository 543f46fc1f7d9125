"""A vehicle as found, as its sheet makes one expect it, and as it was measured again: third octaves."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, Chart, Curve, InputError, Output, OutputText
from calculators.declaring.quantities import FREQUENCY, LEVEL, TIME
from calculators.physics import bands, speaker_system
from calculators.physics.arrays import ComplexArray, FloatArray, IndexArray, power_of
from calculators.physics.filter_limits import Limits
from calculators.physics.speaker_system import Setting, band_centres, grid
from calculators.vocabulary import guided_way, sheet_reading, sides_alone, tune_measurements, tune_sheet
from calculators.vocabulary.curve_points import MeasuredPoint
from calculators.vocabulary.feed_curves import check_levels
from calculators.vocabulary.filter_settings import in_hertz
from calculators.vocabulary.guided_way import Run
from calculators.vocabulary.names import name_key
from calculators.vocabulary.responses import Places, level_axis, response_chart
from calculators.vocabulary.sheet_reading import Line
from calculators.vocabulary.sides_alone import Sides
from calculators.vocabulary.tune_channels import InTheFile, TunedChannel
from calculators.vocabulary.tune_plan import Channel, bands_played, ends_played

WHOLE_BAND = 63.0, 12_500.0
"""Hz: of this a curve that was measured again holds at least what plays in it."""
ONE_BAND_UP = 1.26
"""How far over the lowest high-pass such a curve may begin, a third octave: what lies under that sinks into
the noise of a bay where no subwoofer plays."""
AGAIN_WITHIN, AGAIN_WITHIN_ABOVE, PLAIN_TO = 1.0, 2.0, 1000.0
"""dB: what a third octave measured again may be off what was expected up to so many Hz; and above, or where
points differ, for there a hand's breadth of the microphone moves it. Common practice, no source."""
VOLUME_WITHIN, VOLUME_BAND = 3.0, (200.0, 2000.0)
"""dB by which a point measured again may be louder or softer against the others than was expected, on average
over so many Hz: twice the power or half counts wrongly in the mean. Our own choice, no source."""

MOST_FAULTS_TOLD = 3
"""Of what was measured again and is not as expected."""


@dataclass(frozen=True, kw_only=True)
class BandHeard:
    """One third octave, over the target."""

    nominal: Annotated[float, Output("Band", FREQUENCY, trim=True, figures=5)]
    before: Annotated[float, Output("Untuned", LEVEL, decimals=1)]
    expected: Annotated[float | None, Output("Expected", LEVEL, decimals=1, none="–")]
    after: Annotated[float | None, Output("Measured again", LEVEL, decimals=1, none="–")]


@dataclass(frozen=True, kw_only=True)
class OffTarget:
    """How far from the target, over all third octaves."""

    before: Annotated[float, Output("Untuned", LEVEL, decimals=1)]
    expected: Annotated[float | None, Output("Expected of the sheet", LEVEL, decimals=1, none="–")]
    after: Annotated[float | None, Output("Measured again", LEVEL, decimals=1, none="–")]


@dataclass(frozen=True, kw_only=True)
class AgainLimits:
    """What may be off the expected once everything was measured again."""

    low_within: Annotated[float, Output("Third octave up to 1 kHz", LEVEL, decimals=1, trim=True)]
    high_within: Annotated[float, Output("Above, and where points differ", LEVEL, decimals=1, trim=True)]
    spread: Annotated[float, Output("They differ from, RMS", LEVEL, decimals=1, trim=True)]
    volume_within: Annotated[float, Output("One point louder or softer", LEVEL, decimals=1, trim=True)]
    side_within: Annotated[
        float, Output("One side alone: as a whole, third octave up to 1 kHz", LEVEL, decimals=1, trim=True)
    ]
    side_within_above: Annotated[float, Output("One side alone: above", LEVEL, decimals=1, trim=True)]


AGAIN_LIMITS = (
    AgainLimits(
        low_within=AGAIN_WITHIN,
        high_within=AGAIN_WITHIN_ABOVE,
        spread=tune_sheet.SPREAD_TOLD,
        volume_within=VOLUME_WITHIN,
        side_within=sides_alone.SIDE_WITHIN,
        side_within_above=sides_alone.SIDE_WITHIN_ABOVE,
    ),
)


@dataclass(frozen=True, kw_only=True)
class SheetLine:
    """One channel of the sheet, as it was typed in."""

    name: Annotated[str, OutputText("Channel")]
    high_pass: Annotated[float | None, Output("High-pass", FREQUENCY, figures=4, trim=True)]
    low_pass: Annotated[float | None, Output("Low-pass", FREQUENCY, figures=4, trim=True)]
    polarity: Annotated[str, OutputText("Polarity")]
    delay: Annotated[float, Output("Delay", TIME, show="ms", decimals=3)]
    gain: Annotated[float, Output("Gain", LEVEL, decimals=1)]
    trim_in_front: Annotated[float | None, Output("Trim in front", LEVEL, decimals=2, trim=True, none="–")]
    all_pass: Annotated[str, OutputText("All-pass")]
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
            trim_in_front=line.trim,
            all_pass=line.all_pass_words,
            filters="; ".join(peak.words for peak in line.peaks) or "none",
        )
        for line in sheet
    )


@dataclass(frozen=True, eq=False)
class Heard:
    """What third octaves are over the target, dB, but for what all have in common.

    ``bands``: which of the 27 they are. ``target``: dB in those, its mean taken out. ``within``: dB that each
    may be off what was expected. ``moved``: points that were louder or softer than expected against the
    others, and by how many dB. ``sides``: each side alone, once both were measured.
    """

    bands: FloatArray
    target: FloatArray
    before: FloatArray
    expected: FloatArray | None
    after: FloatArray | None
    within: FloatArray
    moved: tuple[tuple[int, float], ...] = ()
    sides: Sides | None = None

    def off_target(self) -> OffTarget:
        """How far all of it is from the target."""
        return OffTarget(
            before=speaker_system.rms(self.before),
            expected=None if self.expected is None else speaker_system.rms(self.expected),
            after=None if self.after is None else speaker_system.rms(self.after),
        )

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

    def out(self) -> tuple[tuple[float, float], ...]:
        """Bands, Hz, that are farther off what was expected than they may be, and dB; the farthest first."""
        if self.after is None or self.expected is None:
            return ()
        apart = self.after - self.expected
        over = np.round(np.abs(apart) - self.within, 6)
        places = [place for place in np.argsort(-over, kind="stable").tolist() if over[place] > 0]
        rows = self.rows()
        return tuple((rows[place].nominal, float(apart[place])) for place in places)

    def to_mend(self) -> tuple[tuple[int, ...], float | None, bool]:
        """Points whose volume was another; the band, Hz, that alone is out, if it lies over 1 kHz; whether a
        side alone is not as expected.
        """
        out = self.out()
        only = out[0][0] if len(out) == 1 and out[0][0] > PLAIN_TO else None
        return tuple(point for point, _ in self.moved), only, bool(self.sides and self.sides.faults())

    def faults(self) -> tuple[str, ...]:
        """What was measured again and is not as expected, in words, the gravest first; nothing if all is."""
        moved = [
            f"point {point} is {abs(more):.1f} dB {'louder' if more > 0 else 'softer'} than expected against "
            "the others: was the volume moved?"
            for point, more in self.moved
        ]
        bands_out = [
            f"at {frequency:g} Hz {abs(more):.1f} dB {'over' if more > 0 else 'under'} what was expected"
            for frequency, more in self.out()
        ]
        return (*(self.sides.faults() if self.sides else ()), *moved, *bands_out)


def refuse_another(sheet: Iterable[Line], channels: Iterable[TunedChannel]) -> None:
    """Raise InputError for a sheet of other channels or crossovers than are loaded, or with FIR filters."""
    another = "It is another vehicle's sheet, or an older one: amplifier off."
    by_name = {name_key(line.name): line for line in sheet}
    for channel in channels:
        name = channel.name.strip()
        line = by_name.pop(name_key(name), None)
        if line is None:
            raise InputError("sheet", f"{name} is not on this sheet. {another}")
        if line.fir:
            raise InputError(
                "sheet",
                f"{name} has an FIR filter on this sheet, and the guided tune knows none: make "
                "the sheet without.",
            )
        for end, loaded, on_sheet in (
            ("high-pass", channel.high_pass, line.high_pass),
            ("low-pass", channel.low_pass, line.low_pass),
        ):
            if not sheet_reading.same_frequency(loaded, on_sheet):
                loaded_words, sheet_words = map(sheet_reading.end_in_words, (loaded, on_sheet))
                raise InputError(
                    "sheet",
                    f"{name}: {end} {sheet_words} on the sheet, {loaded_words} in the channels. {another}",
                )
    for line in by_name.values():
        raise InputError("sheet", f"{line.name} is on the sheet, and no channel is called so. {another}")


def runs_named(again: Sequence[MeasuredPoint], runs: Sequence[Run]) -> tuple[Run, ...]:
    """The run that each curve is of, by its name: a side alone, or the number of its point.

    ``runs``: those there are. Raises InputError at a name without one, and at a run or curve met before.
    """
    points = [run.point for run in runs if run.speaker == guided_way.EVERYTHING]
    sides = [run for run in runs if run.speaker in guided_way.SIDES_ALONE]
    found: list[Run] = []
    for place, each in enumerate(again):
        numbers = re.findall(r"\d+", each.name, re.ASCII)
        number = int(numbers[0][:3]) if len(numbers) == 1 else 0
        side = next((run for run in sides if name_key(run.speaker) in name_key(each.name)), None)
        run = side or Run(guided_way.EVERYTHING, number)
        if run not in runs:
            known = f"{', '.join(map(str, points[:-1]))} or {points[-1]}"
            alone = "; or “Left side”, “Right side”, alone" if sides else ""
            raise InputError(f"again[{place}].name", f"Say which point it is, by its number: {known}{alone}.")
        if run in found:
            which = run.speaker if side else f"Point {number}"
            raise InputError(f"again[{place}].name", f"{which} stands in a row above.")
        twin = next((other.name for other in again[:place] if other.curve == each.curve), None)
        if twin is not None:
            raise InputError(
                f"again[{place}].curve",
                f"This is the curve of “{twin.strip()}” too: was one file chosen twice?",
            )
        found.append(run)
    return tuple(found)


def heard_of(
    file: InTheFile,
    sheet: Sequence[Line],
    again: Sequence[MeasuredPoint],
    at: Sequence[Run],
    target: FloatArray,
) -> Heard:
    """What the measured channels did together, what a sheet makes of them, and what was measured again.

    ``sheet``: of these channels, or empty. ``again``: everything together, and each side alone, of the runs
    ``at``; told once all that judge levels are there, or both sides. ``target``: dB, shape (27,). Raises
    InputError for a curve that is too narrow, or no measurement's.
    """
    points = [file.points[place] + 1 for place in tune_measurements.parts_of_points(file.points)[1]]
    gains = file.gains[0][[file.points.index(point - 1) for point in points]]
    crossed = tuple(Setting(each.high_pass, each.low_pass) for each in file.channels)
    before = speaker_system.band_levels(_sums(gains, crossed))
    power = expected = None
    if sheet:
        sums = _sums(gains, _settings(file, sheet))
        power = power_of(sums)
        expected = speaker_system.levels_of(np.mean(power, axis=0))
    placed = {run.point: place for place, run in enumerate(at) if run.speaker == guided_way.EVERYTHING}
    alone = {run.speaker: place for place, run in enumerate(at) if run.speaker in guided_way.SIDES_ALONE}
    inside = played = bands_played(file.channels)
    after = None
    moved: tuple[tuple[int, float], ...] = ()
    if set(points) <= set(placed):
        heard = np.stack(
            [
                _power_again(
                    placed[point],
                    again[placed[point]].curve,
                    "Everything together",
                    _ends_wanted(file.channels),
                )
                for point in points
            ]
        )
        reached = _reached([again[placed[point]].curve for point in points])
        both = np.intersect1d(played, reached)
        inside = both if both.size else reached
        after = speaker_system.levels_of(np.mean(heard, axis=0))
        moved = () if power is None else _moved(points, heard, power)
    wanted = target[inside] - np.mean(target[inside])
    off = [
        None if line is None else speaker_system.off_target(line[inside], wanted)
        for line in (before, expected, after)
    ]
    assert off[0] is not None
    wide = band_centres() > PLAIN_TO * 1.01
    if power is not None:
        wide[played] |= speaker_system.spread(power, played) > tune_sheet.SPREAD_TOLD
    within = np.where(wide, AGAIN_WITHIN_ABOVE, AGAIN_WITHIN)[inside]
    sides = None
    if sheet and len(alone) == len(guided_way.SIDES_ALONE):
        fixed = file.gains[0][file.points.index(0)]
        through = speaker_system.chains(_settings(file, sheet), grid(), Limits().sample_rate)
        heard_alone = {
            side: _power_again(
                place, again[place].curve, f"{side} alone", _ends_wanted(_channels_of(file, side))
            )
            for side, place in alone.items()
        }
        reached = _reached([again[place].curve for place in alone.values()])
        sides = sides_alone.sides_of(file.channels, fixed * through, heard_alone, reached)
    return Heard(inside.astype(float), wanted, off[0], off[1], off[2], within, moved, sides)


def _reached(curves: Sequence[Curve]) -> IndexArray:
    """Numbers of the third octaves that all curves hold."""
    low = max(curve.frequency[0] for curve in curves)
    high = min(curve.frequency[-1] for curve in curves)
    return np.flatnonzero((band_centres() >= low * 0.99) & (band_centres() <= high * 1.01))


def _channels_of(file: InTheFile, side: str) -> tuple[Channel, ...]:
    return tuple(each for each in file.channels if each.side == guided_way.SIDES_ALONE[side])


def _ends_wanted(channels: tuple[Channel, ...]) -> tuple[float, float]:
    """Ends, Hz, that a curve of these channels holds at least: those of what they play."""
    low, high = ends_played(channels)
    return max(WHOLE_BAND[0], ONE_BAND_UP * (low or 0.0)), min(WHOLE_BAND[1], high or WHOLE_BAND[1])


def _power_again(place: int, curve: Curve, plays: str, ends: tuple[float, float]) -> FloatArray:
    """Power (a ratio) on the grid, shape (216,), of the curve in the row ``place``.

    ``plays``: of what it is, in words. ``ends``: Hz that it holds at least. Raises InputError at that row for
    a curve that holds less, or that is no measurement's.
    """
    field = f"again[{place}].curve"
    check_levels(field, curve, "a measurement")
    begins, stops = float(curve.frequency[0]), float(curve.frequency[-1])
    if begins > ends[0] or stops < ends[1]:
        raise InputError(
            field,
            f"{plays} must be heard from {in_hertz(ends[0])} to {in_hertz(ends[1])}, and this curve reaches "
            f"from {in_hertz(begins)} to {in_hertz(stops)}: the rest was near the noise, or did not play. Is "
            "each of its channels on, the curve that of another run, or a fan or engine running? Mend that "
            "and record the run again, never louder.",
        )
    level = np.interp(np.log(grid()), np.log(curve.frequency), curve.level)
    return np.asarray(10 ** (level / 10), dtype=np.float64)


def _moved(points: Sequence[int], heard: FloatArray, expected: FloatArray) -> tuple[tuple[int, float], ...]:
    """Points whose volume was not that of the others: number, and dB more. Powers have a row a point."""
    inside = (grid() >= VOLUME_BAND[0]) & (grid() <= VOLUME_BAND[1])
    one, other = (np.maximum(np.mean(each[:, inside], axis=1), 1e-30) for each in (heard, expected))
    more = 10 * np.log10(one / other)
    more = np.round(more - np.median(more), 6)
    return tuple(
        (point, float(off)) for point, off in zip(points, more, strict=True) if abs(off) > VOLUME_WITHIN
    )


def _sums(gains: ComplexArray, settings: tuple[Setting, ...]) -> ComplexArray:
    through = speaker_system.chains(settings, grid(), Limits().sample_rate)
    return speaker_system.summed(gains, through)


def _settings(file: InTheFile, sheet: Sequence[Line]) -> tuple[Setting, ...]:
    """A sheet's channels in the order of the file's."""
    by_name = {name_key(line.name): line for line in sheet}
    lines = [by_name[name_key(channel.name)] for channel in file.channels]
    return tuple(
        Setting(
            line.high_pass,
            line.low_pass,
            gain=line.gain,
            delay=line.delay,
            sign=-1.0 if line.reversed else 1.0,
            filters=np.array([(peak.frequency, peak.gain, peak.q) for peak in line.peaks]).reshape(-1, 3),
            all_pass=line.all_pass,
        )
        for line in lines
    )


def fault_advice(faults: Sequence[str]) -> tuple[Advice, ...]:
    """What the reader has to know of what was measured again and is not as expected."""
    if not faults:
        return ()
    more = len(faults) - MOST_FAULTS_TOLD
    told = "; ".join(faults[:MOST_FAULTS_TOLD]) + (f"; and {more} more" if more > 0 else "")
    return (
        Advice(
            "again",
            f"Not as expected: {told}. The limit is {AGAIN_WITHIN:g} dB up to 1 kHz, "
            f"{AGAIN_WITHIN_ABOVE:g} dB above and where the points differ; of one side alone "
            f"{sides_alone.SIDE_WITHIN:g} and {sides_alone.SIDE_WITHIN_ABOVE:g} dB.",
            danger=True,
        ),
    )
