"""Sound treatment, to hear: less of the road, and a door skin that stops ringing sooner."""

from dataclasses import dataclass
from functools import partial
from math import e, log10
from typing import Annotated

from calculators.declaring import InputError, Listening, Number, Output, OutputSound, calculator
from calculators.declaring.quantities import LEVEL, RATIO, TIME
from calculators.physics import damping, sound_material
from calculators.physics.sound_material import Making
from calculators.vocabulary.listening import Heard, listening, mono
from calculators.vocabulary.listening_pictures import ringing

SKIN_RINGS_AT = 130.0
TO_ONE_THIRD = 20 * log10(e)
"""A fall to 1/e in dB: a third, about."""
VOICE_UNDER_ROAD, KNOCK_PEAK = -4.0, 9.0


@dataclass(frozen=True, kw_only=True)
class HearTreatment:
    """How the door skin's ringing and the road change."""

    quieter_road: Annotated[float, Output("The road is quieter by", LEVEL, decimals=1, main=True)]
    loss_before: Annotated[float, Output("What the bare skin damps (loss factor)", RATIO, decimals=3)]
    loss_after: Annotated[float, Output("With its sheet (loss factor)", RATIO, decimals=3)]
    silent_before: Annotated[
        float, Output("A knock is down by 60 dB after, bare", TIME, show="ms", decimals=0)
    ]
    silent_after: Annotated[float, Output("And with its sheet", TIME, show="ms", decimals=0)]
    sound: Annotated[Listening, OutputSound("Hear it")]


@calculator(
    title="Hear it: sound treatment",
    example={"quieter": 2.0},
    sources=("damped-vibration", "itu-bs-1770", "own-sounds", "common-practice"),
)
def hear_treatment(
    quieter: Annotated[
        float,
        Number("The road gets quieter by", LEVEL, 0, 4, help="Doors alone 0 to 2, with the floor 1 to 4."),
    ],
    decay_before: Annotated[
        float, Number("Bare, a knock fades to a third in", TIME, 0.02, 0.3, show="ms", usual=(0.05, 0.15))
    ] = 0.09,
    decay_after: Annotated[
        float, Number("With its sheet, in", TIME, 0.01, 0.3, show="ms", usual=(0.02, 0.08))
    ] = 0.04,
) -> HearTreatment:
    """A voice on the road and a knock on the door, before and after treatment.

    The voice and the knock are equally strong in both; only the road is quieter, by so little as doors and
    floor really give, and the knock is shorter. Made by computer: it is not your car. No treatment makes
    speakers good or tyres silent.
    """
    if decay_after > decay_before:
        raise InputError("decay_after", "With a sheet the skin rings for a shorter time than without.")
    losses = [
        damping.loss_for_decay(decay, SKIN_RINGS_AT, TO_ONE_THIRD) for decay in (decay_before, decay_after)
    ]
    silent = [damping.decay_time(loss, SKIN_RINGS_AT) for loss in losses]
    takes = (
        Heard(
            "Before",
            "A voice in the noise of a road. The knock on the door is a tinny clang.",
            ringing("Before", "A knock on a bare door skin rings on.", decay_before),
            partial(_render, 0.0, decay_before),
        ),
        Heard(
            "After",
            f"The road is {quieter:g} dB quieter: you notice it side by side. The knock is a dull thud.",
            ringing("After", "The same knock with a damping sheet: the ringing is soon over.", decay_after),
            partial(_render, quieter, decay_after),
        ),
    )
    return HearTreatment(
        quieter_road=quieter,
        loss_before=losses[0],
        loss_after=losses[1],
        silent_before=silent[0],
        silent_after=silent[1],
        sound=listening(takes, channels=1, alike=False),
    )


def _render(quieter: float, decay: float) -> Making:
    voice = 10 ** (VOICE_UNDER_ROAD / 20) * (yield from sound_material.speech())
    road = 10 ** (-quieter / 20) * (yield from sound_material.road())
    yield
    knocks = 10 ** (KNOCK_PEAK / 20) * sound_material.knocks(decay, SKIN_RINGS_AT)
    yield
    return mono(voice + road + knocks)
