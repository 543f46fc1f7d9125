"""Time alignment for two seats: one set of delays that is fair to both, and what each gives up."""

from dataclasses import dataclass
from math import sqrt
from typing import Annotated

from calculators.declaring import (
    Advice,
    Chart,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.quantities import ANGLE, COUNT, FREQUENCY, LENGTH, RATIO, SPEED, TIME
from calculators.physics import air, two_seats
from calculators.vocabulary.responses import HIGHEST_HEARD, LOWEST_HEARD
from calculators.vocabulary.seat_pairs import (
    Heard,
    Meeting,
    farthest_apart,
    long_delays,
    meetings,
    opposed_from,
    pair_chart,
    rounded_apart,
)
from calculators.vocabulary.speakers import EXTRA_LATENCY, LATER_THAN_TAPED
from calculators.vocabulary.surroundings import AIR_TEMPERATURE

# Degrees at a join beyond which a sum has lost 1.25 dB.
MUCH_TURNED = 60.0


@dataclass(frozen=True)
class SharedSpeaker:
    """A speaker, how far it is from two heads, and what it plays."""

    name: Annotated[str, Text("Speaker")]
    distance_1: Annotated[
        float, Number("To the first head", LENGTH, 0.05, 10, show="cm", usual=(0.2, 4), units=("m", "in"))
    ]
    distance_2: Annotated[
        float, Number("To the second head", LENGTH, 0.05, 10, show="cm", usual=(0.2, 4), units=("m", "in"))
    ]
    low: Annotated[
        float | None,
        Number(
            "Plays from",
            FREQUENCY,
            10,
            20e3,
            units=("kHz",),
            optional=True,
            empty="20 Hz",
            help="Its high-pass.",
        ),
    ] = None
    high: Annotated[
        float | None,
        Number(
            "to", FREQUENCY, 10, 20e3, units=("kHz",), optional=True, empty="20 kHz", help="Its low-pass."
        ),
    ] = None
    latency: Annotated[float, EXTRA_LATENCY] = 0.0
    late: Annotated[float, LATER_THAN_TAPED] = 0.0


@dataclass(frozen=True, kw_only=True)
class FairDelay:
    """What to set for one speaker, and how far it then is from the mean of its seat."""

    name: Annotated[str, OutputText("Speaker")]
    delay: Annotated[float, Output("Delay", TIME, show="ms", decimals=3)]
    set_delay: Annotated[float, Output("Nearest step", TIME, show="ms", decimals=3)]
    samples: Annotated[int, Output("Samples", COUNT, decimals=0)]
    error_1: Annotated[float, Output("Late at the first head", TIME, show="ms", decimals=3)]
    error_2: Annotated[float, Output("at the second", TIME, show="ms", decimals=3)]


@dataclass(frozen=True, kw_only=True)
class SharedPair:
    """Two speakers with notes in common: by how much the second is late, and what comes of it."""

    first: Annotated[str, OutputText("Speaker")]
    second: Annotated[str, OutputText("and")]
    meet: Annotated[str, OutputText("They meet")]
    late_1: Annotated[float, Output("Late at the first head", TIME, show="ms", decimals=3)]
    late_2: Annotated[float, Output("at the second", TIME, show="ms", decimals=3)]
    phase_1: Annotated[float | None, Output("At the join, first head", ANGLE, decimals=0, none="–")]
    phase_2: Annotated[float | None, Output("second", ANGLE, decimals=0, none="–")]
    adds_to: Annotated[
        float | None, Output("They add at both up to", FREQUENCY, figures=3, trim=True, none="all of it")
    ]


@dataclass(frozen=True, kw_only=True)
class TwoSeatDelays:
    """One set of delays for two seats, and what is left at each."""

    settings: Annotated[str, OutputText("Set, in ms", main=True, brief="longest_delay")]
    longest_delay: Annotated[str, OutputText("Longest delay")]
    opposed_low: Annotated[
        float | None, Output("The farthest pair opposes from", FREQUENCY, decimals=0, none="nowhere")
    ]
    opposed_centre: Annotated[float | None, Output("most at", FREQUENCY, decimals=0, none="nowhere")]
    opposed_high: Annotated[float | None, Output("to", FREQUENCY, decimals=0, none="nowhere")]
    farthest: Annotated[str, OutputText("That pair")]
    speakers: Annotated[tuple[FairDelay, ...], OutputRows("Delays to set", copy=True)]
    pairs: Annotated[tuple[SharedPair, ...], OutputRows("What they leave, pair by pair")]
    error_rms: Annotated[float, Output("Arrival errors over both seats, RMS", TIME, show="ms", decimals=3)]
    speed: Annotated[float, Output("Speed of sound", SPEED, decimals=1)]
    chart: Annotated[Chart, OutputChart("The farthest pair at each seat")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Delay for two seats",
    example={
        "speakers": [
            {"name": "Left woofer", "distance_1": 0.98, "distance_2": 1.47, "low": 80.0, "high": 3000.0},
            {"name": "Right woofer", "distance_1": 1.47, "distance_2": 0.98, "low": 80.0, "high": 3000.0},
            {"name": "Subwoofer", "distance_1": 1.92, "distance_2": 1.94, "high": 80.0},
        ],
        "temperature": 24.0,
    },
    sources=("iso-9613-1", "geometry-of-arrival", "phasor-sum", "least-squares"),
    equations=(
        "speed = 343.2*sqrt((temperature + 273.15)/293.15)",
        "arrival = (seat_share*distance_1 + (1 - seat_share)*distance_2)/speed + latency + late",
        "delay = latest_arrival - arrival",
    ),
)
def delay_two_seats(
    speakers: Annotated[
        tuple[SharedSpeaker, ...],
        Rows(
            "Speakers",
            "speaker",
            at_least=2,
            at_most=8,
            help="Tape from the cone to a point between the ears, for each of two people.",
        ),
    ],
    seat_share: Annotated[
        float,
        Number(
            "Weight of the first seat",
            RATIO,
            0,
            1,
            show="%",
            help="50: both alike. 100: the first seat alone.",
        ),
    ] = 0.5,
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
    step: Annotated[
        float, Number("Step the processor can set", TIME, 1e-7, 1e-2, show="ms", units=("µs",), seldom=True)
    ] = 1e-5,
    sample_rate: Annotated[
        float,
        Number(
            "Sample rate of the processor",
            FREQUENCY,
            8e3,
            384e3,
            show="kHz",
            usual=(44.1e3, 192e3),
            seldom=True,
        ),
    ] = 48e3,
) -> TwoSeatDelays:
    """One set of delays that errs least at two seats together, and what each seat is left with.

    Each delay is that of the mean of both distances, by their weights: the least squares of all arrival
    errors. Errors and pairs are told of the delays as they are typed, in the processor's steps. With weights
    alike a mirrored pair gets no delay between left and right, and at each seat the near side comes first:
    no setting puts a voice before both people. Free field; a cabin blurs the edges.
    """
    speed = air.speed_of_sound(temperature)
    first = [each.distance_1 / speed + each.latency + each.late for each in speakers]
    second = [each.distance_2 / speed + each.latency + each.late for each in speakers]
    ranges = [_range(place, each) for place, each in enumerate(speakers)]
    waited = two_seats.fair_waits(first, second, seat_share)
    # Mirrored speakers get one delay to the last digit but one: the same step for both.
    typed = [round(round(wait / step, 6)) * step for wait in waited]
    exact, heard = (
        [
            Heard(each.name, *band, (one + wait, other + wait))
            for each, band, one, other, wait in zip(speakers, ranges, first, second, delays, strict=True)
        ]
        for delays in (waited, typed)
    )
    means = [sum(each.arrivals[seat] for each in heard) / len(heard) for seat in (0, 1)]
    rows = tuple(
        FairDelay(
            name=each.name,
            delay=wait,
            set_delay=steps,
            samples=round(wait * sample_rate),
            error_1=each.arrivals[0] - means[0],
            error_2=each.arrivals[1] - means[1],
        )
        for each, wait, steps in zip(heard, waited, typed, strict=True)
    )
    fair, found = meetings(exact), meetings(heard)
    apart = farthest_apart(found)
    low = None if apart is None else _within(opposed_from(apart.worst))
    squares = [row.error_1**2 + row.error_2**2 for row in rows]
    return TwoSeatDelays(
        settings=", ".join(f"{row.name} {1e3 * row.set_delay:.3f}" for row in rows),
        longest_delay=f"{1e3 * max(row.set_delay for row in rows):.3f} ms",
        opposed_low=low,
        opposed_centre=None if low is None else 2 * low,
        opposed_high=None if low is None else 3 * low,
        farthest="none opposes in a band of its own"
        if apart is None
        else f"{apart.first} and {apart.second}",
        speakers=rows,
        pairs=tuple(_pair(meeting) for meeting in found),
        error_rms=sqrt(sum(squares) / (2 * len(rows))),
        speed=speed,
        chart=pair_chart(apart),
        advice=(
            *long_delays([row.name for row in rows], typed),
            *_advice(fair, rounded_apart(fair, found), seat_share, step),
        ),
    )


def _range(place: int, speaker: SharedSpeaker) -> tuple[float, float]:
    low = LOWEST_HEARD if speaker.low is None else speaker.low
    high = HIGHEST_HEARD if speaker.high is None else speaker.high
    if low >= high:
        raise InputError(f"speakers[{place}].high", "It must lie above the frequency from which it plays.")
    return low, high


def _within(frequency: float) -> float | None:
    """A frequency that can be heard, or None."""
    return frequency if frequency < HIGHEST_HEARD else None


def _pair(meeting: Meeting) -> SharedPair:
    return SharedPair(
        first=meeting.first,
        second=meeting.second,
        meet=meeting.words,
        late_1=meeting.late[0],
        late_2=meeting.late[1],
        phase_1=meeting.phases[0],
        phase_2=meeting.phases[1],
        adds_to=_within(opposed_from(meeting.worst)),
    )


def _advice(
    fair: tuple[Meeting, ...], rounded: tuple[str, ...], share: float, step: float
) -> tuple[Advice, ...]:
    advice = []
    if rounded:
        text = (
            f"Rounded to a step of {1000 * step:g} ms, these end up apart by rounding alone: "
            f"{'; '.join(rounded)}. Look for a finer step, set them by samples, or, where that is over half "
            "a step, round both the same way, up or down."
        )
        advice.append(Advice("step", text))
    turned = [
        meeting
        for meeting in fair
        if any(phase is not None and abs(phase) > MUCH_TURNED for phase in meeting.phases)
    ]
    if turned:
        names = "; ".join(f"{each.first} and {each.second}" for each in turned)
        shared = (
            ""
            if share in (0.0, 1.0)
            else " These delays share it already, by the weights: any other makes one of the seats worse."
        )
        text = (
            f"Turned by more than {MUCH_TURNED:.0f}° at a join, at one seat or both: {names}.{shared} Cross "
            "lower, never under the lowest safe frequency, or place tweeter and woofer nearer to one "
            "another; or write both angles on the sheet."
        )
        if any(abs(phase or 0.0) > 180 for each in turned for phase in each.phases):
            text += " Over 180° no join check tells anything."
        advice.append(Advice("pairs", text))
    if share in (0.0, 1.0):
        advice.append(
            Advice("seat_share", "That is one seat alone: the other one gets whatever is left over.")
        )
    return tuple(advice)
