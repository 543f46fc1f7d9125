"""Crossover filters as cascades of second-order sections, analogue or digital."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculators.physics.arrays import ComplexArray, FloatArray, IndexArray, side_by_side

Family = Literal["butterworth", "linkwitz-riley", "bessel"]
Side = Literal["low-pass", "high-pass"]

ORDERS: dict[Family, tuple[int, ...]] = {
    "butterworth": (1, 2, 3, 4, 5, 6, 7, 8),
    "linkwitz-riley": (2, 4, 6, 8),
    "bessel": (1, 2, 3, 4, 5, 6, 7, 8),
}
"""Orders each family comes in; one order is 6 dB per octave."""
BESIDE_A_NULL = 1e-4
"""How far from a null, as a share of its frequency, its group delay is taken."""
LETS_NOTHING_THROUGH = 1e-12
"""Ratio, -240 dB: under it a section lets nothing through. At a notch's centre the rest is rounding alone."""


@dataclass(frozen=True, eq=False)
class Sections:
    """A filter as second-order sections in a row.

    numerator, denominator: shape (n, 3), one section per line. Analogue (sample_rate None):
    coefficients of s², s and 1, with s in rad/s. Digital: coefficients of 1, z⁻¹ and z⁻²,
    the first of each denominator being 1. A first-order section has a zero for s², or for z⁻².
    sample_rate: Hz, or None.
    sums: shape (n, 2), or None. Digital: numerator and denominator of each section added up, as
    they were before the coefficients were rounded. For a narrow filter deep in the bass of a fast
    sample rate that sum is all that matters, and rounding would shift the response by some 1e-9.
    """

    numerator: FloatArray
    denominator: FloatArray
    sample_rate: float | None = None
    sums: FloatArray | None = None

    @cached_property
    def columns(self) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """The three coefficients and their sum, each of shape (2, n): of numerators, of denominators."""
        both = np.array([self.numerator, self.denominator])
        total = np.sum(both, axis=2) if self.sums is None else self.sums.T
        return both[..., 0], both[..., 1], both[..., 2], np.asarray(total, dtype=np.float64)


def cascade(*filters: Sections) -> Sections:
    """The filters in a row as one. Raises ValueError if there is none or sample rates differ.

    Source: definition.
    """
    if not filters or len({each.sample_rate for each in filters}) != 1:
        raise ValueError("filters in a row need one sample rate")
    numerator = np.concatenate([each.numerator for each in filters])
    denominator = np.concatenate([each.denominator for each in filters])
    sums = np.concatenate([each.columns[3].T for each in filters])
    return Sections(numerator, denominator, filters[0].sample_rate, sums)


def raised(sections: Sections, gain: float) -> Sections:
    """The same filter, with its sections' factors raised by a gain, dB.

    gain: dB. Source: IEC 60027-3; definition.
    """
    times = np.ones(len(sections.numerator))
    times[0] = 10 ** (gain / 20)
    sums = None if sections.sums is None else sections.sums * np.stack([times, np.ones_like(times)], axis=1)
    return Sections(
        sections.numerator * times[:, np.newaxis], sections.denominator, sections.sample_rate, sums
    )


def section_responses(sections: Sections, frequency: ArrayLike) -> ComplexArray:
    """Complex gain, a ratio, of each section alone; the sections stand in front of the frequency's shape.

    frequency: Hz, any shape. Under `LETS_NOTHING_THROUGH` it is 0, and so has no phase. Source: definition.
    """
    above, below = _values(sections, _angle(frequency, sections.sample_rate))
    gain = above / below
    gain[gain.real**2 + gain.imag**2 < LETS_NOTHING_THROUGH**2] = 0
    return np.asarray(gain, dtype=np.complex128)


def response(sections: Sections, frequency: ArrayLike) -> ComplexArray:
    """Complex gain, a ratio, at frequencies (Hz) of any shape; the answer has the same shape.

    Digital filters answer up to half the sample rate and mirror above it.
    Source: definition.
    """
    gain = section_responses(sections, frequency)
    # Adding 0 takes the sign from a product of nothing: the phase of -0 is half a turn.
    return np.asarray(np.prod(gain, axis=0) + 0.0, dtype=np.complex128)


def magnitude(sections: Sections, frequency: ArrayLike) -> FloatArray:
    """Magnitude of the complex gain, a ratio, as `response` has it, at less than half the work.

    frequency: Hz, any shape. Source: definition.
    """
    real, imaginary = _parts(sections, _angle(frequency, sections.sample_rate))
    above, below = real**2 + imaginary**2
    power = above / below
    power[power < LETS_NOTHING_THROUGH**2] = 0
    return np.asarray(np.sqrt(np.prod(power, axis=0)), dtype=np.float64)


def group_delay(sections: Sections, frequency: ArrayLike) -> FloatArray:
    """Group delay, s, at frequencies (Hz) of any shape; the answer has the same shape.

    It is the exact derivative of each section's phase. At a frequency where a section lets
    nothing through, the jump of phase is left out.
    Source: definition.
    """
    above, below = _phase_slopes(sections, _angle(frequency, sections.sample_rate))
    return np.asarray((below - above).sum(axis=0), dtype=np.float64)


def group_delay_of_sum(
    low: Sections, high: Sections, frequency: ArrayLike, sign: float = 1.0, delay: float = 0.0
) -> FloatArray:
    """Group delay, s, of two filters side by side and added up.

    frequency: Hz, any shape. sign: factor of 1, or -1 with the high one reversed. delay: s, by which the
    high one is late.
    It is the exact derivative of the phase of the sum. Where the two cancel, the jump of phase is
    left out: the delay is that of a place a ten-thousandth above.
    Source: definition.
    """
    return sums_and_delays(low, high, frequency, (sign,), delay)[0][1]


def sums_and_delays(
    low: Sections, high: Sections, frequency: ArrayLike, signs: tuple[float, ...], delay: float = 0.0
) -> list[tuple[ComplexArray, FloatArray]]:
    """Two filters added up, a complex gain, and its group delay, s, for each sign of the high one.

    frequency: Hz, any shape. The rest and the source as in `group_delay_of_sum`.
    """
    values = np.asarray(frequency, dtype=np.float64)
    here = _GainsAndSlopes.at(low, high, values, delay)
    beside = None
    found = []
    for sign in signs:
        whole, slope = here.summed(sign)
        # No null anywhere near: nothing to look at beside it.
        if np.all(np.abs(whole) > (np.abs(here.low) + np.abs(here.high)) * 2e-3):
            late = slope / whole
        else:
            beside = beside or _GainsAndSlopes.at(low, high, values * (1 + BESIDE_A_NULL), delay)
            whole_beside, slope_beside = beside.summed(sign)
            null = np.abs(whole) < np.abs(whole_beside) * 1e-3
            late = np.where(null, slope_beside, slope) / np.where(null, whole_beside, whole)
        found.append((whole, np.asarray(-late.imag, dtype=np.float64)))
    return found


@dataclass(frozen=True, eq=False)
class _GainsAndSlopes:
    """Two filters side by side: complex gains, the high one late, and derivatives by angular frequency, s."""

    low: ComplexArray
    high: ComplexArray
    low_slope: ComplexArray
    high_slope: ComplexArray

    @staticmethod
    def at(low: Sections, high: Sections, frequency: FloatArray, delay: float) -> _GainsAndSlopes:
        gain_low, slope_low = _gain_and_log_slope(low, frequency)
        gain_high, slope_high = _gain_and_log_slope(high, frequency)
        if delay:
            gain_high = gain_high * np.exp(-2j * math.pi * frequency * delay)
        return _GainsAndSlopes(
            gain_low, gain_high, gain_low * slope_low, gain_high * (slope_high - 1j * delay)
        )

    def summed(self, sign: float) -> tuple[ComplexArray, ComplexArray]:
        """The sum with that sign of the high one, and its derivative."""
        return self.low + sign * self.high, self.low_slope + sign * self.high_slope


def _gain_and_log_slope(sections: Sections, frequency: FloatArray) -> tuple[ComplexArray, ComplexArray]:
    """The response H and the derivative of ln H by angular frequency, s.

    The imaginary part of the slope is minus the group delay. H² would jump where H lets nothing
    through: there is no such place between 0 and half the sample rate in a crossover's filter, which
    this is for.
    """
    angle = _angle(frequency, sections.sample_rate)
    values = _values(sections, angle)
    first, middle, last, _ = _columns(sections, angle.ndim)
    if sections.sample_rate is None:
        slope = 1j * middle - 2 * first * angle
    else:
        slope = 1j * (first - last) * np.cos(angle) - (first + last) * np.sin(angle)
    above, below = (slope / values).sum(axis=1) / (sections.sample_rate or 1.0)
    gain = (values[0] / values[1]).prod(axis=0)
    return np.asarray(gain, dtype=np.complex128), np.asarray(above - below, dtype=np.complex128)


AT_A_STEP = 2**18
"""Values of a response, count, that are worked out in 40 ms in the page."""


def impulse_response(sections: Sections, count: int) -> Generator[float, None, FloatArray]:
    """The first samples that a digital filter gives for a single one of 1, shape (count,).

    count: even. It is the response turned back into time; what rings on after the last sample folds
    back upon the first. Yields now and then what share of the sections is done.
    Raises ValueError for an analogue filter.
    Source: Oppenheim and Schafer, Discrete-Time Signal Processing, discrete Fourier transform.
    """
    if sections.sample_rate is None:
        raise ValueError("the filter must be digital")
    angle = 2 * math.pi / count * np.arange(count // 2 + 1)
    square, sine = np.sin(angle / 2) ** 2, np.sin(angle)  # As in `_parts`, worked out once for all.
    gain = np.ones(len(angle), dtype=np.complex128)
    sums_of_all = sections.columns[3].T
    since = 0
    for number, (*sides, sums) in enumerate(
        zip(sections.numerator, sections.denominator, sums_of_all, strict=True), 1
    ):
        above, below = (
            whole - 2 * (part[0] + part[2]) * square + 1j * (part[0] - part[2]) * sine
            for part, whole in zip(sides, sums, strict=True)
        )
        gain *= above / below
        since += len(angle)
        if since >= AT_A_STEP:
            since = 0
            yield number / len(sums_of_all)
    return np.asarray(np.fft.irfft(gain, count), dtype=np.float64)


def _angle(frequency: ArrayLike, sample_rate: float | None) -> FloatArray:
    """Angular frequency: rad/s, or rad per sample."""
    turns = np.asarray(frequency, dtype=np.float64)
    return np.asarray(2 * math.pi * turns / (sample_rate or 1.0), dtype=np.float64)


def _values(sections: Sections, angle: FloatArray) -> ComplexArray:
    """What numerators and denominators are: shape (2, n) in front of the angle's."""
    real, imaginary = _parts(sections, angle)
    return np.asarray(real + 1j * imaginary, dtype=np.complex128)


def _parts(sections: Sections, angle: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Real and imaginary part of numerators and denominators, shape (2, n) in front of the angle's.

    A digital one is p0 + p1 z⁻¹ + p2 z⁻² turned by one sample, z, which a numerator and its
    denominator share: that leaves (p0 + p1 + p2) - 2(p0 + p2) sin²(w/2) + j (p0 - p2) sin w,
    a form that keeps its figures at frequencies far below the sample rate.
    """
    first, middle, last, total = _columns(sections, angle.ndim)
    if sections.sample_rate is None:
        return last - first * angle**2, middle * angle
    real = total - 2 * (first + last) * np.sin(angle / 2) ** 2
    return real, (first - last) * np.sin(angle)


def _phase_slopes(sections: Sections, angle: FloatArray) -> FloatArray:
    """Derivative of their phase by angular frequency, s; one sample left out as above."""
    first, middle, last, _ = _columns(sections, angle.ndim)
    real, imaginary = _parts(sections, angle)
    if sections.sample_rate is None:
        real_slope, imaginary_slope = -2 * first * angle, middle
        at_null = np.zeros_like(first)
    else:
        real_slope = -(first + last) * np.sin(angle)
        imaginary_slope = (first - last) * np.cos(angle)
        # Zeros on the unit circle turn by half a sample each; a second-order pair gives one.
        at_null = np.where(last == 0, 0.5, 0.0)
    square = real**2 + imaginary**2
    slope = real * imaginary_slope - imaginary * real_slope
    null = square == 0
    slope = np.where(null, at_null, slope / np.where(null, 1.0, square))
    return np.asarray(slope / (sections.sample_rate or 1.0), dtype=np.float64)


def _columns(sections: Sections, dimensions: int) -> list[FloatArray]:
    """Coefficients and their sum, with an axis for each of the angle's behind."""
    shape = (2, -1) + (1,) * dimensions
    return [column.reshape(shape) for column in sections.columns]


def to_digital(analogue: Sections, sample_rate: float, match: ArrayLike) -> Sections:
    """Digital form of an analogue filter by the bilinear transform.

    sample_rate: Hz. match: Hz, where the digital filter equals the analogue one; one for all
    sections, or one each.
    Raises ValueError unless 0 < match < half the sample rate, or if the filter is digital.
    Source: Oppenheim and Schafer, Discrete-Time Signal Processing, bilinear transformation.
    """
    if analogue.sample_rate is not None:
        raise ValueError("the filter is digital already")
    matches = np.asarray(match, dtype=np.float64)
    if not (np.all(matches > 0) and np.all(matches < sample_rate / 2)):
        raise ValueError("frequency must lie between 0 and half the sample rate")
    scale = 2 * math.pi * matches / np.tan(math.pi * matches / sample_rate)
    scale = np.broadcast_to(scale, (len(analogue.numerator),))
    powers = side_by_side(np.square(scale), scale, np.ones_like(scale))
    numerator, denominator = analogue.numerator * powers, analogue.denominator * powers
    first_order = (numerator[:, 0] == 0) & (denominator[:, 0] == 0)
    lead = denominator[:, 0] + denominator[:, 1] + denominator[:, 2]
    cleared = np.where(first_order, 2, 4)
    sums = side_by_side(numerator[:, 2], denominator[:, 2]) * (cleared / lead)[:, np.newaxis]
    return Sections(
        _bilinear(numerator, lead, sums[:, 0], first_order),
        _bilinear(denominator, lead, sums[:, 1], first_order),
        sample_rate,
        sums,
    )


def _bilinear(
    polynomials: FloatArray, lead: FloatArray, sums: FloatArray, first_order: NDArray[np.bool_]
) -> FloatArray:
    """Coefficients of 1, z⁻¹, z⁻² after s = (1 - z⁻¹)/(1 + z⁻¹), fractions cleared, over lead.

    The middle one of a second order, 2·(constant - square), is what the others leave of the sum:
    so their rounding does not add to its own where the sum is small.
    """
    square, linear, constant = polynomials.T
    first, last = (square + linear + constant) / lead, (square - linear + constant) / lead
    whole = side_by_side(first, (sums - first) - last, last)
    if not np.any(first_order):
        return whole
    short = side_by_side(first, (constant - linear) / lead, np.zeros_like(first))
    return np.where(first_order[:, np.newaxis], short, whole)


def crossover_filter(
    side: Side,
    family: Family,
    order: int,
    frequency: float,
    sample_rate: float | None = None,
) -> Sections:
    """Low-pass or high-pass of a crossover.

    order: 1 to 8 (6 to 48 dB per octave); Linkwitz-Riley 2, 4, 6 or 8. frequency: Hz, where the
    level is -3.01 dB (Linkwitz-Riley -6.02 dB). sample_rate: Hz, or None for analogue.
    A digital filter meets the analogue one at `frequency` exactly.
    Raises ValueError for an order the family does not come in, a frequency at or below 0, or one
    at or above half the sample rate.
    Sources: Butterworth; Linkwitz, JAES 24 (1976): two Butterworth filters of half the order in a
    row; Thomson, Proc. IEE 96 (1949), scaled to -3.01 dB at the corner.
    """
    if order not in ORDERS[family]:
        raise ValueError(f"{family} does not come in order {order}")
    if not 0 < frequency < math.inf:
        raise ValueError("frequency must be above 0")
    prototype, powers, kept = _oriented(side, family, order)
    denominator = prototype * (2 * math.pi * frequency) ** powers
    numerator = np.where(kept, denominator, 0.0)
    analogue = Sections(numerator, denominator)
    return analogue if sample_rate is None else to_digital(analogue, sample_rate, frequency)


def over_corner(family: Family, order: int, gain: ArrayLike) -> FloatArray:
    """How far over its corner, a ratio, an analogue high-pass has a gain; of the gain's shape.

    order: as in `crossover_filter`. gain: a ratio, above 0 and below 1.
    Raises ValueError for Bessel, whose gain has no such form.
    Source: Butterworth (1930), |H|² = x²ⁿ/(1 + x²ⁿ); Linkwitz (1976), two of half the order in a row.
    """
    if family == "bessel":
        raise ValueError("a Bessel filter's gain cannot be read backwards")
    power = np.asarray(gain, dtype=np.float64) ** (2 if family == "butterworth" else 1)
    return np.asarray((power / (1 - power)) ** (1 / (2 * order if family == "butterworth" else order)))


@dataclass(frozen=True)
class Stage:
    """One section of a crossover as a processor asks for it.

    order: number, 1 or 2. frequency: Hz, its own corner. q: Q of a second-order section, else None.
    """

    order: int
    frequency: float
    q: float | None


def crossover_stages(side: Side, family: Family, order: int, frequency: float) -> tuple[Stage, ...]:
    """The sections of an analogue crossover filter, rising in Q: for processors that ask for each.

    Arguments, errors and sources as in `crossover_filter`. Of s² + a·s + b the corner is √b and
    Q = √b/a. Two first-order sections, as Linkwitz-Riley has them, are one of second order and Q
    0.5. All sections of Butterworth and Linkwitz-Riley stand at the crossover's frequency.
    """
    sections = crossover_filter(side, family, order, frequency).denominator
    single, pairs = sections[sections[:, 0] == 0], sections[sections[:, 0] != 0]
    if len(single) == 2:
        pairs = np.concatenate([[np.convolve(single[0, 1:], single[1, 1:])], pairs])
        single = single[:0]
    alone = [Stage(1, constant / linear / (2 * math.pi), None) for _, linear, constant in single.tolist()]
    corners = np.sqrt(pairs[:, 2] / pairs[:, 0])
    qualities = corners * pairs[:, 0] / pairs[:, 1]
    double = zip((corners / (2 * math.pi)).tolist(), qualities.tolist(), strict=True)
    return (*alone, *(Stage(2, corner, q) for corner, q in double))


@cache
def _oriented(side: Side, family: Family, order: int) -> tuple[FloatArray, IndexArray, NDArray[np.bool_]]:
    """Of a side with its corner at 1 rad/s: denominators, powers of the corner, where the numerator is."""
    prototype = _prototype(family, order)
    first_order = prototype[:, :1] == 0
    if side == "high-pass":  # s is exchanged for 1/s: the coefficients of a section change ends
        prototype = np.where(first_order, prototype[:, [0, 2, 1]], prototype[:, ::-1])
    powers = np.where(first_order, [0, 0, 1], [0, 1, 2])
    places = (
        np.where(first_order, 1, 0) if side == "high-pass" else np.full_like(first_order, 2, dtype=np.int64)
    )
    return prototype, powers, np.arange(3) == places


@cache
def _prototype(family: Family, order: int) -> FloatArray:
    """Denominators of the low-pass with its corner at 1 rad/s, shape (n, 3), rising in Q."""
    if family == "linkwitz-riley":
        half = _prototype("butterworth", order // 2)
        return np.concatenate([half, half])
    poles = butterworth_poles(order) if family == "butterworth" else bessel_poles(order)
    upper = sorted(poles[poles.imag > 0], key=lambda pole: float(abs(pole) / -pole.real))
    pairs = [[1.0, -2 * pole.real, abs(pole) ** 2] for pole in upper]
    single = [[0.0, 1.0, -pole.real] for pole in poles[poles.imag == 0]]
    return np.array(single + pairs)


def butterworth_poles(order: int) -> ComplexArray:
    """Poles, rad/s, of the Butterworth low-pass with its -3.01 dB corner at 1 rad/s, shape (order,).

    order: number, above 0. Source: Butterworth (1930).
    """
    steps = np.arange(1 - order, order, 2)
    return np.asarray(-np.exp(0.5j * math.pi * steps / order), dtype=np.complex128)


def bessel_polynomial(order: int) -> list[int]:
    """Coefficients, whole factors, of the reverse Bessel polynomial, highest power first.

    order: number, 0 or more.
    Source: Thomson, Proc. IEE 96 (1949); coefficient of s^k: (2n-k)! / (2^(n-k) k! (n-k)!).
    """
    return [
        math.factorial(2 * order - power)
        // (2 ** (order - power) * math.factorial(power) * math.factorial(order - power))
        for power in range(order, -1, -1)
    ]


def bessel_poles(order: int) -> ComplexArray:
    """Poles, rad/s, of the Bessel low-pass with its -3.01 dB corner at 1 rad/s, shape (order,).

    Argument and source as in `bessel_polynomial`.
    """
    coefficients = np.array(bessel_polynomial(order), dtype=np.float64)
    slope = np.polyder(coefficients)
    poles = np.roots(coefficients).astype(np.complex128)
    for _ in range(3):  # Newton: the roots of the companion matrix lack the last three figures
        poles = poles - np.polyval(coefficients, poles) / np.polyval(slope, poles)
    poles = np.where(np.abs(poles.imag) < 1e-9, poles.real, poles)
    return np.asarray(poles / _corner_of_unit_delay(coefficients), dtype=np.complex128)


def _corner_of_unit_delay(coefficients: FloatArray) -> float:
    """Angular frequency, rad/s, at which the Bessel low-pass of 1 s delay is at -3.01 dB."""
    low, high = 0.1, 10.0
    for _ in range(60):
        middle = (low + high) / 2
        loss = abs(np.polyval(coefficients, 1j * middle) / coefficients[-1])
        low, high = (middle, high) if loss < math.sqrt(2) else (low, middle)
    return (low + high) / 2
