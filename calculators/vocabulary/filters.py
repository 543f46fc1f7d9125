"""What is asked of an equaliser's filter, and of the processor that runs it."""

from calculators.declaring import Choice, Number
from calculators.declaring.quantities import FREQUENCY, LEVEL, RATIO

SAMPLE_RATES = (
    ("44.1 kHz", 44100.0),
    ("48 kHz", 48000.0),
    ("96 kHz", 96000.0),
    ("192 kHz", 192000.0),
)
SLOPES = tuple((f"{slope} dB/oct", float(slope)) for slope in range(6, 54, 6))
KIND = Choice(
    "Kind",
    {
        "peak": "Peak (bell)",
        "low-shelf": "Low shelf",
        "high-shelf": "High shelf",
        "low-pass": "Low-pass, 12 dB/oct",
        "high-pass": "High-pass, 12 dB/oct",
        "notch": "Notch",
        "all-pass": "All-pass, a whole turn",
        "low-shelf-1": "Low shelf, first order",
        "high-shelf-1": "High shelf, first order",
        "low-pass-1": "Low-pass, 6 dB/oct",
        "high-pass-1": "High-pass, 6 dB/oct",
        "all-pass-1": "All-pass, half a turn",
    },
)
FILTER_FREQUENCY = Number("Frequency", FREQUENCY, 10, 20e3, units=("kHz",))
FILTER_GAIN = Number("Gain", LEVEL, -24, 24, usual=(-12, 6), help="Peaks and shelves only.")
FILTER_Q = Number("Q", RATIO, 0.1, 40, usual=(0.3, 12), help="First-order kinds have none.")
SAMPLE_RATE = Number(
    "Sample rate", FREQUENCY, 44100, 192e3, options=SAMPLE_RATES, optional=True, empty="analogue", show="kHz"
)
