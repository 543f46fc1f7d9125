"""The channels of a tune, as typed, taped or measured; and what to know before a sheet is typed in."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, Choice, Flag, InputError, Kept, Number, Steps, Text
from calculators.declaring.quantities import FREQUENCY, LENGTH
from calculators.physics import speaker_system
from calculators.physics.arrays import ComplexArray
from calculators.physics.speaker_system import Setting
from calculators.vocabulary import tune_measurements
from calculators.vocabulary.names import name_key
from calculators.vocabulary.tune_sheet import SeatFound
from calculators.vocabulary.tune_steps import Channel, Tune

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
STILL_APART = 30.0
"""Degrees of phase left at a join, from which on it is told."""
STACKED = 0.5
"""dB by which filters together may pass what one of them may do before it is told."""
HARDLY, STILL_FAR = 0.5, 2.5
"""dB RMS: what betters by less is hardly better; what is left farther off is far."""


@dataclass(frozen=True, kw_only=True)
class TunedChannel:
    """A channel to tune: what it drives, and where its band ends."""

    name: Annotated[str, Text("Channel", help="As in the file of measurements.")]
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
    distance: Annotated[
        float | None,
        Number("Distance to the driver", LENGTH, 0.05, 10, show="cm", optional=True, empty="not taped"),
    ] = None
    distance_2: Annotated[
        float | None,
        Number("To the passenger", LENGTH, 0.05, 10, show="cm", optional=True, empty="not taped"),
    ] = None


def _checked(channels: tuple[TunedChannel, ...]) -> None:
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
        if each.part == "subwoofer" and each.low_pass is None:
            raise InputError(f"{field}.low_pass", "A subwoofer needs its low-pass.")
        if each.high_pass and each.low_pass and not each.high_pass < each.low_pass:
            raise InputError(f"{field}.low_pass", "The low-pass must lie above the high-pass.")


def _channel(each: TunedChannel, arrival: tuple[float, ...], sign: float) -> Channel:
    return Channel(each.name, each.part, SIDE_OF[each.side], each.high_pass, each.low_pass, arrival, sign)


def taped(channels: tuple[TunedChannel, ...], seats: int, speed: float) -> tuple[Channel, ...]:
    """Channels with the arrivals that the tape gives."""
    _checked(channels)
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


def measured(
    channels: tuple[TunedChannel, ...], kept: Kept, seats: int, crossovers_in: bool
) -> Steps[tuple[tuple[Channel, ...], tuple[ComplexArray, ...]]]:
    """Channels with the arrivals and polarities that were measured, and what was measured.

    ``crossovers_in``: whether the crossovers were, while it was measured; they are then taken out again, for
    the tune puts its own in.
    """
    _checked(channels)
    found = yield from tune_measurements.read_measurements(kept)
    crossovers = {each.name: Setting(each.high_pass, each.low_pass) for each in channels}
    gains = tuple(tune_measurements.gathered(found, crossovers, seats, crossovers_in))
    rows = []
    for each in channels:
        fixed = [tune_measurements.fixed(found, each.name, seat) for seat in range(seats)]
        rows.append(_channel(each, tuple(one.arrival or 0.0 for one in fixed), fixed[0].sign or 1.0))
    return tuple(rows), gains


def advice_on(found: Tune, expected: tuple[SeatFound, ...], simulated: bool) -> tuple[Advice, ...]:
    """What the reader has to know before typing anything in."""
    notes = []
    crossed = [each.name for each in found.plan.channels if each.sign < 0]
    if crossed:
        notes.append(
            Advice(
                "channels",
                f"Wired the wrong way round, by the direct sound: {', '.join(crossed)}. Mend the wiring and "
                "measure again. Until then the sheet turns it in the processor.",
            )
        )
    if simulated:
        notes.append(
            Advice("begin_with", "A simulated cabin of our own: no vehicle, and nothing to type in anywhere.")
        )
    if any(row.after > row.before - HARDLY for row in expected):
        notes.append(
            Advice(
                "filters",
                "Hardly better than as found: look for a fault in the measurements before you go on.",
            )
        )
    rate = found.plan.processor.limits.sample_rate
    for channel, setting in zip(found.plan.channels, found.settings, strict=True):
        together = 20 * np.log10(
            np.abs(speaker_system.chain(Setting(filters=setting.filters), speaker_system.grid(), rate))
        )
        for field, way, most, reached in (
            ("max_boost", "lift", found.plan.processor.limits.max_boost, float(np.max(together))),
            ("max_cut", "cut", found.plan.processor.limits.max_cut, -float(np.min(together))),
        ):
            if reached > most + STACKED:
                notes.append(
                    Advice(
                        field,
                        f"Filters of {channel.name} {way} {reached:.1f} dB together: "
                        "more than you allowed one.",
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
