"""The lines of a tuning sheet, and what a processor shows held against them."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Annotated

import numpy as np

from calculators.declaring import OutputText
from calculators.declaring.numerals import typographic
from calculators.physics import biquads, decibels, filters
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.names import four_signs, name_key

MUCH_LOUDER = 6.0
"""dB over the sheet from which it is told before anything plays. Common practice, no source."""
FREQUENCY_WITHIN = 0.01
"""Of a frequency: processors show them rounded."""


@dataclass(frozen=True)
class Peak:
    """A peak filter: Hz, dB and Q."""

    frequency: float
    gain: float
    q: float

    @property
    def words(self) -> str:
        """The filter in a line."""
        return f"{self.frequency:g} Hz, {decibels_in_words(self.gain)}, Q {self.q:g}"


@dataclass(frozen=True)
class Line:
    """One channel of a sheet or of a processor: Hz or None, s, dB."""

    name: str
    high_pass: float | None
    low_pass: float | None
    reversed: bool
    delay: float
    gain: float
    peaks: tuple[Peak, ...]
    other_slope: bool = False
    """Its crossovers are no Linkwitz-Riley of 24 dB per octave, as every sheet's are."""
    all_pass: tuple[float, float] | None = None
    """Hz and Q of an all-pass of second order."""
    fir: str | None = field(default=None, repr=False)
    """The file of an FIR filter. Left out of the words, so that sheets without one keep theirs."""
    not_read: tuple[str, ...] = field(default=(), repr=False)
    """Which of its "crossovers" and "polarity" nobody has looked at in the processor."""
    trim: float | None = field(default=None, repr=False)
    """dB in front of it, as of every channel; None where an older sheet says nothing of it."""

    @property
    def all_pass_words(self) -> str:
        """Its all-pass in a line."""
        if self.all_pass is None:
            return "none"
        frequency, q = self.all_pass
        return f"second order, {frequency:g} Hz, Q {q:g}"


@dataclass(frozen=True)
class Within:
    """How near a value must be: half a step of the processor for gain (dB), Q and delay (s)."""

    gain: float
    q: float
    delay: float


@dataclass(frozen=True)
class TrimRead:
    """What the processor shows of the trim in front: in words, and whether it is as on the sheet."""

    words: str
    agrees: bool
    compared: bool = True
    in_channels: bool = False
    """It stands in the gain of every channel: as good, where a processor has none in common."""


NOT_READ = "not read"


@dataclass(frozen=True, kw_only=True)
class Difference:
    """A value that does not read as the sheet says."""

    name: Annotated[str, OutputText("Channel")]
    value: Annotated[str, OutputText("Value")]
    on_sheet: Annotated[str, OutputText("Sheet")]
    shown: Annotated[str, OutputText("Processor")]
    means: Annotated[str, OutputText("So")]


def word_of(lines: Iterable[Line]) -> str:
    """Four signs that stand for a sheet: who can say them has read back this one, and no other."""
    every = tuple(lines)
    trim = trim_of(every)
    return four_signs(ascii(every if trim is None else (every, trim)))


def is_word_of(lines: Iterable[Line], given: str) -> bool:
    """Whether what was typed is the word of a sheet; capitals and blanks are forgiven."""
    return "".join(given.split()).upper() == word_of(lines)


def trim_of(lines: Iterable[Line]) -> float | None:
    """The trim in front of every channel, dB; None where the sheet says nothing of it."""
    return next((line.trim for line in lines), None)


def read_trim(sheet: Sequence[Line], shown: Iterable[Line], typed: float | None, within: Within) -> TrimRead:
    """What became of the trim in front; ``typed``: dB that the processor shows, None where nobody looked.

    A cut that most channels have in their gains counts as well: a channel that lacks it is then told alone.
    """
    trim = trim_of(sheet)
    if trim is None:
        if typed is None or abs(typed) <= within.gain:
            return TrimRead("not on this sheet", agrees=True, compared=False)
        return TrimRead(f"{decibels_in_words(typed)}, and none on this sheet", agrees=False)
    gains = {name_key(line.name): line.gain for line in shown}
    shifts = [gains[key] - line.gain for line in sheet if (key := name_key(line.name)) in gains]
    none_in_front = trim < -within.gain and (typed is None or abs(typed) <= within.gain)
    having = sum(abs(shift - trim) <= within.gain for shift in shifts) if none_in_front else 0
    some = f"in the gain of {having} of {len(shifts)} channels: every channel takes it, or none"
    if none_in_front and shifts and abs(float(np.median(shifts)) - trim) <= within.gain:
        every = having == len(shifts)
        where = "in the gain of every channel: as on the sheet" if every else some
        return TrimRead(f"{decibels_in_words(trim)}, {where}", agrees=every, in_channels=True)
    found_in = f"; {some}" if having else ""
    if typed is None:
        words = f"{decibels_in_words(trim)} on the sheet, not read back{found_in}"
        return TrimRead(words, agrees=trim >= -within.gain, compared=False)
    if abs(typed - trim) <= within.gain:
        return TrimRead(f"{decibels_in_words(trim)}, as on the sheet", agrees=True)
    words = f"{decibels_in_words(typed)}, and {decibels_in_words(trim)} on the sheet{found_in}"
    return TrimRead(words, agrees=False)


def moved_by(lines: Iterable[Line], more: float) -> tuple[Line, ...]:
    """Channels with so many dB more gain."""
    return tuple(replace(line, gain=line.gain + more) for line in lines)


def trim_differs(sheet: Sequence[Line], typed: float | None, within: Within) -> Difference:
    """The line of a trim in front that reads otherwise, or that an older sheet has not."""
    trim, is_now = trim_of(sheet), typed or 0.0
    means = by_gain(trim or 0.0, is_now, within.gain)
    return _told(
        "every channel",
        "trim in front",
        "none" if trim is None else decibels_in_words(trim),
        decibels_in_words(is_now),
        means if trim is not None else f"{means}: set it to 0 dB, or make the sheet anew",
    )


def values_of(lines: Iterable[Line]) -> int:
    """How many values its channels have; an all-pass is none of them, for no form compares it."""
    return sum(6 + 3 * len(line.peaks) for line in lines)


def differences(sheet: Iterable[Line], shown: Iterable[Line], within: Within) -> tuple[Difference, ...]:
    """Every value that reads otherwise than on the sheet, channel by channel in the sheet's order."""
    found: list[Difference] = []
    by_name = {name_key(line.name): line for line in shown}
    for line in sheet:
        other = by_name.pop(name_key(line.name), None)
        if other is None:
            found.append(_told(line.name, "the channel", "there", "missing", "type it in, or read it back"))
            continue
        found += _of_ends(line, other)
        found += _of_the_rest(line, other, within)
        found += _of_peaks(line, other, within)
    for line in by_name.values():
        found.append(
            _told(
                line.name, "the channel", "missing", "there", "compare its name; else mute it or take it out"
            )
        )
    return tuple(found)


def lowered(sheet: Iterable[Line], shown: Iterable[Line]) -> list[str]:
    """Channels whose high-pass is missing or lower than on the sheet, or was not compared: what may kill a
    tweeter.
    """
    by_name = {name_key(line.name): line for line in shown}
    names = []
    for line in sheet:
        other = by_name.get(name_key(line.name))
        if line.high_pass is None:
            continue
        if other is None:
            names.append(f"{line.name} (not compared: its name is not there; nothing plays until it is read)")
            continue
        low = other.high_pass is None or other.high_pass < line.high_pass * (1 - FREQUENCY_WITHIN)
        if low or other.other_slope:
            names.append(line.name)
    return names


def lifted(sheet: Iterable[Line], shown: Iterable[Line]) -> list[str]:
    """Channels that play some tone much louder than the sheet has it, by gain and filters together."""
    by_name = {name_key(line.name): line for line in shown}
    told = []
    for line in sheet:
        other = by_name.get(name_key(line.name))
        if other is None:
            continue
        centres = [peak.frequency for peak in (*line.peaks, *other.peaks)]
        at = np.sort(np.concatenate([np.geomspace(10, 24e3, 271), centres]))
        more = np.round(_played(other, at) - _played(line, at), 2)
        most = int(np.argmax(more))
        if more[most] > MUCH_LOUDER:
            where = "" if np.ptp(more) < 0.1 else f" at {float(f'{at[most]:.3g}'):g} Hz"
            told.append(f"{line.name} by {more[most]:.0f} dB{where}")
    return told


def _played(line: Line, at: FloatArray) -> FloatArray:
    """dB that gain and filters make of tones, Hz."""
    if not line.peaks:
        return np.full_like(at, line.gain)
    frequency, gain, q = np.array([(peak.frequency, peak.gain, peak.q) for peak in line.peaks]).T
    peaks = filters.section_responses(biquads.biquad("peak", frequency, gain, q), at)
    return np.asarray(line.gain + np.sum(decibels.level(peaks), axis=0), dtype=np.float64)


def unguarded(sheet: Iterable[Line], shown: Iterable[Line]) -> list[str]:
    """Channels that the sheet has not, and that have no high-pass: nobody says what hangs there."""
    known = {name_key(line.name) for line in sheet}
    return [line.name for line in shown if name_key(line.name) not in known and line.high_pass is None]


def _told(name: str, value: str, on_sheet: str, shown: str, means: str) -> Difference:
    return Difference(name=name, value=value, on_sheet=on_sheet, shown=shown, means=means)


def _not_read(name: str, value: str, on_sheet: str) -> Difference:
    return _told(name, value, on_sheet, NOT_READ, "look at the processor's screen")


def _of_ends(line: Line, other: Line) -> list[Difference]:
    found = []
    for value, wanted, is_now in (
        ("high-pass", line.high_pass, other.high_pass),
        ("low-pass", line.low_pass, other.low_pass),
    ):
        if same_frequency(wanted, is_now):
            continue
        if wanted is None or is_now is None:
            means = "switch it off" if wanted is None else "switch it on before anything plays"
        else:
            means = by_ratio(wanted, is_now)
        found.append(_told(line.name, value, end_in_words(wanted), end_in_words(is_now), means))
    if "crossovers" in other.not_read and (line.high_pass or line.low_pass):
        found.append(_not_read(line.name, "crossovers", "24 dB per octave"))
    if other.other_slope and (line.high_pass or line.low_pass):
        found.append(
            _told(line.name, "crossovers", "24 dB per octave", "others", "choose them before anything plays")
        )
    return found


def _of_the_rest(line: Line, other: Line, within: Within) -> list[Difference]:
    found = []
    words = ("normal", "reversed")
    if "polarity" in other.not_read:
        found.append(_not_read(line.name, "polarity", words[line.reversed]))
    elif line.reversed != other.reversed:
        found.append(
            _told(
                line.name,
                "polarity",
                words[line.reversed],
                words[other.reversed],
                "turned: the join is a hole",
            )
        )
    if abs(line.delay - other.delay) > within.delay:
        found.append(
            _told(
                line.name,
                "delay",
                f"{1000 * line.delay:.3f} ms",
                f"{1000 * other.delay:.3f} ms",
                by_ratio(line.delay, other.delay),
            )
        )
    if abs(line.gain - other.gain) > within.gain:
        found.append(
            _told(
                line.name,
                "gain",
                decibels_in_words(line.gain),
                decibels_in_words(other.gain),
                by_gain(line.gain, other.gain, within.gain),
            )
        )
    return found


def _of_peaks(line: Line, other: Line, within: Within) -> list[Difference]:
    """Filters that read otherwise: those that agree are put aside, the rest compared.

    First those of one frequency, of several the nearest in gain; what is left, in its order.

    A peak of 0 dB does nothing, so one that the other lacks is no difference: many screens show every band.
    """
    left = list(other.peaks)
    wanted: list[Peak] = []
    for peak in line.peaks:
        same = next((each for each in left if _same_peak(peak, each, within)), None)
        if same is None:
            wanted.append(peak)
        else:
            left.remove(same)
    wanted = [peak for peak in wanted if abs(peak.gain) > within.gain]
    pairs = []
    for peak in tuple(wanted):
        there = [each for each in left if same_frequency(peak.frequency, each.frequency)]
        if there:
            apart = [abs(each.gain - peak.gain) for each in there]
            now = there[apart.index(min(apart))]
            pairs.append((peak, now))
            wanted.remove(peak)
            left.remove(now)
    left = [peak for peak in left if abs(peak.gain) > within.gain]
    found = []
    for peak, now in (*pairs, *zip(wanted, left, strict=False)):
        if not same_frequency(peak.frequency, now.frequency):
            means = by_ratio(peak.frequency, now.frequency)
        elif abs(peak.gain - now.gain) > within.gain:
            means = by_gain(peak.gain, now.gain, within.gain)
        else:
            means = f"Q {by_ratio(peak.q, now.q)}"
        found.append(_told(line.name, "filter", peak.words, now.words, means))
    for peak in wanted[len(left) :]:
        found.append(_told(line.name, "filter", peak.words, "missing", "type it in"))
    for peak in left[len(wanted) :]:
        found.append(_told(line.name, "filter", "missing", peak.words, "set it to 0 dB or take it out"))
    return found


def _same_peak(one: Peak, other: Peak, within: Within) -> bool:
    return (
        same_frequency(one.frequency, other.frequency)
        and abs(one.gain - other.gain) <= within.gain
        and abs(one.q - other.q) <= within.q
    )


def same_frequency(wanted: float | None, is_now: float | None) -> bool:
    """Whether two frequencies, Hz, are the same but for rounding; None is the same as None alone."""
    if wanted is None or is_now is None:
        return wanted is is_now
    return abs(is_now - wanted) <= FREQUENCY_WITHIN * wanted


def by_ratio(wanted: float, is_now: float) -> str:
    """What has become of a value, in words."""
    if wanted <= 0 or is_now <= 0:
        return "too small" if is_now < wanted else "too large"
    tens = math.log10(is_now / wanted)
    if abs(tens) > 0.5 and abs(tens - round(tens)) < 0.01:
        return f"{'too large' if tens > 0 else 'too small'}: a decimal point or a zero"
    return "too large" if is_now > wanted else "too small"


def by_gain(wanted: float, is_now: float, within: float) -> str:
    """What has become of a gain, dB, in words."""
    if abs(wanted + is_now) <= within:
        return "its sign is lost"
    more = is_now - wanted
    return f"{abs(more):.1f} dB too {'loud' if more > 0 else 'soft'}"


def decibels_in_words(value: float) -> str:
    """A level with its sign."""
    return typographic(f"{round(value, 2) + 0.0:g} dB")


def end_in_words(value: float | None) -> str:
    """An end of a channel's band, Hz, to the last figure as it was typed: 3125 Hz is no 3.12 kHz."""
    return "none" if value is None else f"{value:g} Hz"
