"""The voltage to set a gain by."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, calculator
from calculators.declaring.quantities import FREQUENCY, LEVEL, POWER, RESISTANCE, VOLTAGE
from calculators.physics import decibels
from calculators.physics.gain import power_from_voltage, voltage_at_level, voltage_for_power

PAIR_TOLERANCE = 0.2
METER_CEILING = 400.0
MOST_FILTER_LOSS = -1.0
OUTSIDE_THE_BAND = -20.0
"""dB under the target at which a quarter turn says that the tone is outside the band."""

TOUCH_LIMIT, DRY_BARE_LIMIT, DAMP_BARE_LIMIT = 50.0, 25.0, 12.0
"""Volts RMS: dangerous to touch; the most on bare parts in the dry; the most on them where it is damp.
IEC 60364-4-41: clause 411 from memory, 414.4.5 as BS 7671 has it, a quotation read."""


@dataclass(frozen=True, kw_only=True)
class GainVoltage:
    """What the meter must read at the amplifier's terminals."""

    voltage: Annotated[float, Output("Set, with the test tone", VOLTAGE, decimals=2, main=True)]
    peak_voltage: Annotated[float, Output("Its peak on a scope", VOLTAGE, decimals=2)]
    test_voltage: Annotated[float, Output("Set instead, if no headroom is wanted", VOLTAGE, decimals=2)]
    full_scale_voltage: Annotated[
        float, Output("A 0 dBFS file would then ask for (do not play)", VOLTAGE, decimals=2)
    ]
    full_scale_power: Annotated[float, Output("That is a power of", POWER, figures=3)]
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
    sources=("ohm", "itu-r-bs-645", "iec-60027-3", "iec-60364-4-41", "common-practice"),
    cautions=("S09", "S14", "S24"),
    equations=(
        "voltage = sqrt(power*load)*10**(filter_level/20)",
        "peak_voltage = sqrt(2)*voltage",
        "test_voltage = voltage*10**(-overlap/20)",
        "full_scale_voltage = voltage*10**((overlap - filter_level)/20)",
        "full_scale_power = full_scale_voltage**2/load",
        "level_dbv = 20*log(voltage)/log(10)",
    ),
)
def gain_voltage(
    power: Annotated[float, Number("Power of one channel", POWER, 0.01, 5000, usual=(20, 2000))],
    load: Annotated[float, Number("Its load", RESISTANCE, 0.5, 16, usual=(1, 8))],
    overlap: Annotated[
        float,
        Number(
            "Headroom for quiet recordings: the test tone stands under full scale by",
            LEVEL,
            0,
            20,
            usual=(0, 10),
            help="Play a tone recorded this far under full scale. 0 for a full-scale tone.",
        ),
    ] = 0.0,
    frequency: Annotated[
        float, Number("Test tone", FREQUENCY, 10, 20e3, usual=(30, 2000), units=("kHz",))
    ] = 400.0,
    filter_level: Annotated[
        float,
        Number(
            "Filters that stay in change the tone by",
            LEVEL,
            -80,
            0,
            usual=(-1, 0),
            help="0 with every filter of this channel bypassed, as it should be.",
        ),
    ] = 0.0,
    measured: Annotated[
        float | None,
        Number("What you measured", VOLTAGE, 0.001, 300, optional=True, empty="not yet"),
    ] = None,
) -> GainVoltage:
    """Volts RMS at the amplifier's terminals that stand for its rated power.

    Speaker plugs off, filters, equaliser and limiter of this channel bypassed, source at its ceiling
    step. Play the tone that stands under full scale by the headroom, and raise the gain until the
    meter reads the voltage to set. Recordings seldom use their last decibels, so headroom lets quiet
    ones reach the rated power; a limiter holds what is louder. Without headroom the same tone must
    read less. Load the filters again and read them back before a speaker is plugged in.
    """
    rated = voltage_for_power(power, load)
    voltage = voltage_at_level(rated, filter_level)
    step = decibels.voltage_ratio(PAIR_TOLERANCE)
    full_scale = voltage_at_level(rated, overlap)
    in_band = None if measured is None else voltage_at_level(measured, -filter_level)
    return GainVoltage(
        voltage=voltage,
        peak_voltage=voltage * math.sqrt(2.0),
        test_voltage=voltage_at_level(voltage, -overlap),
        full_scale_voltage=full_scale,
        full_scale_power=power_from_voltage(full_scale, load),
        level_dbv=20.0 * math.log10(voltage / decibels.VOLTAGE_AT_0_DBV),
        level_dbu=20.0 * math.log10(voltage / decibels.VOLTAGE_AT_0_DBU),
        low_voltage=voltage / step,
        high_voltage=voltage * step,
        measured_power=None if in_band is None else power_from_voltage(in_band, load),
        level_difference=None if measured is None else 20.0 * math.log10(measured / voltage),
        advice=(
            *_measured_advice(measured, voltage),
            *_tone_advice(frequency, filter_level, overlap, full_scale, load),
            *_touch_advice(max(rated, measured or 0.0)),
        ),
    )


def _measured_advice(measured: float | None, voltage: float) -> tuple[Advice, ...]:
    if measured is None:
        return ()
    difference = 20.0 * math.log10(measured / voltage)
    if difference > PAIR_TOLERANCE:
        message = "Too high: turn the gain down before any speaker is connected."
        return (Advice("measured", message, danger=True),)
    if difference < OUTSIDE_THE_BAND:
        message = (
            "Less than a tenth of the target. If the gain stands at a quarter turn or more: stop, the tone "
            "is outside this channel's band. Turned up until it reads, the gain ends far too high."
        )
        return (Advice("measured", message, danger=True),)
    if difference < -PAIR_TOLERANCE:
        message = (
            f"Too low: outside {PAIR_TOLERANCE:g} dB of the target. Turn the gain up slowly: as it is, "
            "its twin will not match it."
        )
        return (Advice("measured", message),)
    return ()


def _tone_advice(
    frequency: float, filter_level: float, overlap: float, full_scale: float, load: float
) -> tuple[Advice, ...]:
    advice = []
    if filter_level < MOST_FILTER_LOSS:
        message = (
            f"Filters take {-filter_level:.1f} dB off this tone: it is outside the band. A gain turned up "
            "until the meter reads the rated voltage would be that much too high, and kills a tweeter. "
            "Bypass the filters with the speaker plugs off, or use a tone inside the band."
        )
        advice.append(Advice("filter_level", message, danger=True))
    if overlap > 0.0:
        message = (
            "Never play a 0 dBFS tone after this setting: it asks for "
            f"{full_scale:.1f} V, {full_scale**2 / load:.0f} W, and comes out clipped. Use the file recorded "
            f"{overlap:g} dB under full scale."
        )
        advice.append(Advice("overlap", message, danger=True))
    if frequency > METER_CEILING:
        message = "Many meters read low above 400 Hz, so the gain ends too high: check its band."
        advice.append(Advice("frequency", message))
    return tuple(advice)


def _touch_advice(highest: float) -> tuple[Advice, ...]:
    act = (
        "Clip on and off with the amplifier off, insulated tips, no hand on a terminal while a tone plays. "
        "Both wires of a bridge are live."
    )
    if highest > TOUCH_LIMIT:
        message = f"{highest:.1f} V RMS is over the touch limit of 50 V. {act}"
        return (Advice("voltage", message, danger=True),)
    for limit, where in ((DRY_BARE_LIMIT, "in the dry"), (DAMP_BARE_LIMIT, "where it is damp")):
        if highest > limit:
            message = f"{highest:.1f} V RMS is over the {limit:g} V that bare parts may carry {where}. {act}"
            return (Advice("voltage", message),)
    return ()
