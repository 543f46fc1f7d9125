"""Filters of many taps (FIR) that correct one speaker: its level, and its phase with bounded pre-ringing."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from calculators.physics.arrays import FloatArray
from calculators.physics.curve_means import band_levels, octave_edges
from calculators.physics.impulse_responses import least_phase, minimum_phase
from calculators.physics.in_parts import InParts

DIES_OVER = 1 / 3
"""Octaves within either end of the band, over which a correction dies away."""
FADE_SHARE = 0.25
"""Part of the taps behind the peak over which they are faded out."""
LEAST_SIZE = 32_768
FAINTEST_TAKEN = -120.0
"""dB: under it a level is taken for this."""
PLACES_PER_OCTAVE = 24
LOWEST_CORRECTED = 5.0
"""Hz: what a curve says beneath is not looked at."""
STEP_OCTAVES = 1 / 3
"""Octaves by which the phase is left alone from farther up, until the bound on pre-ringing is kept."""
NEAR_A_TURN = math.pi / 3
"""rad from a whole turn, within which the excess phase must be where its taking out begins."""
NEAR_A_HALF_TURN = math.pi / 4
"""rad from a whole number of half turns, within which the lowest of a curve tells the polarity."""
TELLS_POLARITY = 1.0
"""Octaves at the low end of a curve over which it must."""


@dataclass(frozen=True, eq=False)
class Measured:
    """A speaker as it was measured, its flight time taken out.

    places: Hz, rising evenly by ratio. level: dB. excess: rad, its phase beyond that of the system of least
    delay that has these levels, without what a delay or a turned polarity does: a whole number of turns at
    the top of the band. reversed: whether its polarity is turned; None where the curve does not tell it.
    """

    places: FloatArray
    level: FloatArray
    excess: FloatArray
    reversed: bool | None


@dataclass(frozen=True)
class Wanted:
    """What a correction may do.

    low, high: Hz, its band. max_boost, max_cut: dB, 0 or more. taps: number. sample_rate: Hz. ring_time: s
    and ring_level: dB: what comes earlier before the filter's peak lies so far under it; what comes twice as
    early is nothing at all. mixed: whether phase is corrected at all.
    """

    low: float
    high: float
    max_boost: float
    max_cut: float
    taps: int
    sample_rate: float
    ring_time: float
    ring_level: float
    mixed: bool

    @property
    def held(self) -> int:
        """Samples before the peak in which it may ring as it has to."""
        return round(self.ring_time * self.sample_rate) if self.mixed else 0

    @property
    def lead(self) -> int:
        """Samples from the first tap to the peak."""
        return 2 * self.held

    @property
    def size(self) -> int:
        """Samples of the transform in which the filter is made."""
        return int(max(LEAST_SIZE, 2 ** math.ceil(math.log2(4 * self.taps))))

    def frequencies(self) -> FloatArray:
        """Hz, from 0 to half the sample rate."""
        return np.fft.rfftfreq(self.size, 1 / self.sample_rate)

    def share(self, places: FloatArray) -> FloatArray:
        """How much of a correction is meant at places, Hz: all of it within the band, nothing outside."""
        inside = np.log2(np.maximum(places, 1e-9) / self.low), np.log2(self.high / np.maximum(places, 1e-9))
        part = np.clip(np.minimum(*inside) / min(DIES_OVER, math.log2(self.high / self.low) / 2), 0, 1)
        return np.asarray(np.sin(np.pi / 2 * part) ** 2, dtype=np.float64)


@dataclass(frozen=True, eq=False)
class Correction:
    """A filter that was found.

    taps: ratios, shape (n,). lead: number of taps before its peak. level: dB, and phase: rad, from its peak
    on, at `Wanted.frequencies`. from_low: Hz, from where on it takes the excess phase out; None where it
    leaves all of it. earlier: dB, the loudest before the time allowed, against its peak; None where nothing
    comes before the peak.
    """

    taps: FloatArray
    lead: int
    level: FloatArray
    phase: FloatArray
    from_low: float | None
    earlier: float | None


def measured(
    frequency: FloatArray, level: FloatArray, phase: FloatArray, octaves: float, wanted: Wanted
) -> InParts[Measured]:
    """A speaker from its curve, smoothed over a part of an octave; yields before and after its least phase.

    frequency: Hz, rising, the correction's band within. level: dB. phase: degrees. octaves: octaves.
    Source: mean power and mean excess phase over each part; Oppenheim and Schafer, Discrete-Time Signal
    Processing, for what least phase and all-pass are.
    """
    ends = (
        np.log2(np.clip(frequency[[0, -1]], LOWEST_CORRECTED, wanted.sample_rate / 2) / 1000)
        * PLACES_PER_OCTAVE
    )
    places = 1000 * 2 ** (
        np.arange(math.ceil(ends[0] - 1e-6), math.floor(ends[1] + 1e-6) + 1) / PLACES_PER_OCTAVE
    )
    smooth = band_levels(frequency, level, *octave_edges(places, octaves))
    own, at = np.log(frequency), np.log(places)
    grid = wanted.frequencies()
    on_grid = np.interp(np.log(np.maximum(grid, grid[1] / 2)), at, smooth)
    yield
    least = np.radians(minimum_phase(on_grid, grid, float(places[0]), float(places[-1])))
    yield
    excess = np.interp(at, own, np.unwrap(np.radians(phase % 360))) - np.interp(places, grid, least)
    # Flight time that was left in goes out first: what turns fast cannot be averaged at the curve's ends.
    excess -= 2 * math.pi * lead_of(excess, places, wanted.high) * places
    width = max(1, round(octaves * PLACES_PER_OCTAVE / 2))
    padded = np.pad(excess, width, mode="edge")
    excess = np.convolve(padded, np.full(2 * width + 1, 1 / (2 * width + 1)), mode="valid")
    excess -= 2 * math.pi * lead_of(excess, places, wanted.high) * places
    turns = _half_turns(excess, places)
    excess -= (turns or 0) * math.pi
    # The delay nearest to that of the top octave that leaves whole turns, which are none, at the band's top.
    top = int(np.flatnonzero(places <= wanted.high * (1 + 1e-9))[-1])
    over = math.remainder(round(float(excess[top]), 6), 2 * math.pi)
    rest = excess - over * places / places[top]
    return Measured(places, smooth, rest, None if turns is None else turns % 2 == 1)


def lead_of(phase: FloatArray, places: FloatArray, high: float) -> float:
    """The lead, s, that a phase means at the top octave of a band; below 0 if late.

    phase: rad, at places: Hz, rising, that octave within. high: Hz, the band's end.
    Source: definition, the slope of the phase; least squares.
    """
    top = (places >= high / 2 * (1 - 1e-9)) & (places <= high * (1 + 1e-9))
    about = places[top] - float(np.mean(places[top]))
    return float(about @ phase[top]) / float(about @ about) / (2 * math.pi)


def _half_turns(excess: FloatArray, places: FloatArray) -> int | None:
    """How many half turns a phase, rad, lies off at the low end of the curve; None where that tells none.

    Two octaves under the place where an all-pass turns, it has turned by less than 45°.
    """
    if places[-1] < places[0] * 2**TELLS_POLARITY:
        return None
    lowest = excess[places <= places[0] * 2**TELLS_POLARITY]
    turns = round(float(np.mean(lowest)) / math.pi)
    off = float(np.max(np.abs(lowest - turns * math.pi)))
    return turns if round(off, 6) <= NEAR_A_HALF_TURN else None


def wanted_gain(speaker: Measured, wanted: Wanted) -> FloatArray:
    """What brings the level to its own mean within the band, dB at the speaker's places, within the bounds.

    Source: definition; a bounded inverse, as Kirkeby and Nelson, J. Audio Eng. Soc. 47 (1999) 583, ask for.
    """
    share = wanted.share(speaker.places)
    mean = float(np.sum(share * speaker.level) / np.sum(share))
    return np.asarray(share * np.clip(mean - speaker.level, -wanted.max_cut, wanted.max_boost))


def corrected(speaker: Measured, wanted: Wanted) -> InParts[Correction]:
    """The filter: level whole, and as much of the excess phase as the bound on pre-ringing lets it.

    Where that is none of it, the filter has no lead either. Yields within and after each trial.
    Raises ValueError if the band is empty, or if so few taps cannot hold the lead and as much again.
    Source: level by least phase, excess phase by an all-pass turned back in time, cut to the lead; what the
    cut does to the level is given back by least phase. Neely and Allen, JASA 66 (1979) 165, for the parts.
    """
    if not wanted.low < wanted.high:
        raise ValueError("the band is empty")
    if wanted.taps < 2 * wanted.lead + 2:
        raise ValueError("too few taps for so long a lead")
    place, own = np.log(np.maximum(wanted.frequencies(), 1e-9)), np.log(speaker.places)
    gain = np.interp(place, own, wanted_gain(speaker, wanted), 0.0, 0.0)
    from_low = wanted.low
    # About the wrong half turn a phase is made worse: it is left alone where the curve does not tell which.
    while wanted.mixed and speaker.reversed is not None and from_low < wanted.high / 2:
        begins = float(np.interp(math.log(from_low), own, speaker.excess))
        if round(abs(math.remainder(begins, 2 * math.pi)), 6) <= NEAR_A_TURN:
            excess = np.interp(place, own, _taken_out(speaker, replace(wanted, low=from_low)))
            found = yield from _made(gain, excess, wanted, from_low)
            if found.earlier is None or round(found.earlier, 6) <= -wanted.ring_level:
                return found
        from_low *= 2**STEP_OCTAVES
    return (yield from _made(gain, np.zeros_like(gain), replace(wanted, mixed=False), None))


def loudest_of_first(taps: FloatArray, count: int) -> float:
    """The loudest of the first taps, dB against the largest of all.

    taps: ratio, in their order. count: number of those looked at, from the first on. Source: definition.
    """
    size = np.abs(taps)
    early = float(np.max(size[:count], initial=0.0)) / float(np.max(size))
    return max(20 * math.log10(early + 1e-30), FAINTEST_TAKEN)


def turned_by(found: Correction, wanted: Wanted, places: FloatArray) -> FloatArray:
    """Excess phase, rad, that a filter adds, counted from its peak on.

    places: Hz, above 0.
    Source: definition, phase less that of least delay with the same level.
    """
    over = np.angle(np.exp(1j * (found.phase - least_phase(found.level))))[1:]
    at = np.log(wanted.frequencies()[1:])
    return np.asarray(np.interp(np.log(places), at, np.unwrap(over)), dtype=np.float64)


def lateness(found: Correction, wanted: Wanted, places: FloatArray) -> float:
    """By how much, s, a filter that corrects phase makes the top octave of its band later, its lead included.

    places: Hz, rising, within the band.
    Source: definition, the slope of its excess phase there.
    """
    if not found.lead:
        return 0.0
    return found.lead / wanted.sample_rate - lead_of(turned_by(found, wanted, places), places, wanted.high)


def _taken_out(speaker: Measured, wanted: Wanted) -> FloatArray:
    """The excess phase within a band, rad, that goes over into whole turns, which are none, at its ends."""
    ends = np.interp(np.log([wanted.low, wanted.high]), np.log(speaker.places), speaker.excess)
    low, high = 2 * math.pi * np.round(ends / (2 * math.pi))
    turns = np.where(speaker.places < math.sqrt(wanted.low * wanted.high), low, high)
    return np.asarray(turns + wanted.share(speaker.places) * (speaker.excess - turns), dtype=np.float64)


def _made(
    gain: FloatArray, excess: FloatArray, wanted: Wanted, from_low: float | None
) -> InParts[Correction]:
    """The filter that takes out all of an excess phase that is given, rad, and gives a gain, dB."""
    size, lead, after = wanted.size, wanted.lead, wanted.taps - wanted.lead
    rise = np.sin(np.pi / 2 * (np.arange(lead - wanted.held) + 0.5) / max(lead - wanted.held, 1)) ** 2
    fading = max(1, round(FADE_SHARE * after))
    fall = np.cos(np.pi / 2 * (np.arange(fading) + 0.5) / fading) ** 2
    whole = np.ones(wanted.held + after - fading)
    # Cut before the peak, the all-pass is none any more: what it then does to the level is given back.
    turned = np.roll(np.fft.irfft(np.exp(-1j * excess), size), lead)
    turned[: lead - wanted.held] *= rise
    turned[wanted.taps :] = 0.0
    part = np.fft.rfft(np.roll(turned, -lead))
    yield
    rest = gain - np.maximum(20 * np.log10(np.abs(part) + 1e-30), FAINTEST_TAKEN)
    least = least_phase(rest)
    yield
    spectrum = part * 10 ** (rest / 20) * np.exp(1j * least)
    taps = np.roll(np.fft.irfft(spectrum, size), lead)[: wanted.taps]
    taps[lead - wanted.held :] *= np.concatenate([whole, fall])
    yield
    made = np.fft.rfft(taps, size) * np.exp(2j * np.pi * wanted.frequencies() * lead / wanted.sample_rate)
    return Correction(
        taps=np.asarray(taps, dtype=np.float64),
        lead=lead,
        level=20 * np.log10(np.abs(made) + 1e-30),
        phase=np.angle(made),
        from_low=from_low,
        earlier=loudest_of_first(taps, lead - wanted.held) if lead else None,
    )
