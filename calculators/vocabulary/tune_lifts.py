"""What a sheet's filters lift where a channel's own crossover takes it away: a tweeter first of all."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calculators.declaring import Advice
from calculators.physics.speaker_system import Setting
from calculators.vocabulary.filter_settings import in_hertz
from calculators.vocabulary.tune_plan import SPILLS_TO, Channel, LiftLimit, Tune
from calculators.vocabulary.tune_stacked import ROUNDED_BEYOND, Tones

LIFT_TOLD = 1.0
"""dB from which on a filter that lifts a channel beyond its own crossover is told."""


@dataclass(frozen=True)
class Lift:
    """A speaker that is lifted too much: where it breaks a limit most, Hz, by how much it is lifted, dB."""

    frequency: float
    gain: float
    limit: LiftLimit


def lift_advice(found: Tune, by_filters: list[Tones]) -> list[Advice]:
    """What is told of lifts: a danger where they break a limit, a word for each other out of its place.

    ``by_filters``: what all filters of each channel do together.
    """
    lifted: dict[str, Lift] = {}
    for channel, tones in zip(found.plan.channels, by_filters, strict=True):
        if lift := _too_much(channel, tones):
            lifted[channel.name] = lift
    notes = []
    if lifted:
        which = "; ".join(
            f"{name} by {lift.gain:.1f} dB at {in_hertz(lift.frequency)}, and {lift.limit.most:g} dB is the "
            f"most under {lift.limit.words}"
            for name, lift in lifted.items()
        )
        notes.append(
            Advice(
                "filters",
                f"A speaker tears or burns where its filters lift it, together: {which}. Load nothing: "
                "allow filters less lift, and make the sheet again.",
                danger=True,
            )
        )
    return notes + _filters_outside(found.plan.channels, found.settings, lifted)


def _too_much(channel: Channel, tones: Tones) -> Lift | None:
    """Where all filters of a channel, FIR included, lift it farthest over what it bears, if they do."""
    found, farthest = None, ROUNDED_BEYOND
    for limit in channel.lift_limits:
        over = np.where(tones.frequency < limit.under, tones.level - limit.most, -np.inf)
        place = int(np.argmax(np.round(over, 6)))
        if over[place] > farthest:
            farthest = float(over[place])
            found = Lift(float(tones.frequency[place]), float(tones.level[place]), limit)
    return found


def _filters_outside(
    channels: Sequence[Channel], settings: Sequence[Setting], lifted: dict[str, Lift]
) -> list[Advice]:
    """Single filters that lift a channel beyond its own crossover, but for a danger that is told already."""
    told, untyped = [], False
    for channel, setting in zip(channels, settings, strict=True):
        low, high = channel.high_pass or 0.0, channel.low_pass or 1e9
        for frequency, gain, _ in [] if setting.filters is None else setting.filters.tolist():
            if gain < LIFT_TOLD or low / SPILLS_TO <= frequency <= high * SPILLS_TO:
                continue
            under = frequency < low
            if under and channel.name in lifted:
                continue
            untyped = untyped or (under and not channel.lowest_safe)
            way = f"under its high-pass of {low:g} Hz" if under else f"over its low-pass of {high:g} Hz"
            told.append(f"{channel.name} by {gain:.1f} dB at {in_hertz(frequency)}, {way}")
    if not told:
        return []
    ways = "type lowest safe frequencies, or cross elsewhere." if untyped else "cross elsewhere."
    rest = f"Power and travel for little that is heard: {ways}"
    return [Advice("filters", f"Lifted outside of its own band: {'; '.join(told)}. {rest}")]
