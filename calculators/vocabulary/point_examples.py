"""Invented curves of a door speaker at several points of one head, worked out from a model of our own."""

import numpy as np

from calculators.declaring import Curve
from calculators.physics import decibels
from calculators.physics.arrays import FloatArray
from calculators.physics.biquads import biquad
from calculators.physics.filters import response

_PLACES = 1000 * 2 ** (np.arange(-50, 29) / 12)
"""Twelve to the octave from 55.7 Hz to 5.04 kHz."""
_COAXIAL_PLACES = 1000 * 2 ** (np.arange(-50, 49) / 12)
"""The same to 16 kHz."""
_POINTS = {
    "Middle": (1.3, 0.8),
    "Forward": (1.1, 0.84),
    "Back": (1.55, 0.78),
    "Left": (1.2, 0.86),
    "Right": (1.42, 0.74),
}
"""Of each point how much later, ms, a reflection is there than the direct sound, and how large."""


def _door(later: float, share: float) -> FloatArray:
    """A door: its resonance, a hump at 160 Hz, a dull top, and one reflection; dB."""
    s = 1j * _PLACES / 70
    speaker = s**2 / (s**2 + s / 0.8 + 1) / (1 + 1j * _PLACES / 6000)
    hump = response(biquad("peak", 160.0, 5.0, 3.0), _PLACES)
    # What comes later has lost its top on the trim.
    reflection = share * np.exp(-2j * np.pi * _PLACES * later / 1000) / (1 + 1j * _PLACES / 700)
    return decibels.level(speaker * hump * (1 + reflection))


def _as_pasted(level: FloatArray, places: FloatArray = _PLACES) -> dict[str, list[float]]:
    return {
        "frequency": [float(f"{place:.4g}") for place in places.tolist()],
        "level": [float(f"{value:.1f}") for value in (level + 75).tolist()],
    }


def _coaxial() -> Curve:
    """A door's coaxial speaker: its low end, the hump, and the crossover between its two cones."""
    s = 1j * _COAXIAL_PLACES / 70
    low_end = s**2 / (s**2 + s / 0.8 + 1) / (1 + 1j * _COAXIAL_PLACES / 15_000)
    hump = response(biquad("peak", 160.0, 5.0, 3.0), _COAXIAL_PLACES)
    dull = response(biquad("peak", 5000.0, -4.0, 1.5), _COAXIAL_PLACES)
    # Linkwitz-Riley low and high of fourth order add up to an all-pass.
    joined = response(biquad("all-pass", 2500.0, q=0.5**0.5), _COAXIAL_PLACES)
    heard = low_end * hump * dull * joined
    turned = np.degrees(np.angle(heard))
    pasted = _as_pasted(decibels.level(heard), _COAXIAL_PLACES)
    return Curve(tuple(pasted["frequency"]), tuple(pasted["level"]), tuple(np.round(turned).tolist()))


COAXIAL = _coaxial()
DOOR_POINTS = [{"name": name, "curve": _as_pasted(_door(*heard))} for name, heard in _POINTS.items()]
DOOR_BEFORE = _as_pasted(_door(*_POINTS["Middle"]))
DOOR_AFTER = _as_pasted(
    _door(*_POINTS["Middle"]) + decibels.level(response(biquad("peak", 160.0, -5.0, 3.0), _PLACES)) + 2.0
)
"""The same door with its hump taken down by a filter, played 2 dB louder."""
