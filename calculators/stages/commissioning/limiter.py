"""Limiters: thresholds that keep an amplifier from clipping and a driver from burning."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Choice, Number, Output, OutputText, calculator
from calculators.declaring.quantities import LEVEL, POWER, RESISTANCE, VOLTAGE
from calculators.physics.gain import limiter_threshold, voltage_at_level, voltage_for_power
from calculators.vocabulary.drivers import THERMAL_SPACE

CLIP_SPACE = 0.5


@dataclass(frozen=True, kw_only=True)
class Limiter:
    """Where the limiters of one channel are set."""

    peak_threshold: Annotated[float, Output("Peak limiter (dBFS)", LEVEL, decimals=1, main=True)]
    peak_voltage: Annotated[float, Output("It holds, V RMS of a sine", VOLTAGE, decimals=2)]
    thermal_threshold: Annotated[
        float | None,
        Output("Thermal (RMS) limiter (dBFS)", LEVEL, decimals=1, none="no rating given"),
    ]
    thermal_voltage: Annotated[float | None, Output("It holds", VOLTAGE, decimals=2, none="no rating given")]
    stroke_threshold: Annotated[
        float | None, Output("Stroke limiter (dBFS)", LEVEL, decimals=1, none="no voltage given")
    ]
    full_scale_voltage: Annotated[
        float, Output("Processor's full output would give (do not play)", VOLTAGE, decimals=2)
    ]
    peak_times: Annotated[str, OutputText("Times of the peak limiter")]
    thermal_times: Annotated[str, OutputText("Times of the thermal limiter")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Limiter thresholds",
    example={
        "full_output": 4.0, "gain": 24.93, "clip_voltage": 17.72, "driver_power": 20.0, "load": 4.0,
    },
    sources=("iec-60027-3", "ohm", "iec-60268-5", "common-practice"),
    cautions=("S09", "S14", "S24"),
    equations=(
        "full_scale_voltage = full_output*10**(gain/20)",
        "peak_voltage = clip_voltage*10**(-0.5/20)",
        "peak_threshold = 20*log(peak_voltage/full_scale_voltage)/log(10)",
        "thermal_voltage = sqrt(driver_power*load)*10**(-3/20)",
        "thermal_threshold = 20*log(thermal_voltage/full_scale_voltage)/log(10)",
        "stroke_threshold = 20*log(stroke_voltage/full_scale_voltage)/log(10)",
    ),
)  # fmt: skip
def limiter(
    full_output: Annotated[float, Number("Processor's output at 0 dBFS", VOLTAGE, 0.1, 50, usual=(1, 10))],
    gain: Annotated[
        float,
        Number(
            "Gain of the amplifier as set",
            LEVEL,
            -20,
            80,
            usual=(5, 45),
            help="Volts at its terminals over volts at its input, as decibels.",
        ),
    ],
    clip_voltage: Annotated[
        float,
        Number(
            "Amplifier clips at, loaded",
            VOLTAGE,
            0.1,
            300,
            usual=(5, 100),
            help="V RMS with its rated load on. Unloaded reads 1 to 3 dB too good.",
        ),
    ],
    driver_power: Annotated[
        float | None,
        Number(
            "Driver's continuous noise rating",
            POWER,
            0.1,
            5000,
            usual=(5, 1000),
            optional=True,
            empty="not known",
            help="Not its “music” and not its “peak” power.",
        ),
    ] = None,
    load: Annotated[float, Number("Driver", RESISTANCE, 0.5, 32, usual=(1, 16))] = 4.0,
    driver: Annotated[
        str, Choice("It is a", {"tweeter": "tweeter", "woofer": "woofer or subwoofer"})
    ] = "tweeter",
    stroke_voltage: Annotated[
        float | None,
        Number(
            "Cone reaches its travel at",
            VOLTAGE,
            0.1,
            300,
            usual=(2, 100),
            optional=True,
            empty="not known",
            help="From the box model, high-pass in.",
        ),
    ] = None,
) -> Limiter:
    """Thresholds, against full scale at the processor's output, that keep amplifier and driver whole.

    The peak limiter stands 0.5 dB under the voltage at which the loaded amplifier clips. The thermal
    limiter works on the RMS and stands 3 dB under the driver's continuous noise rating. For stroke a
    high-pass comes first; the limiter holds what is left. Prove each one with the speaker plugs off:
    raise a tone through the threshold, and the meter stops within 0.5 dB of the voltage named. One that
    the tone does not reach is lowered by a known amount for the proof, set back and read back.
    """
    peak = voltage_at_level(clip_voltage, -CLIP_SPACE)
    thermal = (
        None
        if driver_power is None
        else voltage_at_level(voltage_for_power(driver_power, load), -THERMAL_SPACE)
    )
    return Limiter(
        peak_threshold=limiter_threshold(peak, full_output, gain),
        peak_voltage=peak,
        thermal_threshold=None if thermal is None else limiter_threshold(thermal, full_output, gain),
        thermal_voltage=thermal,
        stroke_threshold=None
        if stroke_voltage is None
        else limiter_threshold(stroke_voltage, full_output, gain),
        full_scale_voltage=voltage_at_level(full_output, gain),
        peak_times="attack 1 ms or less, release 100 ms",
        thermal_times="attack 1 s, release 3 s" if driver == "tweeter" else "attack 5 s, release 15 s",
        advice=_limiter_advice(peak, thermal, stroke_voltage, voltage_at_level(full_output, gain)),
    )


def _limiter_advice(
    peak: float, thermal: float | None, stroke: float | None, full_scale: float
) -> tuple[Advice, ...]:
    advice = []
    if thermal is None:
        message = (
            "Without the driver's continuous noise rating nothing here keeps its coil cool: ask its maker."
        )
        advice.append(Advice("driver_power", message))
    elif thermal > peak:
        message = "The driver bears more than the amplifier gives: only the peak limiter will ever work."
        advice.append(Advice("thermal_threshold", message))
    if peak > full_scale:
        message = (
            "A full-scale file does not reach the amplifier's clip: a peak limiter over 0 dBFS never works."
        )
        advice.append(Advice("peak_threshold", message))
    if stroke is not None and stroke > peak:
        message = (
            "The cone keeps inside its travel up to the amplifier's clip: no limiter for stroke is needed."
        )
        advice.append(Advice("stroke_threshold", message))
    return tuple(advice)
