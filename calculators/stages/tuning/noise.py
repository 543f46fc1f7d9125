"""Noise as a file: pink or white, of any band."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Made,
    Number,
    Output,
    OutputFile,
    OutputText,
    calculator,
)
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import COUNT, FREQUENCY, LEVEL
from calculators.physics import noise as noises
from calculators.physics import tones
from calculators.physics.arrays import FloatArray
from calculators.physics.decibels import SINE_CREST
from calculators.vocabulary import tweeter_advice
from calculators.vocabulary.sound_files import (
    FILE_RATE,
    FILE_SIZE,
    LENGTH,
    SAMPLE_FORMAT,
    Sound,
    shared_wav_file,
    wav_file,
)

COLOURS = {"pink": "pink: the same power in every octave", "white": "white: the same power in every hertz"}
NOISE_CHANNELS = {
    "mono": "one channel, which plays on both sides",
    "both": "two channels, the same on both",
    "left": "left alone",
    "right": "right alone",
    "reversed": "both, the right one upside down",
    "unrelated": "two channels, each a noise of its own",
}
HALF_A_DECIBEL = 0.5
NARROWEST = 1.1
"""The top of a band over its bottom."""


@dataclass(frozen=True, kw_only=True)
class Noise:
    """The file, and what is in it."""

    holds: Annotated[str, OutputText("The file holds", main=True, brief="peak_about")]
    file: Annotated[Made, OutputFile("File")]
    crest_factor: Annotated[float, Output("Highest peak over its RMS, about", LEVEL, decimals=1)]
    peak_about: Annotated[float, Output("So its peaks reach, of the largest sample", LEVEL, decimals=1)]
    scatter: Annotated[float, Output("A meter's level of it scatters by ±", LEVEL, decimals=2)]
    file_size: FILE_SIZE
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Test noise",
    example={"colour": "pink", "low": 315.0, "high": 5000.0, "duration": 5.0, "level": -18.0},
    sources=("aes17", "wav-format", "rice-1945", "bendat-piersol", "common-practice"),
    cautions=("S09", "S14", "S22", "S24"),
)
def noise(
    colour: Annotated[str, Choice("Noise", COLOURS)] = "pink",
    low: Annotated[float, Number("From", FREQUENCY, 15, 15_000, units=("kHz",))] = 20.0,
    high: Annotated[float, Number("To", FREQUENCY, 20, 22_000, units=("kHz",))] = 20_000.0,
    duration: Annotated[float, LENGTH] = 30.0,
    level: Annotated[
        float,
        Number(
            "Level",
            LEVEL,
            -60,
            -12,
            help="RMS against a full-scale sine (dBFS, AES17). Its peaks stand some 12 dB higher.",
        ),
    ] = -18.0,
    channels: Annotated[str, Choice("Channels", NOISE_CHANNELS)] = "mono",
    seed: Annotated[
        float,
        Number(
            "Number of the noise", COUNT, 1, 9999, whole=True, seldom=True, help="Another: another noise."
        ),
    ] = 1.0,
    sample_rate: Annotated[float, FILE_RATE] = 48_000.0,
    sample_format: Annotated[str, SAMPLE_FORMAT] = "16-bit",
) -> Noise:
    """Noise of a band as a WAV file: uncompressed, faded at both ends, the same bytes wherever it is made.

    For one third octave give its edges: 891 to 1122 Hz for 1 kHz. Noise is never level: a meter needs the
    longer, the narrower and the lower the band. Its crest factor is that of chance, on average over many
    noises. Into a tweeter only above its lowest safe frequency.
    """
    if not low * NARROWEST <= high:
        raise InputError("high", "The band is too narrow: a third octave ends 26 % above where it begins.")
    if high > 0.49 * sample_rate:
        raise InputError("high", "So high does not fit that sample rate: choose a higher rate.")
    pink = colour == "pink"
    frames = round(duration * sample_rate)
    fade = round(min(tones.fade_length(low), duration / 4) * sample_rate)
    name = f"noise-{colour}-{low:g}-{high:g}-Hz-{duration:g}-s-{channels}-minus-{-level:g}-dB.wav"
    sides = [_sound(low, high, sample_rate, pink, int(seed), level, frames, fade)]
    if channels == "unrelated":
        # The number after the last of the others, so that no two files share a side.
        sides.append(_sound(low, high, sample_rate, pink, int(seed) + 10_000, level, frames, fade))
        file = wav_file(name, (sides[0], sides[1]), sample_format)
    else:
        file = shared_wav_file(name, sides[0], channels, sample_format)
    crest = noises.crest_expected(low, high, duration, pink)
    scatter = noises.level_scatter(noises.effective_bandwidth(low, high, pink), duration)
    return Noise(
        holds=f"{colour} noise, {low:g} to {high:g} Hz, {typographic(f'{level:g}')} dB, {duration:g} s",
        file=file,
        crest_factor=crest,
        peak_about=min(level - SINE_CREST + crest, 0.0),
        scatter=scatter,
        file_size=float(file.size),
        advice=(*tweeter_advice.of_band("low", low, high), *_advice(scatter, duration)),
    )


def _sound(
    low: float, high: float, rate: float, pink: bool, seed: int, level: float, frames: int, fade: int
) -> Sound:
    """One channel; its filter is made when the first sample is asked for."""
    made: list[noises.BandNoise] = []
    share = tones.amplitude(level - SINE_CREST)

    def samples(start: int, count: int) -> FloatArray:
        if not made:
            made.append(noises.band_noise(low, high, rate, pink, seed))
        return share * made[0].samples(start, count) * tones.faded(start, count, frames, fade)

    return Sound(frames, rate, samples)


def _advice(scatter: float, duration: float) -> tuple[Advice, ...]:
    if round(scatter, 6) <= HALF_A_DECIBEL:
        return ()
    needed = duration * (scatter / HALF_A_DECIBEL) ** 2
    return (
        Advice(
            "duration",
            f"So short a noise reads ±{scatter:.1f} dB by chance: {needed:.0f} s are needed for ±0.5 dB.",
        ),
    )
