"""A driver in a closed box: its Q and corner, its travel, and the most it gives."""

from dataclasses import dataclass, replace
from typing import Annotated

from calculators.declaring import (
    Advice,
    Number,
    Output,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LEVEL, RATIO, VOLUME
from calculators.physics import loudspeaker_boxes as boxes
from calculators.physics.loudspeaker_boxes import Box
from calculators.vocabulary import drivers
from calculators.vocabulary.box_studies import (
    Study,
    cabin_of,
    coil_advice,
    drive_of,
    high_pass_advice,
    lowest_high_pass,
    stroke_advice,
    stroke_of,
)
from calculators.vocabulary.driven_boxes import MINIMUM_HIGH_PASS, NEEDS_TRAVEL, DrivenBox, driven_box

BOX_VOLUME = (1e-4, 2.0)
FLAT_Q = 2**-0.5
"""As low as a closed box reaches with a given driver, without a peak."""
TARGET_Q = (0.65, 0.85)
HIGHEST_Q = 1.0


@dataclass(frozen=True, kw_only=True)
class _ClosedOwn:
    """The answers of a closed box alone."""

    qtc: Annotated[float, Output("Q in the box (Qtc)", RATIO, decimals=3, main=True)]
    fc: Annotated[float, Output("Resonance in the box (fc)", FREQUENCY, decimals=1)]
    f3: Annotated[float, Output("3 dB down at (f3)", FREQUENCY, decimals=1)]
    flat_volume: Annotated[
        float | None,
        Output(
            "Net volume for Q 0.71",
            VOLUME,
            show="L",
            figures=3,
            none="none: a box only raises Q, or it would be over 2000 L",
        ),
    ]
    peak: Annotated[float, Output("Peak over the flat band", LEVEL, decimals=2)]
    qes: Annotated[float, Output("Electrical Q (Qes), by that Qms, lead counted", RATIO, decimals=3)]
    sensitivity: Annotated[
        float | None, Output("Flat band, 1 m, half space, at 2.83 V", LEVEL, decimals=1, none="give Re")
    ]


@dataclass(frozen=True, kw_only=True)
class SealedBox(DrivenBox, _ClosedOwn):
    """A closed box and what it makes of its driver."""

    inside_from: Annotated[
        float | None, Output("At full power inside its travel above", FREQUENCY, figures=3, none=NEEDS_TRAVEL)
    ]
    minimum_high_pass: Annotated[float | None, MINIMUM_HIGH_PASS]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Closed box",
    example={
        "fs": 34.0, "qts": 0.48, "vas": 0.0165, "volume": 0.0122, "re": 3.4, "sd": 0.0214, "xmax": 0.009,
        "power": 300.0, "source_resistance": 0.0,
    },
    sources=("small-1972", "small-closed-box", "piston", "common-practice"),
    cautions=("S14",),
    equations=(
        "ratio = vas/(volume*fill)",
        "fc = fs*sqrt(1 + ratio)",
    ),
)  # fmt: skip
def sealed_box(
    fs: Annotated[float, drivers.FS],
    qts: Annotated[float, drivers.QTS],
    vas: Annotated[float, drivers.VAS],
    volume: Annotated[
        float,
        Number(
            "Net volume of the box",
            VOLUME,
            *BOX_VOLUME,
            show="L",
            usual=(2e-3, 0.1),
            units=("cu ft",),
            help="What is left when driver, braces and terminal are taken off; without lining.",
        ),
    ],
    re: Annotated[float | None, drivers.RE] = None,
    sd: Annotated[float | None, drivers.SD] = None,
    xmax: Annotated[float | None, drivers.XMAX] = None,
    power: Annotated[float | None, drivers.AMPLIFIER_POWER] = None,
    fill: Annotated[
        float,
        Number(
            "Lining enlarges the box, times",
            RATIO,
            1,
            1.4,
            usual=(1, 1.25),
            help="1 without lining, to 1.25 well filled; 1.40 is the end (air at one temperature).",
        ),
    ] = 1.0,
    qms: Annotated[float, drivers.QMS] = 5.0,
    load: Annotated[float, drivers.RATED_LOAD] = 4.0,
    driver_power: Annotated[float | None, drivers.DRIVER_POWER] = None,
    rated_impedance: Annotated[float | None, drivers.DRIVER_IMPEDANCE] = None,
    high_pass: Annotated[float | None, drivers.HIGH_PASS] = None,
    slope: Annotated[float, drivers.HIGH_PASS_SLOPE] = 24.0,
    longest: Annotated[float | None, drivers.LONGEST] = None,
    other_volume: Annotated[
        float | None,
        Number(
            "Compare with a box of",
            VOLUME,
            *BOX_VOLUME,
            show="L",
            usual=(2e-3, 0.1),
            units=("cu ft",),
            optional=True,
            empty="no other box",
        ),
    ] = None,
    family: Annotated[str, drivers.FILTER_FAMILY] = "linkwitz-riley",
    leak: Annotated[float, drivers.CABIN_LEAK] = 0.0,
    source_resistance: Annotated[float, drivers.SOURCE_RESISTANCE] = 0.1,
    le: Annotated[float, drivers.LE] = 0.0,
) -> SealedBox:
    """A driver in a tight closed box: Q, corner, travel at the amplifier's voltage, most it gives.

    Drive is a sine of the voltage that the amplifier gives into its rated load. Travel is peak, one way.
    Levels are at 1 m in half space: a cabin adds to them in the bass, which is an estimate until it is
    measured. Heating of the coil (1 to 3 dB in long use, common practice, no source) is left out.
    """
    sheet = drivers.DriverSheet(
        fs=fs, qts=qts, qms=qms, vas=vas, re=re, sd=sd, le=le, xmax=xmax, driver_power=driver_power,
        rated_impedance=rated_impedance,
    )  # fmt: skip
    study = Study(
        driver=sheet.driver(),
        box=Box(volume=volume * fill),
        source_resistance=0.0 if re is None else source_resistance,
        high_pass=None if high_pass is None else drivers.high_pass_filter(family, slope, high_pass),
        cabin=cabin_of(longest, leak),
        drive=drive_of(sheet, power, load),
    )
    qes = study.driver.qes * (1 + study.source_resistance / study.driver.re)
    in_free_air = qms * qes / (qms + qes)
    system = boxes.closed_box(fs, in_free_air, vas, volume * fill)
    stroke = None if study.drive is None else stroke_of(study)
    other = None
    if other_volume is not None:
        other = f"A box of {1e3 * other_volume:.4g} L", replace(study, box=Box(volume=other_volume * fill))
    return SealedBox(
        **vars(driven_box(sheet, study, stroke, load, other)),
        qtc=system.qtc,
        fc=system.fc,
        f3=boxes.cutoff_ratio(system.qtc) * system.fc,
        flat_volume=_volume_for(FLAT_Q, in_free_air, vas, fill),
        peak=boxes.peak_level(system.qtc),
        qes=qes,
        sensitivity=None if re is None else study.driver.level(2.83),
        inside_from=None if stroke is None else stroke.inside_from,
        minimum_high_pass=lowest_high_pass(study, family, slope),
        advice=(
            *coil_advice(sheet.coil_voltage(), power, load),
            *_q_advice(system.qtc),
            *stroke_advice(study, stroke, "peak_excursion"),
            *high_pass_advice(study, family, slope),
        ),
    )


def _volume_for(wanted: float, in_free_air: float, vas: float, fill: float) -> float | None:
    """Net volume, m³, in which a driver of that Q in free air has the Q wanted; none where no box does it."""
    ratio = (wanted / in_free_air) ** 2 - 1
    return vas / (ratio * fill) if ratio * fill * BOX_VOLUME[1] >= vas else None


def _q_advice(qtc: float) -> tuple[Advice, ...]:
    low, high = TARGET_Q
    if qtc > HIGHEST_Q:
        text = f"Q {qtc:.2f} booms: 1.0 is the end. A larger box, lining, or a driver of lower Q."
    elif qtc > high:
        text = f"Q {qtc:.2f} is over {high}: full and a little slow. Common practice, no source."
    elif qtc < low:
        text = (
            f"Q {qtc:.2f} is under {low}: lean, and the cone travels farther for it. A smaller box gives "
            "the same where travel is the limit. Common practice, no source."
        )
    else:
        return ()
    return (Advice("qtc", text),)
