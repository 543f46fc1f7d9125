"""What a sheet's filters lift where a channel's own crossover takes it away: a tweeter first of all."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calculators.declaring import Advice
from calculators.physics.speaker_system import Setting
from calculators.vocabulary import tune_stacked
from calculators.vocabulary.filter_settings import in_hertz
from calculators.vocabulary.tune_plan import SPILLS_TO, Channel, Tune
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
    """Where all filters of a tweeter, FIR included, lift it most, if by more than they may there.

    Under its lowest safe frequency where it is too much there alone, else under its high-pass.
    """
    beyond = tones.frequency[tones.level > channel.most_lift(tones.frequency) + ROUNDED_BEYOND]
    if not beyond.size:
        return None
    end, words = channel.high_pass or 0.0, "high-pass"
    if channel.lowest_safe and beyond[-1] < channel.lowest_safe:
        end, words = channel.lowest_safe, "lowest safe frequency"
    levels = np.where(tones.frequency < end, tones.level, -np.inf)
    place = int(np.argmax(np.round(levels, 6)))
    return Lift(float(tones.frequency[place]), float(levels[place]), f"under its {words} of {end:g} Hz")


def _filters_outside(
    channels: Sequence[Channel], settings: Sequence[Setting], lifted: dict[str, Lift]
) -> list[Advice]:
    """Single filters that lift a channel beyond its own crossover, but for a tweeter that is told already."""
    told = []
    for channel, setting in zip(channels, settings, strict=True):
        low, high = channel.high_pass or 0.0, channel.low_pass or 1e9
        for frequency, gain, _ in [] if setting.filters is None else setting.filters.tolist():
            if gain < LIFT_TOLD or low / SPILLS_TO <= frequency <= high * SPILLS_TO:
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
