"""What a processor's filters and delays can be set to, as its manual has it: asked alike everywhere."""

from calculators.declaring import Number
from calculators.declaring.quantities import LEVEL, RATIO, TIME

Q_FROM = Number("Lowest Q", RATIO, 0.3, 5, usual=(0.3, 1), seldom=True)
Q_TO = Number("Highest Q", RATIO, 0.7, 20, usual=(4, 10), seldom=True)
STEP_OF_GAIN = Number("Step of gain", LEVEL, 0.05, 1, seldom=True)
STEP_OF_Q = Number("Step of Q", RATIO, 0.01, 0.5, seldom=True)
STEP_OF_DELAY = Number("Step of delay", TIME, 1e-6, 1e-3, show="ms", usual=(5e-6, 1e-4), seldom=True)
DELAY_TO_SET = 0.02
"""s, that a processor is taken to set at most where nobody says otherwise. Common practice, no source."""
