"""A test tone as a file."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    InputError,
    Made,
    Number,
    Output,
    OutputFile,
    OutputText,
    calculator,
)
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import FREQUENCY, LEVEL, TIME
from calculators.physics import tones
from calculators.physics.arrays import FloatArray
from calculators.vocabulary import tweeter_advice
from calculators.vocabulary.sound_files import (
    CHANNELS,
    FILE_RATE,
    FILE_SIZE,
    LENGTH,
    PEAK,
    SAMPLE_FORMAT,
    Sound,
    shared_wav_file,
)

LOUD = -6.0
LONGEST_LOUD = 5.0


@dataclass(frozen=True, kw_only=True)
class Tone:
    """The file, and what is in it."""

    holds: Annotated[str, OutputText("The file holds", main=True, brief="peak_level")]
    file: Annotated[Made, OutputFile("File")]
    peak_level: PEAK
    cycle: Annotated[float, Output("One cycle", TIME, show="ms", figures=4)]
    file_size: FILE_SIZE
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Test tone",
    example={"frequency": 400.0, "duration": 5.0, "level": -5.0, "channels": "mono"},
    sources=("aes17", "wav-format", "common-practice"),
    cautions=("S09", "S14", "S22", "S24"),
)
def tone(
    frequency: Annotated[
        float, Number("Frequency", FREQUENCY, 5, 22_000, usual=(20, 20_000), units=("kHz",))
    ],
    duration: Annotated[float, LENGTH] = 5.0,
    level: Annotated[
        float,
        Number(
            "Level",
            LEVEL,
            -90,
            0,
            help="RMS against a full-scale sine (dBFS, AES17): 0 is all that a file can hold.",
        ),
    ] = -12.0,
    channels: Annotated[str, CHANNELS] = "mono",
    sample_rate: Annotated[float, FILE_RATE] = 48_000.0,
    sample_format: Annotated[str, SAMPLE_FORMAT] = "16-bit",
) -> Tone:
    """A sine as a WAV file: uncompressed, faded at both ends, the same bytes wherever it is made.

    A tone holds its full power all the time, music does not: at the same peak it heats a voice coil ten
    times as much and more. Above -6 dB keep the speakers unplugged and measure on dummy loads, 5 s at most.
    """
    if frequency > 0.46 * sample_rate:
        raise InputError("frequency", "So high a tone does not fit that sample rate: choose a higher rate.")
    amplitude = tones.amplitude(level)
    frames = round(duration * sample_rate)
    fade = round(min(tones.fade_length(frequency), duration / 4) * sample_rate)

    def samples(start: int, count: int) -> FloatArray:
        wave = tones.tone(frequency, sample_rate, start, count)
        return amplitude * wave * tones.faded(start, count, frames, fade)

    name = f"tone-{frequency:g}-Hz-{level:g}-dB.wav".replace("--", "-minus-")
    sound = Sound(frames, sample_rate, samples)
    file = shared_wav_file(name, sound, channels, sample_format)
    advice = list(tweeter_advice.of_band("frequency", frequency, frequency))
    if level > LOUD:
        advice.append(
            Advice(
                "level",
                "Speakers unplugged or a dummy load in their place: at this level the tone asks for an "
                f"amplifier's full power. {LONGEST_LOUD:.0f} s at most, then let it rest.",
                danger=True,
            )
        )
    if level > LOUD and duration > LONGEST_LOUD:
        advice.append(Advice("duration", f"Longer than {LONGEST_LOUD:.0f} s at a level above {LOUD:g} dB."))
    return Tone(
        holds=f"{frequency:g} Hz at {typographic(f'{level:g}')} dB, {duration:g} s",
        file=file,
        peak_level=level,
        cycle=1 / frequency,
        file_size=float(file.size),
        advice=tuple(advice),
    )
