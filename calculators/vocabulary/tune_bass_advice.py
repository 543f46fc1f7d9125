"""What a tuning sheet says of its subwoofers: polarity, what their joins lose, and where they stand."""

import math

from calculators.declaring import Advice
from calculators.vocabulary import tune_bass, tune_channels
from calculators.vocabulary.tune_plan import Tune
from calculators.vocabulary.tune_sheet import bass_rows

MAY_BE_CHOSEN = f"“{tune_channels.TURN_BASS.label}”"
BY_THE_BURST = f"“{tune_channels.TURNED_BY_BURST.label}”"
ELSE = "try another low-pass, and measure again"
WITH_BOTH = " with left and right"
BASS_LOSES = 0.5
"""dB, from 50 to 125 Hz on average over the points, from which on what a subwoofer's join loses is told. The
limit of the page on joining: common practice, no source."""


def polarity_advice(found: Tune) -> list[Advice]:
    """What to do where a processor has no polarity switch for a subwoofer that is turned."""
    notes = []
    for channel, setting in zip(found.plan.channels, found.settings, strict=True):
        if channel.kind != "subwoofer" or setting.sign == channel.sign:
            continue
        untick = "" if channel.turned else f"untick {MAY_BE_CHOSEN} for the best delay without; or "
        # Named there still, it would be turned a second time, back into what the burst disproved.
        rename = " Take its name out of “Turned by the burst” then." if channel.turned else ""
        notes.append(
            Advice(
                "turn_bass",
                f"{channel.name} is turned for its join. If its processor has no polarity switch, {untick}"
                "amplifier off, swap its two wires at the amplifier, write that on the job sheet, and "
                f"measure it again.{rename}",
            )
        )
    return notes


def bass_advice(found: Tune) -> list[Advice]:
    """Which joins of subwoofers lose more than joining allows."""
    names = [join.name for join in bass_rows(found) if round(join.lost, 2) < -BASS_LOSES]
    if not names:
        return []
    several = [each.kind for each in found.plan.channels].count("subwoofer") > 1
    ways = "Try another low-pass, or mute one subwoofer," if several else "Try another low-pass"
    return [
        Advice(
            "channels",
            f"Loses more than {BASS_LOSES:g} dB from 50 to 125 Hz: {'; '.join(names)}. {ways} and measure "
            "again.",
        )
    ]


def standing_advice(found: Tune) -> list[Advice]:
    """Subwoofers that stand at the end of their search, that another polarity would join better, or that may
    stand a whole cycle off: one word of each, with what to do in its order.

    The finished filters are in, which the search had not; loss proves neither polarity nor cycle, the burst
    does: what it showed is not asked for again, and what a search may not choose, it may.
    """
    notes, cycles = [], _cycles_off(found)
    for number, (channel, setting) in enumerate(zip(found.plan.channels, found.settings, strict=True)):
        place = tune_bass.standing(found, number) if channel.kind == "subwoofer" else None
        if place is None:
            continue
        acts, parts = f"Play the burst: where it does not start together with the doors, {ELSE}.", []
        if place.at_the_end or (place.turned_better and not channel.turned):
            parts.append(f"costs {place.cost:.2f} dB as on the sheet, mean loss and half its spread")
            parts += _at_the_end(place)
            if math.isfinite(place.turned) and not channel.turned:
                as_proven = setting.sign == channel.sign
                other = (
                    f"{'turned' if as_proven else 'as proven'} and {_moved(place.turned_by, setting.delay)}"
                )
                parts.append(f"{other} it costs {place.turned:.2f} dB")
                acts = _both_ways(other, as_proven)
        if channel.name in cycles:
            parts.append(f"by the slope of the phase it stands {cycles[channel.name]}")
        if parts:
            notes.append(Advice("channels", f"{channel.name}: {'; '.join(parts)}. {acts}"))
    return notes


def _at_the_end(place: tune_bass.Standing) -> list[str]:
    """Where a subwoofer stands that is at the end of its search."""
    if not place.at_the_end:
        return []
    way = f"{1e3 * abs(place.behind):.1f} ms {'before' if place.behind < 0 else 'after'}"
    return [f"it stands {way} what plays above it, at the end of its search, and its least lies beyond"]


def _both_ways(other: str, as_proven: bool) -> str:
    """Which burst to play first and which then, and what follows from each."""
    way = f"type its name under {BY_THE_BURST}" if as_proven else f"untick {MAY_BE_CHOSEN}"
    return (
        "Play the burst as on the sheet first: where it starts together with the doors, keep the sheet. Else "
        f"play it {other}: where it starts together so, {way}, and make the sheet again, for its filters are "
        f"made for this one. Where neither starts together, {ELSE}."
    )


def _cycles_off(found: Tune) -> dict[str, str]:
    """By name the subwoofers that by the slope of the phase may stand a cycle from what plays above."""
    cycles = {}
    for words, join in tune_bass.bass_joins(found):
        late = join.late_by_slope()
        if words.endswith(WITH_BOTH) and abs(late) > 1 / (2 * join.middle):
            way = "late" if late > 0 else "early"
            cycles[words.removesuffix(WITH_BOTH)] = f"about a cycle, {1e3 / join.middle:.1f} ms, {way}"
    return cycles


def _moved(by: float, delay: float) -> str:
    """By how much a subwoofer is moved, s, whose delay on the sheet is so long, s."""
    if by >= 0:
        return f"{1e3 * by:.2f} ms later"
    others = ", or all others later," if delay + by < 0 else ""
    return f"{-1e3 * by:.2f} ms earlier{others}"
