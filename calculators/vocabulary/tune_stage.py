"""Parts that play the same octaves from several places, and so set the stage between them."""

from itertools import combinations

from calculators.declaring import Advice
from calculators.vocabulary.tune_plan import Channel

PLACED_FROM = 300.0
"""Hz, from which on left and right are held alike; what plays alone under it sets no stage here."""
HEARD_TO = 20e3


def stage_advice(channels: tuple[Channel, ...]) -> list[Advice]:
    """A danger where two parts of one side play an octave in common, or two that both stand on neither; and a
    word of one that does.

    The sheet brings all parts of a kind to one level at one time: rears as loud as fronts.
    """
    alike = [
        (one, other)
        for one, other in combinations(channels, 2)
        if one.kind == other.kind != "subwoofer" and _in_common(one, other)
    ]
    twice = [
        f"{one.name.strip()} and {other.name.strip()}"
        for one, other in alike
        if one.side == other.side and one.side
    ]
    middle = dict.fromkeys(
        each.name.strip() for pair in alike if pair[0].side != pair[1].side for each in pair if each.side == 0
    )
    sideless = [
        f"{one.name.strip()} and {other.name.strip()}"
        for one, other in alike
        if one.side == 0 and other.side == 0
    ]
    notes = []
    if sideless:
        notes.append(
            Advice(
                "channels",
                f"Both on neither side: {'; '.join(sideless)}. Left against right is then looked at nowhere, "
                "and one may end far louder than the other. Type the side of each.",
                danger=True,
            )
        )
    if twice:
        notes.append(
            Advice(
                "channels",
                f"Two parts of one side play the same octaves: {'; '.join(twice)}. Rear ones come as loud as "
                "front ones here, and the voice comes from behind. Take the rear ones out of the form, mute "
                "them and tune; then set them by hand, 10 dB under the front at the driver's head and 5 ms "
                "later, or leave them off. Two in one door: one channel for both.",
                danger=True,
            )
        )
    if middle:
        notes.append(
            Advice(
                "channels",
                f"On neither side, and playing what left and right play: {' and '.join(middle)}. It comes as "
                "loud as a side and draws the stage to it. Behind the driver: take it out of the form, mute "
                "it and tune. A centre: hear where voice and width stand with it and without.",
            )
        )
    return notes


def _in_common(one: Channel, other: Channel) -> bool:
    """Whether two parts have an octave in common, where places are heard."""
    low = max(one.high_pass or 0.0, other.high_pass or 0.0, PLACED_FROM)
    return min(one.low_pass or HEARD_TO, other.low_pass or HEARD_TO) >= 2 * low
