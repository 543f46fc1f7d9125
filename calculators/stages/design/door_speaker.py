"""A driver in a door: a large box with a hole."""

from dataclasses import dataclass, replace
from typing import Annotated

from calculators.declaring import (
    Advice,
    Number,
    Output,
    calculator,
)
from calculators.declaring.quantities import AREA, FREQUENCY, LENGTH, LEVEL, VOLUME
from calculators.physics import loudspeaker_boxes as boxes
from calculators.physics.loudspeaker_boxes import Box
from calculators.vocabulary import drivers
from calculators.vocabulary.box_studies import (
    Study,
    cabin_of,
    coil_advice,
    corner_of,
    drive_of,
    high_pass_advice,
    lowest_high_pass,
    stroke_of,
)
from calculators.vocabulary.driven_boxes import NONE_NEEDED, DrivenBox, driven_box
from calculators.vocabulary.treatment import CLOSED, SENSOR, left_alone

MOST_LEAK = 5e-4


@dataclass(frozen=True, kw_only=True)
class _DoorOwn:
    """The answers of a door alone."""

    minimum_high_pass: Annotated[
        float | None,
        Output(
            "Lowest high-pass at that slope",
            FREQUENCY,
            figures=3,
            main=True,
            none=NONE_NEEDED,
        ),
    ]
    f3: Annotated[float, Output("The door alone is 3 dB down at (f3)", FREQUENCY, decimals=1)]
    peak: Annotated[float, Output("Peak over the flat band", LEVEL, decimals=2)]
    leak_tuning: Annotated[
        float | None, Output("Its leak acts as a port at", FREQUENCY, figures=3, none="no leak")
    ]


@dataclass(frozen=True, kw_only=True)
class DoorSpeaker(DrivenBox, _DoorOwn):
    """A driver in its door, and the lowest high-pass that keeps its cone whole."""

    advice: tuple[Advice, ...] = ()


@calculator(
    title="Driver in a door",
    example={
        "fs": 62.0, "qts": 0.6, "vas": 0.012, "re": 3.3, "sd": 0.0137, "xmax": 0.005, "power": 70.0,
        "high_pass": 80.0, "sensor": "acceleration",
    },
    sources=("small-vented-box", "small-closed-box", "piston", "common-practice"),
    cautions=("S01", "S14"),
    equations=("voltage = sqrt(power*load)",),
)  # fmt: skip
def door_speaker(
    fs: Annotated[float, drivers.FS],
    qts: Annotated[float, drivers.QTS],
    vas: Annotated[float, drivers.VAS],
    sensor: Annotated[str, SENSOR] = "unknown",
    door_volume: Annotated[
        float, Number("Air in the door", VOLUME, 1e-3, 1, show="L", usual=(0.02, 0.08), units=("cu ft",))
    ] = 0.04,
    leak_area: Annotated[
        float,
        Number(
            "Openings left in its inner skin, together",
            AREA,
            0,
            0.1,
            show="cm²",
            usual=(0, 0.01),
            help="Added up by card template; drains, sensor and rod slots not counted.",
        ),
    ] = 5e-4,
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
    longest: Annotated[float | None, drivers.LONGEST] = None,
    leak_thickness: Annotated[
        float, Number("Sheet round the openings", LENGTH, 0, 0.2, show="mm", usual=(5e-4, 0.02), seldom=True)
    ] = 0.001,
    ql: Annotated[
        float | None,
        replace(
            drivers.QL,
            label="Q of the door's losses (QL)",
            optional=True,
            empty="no losses",
            seldom=True,
            help="At the frequency at which the leak acts as a port. 7 is a guess.",
        ),
    ] = 7.0,
    family: Annotated[str, drivers.FILTER_FAMILY] = "linkwitz-riley",
    leak: Annotated[float, drivers.CABIN_LEAK] = 0.0,
    source_resistance: Annotated[float, drivers.SOURCE_RESISTANCE] = 0.1,
    le: Annotated[float, drivers.LE] = 0.0,
) -> DoorSpeaker:
    """A driver in a door as a vented box whose port is the leak, and its lowest sensible high-pass.

    Common practice, no source: a real door has panels that move, and openings that are not round. Without a
    leak it is the closed box of that volume. A door with a pressure sensor, or one not known, is taken as it
    is: its openings stay. The high-pass is the lowest at which the cone keeps inside its travel at the
    amplifier's full voltage. Levels are at 1 m in half space.
    """
    box, tuning = Box(volume=door_volume), None
    if leak_area > 0:
        tuning = boxes.tuning_of(door_volume, boxes.hole_mass(leak_area, leak_thickness))
        box = boxes.vented_box(door_volume, tuning, ql)
    sheet = drivers.DriverSheet(
        fs=fs, qts=qts, qms=qms, vas=vas, re=re, sd=sd, le=le, xmax=xmax, driver_power=driver_power,
        rated_impedance=rated_impedance,
    )  # fmt: skip
    study = Study(
        driver=sheet.driver(),
        box=box,
        source_resistance=0.0 if re is None else source_resistance,
        high_pass=None if high_pass is None else drivers.high_pass_filter(family, slope, high_pass),
        cabin=cabin_of(longest, leak),
        drive=drive_of(sheet, power, load),
    )
    stroke = None if study.drive is None else stroke_of(study)
    lowest = lowest_high_pass(study, family, slope)
    tight = None
    if leak_area > 0 and sensor not in CLOSED:
        tight = "The same door, tight", replace(study, box=Box(volume=door_volume))
    corner = corner_of(study, fs, tuning or fs)
    return DoorSpeaker(
        **vars(driven_box(sheet, study, stroke, load, tight)),
        minimum_high_pass=lowest,
        f3=corner.f3,
        peak=corner.peak,
        leak_tuning=tuning,
        advice=(
            *coil_advice(sheet.coil_voltage(), power, load),
            *_advice(sensor, lowest, high_pass, slope, leak_area, tuning),
            *high_pass_advice(study, family, slope),
        ),
    )


def _advice(
    sensor: str,
    lowest: float | None,
    high_pass: float | None,
    slope: float,
    area: float,
    tuning: float | None,
) -> tuple[Advice, ...]:
    found = []
    if sensor in CLOSED:
        found.append(Advice("sensor", left_alone("This door", sensor), danger=True))
    if lowest is not None and (high_pass is None or high_pass < lowest * 0.999):
        typed = "none is" if high_pass is None else f"{high_pass:.0f} Hz is"
        text = (
            f"At full power the cone leaves its travel: {typed} too low. {lowest:.0f} Hz or higher at "
            f"{slope:.0f} dB/oct, a steeper slope, less power, or a driver with more area or travel."
        )
        found.append(Advice("minimum_high_pass", text))
    if tuning is not None and area > MOST_LEAK:
        text = (
            f"The openings act as a port at {tuning:.0f} Hz: round it the door booms, below it the back of "
            "the cone cancels the front. "
        )
        if sensor in CLOSED:
            text += "They stay: a high-pass above it, or a driver that can do without."
        else:
            text += "Down to 5 cm² together, its sensor allows; drains, sensor and rod slots stay open."
        found.append(Advice("leak_area", text))
    return tuple(found)
