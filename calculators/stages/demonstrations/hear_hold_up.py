"""Hold-up, to hear: what is left of the gap when the engine starts again."""

from dataclasses import dataclass
from functools import partial
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, InputError, Listening, Number, Output, OutputSound, calculator
from calculators.declaring.quantities import CAPACITANCE, POWER, RATIO, TIME, VOLTAGE
from calculators.physics import hold_up, sound_material
from calculators.physics.sound_material import Making
from calculators.vocabulary.listening import Heard, listening, mono
from calculators.vocabulary.listening_pictures import gap_line

DROP_AT, ROAD_UNDER_MUSIC, FADE_OF_GAP = 1.0, -22.0, 0.002


@dataclass(frozen=True, kw_only=True)
class HearHoldUp:
    """The gap without and with a capacitor."""

    gap_left: Annotated[float, Output("Gap that is left", TIME, decimals=2, main=True)]
    held: Annotated[float, Output("The capacitor holds for", TIME, figures=3)]
    silence: Annotated[float, Output("Gap without it", TIME, decimals=2)]
    sound: Annotated[Listening, OutputSound("Hear it")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Hear it: hold-up at a restart",
    example={"silence": 1.2, "power": 15.8, "capacitance": 1.5},
    sources=("capacitor", "itu-bs-1770", "own-sounds"),
    equations=("held = capacitance*(1 - derate)*((start - isolator - bypass)**2 - minimum**2)/(2*power)",),
)
def hear_hold_up(
    silence: Annotated[float, Number("The supply is too low for", TIME, 0, 1.2, units=("ms",))],
    power: Annotated[float, Number("Power of the processor", POWER, 1, 100, usual=(5, 30))],
    capacitance: Annotated[float, Number("Capacitor", CAPACITANCE, 0.01, 20, usual=(0.2, 5), units=("mF",))],
    start: Annotated[float, Number("Supply before the start", VOLTAGE, 8, 16, usual=(11, 15))] = 12.1,
    minimum: Annotated[float, Number("Lowest it runs at", VOLTAGE, 1, 12, usual=(6, 11), seldom=True)] = 9.0,
    isolator: Annotated[
        float,
        Number(
            "Drop of the isolator", VOLTAGE, 0, 2, usual=(0, 0.7), seldom=True,
            help="What is lost in the part that lets current in from the battery, and none back.",
        ),
    ] = 0.35,
    bypass: Annotated[
        float,
        Number(
            "Drop of the by-pass diode", VOLTAGE, 0, 2, usual=(0, 0.7), seldom=True,
            help="What is lost on the capacitor's way out. 0 where it has no charge resistor.",
        ),
    ] = 0.35,
    derate: Annotated[
        float,
        Number(
            "Lost to tolerance and age", RATIO, 0, 0.8, show="%", usual=(0.1, 0.4), seldom=True,
            help="What it holds less than is printed on it: as made, and after years.",
        ),
    ] = 0.25,
) -> HearHoldUp:  # fmt: skip
    """Music through an engine start at the lights, without and with a capacitor at the processor.

    It keeps the processor awake. You hear no gap only if your own radio plays on and the amplifier gets
    enough: your fitter measures both first. If the radio itself goes silent, this changes nothing. Made up;
    the road under the music plays on, and both sounds have the same gain.
    """
    begins = start - isolator - bypass
    if begins <= minimum:
        raise InputError("start", "Before the start it must be higher than what the processor runs at.")
    held = hold_up.hold_up_time(hold_up.Load(power=power), capacitance, begins, minimum, derate=derate)
    gap_left = max(0.0, silence - held)
    takes = (
        Heard(
            "Without", _words(silence), gap_line("Without", DROP_AT, silence), partial(_render, 0.0, silence)
        ),
        Heard(
            "With the capacitor",
            _words(gap_left),
            gap_line("With the capacitor", DROP_AT + silence - gap_left, gap_left),
            partial(_render, silence - gap_left, silence),
        ),
    )
    advice: tuple[Advice, ...] = ()
    if gap_left > 0:
        advice = (
            Advice("capacitance", "It gives out before the supply is back: a larger one closes the gap."),
        )
    return HearHoldUp(
        gap_left=gap_left,
        held=held,
        silence=silence,
        sound=listening(takes, channels=1, alike=False),
        advice=advice,
    )


def _words(silence: float) -> str:
    if silence <= 0:
        return "The music plays on through the start as if nothing had happened."
    return f"The music is gone for {silence:.1f} s while the engine starts, then it comes back."


def _render(first: float, last: float) -> Making:
    """Music that is silent between two times after it begins, s, over the noise of the road."""
    music = yield from sound_material.music()
    road = yield from sound_material.road()
    yield
    at = np.arange(sound_material.SAMPLES) / sound_material.SOUND_RATE - DROP_AT
    yield
    silent = np.clip(np.minimum(at - first, last - at) / FADE_OF_GAP, 0.0, 1.0)
    return mono(music * (1 - silent) + 10 ** (ROAD_UNDER_MUSIC / 20) * road)
