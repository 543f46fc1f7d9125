"""Noise at the ear, and what may be heard of it."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, OutputText, Rows, calculator
from calculators.declaring.quantities import LENGTH, LEVEL, RESISTANCE, VOLTAGE
from calculators.physics import decibels, speaker_output
from calculators.physics.gain import voltage_for_power
from calculators.vocabulary.speakers import SENSITIVITY, SENSITIVITY_BASIS, per_watt_of

LOUD_NOISE, FAINT_NOISE = 25.0, 15.0


@dataclass(frozen=True)
class OtherSpeaker:
    """One more speaker that hisses, of the same kind."""

    noise_voltage: Annotated[
        float, Number("Noise at its terminals", VOLTAGE, 1e-6, 1, show="mV", units=("µV", "V"))
    ]
    distance: Annotated[
        float, Number("Distance to the ear", LENGTH, 0.05, 20, show="cm", usual=(0.2, 4), units=("m", "in"))
    ]


@dataclass(frozen=True, kw_only=True)
class NoiseAtEar:
    """How loud a noise voltage is where you sit."""

    level: Annotated[float, Output("Noise at the ear", LEVEL, decimals=1, main=True)]
    total: Annotated[
        float | None, Output("All speakers together", LEVEL, decimals=1, none="one speaker given")
    ]
    verdict: Annotated[str, OutputText("What that means")]
    quiet_voltage: Annotated[float, Output("Voltage for 20 dB there", VOLTAGE, show="mV", figures=2)]
    per_watt: Annotated[float, Output("Sensitivity at 1 W and 1 m", LEVEL, decimals=1)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Noise at the ear",
    example={"noise_voltage": 0.0004, "load": 4.0, "sensitivity": 91.0, "distance": 0.86},
    sources=("ohm", "inverse-distance", "iso-1996-1", "common-practice"),
    cautions=("S09",),
    equations=("level = per_watt + 10*log(noise_voltage**2/load)/log(10) - 20*log(distance)/log(10)",),
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
            help="RMS, A-weighted, source paused, gains as they will stay.",
        ),
    ],
    load: Annotated[float, Number("Speaker", RESISTANCE, 0.5, 32, usual=(1, 16))] = 4.0,
    sensitivity: Annotated[float, SENSITIVITY] = 91.0,
    distance: Annotated[
        float, Number("Distance to the ear", LENGTH, 0.05, 20, show="cm", usual=(0.2, 4), units=("m", "in"))
    ] = 1.0,
    sensitivity_basis: Annotated[str, SENSITIVITY_BASIS] = "1-watt",
    others: Annotated[
        tuple[OtherSpeaker, ...], Rows("Others of the same kind", "speaker", at_least=0, at_most=12)
    ] = (),
) -> NoiseAtEar:
    """Level that a noise voltage makes at the ear.

    Hiss from the tweeter nearest the ear is heard first. In a parked vehicle with the engine off
    about 20 dB is where most people begin to notice (common practice, no source). A-weighted volts
    times a flat sensitivity are taken for the level, which is an assumption. Hiss of several speakers
    is unrelated and adds as power. “91 dB at 2.83 V” into 4 Ω is 88 dB at 1 W.
    """
    per_watt = per_watt_of(sensitivity, sensitivity_basis, load)
    level = speaker_output.noise_at_ear(noise_voltage, load, per_watt, distance)
    heard = [level] + [
        speaker_output.noise_at_ear(other.noise_voltage, load, per_watt, other.distance) for other in others
    ]
    total = decibels.power_sum(heard)
    power = speaker_output.power_for_level(20.0, per_watt, distance)
    return NoiseAtEar(
        level=level,
        total=total if others else None,
        verdict=_noise_verdict(total),
        quiet_voltage=voltage_for_power(power, load),
        per_watt=per_watt,
    )


def _noise_verdict(level: float) -> str:
    if level <= FAINT_NOISE:
        return "not heard, even parked with the engine off"
    if level <= LOUD_NOISE:
        return "faint: heard parked in a quiet place, not on the road"
    return "heard: lower the gain, or mend the ground"
