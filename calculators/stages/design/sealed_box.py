"""A driver in a closed box: its Q and corner, its travel, and the most it gives."""

from dataclasses import dataclass, replace
from typing import Annotated

from calculators.declaring import (
    Advice,
    Chart,
    Curve,
    Made,
    Number,
    Output,
    OutputChart,
    OutputCurve,
    OutputRows,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LEVEL, RATIO, VOLUME
from calculators.physics import loudspeaker_boxes as boxes
from calculators.physics.loudspeaker_boxes import Box
from calculators.vocabulary import drivers
from calculators.vocabulary.box_charts import box_response_chart, delay_chart, excursion_chart, most_chart
from calculators.vocabulary.box_studies import (
    DRIVE_VOLTAGE,
    INSIDE_FROM,
    NONE_NEEDED,
    PEAK_EXCURSION,
    STROKE_VOLTAGE,
    TRAVEL_POWER,
    BoxBand,
    Study,
    bands_of,
    cabin_of,
    coil_advice,
    coil_voltage,
    drive_of,
    high_pass_advice,
    lowest_high_pass,
    stroke_advice,
    stroke_of,
)
from calculators.vocabulary.responses import SHOWN, response_curve

BOX_VOLUME = (1e-4, 2.0)
TARGET_Q = (0.65, 0.85)
HIGHEST_Q = 1.0


@dataclass(frozen=True, kw_only=True)
class SealedBox:
    """A closed box and what it makes of its driver."""

    qtc: Annotated[float, Output("Q in the box (Qtc)", RATIO, decimals=3, main=True)]
    fc: Annotated[float, Output("Resonance in the box (fc)", FREQUENCY, decimals=1)]
    f3: Annotated[float, Output("3 dB down at (f3)", FREQUENCY, decimals=1)]
    peak: Annotated[float, Output("Peak over the flat band", LEVEL, decimals=2)]
    qes: Annotated[float, Output("Electrical Q (Qes), by that Qms, lead counted", RATIO, decimals=3)]
    sensitivity: Annotated[
        float | None, Output("Flat band, 1 m, half space, at 2.83 V", LEVEL, decimals=1, none="give Re")
    ]
    voltage: Annotated[float | None, DRIVE_VOLTAGE]
    peak_excursion: Annotated[float | None, PEAK_EXCURSION]
    travel_power: Annotated[float | None, TRAVEL_POWER]
    stroke_voltage: Annotated[float | None, STROKE_VOLTAGE]
    inside_from: Annotated[float | None, INSIDE_FROM]
    minimum_high_pass: Annotated[
        float | None,
        Output("Lowest high-pass that keeps it inside", FREQUENCY, figures=3, none=NONE_NEEDED),
    ]
    excursion_chart: Annotated[Chart | None, OutputChart("Travel of the cone at full power")]
    response_chart: Annotated[Chart, OutputChart("Response")]
    level_chart: Annotated[Chart | None, OutputChart("Most it gives")]
    delay_chart: Annotated[Chart, OutputChart("Group delay")]
    max_spl: Annotated[tuple[BoxBand, ...], OutputRows("By third-octave band", fold=True)]
    response: Annotated[Curve, OutputCurve("Response")]
    driver_file: Annotated[Made, drivers.DRIVER_FILE]
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
            "Lining makes the box larger by",
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
    coil = coil_voltage(driver_power, rated_impedance, re)
    study = Study(
        driver=drivers.driver_of(fs=fs, qts=qts, qms=qms, vas=vas, re=re, sd=sd, le=le),
        box=Box(volume=volume * fill),
        source_resistance=0.0 if re is None else source_resistance,
        high_pass=None if high_pass is None else drivers.high_pass_filter(family, slope, high_pass),
        cabin=cabin_of(longest, leak),
        drive=drive_of(re=re, sd=sd, power=power, load=load, xmax=xmax, coil=coil),
    )
    qes = study.driver.qes * (1 + study.source_resistance / study.driver.re)
    system = boxes.closed_box(fs, qms * qes / (qms + qes), vas, volume * fill)
    stroke = None if study.drive is None else stroke_of(study)
    other = None
    if other_volume is not None:
        other = f"A box of {1e3 * other_volume:.4g} L", replace(study, box=Box(volume=other_volume * fill))
    return SealedBox(
        qtc=system.qtc,
        fc=system.fc,
        f3=boxes.cutoff_ratio(system.qtc) * system.fc,
        peak=boxes.peak_level(system.qtc),
        qes=qes,
        sensitivity=None if re is None else study.driver.level(2.83),
        voltage=None if study.drive is None else study.drive.voltage,
        peak_excursion=None if stroke is None else stroke.excursion,
        travel_power=None if stroke is None or stroke.voltage is None else stroke.voltage**2 / load,
        stroke_voltage=None if stroke is None else stroke.voltage,
        inside_from=None if stroke is None else stroke.inside_from,
        minimum_high_pass=lowest_high_pass(study, family, slope),
        excursion_chart=excursion_chart(study, other),
        response_chart=box_response_chart(study, other),
        level_chart=most_chart(study),
        delay_chart=delay_chart(study),
        max_spl=bands_of(study),
        response=response_curve(study.response(SHOWN)),
        driver_file=drivers.driver_file(
            fs=fs,
            qts=qts,
            qms=qms,
            vas=vas,
            re=re,
            sd=sd,
            le=le,
            xmax=xmax,
            driver_power=driver_power,
            rated_impedance=rated_impedance,
        ),
        advice=(
            *coil_advice(coil, power, load),
            *_q_advice(system.qtc),
            *stroke_advice(study, stroke, "peak_excursion"),
            *high_pass_advice(study, family, slope),
        ),
    )


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
