"""How much of a cone's level is left beside its axis."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Axis, Chart, Number, Output, OutputChart, calculator
from calculators.declaring.quantities import ANGLE, FREQUENCY, LENGTH, LEVEL
from calculators.physics import air, decibels, directivity
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.responses import LOWEST_SHOWN, Places, places_shown, response_chart
from calculators.vocabulary.surroundings import AIR_TEMPERATURE

OTHER_ANGLES = (30.0, 60.0)


@dataclass(frozen=True, kw_only=True)
class OffAxis:
    """What is lost beside the axis, and from where on."""

    off_axis_loss: Annotated[float, Output("Lost at that angle", LEVEL, decimals=1, main=True)]
    beaming_from: Annotated[
        float, Output("The cone is half a wavelength wide at", FREQUENCY, figures=3, trim=True)
    ]
    three_lost_at: Annotated[
        float | None, Output("3 dB are lost at", FREQUENCY, figures=3, trim=True, none="nowhere: on axis")
    ]
    six_lost_at: Annotated[
        float | None, Output("6 dB are lost at", FREQUENCY, figures=3, trim=True, none="nowhere: on axis")
    ]
    first_null: Annotated[
        float | None, Output("The disc's first null is at", FREQUENCY, figures=3, trim=True, none="nowhere")
    ]
    chart: Annotated[Chart, OutputChart("Level off the axis over that on it")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Off-axis loss of a cone",
    example={"diameter": 0.13, "angle": 60.0, "frequency": 3000.0, "temperature": 20.0},
    sources=("kinsler", "abramowitz-stegun", "iso-9613-1"),
)
def off_axis(
    diameter: Annotated[
        float,
        Number(
            "Cone, middle of surround to middle of surround",
            LENGTH,
            0.01,
            0.5,
            show="cm",
            usual=(0.019, 0.4),
            units=("mm", "in"),
            help="What moves, not the basket: 13 cm for most drivers sold as 16.5 cm.",
        ),
    ],
    angle: Annotated[
        float,
        Number(
            "Angle off the axis",
            ANGLE,
            0,
            90,
            usual=(0, 75),
            help="A door seen from its own seat: often 60°.",
        ),
    ] = 60.0,
    frequency: Annotated[
        float, Number("Frequency", FREQUENCY, 20, 20e3, usual=(200, 8e3), units=("kHz",))
    ] = 3000.0,
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
) -> OffAxis:
    """What a cone loses beside its axis, as a flat disc in a wall would.

    A real cone flexes, and radiates from less of itself as the frequency rises: up to its first
    break-up it loses less than the disc. Take the figure as the worst to expect, and measure.
    """
    speed = air.speed_of_sound(temperature)
    null = None
    if angle > 0:
        null = directivity.FIRST_NULL * speed / (math.pi * diameter * math.sin(math.radians(angle)))
    three, six = (
        directivity.off_axis_frequency(loss, diameter, angle, speed) if angle > 0 else None
        for loss in (3.0, 6.0)
    )
    return OffAxis(
        off_axis_loss=-float(decibels.level(directivity.off_axis_gain(frequency, diameter, angle, speed)))
        + 0.0,
        beaming_from=speed / (2 * diameter),
        three_lost_at=three,
        six_lost_at=six,
        first_null=null,
        chart=_chart(diameter, angle, speed, frequency),
        advice=_advice(frequency, null),
    )


def _chart(diameter: float, angle: float, speed: float, frequency: float) -> Chart:
    def at_angle(degrees: float, where: FloatArray) -> FloatArray:
        return decibels.level(directivity.off_axis_gain(where, diameter, degrees, speed))

    others = [other for other in OTHER_ANGLES if other != angle]
    places: Places = places_shown((lambda where: at_angle(angle, where),), (frequency,), low=200.0)
    lines = {f"{other:.0f}°": at_angle(other, places.at) for other in others}
    return response_chart(
        "Level off the axis over that on it",
        places,
        {f"{angle:g}°, as asked": (at_angle(angle, places.at), "main"), **lines},
        Axis("Level", "dB", -30, 6, lowest=LOWEST_SHOWN),
        read_at=frequency,
    )


def _advice(frequency: float, null: float | None) -> tuple[Advice, ...]:
    if null is None or frequency < 0.8 * null:
        return ()
    text = (
        "Near and above the first null the disc says little of a cone: expect a deep loss that changes with "
        "every step aside, and cross lower or turn the driver towards the seat."
    )
    return (Advice("off_axis_loss", text),)
