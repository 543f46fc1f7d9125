"""Filters of many taps: against SciPy, the cookbook's own inverse, and an all-pass turned back in time."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import signal

from calculators.declaring.working import drain
from calculators.physics import fir_corrections
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.biquads import biquad
from calculators.physics.filters import response
from calculators.physics.fir_corrections import Wanted
from calculators.physics.impulse_responses import least_phase

RATE = 48e3
WANTED = Wanted(
    low=80.0, high=12e3, max_boost=6.0, max_cut=12.0, taps=4096, sample_rate=RATE, ring_time=2e-3,
    ring_level=40.0, mixed=False,
)  # fmt: skip
AT = 1000 * 2 ** (np.arange(-120, 97) / 24)
JOINED = biquad("all-pass", 2500.0, q=0.5**0.5, sample_rate=RATE)
HUMP = biquad("peak", 160.0, 5.0, 3.0, sample_rate=RATE)


def made(heard: ComplexArray, wanted: Wanted) -> tuple[fir_corrections.Measured, fir_corrections.Correction]:
    level, phase = 20 * np.log10(np.abs(heard)), np.degrees(np.angle(heard))
    speaker = drain(fir_corrections.measured(AT, level, phase, 1 / 24, wanted))
    return speaker, drain(fir_corrections.corrected(speaker, wanted))


def at(frequency: FloatArray, taps: FloatArray, late: float = 0.0) -> ComplexArray:
    """What taps do at frequencies, Hz, by SciPy, from so many samples on."""
    found = signal.freqz(taps, worN=frequency, fs=RATE)[1]
    return np.asarray(found * np.exp(2j * np.pi * frequency * late / RATE))


def test_least_phase_is_that_of_another_program() -> None:
    """SciPy's homomorphic method, of a linear-phase prototype that has the square of the level."""
    frequency = np.linspace(0, 1, 2049)
    level = 6 * np.exp(-(((frequency - 0.3) / 0.1) ** 2)) - 4 * frequency
    prototype = np.fft.fftshift(np.fft.irfft(10 ** (level / 20)))
    theirs = signal.minimum_phase(prototype[1:], method="homomorphic", n_fft=1 << 16, half=False)
    phase = np.unwrap(np.angle(signal.freqz(theirs, worN=np.pi * frequency)[1]))
    assert least_phase(level)[50:-50] == pytest.approx(phase[50:-50], abs=2e-3)


def test_a_hump_meets_the_cookbook_s_own_inverse() -> None:
    """Audio EQ Cookbook: a peak of −5 dB undoes one of 5 dB, in level and in phase."""
    _, found = made(response(HUMP, AT), WANTED)
    inside = np.geomspace(110, 8000, 200)
    ratio = at(inside, found.taps) / response(biquad("peak", 160.0, -5.0, 3.0, sample_rate=RATE), inside)
    ratio /= np.mean(np.abs(ratio))  # Corrections bring a level to its own mean.
    assert 20 * np.log10(np.abs(ratio)) == pytest.approx(0, abs=0.15)
    assert np.degrees(np.angle(ratio)) == pytest.approx(0, abs=2.5)
    assert (found.earlier, found.from_low) == (None, None)


@pytest.mark.parametrize(("taps", "size"), [(37, 32_768), (8192, 32_768), (8193, 65_536), (65_536, 262_144)])
def test_the_transform_is_of_a_power_of_two_and_four_times_the_taps(taps: int, size: int) -> None:
    """Others take many times as long in the page; shorter ones wrap the phase's ends round."""
    assert replace(WANTED, taps=taps).size == size


def test_what_it_says_of_itself_is_what_its_taps_do() -> None:
    wanted = replace(WANTED, mixed=True)
    _, found = made(response(HUMP, AT) * response(JOINED, AT), wanted)
    some = wanted.frequencies()[100:12_000:177]
    told = (10 ** (found.level / 20) * np.exp(1j * found.phase))[100:12_000:177]
    assert at(some, found.taps, wanted.lead) == pytest.approx(told, abs=1e-9)
    assert np.max(found.level) <= wanted.max_boost + 0.05
    early = np.abs(found.taps[: wanted.lead - wanted.held])
    assert found.earlier == pytest.approx(20 * np.log10(np.max(early) / np.max(np.abs(found.taps))))


def test_the_all_pass_of_a_crossover_is_undone_by_itself_turned_back_in_time() -> None:
    """Oppenheim and Schafer: an all-pass times itself reversed in time is one, so is the cascade here."""
    wanted = replace(WANTED, mixed=True, high=20e3, low=70.0)
    speaker, found = made(-response(JOINED, AT), wanted)
    assert speaker.reversed
    assert found.from_low == wanted.low
    inside = np.geomspace(200, 14_000, 200)
    both = at(inside, found.taps, wanted.lead) * response(JOINED, inside)
    # A delay that was fitted out of the phase is left in it.
    turned = np.unwrap(np.angle(both))
    slope, offset = np.polyfit(inside, turned, 1)
    assert np.degrees(turned - slope * inside - offset) == pytest.approx(0, abs=3)
    assert 20 * np.log10(np.abs(both)) == pytest.approx(0, abs=0.05)


@pytest.mark.parametrize(("ring_time", "from_low"), [(8e-3, 80.0), (2e-3, None), (5e-4, None)])
def test_pre_ringing_keeps_its_bound_and_phase_is_given_up_for_it(
    ring_time: float, from_low: float | None
) -> None:
    """A narrow all-pass at 200 Hz rings for long before its peak, once undone."""
    wanted = replace(WANTED, mixed=True, ring_time=ring_time)
    _, found = made(response(biquad("all-pass", 200.0, q=2.0, sample_rate=RATE), AT), wanted)
    assert found.earlier is not None
    assert found.earlier <= -wanted.ring_level
    assert found.from_low == from_low or (from_low is None and (found.from_low or 1e9) > 300)


def test_a_correction_dies_away_over_a_third_of_an_octave_within_the_ends() -> None:
    """By hand: sin² of none, 45° and 90°; a band of half an octave has room for a quarter at either end."""
    sixth = 2 ** (1 / 6)
    ends = np.array([80.0, 80 * sixth, 80 * sixth**2, 12e3 / sixth**2, 12e3 / sixth, 12e3])
    assert WANTED.share(ends) == pytest.approx([0, 0.5, 1, 1, 0.5, 0], abs=1e-9)
    narrow = replace(WANTED, low=1000.0, high=1000 * 2**0.5)
    assert narrow.share(1000 * 2 ** np.array([0, 1 / 8, 1 / 4, 3 / 8, 1 / 2])) == pytest.approx(
        [0, 0.5, 1, 0.5, 0], abs=1e-9
    )


def test_a_dip_is_lifted_no_farther_than_allowed_and_nothing_is_done_outside_the_band() -> None:
    dip = biquad("peak", 1000.0, -20.0, 4.0, sample_rate=RATE)
    _, found = made(response(dip, AT), replace(WANTED, max_boost=3.0, low=400.0))
    assert 2.5 < np.max(found.level) <= 3.05
    outside = np.array([100.0, 250.0, 14e3])
    assert np.abs(at(outside, found.taps)) == pytest.approx(1, abs=0.02)


def test_refusals() -> None:
    speaker, _ = made(response(HUMP, AT), WANTED)
    with pytest.raises(ValueError, match="band"):
        drain(fir_corrections.corrected(speaker, replace(WANTED, low=13e3)))
    with pytest.raises(ValueError, match="taps"):
        drain(fir_corrections.corrected(speaker, replace(WANTED, taps=300, mixed=True)))
