"""The air in a slot or gap in front of a cone."""

from dataclasses import dataclass, replace
from math import pi, sqrt
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, Chart, Line, Number, Output, OutputChart, calculator
from calculators.declaring.quantities import AREA, FREQUENCY, LENGTH, RATIO, SPEED
from calculators.physics.arrays import FloatArray
from calculators.physics.loudspeaker_boxes import slot_speed as speed_in_slot
from calculators.vocabulary.drivers import SD
from calculators.vocabulary.responses import places_shown, response_chart, round_axis

SLOT_LOWEST, SLOT_HIGHEST = 15.0, 120.0
LEAST_GAP = 0.012


@dataclass(frozen=True, kw_only=True)
class SlotSpeed:
    """Air in a slot, and how large it ought to be."""

    speed: Annotated[float, Output("Air in the slot, peak", SPEED, decimals=1, main=True)]
    area_needed: Annotated[float, Output("Area that keeps it under the limit", AREA, show="cm²", figures=3)]
    area_ratio: Annotated[float, Output("Slot over cone area", RATIO, decimals=2)]
    gap_width: Annotated[float, Output("As a gap all round the cone", LENGTH, show="mm", decimals=1)]
    gap_width_needed: Annotated[float, Output("Gap needed all round", LENGTH, show="mm", decimals=1)]
    chart: Annotated[Chart, OutputChart("Air in the slot at full travel")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Air in a slot",
    example={"sd": 0.0214, "xmax": 0.009, "frequency": 52.0, "area": 0.0109},
    sources=("piston", "arithmetic", "common-practice"),
    equations=(
        "speed = 2*pi*frequency*sd*xmax/area",
        "area_needed = 2*pi*frequency*sd*xmax/speed_limit",
        "area_ratio = area/sd",
        "gap_width = area/(2*sqrt(pi*sd))",
        "gap_width_needed = max(area_needed/(2*sqrt(pi*sd)), 12/1000)",
    ),
)
def slot_speed(
    sd: Annotated[float, replace(SD, optional=False, empty="")],
    xmax: Annotated[float, Number("Travel one way (Xmax)", LENGTH, 1e-4, 0.1, show="mm", usual=(1e-3, 0.03))],
    frequency: Annotated[
        float,
        Number(
            "At",
            FREQUENCY,
            5,
            500,
            usual=(20, 100),
            help="The box's corner: there it travels farthest and fastest.",
        ),
    ],
    area: Annotated[
        float,
        Number("Narrowest area on the way out", AREA, 1e-5, 1, show="cm²", usual=(2e-3, 0.1)),
    ],
    speed_limit: Annotated[
        float,
        Number(
            "Most that stays quiet", SPEED, 1, 50, usual=(5, 17), help="10 m/s: common practice, no source."
        ),
    ] = 10.0,
) -> SlotSpeed:
    """Peak speed of the air in the narrowest place between a cone and the cabin, at full travel.

    Under 10 m/s it is not heard (common practice, no source). The gap over a cone is 12 mm at the least.
    """
    speed = speed_in_slot(sd, xmax, frequency, area)
    needed = speed_in_slot(sd, xmax, frequency, speed_limit)
    round_cone = 2 * sqrt(pi * sd)
    return SlotSpeed(
        speed=speed,
        area_needed=needed,
        area_ratio=area / sd,
        gap_width=area / round_cone,
        gap_width_needed=max(needed / round_cone, LEAST_GAP),
        chart=_chart(sd, xmax, area, speed_limit, frequency),
        advice=_advice(speed, speed_limit, area / round_cone),
    )


def _chart(sd: float, xmax: float, area: float, limit: float, frequency: float) -> Chart:
    named = [frequency] if SLOT_LOWEST <= frequency <= SLOT_HIGHEST else []
    places = places_shown((), named, low=SLOT_LOWEST, high=SLOT_HIGHEST)
    at_one = speed_in_slot(sd, xmax, 1.0, area)
    speed, allowed = at_one * places.at, np.full_like(places.at, limit)
    axis = round_axis("Air in the slot", "m/s", speed, allowed, decimals=1)
    lines: dict[str, tuple[FloatArray, Line]] = {
        "At full travel": (speed, "main"),
        "Most that stays quiet": (allowed, "limit"),
    }
    read_at = frequency if named else None
    return response_chart("Air in the slot at full travel", places, lines, axis, read_at=read_at)


def _advice(speed: float, limit: float, gap: float) -> tuple[Advice, ...]:
    if speed > limit:
        text = f"It will chuff: {speed:.0f} m/s. A wider slot, or a limiter that keeps the travel back."
        return (Advice("speed", text),)
    if gap < LEAST_GAP:
        text = "As a gap over the cone it would be under 12 mm: the surround and the grille want more."
        return (Advice("gap_width", text),)
    return ()
