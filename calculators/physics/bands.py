"""Third-octave bands from 20 Hz to 20 kHz."""

from __future__ import annotations

import numpy as np

from calculators.physics.arrays import FloatArray

NOMINAL_THIRD_OCTAVES: tuple[float, ...] = (
    20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800,
    1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000,
)  # fmt: skip
"""Names of the 31 bands, Hz (ISO 266:1997)."""

THIRD_OCTAVE_Q = 1 / (10**0.05 - 10**-0.05)
"""Q of a peak filter one third octave wide, base ten: 4.33 (IEC 61260-1 edges)."""

FIRST_BAND = -17
"""Number of the 20 Hz band, counted from 1 kHz = 0 (IEC 61260-1:2014, base ten)."""


def exact_third_octaves() -> FloatArray:
    """The 31 exact mid-band frequencies, Hz, shape (31,): 1000·10^(n/10), n = -17 to 13.

    Source: IEC 61260-1:2014, base ten.
    """
    numbers = np.arange(FIRST_BAND, FIRST_BAND + len(NOMINAL_THIRD_OCTAVES))
    return np.asarray(1000 * 10 ** (numbers / 10), dtype=np.float64)


def third_octave_edges() -> FloatArray:
    """Lower and upper band edges, Hz, shape (31, 2): a twentieth of a decade either side.

    Source: IEC 61260-1:2014, base ten (G = 10^0.3, edges at G^(±1/6)).
    """
    centres = exact_third_octaves()[:, np.newaxis]
    return np.asarray(centres * 10 ** np.array([-0.05, 0.05]), dtype=np.float64)


def octaves_and_edges() -> tuple[FloatArray, FloatArray]:
    """The 10 exact octave middles, 31.5 Hz to 16 kHz, Hz, shape (10,), and their edges, Hz, shape (10, 2).

    Source: IEC 61260-1:2014, base ten (G = 10^0.3, middles 1000·G^n, edges at G^(±1/2)).
    """
    centres = 1000 * 10 ** (0.3 * np.arange(-5, 5))
    return centres, np.asarray(centres[:, np.newaxis] * 10 ** np.array([-0.15, 0.15]), dtype=np.float64)


_NOTES = ("C", "C♯", "D", "E♭", "E", "F", "F♯", "G", "A♭", "A", "B♭", "B")


def nearest_note(frequency: float) -> str:
    """Name of the nearest note of equal temperament, A4 at 440 Hz: A4; C4 is middle C.

    frequency: Hz, above 0. Raises ValueError at or below 0.
    Source: ISO 16:1975 (A at 440 Hz), twelve equal steps to the octave.
    """
    if not frequency > 0:
        raise ValueError("the frequency must be above 0")
    steps = 57 + round(12 * float(np.log2(frequency / 440)))
    return f"{_NOTES[steps % 12]}{steps // 12}"
