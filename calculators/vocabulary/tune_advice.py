"""What to know before a tuning sheet is typed in."""

import math
from dataclasses import replace

import numpy as np

from calculators.declaring import Advice
from calculators.physics import joins
from calculators.physics.speaker_system import THIRDS
from calculators.vocabulary import (
    tune_bass_advice,
    tune_joins,
    tune_lifts,
    tune_limits,
    tune_stacked,
)
from calculators.vocabulary.sheet_reading import end_in_words
from calculators.vocabulary.tune_arrival_advice import arrival_advice
from calculators.vocabulary.tune_plan import (
    Channel,
    Joined,
    Plan,
    Tune,
    bands_played,
    ends_played,
    meetings,
    twins,
)
from calculators.vocabulary.tune_sheet import SeatFound, high_over_low, nominal
from calculators.vocabulary.tune_stacked import Tones
from calculators.vocabulary.tune_stage import stage_advice

DOES_NOTHING = 20.0
"""dB: what plays by more under the loudest of its kind adds less than 1 dB to it, and that is told."""
STILL_APART = 30.0
"""Degrees of phase left at a join, from which on it is told."""
JOIN_MOVED = 6.0
"""dB that two parts may lie apart where their crossovers meet: over it a filter has moved the join, or one of
them does not play. Common practice, no source."""
PAIR_APART, MEASURED_APART = 6.0, 12.0
"""dB by which a channel may be measured softer than its twin on the other side, and than any other, each
against its part of the target, before it is told; over the second it is a danger. The second is the largest
trim of the page on levels. Common practice, no source."""
BOTH_SIDES = 10 * math.log10(2)
"""dB by which a part in the middle is over one of left and right by rights: it carries what both do."""
BASS_HOLE = 2 ** (2 / 3)
"""Times a subwoofer's low-pass, from which on what begins above it leaves a hole: two thirds of an octave."""
DEEP_CUT = 6.0
"""dB, up to which a cut is no matter of the gain, however little one filter may. Common practice."""
CUT_BELONGS = "A cut this deep belongs to the gain, the place or the crossover: look there first."
LIFT_FILLS = "Ask first what it fills: the amplifier gives {:.0f} times the power there."
HARDLY, STILL_FAR = 0.5, 2.5
"""dB RMS: what betters by less is hardly better; what is left farther off is far. Both are told."""


def _crossover_advice(channels: tuple[Channel, ...]) -> list[Advice]:
    """Ends of bands that look like slips: left unlike right, and a tweeter that meets nothing."""
    notes = []
    for left, right in twins(channels):
        for words, one, other in (
            ("high-pass", left.high_pass, right.high_pass),
            ("low-pass", left.low_pass, right.low_pass),
        ):
            if one == other:
                continue
            own, twins_own = end_in_words(one), end_in_words(other)
            unlike = f"The {words} of {left.name} is {own}, that of {right.name} {twins_own}: "
            danger = left.kind == "tweeter" and words == "high-pass"
            rest = "a slip? Type nothing in before both are right." if danger else "is that meant?"
            notes.append(Advice("channels", unlike + rest, danger=danger))
    return notes + _tweeters_alone(channels)


def _tweeters_alone(channels: tuple[Channel, ...]) -> list[Advice]:
    """Tweeters that are joined to nothing: over a woofer with no low-pass at all, or with one too far off.

    Over one without a low-pass a tweeter's crossover of 24 dB per octave turns it half round at its own
    frequency, and nothing turns the woofer with it.
    """
    met, notes = {high for _, high, _ in meetings(channels)}, []
    for number, each in enumerate(channels):
        if each.kind != "tweeter" or number in met:
            continue
        woofers = [one for one in channels if one.kind == "woofer"]
        wide = [one.name for one in woofers if one.low_pass is None and one.side * each.side >= 0]
        below = [one for one in woofers if one.side == each.side and one.low_pass is not None]
        begins = f"{each.name} begins at {end_in_words(each.high_pass)}"
        if wide:
            words = (
                f"{begins}, and over that there plays on, without a low-pass: {', '.join(wide)}. There they "
                "stand half a cycle apart by the crossover alone, which a delay hides at one place at most. "
                "Type a low-pass there, load it, and measure with it in."
            )
        elif below:
            highest = max(below, key=lambda one: one.low_pass or 0.0)
            words = (
                f"{begins} and {highest.name} ends at {end_in_words(highest.low_pass)}: too far apart for a "
                "delay to join them. Is a figure wrong?"
            )
        else:
            continue
        notes.append(Advice("channels", words))
    return notes


def _bass_gap(channels: tuple[Channel, ...]) -> list[Advice]:
    """A hole between the highest low-pass of all subwoofers and what begins above it, on either side.

    A woofer on neither side plays for both.
    """
    ends, subwoofer = max(
        ((each.low_pass or 1e9, each.name) for each in channels if each.kind == "subwoofer"),
        default=(1e9, ""),
    )
    woofers = [each for each in channels if each.kind == "woofer"]
    sides = dict.fromkeys(each.side for each in woofers if each.side) or {0: None}
    lowest = [
        min(
            (each for each in woofers if each.side in (0, side)),
            key=lambda each: each.high_pass or 0.0,
            default=None,
        )
        for side in sides
    ]
    begins = {each.name: each.high_pass or 0.0 for each in lowest if each is not None}
    late = [
        f"{name} begins at {end_in_words(begin)}"
        for name, begin in begins.items()
        if begin > BASS_HOLE * ends
    ]
    if not late:
        return []
    gap = f"{subwoofer} ends at {end_in_words(ends)} and {' and '.join(late)}"
    rest = "nobody plays between, and filters cannot fill it. Is a figure wrong?"
    return [Advice("channels", f"{gap}: {rest}")]


def channel_advice(channels: tuple[Channel, ...]) -> tuple[Advice, ...]:
    """What the channels tell before anything is measured: parts that set the stage, tweeters nobody knows."""
    notes = stage_advice(channels)
    open_rows = {
        number: each.name.strip()
        for number, each in enumerate(channels)
        if each.kind == "tweeter" and not each.lowest_safe
    }
    if open_rows:
        notes.append(
            Advice(
                f"channels[{next(iter(open_rows))}].lowest_safe",
                f"Nothing here knows how low {' and '.join(open_rows.values())} may be crossed: type the "
                "lowest safe frequency from the job sheet, or hold the high-pass against it yourself.",
            )
        )
    return tuple(notes)


def advice_by_tape(channels: tuple[Channel, ...], step: float) -> tuple[Advice, ...]:
    """What the reader has to know before typing in delays that the tape gave, in steps of so much (s)."""
    coarse = [
        _step_in_degrees(step, frequency, channels[low], channels[high])
        for low, high, frequency in meetings(channels)
        if round(360 * step * frequency, 6) > STILL_APART
    ]
    subwoofer = any(each.kind == "subwoofer" for each in channels)
    bass = ", and the subwoofer is to be joined by phase" if subwoofer else ""
    return (
        Advice(
            "begin_with",
            f"By tape, not measured: delays to begin with. Gains and filters are left at rest{bass}.",
        ),
        *([_too_coarse(step, coarse)] if coarse else []),
        *_crossover_advice(channels),
        *_bass_gap(channels),
        *channel_advice(channels),
    )


def level_advice(before: Tune) -> tuple[Advice, ...]:
    """Channels measured far softer than others: perhaps at another volume, for which the sheet makes up.

    ``before``: crossovers and levels alone, whose gains bring each channel to its part of the target.
    """
    channels = before.plan.channels
    lifted = {
        each.name: round(setting.gain, 6) for each, setting in zip(channels, before.settings, strict=True)
    }
    softer = {
        (left.name, right.name): abs(lifted[left.name] - lifted[right.name])
        for left, right in twins(channels)
    }
    told = {pair: apart for pair, apart in softer.items() if apart > PAIR_APART}
    ends = min(lifted, key=lifted.__getitem__), max(lifted, key=lifted.__getitem__)
    farthest = lifted[ends[1]] - lifted[ends[0]]
    if max(told.values(), default=0.0) <= MEASURED_APART < farthest:
        told[ends] = farthest
    if not told:
        return ()
    words = []
    for pair, apart in told.items():
        loud, soft = sorted(pair, key=lifted.__getitem__)
        words.append(f"{soft} {apart:.0f} dB softer than {loud}")
    danger = max(told.values()) > MEASURED_APART
    rest = "type nothing in before both are measured again." if danger else "then measure both again."
    return (
        Advice(
            "measurements",
            f"Measured {' and '.join(words)}, each against its part of the target. Was one played at another "
            "volume or microphone gain, or not at all, its plug off? The sheet makes up for it, and so plays "
            "it too loud by as much. Or are amplifiers' gains so far apart? Set them nearer: "
            f"{rest}",
            danger=danger,
        ),
    )


def _idle(found: Tune) -> list[Advice]:
    """The channels that play so far under the loudest of their kind that they do nothing."""
    channels = found.plan.channels
    alone = np.eye(len(channels))
    levels = [
        max(float(np.max(found.levels(seat, plays))) for seat in range(len(found.plan.gains)))
        for plays in alone
    ]
    names = []
    for channel, level in zip(channels, levels, strict=True):
        loudest = max(
            other for each, other in zip(channels, levels, strict=True) if each.kind == channel.kind
        )
        if round(loudest - level, 3) > DOES_NOTHING:
            names.append(channel.name)
    if not names:
        return []
    rest = "It does nothing here: mute it, or measure it again."
    words = f"More than {DOES_NOTHING:g} dB under the loudest of its kind: {', '.join(names)}. {rest}"
    return [Advice("channels", words)]


def _unplayed(channels: tuple[Channel, ...]) -> list[Advice]:
    """Third octaves that lie outside every channel's crossover, and so are no matter of the tune."""
    played, notes = bands_played(channels), []
    below, above = np.arange(played[0]).tolist(), np.arange(played[-1] + 1, THIRDS).tolist()
    for words, end, out in zip(("under", "over"), ends_played(channels), (below, above), strict=True):
        if out:
            first, last = f"{nominal(out[0]):g}", f"{nominal(out[-1]):g}"
            which = f"{first} Hz is" if first == last else f"{first} to {last} Hz are"
            notes.append(Advice("channels", f"Nothing plays {words} {end_in_words(end)}: {which} left out."))
    return notes


def _stacked(plan: Plan, by_filters: list[Tones]) -> list[Advice]:
    """Which channels' filters do more together than one of them may; FIR filters are counted."""
    notes = []
    for channel, tones in zip(plan.channels, by_filters, strict=True):
        included = ", FIR included," if channel.fir else ""
        for field, way, most, reached in (
            ("max_boost", "lift", plan.processor.limits.max_boost, float(np.max(tones.level))),
            ("max_cut", "cut", max(DEEP_CUT, plan.processor.limits.max_cut), -float(np.min(tones.level))),
        ):
            if reached > most + tune_stacked.STACKED:
                look = LIFT_FILLS.format(10 ** (reached / 10)) if way == "lift" else CUT_BELONGS
                told = f"Filters of {channel.name}{included} {way} {reached:.1f} dB together: more than you"
                notes.append(Advice(field, f"{told} allowed one. {look}"))
    return notes


def _step_in_degrees(step: float, frequency: float, low: Channel, high: Channel) -> str:
    """What a step of delay (s) is at the frequency (Hz) where two channels meet."""
    return (
        f"{360 * step * frequency:.0f}° where {high.name} and {low.name} meet, at {end_in_words(frequency)}"
    )


def _too_coarse(step: float, where: list[str]) -> Advice:
    return Advice(
        "step",
        f"A step of delay of {1000 * step:g} ms is {'; '.join(where)}: too coarse. Look for a finer one, in "
        "samples perhaps, and type it here. Otherwise cross lower, never under the lowest safe frequency.",
    )


def _joins_apart(found: Tune) -> list[Advice]:
    """Joins left out of step: by too coarse a step, for another's sake, or by what no delay mends."""
    channels, step = found.plan.channels, found.plan.processor.delay_step
    coarse: list[str] = []
    given_up: list[str] = []
    apart: list[str] = []
    for join in found.joins:
        if abs(join.found.phase) <= STILL_APART:
            continue
        low, high = channels[join.low], channels[join.high]
        meet = tune_joins.join_of(found.plan, found.through, join.low, join.high, join.frequency)
        free = joins.best_delay(meet, join.frequency)
        if abs(free.phase) > STILL_APART:
            apart.append(f"{high.name} and {low.name}")
        elif 360 * step * join.frequency > STILL_APART:
            coarse.append(_step_in_degrees(step, join.frequency, low, high))
        else:
            waits = low if free.delay > 0 else high
            more = f"{1000 * abs(free.delay):.2f} ms more on {waits.name}"
            given_up.append(f"{high.name} and {low.name} by {abs(join.found.phase):.0f}° ({more})")
    notes = [_too_coarse(step, coarse)] if coarse else []
    if given_up:
        notes.append(
            Advice(
                "channels",
                f"Left out of step, though a delay would mend it: {'; '.join(given_up)}. Left and right "
                "arrive together instead, or another join of the same part is in step. No crossover is at "
                "fault: keep the delays, and hear whether anything is missing there.",
            )
        )
    if apart:
        notes.append(
            Advice(
                "channels",
                f"No delay brings into step, where they meet: {', '.join(apart)}. Try another crossover.",
            )
        )
    return notes


def _joins_moved(found: Tune) -> list[Advice]:
    """Joins at which one part is far louder than the other, where their crossovers meet: by filters that
    moved it, or with and without them."""
    bare = replace(found, settings=tuple(replace(each, filters=None) for each in found.settings))
    moved: list[str] = []
    apart: list[str] = []
    for join in found.joins:
        shared = BOTH_SIDES * _carries_both(found, join)
        over = high_over_low(found, join)
        if abs(over - shared) <= JOIN_MOVED:
            continue
        soft, loud = (
            found.plan.channels[number].name
            for number in ((join.low, join.high) if over > 0 else (join.high, join.low))
        )
        by_filters = abs(high_over_low(bare, join) - shared) <= JOIN_MOVED
        at = end_in_words(round(join.frequency))
        (moved if by_filters else apart).append(f"{soft} is {abs(over):.1f} dB under {loud} at {at}")
    notes = []
    for names, by, rest in (
        (moved, ", by their filters", "Hold the join check, and try fewer filters."),
        (
            apart,
            ", filters or not",
            "One hardly plays there, or its gain makes up for what it lacks elsewhere. Try another "
            "crossover, and measure again: fewer filters seldom mend this.",
        ),
    ):
        if names:
            notes.append(Advice("filters", f"Apart where they meet{by}: {'; '.join(names)}. {rest}"))
    return notes


def _carries_both(found: Tune, join: Joined) -> int:
    """1 where the high part is in the middle and meets left and right, -1 where the low one does; 0."""
    sides = [each.side for each in found.plan.channels]
    over = {sides[each.low] for each in found.joins if each.high == join.high}
    under = {sides[each.high] for each in found.joins if each.low == join.low}
    return int({-1, 1} <= over) - int({-1, 1} <= under)


def _hardly_better(expected: tuple[SeatFound, ...]) -> list[Advice]:
    """Seats that the tune betters by hardly anything, or makes worse, each with both figures."""
    hardly = [row for row in expected if row.after > row.before - HARDLY]
    if not hardly:
        return []
    worse = any(row.after > row.before + HARDLY for row in hardly)
    how = "Worse than with levels set alone" if worse else "Hardly better than with levels set alone"
    seats = "; ".join(
        f"{row.name}, {row.before:.1f} dB before and {row.after:.1f} dB tuned" for row in hardly
    )
    rest = "Look for a fault in the measurements before you go on."
    if len(hardly) < len(expected):
        rest = f"Where the other seat counts more, that is its price. Else: {rest[0].lower()}{rest[1:]}"
    return [Advice("filters", f"{how}: {seats}. {rest}")]


def _wired_wrong(channels: tuple[Channel, ...]) -> list[Advice]:
    """Channels whose direct sound goes down first: wired so, but for subwoofers, whose low-pass hides it."""
    turned = [each for each in channels if each.sign < 0]
    notes = []
    if crossed := [each.name for each in turned if each.kind != "subwoofer"]:
        notes.append(
            Advice(
                "channels",
                f"Wired the wrong way round, by the direct sound: {', '.join(crossed)}. Mend the wiring and "
                "measure again. Until then the sheet turns it in the processor.",
                danger=True,
            )
        )
    return notes + [
        Advice(
            "channels",
            f"{each.name} reads negative behind its low-pass: prove it at its cone before any plug is moved.",
        )
        for each in turned
        if each.kind == "subwoofer"
    ]


def _where_from(channels: tuple[Channel, ...], simulated: bool) -> tuple[Advice, ...]:
    """Of a vehicle, what its channels tell; of a simulated cabin, that it is none."""
    if not simulated:
        return channel_advice(channels)
    words = "A simulated cabin of our own: no vehicle, and nothing to type in anywhere."
    return (Advice("begin_with", words),)


def _points_lacking(found: Tune) -> list[Advice]:
    """That joins, or what wanders, are judged by too few points."""
    notes = []
    if found.joins and len(found.plan.near) == 1:
        notes.append(Advice("measurements", "No points within 30 mm: the joins are judged at point 1 alone."))
    if len(found.plan.wide) < 3:
        notes.append(
            Advice(
                "measurements",
                "Two points or fewer cannot tell what wanders from what stays: measure five at least.",
            )
        )
    return notes


def _still_far(expected: tuple[SeatFound, ...]) -> list[Advice]:
    """That a seat ends far from its target."""
    if all(row.after <= STILL_FAR for row in expected):
        return []
    return [Advice("filters", "Far from the target still. See what no setting mends, and the crossovers.")]


def advice_on(found: Tune, expected: tuple[SeatFound, ...], simulated: bool) -> tuple[Advice, ...]:
    """What the reader has to know before typing anything in, in the order in which it is told."""
    channels, by_filters = found.plan.channels, tune_stacked.by_filters(found)
    return (
        *_wired_wrong(channels),
        *tune_bass_advice.polarity_advice(found),
        *_crossover_advice(channels),
        *_bass_gap(channels),
        *_unplayed(channels),
        *_where_from(channels, simulated),
        *_hardly_better(expected),
        *_stacked(found.plan, by_filters),
        *tune_lifts.lift_advice(found, by_filters),
        *_joins_apart(found),
        *_joins_moved(found),
        *tune_bass_advice.bass_advice(found),
        *tune_bass_advice.standing_advice(found),
        *arrival_advice(found),
        *_idle(found),
        *_points_lacking(found),
        *_still_far(expected),
        *tune_limits.limit_advice(found, expected),
    )
