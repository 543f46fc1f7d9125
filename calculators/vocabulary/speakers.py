"""What is asked of a speaker: its load, its sensitivity, how far away it plays."""

from calculators.declaring import Choice, Number
from calculators.declaring.quantities import LENGTH, LEVEL, RESISTANCE
from calculators.physics import speaker_output

LOAD_OF_SPEAKER = Number("Speaker", RESISTANCE, 0.5, 32, usual=(1, 16))
SENSITIVITY = Number("Sensitivity", LEVEL, 60, 115, usual=(80, 100))

SENSITIVITY_BASIS = Choice(
    "Sensitivity is given at", {"1-watt": "1 W and 1 m", "2.83-volts": "2.83 V and 1 m"}
)

DISTANCE = Number("Distance", LENGTH, 0.05, 20, usual=(0.2, 4), units=("cm", "ft"))


def per_watt_of(sensitivity: float, sensitivity_basis: str, load: float) -> float:
    """Sensitivity at 1 W and 1 m, dB, of one given in either way; 2.83 V into 4 ohm is 2 W."""
    if sensitivity_basis == "1-watt":
        return sensitivity
    return speaker_output.sensitivity_per_watt(sensitivity, load)
