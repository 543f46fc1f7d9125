"""The comb that a sound and its late copy make, as a chart."""

import numpy as np

from calculators.declaring import Axis, Band, Chart
from calculators.physics import air, decibels
from calculators.vocabulary.responses import (
    HIGHEST_HEARD,
    LOWEST_DRAWN,
    LOWEST_SHOWN,
    places_shown,
    response_chart,
)

# Teeth of the comb that a chart draws; above them they run together to the eye.
TEETH_DRAWN = 12


def comb_chart(title: str, difference: float, second_level: float, speed: float, average: str) -> Chart:
    """Level of two paths together over that of the first alone, with the first opposed band.

    Above the last tooth drawn they lie too close for a picture: the line ends there.
    """
    spacing = speed / difference
    eighths = np.arange(1, 8 * TEETH_DRAWN + 1) * spacing / 8
    turns, end = eighths[3::4], min(float(eighths[-1]), HIGHEST_HEARD)
    places = places_shown((), turns, eighths)
    level = decibels.level(air.comb_response(places.at, difference, second_level, speed))
    without_phase = np.full_like(level, decibels.power_sum([0.0, second_level]))
    opposed = air.opposed_band(difference, speed)
    bands = []
    if opposed.low < HIGHEST_HEARD:
        shown = max(opposed.low, 20.0), min(opposed.high, HIGHEST_HEARD)
        bands.append(Band("First band of opposed phase", *shown))
    if end < HIGHEST_HEARD:
        bands.append(Band("Teeth too close to draw", end, HIGHEST_HEARD))
    return response_chart(
        title,
        places,
        {"Together": (np.where(places.at <= end, level, np.nan), "main"), average: without_phase},
        Axis("Level over one alone", "dB", LOWEST_DRAWN, 9, lowest=LOWEST_SHOWN),
        tuple(bands),
        read_at=spacing / 2,
    )
