"""What is asked of a speaker: its load, its sensitivity, how far away it plays and how late."""

from calculators.declaring import Choice, Number
from calculators.declaring.quantities import LENGTH, LEVEL, RESISTANCE, TIME
from calculators.physics import speaker_output

LOAD_OF_SPEAKER = Number("Speaker", RESISTANCE, 0.5, 32, usual=(1, 16))
SENSITIVITY = Number("Sensitivity", LEVEL, 60, 115, usual=(80, 100))

SENSITIVITY_BASIS = Choice(
    "Sensitivity is given at", {"1-watt": "1 W and 1 m", "2.83-volts": "2.83 V and 1 m"}
)

DISTANCE = Number("Distance", LENGTH, 0.05, 20, usual=(0.2, 4), units=("cm", "ft"))

EXTRA_LATENCY = Number(
    "Extra latency", TIME, 0, 0.1, show="ms", help="Time its own signal path is late, if any."
)
LATER_THAN_TAPED = Number(
    "Measured later than taped",
    TIME,
    -0.02,
    0.02,
    show="ms",
    usual=(-0.003, 0.003),
    units=("µs",),
    help="By measurement against the others, below 0 if earlier. 0: not measured.",
)


def per_watt_of(sensitivity: float, sensitivity_basis: str, load: float) -> float:
    """Sensitivity at 1 W and 1 m, dB, of one given in either way; 2.83 V into 4 ohm is 2 W."""
    if sensitivity_basis == "1-watt":
        return sensitivity
    return speaker_output.sensitivity_per_watt(sensitivity, load)
