"""What is asked of the filters that flatten a feed, and how the answer is shown."""

import math
from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, Chart, Curve, InputError, Output
from calculators.declaring.quantities import COUNT, LEVEL
from calculators.physics import bands, curve_parts, flattening
from calculators.physics.arrays import FloatArray
from calculators.physics.biquads import FLATTEST_Q
from calculators.vocabulary.feed_curves import DIPS, TOO_DEEP, UNPROVEN, Feed, LeftAlone, check_levels
from calculators.vocabulary.filter_settings import Steps as Settable
from calculators.vocabulary.filter_settings import Typed, multiples, typed
from calculators.vocabulary.responses import Places, level_axis, response_chart

NUMBER_IS_ENOUGH = 0.3
"""dB of RMS over what the most filters leave: fewer are enough then."""
MOVES = 1.0
"""dB between two volumes: over it the feed has a tone of its own at each. Common practice, no source."""
FLAT_ENOUGH = 1.0
FLAT_ALREADY = "nothing: it is flat enough"
NOT_YET = "nothing yet: prove the sum first"
NONE_HELPS = "nothing: no filter within these limits helps enough"
ON_ONE_ANOTHER = 1 / 6
"""Octaves within which filters of one kind and one sign do the work of one."""
SKIRT = 3.0
"""dB under a feed's own level where its skirts begin, and the most they are lifted. Common practice."""
MUCH_BOOST = 6.0
ADJUSTABLE_SHELF = (0.5, 1.0)


@dataclass(frozen=True, kw_only=True)
class ByNumber:
    """What a number of filters leaves."""

    filters: Annotated[float, Output("Filters", COUNT, decimals=0)]
    rms: Annotated[
        float, Output("Left, RMS, of what the limits let them do, what moves counted less", LEVEL, decimals=2)
    ]


def aim_at(feed: Feed, target: Curve | None) -> FloatArray:
    """Levels of the target at the feed's places, dB."""
    if target is None:
        return np.zeros_like(feed.places)
    check_levels("target", target)
    return curve_parts.averaged(feed.places, target.frequency, target.level)


def asked_of(
    feed: Feed, level: FloatArray, aim: FloatArray, limits: flattening.Task, rolls_off: tuple[bool, bool]
) -> flattening.Task:
    """The task: from a level to an aim, dB, with the limits of another task.

    What is asked for ends at the boost allowed, over the middle of what is wanted. On the skirts
    of a feed that rolls off it ends at 3 dB.
    """
    wanted = aim - level
    wanted = np.minimum(wanted - np.median(wanted), limits.max_boost)
    inside = np.flatnonzero(level >= np.median(level) - SKIRT)
    skirts = np.zeros_like(wanted, dtype=bool)
    skirts[: inside[0]], skirts[inside[-1] + 1 :] = rolls_off
    wanted = np.where(skirts, np.minimum(wanted, SKIRT), wanted)
    return replace(limits, frequency=feed.places, wanted=wanted)


def loudest_of(feed: Feed, other: Curve | None) -> FloatArray:
    """Levels, dB, that show a feed's loudest tone: of the other volume, the ceiling step, where given."""
    if other is None:
        return feed.level
    return curve_parts.averaged(feed.places, other.frequency, other.level)


def hiss_change(places: FloatArray, does: FloatArray) -> float:
    """By how much, dB, filters change a white noise between their first place, Hz, and their last."""
    return 10.0 * math.log10(float(np.average(10.0 ** (does / 10.0), weights=places)))


def shelf_limits(shelves: str) -> tuple[tuple[int, int], tuple[float, float]]:
    """How many low and high shelves there may be, and between which Q."""
    if shelves == "none":
        return (0, 0), ADJUSTABLE_SHELF
    return (1, 1), (FLATTEST_Q, FLATTEST_Q) if shelves == "fixed" else ADJUSTABLE_SHELF


def moved_weight(feed: Feed, curve: Curve, other: Curve | None) -> tuple[FloatArray, tuple[LeftAlone, ...]]:
    """Weights by how much the feed changes with the volume, and where it does. Raises InputError where it "
    "is most."""
    if other is None:
        return feed.weight, ()
    check_levels("other_step", other)
    here, there = (curve_parts.averaged(feed.places, each.frequency, each.level) for each in (curve, other))
    apart, most = curve_parts.moved(feed.places, here, there, MOVES)
    moves = np.abs(apart) > MOVES
    if np.mean(moves) > 0.5:
        raise InputError(
            "other_step",
            f"The feed changes by up to {abs(most.most):.1f} dB with the volume, over more than half of the "
            "band: no fixed filter is right. Pin its tone controls, take an earlier or digital source, or "
            "accept it.",
        )
    if not np.any(moves):
        return feed.weight, ()
    row = LeftAlone(
        low=float(feed.places[most.low]),
        high=float(feed.places[most.high]),
        dip_depth=abs(most.most),
        width=f"{(most.high - most.low + 1) / curve_parts.PER_OCTAVE:.2g} octaves",
        wanders=None,
        verdict="moves with the volume",
        reason="a fixed filter is right at one volume only: it counts less, set for the first curve.",
    )
    return np.where(moves, feed.weight / (1 + apart**2), feed.weight), (row,)


def roll_off_rows(whole: Feed, first: int, last: int) -> tuple[LeftAlone, ...]:
    """What lies beyond the feed's own ends."""
    own = float(np.median(whole.level[first : last + 1]))
    ends = [(0, first - 1, 0)] if first > 0 else []
    if last < whole.places.size - 1:
        ends.append((last + 1, whole.places.size - 1, -1))
    return tuple(
        LeftAlone(
            low=float(whole.places[start]),
            high=float(whole.places[end]),
            dip_depth=own - float(whole.level[edge]),
            width=f"{(end - start + 1) / curve_parts.PER_OCTAVE:.2g} octaves",
            wanders=None,
            verdict="the feed's own end",
            reason="it is more than 10 dB down: lifting it brings up noise and takes the amplifier's power.",
        )
        for start, end, edge in ends
    )


def fitted_bands(task: flattening.Task, q: float, gain_step: float) -> Typed:
    """The 31 bands that lie in the band, with their gains alone moved."""
    centres = bands.exact_third_octaves()
    inside = np.flatnonzero((centres >= task.frequency[0]) & (centres <= task.frequency[-1]))
    own, zero = replace(task, q_low=q, q_high=q), np.zeros(inside.size)
    values = np.column_stack([np.log(centres[inside]), zero, zero + np.log(q)])
    found = flattening.Found(own, np.zeros(inside.size, dtype=np.int64), values, np.inf)
    gains = multiples(gain_step, -task.max_cut, task.max_boost)
    names = np.asarray(bands.NOMINAL_THIRD_OCTAVES)
    steps = Settable(centres[inside], names[inside], gains, np.array([q]), "half-gain")
    return typed(flattening.polished(found, 60, fixed=(0, 2), least=1e-8), steps, fixed=True)


def error_left(feed: Feed, aim: FloatArray, level: FloatArray, found: flattening.Found) -> FloatArray:
    """What stands between a level, filtered, and the aim, dB; the common level of the task taken out."""
    share = found.task.share
    filtered = found.task.goal - found.left
    error = level - aim + filtered
    return np.asarray(error - share @ error, dtype=np.float64)


def before_and_after(feed: Feed, aim: FloatArray, found: flattening.Found) -> Chart:
    """The curve as measured and as filtered, over its target."""
    before = error_left(feed, aim, feed.level, flattening.nothing(found.task))
    after = error_left(feed, aim, feed.level, found)
    return response_chart(
        "Over the target, before and after",
        Places(feed.places, feed.places[:: curve_parts.PER_OCTAVE // 3]),
        {"Before": before, "After": (after, "main")},
        level_axis(before, after),
        read_at=float(feed.places[feed.places.size // 2]),
    )


def unproven(left_alone: tuple[LeftAlone, ...]) -> bool:
    """Whether a dip stands that only polarity and delay can fill."""
    return any(row.verdict in UNPROVEN for row in left_alone)


def forbidden(worst: float, settings: Typed) -> str:
    """What the farthest place asks for, "lift" or "cut", where no filter may do a step of it."""
    gains = settings.steps.gain
    if worst < 0:
        return "" if gains[-1] > 0 else "lift"
    return "" if gains[0] < 0 else "cut"


def no_filter(worst: float, settings: Typed, left_alone: tuple[LeftAlone, ...]) -> str:
    """What the answer says where no filter is placed."""
    if unproven(left_alone):
        return NOT_YET
    if round(abs(worst), 1) <= FLAT_ENOUGH:
        return FLAT_ALREADY
    way = forbidden(worst, settings)
    return f"nothing: these limits allow no {way}" if way else NONE_HELPS


def filters_in_short(count: int, why_none: str) -> str:
    """How many filters are to be set, or in 16 signs why none is."""
    if count:
        return f"{count} filter{'s' if count > 1 else ''}"
    short = {NOT_YET: "not yet", FLAT_ALREADY: "none needed", NONE_HELPS: "none helps"}
    return short.get(why_none, "limits forbid")


def stacked(settings: Typed) -> tuple[Advice, ...]:
    """Where filters stand on one another because none may do more."""
    most = settings.steps.gain[0], settings.steps.gain[-1]
    held = [row for row in settings.numbers() if row[2] in most]
    groups = (
        [
            other
            for other in held
            if other[0] == row[0]
            and other[2] == row[2]
            and abs(math.log2(other[1] / row[1])) <= ON_ONE_ANOTHER
        ]
        for row in held
    )
    group = max(groups, key=len, default=[])
    if len(group) < 2:
        return ()
    _, frequency, gain, _ = group[0]
    return (
        Advice(
            "filters",
            f"{len(group)} filters stand at about {_plain(frequency)} Hz and {'lift' if gain > 0 else 'cut'} "
            f"up to {len(group) * abs(gain):.1f} dB together: the limit is of each filter, not of their sum. "
            "Allow one to do more, and it spares you the others; or ask for fewer.",
        ),
    )


def _plain(frequency: float) -> str:
    return f"{float(f'{frequency:.3g}'):g}"


def flat_advice(
    lift: float, worst: float, worst_frequency: float, left_alone: tuple[LeftAlone, ...], settings: Typed
) -> tuple[Advice, ...]:
    """What the reader should look at before the filters are typed in."""
    advice = []
    way = forbidden(worst, settings)
    allow = f"a {way}" if way else "more filters"
    if any(row.verdict == TOO_DEEP for row in left_alone):
        advice.append(Advice("settings", "A null this deep is no proven sum: back to feed-sum."))
    if round(lift, 1) > MUCH_BOOST:
        advice.append(
            Advice(
                "lift",
                f"A lift of {lift:.1f} dB asks {10 ** (lift / 10):.1f} times the power there, as loud as "
                "before in the middle: run the gain chain again with it, or allow less.",
            )
        )
    if round(abs(worst), 1) > FLAT_ENOUGH and not unproven(left_alone):
        advice.append(
            Advice(
                "worst",
                f"At {_plain(worst_frequency)} Hz it stays {abs(worst):.1f} dB from the target, "
                f"more than the 1 dB that is accepted for a feed: see what is left alone, allow {allow}, "
                "or write it down.",
            )
        )
    dips = sum(row.verdict in DIPS for row in left_alone)
    if dips:
        advice.append(
            Advice(
                "left_alone",
                f"{dips} {'dip is' if dips == 1 else 'dips are'} not filled: the table says why.",
            )
        )
    return (*advice, *stacked(settings))
