"""Time alignment: delays that make all speakers arrive together."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, OutputRows, OutputText, Rows, Text, calculator
from calculators.declaring.quantities import ANGLE, COUNT, FREQUENCY, LENGTH, SPEED, TIME
from calculators.physics import air, arrivals
from calculators.vocabulary.speakers import EXTRA_LATENCY, LATER_THAN_TAPED
from calculators.vocabulary.surroundings import AIR_TEMPERATURE

LONG_DELAY = 0.015
# What a tweeter may be apart from its woofer, s.
MOST_APART = 20e-6


@dataclass(frozen=True)
class SpeakerPosition:
    """A speaker, and how far it is from the listener's head."""

    name: Annotated[str, Text("Speaker")]
    distance: Annotated[
        float,
        Number("Distance", LENGTH, 0.05, 10, show="cm", usual=(0.2, 4), units=("m", "in")),
    ]
    latency: Annotated[float, EXTRA_LATENCY] = 0.0
    late: Annotated[float, LATER_THAN_TAPED] = 0.0


@dataclass(frozen=True, kw_only=True)
class SpeakerDelay:
    """What to set for one speaker."""

    name: Annotated[str, OutputText("Speaker")]
    delay: Annotated[float, Output("Delay", TIME, show="ms", decimals=3)]
    set_delay: Annotated[float, Output("Nearest step", TIME, show="ms", decimals=3)]
    samples: Annotated[int, Output("Samples", COUNT, decimals=0)]
    distance: Annotated[float, Output("As distance", LENGTH, show="cm", decimals=1)]
    left: Annotated[float, Output("Rounding leaves", TIME, show="µs", decimals=1)]
    left_phase: Annotated[float, Output("At 1 kHz", ANGLE, decimals=1)]


@dataclass(frozen=True, kw_only=True)
class Delays:
    """A delay for each speaker; the last to arrive gets none."""

    settings: Annotated[str, OutputText("Set, in ms", main=True, brief="longest_delay")]
    longest_delay: Annotated[str, OutputText("Longest delay")]
    speakers: Annotated[tuple[SpeakerDelay, ...], OutputRows("Delays to set", copy=True)]
    last: Annotated[str, OutputText("Last to arrive, so no delay")]
    speed: Annotated[float, Output("Speed of sound", SPEED, decimals=1)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Delay by distance",
    example={
        "speakers": [
            {"name": "Left tweeter", "distance": 0.86},
            {"name": "Left woofer", "distance": 0.98},
            {"name": "Right tweeter", "distance": 1.38},
            {"name": "Right woofer", "distance": 1.47},
        ],
    },
    sources=("iso-9613-1", "geometry-of-arrival"),
    equations=(
        "speed = 343.2*sqrt((temperature + 273.15)/293.15)",
        "arrival = distance/speed + latency + late",
        "delay = latest_arrival - arrival",
    ),
)
def delay(
    speakers: Annotated[
        tuple[SpeakerPosition, ...],
        Rows(
            "Speakers",
            "speaker",
            at_least=1,
            at_most=16,
            help="Tape from the cone to a point between the ears.",
        ),
    ],
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
    step: Annotated[
        float,
        Number("Step the processor can set", TIME, 1e-7, 1e-2, show="ms", units=("µs",), seldom=True),
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
) -> Delays:
    """Delay that makes every speaker arrive together with the last one.

    Measure from each cone to the listener's head. The last to arrive gets no delay, every other one
    waits for it: where the farthest turns out to be later still, all the others wait longer. A
    measured arrival beats the tape, which does not know where in a cone the sound starts.
    """
    speed = air.speed_of_sound(temperature)
    waits = arrivals.waits(
        [speaker.distance / speed + speaker.latency + speaker.late for speaker in speakers]
    )
    rows = []
    for speaker, wait in zip(speakers, waits, strict=True):
        steps = round(wait / step) * step
        rows.append(
            SpeakerDelay(
                name=speaker.name,
                delay=wait,
                set_delay=steps,
                samples=round(wait * sample_rate),
                distance=wait * speed,
                left=steps - wait,
                left_phase=(steps - wait) * 360 * 1000,
            )
        )
    advice: tuple[Advice, ...] = ()
    if max(row.delay for row in rows) > LONG_DELAY:
        advice = (
            Advice(
                "speakers",
                "A delay over 15 ms is unusual in a vehicle: check the distances and their unit, "
                "and the longest delay your processor can set.",
            ),
        )
    apart = max(row.left for row in rows) - min(row.left for row in rows)
    if apart > MOST_APART:
        text = (
            f"Rounded to steps, two of these end up {1e6 * apart:.0f} µs apart by rounding alone. A tweeter "
            "and its woofer may differ by 20: look for a finer step, or set them by samples."
        )
        advice = (*advice, Advice("step", text))
    settings = "; ".join(f"{row.name} {_milliseconds(row.set_delay)}" for row in rows)
    return Delays(
        settings=settings,
        longest_delay=f"{_milliseconds(max(row.set_delay for row in rows))} ms",
        speakers=tuple(rows),
        last=speakers[waits.index(0.0)].name,
        speed=speed,
        advice=advice,
    )


def _milliseconds(seconds: float) -> str:
    """A time in ms, rounded as the table rounds it."""
    digits = f"{TIME.unit('ms').to_shown(seconds):.3f}"
    return digits.rstrip("0").rstrip(".")
