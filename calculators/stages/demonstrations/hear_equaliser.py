"""An equaliser, to hear: a boom, a sharp s, and a cancelled note that no equaliser fills for a whole head."""

from dataclasses import dataclass
from functools import partial
from math import log2, pi
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, Drawing, Listening, Number, Output, OutputSound, calculator
from calculators.declaring.quantities import FREQUENCY, LENGTH, LEVEL
from calculators.physics import air, decibels, sound_changes
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.biquads import biquad
from calculators.physics.filters import response
from calculators.physics.sound_material import SOUND_RATE, Making, music
from calculators.vocabulary.listening import Heard, listening, mono
from calculators.vocabulary.listening_pictures import level_line
from calculators.vocabulary.surroundings import AIR_TEMPERATURE

BOOM, BOOM_GAIN, BOOM_Q = 110.0, 9.0, 3.0
SHARP, SHARP_GAIN, SHARP_Q = 6500.0, 7.0, 1.4
FAR_DOOR_LONGER, FAR_DOOR_LEVEL, FILL_Q = 0.686, -1.5, 3.0
"""Its longer way to this head, m, and its level there, dB: at about 250 Hz the two doors cancel."""
FAR_DOOR_FADES = (300.0, 600.0)
FURTHER = 0.1


@dataclass(frozen=True, kw_only=True)
class HearEqualiser:
    """What the equaliser does to boom, sharpness and the cancelled note."""

    boom_left: Annotated[float, Output("Boom that is left", LEVEL, decimals=1, main=True)]
    sharp_left: Annotated[float, Output("Sharpness that is left", LEVEL, decimals=1)]
    cancelled: Annotated[float, Output("The cancelled note lies at", FREQUENCY, figures=3)]
    note_before: Annotated[float, Output("Its level at your head, before", LEVEL, decimals=1)]
    note_after: Annotated[float, Output("Its level there, with the equaliser", LEVEL, decimals=1)]
    note_further: Annotated[float, Output("And 10 cm further to the middle", LEVEL, decimals=1)]
    sound: Annotated[Listening, OutputSound("Hear it")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Hear it: equaliser",
    example={"boom_cut": 9.0, "sharp_cut": 7.0},
    sources=("audio-eq-cookbook", "iso-9613-1", "everest-pohlmann", "itu-bs-1770", "own-sounds"),
    equations=(
        f"boom_left = {BOOM_GAIN:g} - boom_cut",
        f"sharp_left = {SHARP_GAIN:g} - sharp_cut",
        "speed = 343.2*sqrt((temperature + 273.15)/293.15)",
        f"cancelled = speed/(2*{FAR_DOOR_LONGER:g})",
    ),
)
def hear_equaliser(
    boom_cut: Annotated[
        float, Number("Take off the boom", LEVEL, 0, 12, help=f"It is {BOOM_GAIN:g} dB too much.")
    ],
    sharp_cut: Annotated[
        float, Number("Take off the sharpness", LEVEL, 0, 12, help=f"It is {SHARP_GAIN:g} dB too much.")
    ],
    filling: Annotated[float, Number("Try to fill the cancelled note, by", LEVEL, 0, 12)] = 0.0,
    moved: Annotated[
        float, Number("Head moved to the middle by", LENGTH, 0, 0.2, show="cm", units=("in",))
    ] = 0.0,
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
) -> HearEqualiser:
    """Music in a made-up cabin with a boom, a sharp s and one cancelled note, without and with an equaliser.

    Boom and sharpness are too much at every place, so taking them off mends them. The cancelled note is
    another matter: there two doors play against each other. Fill it, and a head ten centimetres further
    hears a hump instead. The filters are the fitter's own.
    """
    speed = air.speed_of_sound(temperature)
    note = speed / (2 * FAR_DOOR_LONGER)
    cuts = (boom_cut, sharp_cut, filling, note)
    here = FAR_DOOR_LONGER - 2 * moved

    def level_of_note(path: float, equalised: bool) -> float:
        at = np.array([note])
        gain = cabin_gain(at, path, speed) * (equaliser_gain(at, *cuts) if equalised else 1.0)
        return float(decibels.level(gain)[0])

    before, after = level_of_note(here, equalised=False), level_of_note(here, equalised=True)
    further = level_of_note(here - 2 * FURTHER, equalised=True)
    boom_left, sharp_left = BOOM_GAIN - boom_cut, SHARP_GAIN - sharp_cut
    takes = (
        Heard(
            "Without equaliser",
            "One bass note booms and hangs on, the s of the singer hisses, and one middle note is thin.",
            _picture("Without equaliser", here, speed, None),
            partial(_render, here, speed, None),
        ),
        Heard(
            "With equaliser",
            _words(boom_left, sharp_left, filling),
            _picture("With equaliser", here, speed, cuts),
            partial(_render, here, speed, cuts),
        ),
    )
    return HearEqualiser(
        boom_left=boom_left,
        sharp_left=sharp_left,
        cancelled=note,
        note_before=before,
        note_after=after,
        note_further=further,
        sound=listening(takes, channels=1),
        advice=_advice(filling, after, further),
    )


def cabin_gain(frequency: FloatArray, path: float, speed: float) -> ComplexArray:
    """Gain of the made-up cabin: boom, sharpness, and a far door that plays low and middle notes alone.

    path: m, by which the way from the far door is longer.
    """
    peaks = biquad("peak", (BOOM, SHARP), (BOOM_GAIN, SHARP_GAIN), (BOOM_Q, SHARP_Q), SOUND_RATE)
    low, high = FAR_DOOR_FADES
    octaves = np.log2(np.maximum(frequency, 1.0) / low) / log2(high / low)
    far = (1 + np.cos(pi * np.clip(octaves, 0.0, 1.0))) / 2
    doors = 1 + far * (air.comb_response(frequency, path, FAR_DOOR_LEVEL, speed) - 1)
    return np.asarray(doors * response(peaks, frequency), dtype=np.complex128)


def equaliser_gain(
    frequency: FloatArray, boom_cut: float, sharp_cut: float, filling: float, note: float
) -> ComplexArray:
    """Gain of three filters: on the boom, on the sharpness, and on the cancelled note."""
    places, gains = (BOOM, SHARP, note), (-boom_cut, -sharp_cut, filling)
    return response(biquad("peak", places, gains, (BOOM_Q, SHARP_Q, FILL_Q), SOUND_RATE), frequency)


def _gain(
    frequency: FloatArray, path: float, speed: float, cuts: tuple[float, float, float, float] | None
) -> ComplexArray:
    gain = cabin_gain(frequency, path, speed)
    return gain if cuts is None else gain * equaliser_gain(frequency, *cuts)


def _render(path: float, speed: float, cuts: tuple[float, float, float, float] | None) -> Making:
    plain = yield from music()
    yield
    return mono(
        (yield from sound_changes.shaped(plain, SOUND_RATE, lambda part: _gain(part, path, speed, cuts)))
    )


def _picture(name: str, path: float, speed: float, cuts: tuple[float, float, float, float] | None) -> Drawing:
    frequency = np.geomspace(40.0, 12e3, 120)
    levels = decibels.level(_gain(frequency, path, speed, cuts))
    return level_line(f"{name}: from low notes to high", frequency, levels)


def _words(boom: float, sharp: float, filling: float) -> str:
    bass = (
        "The boom is gone"
        if abs(boom) < 1
        else "Some of the boom is left"
        if boom > 0
        else "The bass is thin now"
    )
    treble = "the s is soft" if abs(sharp) < 1 else "the s still hisses" if sharp > 0 else "the s is dull now"
    middle = "the thin note is hardly fuller" if filling else "the one thin note is as thin as before"
    return f"{bass}, {treble}, and {middle}."


def _advice(filling: float, after: float, further: float) -> tuple[Advice, ...]:
    if filling < 1 or further < after + 1:
        return ()
    return (
        Advice(
            "filling",
            f"The cancelled note stands at {after:.1f} dB at your head, and at {further:+.1f} dB "
            "ten centimetres further: filled for one ear, it is a hump for the other.".replace(
                "-", "\N{MINUS SIGN}"
            ),
        ),
    )
