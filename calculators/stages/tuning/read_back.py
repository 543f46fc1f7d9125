"""What a processor shows, held against the tuning sheet that was typed into it."""

from dataclasses import dataclass, replace
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Kept,
    Number,
    Output,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.quantities import COUNT, FREQUENCY, LEVEL, RATIO, TIME
from calculators.vocabulary import processor_inputs, sheet_reading
from calculators.vocabulary.names import name_key
from calculators.vocabulary.sheet_file import SHEET, Sheet, read_sheet
from calculators.vocabulary.sheet_reading import Difference, Line, Peak, Within, decibels_in_words

UNREAD = {"unread": "not read"}
"""What a choice begins with: nobody has read what nobody has chosen."""
OUR_SHEET = (
    Line("Left tweeter", 3000.0, None, False, 0.0003, -6.5, (Peak(5200.0, -3.0, 1.4),)),
    Line("Left woofer", 80.0, 3000.0, False, 0.0, -2.0, (Peak(160.0, -5.0, 3.0), Peak(640.0, -2.5, 2.0))),
)
"""A sheet of our own invention."""


@dataclass(frozen=True)
class ShownChannel:
    """One channel as the processor shows it."""

    name: Annotated[str, Text("Channel", help="As on the sheet.")]
    high_pass: Annotated[
        float | None, Number("High-pass", FREQUENCY, 10, 20e3, optional=True, empty="none")
    ] = None
    low_pass: Annotated[
        float | None, Number("Low-pass", FREQUENCY, 10, 20e3, optional=True, empty="none")
    ] = None
    slope: Annotated[
        str,
        Choice("Crossovers", UNREAD | {"24": "Linkwitz-Riley, 24 dB per octave", "other": "others"}),
    ] = "unread"
    polarity: Annotated[str, Choice("Polarity", UNREAD | {"normal": "normal", "reversed": "reversed"})] = (
        "unread"
    )
    delay: Annotated[float, Number("Delay", TIME, 0, 1, show="ms")] = 0.0
    gain: Annotated[float, Number("Gain", LEVEL, -100, 40)] = 0.0


@dataclass(frozen=True)
class ShownFilter:
    """One peak filter as the processor shows it."""

    name: Annotated[str, Text("Channel", help="As on the sheet.")]
    frequency: Annotated[float, Number("Frequency", FREQUENCY, 10, 24e3)]
    gain: Annotated[float, Number("Gain", LEVEL, -40, 40)]
    q: Annotated[float, Number("Q", RATIO, 0.05, 100)]


@dataclass(frozen=True, kw_only=True)
class ReadBack:
    """What reads otherwise than on the sheet."""

    verdict: Annotated[str, OutputText("Read back", main=True, brief="different")]
    word: Annotated[str, OutputText("Word for the guided tune")]
    trim_as_read: Annotated[str, OutputText("Trim in front")]
    different: Annotated[float, Output("Lines still open", COUNT, decimals=0)]
    compared: Annotated[float, Output("Values on the sheet", COUNT, decimals=0)]
    differences: Annotated[tuple[Difference, ...], OutputRows("Line by line", copy=True)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Read back",
    example={
        "channels": [
            {"name": "Left tweeter", "high_pass": 300.0, "slope": "24", "polarity": "normal",
             "delay": 0.0003, "gain": -6.5},
            {"name": "Left woofer", "high_pass": 80.0, "low_pass": 3000.0, "slope": "24",
             "polarity": "normal", "gain": -2.0},
        ],
        "filters": [
            {"name": "Left tweeter", "frequency": 5200.0, "gain": -3.0, "q": 1.4},
            {"name": "Left woofer", "frequency": 160.0, "gain": 5.0, "q": 3.0},
        ],
    },
    sources=("common-practice",),
    cautions=("S14", "S22"),
)  # fmt: skip
def read_back(
    channels: Annotated[
        tuple[ShownChannel, ...],
        Rows("The processor shows", "channel", at_most=32, help="Typed off its screen, not off the sheet."),
    ],
    filters: Annotated[
        tuple[ShownFilter, ...], Rows("Its filters", "filter", at_least=0, at_most=300, fold=True)
    ] = (),
    sheet: Annotated[Kept | None, replace(SHEET, empty="one of our own invention")] = None,
    trim_in_front: Annotated[
        float | None,
        Number(
            "Trim in front",
            LEVEL,
            -100,
            40,
            optional=True,
            empty="not read back",
            help="Of every channel. A processor without one has it in each channel's gain.",
        ),
    ] = None,
    step_gain: Annotated[float, processor_inputs.STEP_OF_GAIN] = 0.1,
    step_q: Annotated[float, processor_inputs.STEP_OF_Q] = 0.1,
    step: Annotated[float, processor_inputs.STEP_OF_DELAY] = 1e-5,
) -> ReadBack:
    """What the processor shows, held against the sheet: each line that differs, and what became of it.

    Gain, Q and delay must be within half a step, frequencies within 1 %, for processors round them. A filter
    that agrees in all three values is put aside wherever it stands; the rest are compared in their order. A
    trim in front that stands in the gain of every channel in its place agrees too; one of which the sheet
    says nothing differs. Crossovers and polarity that nobody has chosen differ too: they are not read.
    What gain and filters together lift by more than 6 dB over the sheet, at any tone, is a danger, and so is
    a trim in front over 0 dB. The guided tune asks for a word that stands for the sheet: it is told once no
    line differs, and never for a sheet with FIR filters, which that tune does not take.
    """
    read = Sheet(OUR_SHEET) if sheet is None else read_sheet(sheet)
    lines = read.lines
    shown = _shown(channels, filters)
    half = Within(step_gain / 2 + 1e-9, step_q / 2 + 1e-9, step / 2 + 1e-12)
    trim = sheet_reading.read_trim(lines, shown, trim_in_front, half)
    there = sheet_reading.trim_of(lines) or 0.0
    wanted = sheet_reading.moved_by(lines, there) if trim.in_channels else lines
    found = sheet_reading.differences(wanted, shown, half)
    if trim.compared and not trim.agrees and not trim.in_channels:
        found = (sheet_reading.trim_differs(lines, trim_in_front, half), *found)
    values = sheet_reading.values_of(lines) + (trim.compared and lines[0].trim is not None)
    agrees = sheet is not None and not found and trim.agrees
    if found:
        verdict = _open_in_words(found)
    else:
        turned, taps = (sum(each is not None for each in kind) for kind in
                        ([line.all_pass for line in lines], [line.fir for line in lines]))  # fmt: skip
        more = [f"{turned} all-pass{'es' if turned > 1 else ''}"] if turned else []
        more += [f"{taps} FIR filter{'s' if taps > 1 else ''}"] if taps else []
        rest = (
            f"; {' and '.join(more)} {'is' if turned + taps == 1 else 'are'} still to be looked at"
            if more
            else ""
        )
        unread = (
            "" if trim.agrees else f"; the trim in front, {decibels_in_words(there)}, is still to be read"
        )
        verdict = f"all {values} values read as on the sheet{unread}{rest}"
    in_front = 0.0 if trim_in_front is None or trim.in_channels else trim_in_front - there
    louder = sheet_reading.moved_by(shown, in_front) if trim.compared else shown
    return ReadBack(
        verdict=verdict,
        word=sheet_reading.word_of(lines) if agrees and not any(line.fir for line in lines) else "–",
        trim_as_read=trim.words,
        different=float(len(found)),
        compared=float(values),
        differences=found,
        advice=(
            *read.advice(),
            *_boosts(trim_in_front, half),
            *_advice(wanted, louder, trim.agrees or trim.compared, sheet is None),
        ),
    )


def _open_in_words(found: tuple[Difference, ...]) -> str:
    """What to do with lines that differ, and with those that nobody has looked at."""
    unread = sum(line.shown == sheet_reading.NOT_READ for line in found)
    differ = len(found) - unread
    words = [f"{differ} {'line differs' if differ == 1 else 'lines differ'}: mend, save, read back again"]
    not_yet = f"{unread} {'value is' if unread == 1 else 'values are'} not read yet"
    return "; ".join(words * (differ > 0) + [f"{not_yet}: look at the processor's screen"] * (unread > 0))


def _shown(channels: tuple[ShownChannel, ...], filters: tuple[ShownFilter, ...]) -> tuple[Line, ...]:
    """The processor's channels with their filters. Raises InputError at a name that cannot be."""
    peaks: dict[str, list[Peak]] = {}
    for number, channel in enumerate(channels):
        key = name_key(channel.name)
        if not key or key in peaks:
            raise InputError(f"channels[{number}].name", "Give every channel a name of its own.")
        peaks[key] = []
    for number, each in enumerate(filters):
        if name_key(each.name) not in peaks:
            raise InputError(f"filters[{number}].name", "No channel above is called so.")
        peaks[name_key(each.name)].append(Peak(each.frequency, each.gain, each.q))
    return tuple(
        Line(
            name=each.name.strip(),
            high_pass=each.high_pass,
            low_pass=each.low_pass,
            reversed=each.polarity == "reversed",
            delay=each.delay,
            gain=each.gain,
            peaks=tuple(peaks[name_key(each.name)]),
            other_slope=each.slope == "other",
            not_read=tuple(
                value
                for value, chosen in (("crossovers", each.slope), ("polarity", each.polarity))
                if chosen in UNREAD
            ),
        )
        for each in channels
    )


def _boosts(trim_in_front: float | None, within: Within) -> tuple[Advice, ...]:
    """A trim in front, dB, never lifts: a sheet's is 0 dB at most."""
    if trim_in_front is None or trim_in_front <= within.gain:
        return ()
    words = (
        f"The trim in front lifts every channel by {decibels_in_words(trim_in_front)}, and no sheet does: "
        "loud passages clip. Turn it down before anything plays."
    )
    return (Advice("trim_in_front", words, danger=True),)


def _advice(
    sheet: tuple[Line, ...], shown: tuple[Line, ...], trim_read: bool, ours: bool
) -> tuple[Advice, ...]:
    """``shown``: with what its trim in front is off the sheet's."""
    dangers = (
        (
            sheet_reading.lowered(sheet, shown),
            "High-pass lower or flatter than on the sheet, or none: {}. Amplifier off before anything plays: "
            "a tweeter can be dead in a second.",
        ),
        (
            sheet_reading.unguarded(sheet, shown),
            "Not on the sheet, and without a high-pass: {}. Amplifier off before anything plays: if a "
            "tweeter hangs there, it can be dead in a second.",
        ),
        (
            sheet_reading.lifted(sheet, shown),
            "Far louder than on the sheet, gain and filters together: {}. Nothing plays before that is "
            "mended.",
        ),
    )
    notes = [
        Advice("channels", words.format(", ".join(names)), danger=True) for names, words in dangers if names
    ]
    if not trim_read:
        notes.append(
            Advice(
                "trim_in_front",
                "The trim in front was not read back: without it loud passages clip. Type what the screen "
                "shows; where the processor has no trim in common, take it off the gain of every channel.",
            )
        )
    notes += [
        Advice(
            "channels",
            f"{each.name} has an all-pass on the sheet, {each.all_pass_words}: this form has no field for "
            "it. Look at the processor's screen.",
        )
        for each in sheet
        if each.all_pass is not None
    ]
    notes += [
        Advice(
            "channels",
            f"{each.name} has an FIR filter on the sheet, {each.fir}. Look at the processor's screen: this "
            "file, and no other, in this channel.",
        )
        for each in sheet
        if each.fir is not None
    ]
    if ours:
        notes.append(
            Advice("sheet", "No sheet is chosen: the values are held against one of our own invention.")
        )
    return tuple(notes)
