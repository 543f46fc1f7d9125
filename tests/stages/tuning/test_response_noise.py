"""What `response` says of noise that stands beside a band, of an offset, and of a quiet place."""

import numpy as np
import pytest

from calculators.vocabulary import measuring_faults
from tests.recordings import speaker
from tests.stages.tuning.test_response import SUBWOOFER, answered, kept, recorded


@pytest.mark.parametrize("frequency", [50.0, 100.0])
def test_hum_beside_a_band_counts_as_noise_in_it(frequency: float) -> None:
    """No level is further off than what is told to stand over noise allows; and a word is said."""
    rate, straight = 8000.0, recorded(SUBWOOFER, speaker(40, 80, 2, 4), 8000.0)
    hum = 0.3 * np.sin(2 * np.pi * frequency * np.arange(straight.size) / rate)
    clean = answered(kept(straight, rate), SUBWOOFER)
    noisy = answered(kept(straight + hum, rate), SUBWOOFER)
    levels = {row.nominal: row.level for row in clean.bands}
    for row in noisy.bands:
        within = 20 * np.log10(1 + 10 ** (-row.over_noise / 20))
        assert abs(row.level - levels[row.nominal]) <= within + 0.1, row.nominal
    assert clean.advice == ()
    assert any("nearly as loud as the sweep" in entry.message for entry in noisy.advice)


def test_a_constant_offset_is_no_noise() -> None:
    straight = 0.1 * recorded(SUBWOOFER, speaker(40, 80, 2, 4), 8000.0)
    found = answered(kept(straight + 0.9, 8000.0), SUBWOOFER)
    assert found.signal_to_noise == pytest.approx(60.0, abs=0.2)
    assert found.advice == ()
    assert measuring_faults.perfect(np.full(5000, 0.9), "wire")


def test_a_sweep_well_over_its_noise_gets_no_word() -> None:
    """15 dB of white noise under it: none of ten."""
    for seed in range(10):
        heard = recorded(SUBWOOFER, speaker(40, 80, 2, 4), 8000.0, noise=15.0, seed=seed)
        said = answered(kept(heard, 8000.0), SUBWOOFER).advice
        assert not any("nearly as loud" in entry.message for entry in said)
