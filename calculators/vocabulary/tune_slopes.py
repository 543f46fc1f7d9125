"""Curves that fall too little, or too much, beyond their crossover: another slope was in than the tune takes
out."""

from collections.abc import Sequence

import numpy as np

from calculators.declaring import Advice
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.speaker_system import band_centres, band_levels
from calculators.vocabulary.tune_plan import Channel

RISES, FALLS = 6.0, -17.0
"""dB that a speaker may be over and under its own band an octave beyond its crossover, that taken out, before
it is told. Behind 12 dB per octave instead of 24 it seems some 11 dB louder there, behind 48 some 24 dB
softer. In simulated cabins the true ones rise by 4 dB and fall by 7 at most; one that is crossed at its own
resonance falls by 14 under it. Our own rule."""
LOOKED_AT_FROM = 200.0
"""Hz: lower down a cabin lifts what it plays, whatever the crossover."""


def other_slopes(channels: Sequence[Channel], gains: ComplexArray, wide: Sequence[int]) -> tuple[Advice, ...]:
    """Which channels seem to have had another slope in than Linkwitz-Riley, 24 dB per octave.

    Over a low-pass a woofer may well fall by itself, so that nothing too steep is told there. A file that
    ends within that octave holds less of it, and less is told. ``gains``: ratio, of the driver's seat, what
    each channel does without its crossover, shape (points, channels, 216). ``wide``: numbers of the points
    that levels are fitted to.
    """
    found: dict[str, list[str]] = {"little": [], "much": []}
    for number, each in enumerate(channels):
        levels = band_levels(gains[list(wide), number])
        for name, end, octaves in (
            ("under its high-pass", each.high_pass, -1),
            ("over its low-pass", each.low_pass, 1),
        ):
            if end is None or end < LOOKED_AT_FROM:
                continue
            rise = _rise(end, octaves, levels)
            words = f"{each.name} by {abs(rise):.0f} dB {name} of {end:g} Hz"
            if round(rise, 2) > RISES:
                found["little"].append(words)
            if round(rise, 2) < FALLS and octaves < 0:
                found["much"].append(words)
    notes = []
    for how, was in (("little", "a flatter one in than"), ("much", "a steeper one in than")):
        if found[how]:
            rest = ", or none, or was there noise" if how == "little" else ""
            notes.append(
                Advice(
                    "measurements",
                    f"Falls too {how} beyond its crossover: {'; '.join(found[how])}. Was {was} "
                    f"Linkwitz-Riley, 24 dB per octave{rest}? The sheet takes it for that one: load that, "
                    "and measure again.",
                )
            )
    return tuple(notes)


def _rise(end: float, octaves: int, levels: FloatArray) -> float:
    """dB by which it is louder an octave beyond its crossover, Hz, than in the two octaves within it.

    ``octaves``: 1 up, -1 down. 0 dB where the grid does not reach so far.
    """
    beyond, inner = end * 2.0**octaves, end * 4.0**-octaves
    own = (band_centres() > min(end, inner)) & (band_centres() < max(end, inner))
    place = int(np.argmin(np.abs(np.log(band_centres() / beyond))))
    if not np.any(own) or abs(np.log2(band_centres()[place] / beyond)) > 1 / 6:
        return 0.0
    return float(levels[place] - np.mean(levels[own]))
