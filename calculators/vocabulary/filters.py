"""What is asked of an equaliser's filter, and of the processor that runs it."""

from typing import cast

from calculators.declaring import Choice, InputError, Number
from calculators.declaring.quantities import FREQUENCY, LEVEL, RATIO
from calculators.physics import filters

SAMPLE_RATES = (
    ("44.1 kHz", 44100.0),
    ("48 kHz", 48000.0),
    ("96 kHz", 96000.0),
    ("192 kHz", 192000.0),
)
SLOPES = tuple((f"{slope} dB/oct", float(slope)) for slope in range(6, 54, 6))
FAMILY_NAMES = {
    "linkwitz-riley": "Linkwitz-Riley",
    "butterworth": "Butterworth",
    "bessel": "Bessel (−3 dB at the corner)",
}
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
FALLS_BELOW = Number(
    "The driver falls below", FREQUENCY, 10, 5e3, units=("kHz",), optional=True, empty="it does not",
    seldom=True, help="12 dB/oct, by itself, in its box or door.",
)  # fmt: skip
FALLS_WITH_Q = Number("with a Q of", RATIO, 0.2, 3, usual=(0.5, 1.2), seldom=True)
PASSES_RAISE = 3.0
"""dB more than tones ask for in front where passes or all-passes, crossovers too, are in line: they turn the
phase, and that alone makes peaks of music higher. Common practice, no source."""
FILTER_FREQUENCY = Number("Frequency", FREQUENCY, 10, 20e3, units=("kHz",))
FILTER_GAIN = Number("Gain", LEVEL, -24, 24, usual=(-12, 6), help="Peaks and shelves only.")
FILTER_Q = Number("Q", RATIO, 0.1, 40, usual=(0.3, 12), help="First-order kinds have none.")
SAMPLE_RATE = Number(
    "Sample rate", FREQUENCY, 44100, 192e3, options=SAMPLE_RATES, optional=True, empty="analogue", show="kHz"
)


def order_of(field: str, family: str, slope: float) -> int:
    """Order of a slope in dB an octave. Raises InputError beside its field where the family has none such."""
    order = round(slope / 6)
    orders = filters.ORDERS[cast(filters.Family, family)]
    if order * 6 != slope:
        raise InputError(field, "Slopes come in steps of 6 dB/oct, from 6 to 48.")
    if order not in orders:
        steps = ", ".join(str(6 * n) for n in orders)
        raise InputError(
            field, f"Linkwitz-Riley comes in {steps} dB/oct: two equal Butterworth filters in a row."
        )
    return order


def section_qs(low: tuple[filters.Family, int], high: tuple[filters.Family, int]) -> str:
    """Q of each second-order section, once where low and high are alike: families and orders."""
    return _qs(*low) if low == high else f"low {_qs(*low)}; high {_qs(*high)}"


def _qs(family: filters.Family, order: int) -> str:
    """Q of each second-order section of the low-pass, and its own corner where that is not the filter's."""
    names = []
    for stage in filters.crossover_stages("low-pass", family, order, 1.0):
        name = "6 dB/oct" if stage.q is None else f"{stage.q:.2f}"
        if family == "bessel" and order > 1:
            name += f" at {stage.frequency:.2f}×"
        names.append(name)
    return " + ".join(names)
