"""The set of test files, one of them or several in one file."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Made,
    Output,
    OutputFile,
    OutputRows,
    OutputText,
    Rows,
    calculator,
)
from calculators.declaring.kept import MOST_BYTES
from calculators.declaring.quantities import COUNT, LEVEL, TIME
from calculators.vocabulary import signal_parts, tweeter_advice
from calculators.vocabulary.signal_checksums import CHECKED_FORMAT, CHECKED_RATE, CHECKSUMS
from calculators.vocabulary.signal_set import FILTERS, LOADS, PULSES, SIGNAL_SET, THUMPS, TWEETER, SetSignal
from calculators.vocabulary.sound_files import FILE_RATE, FILE_SIZE, SAMPLE_FORMAT
from calculators.vocabulary.zip_files import zip_file

ZIP_NAME = "test-signals.zip"
STEP_LEVEL = -18.0
"""dB at which the volume of a tweeter is set: that of the set's sweeps and noises."""


@dataclass(frozen=True, kw_only=True)
class WantedSignal:
    """One file that is wanted."""

    signal: Annotated[
        str, Choice("Signal", {number: f"{number} {each.holds}" for number, each in SIGNAL_SET.items()})
    ]


@dataclass(frozen=True, kw_only=True)
class SignalFile:
    """One file, as the list has it."""

    number: Annotated[str, OutputText("No.")]
    holds: Annotated[str, OutputText("It holds")]
    level: Annotated[float | None, Output("Level", LEVEL, decimals=0, none="–")]
    duration: Annotated[float, Output("Length", TIME, show="s", decimals=0)]
    used: Annotated[str, OutputText("For")]
    care: Annotated[str, OutputText("Take care")]
    file_size: Annotated[float, Output("Bytes", COUNT, decimals=0)]
    checksum: Annotated[str, OutputText("Checksum, CRC-32")]


@dataclass(frozen=True, kw_only=True)
class SignalSet:
    """The file, and what is in it."""

    holds: Annotated[str, OutputText("In all", main=True, brief="total_time")]
    file_size: FILE_SIZE
    file: Annotated[Made, OutputFile("File")]
    total_time: Annotated[float, Output("They play for", TIME, show="min", decimals=1)]
    signals_held: Annotated[tuple[SignalFile, ...], OutputRows("Signals", copy=True)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Set of test signals",
    example={},
    sources=(
        "aes17",
        "wav-format",
        "zip-format",
        "lipshitz-1992",
        "farina-2000",
        "iec-61260-1",
        "common-practice",
    ),
    cautions=("S09", "S14", "S22", "S24"),
)
def signals(
    signals: Annotated[
        tuple[WantedSignal, ...],
        Rows("Signals", "signal", at_least=0, at_most=len(SIGNAL_SET), help="None: the whole set."),
    ] = (),
    sample_rate: Annotated[float, FILE_RATE] = CHECKED_RATE,
    sample_format: Annotated[str, SAMPLE_FORMAT] = CHECKED_FORMAT,
) -> SignalSet:
    """Files to prove, measure and listen with, uncompressed, the same bytes wherever they are made.

    One signal is a WAV file, several are a ZIP of WAV files; one channel where both sides are alike. Levels
    are RMS against a full-scale sine (dBFS, AES17), of the pulse its peak; noise has peaks some 12 dB higher.
    A checksum is that of the file at 44.1 kHz, 16 bit. A page makes 100 MB at most; the command line
    writes the whole set into a folder. What says "dummy loads" in its line goes into no speaker.
    """
    numbers = [row.signal for row in signals] or list(SIGNAL_SET)
    for place, number in enumerate(numbers):
        if number in numbers[:place]:
            raise InputError(f"signals[{place}].signal", f"{number} stands twice: take one of them out.")
    wanted = [SIGNAL_SET[number] for number in numbers]
    parts = {each.number: each.parts() for each in wanted}
    files = tuple(
        signal_parts.file_of(each.file_name, parts[each.number], sample_rate, sample_format)
        for each in wanted
    )
    file = files[0] if len(files) == 1 else zip_file(ZIP_NAME, files)
    times = [max(part.end for part in parts[number]) for number in numbers]
    checked = (sample_rate, sample_format) == (CHECKED_RATE, CHECKED_FORMAT)
    held = tuple(
        SignalFile(
            number=each.number,
            holds=each.holds,
            level=each.level,
            duration=time,
            used=each.used,
            care=_care(each),
            file_size=float(made.size),
            checksum=f"{CHECKSUMS[each.number]:08x}" if checked else "–",
        )
        for each, made, time in zip(wanted, files, times, strict=True)
    )
    count = "one signal" if len(files) == 1 else f"{len(files)} signals"
    return SignalSet(
        holds=f"{count}, {file.size / 1e6:.1f} MB",
        file_size=float(file.size),
        file=file,
        total_time=sum(times),
        signals_held=held,
        advice=_advice(wanted, file),
    )


def _care(signal: SetSignal) -> str:
    """What it may be played into, and by how much softer where it is louder than what sets the step."""
    over = (signal.level or 0.0) - STEP_LEVEL
    if signal.care not in (FILTERS, TWEETER) or over <= 0:
        return signal.care
    return f"{signal.care} Volume {over:g} dB under the tweeter's step at −{-STEP_LEVEL:g} dB."


def _advice(wanted: list[SetSignal], file: Made) -> tuple[Advice, ...]:
    told = []
    loads = [each.number for each in wanted if each.care == LOADS]
    if loads:
        told.append(
            Advice("signals", f"{', '.join(loads)}: {LOADS} A tone at full level 5 s at most.", danger=True)
        )
    if any(each.care in (TWEETER, PULSES, FILTERS, THUMPS) for each in wanted):
        limit = f"{tweeter_advice.TWEETER_LIMIT:g} V RMS at its terminals at most"
        told.append(
            Advice("signals", f"What reaches a tweeter: {limit}, its high-pass read back first.", danger=True)
        )
    if file.too_large:
        most = f"{file.size / 1e6:.0f} MB: a page makes {MOST_BYTES / 1e6:.0f} MB at most."
        told.append(Advice("signals", f"{most} Choose fewer, or write them all with the command line."))
    return tuple(told)
