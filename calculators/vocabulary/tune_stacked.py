"""Filters of one channel that stand on one another: together they do more than one may."""

from dataclasses import dataclass

import numpy as np

from calculators.physics import speaker_system
from calculators.physics.arrays import FloatArray
from calculators.physics.filter_limits import Limits
from calculators.physics.speaker_system import Setting, grid
from calculators.vocabulary.tune_plan import Channel

STACKED = 0.5
"""dB by which filters together may pass what one of them may do before it is told."""
BEARS = 0.5
"""Part of its own gain that a filter does where they do most together: from there on it is one of them."""


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
    alone = np.array([_level(filters[[number]], limits) for number in range(len(filters))])
    together, found = np.sum(alone, axis=0), []
    for way, most in ((1, limits.max_boost), (-1, limits.max_cut)):
        place = int(np.argmax(np.round(way * together, 6)))
        bearing = np.flatnonzero(np.round(way * (alone[:, place] - BEARS * filters[:, 1]), 6) >= 0)
        own = [int(number) for number in bearing if way * filters[number, 1] > 0]
        if way * together[place] > most + STACKED and len(own) > 1:
            found.append(Stack(tuple(own), float(grid()[place]), float(together[place])))
    return found


def _level(filters: FloatArray, limits: Limits) -> FloatArray:
    through = speaker_system.chain(Setting(filters=filters), grid(), limits.sample_rate)
    return np.asarray(20 * np.log10(np.abs(through)), dtype=np.float64)


def mend(channel: Channel, stack: Stack) -> str:
    """What is wanted in place of filters that stand on one another."""
    if stack.gain > 0:
        return "ask first what they fill"
    if channel.low_pass is not None and stack.frequency > channel.low_pass:
        return "another low-pass is wanted in their place"
    if channel.high_pass is not None and stack.frequency < channel.high_pass:
        return "a higher high-pass is wanted in their place"
    return "look at gain and place first"


def in_words(channel: Channel, filters: FloatArray, limits: Limits) -> dict[int, str]:
    """What is added to what each filter does, by its number, where it stands on others."""
    words = {}
    for stack in stacks(filters, limits):
        does = f"{'lifts' if stack.gain > 0 else 'takes down'} {abs(stack.gain):.1f} dB"
        others = len(stack.filters) - 1
        beside = "another" if others == 1 else f"{others} others"
        for number in stack.filters:
            words[number] = (
                f"; on {beside} of this channel: together {does} at {stack.frequency:.3g} Hz, more than you "
                f"allowed one: {mend(channel, stack)}"
            )
    return words
