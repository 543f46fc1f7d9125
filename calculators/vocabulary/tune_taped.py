"""What the tape tells of a tune's channels: slips of its own, and arrivals that it does not bear out."""

from collections.abc import Iterator, Sequence

from calculators.declaring import Advice
from calculators.vocabulary.tune_channels import TunedChannel
from calculators.vocabulary.tune_plan import SEAT_NAMES, Channel, meetings, twins

MEETING_APART, TWINS_APART = 0.6, 2.0
"""m by which a tweeter and the woofer it meets, and left and right of a kind, are taped apart at most before
it is told. Common practice, no source."""
OFF_TAPE = 0.15e-3
"""s by which an arrival may be off what the tape says before it is told: 5 cm. Our own rule."""
LATE_BY_LOW_PASS = 0.3
"""Of a cycle of its low-pass: so much later its sound seems to begin, at most. In simulated cabins up to a
quarter."""
PLAYS_HIGH = 2000.0
"""Hz: what plays up to there begins sharply enough to hold the others against."""


def slips(channels: tuple[Channel, ...], taped: Sequence[TunedChannel], seats: int) -> tuple[Advice, ...]:
    """Distances so far apart that one of them looks like a slip of the tape or of the keys.

    ``channels``: the rows ``taped`` as a plan has them.
    """
    pairs = [
        (high, low, MEETING_APART)
        for low, high, _ in meetings(channels)
        if channels[high].side == channels[low].side
    ]
    pairs += [(channels.index(left), channels.index(right), TWINS_APART) for left, right in twins(channels)]
    words = []
    for seat in range(seats):
        for pair in pairs:
            words += _apart(taped, seat, *pair)
    if not words:
        return ()
    return (Advice("channels", f"Taped {'; '.join(words)}: a slip, or a wrong unit? Tape both again."),)


def _apart(taped: Sequence[TunedChannel], seat: int, one: int, other: int, most: float) -> list[str]:
    found = [(metres, taped[n].name) for n in (one, other) if (metres := _metres(taped[n], seat)) is not None]
    (near, first), (far, last) = min(found, default=(0.0, "")), max(found, default=(0.0, ""))
    if round(far - near, 6) <= most:
        return []
    return [f"{last} {100 * (far - near):.0f} cm farther from the {SEAT_NAMES[seat].lower()} than {first}"]


def _metres(taped: TunedChannel, seat: int) -> float | None:
    return (taped.distance, taped.distance_2)[seat]


def off_tape(
    channels: tuple[Channel, ...], taped: Sequence[TunedChannel], seats: int, speed: float
) -> tuple[Advice, ...]:
    """Measured arrivals of tweeters and woofers that the tape does not bear out, each against the others.

    ``channels``: the rows ``taped`` as measured. ``speed``: of sound, m/s. Where only one was taped at a seat
    there is nothing to hold it against.
    """
    words = [words for seat in range(seats) for words in _off_tape(channels, taped, seat, speed)]
    if not words:
        return ()
    return (
        Advice(
            "measurements",
            f"By the tape, against the other channels, {'; '.join(words)}. Was it measured on another clock, "
            "or another point taped? Find out which, and mend it before a delay is typed in.",
        ),
    )


def _off_tape(
    channels: tuple[Channel, ...], taped: Sequence[TunedChannel], seat: int, speed: float
) -> Iterator[str]:
    late = {
        channel: channel.arrival[seat] - metres / speed
        for channel, each in zip(channels, taped, strict=True)
        if channel.kind != "subwoofer" and (metres := _metres(each, seat)) is not None
    }
    sharp = [time for each, time in late.items() if (each.low_pass or PLAYS_HIGH) >= PLAYS_HIGH]
    if not late:
        return
    # Of two that disagree nobody can tell which is right: the later one is told.
    ranked = sorted(sharp or late.values())
    usual = ranked[(len(ranked) - 1) // 2]
    for channel, time in late.items():
        own = LATE_BY_LOW_PASS / channel.low_pass if channel.low_pass else 0.0
        off = time - usual
        if not -OFF_TAPE <= round(off, 9) <= max(OFF_TAPE, own):
            way = "later" if off > 0 else "earlier"
            yield f"{channel.name} reaches the {SEAT_NAMES[seat].lower()} {1000 * abs(off):.2f} ms {way}"
