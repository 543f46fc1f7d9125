"""Runs of the guided tune that may be of another speaker than their name says: doubts, and no refusals."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, InputError, Output, OutputText
from calculators.declaring.quantities import COUNT
from calculators.physics.arrays import FloatArray
from calculators.physics.bands import exact_third_octaves
from calculators.physics.mixed_up_speakers import (
    arrives_like,
    is_no_woofer,
    louder_outside,
    played,
    sounds_like,
)
from calculators.vocabulary import tune_channels
from calculators.vocabulary.names import name_key
from calculators.vocabulary.tune_channels import InTheFile, TunedChannel
from calculators.vocabulary.tune_measurements import JOIN_POINTS, Measured

NEAR_REACH, WIDE_REACH = 0.03, 0.1
"""m from the fixed point: of those beside it that judge joins, and of all the others."""
WHAT_TO_DO = "Check what plays, then record it again, or keep it."


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """A run that may be of another speaker, and why."""

    speaker: Annotated[str, OutputText("Run of")]
    point: Annotated[float, Output("Point", COUNT, decimals=0)]
    why: Annotated[str, OutputText("In doubt")]


@dataclass(frozen=True, eq=False)
class _Recorded:
    """A run: its channel's number, its point, what it played by third octaves in dB, its arrival in s."""

    channel: int
    point: int
    levels: FloatArray
    arrival: float | None

    @property
    def reach(self) -> float:
        """Metres from the fixed point."""
        if self.point == 1:
            return 0.0
        return NEAR_REACH if self.point <= JOIN_POINTS else WIDE_REACH


def doubts_of(found: Sequence[Measured], channels: Sequence[TunedChannel]) -> tuple[Doubt, ...]:
    """The runs at the driver's seat that are in doubt, in the order in which they were measured.

    ``found``: runs of these channels, their crossovers in.
    """
    numbers = {name_key(each.name): number for number, each in enumerate(channels)}
    runs = [
        _Recorded(
            numbers[name_key(one.name)],
            one.point + 1,
            played(one.curve.frequency, one.curve.level),
            one.arrival,
        )
        for one in found
        if one.seat == 0
    ]
    contrary = {id(run): why for run in runs if (why := _contrary(run, channels[run.channel]))}
    sound = [run for run in runs if id(run) not in contrary]
    whys = [
        (
            run,
            _kept_twice(run, runs[:place], channels)
            or _why(run, sound, channels)
            or contrary.get(id(run), ""),
        )
        for place, run in enumerate(runs)
    ]
    return tuple(
        Doubt(speaker=channels[run.channel].name.strip(), point=float(run.point), why=why)
        for run, why in whys
        if why
    )


def _contrary(run: _Recorded, channel: TunedChannel) -> str:
    """Why a run cannot be its channel's, whatever else was recorded; nothing if it can."""
    name = channel.name.strip()
    power, middles = 10 ** (run.levels / 10), exact_third_octaves()
    if louder_outside(power, middles, channel.high_pass or 0.0, channel.low_pass or math.inf):
        return f"This is louder outside of {name}’s own crossovers than between them."
    if channel.part == "woofer" and is_no_woofer(run.levels, channel.high_pass or 0.0):
        return f"Nothing under 1 kHz: that is no woofer, mid or full-range, as {name} is."
    return ""


def _kept_twice(run: _Recorded, before: Sequence[_Recorded], channels: Sequence[TunedChannel]) -> str:
    """Why a run is no recording of its own, in words; nothing if it is: no two are ever quite alike."""
    for one in before:
        if one.arrival == run.arrival and np.array_equal(one.levels, run.levels, equal_nan=True):
            name = channels[one.channel].name.strip()
            return f"The same curve as {name} at point {one.point}: was one recording kept twice?"
    return ""


def _why(run: _Recorded, sound: Sequence[_Recorded], channels: Sequence[TunedChannel]) -> str:
    """Why a run is in doubt beside others that can be their channels', in words; nothing if it is not."""
    others = [one for one in sound if (one.channel, one.point) != (run.channel, run.point)]
    own = [one for one in others if one.channel == run.channel]
    if not own:
        return ""
    twins = [one for one in others if one.channel != run.channel and _of_a_kind(run, one, channels)]
    name = channels[run.channel].name.strip()
    its = f"{name} at point {own[0].point}: one of the two is not its" if len(own) == 1 else name
    like = sounds_like(
        run.levels, run.channel, np.stack([one.levels for one in others]), [one.channel for one in others]
    )
    if like is not None:
        return f"This sounds like {channels[like].name.strip()}, not like {its}."
    when = _arrives_like(run, own, twins, len(channels))
    return "" if when is None else f"This arrives when {channels[when].name.strip()} does, not as {its}."


def _of_a_kind(run: _Recorded, one: _Recorded, channels: Sequence[TunedChannel]) -> bool:
    """Whether two are of the same kind; a subwoofer's arrival is too vague to tell it from another."""
    return channels[one.channel].part == channels[run.channel].part != "subwoofer"


def _arrives_like(
    run: _Recorded, own: Sequence[_Recorded], twins: Sequence[_Recorded], count: int
) -> int | None:
    """The number of the channel whose arrival a run has, as far as that can be told."""
    if run.arrival is None:
        return None
    times = [(one.arrival, one.reach) for one in own if one.arrival is not None]
    others = [
        [(one.arrival, one.reach) for one in twins if one.channel == number and one.arrival is not None]
        for number in range(count)
    ]
    return arrives_like(run.arrival, run.reach, times, others)


def from_runs(
    channels: tuple[TunedChannel, ...], found: list[Measured], doubts: Sequence[Doubt]
) -> InTheFile | None:
    """What the tune makes of the driver's runs; None where it refuses one and some are in doubt.

    Another speaker's curve ends where its name's may not, and "measure the rest" would mislead.
    """
    try:
        return tune_channels.from_measurements(channels, found, 1, True)
    except InputError:
        if not doubts:
            raise
        return None


def doubt_advice(doubts: Sequence[Doubt]) -> tuple[Advice, ...]:
    """What the reader has to know of runs in doubt: the first of them, and where all are."""
    if not doubts:
        return ()
    first = doubts[0]
    rest = f" All {len(doubts)} stand under “Runs in doubt”." if len(doubts) > 1 else ""
    told = f"{first.speaker} at point {first.point:g}: {first.why} {WHAT_TO_DO}{rest}"
    return (Advice("measurements", told),)
