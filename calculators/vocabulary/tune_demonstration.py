"""The simulated cabin that the tune is shown on: invented, no vehicle."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from calculators.declaring import Made, Steps, Working, drain
from calculators.physics import impulse_responses, simulated_cabin, speaker_system
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.impulse_responses import Beginning
from calculators.physics.simulated_cabin import Cabin
from calculators.vocabulary.tune_measurements import measurement_file
from calculators.vocabulary.tune_plan import Channel

SEED = 0
"""The cabin that is drawn first by it lies 3 to 5 dB from its target, so no other is drawn."""
RATE, SAMPLE_COUNT = 48_000.0, 4096
SWEPT_TO = {"tweeter": 20_000.0, "woofer": 8_000.0, "subwoofer": 500.0}
TAPED = [
    {"name": "Left tweeter", "part": "tweeter", "side": "left", "high_pass": 3000.0, "distance": 0.86},
    {"name": "Left woofer", "part": "woofer", "side": "left", "high_pass": 80.0, "low_pass": 3000.0,
     "distance": 0.98},
    {"name": "Right tweeter", "part": "tweeter", "side": "right", "high_pass": 3000.0, "distance": 1.38},
    {"name": "Right woofer", "part": "woofer", "side": "right", "high_pass": 80.0, "low_pass": 3000.0,
     "distance": 1.47},
    {"name": "Subwoofer", "part": "subwoofer", "side": "both", "low_pass": 80.0, "distance": 1.92},
]  # fmt: skip
"""Channels by tape: of our own invention, as the cabin is."""
SIDE_OF_WORD = {"Left": -1, "Right": 1}


@dataclass(frozen=True, eq=False)
class Demonstration:
    """A cabin measured: gains of each seat, arrivals in s, shape (seats, speakers), and polarities."""

    cabin: Cabin
    gains: tuple[ComplexArray, ...]
    arrivals: FloatArray
    signs: FloatArray

    def channels(self, seats: int) -> tuple[Channel, ...]:
        """Its channels as the tune takes them."""
        rows = []
        for number, speaker in enumerate(self.cabin.speakers):
            crossed = speaker.crossed()
            rows.append(
                Channel(
                    name=speaker.name,
                    kind=speaker.kind,
                    side=SIDE_OF_WORD.get(speaker.name.split()[0], 0),
                    high_pass=crossed.high_pass,
                    low_pass=crossed.low_pass,
                    arrival=tuple(self.arrivals[:seats, number].tolist()),
                    sign=float(self.signs[number]),
                    sine=_sine(speaker.place - self.cabin.heads[0]),
                )
            )
        return tuple(rows)

    def file(self) -> Made:
        """Its measurements as a file, to keep, change and read again: crossovers in, as they should be."""
        names = [speaker.name for speaker in self.cabin.speakers]
        through = speaker_system.chains(
            tuple(speaker.crossed() for speaker in self.cabin.speakers), speaker_system.grid(), RATE
        )
        gains = tuple(np.asarray(seat * through) for seat in self.gains)
        return measurement_file(names, gains, self.arrivals, self.signs)


def _sine(way: FloatArray) -> float:
    """How far a speaker lies to the right, as a part of its distance."""
    return float(way[0] / np.linalg.norm(way))


def prepared() -> Steps[Demonstration]:
    """The cabin, worked out once and then remembered. The points that no fit is to see are left out."""
    cabin = shown_cabin()
    speakers = range(len(cabin.speakers))
    begins = []
    for number in speakers:
        played(number)
        yield Working("Simulating a cabin", 0.02)
        for seat in range(len(cabin.heads)):
            begins.append(_beginning(number, seat))
            yield Working("Simulating a cabin", 0.03)
    first = [each.sign for each in begins[:: len(cabin.heads)]]
    return Demonstration(
        cabin=cabin,
        gains=_measured(),
        arrivals=np.array([each.time for each in begins]).reshape(len(speakers), -1).T,
        signs=np.array(first, dtype=np.float64),
    )


@cache
def shown_cabin() -> Cabin:
    """The cabin."""
    return simulated_cabin.drawn(SEED, 0)


@cache
def played(number: int) -> ComplexArray:
    """What one of its speakers plays, without noise, as `simulated_cabin.played_in` has it."""
    return simulated_cabin.played_in(shown_cabin(), number)


@cache
def _measured() -> tuple[ComplexArray, ...]:
    heard = simulated_cabin.heard_in(shown_cabin(), [played(n) for n in range(len(shown_cabin().speakers))])
    return tuple(np.delete(seat, heard.kept, axis=0) for seat in heard.measured)


@cache
def _beginning(number: int, seat: int) -> Beginning:
    cabin = shown_cabin()
    speaker = cabin.speakers[number]
    high = SWEPT_TO[speaker.kind]
    impulse = simulated_cabin.impulse(cabin, speaker, cabin.heads[seat], RATE, SAMPLE_COUNT)
    return impulse_responses.beginning_of(
        drain(impulse_responses.softened(impulse, RATE, high)), RATE, 0.0, high
    )
