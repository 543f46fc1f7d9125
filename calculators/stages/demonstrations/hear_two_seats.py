"""Two seats, to hear: one setting for the driver, for both, for the passenger, from either seat."""

from dataclasses import dataclass
from functools import partial
from typing import Annotated

from calculators.declaring import Choice, InputError, Listening, Output, OutputSound, calculator
from calculators.declaring.quantities import TIME
from calculators.physics import air, arrivals
from calculators.vocabulary.listening import Heard, listening
from calculators.vocabulary.listening_pictures import cabin
from calculators.vocabulary.surroundings import AIR_TEMPERATURE
from calculators.vocabulary.two_doors import FAR_DOOR, NEAR_DOOR, NEARER_LOUDER, voice_from_doors

SETTINGS = {"Timed for the driver": 1.0, "Timed for both": 0.5, "Timed for the passenger": 0.0}
"""How much the driver's seat counts in each."""


@dataclass(frozen=True, kw_only=True)
class HearTwoSeats:
    """How much earlier the left door is heard at one seat, in each of three settings."""

    for_driver: Annotated[
        float, Output("Timed for the driver, left is first by", TIME, show="ms", decimals=2)
    ]
    for_both: Annotated[
        float, Output("Timed for both, left is first by", TIME, show="ms", decimals=2, main=True)
    ]
    for_passenger: Annotated[
        float, Output("Timed for the passenger, left is first by", TIME, show="ms", decimals=2)
    ]
    sound: Annotated[Listening, OutputSound("Hear it")]


@calculator(
    title="Hear it: one seat or two",
    example={"near": 0.98, "far": 1.47},
    sources=("iso-9613-1", "geometry-of-arrival", "itu-bs-1770", "own-sounds"),
)
def hear_two_seats(
    near: Annotated[float, NEAR_DOOR],
    far: Annotated[float, FAR_DOOR],
    seat: Annotated[
        str, Choice("You sit on", {"driver": "the left seat, the driver's", "passenger": "the right seat"})
    ] = "driver",
    louder: Annotated[float, NEARER_LOUDER] = 2.0,
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
) -> HearTwoSeats:
    """The same voice from one seat, with the doors timed for the driver, for both, and for the passenger.

    Timed for one seat, the other gets worse than with no timing at all: there the near door is first
    already, and now the far one waits too. Timed for both, each hears its own door first. No setting puts
    the voice in the middle for two. Seats and doors are taken to mirror each other, left-hand drive.
    """
    if near > far:
        raise InputError("near", "Type the nearer of the two doors here.")
    speed = air.speed_of_sound(temperature)
    left_path, right_path = (near, far) if seat == "driver" else (far, near)
    leads = {}
    for name, weight in SETTINGS.items():
        left, right = arrivals.waits(
            [
                (weight * near + (1 - weight) * far) / speed,
                (weight * far + (1 - weight) * near) / speed,
            ]
        )
        leads[name] = (right_path / speed + right) - (left_path / speed + left)
    side = louder if seat == "driver" else -louder
    takes = []
    for (name, lead), own in zip(leads.items(), ("driver", "both", "passenger"), strict=True):
        level = 0.0 if own == seat else side
        words = _words(lead, own == seat)
        title = f"{name}: {'left' if lead > 0 else 'right'} first by {1000 * abs(lead):.2f} ms"
        if abs(lead) < 5e-6:
            title = f"{name}: both at once"
        picture = cabin(
            title, f"A cabin from above. {title}.", seat, (0.0, lead), "shown a thousand times slower"
        )
        takes.append(Heard(name, words, picture, partial(voice_from_doors, lead, level)))
    driver, both, passenger = leads.values()
    return HearTwoSeats(
        for_driver=driver,
        for_both=both,
        for_passenger=passenger,
        sound=listening(takes, channels=2),
    )


def _words(lead: float, own: bool) -> str:
    if own:
        return "The voice stands between the doors: this setting is for this seat."
    side = "left" if lead > 0 else "right"
    return f"The voice comes from the {side} door, which is heard first."
