"""A subwoofer, to hear: music without and with what the doors do not play."""

from dataclasses import dataclass
from functools import partial
from typing import Annotated

import numpy as np

from calculators.declaring import Listening, Number, Output, OutputSound, calculator
from calculators.declaring.quantities import FREQUENCY, LEVEL
from calculators.physics import decibels, filters, sound_changes
from calculators.physics.sound_material import SOUND_RATE, Making, music
from calculators.vocabulary.listening import Heard, listening, mono
from calculators.vocabulary.listening_pictures import cones

ORDER = 4
LOW_NOTES = (41.2, 55.0)
"""The lowest E of a bass guitar, and its A (ISO 16: 440 Hz, equal temperament)."""


@dataclass(frozen=True, kw_only=True)
class HearSubwoofer:
    """What the doors alone leave of low notes."""

    lowest_note: Annotated[float, Output("Lowest note of a bass, without it", LEVEL, decimals=1, main=True)]
    next_note: Annotated[float, Output("An A above it, without it", LEVEL, decimals=1)]
    sound: Annotated[Listening, OutputSound("Hear it")]


@calculator(
    title="Hear it: subwoofer",
    example={"high_pass": 80.0},
    sources=("linkwitz-riley-1976", "iso-16", "itu-bs-1770", "own-sounds"),
)
def hear_subwoofer(
    high_pass: Annotated[
        float,
        Number(
            "The doors play down to",
            FREQUENCY,
            40,
            200,
            usual=(60, 120),
            help="Lower notes are kept from them (high-pass, 24 dB/oct).",
        ),
    ],
) -> HearSubwoofer:
    """The same music from doors alone, and with a subwoofer under them.

    A phone's own speaker plays nothing of what is added here: headphones. Both sounds are equally loud,
    so the one without bass sounds a little louder above it. Made up; a cabin adds resonances of its own.
    """
    doors = filters.crossover_filter("high-pass", "linkwitz-riley", ORDER, high_pass, SOUND_RATE)
    lowest, following = decibels.level(filters.response(doors, np.array(LOW_NOTES))).tolist()
    takes = (
        Heard(
            "Doors alone",
            "Voice, snare and chords are all there. The bass drum only clicks; the lowest notes are missing.",
            cones("Doors alone", "Two door cones move in time. There is no subwoofer.", 5, 0),
            partial(_render, doors),
        ),
        Heard(
            "With subwoofer",
            "The same music on a floor: the bass drum has weight, and you can follow the lowest notes.",
            cones("With subwoofer", "The cone of the subwoofer moves far in time, the doors little.", 3, 11),
            partial(_render, None),
        ),
    )
    return HearSubwoofer(lowest_note=lowest, next_note=following, sound=listening(takes, channels=1))


def _render(doors: filters.Sections | None) -> Making:
    whole = yield from music()
    yield
    return mono(whole if doors is None else (yield from sound_changes.filtered(whole, doors)))
