"""Filters of one channel that stand on one another: together they do more than one may."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calculators.physics import decibels, speaker_system
from calculators.physics.arrays import FloatArray
from calculators.physics.filter_limits import Limits
from calculators.physics.speaker_system import Setting, grid
from calculators.vocabulary.filter_settings import in_hertz
from calculators.vocabulary.tune_plan import Channel, Plan, Tune

STACKED = 0.5
"""dB by which filters together may pass what one of them may do before it is told."""
ROUNDED_BEYOND = 0.1
"""dB by which a channel's filters may pass their limit together for the sake of the processor's steps."""
HEARD_ENDS = np.array([20.0, 20e3])
"""Hz: beyond the grid a cut fades, and more is left than in it."""
BEARS = 0.5
"""Part of its own gain that a filter does where they do most together: from there on it is one of them."""

WIDTHS_ASIDE = np.arange(-8, 9) / 16
"""Where beside a filter is looked, as logarithms of frequency times its Q: its own half width either way."""


@dataclass(frozen=True)
class Stack:
    """Filters that pass together what one may do: their numbers, where they do most, Hz, and what, dB."""

    filters: tuple[int, ...]
    frequency: float
    gain: float


def stacks(filters: FloatArray, limits: Limits) -> list[Stack]:
    """Those that lift too much, and those that cut too much, of one channel's filters (Hz, dB, Q)."""
    if len(filters) < 2:
        return []
    places = _places(filters, limits.sample_rate)
    alone = np.array([_level(each, places, limits.sample_rate) for each in filters[:, np.newaxis]])
    together, found = np.sum(alone, axis=0), []
    for way, most in ((1, limits.max_boost), (-1, limits.max_cut)):
        place = int(np.argmax(np.round(way * together, 6)))
        bearing = np.flatnonzero(np.round(way * (alone[:, place] - BEARS * filters[:, 1]), 6) >= 0)
        own = [int(number) for number in bearing if way * filters[number, 1] > 0]
        if way * together[place] > most + STACKED and len(own) > 1:
            found.append(Stack(tuple(own), float(places[place]), float(together[place])))
    return found


@dataclass(frozen=True, eq=False)
class Tones:
    """Tones at which a channel may do most, Hz, rising, and what it makes of each, dB."""

    frequency: FloatArray
    level: FloatArray


def tones(plan: Plan, settings: Sequence[Setting]) -> list[Tones]:
    """What gain and filters of each channel make of tones where they may do most, FIR filters included."""
    rate, found = plan.processor.limits.sample_rate, []
    for number, (channel, setting) in enumerate(zip(plan.channels, settings, strict=True)):
        filters = np.empty((0, 3)) if setting.filters is None else setting.filters
        ends = [limit.under * (1 - 1e-9) for limit in channel.lift_limits]  # A skirt does most there.
        at = np.sort(np.concatenate([_places(filters, rate), ends]))
        level = setting.gain + _level(filters, at, rate)
        if plan.fir is not None:
            fir = decibels.level(plan.fir[number])  # Smooth over a third of an octave, as it was made.
            level += np.interp(np.log(at), np.log(grid()), fir)
        found.append(Tones(at, level))
    return found


def by_filters(found: Tune) -> list[Tones]:
    """What filters alone make of them in a finished tune, without the channels' gains."""
    return tones(found.plan, [Setting(filters=each.filters) for each in found.settings])


def levels(plan: Plan, settings: Sequence[Setting]) -> list[FloatArray]:
    """dB of those tones alone."""
    return [each.level for each in tones(plan, settings)]


def _places(filters: FloatArray, rate: float | None) -> FloatArray:
    """Tones, Hz, rising: those of the grid, the ends of what is heard, each filter's own and some beside it.

    A narrow filter stands between two places of the grid, and one of the deepest bass under them all.
    """
    frequency, _, q = filters.T[:, :, np.newaxis]
    beside = frequency * np.exp(WIDTHS_ASIDE / q)
    places = np.concatenate([HEARD_ENDS, grid(), beside.ravel()])
    return np.sort(places[places < (math.inf if rate is None else rate / 2)])


def _level(filters: FloatArray, at: FloatArray, rate: float | None) -> FloatArray:
    return decibels.level(speaker_system.chain(Setting(filters=filters), at, rate))


def mend(channel: Channel, stack: Stack) -> str:
    """What is wanted in place of filters that stand on one another."""
    if stack.gain > 0:
        return "ask first what they fill"
    if channel.low_pass is not None and stack.frequency > channel.low_pass:
        return "another low-pass is wanted in their place"
    if channel.high_pass is not None and stack.frequency < channel.high_pass:
        return "a higher high-pass is wanted in their place"
    return "look at gain and place first"


def stacks_in_words(channel: Channel, filters: FloatArray, limits: Limits) -> dict[int, str]:
    """What is added to what each filter does, by its number, where it stands on others."""
    words = {}
    for stack in stacks(filters, limits):
        does = f"{'lifts' if stack.gain > 0 else 'takes down'} {abs(stack.gain):.1f} dB"
        others = len(stack.filters) - 1
        beside = "another" if others == 1 else f"{others} others"
        for number in stack.filters:
            words[number] = (
                f"; on {beside} of this channel: together {does} at {in_hertz(stack.frequency)}, more than "
                f"you allowed one: {mend(channel, stack)}"
            )
    return words
