"""Bands against ISO 266 and IEC 61260-1."""

import numpy as np
import pytest

from calculators.physics import bands
from tests.third_octaves import ROWS

TABLE = np.array(ROWS)


def test_nominal_frequencies_of_iso_266() -> None:
    assert list(bands.NOMINAL_THIRD_OCTAVES) == list(TABLE[:, 0])


def test_exact_frequencies_and_edges_of_iec_61260_1() -> None:
    np.testing.assert_allclose(bands.exact_third_octaves(), TABLE[:, 1], atol=5.1e-4)
    np.testing.assert_allclose(bands.third_octave_edges(), TABLE[:, 2:4], atol=5.1e-4)


def test_neighbouring_bands_meet() -> None:
    edges = bands.third_octave_edges()
    np.testing.assert_allclose(edges[1:, 0], edges[:-1, 1], rtol=1e-12)


def test_octave_edges_of_base_ten() -> None:
    # IEC 61260-1:2014: the octave of 1 kHz is the three third octaves around it.
    edges = bands.third_octave_edges()
    assert edges[16, 0] == pytest.approx(707.946, abs=1e-3)
    assert edges[18, 1] == pytest.approx(1412.538, abs=1e-3)


# ISO 16:1975: A4 is 440 Hz. The keys of a piano: A0 27.5 Hz, middle C 261.626 Hz, C8 4186.01 Hz. Half a step
# over A4 stands 440·2^(1/24) = 452.893 Hz.
@pytest.mark.parametrize(
    ("frequency", "name"),
    [
        (440, "A4"), (27.5, "A0"), (261.626, "C4"), (4186.01, "C8"),
        (41.2, "E1"), (466.164, "B♭4"), (452.8, "A4"), (453.0, "B♭4"),
    ],
)  # fmt: skip
def test_nearest_note(frequency: float, name: str) -> None:
    assert bands.nearest_note(frequency) == name


def test_no_note_below_nothing() -> None:
    with pytest.raises(ValueError, match="above 0"):
        bands.nearest_note(0)
