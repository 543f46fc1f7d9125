"""An amplifier that is too small, to hear: loud music cut off at its limit, and whole."""

from dataclasses import dataclass
from functools import partial
from typing import Annotated

from calculators.declaring import Advice, Listening, Number, Output, OutputSound, calculator
from calculators.declaring.quantities import LEVEL, RATIO
from calculators.physics import decibels, sound_changes, sound_material
from calculators.physics.sound_material import Making
from calculators.vocabulary.listening import Heard, listening, mono
from calculators.vocabulary.listening_pictures import wave

HARDLY_HEARD = 3.0


@dataclass(frozen=True, kw_only=True)
class HearClipping:
    """What an amplifier does that is asked for too much."""

    distortion: Annotated[
        float, Output("Harmonics it adds to a tone", RATIO, show="%", decimals=1, main=True)
    ]
    power_times: Annotated[float, Output("Power that plays the same whole, times", RATIO, figures=3)]
    sound: Annotated[Listening, OutputSound("Hear it")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Hear it: an amplifier at its limit",
    example={"overload": 9.0},
    sources=("clipped-sine", "itu-bs-1770", "own-sounds"),
    equations=("power_times = 10**(overload/10)",),
)
def hear_clipping(
    overload: Annotated[float, Number("Turned up over what it can play, by", LEVEL, 0, 12, usual=(0, 9))],
) -> HearClipping:
    """Loud music through an amplifier whose tops are cut off, and through one that plays them whole.

    At low level you hear no difference, and twice the watts is only a little louder. The gain is at the
    top: peaks without rasp. Both sounds are equally loud here, so that only the rasp is left to compare.
    """
    takes = (
        Heard(
            "At its limit",
            "Drums and voice rasp together, and the beat of the drum flattens."
            if overload > HARDLY_HEARD
            else "You will hardly tell: only the hardest drum beats are cut.",
            wave("At its limit", f"A tone, {overload:g} dB too high, with its tops cut off flat.", overload),
            partial(_render, overload),
        ),
        Heard(
            "Power enough",
            "The same music, clean: drum and voice stay apart.",
            wave("Power enough", "The same tone, whole.", 0.0),
            partial(_render, 0.0),
        ),
    )
    advice: tuple[Advice, ...] = ()
    if overload <= HARDLY_HEARD:
        text = "So little is hardly heard in music: who never plays louder gains nothing by more power."
        advice = (Advice("overload", text),)
    return HearClipping(
        distortion=sound_changes.clipping_distortion(overload),
        power_times=decibels.power_ratio(overload),
        sound=listening(takes, channels=1),
        advice=advice,
    )


def _render(overload: float) -> Making:
    music = yield from sound_material.music()
    yield
    return mono((yield from sound_changes.clipped(music, overload)))
