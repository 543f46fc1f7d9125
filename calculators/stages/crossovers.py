"""Crossovers: what each side lets through, and how the two sides add up."""

import math
from dataclasses import dataclass
from typing import Annotated, cast

import numpy as np

from calculators.declaring import (
    Advice,
    Axis,
    Band,
    Chart,
    Choice,
    Curve,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputCurve,
    OutputRows,
    OutputText,
    Series,
    calculator,
)
from calculators.declaring.quantities import ANGLE, FREQUENCY, LEVEL, SLOPE, TIME
from calculators.physics import bands, filters, levels
from calculators.stages.responses import LOWEST_SHOWN, SAMPLE_RATES, SHOWN, Complex, Floats, floats

SLOPES = tuple((f"{slope} dB/oct", float(slope)) for slope in range(6, 54, 6))
EVEN_ENOUGH = 0.05
AS_LOW = 1e-6


@dataclass(frozen=True)
class CrossoverBand:
    """Both sides and their sum in one third-octave band."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    low_level: Annotated[float, Output("Low-pass", LEVEL, decimals=1)]
    high_level: Annotated[float, Output("High-pass", LEVEL, decimals=1)]
    sum_level: Annotated[float, Output("Sum", LEVEL, decimals=2)]
    phase: Annotated[float, Output("Phase between", ANGLE, decimals=0)]
    low_delay: Annotated[float, Output("Group delay, low", TIME, show="ms", decimals=2)]
    high_delay: Annotated[float, Output("Group delay, high", TIME, show="ms", decimals=2)]


@dataclass(frozen=True)
class Crossover:
    """Two sides of a crossover and their sum."""

    meeting: Annotated[float, Output("The sides meet at", FREQUENCY, trim=True, main=True)]
    low_level: Annotated[float, Output("Low-pass side there", LEVEL, decimals=2)]
    high_level: Annotated[float, Output("High-pass side there", LEVEL, decimals=2)]
    sum_level: Annotated[float, Output("Sum there", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    phase: Annotated[float, Output("Phase between the sides there", ANGLE, decimals=0)]
    lowest_sum: Annotated[float, Output("Lowest point of the sum", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    lowest_sum_frequency: Annotated[float, Output("The lowest point is at", FREQUENCY, trim=True)]
    highest_sum: Annotated[float, Output("Highest point of the sum", LEVEL, decimals=2)]
    better_polarity: Annotated[str, OutputText("Polarity that sums better")]
    group_delay: Annotated[
        float, Output("Group delay of the low-pass side, far below", TIME, show="ms", decimals=2)
    ]
    looked_at: Annotated[float, Output("The levels below are at", FREQUENCY, trim=True)]
    low_level_at: Annotated[float, Output("Low-pass side at that frequency", LEVEL, decimals=1)]
    high_level_at: Annotated[float, Output("High-pass side at that frequency", LEVEL, decimals=1)]
    sum_level_at: Annotated[float, Output("Sum at that frequency", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    chart: Annotated[Chart, OutputChart("Level of each side and of the sum")]
    bands: Annotated[tuple[CrossoverBand, ...], OutputRows("By third-octave band", fold=True)]
    low: Annotated[Curve, OutputCurve("Low-pass side")]
    high: Annotated[Curve, OutputCurve("High-pass side")]
    sum: Annotated[Curve, OutputCurve("Sum")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Crossover, both sides and their sum",
    example={"family": "linkwitz-riley", "slope": 24.0, "low_pass": 80.0, "high_pass": 80.0},
    sources=("butterworth-1930", "linkwitz-riley-1976", "thomson-1949"),
    cautions=(),
)
def crossover(
    family: Annotated[
        str,
        Choice(
            "Family",
            {
                "linkwitz-riley": "Linkwitz-Riley",
                "butterworth": "Butterworth",
                "bessel": "Bessel (−3 dB at the corner)",
            },
        ),
    ] = "linkwitz-riley",
    slope: Annotated[float, Number("Slope", SLOPE, 6, 48, options=SLOPES)] = 24.0,
    low_pass: Annotated[float, Number("Low-pass", FREQUENCY, 10, 20e3, units=("kHz",))] = 80.0,
    high_pass: Annotated[
        float | None,
        Number("High-pass", FREQUENCY, 10, 20e3, units=("kHz",), optional=True, empty="as the low-pass"),
    ] = None,
    polarity: Annotated[
        str, Choice("Polarity of the high-pass side", {"same": "as wired", "reversed": "reversed"})
    ] = "same",
    delay: Annotated[
        float,
        Number(
            "High-pass side is late by",
            TIME,
            -0.05,
            0.05,
            show="ms",
            help="Negative: it is early.",
            seldom=True,
        ),
    ] = 0.0,
    sample_rate: Annotated[
        float | None,
        Number(
            "Sample rate",
            FREQUENCY,
            44100,
            192e3,
            options=SAMPLE_RATES,
            optional=True,
            empty="analogue",
            show="kHz",
            seldom=True,
        ),
    ] = None,
    at: Annotated[
        float | None,
        Number(
            "Levels at",
            FREQUENCY,
            10,
            20e3,
            units=("kHz",),
            seldom=True,
            optional=True,
            empty="one octave above the low-pass",
            help="For example a tweeter's resonance: how much still reaches it.",
        ),
    ] = None,
) -> Crossover:
    """What each side of a crossover lets through, and what the two make together.

    This is the electrical filter. What you hear is the filter, the driver and its box together:
    measure it in the vehicle.
    """
    order = _order(family, slope)
    high_pass = low_pass if high_pass is None else high_pass
    kind = cast(filters.Family, family)
    low = filters.crossover_filter("low-pass", kind, order, low_pass, sample_rate)
    high = filters.crossover_filter("high-pass", kind, order, high_pass, sample_rate)
    meeting = math.sqrt(low_pass * high_pass)
    sign = -1.0 if polarity == "reversed" else 1.0
    around = _pair(low, high, _around(low_pass, high_pass), sign, delay)
    there = _pair(low, high, np.array([meeting]), sign, delay)
    looked_at = min(2 * low_pass, 20e3) if at is None else at
    asked = _pair(low, high, np.array([looked_at]), sign, delay)
    over = _pair(low, high, SHOWN, sign, delay)
    lowest = _lowest(around, meeting)
    better, advice = _polarity_advice(polarity, around)
    return Crossover(
        meeting,
        float(there.low_level[0]),
        float(there.high_level[0]),
        float(there.sum_level[0]),
        float(there.phase[0]),
        float(around.sum_level[lowest]),
        float(around.frequency[lowest]),
        float(np.max(around.sum_level)),
        better,
        float(filters.group_delay(low, low_pass / 1000)),
        looked_at,
        float(asked.low_level[0]),
        float(asked.high_level[0]),
        float(asked.sum_level[0]),
        _chart(over, meeting),
        _rows(low, high, sign, delay),
        _curve(over.below),
        _curve(over.above),
        _curve(over.below + over.above),
        advice,
    )


def _lowest(pair: "_Pair", meeting: float) -> int:
    """Place of the lowest sum; where it is level to the last digits, the place nearest the meeting point."""
    level = pair.sum_level
    as_low = np.flatnonzero(level <= np.min(level) + AS_LOW)
    return int(as_low[np.argmin(np.abs(np.log(pair.frequency[as_low] / meeting)))])


def _order(family: str, slope: float) -> int:
    order = round(slope / 6)
    orders = filters.ORDERS[cast(filters.Family, family)]
    if order * 6 != slope:
        raise InputError("slope", "Slopes come in steps of 6 dB/oct, from 6 to 48.")
    if order not in orders:
        steps = ", ".join(str(6 * n) for n in orders)
        raise InputError(
            "slope", f"Linkwitz-Riley comes in {steps} dB/oct: two equal Butterworth filters in a row."
        )
    return order


def _around(low_pass: float, high_pass: float) -> Floats:
    """Where the sum is searched: the whole band, and finely round the place where the sides meet."""
    meeting = math.sqrt(low_pass * high_pass)
    fine = meeting * 2 ** (np.arange(-144, 145) / 48)
    fine = fine[(fine >= 10) & (fine <= 20e3)]
    searched: Floats = np.unique(np.concatenate([SHOWN, fine, [low_pass, high_pass, meeting]]))
    return searched


@dataclass(frozen=True)
class _Pair:
    """The two sides, the high-pass one as wired and as late as it is.

    Arrays over ``frequency`` (Hz): complex gains, levels in dB, phase between in degrees.
    """

    frequency: Floats
    below: Complex
    above: Complex

    @property
    def low_level(self) -> Floats:
        return levels.level(self.below)

    @property
    def high_level(self) -> Floats:
        return levels.level(self.above)

    @property
    def sum_level(self) -> Floats:
        return levels.level(self.below + self.above)

    @property
    def turned_level(self) -> Floats:
        """Level of the sum with the other polarity."""
        return levels.level(self.below - self.above)

    @property
    def phase(self) -> Floats:
        """From -180 to 180; half a turn is +180 whatever its last digit."""
        turned = (np.degrees(np.angle(self.above) - np.angle(self.below)) + 180) % 360 - 180
        return np.where(np.abs(turned + 180) < 1e-6, 180.0, turned)


def _pair(
    low: filters.Sections, high: filters.Sections, frequency: Floats, sign: float, delay: float
) -> _Pair:
    turn = np.exp(-2j * np.pi * frequency * delay)
    return _Pair(frequency, filters.response(low, frequency), sign * filters.response(high, frequency) * turn)


def _rows(
    low: filters.Sections, high: filters.Sections, sign: float, delay: float
) -> tuple[CrossoverBand, ...]:
    exact = bands.exact_third_octaves()
    pair = _pair(low, high, exact, sign, delay)
    columns = (
        pair.low_level,
        pair.high_level,
        pair.sum_level,
        pair.phase,
        filters.group_delay(low, exact),
        filters.group_delay(high, exact) + delay,
    )
    rows = zip(bands.NOMINAL_THIRD_OCTAVES, *(floats(column) for column in columns), strict=True)
    return tuple(CrossoverBand(*(float(cell) for cell in row)) for row in rows)


def _polarity_advice(polarity: str, pair: _Pair) -> tuple[str, tuple[Advice, ...]]:
    """Which polarity keeps the sum closer to level, and a word if it is not the one set."""
    as_set = pair.sum_level
    now, other = float(np.max(np.abs(as_set))), float(np.max(np.abs(pair.turned_level)))
    if abs(now - other) < EVEN_ENOUGH:
        return "either: both sum alike", ()
    words = {"same": "as wired", "reversed": "one side reversed"}
    if now < other:
        return words[polarity], ()
    better = "reversed" if polarity == "same" else "same"
    dip = int(np.argmin(as_set))
    fault = (
        f"the sum falls into a null at {pair.frequency[dip]:.4g} Hz"
        if as_set[dip] < LOWEST_SHOWN / 2
        else f"the sum strays by {now:.1f} dB"
    )
    cure = (
        "Reverse the polarity of one side" if better == "reversed" else "Wire both sides the same way round"
    )
    rest = "it holds within" if other < LOWEST_SHOWN / -2 else "it still strays by"
    return words[better], (Advice("polarity", f"{cure}: as set, {fault}; then {rest} {other:.1f} dB."),)


def _curve(gain: Complex) -> Curve:
    phase = np.degrees(np.angle(gain))
    return Curve(floats(SHOWN), floats(levels.level(gain)), floats(phase))


def _chart(pair: _Pair, meeting: float) -> Chart:
    series = (
        Series("Low-pass side", floats(pair.low_level)),
        Series("High-pass side", floats(pair.high_level)),
        Series("Sum", floats(pair.sum_level)),
    )
    return Chart(
        "Level of each side and of the sum",
        Axis("Frequency", "Hz", 20, 20e3, "logarithmic"),
        Axis("Level", "dB", -48, 12, lowest=LOWEST_SHOWN),
        floats(SHOWN),
        series,
        (Band("One octave round the meeting point", meeting / 2**0.5, meeting * 2**0.5),),
        table_at=floats(SHOWN[::4]),
    )
