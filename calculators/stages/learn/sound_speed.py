"""Speed of sound in air."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, calculator
from calculators.declaring.quantities import PRESSURE, RATIO, SPEED
from calculators.physics import air
from calculators.vocabulary.surroundings import AIR_TEMPERATURE


@dataclass(frozen=True, kw_only=True)
class SoundSpeed:
    """Speed of sound in dry and in humid air."""

    speed: Annotated[float, Output("Speed of sound, dry air", SPEED, decimals=1, also=("ft/s",), main=True)]
    humid_speed: Annotated[float, Output("Speed of sound, humid air", SPEED, decimals=1)]
    difference: Annotated[float, Output("What the humidity adds", SPEED, decimals=2)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Speed of sound",
    example={"temperature": 20.0},
    sources=("iso-9613-1", "cramer-1993"),
    equations=(
        "speed = 343.2*sqrt((temperature + 273.15)/293.15)",
        "difference = humid_speed - speed",
    ),
)
def sound_speed(
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
    humidity: Annotated[float, Number("Relative humidity", RATIO, 0, 1, show="%")] = 0.5,
    pressure: Annotated[
        float,
        Number("Air pressure", PRESSURE, 50e3, 110e3, show="hPa", usual=(85e3, 106e3)),
    ] = 101325.0,
) -> SoundSpeed:
    """Speed of sound at the temperature of the cabin.

    Every other calculator uses the speed in dry air: humidity changes it by less than half a
    percent, which is less than a tape measure is out by. The humid figure is shown so that you
    can see how little it matters.
    """
    dry = air.speed_of_sound(temperature)
    humid = air.humid_speed_of_sound(temperature, humidity, pressure)
    advice: tuple[Advice, ...] = ()
    if not air.cramer_holds(temperature, humidity, pressure):
        advice = (
            Advice(
                "humid_speed",
                "The formula for humid air was fitted from 0 to 30 °C at ground level: "
                "here its figure is a guide. The dry figure is not affected.",
            ),
        )
    return SoundSpeed(speed=dry, humid_speed=humid, difference=humid - dry, advice=advice)
