"""What every box answers of its driver, whatever box it is: declared once, worked out once."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Chart,
    Curve,
    Made,
    Output,
    OutputChart,
    OutputCurve,
    OutputRows,
)
from calculators.declaring.quantities import FREQUENCY, LENGTH, POWER, VOLTAGE
from calculators.vocabulary.box_charts import box_response_chart, delay_chart, excursion_chart, most_chart
from calculators.vocabulary.box_studies import BoxBand, Stroke, Study, bands_of
from calculators.vocabulary.drivers import DRIVER_FILE, DriverSheet
from calculators.vocabulary.responses import SHOWN, response_curve

NEEDS_POWER, NEEDS_TRAVEL = "give Re, Sd and a power", "give Xmax too"
NONE_NEEDED = "none needed, none does it, or not known"
MINIMUM_HIGH_PASS = Output("Lowest high-pass that keeps it inside", FREQUENCY, figures=3, none=NONE_NEEDED)


@dataclass(frozen=True, kw_only=True)
class DrivenBox:
    """A driver in any box, at the voltage that the amplifier gives.

    A result that derives from this and from a record of its own answers, in that order, shows its own first:
    of two bases the last one's fields come first.
    """

    voltage: Annotated[float | None, Output("The amplifier gives", VOLTAGE, decimals=2, none=NEEDS_POWER)]
    peak_excursion: Annotated[
        float | None,
        Output("Travel at that voltage, at most", LENGTH, show="mm", figures=3, none=NEEDS_POWER),
    ]
    travel_power: Annotated[
        float | None, Output("Its travel is used up at", POWER, figures=3, none=NEEDS_TRAVEL)
    ]
    stroke_voltage: Annotated[
        float | None, Output("which is, for the limiter", VOLTAGE, decimals=1, none=NEEDS_TRAVEL)
    ]
    excursion_chart: Annotated[Chart | None, OutputChart("Travel of the cone at full power")]
    response_chart: Annotated[Chart, OutputChart("Response")]
    level_chart: Annotated[Chart | None, OutputChart("Most it gives")]
    delay_chart: Annotated[Chart, OutputChart("Group delay")]
    max_spl: Annotated[tuple[BoxBand, ...], OutputRows("By third-octave band", fold=True)]
    response: Annotated[Curve, OutputCurve("Response")]
    driver_file: Annotated[Made, DRIVER_FILE]


def driven_box(
    sheet: DriverSheet,
    study: Study,
    stroke: Stroke | None,
    load: float,
    other: tuple[str, Study] | None = None,
) -> DrivenBox:
    """The shared answers of a study, its charts over those of another design, named.

    load: Ω, that the amplifier's power is rated at.
    """
    borne = None if stroke is None else stroke.voltage
    return DrivenBox(
        voltage=None if study.drive is None else study.drive.voltage,
        peak_excursion=None if stroke is None else stroke.excursion,
        travel_power=None if borne is None else borne**2 / load,
        stroke_voltage=borne,
        excursion_chart=excursion_chart(study, other),
        response_chart=box_response_chart(study, other),
        level_chart=most_chart(study),
        delay_chart=delay_chart(study),
        max_spl=bands_of(study),
        response=response_curve(study.response(SHOWN)),
        driver_file=sheet.file(),
    )
