"""Sines and powers of e without a library's, against the library's."""

import numpy as np

from calculators.physics import exact_waves


def test_the_sine_is_the_sine() -> None:
    turns = np.concatenate([np.random.default_rng(2).uniform(-3, 3, 20_000), np.arange(-8, 9) / 8])
    np.testing.assert_allclose(
        exact_waves.sine_of_turns(turns), np.sin(2 * np.pi * (turns - np.rint(turns))), rtol=0, atol=5e-16
    )
    assert exact_waves.sine_of_turns(np.array([0.25, 0.5, -0.25, 7.0])).tolist() == [1, 0, -1, 0]


def test_the_power_is_the_power() -> None:
    x = np.linspace(-20, 20, 4001)
    np.testing.assert_allclose(exact_waves.power_of_e(x), np.exp(x), rtol=2e-15)
    assert exact_waves.power_of_e(np.array([0.0])).tolist() == [1]


def test_chance_is_even_and_its_own_for_each_seed() -> None:
    """The constants and the order of SplitMix64, in Python's own whole numbers."""
    numbers = exact_waves.chance(3, 0, 50_000)
    state = (3 * 0xD1342543DE82EF95 + 6 * 0x9E3779B97F4A7C15) % 2**64
    mixed = (state ^ (state >> 30)) * 0xBF58476D1CE4E5B9 % 2**64
    mixed = (mixed ^ (mixed >> 27)) * 0x94D049BB133111EB % 2**64
    assert int(numbers[5]) == mixed ^ (mixed >> 31)
    assert exact_waves.chance(3, 100, 10).tolist() == numbers[100:110].tolist()
    counts = np.bincount((numbers >> np.uint64(60)).astype(np.int64), minlength=16)
    assert np.max(np.abs(counts - 3125)) < 5 * np.sqrt(3125)
    assert np.count_nonzero(numbers == exact_waves.chance(4, 0, 50_000)) == 0
