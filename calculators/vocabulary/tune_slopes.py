"""Curves that fall too little, or too much, beyond their crossover: another slope was in than the tune takes
out."""

from collections.abc import Iterator, Mapping, Sequence
from math import log2

import numpy as np

from calculators.declaring import Advice
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.speaker_system import band_centres, band_levels
from calculators.vocabulary.tune_measurements import Measured, fallen_at_end
from calculators.vocabulary.tune_plan import Channel

RISES, FALLS = 6.0, -17.0
"""dB that a speaker may be over and under its own band an octave beyond its crossover, that taken out, before
it is told. Behind 12 dB per octave instead of 24 it seems some 11 dB louder there, behind 48 some 24 dB
softer. In simulated cabins the true ones rise by 5 dB and fall by 10 at most; one that is crossed at its own
resonance falls by 14 under it. Our own rule."""
REACHES = 5 / 6
"""Of an octave beyond a crossover: where a curve ends sooner, its slope cannot be judged, and that is told.
Half an octave beyond, 12 dB per octave leave 4 dB more than 24, which true ones rise by too. Our own rule."""
LOOKED_AT_FROM = 200.0
"""Hz: lower down a cabin lifts what it plays, whatever the crossover."""


def other_slopes(channels: Sequence[Channel], gains: ComplexArray, wide: Sequence[int]) -> tuple[Advice, ...]:
    """Which channels seem to have had another slope in than Linkwitz-Riley, 24 dB per octave.

    ``gains``: ratio, of the driver's seat, what each channel does without its crossover, shape (points,
    channels, 216). ``wide``: numbers of the points that levels are fitted to.
    """
    found: dict[str, list[str]] = {"little": [], "much": []}
    falls_by_itself = False
    for number, each in enumerate(channels):
        levels = band_levels(gains[list(wide), number])
        for words, end, octaves in judged_ends(each):
            rise = _rise(end, octaves, levels)
            told = f"{each.name} by {abs(rise):.0f} dB {words}"
            if round(rise, 2) > RISES:
                found["little"].append(told)
            if round(rise, 2) < FALLS:
                found["much"].append(told)
                falls_by_itself = falls_by_itself or octaves > 0
    rest = {
        "little": "a flatter one in than Linkwitz-Riley, 24 dB per octave, or none, or was there noise?",
        "much": "a steeper one in than Linkwitz-Riley, 24 dB per octave"
        f"{', or does a woofer fall so by itself' * falls_by_itself}?",
    }
    return tuple(
        Advice(
            "measurements",
            f"Falls too {how} beyond its crossover: {'; '.join(names)}. Was {rest[how]} The sheet takes it "
            "for that one: load that, and measure again.",
        )
        for how, names in found.items()
        if names
    )


def judged_ends(channel: Channel) -> Iterator[tuple[str, float, int]]:
    """Where a channel's slopes are judged: in words, its crossover, Hz, and octaves beyond, 1 up, -1 down."""
    for words, end, octaves in (
        ("under its high-pass", channel.high_pass, -1),
        ("over its low-pass", channel.low_pass, 1),
    ):
        if end is not None and end >= LOOKED_AT_FROM and _place_at(end * 2.0**octaves) is not None:
            yield f"{words} of {end:g} Hz", end, octaves


def ended_soon(channels: Sequence[Channel], curves: Mapping[str, Sequence[Measured]]) -> tuple[Advice, ...]:
    """Which channels' curves end too near their crossover for their slope to be judged.

    One that has fallen so far that noise may hide the rest has shown its slope. ``curves``: of each channel,
    by its name, at the driver's seat.
    """
    short = []
    for each in channels:
        for words, end, octaves in judged_ends(each):
            wanted = end * 2.0 ** (octaves * REACHES)
            ends = [
                one.curve.frequency[0 if octaves < 0 else -1]
                for one in curves[each.name]
                if not fallen_at_end(one.curve, octaves)
            ]
            nearest = (max if octaves < 0 else min)(ends, default=wanted)
            if octaves * log2(nearest / wanted) < 0:
                short.append(f"{each.name} at {nearest:.0f} Hz, {words}")
    if not short:
        return ()
    return (
        Advice(
            "measurements",
            f"Ends before its slope can be judged: {'; '.join(short)}. A crossover of another slope than "
            "Linkwitz-Riley, 24 dB per octave, would go unseen here, and the sheet takes it for that one. "
            "Read it back from the processor. Then, where you want to see it, measure an octave beyond with "
            "the crossover in, a tweeter at 1 V or less.",
        ),
    )


def _rise(end: float, octaves: int, levels: FloatArray) -> float:
    """dB by which it is louder an octave beyond its crossover, Hz, than in the two octaves within it.

    ``octaves``: 1 up, -1 down. 0 dB where the grid does not reach so far.
    """
    inner = end * 4.0**-octaves
    own = (band_centres() > min(end, inner)) & (band_centres() < max(end, inner))
    place = _place_at(end * 2.0**octaves)
    if place is None or not np.any(own):
        return 0.0
    return float(levels[place] - np.mean(levels[own]))


def _place_at(frequency: float) -> int | None:
    """Number of the third octave at a frequency, Hz; None beyond them all."""
    place = int(np.argmin(np.abs(np.log(band_centres() / frequency))))
    return place if abs(log2(band_centres()[place] / frequency)) <= 1 / 6 else None
