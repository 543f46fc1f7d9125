"""What is wrong with a recording before anything is read from it, by samples written down."""

import numpy as np

from calculators.physics.recording_faults import clipped_peaks


def test_a_recording_that_begins_at_its_top_and_falls_slowly_is_not_clipped() -> None:
    """Three equal samples at the very beginning, before which there is nothing to jump from."""
    falling = 1 - np.linspace(0, 1, 200_000)
    assert clipped_peaks(np.concatenate([[1.0, 1.0], falling]), 0.0) == 0


def test_a_jump_to_the_top_is_a_clipped_peak_however_it_goes_on() -> None:
    """With the recording's end, or with a fall of half a step of 16 bits a sample."""
    cut, falling = np.array([0.0, 0.5, 1.0, 1.0, 1.0]), 1 - np.arange(1, 9) * 2.0**-16
    assert clipped_peaks(cut, 0.0) == 1
    assert clipped_peaks(np.concatenate([cut, falling]), 0.0) == 1
