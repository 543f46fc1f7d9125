"""The measuring sweep as a file."""

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
from calculators.declaring.quantities import LEVEL, TIME, VOLTAGE
from calculators.physics import sweeps, tones
from calculators.physics.arrays import FloatArray
from calculators.vocabulary import sound_files, sweep_inputs, tweeter_advice
from calculators.vocabulary.sound_files import FILE_RATE, FILE_SIZE, SAMPLE_FORMAT, Sound

SWEEP_LAYOUTS = {
    "mono": "one channel, which plays on both sides",
    "left": "left alone",
    "right": "right alone",
    "both": "two channels, the same on both",
    "left-right": "left, then right, in one file",
}
SPEAKER_LEVEL = -18.0
"""dBFS: the loudest sweep into a speaker. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class MeasuringSweep:
    """The file, and what is in it."""

    holds: Annotated[str, OutputText("The file holds", main=True, brief="total_time")]
    file: Annotated[Made, OutputFile("File")]
    total_time: Annotated[float, Output("It plays for", TIME, show="s", decimals=1)]
    second_level: Annotated[float, Output("Second sweep", LEVEL, decimals=2)]
    rate_constant: Annotated[float, Output("Time in which its frequency grows e-fold", TIME, decimals=5)]
    true_length: Annotated[float, Output("True length of one sweep", TIME, decimals=5)]
    second_harmonic_lead: Annotated[
        float, Output("Second harmonic stands before the response by", TIME, show="ms", decimals=2)
    ]
    voltage_limit: Annotated[
        float | None, Output("At the speaker, at most", VOLTAGE, none="the maker's limit")
    ]
    file_size: FILE_SIZE
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Measuring sweep",
    example={"low": 30.0, "high": 8000.0, "sweep_length": 5.0, "level": -18.0, "layout": "left-right"},
    sources=("farina-2000", "novak-2015", "aes17", "wav-format", "common-practice"),
    cautions=("S09", "S14", "S22", "S24"),
)
def sweep(
    low: Annotated[float, sweep_inputs.LOW],
    high: Annotated[float, sweep_inputs.HIGH],
    sweep_length: Annotated[float, sweep_inputs.SWEEP_LENGTH] = 5.0,
    level: Annotated[
        float,
        Number("Level of the first sweep", LEVEL, -60, 0, help="dBFS (AES17); the second is 6.02 dB lower."),
    ] = -18.0,
    layout: Annotated[str, Choice("Channels", SWEEP_LAYOUTS)] = "mono",
    sample_rate: Annotated[float, FILE_RATE] = 48_000.0,
    sample_format: Annotated[str, SAMPLE_FORMAT] = "16-bit",
    pause: Annotated[float, sweep_inputs.PAUSE] = 1.0,
    lead: Annotated[float, sweep_inputs.LEAD] = 3.0,
    markers: Annotated[bool, sweep_inputs.MARKERS] = True,
    direction: Annotated[str, sweep_inputs.DIRECTION] = "rising",
) -> MeasuringSweep:
    """An exponential sweep, played twice, the second half as large, as a WAV file.

    Two equal sweeps cannot show a recorder that rides its gain; the softer one does. Between silence, from
    which the noise is read, and the sweeps stand short markers, at the sweep's level and 12 dB under it.
    It fades over a third of an octave at both ends. Its phase is synchronised, so that harmonics fall on
    places of their own. Keep the settings: reading the recording needs them.
    """
    if high > 0.49 * sample_rate:
        raise InputError("high", "So high does not fit that sample rate: choose a higher rate.")
    plays = 2 if layout == "left-right" else 1
    signal = sweep_inputs.signal_of(low, high, sweep_length, pause, lead, markers, direction, plays)
    amplitude = tones.amplitude(level)
    frames = round(signal.length * sample_rate)

    def channel(number: int) -> Sound:
        def samples(start: int, count: int) -> FloatArray:
            return amplitude * sweeps.signal_samples(signal, number, sample_rate, start, count)

        return Sound(frames, sample_rate, samples)

    name = sweep_inputs.file_name(low, high, sweep_length, layout, level)
    if plays == 2:
        file = sound_files.wav_file(name, (channel(0), channel(1)), sample_format, "sweep_length")
    else:
        file = sound_files.shared_wav_file(name, channel(0), layout, sample_format, "sweep_length")
    advice = list(tweeter_advice.of_band("low", low, high))
    if level > SPEAKER_LEVEL:
        advice.append(
            Advice(
                "level",
                f"Above {SPEAKER_LEVEL:g} dB only into dummy loads, into no speaker.",
                danger=True,
            )
        )
    return MeasuringSweep(
        holds=f"{low:g} to {high:g} Hz, {sweep_length:g} s, twice; {SWEEP_LAYOUTS[layout]}",
        file=file,
        total_time=signal.length,
        second_level=level + tones.level_of(sweeps.SECOND_SHARE),
        rate_constant=signal.sweep.rate,
        true_length=signal.sweep.length,
        second_harmonic_lead=sweeps.harmonic_lead(signal.sweep, 2),
        voltage_limit=tweeter_advice.TWEETER_LIMIT if low >= tweeter_advice.TWEETER_FROM else None,
        file_size=float(file.size),
        advice=tuple(advice),
    )
