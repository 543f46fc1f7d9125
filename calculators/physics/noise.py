"""Noise that is the same to the last bit in every Python: from counted whole numbers, not from a library."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.checking import require_positive
from calculators.physics.exact_waves import chance, sine_of_turns
from calculators.physics.in_parts import InParts

EULER = 0.5772156649015329
"""The constant of Euler and Mascheroni."""


def white_noise(count: int, seed: int) -> FloatArray:
    """White noise, amplitudes from -1 to below 1, evenly spread, RMS a ratio of 1/√3, shape (count,).

    count, seed: number, 0 or more, as in `chance`. Source: as in `chance`.
    """
    return np.asarray((chance(seed, 0, count) >> np.uint64(11)) * 2.0**-52 - 1.0, dtype=np.float64)


def pink_noise(count: int, seed: int, sample_rate: float, low: float = 20.0) -> InParts[FloatArray]:
    """Pink noise: the same power in every octave, amplitudes a ratio, RMS 1, shape (count,).

    It goes round and round without a seam.

    count, seed: number, as in `white_noise`. sample_rate: Hz. low: Hz, above 0, under which there is none.
    Raises ValueError where no frequency is left.
    Source: definition: power by frequency falls as 1/f.
    """
    frequency = np.fft.rfftfreq(count, 1 / sample_rate)
    kept = frequency >= low
    if not low > 0 or not np.any(kept):
        raise ValueError("pink noise needs frequencies above 0")
    white = white_noise(count, seed)
    yield
    spectrum = np.fft.rfft(white)
    yield
    spectrum[~kept] = 0.0
    spectrum[kept] /= np.sqrt(frequency[kept])
    yield
    noise = np.fft.irfft(spectrum, count)
    yield
    return np.asarray(noise / np.sqrt(np.mean(noise**2)), dtype=np.float64)


TAP_SCALE = 2.0**20
"""Taps of a band filter are whole numbers of up to so many."""
WHITE_MEAN, WHITE_VARIANCE = 16 * 255 / 2, 16 * (256**2 - 1) / 12
"""Of the sum of 16 bytes of chance: near enough to a bell curve for its peaks to be those of noise."""
CYCLES = 24
"""Cycles of its lowest frequency that a band filter is long."""
_EVEN_BYTES, _ALL_FOUR = np.uint64(0x00FF00FF00FF00FF), np.uint64(0x0001000100010001)
PART = 1 << 13
"""Samples that are made at once: a filter is taken in parts as long, so that a page listens in between."""


@dataclass(frozen=True)
class BandNoise:
    """Noise of a band, the same to the last bit everywhere, RMS a ratio of 1 over a long time.

    White noise in whole numbers goes through a filter whose taps are whole numbers: what the transforms of
    one machine round otherwise than those of another is rounded away again, so every sample is exact.

    taps: number, whole, one for each sample of the filter. seed: number, 0 or more.
    """

    taps: FloatArray
    seed: int

    @cached_property
    def gain(self) -> float:
        """Ratio that makes the RMS 1."""
        squares = int(np.sum(self.taps.astype(np.int64) ** 2))
        return 1 / math.sqrt(squares * WHITE_VARIANCE)

    def samples(self, start: int, count: int) -> FloatArray:
        """Samples (a ratio) from a place on; start, count: number.

        Source: convolution part by part (overlap-save; Oppenheim and Schafer, Discrete-Time Signal
        Processing).
        """
        first = start // PART
        parts = [self._part(number) for number in range(first, (start + count - 1) // PART + 1)]
        made = np.concatenate(parts)[start - first * PART :][:count]
        return np.asarray(made * self.gain, dtype=np.float64)

    def _part(self, number: int) -> FloatArray:
        """One part of the samples, in whole numbers."""
        filters, heard = self._filters, self._heard
        needed = range(number, number + len(filters))
        for place in [place for place in heard if place not in needed]:
            del heard[place]
        for place in needed:
            if place not in heard:
                heard[place] = np.fft.rfft(np.concatenate([self._white(place), self._white(place + 1)]))
        total = np.zeros(PART + 1, dtype=np.complex128)
        for place, share in zip(reversed(needed), filters, strict=True):
            total += share * heard[place]
        return np.asarray(np.rint(np.fft.irfft(total, 2 * PART)[PART - 1 : -1]), dtype=np.float64)

    def _white(self, number: int) -> FloatArray:
        """One part of the noise before its filter; the last one made stays at hand: it is asked for again."""
        if number not in self._made:
            self._made.clear()
            self._made[number] = self._white_anew(number)
        return self._made[number]

    def _white_anew(self, number: int) -> FloatArray:
        white = np.full(PART, -WHITE_MEAN, dtype=np.float64)
        for stream in (2 * self.seed, 2 * self.seed + 1):
            numbers = chance(stream, number * PART, PART)
            # Bytes two by two, then the four sums by one multiplication into the top one.
            pairs = (numbers & _EVEN_BYTES) + ((numbers >> np.uint64(8)) & _EVEN_BYTES)
            white += (pairs * _ALL_FOUR) >> np.uint64(48)
        return white

    @cached_property
    def _filters(self) -> tuple[ComplexArray, ...]:
        """The spectrum of each part of the filter."""
        # A filter shorter than a part begins later in it: the last of its taps stays the last.
        taps = np.pad(self.taps, (-self.taps.size % PART, 0))
        return tuple(np.fft.rfft(part, 2 * PART) for part in taps.reshape(-1, PART))

    @cached_property
    def _made(self) -> dict[int, FloatArray]:
        """The part of the white noise that was made last."""
        return {}

    @cached_property
    def _heard(self) -> dict[int, ComplexArray]:
        """Spectra of the white noise, two parts long, of the parts that the next samples still need."""
        return {}


def band_noise(low: float, high: float, sample_rate: float, pink: bool, seed: int) -> BandNoise:
    """Noise between two frequencies, Hz: pink (the same power in every octave) or white (in every hertz).

    low, high, sample_rate: Hz, 0 < low < high < half the sample rate. pink: whether its power falls as 1/f.
    seed: number, 0 or more.
    Raises ValueError for other frequencies.
    Source: frequency sampling with a raised-cosine window (Oppenheim and Schafer, Discrete-Time Signal
    Processing).
    """
    if not 0 < low < high < sample_rate / 2:
        raise ValueError("a band must lie between 0 and half the sample rate")
    size = 1 << math.ceil(math.log2(CYCLES * sample_rate / low))
    frequency = np.fft.rfftfreq(size, 1 / sample_rate)
    wanted = np.where((frequency >= low) & (frequency <= high), 1.0, 0.0)
    if pink:
        wanted /= np.sqrt(np.maximum(frequency, low))
    # A band narrower than what the filter resolves still gets its middle.
    if not np.any(wanted):
        wanted[round((low + high) / 2 / sample_rate * size)] = 1.0
    # Both halves of the window are alike, to the last bit.
    half = sine_of_turns((np.arange(size // 2) + 0.5) / (2 * size)) ** 2
    shape = np.roll(np.fft.irfft(wanted, size), size // 2) * np.concatenate([half, half[::-1]])
    return BandNoise(np.asarray(np.rint(shape * (TAP_SCALE / np.max(np.abs(shape)))), dtype=np.float64), seed)


def crest_expected(low: float, high: float, duration: float, pink: bool) -> float:
    """How far, dB, the highest peak of a band of noise stands over its RMS, on average.

    low, high: Hz, 0 < low < high. duration: s, above 0. pink: whether its power falls as 1/f.
    Raises ValueError for a band or a duration that is none.
    Source: Rice, Bell System Technical Journal 24 (1945) 46, for how often a level is passed; Cartwright and
    Longuet-Higgins, Proc. R. Soc. A 237 (1956) 212, for the highest of so many.
    """
    if not 0 < low < high or not duration > 0:
        raise ValueError("a crest needs a band and a duration")
    square = (
        (high**2 - low**2) / (2 * math.log(high / low)) if pink else (high**3 - low**3) / (3 * (high - low))
    )
    passes = max(2 * math.sqrt(square) * duration, 2.0)
    most = math.sqrt(2 * math.log(passes))
    return 20 * math.log10(most + EULER / most)


def effective_bandwidth(low: float, high: float, pink: bool) -> float:
    """Width, Hz, of the even noise whose level scatters as much as this one's does.

    low, high: Hz, 0 < low < high. pink: whether its power falls as 1/f; then it is
    (ln(high/low))²/(1/low − 1/high).
    Raises ValueError for a band that is none.
    Source: (∫G df)²/∫G² df, Bendat and Piersol, Random Data; from memory.
    """
    if not 0 < low < high:
        raise ValueError("a bandwidth needs a band")
    return math.log(high / low) ** 2 / (1 / low - 1 / high) if pink else high - low


def level_scatter(bandwidth: float, duration: float) -> float:
    """Standard deviation, dB, of the level of noise heard for so long: 4.34/√(B·T).

    bandwidth: Hz, duration: s, above 0. Raises ValueError at or below 0.
    Source: Bendat and Piersol, Random Data, on the error of a mean square; from memory.
    """
    require_positive(bandwidth=bandwidth, duration=duration)
    return 10 / math.log(10) / math.sqrt(bandwidth * duration)
