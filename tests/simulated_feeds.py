"""Feeds of factory units, simulated; invented."""

import numpy as np

from calculators.physics.arrays import ComplexArray
from calculators.physics.biquads import biquad
from calculators.physics.filters import crossover_filter, response

AT = np.asarray(20 * 2 ** (np.arange(0, 48 * 10) / 48))


def noisy(rng: np.random.Generator, gain: ComplexArray, over_noise: float) -> ComplexArray:
    """With noise so many dB under the top of the gain."""
    own = rng.normal(size=gain.size) + 1j * rng.normal(size=gain.size)
    return np.asarray(gain + own * np.max(np.abs(gain)) * 10 ** (-over_noise / 20) / np.sqrt(2))


def feed(rng: np.random.Generator, with_all_pass: bool) -> ComplexArray:
    """A simulated feed: slopes, some equaliser, a delay, a polarity; by FIR of linear phase now and then."""
    corner = rng.uniform(2000, 5000)
    slope = crossover_filter("low-pass", "linkwitz-riley", int(rng.choice([2, 4])), corner)
    ends = response(crossover_filter("high-pass", "butterworth", 2, rng.uniform(15, 40)), AT)
    tone = response(biquad("low-shelf", rng.uniform(60, 150), rng.uniform(-3, 7), 0.7), AT)
    tone = tone * response(
        biquad("peak", rng.uniform(200, 2000), rng.uniform(-4, 4), rng.uniform(0.7, 2)), AT
    )
    if rng.random() < 0.3:
        tone = np.abs(tone) + 0j
    gain = ends * tone * response(slope, AT)
    if with_all_pass:
        centre, q = np.exp(rng.uniform(np.log(100), np.log(1200))), rng.uniform(0.5, 2)
        gain = gain * response(biquad("all-pass", centre, 0.0, q), AT)
    delay, sign = rng.uniform(-1e-3, 1e-3), rng.choice([-1, 1])
    return noisy(rng, sign * gain * np.exp(-2j * np.pi * AT * delay), 50)
