"""The channels of a tune, as typed, taped or measured; and what to know before a sheet is typed in."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Choice,
    Flag,
    InputError,
    Kept,
    Number,
    Output,
    OutputRows,
    Steps,
    Text,
)
from calculators.declaring.quantities import ANGLE, FREQUENCY, LENGTH, LEVEL
from calculators.physics import speaker_system
from calculators.physics.arrays import ComplexArray
from calculators.physics.speaker_system import Setting
from calculators.vocabulary import tune_bass, tune_measurements, tune_steps
from calculators.vocabulary.names import name_key
from calculators.vocabulary.tune_measurements import NAME, NAME_WANTED, RUNS_AT, Measured
from calculators.vocabulary.tune_plan import Channel, Tune, meetings
from calculators.vocabulary.tune_sheet import SPREAD_TOLD, SeatFound, bass_rows

SIDE_OF = {"left": -1, "right": 1, "both": 0}
CROSSOVER_ENDS = (20.0, 15e3)
CROSSOVERS_IN = Flag(
    "Measured with these crossovers in",
    help="As they should be: a tweeter needs its own. Then they are not put on top once more.",
    seldom=True,
)
OWN_BESIDE = Flag(
    "Beside it the driver's own position", help="For two seats; takes twice as long.", seldom=True
)
LOWEST_TWEETER = 1000.0
"""Hz: a tweeter's high-pass under it is taken for a slip. Common practice, no source."""
DOES_NOTHING = 20.0
"""dB: what plays by more under the loudest of its kind adds less than 1 dB to it."""
STILL_APART = 30.0
"""Degrees of phase left at a join, from which on it is told."""
BETTER_TURNED = 0.5
"""dB, from 50 to 125 Hz on average, from which on it is told that a subwoofer joins better turned."""
BASS_LOSES = 0.5
"""dB, from 50 to 125 Hz on average over the points, from which on what a subwoofer's join loses is told. The
limit of the page on joining: common practice, no source."""
STACKED = 0.5
"""dB by which filters together may pass what one of them may do before it is told."""
CUT_BELONGS = " A cut this deep belongs to the gain, the place or the crossover: look there first."
HARDLY, STILL_FAR = 0.5, 2.5
"""dB RMS: what betters by less is hardly better; what is left farther off is far."""


@dataclass(frozen=True, kw_only=True)
class ToldFrom:
    """From where on a sheet says that something is amiss."""

    phase: Annotated[float, Output("Join: phase left", ANGLE, decimals=0)]
    bass_loss: Annotated[float, Output("Subwoofer's join: mean loss", LEVEL, decimals=1, trim=True)]
    spread: Annotated[float, Output("Points differ by, RMS", LEVEL, decimals=1, trim=True)]
    no_worse: Annotated[float, Output("Fewer filters may be worse by, RMS", LEVEL, decimals=2, trim=True)]


TOLD = OutputRows("What is told, and from where on", fold=True)
TOLD_FROM = (
    ToldFrom(phase=STILL_APART, bass_loss=BASS_LOSES, spread=SPREAD_TOLD, no_worse=tune_steps.NO_WORSE),
)


@dataclass(frozen=True, kw_only=True)
class TunedChannel:
    """A channel to tune: what it drives, and where its band ends."""

    name: Annotated[
        str, Text("Channel", pattern=NAME, wanted=NAME_WANTED, help="As in the file of measurements.")
    ]
    part: Annotated[
        str,
        Choice(
            "It drives",
            {"tweeter": "tweeter", "woofer": "woofer, mid or full-range", "subwoofer": "subwoofer"},
        ),
    ]
    side: Annotated[str, Choice("Side", {"left": "left", "right": "right", "both": "neither"})]
    high_pass: Annotated[
        float | None,
        Number(
            "High-pass",
            FREQUENCY,
            *CROSSOVER_ENDS,
            optional=True,
            empty="none",
            help="24 dB per octave.",
        ),
    ] = None
    low_pass: Annotated[
        float | None, Number("Low-pass", FREQUENCY, *CROSSOVER_ENDS, optional=True, empty="none")
    ] = None
    lowest_safe: Annotated[
        float | None,
        Number(
            "Lowest safe frequency",
            FREQUENCY,
            10,
            15e3,
            optional=True,
            empty="not typed",
            help="From the job sheet: nothing crosses the driver under it, no filter is put there.",
        ),
    ] = None
    distance: Annotated[
        float | None,
        Number("Distance to the driver", LENGTH, 0.05, 10, show="cm", optional=True, empty="not taped"),
    ] = None
    distance_2: Annotated[
        float | None,
        Number("To the passenger", LENGTH, 0.05, 10, show="cm", optional=True, empty="not taped"),
    ] = None
    aside: Annotated[
        float | None,
        Number("Aside of the driver's nose", LENGTH, 0, 3, show="cm", optional=True, empty="not taped"),
    ] = None

    @property
    def kind(self) -> str:
        """What it drives, under the name that a plan has for it."""
        return self.part


def checked(channels: tuple[TunedChannel, ...]) -> None:
    """Refuse channels that cannot be tuned, each at its field."""
    if not channels:
        raise InputError("channels", "List the channels, one row each.")
    seen: set[str] = set()
    for number, each in enumerate(channels):
        field = f"channels[{number}]"
        key = name_key(each.name)
        if not key or key in seen:
            raise InputError(f"{field}.name", "Give every channel a name of its own.")
        seen.add(key)
        if each.part == "tweeter" and each.high_pass is None:
            raise InputError(
                f"{field}.high_pass", "A tweeter without its high-pass can be dead in a second: type it."
            )
        if each.part == "tweeter" and (each.high_pass or 0.0) < LOWEST_TWEETER:
            raise InputError(
                f"{field}.high_pass",
                "A tweeter's high-pass under 1 kHz: is a zero lost? Played so it can be dead in a "
                "second. What really plays lower is a mid: choose so.",
            )
        if each.lowest_safe and (each.high_pass or 0.0) < each.lowest_safe:
            raise InputError(
                f"{field}.high_pass",
                f"{each.name} is not safe under {each.lowest_safe:g} Hz: cross it there or higher.",
            )
        if each.part == "subwoofer" and each.low_pass is None:
            raise InputError(f"{field}.low_pass", "A subwoofer needs its low-pass.")
        if each.high_pass and each.low_pass and not each.high_pass < each.low_pass:
            raise InputError(f"{field}.low_pass", "The low-pass must lie above the high-pass.")
        if each.aside is not None and each.distance is None:
            raise InputError(f"{field}.distance", "Type the distance too: both together say the direction.")
        if each.aside is not None and each.distance is not None and each.aside > each.distance:
            raise InputError(f"{field}.aside", "No speaker is farther aside than it is away.")


def _channel(each: TunedChannel, arrival: tuple[float, ...], sign: float) -> Channel:
    return Channel(
        each.name,
        each.part,
        SIDE_OF[each.side],
        each.high_pass,
        each.low_pass,
        arrival,
        sign,
        each.lowest_safe,
        None if each.aside is None or not each.distance else SIDE_OF[each.side] * each.aside / each.distance,
    )


def taped(channels: tuple[TunedChannel, ...], seats: int, speed: float) -> tuple[Channel, ...]:
    """Channels with the arrivals that the tape gives."""
    checked(channels)
    rows = []
    for number, each in enumerate(channels):
        distances = (each.distance, each.distance_2)[:seats]
        arrival = []
        for field, distance in zip(("distance", "distance_2"), distances, strict=False):
            if distance is None:
                raise InputError(f"channels[{number}].{field}", "Type the distance: there is no measurement.")
            arrival.append(distance / speed)
        rows.append(_channel(each, tuple(arrival), 1.0))
    return tuple(rows)


@dataclass(frozen=True, eq=False)
class InTheFile:
    """What a file of measurements holds: channels, gains of each seat, points from 0 on, and what to know."""

    channels: tuple[Channel, ...]
    gains: tuple[ComplexArray, ...]
    points: tuple[int, ...]
    advice: tuple[Advice, ...]


def measured(
    channels: tuple[TunedChannel, ...], kept: Kept, seats: int, crossovers_in: bool,
    rate: float | None = RUNS_AT,
) -> Steps[InTheFile]:  # fmt: skip
    """Channels with the arrivals and polarities that were measured, and what was measured.

    ``crossovers_in``: whether the crossovers were, while it was measured; they are then taken out again, for
    the tune puts its own in; ``rate``: Hz, at which they ran. Raises InputError for a polarity that is not
    told; a subwoofer's need not be, it is proven at its cone.
    """
    checked(channels)
    found = yield from tune_measurements.read_measurements(kept)
    return gathered(channels, found, seats, crossovers_in, rate)


def gathered(
    channels: tuple[TunedChannel, ...], found: list[Measured], seats: int, crossovers_in: bool,
    rate: float | None = RUNS_AT,
) -> InTheFile:  # fmt: skip
    """The same of measurements that have been read."""
    crossovers = {each.name: Setting(each.high_pass, each.low_pass) for each in channels}
    points, gains = tune_measurements.gathered(found, crossovers, seats, crossovers_in, rate)
    rows = []
    for each in channels:
        fixed = [tune_measurements.fixed(found, each.name, seat) for seat in range(seats)]
        sign = fixed[0].sign
        if sign is None and each.part != "subwoofer":
            raise InputError(
                tune_measurements.FIELD,
                f"{each.name}, seat 1, point 1 says neither positive nor negative: prove its polarity and "
                "write it in.",
            )
        rows.append(_channel(each, tuple(one.arrival or 0.0 for one in fixed), sign or 1.0))
    return InTheFile(tuple(rows), gains, points, _unlike_polarities(channels, found))


def _unlike_polarities(channels: tuple[TunedChannel, ...], found: list[Measured]) -> tuple[Advice, ...]:
    """A danger for each channel, no subwoofer, whose points do not agree which way its sound goes first."""
    notes = []
    for each in channels:
        signs = {one.sign for one in found if name_key(one.name) == name_key(each.name)}
        if each.part != "subwoofer" and {1.0, -1.0} <= signs:
            notes.append(
                Advice(
                    "measurements",
                    f"{each.name} goes up first at one point and down first at another: measure again.",
                    danger=True,
                )
            )
    return tuple(notes)


def _crossover_advice(channels: tuple[Channel, ...]) -> list[Advice]:
    """Ends of bands that look like slips: left unlike right, and a tweeter that meets nothing."""
    notes = []
    for left, right in _pairs(channels):
        for words, one, other in (
            ("high-pass", left.high_pass, right.high_pass),
            ("low-pass", left.low_pass, right.low_pass),
        ):
            if one == other:
                continue
            unlike = f"The {words} of {left.name} is {_hertz(one)}, that of {right.name} {_hertz(other)}: "
            danger = left.kind == "tweeter" and words == "high-pass"
            rest = "a slip? Type nothing in before both are right." if danger else "is that meant?"
            notes.append(Advice("channels", unlike + rest, danger=danger))
    met = {high for _, high, _ in meetings(channels)}
    for number, each in enumerate(channels):
        below = [
            one
            for one in channels
            if one.kind == "woofer" and one.side == each.side and one.low_pass is not None
        ]
        if each.kind != "tweeter" or number in met or not below:
            continue
        highest = max(below, key=lambda one: one.low_pass or 0.0)
        notes.append(
            Advice(
                "channels",
                f"{each.name} begins at {_hertz(each.high_pass)} and {highest.name} ends at "
                f"{_hertz(highest.low_pass)}: too far apart for a delay to join them. Is a figure wrong?",
            )
        )
    return notes


def _pairs(channels: tuple[Channel, ...]) -> list[tuple[Channel, Channel]]:
    """Left and right of each kind, the lowest with the lowest, where there are as many of both."""
    found: list[tuple[Channel, Channel]] = []
    for kind in ("tweeter", "woofer", "subwoofer"):
        left, right = (
            sorted(
                (each for each in channels if each.kind == kind and each.side == side),
                key=lambda each: each.high_pass or 0.0,
            )
            for side in (-1, 1)
        )
        if len(left) == len(right):
            found += zip(left, right, strict=True)
    return found


def _hertz(frequency: float | None) -> str:
    return "none" if frequency is None else f"{frequency:g} Hz"


def safety_advice(channels: Sequence[TunedChannel | Channel]) -> tuple[Advice, ...]:
    """Which tweeters may be crossed too low without anybody's notice."""
    open_rows = {
        number: each.name.strip()
        for number, each in enumerate(channels)
        if each.kind == "tweeter" and not each.lowest_safe
    }
    if not open_rows:
        return ()
    return (
        Advice(
            f"channels[{next(iter(open_rows))}].lowest_safe",
            f"Nothing here knows how low {' and '.join(open_rows.values())} may be crossed: type the lowest "
            "safe frequency from the job sheet, or hold the high-pass against it yourself.",
        ),
    )


def advice_by_tape(channels: tuple[Channel, ...]) -> tuple[Advice, ...]:
    """What the reader has to know before typing in delays that the tape gave."""
    return (
        Advice(
            "begin_with",
            "By tape, not measured: delays to begin with. Gains and filters are left at rest, and the "
            "subwoofer is to be joined by phase.",
        ),
        *_crossover_advice(channels),
        *safety_advice(channels),
    )


def _idle(found: Tune) -> list[str]:
    """Names of the channels that play so far under the loudest of their kind that they do nothing."""
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
    return names


def _polarity_advice(found: Tune) -> list[Advice]:
    """What to do where a processor has no polarity switch for a subwoofer that joins better turned."""
    plan, notes = found.plan, []
    for number, (channel, setting) in enumerate(zip(plan.channels, found.settings, strict=True)):
        if channel.kind != "subwoofer":
            continue
        by_wire = (
            "amplifier off, swap its two wires at the amplifier, write that on the job sheet, and measure it "
            "again"
        )
        if setting.sign != channel.sign:
            notes.append(
                Advice(
                    "turn_bass",
                    f"{channel.name} is turned for its join. If its processor has no polarity switch, untick "
                    f"“The subwoofer's polarity may be chosen” for the best delay without; or {by_wire}.",
                )
            )
        elif not plan.turn_bass and (better := tune_bass.better_turned(found, number)) > BETTER_TURNED:
            notes.append(
                Advice(
                    "turn_bass",
                    f"{channel.name} loses {better:.1f} dB less where it joins, once turned. Without a "
                    f"polarity switch: {by_wire}.",
                )
            )
    return notes


def _bass_advice(found: Tune) -> list[Advice]:
    """Which joins of subwoofers lose more than joining allows."""
    names = [join.name for join in bass_rows(found) if round(join.lost, 2) < -BASS_LOSES]
    if not names:
        return []
    several = [each.kind for each in found.plan.channels].count("subwoofer") > 1
    ways = "Try another low-pass, or mute one subwoofer," if several else "Try another low-pass"
    return [
        Advice(
            "channels",
            f"Loses more than {BASS_LOSES:g} dB from 50 to 125 Hz: {'; '.join(names)}. {ways} and measure "
            "again.",
        )
    ]


def advice_on(found: Tune, expected: tuple[SeatFound, ...], simulated: bool) -> tuple[Advice, ...]:
    """What the reader has to know before typing anything in."""
    notes = []
    turned = [each for each in found.plan.channels if each.sign < 0]
    crossed = [each.name for each in turned if each.kind != "subwoofer"]
    if crossed:
        notes.append(
            Advice(
                "channels",
                f"Wired the wrong way round, by the direct sound: {', '.join(crossed)}. Mend the wiring and "
                "measure again. Until then the sheet turns it in the processor.",
            )
        )
    notes += [
        Advice(
            "channels",
            f"{each.name} reads negative behind its low-pass: prove it at its cone before any plug is moved.",
        )
        for each in turned
        if each.kind == "subwoofer"
    ]
    notes += _polarity_advice(found)
    notes += _crossover_advice(found.plan.channels)
    if simulated:
        notes.append(
            Advice("begin_with", "A simulated cabin of our own: no vehicle, and nothing to type in anywhere.")
        )
    else:
        notes += safety_advice(found.plan.channels)
    if any(row.after > row.before - HARDLY for row in expected):
        notes.append(
            Advice(
                "filters",
                "Hardly better than as found: look for a fault in the measurements before you go on.",
            )
        )
    rate = found.plan.processor.limits.sample_rate
    for channel, setting in zip(found.plan.channels, found.settings, strict=True):
        through = speaker_system.chain(Setting(filters=setting.filters), speaker_system.grid(), rate)
        if found.plan.fir is not None:
            through = through * found.plan.fir[found.plan.channels.index(channel)]
        together = 20 * np.log10(np.abs(through))
        for field, way, most, reached, look in (
            ("max_boost", "lift", found.plan.processor.limits.max_boost, float(np.max(together)), ""),
            ("max_cut", "cut", found.plan.processor.limits.max_cut, -float(np.min(together)), CUT_BELONGS),
        ):
            if reached > most + STACKED:
                notes.append(
                    Advice(
                        field,
                        f"Filters of {channel.name} {way} {reached:.1f} dB together: "
                        f"more than you allowed one.{look}",
                    )
                )
    apart = [join for join in found.joins if abs(join.found.phase) > STILL_APART]
    if apart:
        names = [f"{found.plan.channels[j.high].name} and {found.plan.channels[j.low].name}" for j in apart]
        notes.append(
            Advice(
                "channels",
                f"No delay brings into step, where they meet: {', '.join(names)}. Try another crossover.",
            )
        )
    notes += _bass_advice(found)
    if idle := _idle(found):
        notes.append(
            Advice(
                "channels",
                f"More than 20 dB under the loudest of its kind: {', '.join(idle)}. It does nothing here: "
                "mute it, or measure it again.",
            )
        )
    if found.joins and len(found.plan.near) == 1:
        notes.append(Advice("measurements", "No points within 30 mm: the joins are judged at point 1 alone."))
    if len(found.plan.wide) < 3:
        notes.append(
            Advice(
                "measurements",
                "Two points or fewer cannot tell what wanders from what stays: measure five at least.",
            )
        )
    if any(row.after > STILL_FAR for row in expected):
        notes.append(
            Advice("filters", "Far from the target still. See what no setting mends, and the crossovers.")
        )
    return tuple(notes)
