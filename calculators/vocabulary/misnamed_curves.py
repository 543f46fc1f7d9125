"""Measurements that bear another speaker's name: a channel that is louder outside of its band than in it."""

from collections.abc import Sequence

import numpy as np

from calculators.declaring import Advice
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.speaker_system import Setting, chain, grid
from calculators.vocabulary.tune_plan import Channel

WELL_OUTSIDE = 2.0
"""Times the high-pass or low-pass: an octave beyond it 24 dB per octave leave a channel 24 dB less."""


def misnamed(channels: Sequence[Channel], gains: ComplexArray) -> tuple[Advice, ...]:
    """What to look at where a curve cannot be its channel's.

    ``gains``: ratio, what each channel does without its crossover, shape (points, channels, 216).
    """
    found = []
    for number, each in enumerate(channels):
        through = chain(Setting(each.high_pass, each.low_pass), grid())
        if _is_outside(each, np.mean(np.abs(gains[:, number] * through) ** 2, axis=0)):
            found.append(each.name)
    if not found:
        return ()
    return (
        Advice(
            "measurements",
            f"Louder outside of its own band than in it: {', '.join(found)}. That is another speaker's "
            "curve, or it was measured with another crossover. Type nothing in: see which speaker plays, "
            "and measure again.",
            danger=True,
        ),
    )


def _is_outside(channel: Channel, power: FloatArray) -> bool:
    """Whether a channel's power over frequency is on average more beyond its crossovers than between."""
    low, high = channel.high_pass or 0.0, channel.low_pass or np.inf
    beyond = (grid() < low / WELL_OUTSIDE) | (grid() > high * WELL_OUTSIDE)
    between = (grid() >= low) & (grid() <= high)
    return bool(beyond.any() and np.mean(power[beyond]) > np.mean(power[between]))
