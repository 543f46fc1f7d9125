"""What tells one speaker's recording from another's, by levels and arrivals written down by hand."""

import numpy as np
import pytest

from calculators.physics.arrays import FloatArray
from calculators.physics.bands import exact_third_octaves
from calculators.physics.mixed_up_speakers import (
    apart,
    arrives_like,
    is_no_woofer,
    louder_outside,
    played,
    sounds_like,
)

THIRDS = exact_third_octaves()


def band(low: float, high: float, level: float = 0.0) -> FloatArray:
    """Flat over third octaves between two nominal frequencies, 20 dB less beyond: as `played` gives it."""
    inside = np.abs(np.log(THIRDS / np.sqrt(low * high))) < np.log(high / low) / 2 + 0.1
    return np.where(inside, level, level - 20.0)


TWEETER, WOOFER, SUBWOOFER = band(3000, 20_000), band(80, 3000), band(20, 80)


def test_what_is_20_db_down_or_was_not_measured_does_not_play() -> None:
    levels = played([100.0, 200.0, 400.0], [-3.0, 0.0, -3.0])
    assert np.count_nonzero(levels > np.min(levels)) == 7  # 100 to 400 Hz in thirds of an octave.
    assert np.min(levels) == pytest.approx(np.max(levels) - 20)


def test_recordings_are_apart_by_the_bands_in_which_either_plays() -> None:
    """Bands that both play, 3 dB apart; then three thirds of an octave in eight that one plays alone."""
    assert apart(band(100, 500), band(100, 500, 3.0)[np.newaxis]) == pytest.approx([3.0])
    one, other = band(100, 500), band(200, 500)  # 100, 125 and 160 Hz of eight.
    assert apart(one, other[np.newaxis]) == pytest.approx([20 * np.sqrt(3 / 8)])


@pytest.mark.parametrize(
    ("own", "like"),
    [([TWEETER], 1), ([TWEETER, WOOFER], None), ([band(80, 3000, 4.0)], None), ([], None)],
    ids=["another", "one of its own", "near its own", "first of its name"],
)
def test_a_recording_is_anothers_only_if_far_from_all_of_its_own(
    own: list[FloatArray], like: int | None
) -> None:
    others = np.stack([*own, WOOFER, SUBWOOFER])
    assert sounds_like(WOOFER, 0, others, [*[0] * len(own), 1, 2]) == like


def test_a_recording_that_is_far_from_everything_is_nobodys() -> None:
    assert sounds_like(band(300, 500), 0, np.stack([TWEETER, SUBWOOFER]), [0, 1]) is None


@pytest.mark.parametrize(
    ("levels", "high_pass", "low_pass", "outside"),
    [
        (WOOFER, 3000.0, np.inf, True),
        (TWEETER, 80.0, 3000.0, True),
        (WOOFER, 0.0, 80.0, True),
        (SUBWOOFER, 80.0, 3000.0, True),
        (TWEETER, 3000.0, np.inf, False),
        (WOOFER, 80.0, 3000.0, False),
        (SUBWOOFER, 0.0, 80.0, False),
        (WOOFER, 0.0, np.inf, False),
    ],
)
def test_what_is_louder_beyond_crossovers_than_between_them(
    levels: FloatArray, high_pass: float, low_pass: float, outside: bool
) -> None:
    assert louder_outside(10 ** (levels / 10), THIRDS, high_pass, low_pass) is outside


@pytest.mark.parametrize(
    ("levels", "high_pass", "no_woofer"),
    [
        (TWEETER, 80.0, True),
        (TWEETER, 500.0, True),
        (TWEETER, 501.0, False),
        (band(1000, 8000), 0.0, True),
        (band(800, 8000), 0.0, False),
    ],
)
def test_a_woofer_plays_something_under_1_khz(levels: FloatArray, high_pass: float, no_woofer: bool) -> None:
    assert is_no_woofer(levels, high_pass) is no_woofer


@pytest.mark.parametrize(
    ("arrival", "own", "other", "like"),
    [
        (0.0020, [(0.0010, 0.0)], [(0.0020, 0.0)], 0),
        (0.0010, [(0.0010, 0.0)], [(0.0020, 0.0)], None),  # It is its own.
        (0.0020, [(0.0010, 0.0)], [], None),
        (0.0020, [], [(0.0020, 0.0)], None),
        (0.0020, [(0.0010, 0.0)], [(0.0030, 0.0)], None),  # Neither's.
        (0.0020, [(0.0010, 0.0), (0.0019, 0.1)], [(0.0020, 0.0)], None),  # 0.1 m explain 0.58 ms.
        (0.0011, [(0.0010, 0.0)], [(0.0011, 0.0)], None),  # Within what an arrival may be out.
        (0.00125, [(0.00110, 0.0)], [(0.00132, 0.0)], None),  # 0.22 ms from each other: not to be told.
    ],
)
def test_an_arrival_is_anothers_only_if_no_move_of_the_microphone_explains_it(
    arrival: float, own: list[tuple[float, float]], other: list[tuple[float, float]], like: int | None
) -> None:
    assert arrives_like(arrival, 0.0, own, [other]) == like


def test_an_arrival_that_two_others_have_is_neithers() -> None:
    assert arrives_like(0.002, 0.0, [(0.001, 0.0)], [[(0.002, 0.0)], [(0.00205, 0.0)]]) is None
