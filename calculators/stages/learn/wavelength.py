"""Wavelength of a tone in air."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Number, Output, calculator
from calculators.declaring.quantities import FREQUENCY, LENGTH
from calculators.physics import air
from calculators.vocabulary.surroundings import AIR_TEMPERATURE


@dataclass(frozen=True, kw_only=True)
class Wavelength:
    """Length of one cycle in air, and the fractions of it that matter."""

    wavelength: Annotated[float, Output("Wavelength", LENGTH, also=("ft",), main=True)]
    half: Annotated[float, Output("Half a wavelength", LENGTH, show="cm", also=("in",))]
    quarter: Annotated[float, Output("Quarter of a wavelength", LENGTH, show="cm", also=("in",))]
    tenth: Annotated[float, Output("Tenth of a wavelength", LENGTH, show="cm", also=("in",))]


@calculator(
    title="Wavelength",
    example={"frequency": 80.0},
    sources=("iso-9613-1", "cox-dantonio"),
    equations=(
        "speed = 343.2*sqrt((temperature + 273.15)/293.15)",
        "wavelength = speed/frequency",
        "half = wavelength/2",
        "quarter = wavelength/4",
        "tenth = wavelength/10",
    ),
)
def wavelength(
    frequency: Annotated[float, Number("Frequency", FREQUENCY, 1, 100e3, usual=(10, 24e3), units=("kHz",))],
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
) -> Wavelength:
    """How long one cycle of a tone is in air.

    A gap of half a wavelength between two paths cancels. A porous absorber takes a good part away
    where it is a tenth of a wavelength thick, and nearly all at a quarter.
    """
    length = air.wavelength(frequency, air.speed_of_sound(temperature))
    return Wavelength(wavelength=length, half=length / 2, quarter=length / 4, tenth=length / 10)
