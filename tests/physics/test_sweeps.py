"""The measuring signal against its formulas, and its parts against one another."""

import numpy as np
import pytest

from calculators.physics import sweeps
from calculators.physics.sweeps import Signal, checked_sweep

SWEEP = checked_sweep(20.0, 20_000.0, 5.0)


def test_its_numbers_are_those_of_the_formula() -> None:
    """Novak, Lotton and Simon 2015: 20 Hz to 20 kHz in 5 s."""
    assert pytest.approx(0.7, rel=1e-12) == SWEEP.rate
    assert pytest.approx(4.83543, abs=1e-5) == SWEEP.length
    assert sweeps.harmonic_lead(SWEEP, 2) == pytest.approx(0.7 * np.log(2), rel=1e-12)


def test_it_passes_each_frequency_when_it_should() -> None:
    made = sweeps.samples(SWEEP, 48_000.0)
    time = np.arange(made.size) / 48_000
    middle = (time > 0.5) & (time < 4.5)
    wanted = np.sin(2 * np.pi * 14 * np.exp(time / 0.7))
    np.testing.assert_allclose(made[middle], wanted[middle], atol=1e-8)


def test_a_harmonic_of_it_is_the_sweep_later() -> None:
    """Synchronised: twice the phase now is the phase L ln 2 later."""
    time = np.arange(48_000) / 48_000
    twice = np.sin(2 * 2 * np.pi * SWEEP.turns_before * np.exp(time / SWEEP.rate))
    later = np.sin(2 * np.pi * SWEEP.turns_before * np.exp((time + SWEEP.rate * np.log(2)) / SWEEP.rate))
    np.testing.assert_allclose(twice, later, atol=1e-10)


def test_its_spectrum_falls_by_ten_decibels_a_decade() -> None:
    """Farina 2000; Müller and Massarani 2001: -10.000 dB a decade, ML-09 within 0.1 dB away from the ends."""
    power = np.abs(np.fft.rfft(sweeps.samples(SWEEP, 48_000.0), 1 << 18)) ** 2
    frequency = np.fft.rfftfreq(1 << 18, 1 / 48_000)
    at = [
        10 * np.log10(np.mean(power[(frequency > f / 1.1) & (frequency < f * 1.1)]))
        for f in (100, 1000, 10_000)
    ]
    assert np.diff(at) == pytest.approx([-10, -10], abs=0.1)


def test_a_falling_one_is_the_rising_one_from_behind() -> None:
    falling = checked_sweep(20.0, 20_000.0, 5.0, falling=True)
    rising = sweeps.samples(SWEEP, 48_000.0)
    found = sweeps.samples(falling, 48_000.0)
    early = np.abs(np.fft.rfft(found[:4800]))
    assert np.argmax(early) > 1000  # High first.
    assert np.sum(found**2) == pytest.approx(np.sum(rising**2), rel=1e-6)


@pytest.mark.parametrize("rate", [44_100.0, 48_000.0, 96_000.0])
def test_the_second_sweep_is_half_the_first_to_the_sample(rate: float) -> None:
    signal = Signal(checked_sweep(500.0, 10_000.0, 0.7), lead=0.5, gap=0.4)
    whole = sweeps.signal_samples(signal, 0, rate, 0, round(signal.length * rate))
    play, frames = signal.play(0), signal.sweep.frames(rate)
    first, second = (whole[round(at * rate) :][:frames] for at in (play.first, play.second))
    assert (0.5 * first).tolist() == second.tolist()
    assert play.first * rate == pytest.approx(round(play.first * rate), abs=1e-6)
    parts = [sweeps.signal_samples(signal, 0, rate, start, 10_000) for start in range(0, whole.size, 10_000)]
    assert np.concatenate(parts)[: whole.size].tolist() == whole.tolist()
    loud, soft = (
        whole[round(at * rate) :][: signal.marker.frames(rate)] for at in (play.loud[1], play.soft[1])
    )
    assert (0.25 * loud).tolist() == soft.tolist()


def test_two_plays_stand_apart_and_none_has_markers_if_not_asked() -> None:
    signal = Signal(checked_sweep(500.0, 10_000.0, 0.7), 0.5, 0.4, plays=2, markers=False)
    assert signal.play(0).loud == ()
    assert signal.play(1).first - signal.play(0).first == pytest.approx(2 * signal.spacing)
    assert signal.length == pytest.approx(0.5 + 4 * signal.spacing)


def test_too_small_a_band_is_refused() -> None:
    with pytest.raises(ValueError, match="two thirds"):
        checked_sweep(100.0, 150.0, 1.0)
    with pytest.raises(ValueError, match="low"):
        checked_sweep(0.0, 150.0, 1.0)


def test_it_is_whole_in_the_middle_and_fades_in_and_out_by_a_raised_sine() -> None:
    """sin² of 0, 22.5, 45 and 90 degrees, by the quarters of a fade, at either end."""
    shares = np.array([0.0, 0.25, 0.5, 1.0])
    octaves = shares * sweeps.FADE_OCTAVES
    for at in (SWEEP.low * 2**octaves, SWEEP.high / 2**octaves):
        wanted = [0.0, 0.146447, 0.5, 1.0]
        np.testing.assert_allclose(sweeps.envelope(SWEEP, at), wanted, atol=1e-6)
    assert sweeps.envelope(SWEEP, np.array([1000.0])) == pytest.approx([1.0])
