"""A tune before any filter: channels delayed by arrival, each brought to its part of the target by gain."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from calculators.physics import speaker_system
from calculators.physics.arrays import IndexArray
from calculators.physics.arrivals import waits
from calculators.physics.speaker_system import Setting, band_centres, grid
from calculators.vocabulary.tune_plan import Channel, Plan, Tune

HALF_A_THIRD = 1.12
"""Times the middle of a third octave, to its end."""


def by_arrival(plan: Plan) -> tuple[Setting, ...]:
    """Crossovers, polarity as proven, and delays by arrival: of two seats, by the weighted mean."""
    return tuple(
        Setting(each.high_pass, each.low_pass, delay=wait, sign=-each.sign if each.turned else each.sign)
        for each, wait in zip(plan.channels, waits(plan.mean_arrivals()), strict=True)
    )


def leveled(plan: Plan, settings: tuple[Setting, ...]) -> tuple[Setting, ...]:
    """Gains that bring each channel to the target in its own band, shared by power with its kind there."""
    through = speaker_system.chains(settings, grid(), plan.processor.limits.sample_rate)
    own, gains = [own_bands(each) for each in plan.channels], []
    for number, channel in enumerate(plan.channels):
        kin = [own[other] for other, each in enumerate(plan.channels) if each.kind == channel.kind]
        sharing = np.sum([np.isin(own[number], bands) for bands in kin], axis=0)
        seats = [seat[list(plan.wide), number] * through[number] for seat in plan.gains]
        off = [
            speaker_system.band_levels(each) - target
            for each, target in zip(seats, plan.targets, strict=True)
        ]
        over = float(np.mean([each[own[number]] for each in off]))
        gains.append(-over - round(float(np.mean(10 * np.log10(sharing))), 9))
    return tuple(replace(s, gain=s.gain + gain) for s, gain in zip(settings, gains, strict=True))


def own_bands(channel: Channel) -> IndexArray:
    """Numbers of the third octaves that lie whole between a channel's high-pass and its low-pass.

    A crossover takes from one that it cuts, so its gain is not set by that. What is asked of all channels
    together counts a third octave as played by its middle alone: `speaker_system.in_band`.
    """
    low, high = (channel.high_pass or 0.0) * HALF_A_THIRD, (channel.low_pass or 1e9) / HALF_A_THIRD
    inside = np.flatnonzero((band_centres() >= low) & (band_centres() <= high))
    if inside.size:
        return inside
    middle = math.sqrt(max(low, 20.0) * min(high, 20e3))
    return np.array([np.argmin(np.abs(np.log(band_centres() / middle)))])


def levels_in_band(plan: Plan, settings: Sequence[Setting]) -> list[float]:
    """What gain and filters of each channel do in the mean of its own band, dB, FIR filters included.

    Filters that all cut do the work of a gain: of two channels with one gain each the softer may be either.
    """
    found = []
    for number, (channel, setting) in enumerate(zip(plan.channels, settings, strict=True)):
        alone = Setting(gain=setting.gain, filters=setting.filters)
        through = speaker_system.chain(alone, grid(), plan.processor.limits.sample_rate)
        if plan.fir is not None:
            through = through * plan.fir[number]
        levels = speaker_system.band_levels(through[np.newaxis])
        found.append(round(float(np.mean(levels[own_bands(channel)])), 6))
    return found


def levels_alone(plan: Plan) -> Tune:
    """The same system with crossovers and levels alone: no delay, polarity as wired, no filter."""
    bare = tuple(Setting(each.high_pass, each.low_pass, gain=s.gain)
                 for each, s in zip(plan.channels, leveled(plan, by_arrival(plan)), strict=True))  # fmt: skip
    return Tune(plan, bare, (), 0, ())
