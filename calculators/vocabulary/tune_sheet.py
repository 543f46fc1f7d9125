"""The tuning sheet: what is typed in, why, what is to be expected, and what no setting mends."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, Chart, InputError, Output, OutputText
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import ANGLE, COUNT, FREQUENCY, LEVEL, RATIO, TIME
from calculators.physics import bands, biquads, speaker_system
from calculators.physics.arrays import FloatArray, power_of
from calculators.physics.speaker_system import Setting, band_centres
from calculators.vocabulary import tune_stacked
from calculators.vocabulary.filter_settings import filter_in_words, in_hertz
from calculators.vocabulary.filters import PASSES_RAISE
from calculators.vocabulary.responses import Places, level_axis, response_chart
from calculators.vocabulary.tune_bass import bass_joins
from calculators.vocabulary.tune_joins import join_of
from calculators.vocabulary.tune_levels import levels_in_band
from calculators.vocabulary.tune_plan import SEAT_NAMES, Channel, Joined, Plan, Tune
from calculators.vocabulary.tune_seats import farthest_third, sides_apart

SPREAD_TOLD, OFF_TOLD = 3.5, 1.5
"""dB: points that differ by so much (RMS) wander, and a band so far from the target is told."""
LATE_SHOWN = 0.005
"""ms: what is less is 0.00 in a channel's reason, and says that two arrive together."""
LEAST_LIFT = 0.01
"""dB: so little more asks for no further step of the trim in front."""
LEVELS_ALONE = "Levels set alone"
MEAN_ONLY = "; at {} points differ: there it follows their mean, and is not to be trusted"


@dataclass(frozen=True, kw_only=True)
class ChannelSheet:
    """One channel, to type in."""

    name: Annotated[str, OutputText("Channel")]
    high_pass: Annotated[float | None, Output("High-pass", FREQUENCY, figures=4, trim=True)]
    low_pass: Annotated[float | None, Output("Low-pass", FREQUENCY, figures=4, trim=True)]
    lowest_safe: Annotated[
        float | None, Output("Lowest safe", FREQUENCY, figures=4, trim=True, none="not typed")
    ]
    polarity: Annotated[str, OutputText("Polarity")]
    delay: Annotated[float, Output("Delay", TIME, show="ms", decimals=3)]
    gain: Annotated[float, Output("Gain", LEVEL, decimals=1)]
    number: Annotated[float, Output("Filters", COUNT, decimals=0)]
    with_filters: Annotated[float, Output("Gain with its filters, mean of its band", LEVEL, decimals=1)]
    all_pass: Annotated[str, OutputText("All-pass")]
    reason: Annotated[str, OutputText("Why")]


@dataclass(frozen=True, kw_only=True)
class ChannelFilter:
    """One peak of one channel, to type in."""

    name: Annotated[str, OutputText("Channel")]
    frequency: Annotated[float, Output("Frequency", FREQUENCY, figures=5, trim=True)]
    gain: Annotated[float, Output("Gain", LEVEL, decimals=2, trim=True)]
    q: Annotated[float, Output("Q", RATIO, decimals=2, trim=True)]
    does: Annotated[str, OutputText("It")]


@dataclass(frozen=True, kw_only=True)
class JoinFound:
    """How two channels meet at the fixed point and those near it."""

    name: Annotated[str, OutputText("Join")]
    frequency: Annotated[float, Output("At", FREQUENCY, figures=4, trim=True)]
    lost: Annotated[float, Output("Loses", LEVEL, decimals=2)]
    best: Annotated[float, Output("Best that delay reaches", LEVEL, decimals=2)]
    phase: Annotated[float, Output("Phase left, mean of the octave", ANGLE, decimals=0)]
    high_over_low: Annotated[float, Output("High over low there", LEVEL, decimals=1)]


@dataclass(frozen=True, kw_only=True)
class BassJoin:
    """How a subwoofer adds up with what plays above it, over all points and seats."""

    name: Annotated[str, OutputText("Join")]
    lost: Annotated[float, Output("Loses, on average", LEVEL, decimals=2)]
    worst: Annotated[float, Output("At the worst place", LEVEL, decimals=1)]
    phase: Annotated[float, Output("Phase left at point 1", ANGLE, decimals=0)]


@dataclass(frozen=True, kw_only=True)
class SeatFound:
    """What is to be expected at a seat."""

    name: Annotated[str, OutputText("Seat")]
    before: Annotated[float, Output("RMS, levels set alone", LEVEL, decimals=2)]
    after: Annotated[float, Output("RMS tuned", LEVEL, decimals=2)]
    single: Annotated[float, Output("Worst single point", LEVEL, decimals=2)]
    worst: Annotated[float, Output("Farthest band", LEVEL, decimals=1)]
    worst_frequency: Annotated[float, Output("that is at", FREQUENCY, figures=4, trim=True)]
    apart: Annotated[
        float | None, Output("Left against right, 300 Hz to 16 kHz", LEVEL, decimals=2, none="not asked")
    ]
    third_apart: Annotated[
        float | None, Output("Left over right, farthest band", LEVEL, decimals=1, none="not asked")
    ]
    third_frequency: Annotated[
        float | None, Output("which is at", FREQUENCY, figures=4, trim=True, none="not asked")
    ]


@dataclass(frozen=True, kw_only=True)
class NotMended:
    """A third octave that stays off, and why."""

    name: Annotated[str, OutputText("Seat")]
    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    off: Annotated[float, Output("Off by", LEVEL, decimals=1)]
    spread: Annotated[float, Output("Points differ by, RMS", LEVEL, decimals=1)]
    reason: Annotated[str, OutputText("Why")]


@dataclass(frozen=True, kw_only=True)
class FiltersTried:
    """What a number of filters leaves at points left out of the fit."""

    filters: Annotated[float, Output("Filters a channel", COUNT, decimals=0)]
    rms: Annotated[float, Output("RMS at points left out", LEVEL, decimals=2)]


def channel_rows(plan: Plan, settings: tuple[Setting, ...], measured: bool) -> tuple[ChannelSheet, ...]:
    """The sheet, a line for each channel; the plan's seats weighted as the delays were set by."""
    rows, arrivals = [], plan.mean_arrivals()
    first, with_filters = arrivals.index(min(arrivals)), levels_in_band(plan, settings)
    for number, (channel, setting) in enumerate(zip(plan.channels, settings, strict=True)):
        comes = "arrives first"
        if number != first:
            late = 1000 * (arrivals[number] - arrivals[first])
            after = f"{late:.2f} ms after" if late >= LATE_SHOWN else "with"
            comes = f"arrives {after} {plan.channels[first].name}"
        rows.append(
            ChannelSheet(
                name=channel.name,
                high_pass=setting.high_pass,
                low_pass=setting.low_pass,
                lowest_safe=channel.lowest_safe,
                polarity="normal" if setting.sign > 0 else "reversed",
                delay=setting.delay,
                gain=setting.gain,
                number=float(0 if setting.filters is None else len(setting.filters)),
                with_filters=with_filters[number],
                all_pass=_all_pass_words(setting),
                reason=_reason(channel, setting, comes + _by_heads(plan.weights), measured),
            )
        )
    return tuple(rows)


def _all_pass_words(setting: Setting) -> str:
    if setting.all_pass is None:
        return "none"
    frequency, q = setting.all_pass
    return f"second order, {frequency:g} Hz, Q {q:g}"


def _by_heads(weights: Sequence[float]) -> str:
    """Of two seats, that an arrival is the mean of both, and how much the driver's counts."""
    if len(weights) < 2:
        return ""
    share = weights[0] / sum(weights)
    return ", mean of both heads" + ("" if share == 0.5 else f" (the driver's counts {100 * share:g}%)")


def _reason(channel: Channel, setting: Setting, comes: str, measured: bool) -> str:
    comes += ", FIR filter included" if channel.fir else ""
    polarity = "as proven"
    if setting.sign != channel.sign:
        polarity = "turned by the burst" if channel.turned else "turned: it joins better so"
    if not measured:
        return f"{comes}, by tape; polarity {polarity}; level and filters: by measurement alone"
    if channel.kind == "subwoofer":
        return f"{comes}; delay by phase from 50 to 125 Hz over all points; polarity {polarity}"
    return (
        f"{comes}, set finer at its join; polarity as proven{'' if channel.sign > 0 else ', wired reversed'}"
    )


def refuse_long(rows: Sequence[ChannelSheet], plan: Plan) -> None:
    """Raise InputError where a channel needs a longer delay than the processor sets."""
    longest = max(rows, key=lambda row: row.delay)
    if longest.delay > plan.processor.longest_delay + 1e-12:
        raise InputError(
            "longest_delay",
            f"{longest.name} needs {1000 * longest.delay:.2f} ms. Check the distances or arrivals.",
        )


def filter_rows(plan: Plan, settings: tuple[Setting, ...]) -> tuple[ChannelFilter, ...]:
    """All peaks, channel by channel: what each does, where points differ under it, and on what it stands."""
    rows, rate = [], plan.processor.limits.sample_rate
    wandering = _wandering(Tune(plan, settings, (), 0, ()))
    for channel, setting in zip(plan.channels, settings, strict=True):
        if setting.filters is None:
            continue
        stacked = tune_stacked.stacks_in_words(channel, setting.filters, plan.processor.limits)
        for number, (frequency, gain, q) in enumerate(setting.filters.tolist()):
            low, high = biquads.half_gain_at(q, frequency, rate)
            under = [in_hertz(band) for band in wandering if low <= band <= high]
            differ = MEAN_ONLY.format(" and ".join(under)) if under else ""
            does = filter_in_words(0, frequency, gain, q, rate) + differ + stacked.get(number, "")
            rows.append(ChannelFilter(name=channel.name, frequency=frequency, gain=gain, q=q, does=does))
    return tuple(rows)


def _wandering(tune: Tune) -> list[float]:
    """Names, Hz, of the third octaves in which points differ by more than is told, at any seat."""
    found = np.any([_spread(tune, seat) > SPREAD_TOLD for seat in range(len(tune.plan.gains))], axis=0)
    return [nominal(band) for band in tune.plan.played[found].tolist()]


def _spread(tune: Tune, seat: int) -> FloatArray:
    """RMS, dB, by which a seat's points differ in each third octave that is played."""
    power = power_of(tune.sums(seat)[list(tune.plan.wide)])
    return speaker_system.spread(power, tune.plan.played)


def join_rows(tune: Tune) -> tuple[JoinFound, ...]:
    """The joins of tweeters and what plays below them."""
    names = [channel.name for channel in tune.plan.channels]
    return tuple(
        JoinFound(
            name=f"{names[each.high]} and {names[each.low]}",
            frequency=each.frequency,
            lost=round(each.found.loss, 6),
            best=round(each.best, 6),
            phase=round(each.found.phase, 6),
            high_over_low=high_over_low(tune, each),
        )
        for each in tune.joins
    )


def high_over_low(tune: Tune, join: Joined) -> float:
    """dB by which the high part is over the low one, in the third of an octave where the crossovers meet."""
    meet = join_of(tune.plan, tune.through, join.low, join.high, join.frequency)
    there = np.abs(np.log2(meet.frequency / join.frequency)) <= 1 / 6
    high, low = (np.mean(power_of(part[:, there])) for part in (meet.high, meet.low))
    return round(10 * math.log10(max(float(high), 1e-30) / max(float(low), 1e-30)), 6)


def bass_rows(tune: Tune) -> tuple[BassJoin, ...]:
    """Each subwoofer's joins: with the left channels, with the right ones, with all but subwoofers."""
    return tuple(
        BassJoin(
            name=words,
            lost=round(join.loss(0.0), 6),
            worst=round(float(np.min(join.losses(np.zeros(1)))), 6),
            phase=round(join.phase(0.0), 6),
        )
        for words, join in bass_joins(tune)
    )


def seat_rows(tune: Tune, before: Tune) -> tuple[SeatFound, ...]:
    """What is to be expected at each seat."""
    rows = []
    apart, third = sides_apart(tune), farthest_third(tune)
    for seat in range(len(tune.plan.gains)):
        left = tune.off_target(seat)
        place = int(np.argmax(np.round(np.abs(left), 6)))
        singles = [speaker_system.rms(tune.off_target(seat, (point,))) for point in tune.plan.wide]
        rows.append(
            SeatFound(
                name=SEAT_NAMES[seat],
                before=speaker_system.rms(before.off_target(seat)),
                after=speaker_system.rms(left),
                single=max(singles),
                worst=float(left[place]),
                worst_frequency=nominal(tune.plan.played[place]),
                apart=apart,
                third_apart=third[0] if third else None,
                third_frequency=nominal(third[1]) if third else None,
            )
        )
    return tuple(rows)


def nominal(band: int) -> float:
    """Name of a third octave, counted from the lowest looked at."""
    return bands.NOMINAL_THIRD_OCTAVES[band + speaker_system.LOWEST_BAND - bands.FIRST_BAND]


def not_mended(tune: Tune) -> tuple[NotMended, ...]:
    """Third octaves that stay off the target or wander from point to point."""
    rows = []
    played = tune.plan.played
    for seat in range(len(tune.plan.gains)):
        left = tune.off_target(seat)
        spread = _spread(tune, seat)
        for band in np.flatnonzero((np.abs(left) > OFF_TOLD) | (spread > SPREAD_TOLD)).tolist():
            wanders = spread[band] > SPREAD_TOLD
            reason = (
                "it wanders from point to point: reflections, which no filter mends at more than one place"
                if wanders
                else "the filters allowed, and their limits, end here"
            )
            rows.append(
                NotMended(
                    name=SEAT_NAMES[seat],
                    frequency=nominal(played[band]),
                    off=float(left[band]),
                    spread=float(spread[band]),
                    reason=reason,
                )
            )
    return tuple(rows)


def seat_chart(tune: Tune, before: Tune, seat: int) -> Chart:
    """A seat's third octaves, those that are played, with levels set alone, tuned and wanted."""
    target = tune.plan.targets[seat][tune.plan.played]
    shift = float(np.mean(target))
    lines = {"Tuned": tune.off_target(seat), LEVELS_ALONE: before.off_target(seat)}
    drawn = {name: line + target - shift for name, line in lines.items()}
    wanted = target - shift
    centres = band_centres()[tune.plan.played]
    places = Places(centres, centres)
    return response_chart(
        f"{SEAT_NAMES[seat]}: mean of the points, by third octave",
        places,
        {"Tuned": (drawn["Tuned"], "main"), LEVELS_ALONE: drawn[LEVELS_ALONE], "Target": (wanted, "limit")},
        level_axis(*drawn.values(), wanted),
        read_at=1000.0,
    )


def trim_in_front(plan: Plan, settings: tuple[Setting, ...]) -> float:
    """The gain in front of every channel, dB, 0 or less, in whole steps of the processor, none too few.

    It makes up for the most that filters and gain of a channel lift any tone, FIR filters included, and for
    the peaks that its passes and all-passes raise by turning the phase.
    """
    lifted = []
    each_level = tune_stacked.levels(plan, settings)
    for channel, each, level in zip(plan.channels, settings, each_level, strict=True):
        turns = bool(each.high_pass or each.low_pass or each.all_pass or channel.fir)
        lifted.append(float(np.max(level)) + PASSES_RAISE * turns)
    step = plan.processor.gain_step
    steps = math.ceil((max(lifted) - LEAST_LIFT) / step)
    return round(-max(steps, 0) * step, 6) + 0.0


def settings_in_short(rows: Sequence[ChannelSheet]) -> str:
    """The sheet in a line, without its filters."""
    return "; ".join(map(_channel_in_short, rows))


def _channel_in_short(row: ChannelSheet) -> str:
    gain = typographic(f"{round(row.gain, 2) + 0.0:g}")
    turned = "" if row.all_pass == "none" else f", all-pass {row.all_pass}"
    return f"{row.name}: {1000 * row.delay:.3f} ms, {gain} dB, {row.polarity}{turned}"


def tune_in_short(expected: Sequence[SeatFound], advice: Iterable[Advice]) -> str:
    """In 16 signs how near the target it comes at each seat; before that, how much there is to check."""
    checks = sum(entry.about != "begin_with" for entry in advice)  # That one says where it all comes from.
    if checks:
        return f"{checks} check{'s' if checks > 1 else ''} first"
    return f"{max(row.after for row in expected):.1f} dB RMS off"
