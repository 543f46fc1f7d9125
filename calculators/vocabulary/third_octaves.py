"""Equalisers of 31 bands: their usual width, and all sliders at rest."""

from calculators.physics import bands

THIRD_OCTAVE_Q = 4.33


# The sliders' names; the filters stand at the exact centres.
NOMINAL = bands.NOMINAL_THIRD_OCTAVES


NO_GAINS = (0.0,) * len(NOMINAL)
