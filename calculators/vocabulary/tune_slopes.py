"""Curves that fall too little under their high-pass: another slope was in than the tune takes out."""

from collections.abc import Sequence

import numpy as np

from calculators.declaring import Advice
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.speaker_system import band_centres, band_levels
from calculators.vocabulary.tune_plan import Channel

RISES = 6.0
"""dB a speaker may be louder an octave under its high-pass than in the two octaves over it, the crossover
out. Behind 12 dB per octave instead of 24 it seems some 11 dB louder; in simulated cabins the true ones
rise by 2 dB at most. Our own rule."""
HIGH_PASS_FROM = 200.0
"""Hz: lower down a cabin lifts what it plays, whatever the crossover."""


def other_slopes(channels: Sequence[Channel], gains: ComplexArray, wide: Sequence[int]) -> tuple[Advice, ...]:
    """Which channels seem to have had a flatter high-pass in than Linkwitz-Riley, 24 dB per octave.

    ``gains``: ratio, of the driver's seat, what each channel does without its crossover, shape (points,
    channels, 216). ``wide``: numbers of the points that levels are fitted to.
    """
    found = []
    for number, each in enumerate(channels):
        if each.high_pass is None or each.high_pass < HIGH_PASS_FROM:
            continue
        rise = _rise(each.high_pass, band_levels(gains[list(wide), number]))
        if round(rise, 2) > RISES:
            found.append(f"{each.name} by {rise:.0f} dB under {each.high_pass:g} Hz")
    if not found:
        return ()
    return (
        Advice(
            "measurements",
            f"Falls too little under its high-pass: {'; '.join(found)}. Was a flatter one in than "
            "Linkwitz-Riley, 24 dB per octave, or none, or was there noise? The sheet takes it for that one: "
            "load that, and measure again.",
        ),
    )


def _rise(high_pass: float, levels: FloatArray) -> float:
    """dB by which it is louder an octave under its high-pass, Hz, than from there to two octaves over it."""
    under = int(np.argmin(np.abs(np.log(band_centres() / (high_pass / 2)))))
    own = (band_centres() > high_pass) & (band_centres() < 4 * high_pass)
    return float(levels[under] - np.mean(levels[own])) if np.any(own) else 0.0
