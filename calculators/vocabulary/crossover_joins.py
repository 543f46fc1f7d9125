"""The join of a crossover: low, high and their sum, where they are looked at, and their charts."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Annotated, get_args

import numpy as np

from calculators.declaring import Axis, Band, Chart, Output
from calculators.declaring.quantities import ANGLE, FREQUENCY, LEVEL, TIME
from calculators.physics import bands, decibels, filters
from calculators.physics.acoustic_slopes import roll_off
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.vocabulary.responses import (
    LOWEST_SHOWN,
    Places,
    Wanted,
    places_of,
    response_chart,
    round_up,
)

CORNERS = (10.0, 20e3)
# A chart of a join shows two octaves either side, and the levels that matter in them.
OCTAVES_SHOWN = 2
LEVEL_AXIS = Axis("Level", "dB", -30, 9, lowest=LOWEST_SHOWN)
EVEN_ENOUGH = 0.05
AS_LOW = 1e-6
# Hz, far from either end of what is looked at.
ANY_CORNER = 500.0
# Times the longer delay of the two alone, to which a chart shows that of their sum.
MOST_OVER_ALONE = 3


@dataclass(frozen=True)
class Join:
    """The two filters, the sign of the high one's polarity, and by how much it is late, s.

    ``driven``: whether the drivers' own falls are counted in them.
    """

    low: filters.Sections
    high: filters.Sections
    sign: float
    delay: float
    driven: bool = False

    def at(self, frequency: FloatArray) -> "JoinResponse":
        """Low and high at frequencies, Hz."""
        turn = np.exp(-2j * np.pi * frequency * self.delay)
        above = self.sign * filters.response(self.high, frequency) * turn
        return JoinResponse(frequency, filters.response(self.low, frequency), above)

    def delays(self, frequency: FloatArray) -> "JoinDelays":
        """Group delays at frequencies, Hz."""
        return JoinDelays(
            filters.group_delay(self.low, frequency),
            filters.group_delay(self.high, frequency) + self.delay,
            filters.group_delay_of_sum(self.low, self.high, frequency, self.sign, self.delay),
        )

    def sum_level(self, frequency: FloatArray) -> FloatArray:
        """Level of the sum, dB."""
        return self.at(frequency).sum_level

    def sum_delay(self, frequency: FloatArray) -> FloatArray:
        """In ms, as it is drawn."""
        delay = filters.group_delay_of_sum(self.low, self.high, frequency, self.sign, self.delay)
        return 1e3 * delay

    def turned(self) -> "Join":
        """The same with the other polarity."""
        return replace(self, sign=-self.sign)

    def in_step(self, sign: float) -> "Join":
        """The same with equal arrivals and a polarity."""
        return replace(self, sign=sign, delay=0.0)


def part(
    electric: filters.Sections, gain: float = 0.0, falls: float | None = None, q: float = 0.8
) -> filters.Sections:
    """Low or high as it is heard: filter, gain (dB), and the driver's own fall below a frequency (Hz, Q)."""
    whole = filters.raised(electric, gain) if gain else electric
    if falls is None:
        return whole
    return filters.cascade(whole, roll_off("high-pass", falls, q, electric.sample_rate))


@dataclass(frozen=True)
class JoinResponse:
    """Low and high, the high as wired and as late as it is.

    Arrays over ``frequency`` (Hz): complex gains, levels in dB, phase between in degrees.
    """

    frequency: FloatArray
    below: ComplexArray
    above: ComplexArray

    @cached_property
    def low_level(self) -> FloatArray:
        """Level of the low, dB."""
        return decibels.level(self.below)

    @cached_property
    def high_level(self) -> FloatArray:
        """Level of the high, dB."""
        return decibels.level(self.above)

    @cached_property
    def sum_level(self) -> FloatArray:
        """Level of both together, dB."""
        return decibels.level(self.below + self.above)

    @cached_property
    def phase(self) -> FloatArray:
        """From -180 to 180; half a turn is +180 whatever its last digit."""
        turned = (np.degrees(np.angle(self.above) - np.angle(self.below)) + 180) % 360 - 180
        return np.where(np.abs(turned + 180) < 1e-6, 180.0, turned)


@dataclass(frozen=True)
class JoinDelays:
    """Group delays, s, over frequency."""

    low: FloatArray
    high: FloatArray
    sum: FloatArray


@dataclass(frozen=True, kw_only=True)
class CrossoverBand:
    """Low, high and their sum in one third-octave band."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    low_level: Annotated[float, Output("Low", LEVEL, decimals=1)]
    high_level: Annotated[float, Output("High", LEVEL, decimals=1)]
    sum_level: Annotated[float, Output("Sum", LEVEL, decimals=2)]
    phase: Annotated[float, Output("Phase between", ANGLE, decimals=0)]
    low_delay: Annotated[float | None, Output("Group delay, low", TIME, show="ms", decimals=2, none="–")]
    high_delay: Annotated[float | None, Output("Group delay, high", TIME, show="ms", decimals=2, none="–")]
    sum_delay: Annotated[float | None, Output("Group delay, sum", TIME, show="ms", decimals=2, none="–")]


def band_rows(pair: JoinResponse, delays: JoinDelays | None) -> tuple[CrossoverBand, ...]:
    """What a pair does at exact centres of third octaves, which its frequencies are."""
    exact = bands.exact_third_octaves()
    return tuple(
        CrossoverBand(
            frequency=bands.NOMINAL_THIRD_OCTAVES[int(np.argmin(np.abs(np.log(exact / frequency))))],
            low_level=float(pair.low_level[place]),
            high_level=float(pair.high_level[place]),
            sum_level=float(pair.sum_level[place]),
            phase=float(pair.phase[place]),
            low_delay=None if delays is None else float(delays.low[place]),
            high_delay=None if delays is None else float(delays.high[place]),
            sum_delay=None if delays is None else float(delays.sum[place]),
        )
        for place, frequency in enumerate(pair.frequency.tolist())
    )


@lru_cache(maxsize=8)  # One answer asks for the same places of the same join up to three times.
def join_places(
    set_to: Join, low_pass: float, high_pass: float, line: Callable[[Join, FloatArray], FloatArray]
) -> Places:
    """Where a line of the join is looked at: two octaves either side, and wherever it turns."""
    if not set_to.delay:
        return _places_in_step(set_to.low, set_to.high, low_pass, high_pass)[line, set_to.sign]
    wanted = replace(_around(0, low_pass, high_pass), finest=1 / (2 * abs(set_to.delay)))
    return places_of(lambda frequency: [line(set_to, frequency)], [wanted])[0]


@lru_cache(maxsize=2)
def _places_in_step(
    low: filters.Sections, high: filters.Sections, low_pass: float, high_pass: float
) -> dict[tuple[Callable[[Join, FloatArray], FloatArray], float], Places]:
    """Of level and group delay with either polarity, for equal arrivals; one answer asks for all four."""
    named = [(line, sign) for sign in (1.0, -1.0) for line in (Join.sum_level, Join.sum_delay)]

    def lines(frequency: FloatArray) -> list[FloatArray]:
        both = filters.sums_and_delays(low, high, frequency, (1.0, -1.0))
        return [line for whole, late in both for line in (decibels.level(whole), 1e3 * late)]

    wanted = [_around(number, low_pass, high_pass) for number in range(len(named))]
    return dict(zip(named, places_of(lines, wanted), strict=True))


def _around(curve: int, low_pass: float, high_pass: float) -> Wanted:
    """Two octaves either side of the corners, Hz."""
    corners = sorted((low_pass, high_pass))
    return Wanted(
        (curve,),
        (low_pass, high_pass, math.sqrt(low_pass * high_pass)),
        low=max(corners[0] / 2**OCTAVES_SHOWN, CORNERS[0]),
        high=min(corners[1] * 2**OCTAVES_SHOWN, CORNERS[1]),
    )


def lowest_place(pair: JoinResponse, meeting: float) -> int:
    """Place of the lowest sum; where it is level to the last digits, the place nearest the meeting point.

    Of two as low and as near, the lower: which has the smaller last digit is another on another machine.
    """
    level = pair.sum_level
    as_low = np.flatnonzero(level <= np.min(level) + AS_LOW)
    return int(as_low[np.argmin(np.round(np.abs(np.log(pair.frequency[as_low] / meeting)), 9))])


def longest_delay(set_to: Join, places: Places) -> float:
    """The longest group delay of the sum, s."""
    return 1e-3 * float(np.max(set_to.sum_delay(places.at)))


def same_corner(low_pass: float, high_pass: float) -> bool:
    """Whether low and high have one corner, Hz, to more digits than anybody types."""
    return math.isclose(low_pass, high_pass, rel_tol=1e-6)


def better_polarity(set_to: Join, low_pass: float, high_pass: float) -> tuple[str, str]:
    """Which polarity keeps the sum nearer to level with equal arrivals, or, if both do, delays it less.

    With it comes why. Where the corners differ the filters alone decide nothing: drivers fill the
    gap or the overlap, and what counts is the family and the slope that are left at the ear. Where the
    drivers are counted in, the stronger sum round the meeting point decides.
    """
    if set_to.driven:
        stronger = driven_gain(set_to, low_pass, high_pass)
        return (
            "as wired" if stronger >= 0 else "high reversed",
            f"with the drivers the sum is {abs(stronger):.1f} dB stronger with it, half an octave round",
        )
    if not same_corner(low_pass, high_pass):
        return (
            "that of family and slope at the acoustic corner (table)",
            "the corners differ: the filters alone cannot say it",
        )
    found = []
    for each in (set_to.in_step(1.0), set_to.in_step(-1.0)):
        level = each.sum_level(join_places(each, low_pass, high_pass, Join.sum_level).at)
        late = longest_delay(each, join_places(each, low_pass, high_pass, Join.sum_delay))
        found.append((float(np.max(np.abs(level))), late))
    (as_wired, late), (turned, turned_late) = found
    words = ("as wired", "high reversed")
    if abs(as_wired - turned) < EVEN_ENOUGH:
        less = f"{1e3 * abs(late - turned_late):.3g} ms less late"
        return words[turned_late < late], f"the sum is up to {less} with it; its level is the same either way"
    strays = min(as_wired, turned)
    kept = "with it the sum is level"
    if strays >= EVEN_ENOUGH:
        kept = f"with it the sum strays by {strays:.1f} dB at most"
    other = f"with the other polarity it strays by {_strays(max(as_wired, turned))}"
    return words[turned < as_wired], f"{kept}; {other}"


def pair_of(family: filters.Family, order: int, corner: float, sample_rate: float | None) -> Join:
    """Low and high by themselves, both at one corner, Hz, with the polarity that is better for them."""
    # An analogue pair is the same at every corner: its polarity need not be looked for again at each.
    looked_at = ANY_CORNER if sample_rate is None else corner
    return replace(
        _as_wired(family, order, corner, sample_rate),
        sign=_better_sign(family, order, looked_at, sample_rate),
    )


@lru_cache(maxsize=64)
def _better_sign(family: filters.Family, order: int, corner: float, sample_rate: float | None) -> float:
    polarity, _ = better_polarity(_as_wired(family, order, corner, sample_rate), corner, corner)
    return -1.0 if polarity == "high reversed" else 1.0


def _as_wired(family: filters.Family, order: int, corner: float, sample_rate: float | None) -> Join:
    low, high = (
        filters.crossover_filter(side, family, order, corner, sample_rate) for side in get_args(filters.Side)
    )
    return Join(low, high, 1.0, 0.0)


def asked_phase(pair: Join, frequency: FloatArray) -> FloatArray:
    """Degrees by which a pair of filters has the high lead the low at frequencies, Hz."""
    there = pair.at(frequency)
    return np.asarray(np.round(decibels.phase(there.above * np.conj(there.below)), 6) + 0.0)


def driven_gain(set_to: Join, low_pass: float, high_pass: float) -> float:
    """dB by which the sum as wired is the stronger half an octave round the meeting point, in step."""
    at = math.sqrt(low_pass * high_pass) * 2 ** np.linspace(-0.5, 0.5, 25)
    as_wired, turned = (np.mean(set_to.in_step(sign).sum_level(at)) for sign in (1.0, -1.0))
    return float(np.round(as_wired - turned, 9))


def _strays(level: float) -> str:
    return f"{level:.1f} dB" if level < -LOWEST_SHOWN else "more than 60 dB"


def level_chart(places: Places, pair: JoinResponse, meeting: float, axis: Axis = LEVEL_AXIS) -> Chart:
    """Levels round the meeting point, Hz."""
    return response_chart(
        "Level of low, high and sum",
        places,
        {"Low": pair.low_level, "High": pair.high_level, "Sum": (pair.sum_level, "main")},
        axis,
        (octave_band(meeting),),
        read_at=meeting,
    )


def delay_chart(set_to: Join, places: Places, meeting: float) -> Chart:
    """Where the sum nearly cancels its delay runs off the frame, which the filters' own delays set."""
    delays = set_to.delays(places.at)
    alone = float(np.max(np.abs([delays.low, delays.high])))
    longest, shortest = (float(end(delays.sum)) for end in (np.max, np.min))
    top = round_up(1e3 * min(max(longest, alone), MOST_OVER_ALONE * alone))
    level = min(shortest, float(np.min([delays.low, delays.high]))) >= -1e-9
    return response_chart(
        "Group delay of low, high and sum",
        places,
        {"Low": delays.low * 1e3, "High": delays.high * 1e3, "Sum": (delays.sum * 1e3, "main")},
        Axis("Group delay", "ms", 0 if level else -top, top, decimals=2),
        (octave_band(meeting),),
        read_at=meeting,
    )


def octave_band(meeting: float) -> Band:
    """Half an octave either side of a meeting point, Hz."""
    return Band("One octave round the meeting point", meeting / 2**0.5, meeting * 2**0.5)
