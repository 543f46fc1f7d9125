"""The channels of a tune, as typed, taped or measured."""

import re
from dataclasses import dataclass, replace
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    Flag,
    InputError,
    Kept,
    Number,
    Steps,
    Text,
)
from calculators.declaring.quantities import FREQUENCY, LENGTH
from calculators.physics.arrays import ComplexArray
from calculators.physics.speaker_system import Setting
from calculators.vocabulary import tune_measurements, tune_slopes
from calculators.vocabulary.names import name_key
from calculators.vocabulary.tune_measurements import NAME, NAME_WANTED, RUNS_AT, Measured
from calculators.vocabulary.tune_plan import SIDE_OF, Channel

OTHER_SIDE = {"left": "right", "right": "left"}
CROSSOVER_ENDS = (20.0, 15e3)
BEGIN_WITH = Choice(
    "Begin with",
    {
        "simulated": "a simulated cabin of our own",
        "measurements": "my measurements",
        "distances": "distances alone",
    },
)
CROSSOVERS_IN = Flag(
    "Measured with these crossovers in",
    help="As they should be: a tweeter needs its own. Then they are not put on top once more.",
    seldom=True,
)
OWN_BESIDE = Flag(
    "Beside it the driver's own position", help="For two seats; takes twice as long.", seldom=True
)
TURN_BASS = Flag("The subwoofer's polarity may be chosen", help="Every other polarity stays as proven.")
TURNED_BY_BURST = Text(
    "Turned by the burst",
    longest=200,
    help="A subwoofer that starts together with the doors only the other way round than proven, by its name; "
    "several with commas between.",
    seldom=True,
)
LOWEST_TWEETER = 1000.0
"""Hz: a tweeter's high-pass or lowest safe frequency under it is taken for a slip. Common practice, no
source."""


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
            help="From the job sheet: nothing crosses the driver under it, and no filter is put there.",
        ),
    ] = None
    distance: Annotated[
        float | None,
        Number(
            "Distance to the driver",
            LENGTH,
            0.05,
            10,
            show="cm",
            usual=(0.2, 4),
            optional=True,
            empty="not taped",
        ),
    ] = None
    distance_2: Annotated[
        float | None,
        Number(
            "To the passenger", LENGTH, 0.05, 10, show="cm", usual=(0.2, 4), optional=True, empty="not taped"
        ),
    ] = None
    aside: Annotated[
        float | None,
        Number("Aside of the driver's nose", LENGTH, 0, 3, show="cm", optional=True, empty="not taped"),
    ] = None


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
        words = set(re.split(r"\W+", key)) & OTHER_SIDE.keys()
        if each.part != "subwoofer" and words == {OTHER_SIDE.get(each.side)}:
            raise InputError(
                f"{field}.side",
                f"{each.name.strip()} stands on the {each.side} here: a slip? Choose its side, or call it "
                "otherwise.",
            )
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
        if each.part == "tweeter" and each.lowest_safe and each.lowest_safe < LOWEST_TWEETER:
            raise InputError(
                f"{field}.lowest_safe",
                "A tweeter's lowest safe frequency under 1 kHz: is a zero lost? Filters would lift it where "
                "it tears or burns. What really plays lower is a mid: choose so.",
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


def untimed(channels: tuple[TunedChannel, ...]) -> tuple[Channel, ...]:
    """Channels before anything is taped or measured, with no arrival."""
    return tuple(_channel(each, (), 1.0) for each in channels)


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


def turned_by_burst(channels: tuple[Channel, ...], names: str) -> tuple[Channel, ...]:
    """Channels of which those named are turned. Raises InputError for a name that is no subwoofer's."""
    named = {name_key(each): each.strip() for each in names.split(",") if each.strip()}
    bass = {name_key(each.name) for each in channels if each.kind == "subwoofer"}
    for key, name in named.items():
        if key not in bass:
            raise InputError("turned", f"No subwoofer is called “{name}”: type its name as in its row.")
    return tuple(replace(each, turned=name_key(each.name) in named) for each in channels)


@dataclass(frozen=True, eq=False)
class InTheFile:
    """What a file of measurements holds: channels, gains of each seat, points from 0 on, and what to know."""

    channels: tuple[Channel, ...]
    gains: tuple[ComplexArray, ...]
    points: tuple[int, ...]
    advice: tuple[Advice, ...]


def from_file(
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
    return from_measurements(channels, found, seats, crossovers_in, rate)


def from_measurements(
    channels: tuple[TunedChannel, ...], found: list[Measured], seats: int, crossovers_in: bool,
    rate: float | None = RUNS_AT,
) -> InTheFile:  # fmt: skip
    """The same of measurements that have been read."""
    crossovers = {each.name: Setting(each.high_pass, each.low_pass) for each in channels}
    bare_from = {
        each.name: each.lowest_safe or each.high_pass or 0.0
        for each in channels
        if each.part == "tweeter" and not crossovers_in
    }
    points, gains = tune_measurements.gains_by_point(found, crossovers, seats, crossovers_in, rate, bare_from)
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
    notes = _unlike_polarities(channels, found)
    if crossovers_in:
        heard = {
            each.name: [one for one in found if name_key(one.name) == name_key(each.name) and one.seat == 0]
            for each in rows
        }
        notes += tune_slopes.ended_soon(rows, heard)
    return InTheFile(tuple(rows), gains, points, notes)


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
