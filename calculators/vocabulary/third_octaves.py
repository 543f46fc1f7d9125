"""Equalisers of 31 bands: their usual width, and all sliders at rest."""

from calculators.physics import bands

SLIDER_Q = round(bands.THIRD_OCTAVE_Q, 2)
"""One third of an octave wide, as processors print it: 4.33."""

NO_GAINS = (0.0,) * len(bands.NOMINAL_THIRD_OCTAVES)
