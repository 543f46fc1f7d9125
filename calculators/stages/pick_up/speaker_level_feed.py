"""Speaker-level feed into an input: how loud it is, the pad, the load, and what it may hiss."""

from dataclasses import dataclass
from math import sqrt
from typing import Annotated

from calculators.declaring import Advice, Choice, Number, Output, OutputText, calculator
from calculators.declaring.quantities import CURRENT, LEVEL, POWER, RESISTANCE, VOLTAGE
from calculators.physics import gain, networks, pick_up
from calculators.physics.decibels import decibels_from_voltage_ratio
from calculators.vocabulary import feed_advice

SHORT_BY = 0.005
"""Part of a leg by which the value in the drawer may fall short: at most 0.05 dB of level."""
NO_PAD = "none needed"
BY_MAKER = "by its maker's data: it has a converter of its own, or is an outboard amplifier"


@dataclass(frozen=True, kw_only=True)
class SpeakerLevelFeed:
    """A speaker-level feed and the input behind it."""

    attenuation: Annotated[float, Output("Attenuation needed", LEVEL, decimals=1, main=True)]
    leg_used: Annotated[
        float | None, Output("Resistor in each leg, E24", RESISTANCE, figures=3, trim=True, none=NO_PAD)
    ]
    across_used: Annotated[
        float | None, Output("Resistor across, behind them", RESISTANCE, figures=3, trim=True, none=NO_PAD)
    ]
    load_rating_needed: Annotated[
        float | None, Output("Load resistor rated for at least", POWER, decimals=1, none="no load resistor")
    ]
    source_voltage: Annotated[float, Output("The feed gives, V RMS of a sine", VOLTAGE, decimals=2)]
    source_peak: Annotated[float, Output("Peak of that sine", VOLTAGE, decimals=2)]
    clipped_voltage: Annotated[float, Output("Clipped to a square, V RMS and peak", VOLTAGE, decimals=1)]
    source_power: Annotated[float, Output("Power of that sine in the speaker", POWER, figures=3)]
    pad_level: Annotated[float, Output("The pad gives", LEVEL, decimals=1)]
    level_in: Annotated[float, Output("At the input, V RMS", VOLTAGE, figures=3)]
    headroom: Annotated[float, Output("Input clips above that by", LEVEL, decimals=1)]
    clipped_headroom: Annotated[float, Output("and above the peaks of a clipped feed by", LEVEL, decimals=1)]
    pad_noise: Annotated[
        float | None, Output("The pad's own noise", VOLTAGE, show="µV", figures=2, none=NO_PAD)
    ]
    leg_heat: Annotated[
        float | None, Output("Heat in each leg, feed clipped", POWER, show="mW", figures=2, none=NO_PAD)
    ]
    across_heat: Annotated[
        float | None, Output("Heat in the one across", POWER, show="mW", figures=2, none=NO_PAD)
    ]
    fault_current: Annotated[
        float | None,
        Output(
            "At most from one leg, far side grounded",
            CURRENT,
            show="mA",
            figures=2,
            none="no pad to limit it",
        ),
    ]
    load_heat: Annotated[
        float | None, Output("Heat in the load resistor, sine", POWER, decimals=1, none="no load resistor")
    ]
    load_heat_clipped: Annotated[
        float | None, Output("Heat in it, feed clipped", POWER, decimals=1, none="no load resistor")
    ]
    rest: Annotated[str, OutputText("Each leg to chassis, at rest")]
    swing: Annotated[str, OutputText("Each leg to chassis, loud")]
    feed_noise_limit: Annotated[float, Output("The feed may hiss, A-weighted", VOLTAGE, show="mV", figures=2)]
    noise_limit_in: Annotated[
        float, Output("That hiss at the input, behind the pad", VOLTAGE, show="µV", figures=2)
    ]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Speaker-level feed",
    example={"measured_voltage": 8.4, "input_limit": 10.0, "load_resistor": 33.0, "load_rating": 10.0},
    sources=("ohm", "iec-60027-3", "johnson-nyquist", "iec-60063", "common-practice"),
    cautions=("S09",),
    equations=(
        "source_peak = source_voltage*sqrt(2)",
        "load_heat = source_voltage**2/load_resistor",
        "load_heat_clipped = clipped_voltage**2/load_resistor",
        "feed_noise_limit = noise_limit*source_voltage/speaker_voltage/sqrt(2)",
        "noise_limit_in = feed_noise_limit*level_in/source_voltage",
    ),
)
def speaker_level_feed(
    input_limit: Annotated[
        float,
        Number("The input takes at most", VOLTAGE, 0.05, 100, usual=(0.5, 20), help="In the range you set."),
    ],
    input_limit_is: Annotated[
        str, Choice("The input’s limit is", {"rms": "V RMS of a sine", "peak": "V peak"})
    ] = "rms",
    measured_voltage: Annotated[
        float | None,
        Number(
            "Feed at the ceiling step, measured",
            VOLTAGE,
            0.05,
            100,
            usual=(1, 30),
            optional=True,
            empty="by power and load",
            help="V RMS with a 0 dBFS file, on its load. It beats what a label says.",
        ),
    ] = None,
    source_power: Annotated[
        float,
        Number(
            "Power of the source, sine",
            POWER,
            0.1,
            500,
            usual=(5, 40),
            help="Only where nothing was measured.",
            unless="measured_voltage",
        ),
    ] = 18.0,
    source_load: Annotated[float, Number("Its speaker", RESISTANCE, 0.5, 32, usual=(2, 8))] = 4.0,
    rail: Annotated[
        float,
        Number(
            "Supply of the source, charging",
            VOLTAGE,
            5,
            60,
            usual=(12, 15.2),
            help="A bridge swings that far.",
        ),
    ] = 14.4,
    reserve: Annotated[float, Number("Stay under it by", LEVEL, 0, 20, usual=(0.5, 6))] = 1.0,
    input_resistance: Annotated[
        float, Number("Resistance of the input", RESISTANCE, 50, 1e6, usual=(1e3, 1e5), units=("kΩ",))
    ] = 10e3,
    across: Annotated[
        float,
        Number(
            "Resistor across, behind the legs",
            RESISTANCE,
            10,
            1e5,
            usual=(470, 1e4),
            units=("kΩ",),
            seldom=True,
        ),
    ] = 2200.0,
    leg: Annotated[
        float | None,
        Number(
            "Resistor in each leg",
            RESISTANCE,
            10,
            1e6,
            usual=(470, 47e3),
            units=("kΩ",),
            optional=True,
            empty="found for you",
            help="Type yours to check a pad, or an isolating tap of 10 kΩ and 2.2 kΩ.",
        ),
    ] = None,
    load_resistor: Annotated[
        float | None,
        Number("Load resistor", RESISTANCE, 1, 1000, usual=(20, 47), optional=True, empty="none"),
    ] = None,
    load_rating: Annotated[float, Number("It is rated for", POWER, 0.1, 500, usual=(5, 100))] = 10.0,
    noise_limit: Annotated[
        float,
        Number(
            "Noise at a tweeter may be",
            VOLTAGE,
            1e-6,
            0.1,
            show="mV",
            usual=(1e-4, 2e-3),
            units=("V",),
            seldom=True,
        ),
    ] = 0.0005,
    speaker_voltage: Annotated[
        float,
        Number(
            "Tweeter's terminals with a full-scale file",
            VOLTAGE,
            0.1,
            300,
            usual=(2, 60),
            seldom=True,
            help="From the gain chain: what the amplifier is asked for, clipping left aside.",
        ),
    ] = 29.76,
) -> SpeakerLevelFeed:
    """How loud a factory feed is, and what stands between it and the processor.

    A pad has a resistor in **each** leg and one across behind them: no leg is ever joined to a shield. Use
    1 % resistors, for 5 % unbalance the legs and turn hum into signal. The load resistor is judged for the
    clipped feed: a square wave as high as the supply, or as the measured peak where that is more. The hiss
    allowed leaves half the noise power at the tweeter to the rest of the chain.
    """
    volts = (
        gain.voltage_for_power(source_power, source_load) if measured_voltage is None else measured_voltage
    )
    most = input_limit / sqrt(2) if input_limit_is == "peak" else input_limit
    top = max(rail, volts * sqrt(2))
    wanted = gain.voltage_at_level(most, -reserve) / volts
    used = leg
    if used is None and wanted < 1:
        exact = pick_up.pad_leg(wanted, across, input_resistance)
        used = networks.value_not_under(max(exact * (1 - SHORT_BY), 10.0), "e24")
    ratio = 1.0 if used is None else pick_up.pad_ratio(used, across, input_resistance)
    level_in = volts * ratio
    heat = None if load_resistor is None else volts**2 / load_resistor
    heat_clipped = None if load_resistor is None else top**2 / load_resistor
    leg_heat, across_heat = (
        (None, None) if used is None else pick_up.pad_heat(top, used, across, input_resistance)
    )
    converter = volts * sqrt(2) > rail
    clipped_headroom = decibels_from_voltage_ratio(most * sqrt(2) / (top * ratio))
    feed_noise_limit = noise_limit * volts / speaker_voltage / sqrt(2)
    return SpeakerLevelFeed(
        source_voltage=volts,
        source_peak=volts * sqrt(2),
        clipped_voltage=top,
        source_power=volts**2 / source_load,
        attenuation=max(-decibels_from_voltage_ratio(wanted), 0.0),
        leg_used=used,
        across_used=None if used is None else across,
        pad_level=decibels_from_voltage_ratio(ratio),
        level_in=level_in,
        headroom=decibels_from_voltage_ratio(most / level_in),
        clipped_headroom=clipped_headroom,
        pad_noise=None if used is None else pick_up.pad_noise(used, across),
        leg_heat=leg_heat,
        across_heat=across_heat,
        fault_current=None if used is None else top / used,
        load_heat=heat,
        load_heat_clipped=heat_clipped,
        load_rating_needed=None if heat_clipped is None else feed_advice.HEAT_SPACE * heat_clipped,
        rest=BY_MAKER if converter else f"{rail / 2:.2f} V, ± 0.5 V; the two legs of a pair within 50 mV",
        swing=BY_MAKER if converter else f"anywhere from 0 to {rail:.1f} V",
        feed_noise_limit=feed_noise_limit,
        noise_limit_in=feed_noise_limit * ratio,
        advice=(
            *feed_advice.of_feed(measured_voltage, converter, most / level_in, reserve),
            *feed_advice.of_input(input_resistance),
            *feed_advice.of_clipped(clipped_headroom),
            *feed_advice.of_pad(top, used, leg_heat, across_heat),
            *feed_advice.of_load(load_resistor, heat_clipped, load_rating),
        ),
    )
