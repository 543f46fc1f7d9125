"""Time alignment, to hear: one voice from two doors, as it is and timed for one seat."""

from dataclasses import dataclass
from functools import partial
from typing import Annotated

from calculators.declaring import (
    Advice,
    Drawing,
    InputError,
    Listening,
    Number,
    Output,
    OutputSound,
    calculator,
)
from calculators.declaring.quantities import LEVEL, RATIO, TIME
from calculators.physics import air
from calculators.vocabulary.listening import Heard, listening
from calculators.vocabulary.listening_pictures import cabin
from calculators.vocabulary.surroundings import AIR_TEMPERATURE
from calculators.vocabulary.two_doors import FAR_DOOR, NEAR_DOOR, NEARER_LOUDER, side_lead, voice_from_doors

HEARD_AT_ONE_EAR = 1e-3
"""Over about 1 ms, s, a sound is heard from the earlier side (Blauert, Spatial Hearing, from memory)."""


@dataclass(frozen=True, kw_only=True)
class HearAlignment:
    """How far apart two doors are heard, before and after."""

    lead: Annotated[float, Output("The near door is heard first, by", TIME, show="ms", decimals=2, main=True)]
    wait: Annotated[float, Output("The near door is made to wait", TIME, show="ms", decimals=2)]
    left_over: Annotated[float, Output("Then it is still first, by", TIME, show="ms", decimals=2)]
    level_left: Annotated[float, Output("And still louder, by", LEVEL, decimals=1)]
    sound: Annotated[Listening, OutputSound("Hear it")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Hear it: time alignment",
    example={"near": 0.98, "far": 1.47},
    sources=("iso-9613-1", "geometry-of-arrival", "itu-bs-1770", "own-sounds"),
    equations=(
        "speed = 343.2*sqrt((temperature + 273.15)/293.15)",
        "lead = (far - near)/speed",
        "wait = share*lead",
        "left_over = lead - wait",
        "level_left = (1 - share)*louder",
    ),
)
def hear_alignment(
    near: Annotated[float, NEAR_DOOR],
    far: Annotated[float, FAR_DOOR],
    louder: Annotated[float, NEARER_LOUDER] = 2.0,
    share: Annotated[
        float, Number("How much of it is put right", RATIO, 0, 1, show="%", help="0: nothing. 100: all.")
    ] = 1.0,
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
) -> HearAlignment:
    """A voice that comes from two doors: near door first, and timed for one seat.

    The near door is heard first, so the voice seems to come out of it. Once it waits until the far one
    has come as far, the voice moves away from the door. Made up, by delay and level alone: what a head and
    a cabin do besides is left out. Both sounds are equally loud.
    """
    if near > far:
        raise InputError("near", "Type the nearer of the two doors here.")
    lead = side_lead(near, far, air.speed_of_sound(temperature))
    wait = share * lead
    left_over, level_left = lead - wait, (1 - share) * louder
    before = Heard(
        "Near door first",
        "The voice sits in the near door, far to the left. The other side is hardly noticed.",
        _picture(lead, "The left wave is at the head, the right one is still on its way"),
        partial(voice_from_doors, lead, louder),
    )
    after = Heard(
        "Timed for one seat",
        "The same voice stands between the doors: on headphones in the middle of your head.",
        _picture(
            left_over,
            "Both waves are at the head together"
            if share == 1
            else "The left wave waits, and is a little early still",
        ),
        partial(voice_from_doors, left_over, level_left),
    )
    return HearAlignment(
        lead=lead,
        wait=wait,
        left_over=left_over,
        level_left=level_left,
        sound=listening((before, after), channels=2),
        advice=_advice(left_over, share),
    )


def _picture(lead: float, words: str) -> Drawing:
    late = f"{1000 * lead:.2f} ms apart, shown a thousand times slower"
    return cabin(
        words, f"A cabin from above, heads on both seats. {words}: {late}.", "driver", (0.0, lead), late
    )


def _advice(left_over: float, share: float) -> tuple[Advice, ...]:
    if share < 1 and left_over > HEARD_AT_ONE_EAR:
        text = "More than 1 ms is left: the voice still comes from the near door. Put more of it right."
        return (Advice("share", text),)
    return ()
