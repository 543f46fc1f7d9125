"""Commissioning: the voltage to set a gain by, and noise at the ear."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, OutputText, calculator
from calculators.declaring.quantities import (
    FREQUENCY,
    LENGTH,
    LEVEL,
    POWER,
    RESISTANCE,
    VOLTAGE,
)
from calculators.physics import gain, levels, levels_at_ear

PAIR_TOLERANCE = 0.2
METER_CEILING = 400.0
LOUD_NOISE, FAINT_NOISE = 25.0, 15.0


@dataclass(frozen=True)
class GainVoltage:
    """What the meter must read at the amplifier's terminals."""

    voltage: Annotated[float, Output("Set, with the test tone", VOLTAGE, decimals=2, main=True)]
    peak_voltage: Annotated[float, Output("Its peak on a scope", VOLTAGE, decimals=2)]
    test_voltage: Annotated[float, Output("Set instead, if no overlap is wanted", VOLTAGE, decimals=2)]
    full_scale_voltage: Annotated[float, Output("Full scale would then ask for", VOLTAGE, decimals=2)]
    level_dbv: Annotated[float, Output("Level over 1 V", LEVEL, decimals=2)]
    level_dbu: Annotated[float, Output("Level over 0.7746 V", LEVEL, decimals=2)]
    low_voltage: Annotated[float, Output("Good enough from", VOLTAGE, decimals=2)]
    high_voltage: Annotated[float, Output("Good enough to", VOLTAGE, decimals=2)]
    measured_power: Annotated[
        float | None, Output("Power at what you measured", POWER, figures=3, none="not measured")
    ]
    level_difference: Annotated[
        float | None, Output("What you measured is off by", LEVEL, decimals=2, none="not measured")
    ]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Gain by voltage",
    example={"power": 70.0, "load": 4.0, "overlap": 5.0},
    sources=("ohm", "itu-r-bs-645", "iec-60027-3", "common-practice"),
    cautions=("S09", "S14", "S24"),
    equations=(
        "voltage = sqrt(power*load)",
        "peak_voltage = sqrt(2)*voltage",
        "test_voltage = voltage*10**(-overlap/20)",
        "full_scale_voltage = voltage*10**(overlap/20)",
        "level_dbv = 20*log(voltage)/log(10)",
    ),
)
def gain_voltage(
    power: Annotated[float, Number("Power of one channel", POWER, 0.01, 5000, usual=(20, 2000))],
    load: Annotated[float, Number("Its load", RESISTANCE, 0.5, 16, usual=(1, 8))],
    overlap: Annotated[
        float,
        Number(
            "Overlap: the test tone stands under full scale by",
            LEVEL,
            0,
            20,
            usual=(0, 10),
            help="Play a tone recorded this far under full scale. 0 for a full-scale tone.",
        ),
    ] = 0.0,
    frequency: Annotated[
        float, Number("Test tone", FREQUENCY, 10, 20e3, usual=(30, 2000), units=("kHz",))
    ] = 1000.0,
    measured: Annotated[
        float | None,
        Number("What you measured", VOLTAGE, 0.001, 300, optional=True, empty="not yet"),
    ] = None,
) -> GainVoltage:
    """Volts RMS at the amplifier's terminals that stand for its rated power.

    Source at its ceiling step, equaliser as it will stay, speakers off. Play the tone that stands
    under full scale by the overlap, and raise the gain until the meter reads the voltage to set.
    Recordings seldom use their last decibels, so an overlap lets music reach the rated power; only
    what stands above the tone's level clips. Without overlap the same tone must read less.
    """
    voltage = gain.voltage_for_power(power, load)
    step = levels.voltage_ratio(PAIR_TOLERANCE)
    return GainVoltage(
        voltage=voltage,
        peak_voltage=voltage * math.sqrt(2.0),
        test_voltage=gain.voltage_at_level(voltage, -overlap),
        full_scale_voltage=gain.voltage_at_level(voltage, overlap),
        level_dbv=20.0 * math.log10(voltage / levels.VOLTAGE_AT_0_DBV),
        level_dbu=20.0 * math.log10(voltage / levels.VOLTAGE_AT_0_DBU),
        low_voltage=voltage / step,
        high_voltage=voltage * step,
        measured_power=None if measured is None else gain.power_from_voltage(measured, load),
        level_difference=None if measured is None else 20.0 * math.log10(measured / voltage),
        advice=_gain_advice(frequency, overlap, voltage, measured),
    )


def _gain_advice(
    frequency: float, overlap: float, voltage: float, measured: float | None
) -> tuple[Advice, ...]:
    advice = []
    if measured is not None and 20.0 * math.log10(measured / voltage) > PAIR_TOLERANCE:
        advice.append(
            Advice("measured", "Too high: turn the gain down before any speaker is connected.", danger=True)
        )
    if overlap > 0.0:
        advice.append(
            Advice(
                "overlap",
                f"Use the file recorded {overlap:g} dB under full scale. A full-scale tone set to this "
                "voltage gives no overlap; a full-scale tone after this setting clips hard.",
            )
        )
    if frequency > METER_CEILING:
        advice.append(
            Advice(
                "frequency", "Many meters read low above 400 Hz, so the gain ends too high: check its band."
            )
        )
    return tuple(advice)


@dataclass(frozen=True)
class NoiseAtEar:
    """How loud a noise voltage is where you sit."""

    level: Annotated[float, Output("Noise at the ear", LEVEL, decimals=1, main=True)]
    verdict: Annotated[str, OutputText("What that means")]
    quiet_voltage: Annotated[float, Output("Voltage for 20 dB there", VOLTAGE, show="mV", figures=2)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Noise at the ear",
    example={"noise_voltage": 0.0004, "load": 4.0, "sensitivity": 91.0, "distance": 0.86},
    sources=("ohm", "inverse-distance", "common-practice"),
    equations=("level = sensitivity + 10*log(noise_voltage**2/load)/log(10) - 20*log(distance)/log(10)",),
)
def noise_at_ear(
    noise_voltage: Annotated[
        float,
        Number(
            "Noise at the speaker's terminals",
            VOLTAGE,
            1e-6,
            1,
            show="mV",
            usual=(1e-5, 0.02),
            units=("µV", "V"),
            help="RMS, source paused, gains as they will stay.",
        ),
    ],
    load: Annotated[float, Number("Speaker", RESISTANCE, 0.5, 32, usual=(1, 16))] = 4.0,
    sensitivity: Annotated[
        float, Number("Sensitivity at 1 W and 1 m", LEVEL, 70, 110, usual=(80, 100))
    ] = 91.0,
    distance: Annotated[
        float, Number("Distance to the ear", LENGTH, 0.05, 10, show="cm", usual=(0.2, 4), units=("m", "in"))
    ] = 1.0,
) -> NoiseAtEar:
    """Level that a noise voltage makes at the ear.

    Hiss from the tweeter nearest the ear is heard first. In a parked vehicle with the engine off
    about 20 dB is where most people begin to notice (common practice, no source).
    """
    level = levels_at_ear.noise_at_ear(noise_voltage, load, sensitivity, distance)
    power = levels_at_ear.power_for_level(20.0, sensitivity, distance)
    return NoiseAtEar(level, _noise_verdict(level), gain.voltage_for_power(power, load))


def _noise_verdict(level: float) -> str:
    if level <= FAINT_NOISE:
        return "not heard, even parked with the engine off"
    if level <= LOUD_NOISE:
        return "faint: heard parked in a quiet place, not on the road"
    return "heard: lower the gain, or mend the ground"
