"""What a tuning sheet says of its subwoofers: polarity, what their joins lose, and where they stand."""

import math

from calculators.declaring import Advice
from calculators.vocabulary import tune_bass
from calculators.vocabulary.tune_plan import Tune
from calculators.vocabulary.tune_sheet import bass_rows

BETTER_TURNED = 0.5
"""dB, from 50 to 125 Hz on average, from which on it is told that a subwoofer joins better turned."""
BASS_LOSES = 0.5
"""dB, from 50 to 125 Hz on average over the points, from which on what a subwoofer's join loses is told. The
limit of the page on joining: common practice, no source."""


def polarity_advice(found: Tune) -> list[Advice]:
    """What to do where a processor has no polarity switch for a subwoofer that joins better turned."""
    plan, notes = found.plan, []
    for number, (channel, setting) in enumerate(zip(plan.channels, found.settings, strict=True)):
        if channel.kind != "subwoofer":
            continue
        by_wire = (
            "amplifier off, swap its two wires at the amplifier, write that on the job sheet, and measure it "
            "again"
        )
        if setting.sign != channel.sign:
            notes.append(
                Advice(
                    "turn_bass",
                    f"{channel.name} is turned for its join. If its processor has no polarity switch, untick "
                    f"“The subwoofer's polarity may be chosen” for the best delay without; or {by_wire}.",
                )
            )
        elif not plan.turn_bass and (better := tune_bass.better_turned(found, number)) > BETTER_TURNED:
            notes.append(
                Advice(
                    "turn_bass",
                    f"{channel.name} loses {better:.1f} dB less where it joins, once turned. Without a "
                    f"polarity switch: {by_wire}.",
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
    """Subwoofers that stand at the end of their search, and those that another polarity would join better.

    The finished filters are in, which the search had not; loss proves neither polarity nor cycle, the burst
    does.
    """
    notes = []
    for number, (channel, setting) in enumerate(zip(found.plan.channels, found.settings, strict=True)):
        place = tune_bass.standing(found, number) if channel.kind == "subwoofer" else None
        if place is None or not (place.at_the_end or (found.plan.turn_bass and place.turned_better)):
            continue
        parts = [f"{channel.name} as on the sheet costs {place.cost:.2f} dB, mean loss and half its spread"]
        if place.at_the_end:
            way = "before" if place.behind < 0 else "after"
            parts.append(
                f"it stands {1e3 * abs(place.behind):.1f} ms {way} what plays above it, at the end of its "
                "search, and its least lies beyond"
            )
        offered = found.plan.turn_bass and math.isfinite(place.turned)
        if offered:
            turned = "turned" if setting.sign == channel.sign else "as proven"
            moved = _moved(place.turned_by, setting.delay)
            parts.append(f"{turned} and {moved} it costs {place.turned:.2f} dB")
        others = "so" if offered else "a cycle on"
        notes.append(
            Advice(
                "channels",
                f"{'; '.join(parts)}. Play the burst as it is and {others}, and keep what starts "
                "together with the doors.",
            )
        )
    return notes


def _moved(by: float, delay: float) -> str:
    """By how much a subwoofer is moved, s, whose delay on the sheet is so long, s."""
    if by >= 0:
        return f"{1e3 * by:.2f} ms later"
    others = ", or all others later," if delay + by < 0 else ""
    return f"{-1e3 * by:.2f} ms earlier{others}"
