"""Two stored positions: the driver's own beside the one for both seats, and what each seat gets."""

from dataclasses import dataclass, replace
from typing import Annotated

from calculators.declaring import Output, OutputText, Steps, anew
from calculators.declaring.quantities import LEVEL, TIME
from calculators.vocabulary.tune_plan import SEAT_NAMES, Plan, Tune
from calculators.vocabulary.tune_sheet import channel_rows
from calculators.vocabulary.tune_steps import tuned

OWN = "The driver's own position"


@dataclass(frozen=True, kw_only=True)
class Position:
    """One channel in two stored positions."""

    name: Annotated[str, OutputText("Channel")]
    own_delay: Annotated[float, Output("Driver alone: delay", TIME, show="ms", decimals=3)]
    shared_delay: Annotated[float, Output("Both: delay", TIME, show="ms", decimals=3)]
    own_gain: Annotated[float, Output("Driver alone: gain", LEVEL, decimals=1)]
    shared_gain: Annotated[float, Output("Both: gain", LEVEL, decimals=1)]
    polarity: Annotated[str, OutputText("Polarity")]


@dataclass(frozen=True, kw_only=True)
class Compromise:
    """What a seat gets from each of two stored positions."""

    name: Annotated[str, OutputText("Seat")]
    before: Annotated[float, Output("RMS, levels set alone", LEVEL, decimals=2)]
    own: Annotated[float, Output("Driver alone: RMS", LEVEL, decimals=2)]
    shared: Annotated[float, Output("Both: RMS", LEVEL, decimals=2)]
    own_late: Annotated[
        float | None, Output("Driver alone: sides arrive apart by", TIME, show="ms", decimals=2)
    ]
    shared_late: Annotated[float | None, Output("Both: sides arrive apart by", TIME, show="ms", decimals=2)]


def driver_alone(plan: Plan) -> Plan:
    """The same system tuned for its first seat alone."""
    return replace(
        plan,
        channels=tuple(replace(each, arrival=each.arrival[:1]) for each in plan.channels),
        gains=plan.gains[:1],
        targets=plan.targets[:1],
        weights=(1.0,),
    )


def own_position(shared: Tune) -> Steps[Tune]:
    """The tune for the first seat alone, with as many filters as the shared one.

    Its delays are that seat's own, so that both sides arrive there at once: with a filter a channel it can
    stand farther off the target than the shared one, filters moved however they may be.
    It begins from the shared one as well. Where that still stands better at the very points that were
    measured, filters are made for those, and the better is taken.
    """
    plan = driver_alone(shared.plan)
    own = yield from anew(tuned(plan, shared.count, other=shared.settings), OWN)
    if round(own.seats_off[0], 2) <= round(shared.seats_off[0], 2):
        return own
    work = tuned(replace(plan, between=False), shared.count, other=own.settings)
    closer = yield from anew(work, f"{OWN}, nearer at the points")
    return min(own, closer, key=lambda tune: round(tune.seats_off[0], 6))


def positions(own: Tune, shared: Tune) -> tuple[Position, ...]:
    """Two stored positions side by side, channel by channel."""
    rows = []
    for one, both in zip(channel_rows(own.plan, own.settings, True),
                         channel_rows(shared.plan, shared.settings, True), strict=True):  # fmt: skip
        alike = one.polarity == both.polarity
        rows.append(
            Position(
                name=one.name,
                own_delay=one.delay,
                shared_delay=both.delay,
                own_gain=one.gain,
                shared_gain=both.gain,
                polarity=one.polarity if alike else f"{one.polarity}; for both {both.polarity}",
            )
        )
    return tuple(rows)


def compromise(own: Tune, shared: Tune, before: Tune) -> tuple[Compromise, ...]:
    """What each seat gets in either position: how far off the target, and how far apart in time its sides."""
    in_both = replace(own, plan=shared.plan)
    off = [each.seats_off.tolist() for each in (before, in_both, shared)]
    return tuple(
        Compromise(
            name=SEAT_NAMES[seat],
            before=off_before,
            own=off_own,
            shared=off_shared,
            own_late=sides_late(in_both, seat),
            shared_late=sides_late(shared, seat),
        )
        for seat, (off_before, off_own, off_shared) in enumerate(zip(*off, strict=True))
    )


def sides_late(tune: Tune, seat: int) -> float | None:
    """The most by which left and right of a kind arrive apart at a seat, s; None without a pair."""
    arrives: dict[tuple[str, int], list[float]] = {}
    for channel, setting in zip(tune.plan.channels, tune.settings, strict=True):
        arrives.setdefault((channel.kind, channel.side), []).append(channel.arrival[seat] + setting.delay)
    apart = [
        abs(left - right)
        for (kind, side), found in arrives.items()
        if side < 0
        for left in found
        for right in arrives.get((kind, 1), ())
    ]
    return max(apart, default=None)
