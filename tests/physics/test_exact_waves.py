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
