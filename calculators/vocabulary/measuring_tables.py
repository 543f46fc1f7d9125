"""Tables of what a recording says: its plays, and its third octaves."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, Output, OutputText
from calculators.declaring.quantities import FREQUENCY, LEVEL, RATIO, TIME
from calculators.physics.arrays import FloatArray
from calculators.physics.bands import NOMINAL_THIRD_OCTAVES
from calculators.vocabulary import measuring
from calculators.vocabulary.measuring import HARMONICS, Heard, Spectrum, Tape
from calculators.vocabulary.measuring_loop import Loop


@dataclass(frozen=True, kw_only=True)
class PlayFound:
    """One speaker in the recording."""

    name: Annotated[str, OutputText("Play")]
    arrival: Annotated[float, Output("Arrival in the recording", TIME, show="ms", decimals=3)]
    later: Annotated[float, Output("Later than the first", TIME, show="ms", decimals=3)]
    within: Annotated[float | None, Output("Within ±", TIME, show="ms", decimals=3, none="not known")]
    by_phase: Annotated[
        float | None, Output("By excess phase", TIME, show="ms", decimals=3, none="no wide band")
    ]
    after_loop: Annotated[float | None, Output("After the loop", TIME, show="ms", decimals=3, none="no loop")]
    polarity: Annotated[str, OutputText("Polarity of the direct sound")]


@dataclass(frozen=True, kw_only=True)
class BandFound:
    """One third octave; what noise rules is left out."""

    nominal: Annotated[float, Output("Band", FREQUENCY, trim=True, figures=5)]
    level: Annotated[float | None, Output("Level", LEVEL, decimals=2, none="noise")]
    over_noise: Annotated[float | None, Output("Over noise", LEVEL, decimals=0, none="not known")]
    softer_by: Annotated[float | None, Output("Second sweep lower by", LEVEL, decimals=2, none="noise")]
    second_harmonic: Annotated[
        float | None, Output("2nd harmonic", RATIO, show="%", figures=2, none="withheld")
    ]
    third_harmonic: Annotated[float | None, Output("3rd", RATIO, show="%", figures=2, none="withheld")]
    fourth_harmonic: Annotated[float | None, Output("4th", RATIO, show="%", figures=2, none="withheld")]
    fifth_harmonic: Annotated[float | None, Output("5th", RATIO, show="%", figures=2, none="withheld")]


def play_row(number: int, found: Sequence[Heard], doubt: str | None, loop: Loop | None) -> PlayFound:
    """Arrival and polarity of one play."""
    one, first = found[number], found[0]
    words = "positive (goes up first)" if one.beginning.sign > 0 else "negative (goes down first)"
    return PlayFound(
        name=("first", "second")[number],
        arrival=one.time,
        later=one.time - first.time,
        within=_within(one, first),
        by_phase=one.by_phase,
        after_loop=None if loop is None else one.time - loop.time,
        polarity=f"{words}, not certain: {doubt}" if doubt else f"{words}, certain",
    )


def begun_later(found: Sequence[Heard], tie: str, loop: Loop | None) -> tuple[Advice, ...]:
    """What an arrival before the file's beginning means, in words: nobody hears a sound so early."""
    earliest = min(one.time for one in found)
    if earliest >= 0:
        return ()
    began = f"The recorder began {-earliest:.2g} s after the file: “Arrival in the recording” is negative"
    if loop is not None:
        rest = "read “After the loop”."
    elif tie == "clock":
        rest = "so player and recorder were not started together, as “Tied to other runs by” has it."
    elif len(found) > 1:
        rest = "and no distance; “Later than the first” counts."
    else:
        rest = "and no distance."
    return (Advice("recording", f"{began}, {rest}"),)


def _within(one: Heard, first: Heard) -> float | None:
    """How uncertain the time between two plays is, s; None where one of them rings ahead."""
    if one.beginning.rings or first.beginning.rings:
        return None
    if one is first or one.repeats is not None:
        return one.repeats or 0.0
    return math.hypot(one.beginning.error, first.beginning.error)


def band_rows(
    spectrum: Spectrum, inside: measuring.Bands, offset: FloatArray, tape: Tape, withheld: bool
) -> tuple[BandFound, ...]:
    """The table by third octave."""
    rows = []
    for band in np.flatnonzero(inside).tolist():
        nominal = NOMINAL_THIRD_OCTAVES[band]
        harmonics = [
            None if withheld else measuring.harmonic_of(spectrum, tape, band, place)
            for place in range(len(HARMONICS))
        ]
        over = None if spectrum.over_noise is None else float(spectrum.over_noise[band])
        rows.append(
            BandFound(
                nominal=nominal,
                level=float(spectrum.level[band] + offset[band]),
                over_noise=over,
                softer_by=float(spectrum.step[band])
                if over is None or over > 2 * measuring.NOISE_FLOOR
                else None,
                second_harmonic=harmonics[0],
                third_harmonic=harmonics[1],
                fourth_harmonic=harmonics[2],
                fifth_harmonic=harmonics[3],
            )
        )
    return tuple(rows)
