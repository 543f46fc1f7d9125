"""A driver in a vented box: its port, its corner, its travel, and the air in the port."""

from dataclasses import dataclass, replace
from math import pi
from typing import Annotated, cast

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Number,
    Output,
    OutputChart,
    calculator,
)
from calculators.declaring.quantities import (
    COUNT,
    FREQUENCY,
    LENGTH,
    LEVEL,
    SPEED,
    VOLUME,
)
from calculators.physics import loudspeaker_boxes as boxes
from calculators.physics.air import SPEED_OF_SOUND
from calculators.physics.loudspeaker_boxes import Box
from calculators.vocabulary import drivers
from calculators.vocabulary.box_charts import port_chart
from calculators.vocabulary.box_studies import (
    Study,
    cabin_of,
    coil_advice,
    corner_of,
    drive_of,
    high_pass_advice,
    lowest_high_pass,
    stroke_advice,
    stroke_of,
)
from calculators.vocabulary.driven_boxes import MINIMUM_HIGH_PASS, NEEDS_POWER, DrivenBox, driven_box

PORT_SPEEDS = {"straight": 0.05 * SPEED_OF_SOUND, "flared": 25.0}
HIGH_PASS_OVER_TUNING = (0.8, 0.9)


@dataclass(frozen=True, kw_only=True)
class _VentedOwn:
    """The answers of a vented box alone."""

    f3: Annotated[float, Output("3 dB down at (f3)", FREQUENCY, decimals=1, main=True)]
    peak: Annotated[float, Output("Peak over the flat band", LEVEL, decimals=2)]
    port_length: Annotated[
        float | None,
        Output("Each port is long", LENGTH, show="mm", figures=4, also=("in",), none="no port does it"),
    ]
    port_speed: Annotated[
        float | None,
        Output("Air in it at full power, peak, at most", SPEED, decimals=1, none=NEEDS_POWER),
    ]
    high_pass_from: Annotated[float, Output("High-pass to protect it, from", FREQUENCY, figures=3)]
    high_pass_to: Annotated[float, Output("to", FREQUENCY, figures=3)]


@dataclass(frozen=True, kw_only=True)
class VentedBox(DrivenBox, _VentedOwn):
    """A vented box and what it makes of its driver."""

    minimum_high_pass: Annotated[float | None, MINIMUM_HIGH_PASS]
    port_chart: Annotated[Chart | None, OutputChart("Air in the port at full power")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Vented box",
    example={
        "fs": 30.0, "qts": 0.38, "vas": 0.06, "volume": 0.05, "tuning": 32.0, "port_diameter": 0.1,
        "re": 3.4, "sd": 0.033, "xmax": 0.012, "power": 300.0,
    },
    sources=("small-vented-box", "thiele-1971", "levine-schwinger", "piston", "common-practice"),
    cautions=("S14",),
    equations=(
        "high_pass_from = 0.8*tuning",
        "high_pass_to = 0.9*tuning",
        "voltage = sqrt(power*load)",
    ),
)  # fmt: skip
def vented_box(
    fs: Annotated[float, drivers.FS],
    qts: Annotated[float, drivers.QTS],
    vas: Annotated[float, drivers.VAS],
    volume: Annotated[
        float,
        Number(
            "Net volume of the box",
            VOLUME,
            1e-4,
            2,
            show="L",
            usual=(5e-3, 0.2),
            units=("cu ft",),
            help="Driver, braces, terminal and the port itself taken off.",
        ),
    ],
    tuning: Annotated[float, Number("Tuned to", FREQUENCY, 5, 500, usual=(20, 60))],
    port_diameter: Annotated[
        float,
        Number("Port, inside diameter", LENGTH, 0.005, 1, show="cm", usual=(0.03, 0.15), units=("mm", "in")),
    ],
    port_count: Annotated[float, Number("Ports", COUNT, 1, 8, usual=(1, 4), whole=True)] = 1.0,
    re: Annotated[float | None, drivers.RE] = None,
    sd: Annotated[float | None, drivers.SD] = None,
    xmax: Annotated[float | None, drivers.XMAX] = None,
    power: Annotated[float | None, drivers.AMPLIFIER_POWER] = None,
    qms: Annotated[float, drivers.QMS] = 5.0,
    load: Annotated[float, drivers.RATED_LOAD] = 4.0,
    driver_power: Annotated[float | None, drivers.DRIVER_POWER] = None,
    rated_impedance: Annotated[float | None, drivers.DRIVER_IMPEDANCE] = None,
    high_pass: Annotated[float | None, drivers.HIGH_PASS] = None,
    slope: Annotated[float, drivers.HIGH_PASS_SLOPE] = 24.0,
    port_ends: Annotated[
        str,
        Choice(
            "Its ends",
            {
                "flush-and-free": "one flush in the wall, one free inside",
                "both-flush": "both flush or flanged",
                "both-free": "both free",
            },
        ),
    ] = "flush-and-free",
    port_edges: Annotated[
        str, Choice("Its edges", {"straight": "cut straight", "flared": "flared at both ends"})
    ] = "straight",
    longest: Annotated[float | None, drivers.LONGEST] = None,
    ql: Annotated[
        float | None,
        replace(drivers.QL, optional=True, empty="no losses", seldom=True),
    ] = 7.0,
    family: Annotated[str, drivers.FILTER_FAMILY] = "linkwitz-riley",
    leak: Annotated[float, drivers.CABIN_LEAK] = 0.0,
    source_resistance: Annotated[float, drivers.SOURCE_RESISTANCE] = 0.1,
    le: Annotated[float, drivers.LE] = 0.0,
) -> VentedBox:
    """A driver in a vented box: length of its port, corner, travel, the air in the port.

    Below its tuning the port no longer holds the cone: travel there grows until a high-pass stops it. Drive
    is a sine of the voltage that the amplifier gives into its rated load; levels are at 1 m in half space.
    Inside, keep a port's end one diameter from any wall.
    """
    sheet = drivers.DriverSheet(
        fs=fs, qts=qts, qms=qms, vas=vas, re=re, sd=sd, le=le, xmax=xmax, driver_power=driver_power,
        rated_impedance=rated_impedance,
    )  # fmt: skip
    drive = drive_of(sheet, power, load)
    area = port_count * pi * port_diameter**2 / 4
    quiet = PORT_SPEEDS[port_edges]
    study = Study(
        driver=sheet.driver(),
        box=boxes.vented_box(volume, tuning, ql),
        source_resistance=0.0 if re is None else source_resistance,
        high_pass=None if high_pass is None else drivers.high_pass_filter(family, slope, high_pass),
        cabin=cabin_of(longest, leak),
        drive=None if drive is None else replace(drive, port_area=area, port_speed=quiet),
    )
    length = boxes.port_length(
        volume=volume, tuning=tuning, diameter=port_diameter, count=round(port_count),
        ends=cast(boxes.Ends, port_ends),
    )  # fmt: skip
    stroke = None if study.drive is None else stroke_of(study)
    speed = None
    if study.drive is not None:
        speed = study.drive.voltage * float(np.max(study.port_speed_per_volt(study.searched)))
    shut = "The same box, shut", replace(study, box=Box(volume=volume))
    corner = corner_of(study, fs, tuning)
    return VentedBox(
        **vars(driven_box(sheet, study, stroke, load, shut)),
        f3=corner.f3,
        peak=corner.peak,
        port_length=length if length > 0 else None,
        port_speed=speed,
        high_pass_from=HIGH_PASS_OVER_TUNING[0] * tuning,
        high_pass_to=HIGH_PASS_OVER_TUNING[1] * tuning,
        minimum_high_pass=lowest_high_pass(study, family, slope),
        port_chart=port_chart(study),
        advice=(
            *coil_advice(sheet.coil_voltage(), power, load),
            *_port_advice(length, port_diameter, volume),
            *_speed_advice(speed, quiet),
            *stroke_advice(study, stroke, "peak_excursion"),
            *high_pass_advice(study, family, slope),
        ),
    )


def _port_advice(length: float, diameter: float, volume: float) -> tuple[Advice, ...]:
    if length <= 0:
        text = (
            "Even a hole without a pipe tunes this box lower: a wider port, more of them, or a lower tuning."
        )
        return (Advice("port_length", text),)
    edge = float(volume ** (1 / 3))
    if length + diameter > edge:
        text = (
            f"With one diameter to the wall the port does not fit a cube of that volume, {100 * edge:.0f} cm "
            "inside: bend it, let it stand out, or take a narrower one and read the speed of the air again."
        )
        return (Advice("port_length", text),)
    return ()


def _speed_advice(speed: float | None, quiet: float) -> tuple[Advice, ...]:
    if speed is None or speed <= quiet:
        return ()
    text = (
        f"The air reaches {speed:.0f} m/s at full power; from {quiet:.0f} m/s on it is heard and gives less: "
        "more port area (a longer port), less power, or a closed box."
    )
    return (Advice("port_speed", text),)
