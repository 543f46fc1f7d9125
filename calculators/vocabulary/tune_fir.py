"""Filters of many taps (FIR) in a tune: made from its own measurements, before anything else is set."""

import math
from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Made,
    Number,
    Output,
    OutputText,
    Steps,
    Working,
    lived,
)
from calculators.declaring.quantities import COUNT, FREQUENCY, LEVEL, RATIO, TIME
from calculators.physics import direct_sound, fir_corrections, speaker_system
from calculators.physics.arrays import ComplexArray, FloatArray, IndexArray, power_of
from calculators.physics.fir_corrections import Correction, Measured, Wanted
from calculators.physics.in_parts import InParts
from calculators.physics.speaker_system import grid
from calculators.vocabulary import fir_filters
from calculators.vocabulary.fir_filters import CYCLES_WANTED, RING_LEVEL, RING_TIME
from calculators.vocabulary.tune_measurements import file_word
from calculators.vocabulary.tune_plan import Channel, Plan
from calculators.vocabulary.zip_files import zip_file

CORRECTED_KINDS: dict[str, tuple[str, ...]] = {
    "none": (),
    "woofers": ("woofer",),
    "tweeters": ("tweeter",),
    "both": ("woofer", "tweeter"),
}
WORKING = "Making FIR filters"
FIR = Choice(
    "FIR filters",
    {
        "none": "no FIR filters",
        "woofers": "FIR for woofers, mids and full-ranges",
        "tweeters": "FIR for tweeters",
        "both": "FIR for all but subwoofers",
    },
    help="Level, and phase where the direct sound gains by it. Needs taps; not in the guided tune.",
    seldom=True,
)
FIR_TAPS = Number("Taps of each FIR filter", COUNT, 256, 16_384, whole=True, usual=(512, 8192), seldom=True)
FIR_RATE = Number(
    "FIR filters run at",
    FREQUENCY,
    44_100,
    96e3,
    show="kHz",
    options=(("44.1 kHz", 44_100.0), ("48 kHz", 48_000.0), ("96 kHz", 96_000.0)),
    help="The processor's rate: all its other filters are reckoned at it too. Without FIR: 48 kHz.",
    seldom=True,
)
OCTAVES = 1 / 3
"""Over which a channel is smoothed: what is finer belongs to one place."""
DIRECT_SOUND = 0.002
"""s after its arrival, within which a channel's phase is looked at: later comes the cabin, at every point."""
ABOVE_LOW_PASS = math.sqrt(2)
"""Times its low-pass, up to which a channel is corrected: the octave that its join is judged over."""
HIGHEST_CORRECTED = 16e3
"""Hz."""
NEAR_BY = np.arange(-30, 31) * 4e-6
"""s, by which the sound may come earlier or later at a near point: 30 mm are 0.09 ms."""
OVER = 0.3
"""dB by which a filter that was cut to its taps may lift more than it was made for."""
SPEAKS = 20.0
"""Degrees RMS of excess phase, from which on it is a speaker's own."""
MORE_EVEN = 0.75
"""Times the unevenness of its group delay: what leaves more leaves the phase alone."""


@dataclass(frozen=True, kw_only=True)
class ChannelFir:
    """The FIR filter of one channel, the same in every stored position."""

    name: Annotated[str, OutputText("Channel")]
    file: Annotated[str, OutputText("Its file")]
    taps: Annotated[float, Output("Taps", COUNT, decimals=0)]
    sample_rate: Annotated[float, Output("at", FREQUENCY, show="kHz", decimals=1, trim=True)]
    late: Annotated[float, Output("Its delay, in the sheet already", TIME, show="ms", decimals=3)]
    lifts: Annotated[float, Output("Lifts at most", LEVEL, decimals=1)]
    largest: Annotated[float, Output("Largest coefficient", RATIO, decimals=3)]
    low: Annotated[float, Output("Corrects from", FREQUENCY, figures=3, trim=True)]
    high: Annotated[float, Output("to", FREQUENCY, figures=3, trim=True)]
    before: Annotated[float, Output("Level off there, RMS", LEVEL, decimals=1)]
    after: Annotated[float, Output("with it", LEVEL, decimals=1)]
    uneven_before: Annotated[float, Output("Group delay uneven by, level alone", TIME, show="ms", decimals=3)]
    uneven_after: Annotated[float, Output("with it", TIME, show="ms", decimals=3)]
    earlier: Annotated[
        float | None,
        Output("Rings before the time allowed", LEVEL, decimals=0, none="not at all", lowest=-120),
    ]
    reason: Annotated[str, OutputText("Why")]


@dataclass(frozen=True, eq=False)
class Corrected:
    """A plan with FIR filters in what was measured; the filters, their coefficients, and what to know."""

    plan: Plan
    rows: tuple[ChannelFir, ...] = ()
    files: Made | None = None
    advice: tuple[Advice, ...] = ()


@dataclass(frozen=True, eq=False)
class _Forms:
    """A channel's filter in two forms: of level alone, and of level and excess phase, if there is that.

    ``wanted``, ``turning``: the band of either; None where so few taps hold no lead.
    ``excess``: degrees RMS of excess phase. ``uneven``: s, by which its group delay is, with either form.
    """

    wanted: Wanted
    turning: Wanted | None
    speaker: Measured
    level: Correction
    mixed: Correction | None
    excess: float
    uneven: tuple[float, float]

    @property
    def gains(self) -> bool:
        """Whether phase makes the group delay of its direct sound clearly more even."""
        return self.mixed is not None and round(self.uneven[1], 9) <= MORE_EVEN * self.uneven[0]

    @property
    def reason(self) -> str:
        """What speaks for one form or the other, were the channel alone."""
        if round(self.excess, 6) <= SPEAKS:
            return f"no excess phase of its own, {self.excess:.0f}°"
        if self.turning is None:
            return f"too few taps for phase: {self.excess:.0f}° of excess phase stay"
        if self.speaker.reversed is None:
            return "its curve does not tell which way round its phase is"
        if self.mixed is None:
            return f"the bound on pre-ringing lets none of its excess phase, {self.excess:.0f}°, be undone"
        level, mixed = (1000 * each for each in self.uneven)
        return f"with phase its group delay is uneven by {mixed:.2f} ms, without by {level:.2f} ms"


def corrected(
    plan: Plan, chosen: str, taps: int, sample_rate: float, simulated: bool = False
) -> Steps[Corrected]:
    """The plan with a filter in every channel of the kinds chosen; what it delays is in the arrivals.

    All that comes after, delays, joins and fit, works on a vehicle that has these filters in.
    ``simulated``: whether it is none but our cabin: the files' names say so.
    """
    kinds = CORRECTED_KINDS[chosen]
    if not kinds:
        return Corrected(plan)
    if len(plan.gains) == 0:
        raise InputError("fir", "The tape knows no level and no phase: FIR filters need measurements.")
    forms, unreal = {}, "simulated" if simulated else ""
    for number, channel in enumerate(plan.channels):
        if channel.kind in kinds:
            wanted = _wanted(plan, channel, taps, sample_rate)
            speaker, near = yield from _speaker(plan, number, wanted)
            yield Working(WORKING, 0.01)
            forms[number] = yield from _forms(speaker, near, wanted, plan.processor.limits.max_boost)
            yield Working(WORKING, 0.01)
    if not forms:
        raise InputError("fir", "No channel of this kind is listed.")
    through = np.ones((len(plan.channels), grid().size), dtype=np.complex128)
    channels, rows = list(plan.channels), []
    files: list[Made] = []
    for number, form in forms.items():
        channel = plan.channels[number]
        # Left and right turned unlike would pull the image apart: all of a pair, or none.
        short = [other for other in forms if _alike(plan.channels[other], channel) and not forms[other].gains]
        found = form.level if form.mixed is None or short else form.mixed
        reason = form.reason
        if form.gains and short:
            reason = f"{plan.channels[short[0]].name}, of the same pair, gains nothing by phase"
        file = fir_filters.coefficients(found.taps, sample_rate, channel.name, unreal)
        if [file_word(plan.channels[other].name) for other in forms].count(file_word(channel.name)) > 1:
            raise InputError(
                "channels", f"{channel.name}: another channel's FIR file is called alike: rename it."
            )
        rows.append(_row(channel, file, form, found, reason))
        files.append(file)
        yield Working(WORKING, 0.01)
        through[number] = yield from lived(response(found.taps, sample_rate), WORKING, 0.01)
        arrival = tuple(each + rows[-1].late for each in channel.arrival)
        channels[number] = replace(channel, arrival=arrival, fir=file.name)
        yield Working(WORKING, 0.01)
    gains = tuple(np.asarray(seat * through, dtype=np.complex128) for seat in plan.gains)
    made = replace(plan, channels=tuple(channels), gains=gains, fir=through)
    called = "-".join(filter(None, ("fir", unreal, "filters.zip")))
    return Corrected(made, tuple(rows), zip_file(called, tuple(files)), _advice(rows))


def response(taps: FloatArray, sample_rate: float) -> InParts[ComplexArray]:
    """Complex gain of a filter at the places of a tune, its delay within. ``sample_rate``: Hz."""
    size, peak = 2 ** math.ceil(math.log2(32 * taps.size)), int(np.argmax(np.abs(taps)))
    # Counted from its peak, size and turn go over evenly from line to line; real and imaginary part do not.
    spectrum, at = np.fft.rfft(np.roll(np.pad(taps, (0, size - taps.size)), -peak)), np.fft.rfftfreq(size)
    yield
    level, place = np.log(np.abs(spectrum) + 1e-30), grid() / sample_rate
    yield
    turned = np.interp(place, at, np.unwrap(np.angle(spectrum))) - 2 * np.pi * place * peak
    return np.asarray(np.exp(np.interp(place, at, level) + 1j * turned))


def _wanted(plan: Plan, channel: Channel, taps: int, sample_rate: float) -> Wanted:
    """What level alone may do: a channel's band, as far as the taps reach down, within the tune's limits."""
    limits = plan.processor.limits
    begins = max(channel.high_pass or 0.0, channel.lowest_safe or 0.0, float(grid()[0]))
    low = max(begins, CYCLES_WANTED * sample_rate / taps)
    high = min(
        (channel.low_pass or HIGHEST_CORRECTED) * ABOVE_LOW_PASS, HIGHEST_CORRECTED, 0.45 * sample_rate
    )
    wanted = Wanted(
        low,
        high,
        max(0.0, limits.max_boost - OVER),
        limits.max_cut,
        taps,
        sample_rate,
        RING_TIME,
        RING_LEVEL,
        False,
    )
    if not 2 * begins <= high:
        raise InputError("fir", f"{channel.name} plays less than an octave: too narrow for an FIR filter.")
    if not 2 * low <= high:
        raise InputError(
            "fir_taps", f"Too few taps for {channel.name}: they shape less than an octave of its band."
        )
    return wanted


def _turning(level: Wanted) -> Wanted | None:
    """The same with phase, whose lead the taps have to hold too; None where they are too few for it."""
    mixed = replace(level, mixed=True)
    if mixed.taps < 2 * mixed.lead + 2:
        return None
    low = max(level.low, CYCLES_WANTED * mixed.sample_rate / (mixed.taps - mixed.lead))
    return replace(mixed, low=low) if 2 * low <= mixed.high else None


def _speaker(plan: Plan, number: int, wanted: Wanted) -> Steps[tuple[Measured, list[Measured]]]:
    """A channel without its crossover, and its direct sound at each of the driver's near points.

    Its level is that of all points and seats. Its phase is the direct sound's: what comes back late from the
    cabin is the same at points a hand's breadth apart, and no speaker's.
    """
    came = plan.channels[number].arrival[0]
    near = [
        direct_sound.gated(plan.gains[0][point, number], grid(), came, DIRECT_SOUND) for point in plan.near
    ]
    inside = np.flatnonzero((grid() >= wanted.low) & (grid() <= wanted.high))
    together = np.mean([_beside(each, near[0], inside) for each in near], axis=0)
    points = np.concatenate([seat[:, number] for seat in plan.gains])
    power = np.asarray(np.mean(np.abs(points) ** 2, axis=0), dtype=np.float64)
    alone = []
    for each in near:
        alone.append((yield from _measured(power_of(each), each, wanted)))
        yield Working(WORKING, 0.01)
    turned = yield from _measured(power_of(together), together, wanted)
    yield Working(WORKING, 0.01)
    level = (yield from _measured(power, together, wanted)).level
    return replace(turned, level=level), alone


def _measured(power: FloatArray, direct: ComplexArray, wanted: Wanted) -> Steps[Measured]:
    """A speaker from the power and the phase on the grid, from an octave under its band on."""
    known = grid() >= wanted.low / 2
    level, phase = 10 * np.log10(power[known]), np.degrees(np.angle(direct[known]))
    made = fir_corrections.measured(grid()[known], level, phase, OCTAVES, wanted)
    return (yield from lived(made, WORKING, 0.01))


def _beside(gain: ComplexArray, first: ComplexArray, inside: IndexArray) -> ComplexArray:
    """A near point as it would be were it as far from the speaker as the first."""
    alike = (gain * np.conj(first) / (np.abs(gain) * np.abs(first) + 1e-30))[inside]
    turns = np.exp(2j * np.pi * np.outer(NEAR_BY, grid()[inside]))
    best = NEAR_BY[int(np.argmax(np.round((turns @ alike).real, 9)))]
    return np.asarray(gain * np.exp(2j * np.pi * best * grid()))


def _alike(one: Channel, other: Channel) -> bool:
    """Whether they are of a pair: the same kind, with the same crossover."""
    return (one.kind, one.high_pass, one.low_pass) == (other.kind, other.high_pass, other.low_pass)


def _within(found: Correction, most: float) -> Correction:
    """A filter as it is, or so much softer as a whole that it lifts nothing by more than ``most``, dB."""
    over = max(0.0, float(np.max(found.level)) - most)
    return replace(found, taps=found.taps * 10 ** (-over / 20), level=found.level - over)


def _forms(speaker: Measured, near: list[Measured], wanted: Wanted, most: float) -> Steps[_Forms]:
    """Both forms of a channel's filter, and how even either leaves the direct sound at the near points.

    ``most``: dB that it may lift.
    """
    turning = _turning(wanted)
    level = _within((yield from lived(fir_corrections.corrected(speaker, wanted), WORKING, 0.01)), most)
    yield Working(WORKING, 0.01)
    inside = _places(speaker, turning or wanted)
    excess = math.degrees(speaker_system.rms(np.angle(np.exp(1j * speaker.excess[inside]))))
    speaks = round(excess, 6) > SPEAKS
    mixed = level
    if turning and speaks:
        mixed = _within((yield from lived(fir_corrections.corrected(speaker, turning), WORKING, 0.01)), most)
        yield Working(WORKING, 0.01)
    at = speaker.places[inside]
    turned = (fir_corrections.turned_by(found, wanted, at) for found in (level, mixed))
    uneven = [
        float(np.mean([direct_sound.unevenness(each.excess[inside] + turn, at) for each in near]))
        for turn in turned
    ]
    return _Forms(
        wanted, turning, speaker, level, mixed if mixed.lead else None, excess, (uneven[0], uneven[1])
    )


def _places(speaker: Measured, wanted: Wanted) -> IndexArray:
    return np.flatnonzero((speaker.places >= wanted.low) & (speaker.places <= wanted.high))


def _row(channel: Channel, file: Made, form: _Forms, found: Correction, reason: str) -> ChannelFir:
    band = form.turning if form.turning and found.lead else form.wanted
    inside = _places(form.speaker, band)
    at, level = form.speaker.places[inside], form.speaker.level[inside]
    lifted = np.interp(np.log(at), np.log(band.frequencies()[1:]), found.level[1:])
    return ChannelFir(
        name=channel.name,
        file=file.name,
        taps=float(found.taps.size),
        sample_rate=band.sample_rate,
        late=round(fir_corrections.lateness(found, band, at), 9),
        lifts=round(max(0.0, float(np.max(found.level))), 9),
        largest=fir_filters.largest(found.taps),
        low=band.low,
        high=band.high,
        before=fir_filters.off(level),
        after=fir_filters.off(level + lifted),
        uneven_before=form.uneven[0],
        uneven_after=form.uneven[found.lead > 0],
        earlier=found.earlier,
        reason=f"{'level and phase' if found.lead else 'level alone'}: {reason}",
    )


def _advice(rows: list[ChannelFir]) -> tuple[Advice, ...]:
    """What to know before a filter is loaded."""
    notes = [
        Advice(
            "fir",
            "A file in the wrong channel can send bass to a tweeter. Amplifier off while you load; high- and "
            "low-pass stay in the processor, and a tweeter's capacitor stays in its wire; then each channel "
            "alone, from no volume up.",
            danger=True,
        )
    ]
    large = [f"{row.name} {fir_filters.divisor_in_words(row.largest)}" for row in rows if row.largest > 1]
    if large:
        notes.append(
            Advice(
                "fir_taps",
                f"Coefficients over 1: {', '.join(large)}. Where your processor takes none, divide that "
                "whole file by so much and give the dB back behind the filter.",
            )
        )
    return tuple(notes)
