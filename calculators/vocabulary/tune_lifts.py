"""What a sheet's filters lift where a channel's own crossover takes it away: a tweeter first of all."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calculators.declaring import Advice
from calculators.physics.speaker_system import Setting
from calculators.vocabulary import tune_stacked
from calculators.vocabulary.filter_settings import in_hertz
from calculators.vocabulary.tune_plan import (
    BESIDE_OWN,
    LIFT_UNDER_HIGH_PASS,
    LIFT_WHERE_UNSAFE,
    Channel,
    Tune,
)
from calculators.vocabulary.tune_steps import ROUNDED_BEYOND

LIFT_TOLD = 1.0
"""dB from which on a filter that lifts a channel beyond its own crossover is told."""


@dataclass(frozen=True)
class Lift:
    """A tweeter that is lifted too much: where most, Hz, by how much, dB, and what it is under there."""

    frequency: float
    gain: float
    under: str


def lift_advice(found: Tune) -> list[Advice]:
    """What is told of lifts: a danger for tweeters, and a word for each other filter out of its place."""
    bare = [Setting(filters=each.filters) for each in found.settings]
    lifted: dict[str, Lift] = {}
    for channel, tones in zip(found.plan.channels, tune_stacked.tones(found.plan, bare), strict=True):
        if channel.kind == "tweeter" and (lift := _too_much(channel, tones)):
            lifted[channel.name] = lift
    notes = []
    if lifted:
        which = "; ".join(
            f"{name} by {lift.gain:.1f} dB at {in_hertz(lift.frequency)}, {lift.under}"
            for name, lift in lifted.items()
        )
        notes.append(
            Advice(
                "filters",
                f"A tweeter tears or burns where its filters lift it, together: {which}. Load nothing: "
                "allow filters less lift, and make the sheet again.",
                danger=True,
            )
        )
    return notes + _filters_outside(found.plan.channels, found.settings, lifted)


def _too_much(channel: Channel, tones: tune_stacked.Tones) -> Lift | None:
    """Where all filters of a tweeter, FIR included, lift it most under what it is safe from, if too much.

    Where nobody typed how low that is, it is its high-pass, but for what a filter at the join spills over.
    """
    high_pass, safe = channel.high_pass or 0.0, channel.lowest_safe
    own = high_pass, f"under its high-pass of {high_pass:g} Hz"
    first = (safe, f"under its lowest safe frequency of {safe:g} Hz") if safe else own
    judged = ((high_pass, LIFT_UNDER_HIGH_PASS, own), (channel.unsafe_under, LIFT_WHERE_UNSAFE, first))
    for end, most, (told_to, words) in judged:
        if np.max(tones.level[tones.frequency < end], initial=0.0) <= most + ROUNDED_BEYOND:
            continue
        levels = np.where(tones.frequency < told_to, tones.level, -np.inf)
        place = int(np.argmax(np.round(levels, 6)))
        return Lift(float(tones.frequency[place]), float(levels[place]), words)
    return None


def _filters_outside(
    channels: Sequence[Channel], settings: Sequence[Setting], lifted: dict[str, Lift]
) -> list[Advice]:
    """Single filters that lift a channel beyond its own crossover, but for a tweeter that is told already."""
    told = []
    for channel, setting in zip(channels, settings, strict=True):
        low, high = channel.high_pass or 0.0, channel.low_pass or 1e9
        for frequency, gain, _ in [] if setting.filters is None else setting.filters.tolist():
            if gain < LIFT_TOLD or low / BESIDE_OWN <= frequency <= high * BESIDE_OWN:
                continue
            under = frequency < low
            if under and channel.name in lifted:
                continue
            way = f"under its high-pass of {low:g} Hz" if under else f"over its low-pass of {high:g} Hz"
            told.append(f"{channel.name} by {gain:.1f} dB at {in_hertz(frequency)}, {way}")
    if not told:
        return []
    rest = "Power and travel for little that is heard: type lowest safe frequencies, or cross elsewhere."
    return [Advice("filters", f"Lifted outside of its own band: {'; '.join(told)}. {rest}")]
