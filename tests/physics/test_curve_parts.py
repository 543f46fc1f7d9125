"""Curves taken apart: means over a width, ends of a band, dips, spread."""

import numpy as np
import pytest

from calculators.physics import curve_parts
from calculators.physics.biquads import biquad
from calculators.physics.decibels import level
from calculators.physics.filters import crossover_filter, response

PLACES = curve_parts.even_places(20.0, 20e3)


def test_places_are_even_and_end_in_the_band() -> None:
    assert PLACES[0] == 20.0
    assert PLACES[-1] <= 20e3 < PLACES[-1] * 2 ** (1 / 24)
    assert np.allclose(PLACES[1:] / PLACES[:-1], 2 ** (1 / 24), rtol=1e-12)
    with pytest.raises(ValueError, match="below high"):
        curve_parts.even_places(100.0, 100.0)


def test_mean_of_a_straight_line_is_the_line() -> None:
    """Inside; sparse or dense."""
    for count in (3, 5000):
        own = np.geomspace(10, 40e3, count)
        found = curve_parts.averaged(PLACES, own, 3 * np.log2(own / 1000))
        assert np.allclose(found, 3 * np.log2(PLACES / 1000), atol=1e-9)


def test_mean_of_a_ripple_is_its_mean() -> None:
    own = np.geomspace(10, 40e3, 60_000)
    assert np.max(np.abs(curve_parts.averaged(PLACES, own, np.sin(2 * np.pi * 24 * 7 * np.log2(own))))) < 0.01


def test_band_ends_at_the_minus_10_db_points() -> None:
    """Of a Butterworth high-pass of order 4 at 60 Hz that is 60·(10 - 1)^(-1/8), by its formula."""
    levels = level(response(crossover_filter("high-pass", "butterworth", 4, 60.0), PLACES))
    first, last = curve_parts.playing_band(levels)
    assert PLACES[first] == pytest.approx(60 * 9 ** (-1 / 8), rel=0.03)
    assert last == len(PLACES) - 1


@pytest.mark.parametrize(("low", "high"), [(20.0, 3000.0), (3000.0, 20e3)])
def test_band_of_half_a_feed(low: float, high: float) -> None:
    side = "low-pass" if low == 20.0 else "high-pass"
    levels = level(response(crossover_filter(side, "linkwitz-riley", 4, 3000.0), PLACES))
    first, last = curve_parts.playing_band(levels)
    edge = PLACES[last] if side == "low-pass" else PLACES[first]
    assert 0.7 < edge / 3000 < 1.45


def test_a_boosted_bass_does_not_hide_the_treble() -> None:
    levels = np.where(PLACES < 120, 14.0, 0.0)
    assert curve_parts.playing_band(levels) == (0, len(PLACES) - 1)


def test_a_dip_is_found_with_its_place_and_depth() -> None:
    levels = level(response(biquad("peak", 1000.0, -12.0, 6.0), PLACES)) + 2 * np.log2(PLACES / 1000)
    (dip,) = curve_parts.dips(levels, 3.0)
    assert PLACES[dip.lowest] == pytest.approx(1000, rel=0.05)
    assert 9 < dip.depth < 12.5
    assert dip.width == pytest.approx(0.24, abs=0.06)
    assert np.all(curve_parts.bridged(levels) >= levels - 1e-12)


def test_what_is_wider_than_an_octave_is_no_dip() -> None:
    assert curve_parts.dips(np.where((PLACES > 200) & (PLACES < 900), -8.0, 0.0), 1.0) == ()
    assert curve_parts.dips(-3 * np.abs(np.log2(PLACES / 1000)), 0.6) == ()


def test_spread_leaves_the_level_of_each_point_aside() -> None:
    wave = np.sin(np.log(PLACES))
    wave -= np.mean(wave)
    points = np.stack([wave, wave + 6, wave - 3])
    assert np.allclose(curve_parts.spread(points), 0, atol=1e-12)
    assert np.allclose(curve_parts.spread(np.stack([wave, -wave])), np.sqrt(2) * np.abs(wave))
    with pytest.raises(ValueError, match="two points"):
        curve_parts.spread(wave[np.newaxis])


def test_power_mean() -> None:
    """Of 0 and 20 dB: 10·log10((1 + 100)/2)."""
    assert curve_parts.power_mean([[0.0], [20.0]])[0] == pytest.approx(10 * np.log10(50.5))


def test_what_moved_is_told_after_the_shift() -> None:
    before = np.zeros_like(PLACES)
    after = 4.0 + np.where(PLACES < 100, 3.0, 0.0)
    apart, most = curve_parts.moved(PLACES, before, after, 1.0)
    assert most.most == pytest.approx(3.0)
    assert (most.low, PLACES[most.high] < 100) == (0, True)
    assert np.allclose(apart[PLACES > 100], 0)
    assert curve_parts.moved(PLACES, before, before + 1, 1.0)[1].low == -1


def test_two_curves_are_shifted_by_what_they_differ_by_from_300_hz_to_3_khz_both_ends_among_them() -> None:
    for frequency in ([300.0, 4000.0, 8000.0], [100.0, 200.0, 3000.0]):
        before, after = np.zeros(3), np.array([1.0, 5.0, 9.0])
        apart, _ = curve_parts.moved(np.array(frequency), before, after, 1.0)
        inside = 0 if frequency[0] == 300 else 2
        assert apart == pytest.approx(after - after[inside])


def test_a_dip_reaches_as_far_as_its_depth_goes_on_falling() -> None:
    """To its least depth on either side, and not into what is no dip any more."""
    depth = np.array([0.0, 0.2, 0.6, 3.0, 0.7, 0.3, 0.4])
    assert curve_parts.around(depth, 3, 3) == slice(1, 6)
