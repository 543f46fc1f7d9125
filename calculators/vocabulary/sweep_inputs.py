"""The measuring signal's settings: the same words where it is made and where its recording is read."""

from calculators.declaring import Choice, Flag, InputError, Number
from calculators.declaring.quantities import COUNT, FREQUENCY, TIME
from calculators.physics.sweeps import Signal, checked_sweep

LONGEST_SWEEP = 20.0

LOW = Number(
    "From",
    FREQUENCY,
    5,
    10_000,
    usual=(10, 3000),
    units=("kHz",),
    help="For a tweeter behind a high-pass read back today, where it plays 10 dB less than in its band, or "
    "lower; without one, never under its lowest safe frequency.",
)
HIGH = Number("To", FREQUENCY, 50, 24_000, usual=(100, 22_000), units=("kHz",))
SWEEP_LENGTH = Number("Length of one sweep", TIME, 0.5, LONGEST_SWEEP, help="Twice as long: 3 dB less noise.")
PAUSE = Number("Pause after each sweep", TIME, 0.3, 5, seldom=True, help="Longer than the cabin rings.")
LEAD = Number("Silence before", TIME, 0.5, 30, seldom=True, help="From it the noise is read.")
MARKERS = Flag("Markers at both ends", seldom=True)
DIRECTION = Choice("Direction", {"rising": "rising", "falling": "falling"}, seldom=True)
PLAYS = Number(
    "Plays in the file",
    COUNT,
    1,
    2,
    whole=True,
    options=(("one", 1.0), ("two: left, then right", 2.0)),
    help="Two in one file keep their arrivals comparable.",
)


def signal_of(
    low: float,
    high: float,
    sweep_length: float,
    pause: float,
    lead: float,
    markers: bool,
    direction: str,
    plays: float,
) -> Signal:
    """The signal of these settings. Raises InputError, about ``high``, for too small a band."""
    try:
        sweep = checked_sweep(low, high, sweep_length, direction == "falling")
    except ValueError:
        raise InputError("high", "A sweep runs over two thirds of an octave or more.") from None
    return Signal(sweep, lead, pause, int(plays), markers)


def file_name(low: float, high: float, sweep_length: float, layout: str, level: float) -> str:
    """What the file of a sweep is called, wherever it is made or asked for.

    ``low`` and ``high``: Hz. ``sweep_length``: s. ``layout``: how its channels are laid out, in a word.
    ``level``: dBFS, 0 or less.
    """
    return f"sweep-{low:g}-{high:g}-Hz-{sweep_length:g}-s-{layout}-minus-{-level:g}-dB.wav"
