"""The stages of a gain chain: as typed, as the physics takes them, and the order in which they clip."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Choice, InputError, Number, Output, OutputText, Text
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import LEVEL, VOLTAGE
from calculators.physics import gain

TIE = 0.05
"""dB within which two stages count as clipping together."""

OFF_THE_HEADROOM, FAR_TOO_MUCH = 0.5, 6.0
"""dB between a typed last gain and the headroom: told from the first on, a danger over it from the second.
Common practice, no source."""

VOLTS_OF_SINE = "V RMS of a sine. Turn a maker's peak figure into RMS first: times 0.707."


@dataclass(frozen=True)
class Stage:
    """One box between source and speaker."""

    name: Annotated[str, Text("Stage")]
    input_max: Annotated[
        float | None,
        Number("Most it takes in", VOLTAGE, 0.001, 500, usual=(0.2, 40), optional=True, empty="no limit",
               help=VOLTS_OF_SINE),
    ] = None  # fmt: skip
    output_max: Annotated[
        float | None,
        Number("Most it gives out", VOLTAGE, 0.001, 500, usual=(0.5, 100), optional=True, empty="no limit",
               help=VOLTS_OF_SINE),
    ] = None  # fmt: skip
    gain: Annotated[
        float | None,
        Number("Gain or trim", LEVEL, -100, 100, usual=(-40, 40), optional=True, empty="to be found"),
    ] = None
    unity: Annotated[
        float | None,
        Number(
            "Full output at 0 dB from", VOLTAGE, 0.001, 500, usual=(0.1, 40), optional=True,
            empty="plain gain",
            help="The volts in that make its full output with the trim at 0 dB. Empty: the gain is plain, "
            "volts out over volts in.",
        ),
    ] = None  # fmt: skip
    boost: Annotated[float, Number("Largest boost of its filters", LEVEL, 0, 40, usual=(0, 12))] = 0.0
    hiss: Annotated[
        float | None,
        Number(
            "Changes a hiss by", LEVEL, -60, 60, usual=(-20, 20), optional=True, empty="as its gain",
            help="For filters that take down the loudest tone, as flattening does: less comes off a hiss.",
        ),
    ] = None  # fmt: skip
    noise: Annotated[
        float,
        Number("Its own noise, A-weighted", VOLTAGE, 0, 1, show="µV", usual=(0, 0.002), units=("mV",)),
    ] = 0.0
    noise_at: Annotated[
        str, Choice("That noise is given at", {"output": "its output", "input": "its input"})
    ] = "output"


@dataclass(frozen=True, kw_only=True)
class ChainRow:
    """One stage of the chain with a full-scale file at the ceiling step."""

    name: Annotated[str, OutputText("Stage")]
    gain: Annotated[float, Output("Gain or trim", LEVEL, decimals=2)]
    voltage: Annotated[float, Output("A 0 dBFS tone gives", VOLTAGE, figures=4)]
    voltage_boosted: Annotated[float, Output("With all boosts so far", VOLTAGE, figures=4)]
    clip_margin: Annotated[
        float | None, Output("Margin, its own boost in", LEVEL, decimals=1, none="no limit")
    ]
    clips_at: Annotated[
        float | None, Output("Clips at, all boosts in (dBFS)", LEVEL, decimals=1, none="no limit")
    ]
    noise: Annotated[float, Output("Its noise at the speaker", VOLTAGE, show="mV", figures=3)]


def chain_stage(place: int, stage: Stage, stages: tuple[Stage, ...]) -> gain.ChainStage:
    """A typed stage as the physics takes it."""
    if stage.output_max is None:
        for needed, message in (
            (place == len(stages) - 1, "The last stage is the amplifier: give the volts at which it clips."),
            (stage.unity is not None, "Give the full output that this input makes."),
            (stage.gain is None, "Give the most it gives out, or its gain."),
        ):
            if needed:
                raise InputError(f"stages[{place}].output_max", message)
    at_input = stage.noise_at == "input"
    return gain.ChainStage(
        input_max=stage.input_max,
        output_max=stage.output_max,
        gain=None if stage.gain is None else stage.gain + gain_at_zero(stage),
        boost=stage.boost,
        hiss=stage.hiss,
        noise_in=stage.noise if at_input else 0.0,
        noise_out=0.0 if at_input else stage.noise,
    )


def gain_at_zero(stage: Stage) -> float:
    """Volts out over volts in, dB, of a stage whose trim stands at 0 dB."""
    if stage.unity is None or stage.output_max is None:
        return 0.0
    return 20.0 * math.log10(stage.output_max / stage.unity)


def clipping_order(rows: tuple[ChainRow, ...]) -> list[ChainRow]:
    """The stages with a limit, the one that clips first in front; the last stage leads a tie."""
    limited = [
        (round(row.clips_at, 9) - (TIE if row is rows[-1] else 0.0), row)
        for row in rows
        if row.clips_at is not None
    ]
    return [row for _, row in sorted(limited, key=lambda pair: pair[0])]


def signed(level: float | None) -> str:
    """A level, dB, with its sign; zero has none."""
    text = f"{0.0 if level is None else level:+.1f}"
    return "0.0" if text in {"+0.0", "-0.0"} else typographic(text)


def order_advice(rows: tuple[ChainRow, ...], order: list[ChainRow]) -> tuple[Advice, ...]:
    """What clips first, and what that means: a danger unless it is the amplifier."""
    first, last = order[0], rows[-1]
    if first is last:
        at = signed(first.clips_at)
        return (
            Advice(
                "limiter",
                f"{last.name} clips first, from {at} dBFS with all boosts in: set its limiter, or what is "
                "louder comes out with flat tops.",
            ),
        )
    if first is rows[0]:
        message = (
            f"The source clips before {last.name} is at its full output: one step past the ceiling sends "
            "flat tops through a clean amplifier, and no limiter sees them. Raise the gain behind it, or "
            "lock the volume at the ceiling."
        )
    else:
        message = (
            f"{first.name} clips first, not {last.name}: flat tops that no limiter sees go to the tweeters. "
            f"Turn down what stands in front of it, or give {first.name} a wider range."
        )
    return (Advice("first_to_clip", message, danger=True),)


def headroom_advice(
    rows: tuple[ChainRow, ...], stages: tuple[Stage, ...], headroom: float
) -> tuple[Advice, ...]:
    """A last gain that was typed, held against the headroom, dB, that was asked for."""
    last, amplifier = rows[-1], stages[-1]
    if amplifier.gain is None or amplifier.output_max is None:
        return ()
    over = 20.0 * math.log10(last.voltage / amplifier.output_max) - headroom
    if abs(over) < OFF_THE_HEADROOM:
        return ()
    found = typographic(f"{amplifier.gain - over:.1f} dB")
    asked = typographic(f"{headroom:g} dB")
    if over > 0.0:
        message = (
            f"{last.name}'s gain is {over:.1f} dB more than the headroom of {asked} asks for: so much more "
            f"hiss, and a limiter that works all day. {found} would do."
        )
        return (Advice("headroom", message, danger=over >= FAR_TOO_MUCH),)
    message = (
        f"{last.name}'s gain is {-over:.1f} dB less than the headroom of {asked} asks for: quiet recordings "
        f"stay so much short of its full output. {found} would do. Meant so, as for a tweeter turned down "
        f"here: the headroom is {typographic(f'{headroom + over:.1f} dB')}."
    )
    return (Advice("headroom", message),)
