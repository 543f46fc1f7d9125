"""Sounds to compare by ear, each with what is heard in words and a picture that moves beside it."""

from dataclasses import dataclass

from calculators.declaring.drawings import Drawing
from calculators.declaring.kept import Made


@dataclass(frozen=True)
class Take:
    """One of the sounds: its name, what is heard in words for who cannot hear it, its picture, the sound."""

    name: str
    words: str
    picture: Drawing
    sound: Made


@dataclass(frozen=True)
class Listening:
    """Sounds of one length that go round and round and are switched in step.

    A blind test asks for the first and the last.
    """

    takes: tuple[Take, ...]
