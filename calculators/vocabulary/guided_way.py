"""The guided way from an untuned vehicle to a finished sheet: its runs and stages, and what the hand does."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Flag, InputError, Output, OutputText
from calculators.declaring.quantities import COUNT
from calculators.vocabulary import sweep_inputs, tune_channels
from calculators.vocabulary.names import name_key
from calculators.vocabulary.tune_channels import TunedChannel
from calculators.vocabulary.tune_plan import SIDE_OF

POINT_PLACES = {
    1: "the fixed point, the middle between the ears, capsule up",
    2: "30 mm forward of the fixed point",
    3: "30 mm back of the fixed point",
    4: "30 mm left of the fixed point",
    5: "30 mm right of the fixed point",
    6: "100 mm forward of the fixed point",
    7: "100 mm back of the fixed point",
    8: "85 mm left of the fixed point and 50 mm up",
    9: "85 mm right of the fixed point and 50 mm down",
}
"""Where the microphone stands, by the tune's numbers: 2 to 5 judge joins, 6 to 9 levels."""
POINT_SETS = {"5": (1, 6, 7, 8, 9), "9": tuple(POINT_PLACES)}
EVERYTHING = "Whole"
"""What is measured again: everything together."""
SIDES_ALONE = {"Left side": -1, "Right side": 1}
"""And each side alone at the fixed point, by its number in a channel: no other side hides a dead speaker."""
SWEPT_FROM, SWEPT_FROM_FOR_BASS = 20.0, 5.0
"""Hz: where the sweep of every run begins. A subwoofer tells its arrival only from far under its band."""
SWEPT_UP_TO, SWEPT_FOR, SWEPT_AT = 20_000.0, 5.0, -18.0
"""Hz, s and dBFS. Every crossover is in, so no part hears more of the sweep than of music."""
SILENT_UNDER = 1 / 4
"""Of a tweeter's high-pass: two octaves under it 24 dB per octave leave 48 dB less, which nobody hears."""
HAND, MOVE = 40.0, 60.0
"""Seconds at a run for the hand, to route and to type, and to put the microphone elsewhere. Our own estimate,
no source."""

LEVEL_CHECK, MEASURE, TUNE, READ_BACK = "level check", "measure", "tune", "read back"
AGAIN, WAY_FINISHED = "measure again", "finished"
LEVEL_CHECKED = Flag(
    "The level is checked", help="The first act of the way; on another day see the first act of each run."
)
SOFTLY = (
    "Engine off, fan off, driver's door open, nobody inside: listen from outside, hearing protection round "
    "the neck. Player well down, a hand on the stop, the file once through."
)
"""Behind a shut door and with protection on nobody would hear that a tweeter is not silent."""
AT_VOLUME = "its measuring volume (the step set by meter)"
QUIET_BAY = (
    f"Hearing protection on; doors and windows shut, nobody inside, bay quiet. Then the player at {AT_VOLUME}"
)
ALONE_FIRST = (
    "Amplifier on, one channel at a time, from no volume up, a hand on the stop: anything but its own sound, "
    "and the amplifier is off again."
)
OTHER_WAYS = "Under “Other ways, and the runs so far” press"
"""Where the page's screens keep what goes back."""


@dataclass(frozen=True)
class Run:
    """One recording: a speaker, or everything, at a point."""

    speaker: str
    point: int


@dataclass(frozen=True, kw_only=True)
class RunRow:
    """One run, and whether it is done."""

    number: Annotated[float, Output("Run", COUNT, decimals=0)]
    speaker: Annotated[str, OutputText("Plays")]
    point: Annotated[float, Output("Point", COUNT, decimals=0)]
    place: Annotated[str, OutputText("Microphone")]
    state: Annotated[str, OutputText("State")]


@dataclass(frozen=True, kw_only=True)
class Act:
    """One thing to do."""

    number: Annotated[float, Output("No.", COUNT, decimals=0)]
    act: Annotated[str, OutputText("Do")]


def reference_of(channels: Sequence[TunedChannel]) -> str:
    """The speaker that opens every run: a tweeter on the left, else any, else the first channel.

    Its direct sound is the sharpest, so it ties the runs best.
    """
    wanted = [each for each in channels if each.part == "tweeter"] or list(channels)
    return next((each for each in wanted if each.side == "left"), wanted[0]).name


def runs_of(speakers: Sequence[str], points: Sequence[int]) -> tuple[Run, ...]:
    """Every run, point by point: at one point every speaker, for nothing is to move between them."""
    return tuple(Run(speaker, point) for point in points for speaker in speakers)


def runs_again(channels: Sequence[TunedChannel], points: Sequence[int]) -> tuple[Run, ...]:
    """The runs with the finished sheet: each side alone, if there are two, then everything at each point."""
    sides = {SIDE_OF[each.side] for each in channels}
    alone = SIDES_ALONE if set(SIDES_ALONE.values()) <= sides else ()
    return (*(Run(side, 1) for side in alone), *runs_of((EVERYTHING,), points))


def open_runs(runs: Sequence[Run], done: Collection[tuple[str, int]]) -> list[Run]:
    """The runs that are not done; ``done`` holds names as `name_key` has them, and points."""
    return [run for run in runs if (name_key(run.speaker), run.point) not in done]


def swept_from(channels: Sequence[TunedChannel]) -> float:
    """Where the sweep begins, Hz: the same for every run of a vehicle, so that there is one file."""
    return SWEPT_FROM_FOR_BASS if any(each.part == "subwoofer" for each in channels) else SWEPT_FROM


def run_length(begins: float, plays: int) -> float:
    """Seconds that one run's file lasts: silence, then each of its plays swept twice, from ``begins``, Hz."""
    signal = sweep_inputs.signal_of(begins, SWEPT_UP_TO, SWEPT_FOR, 1.0, 3.0, True, "rising", float(plays))
    return signal.length


def time_for(alone: Sequence[Run], together: Sequence[Run], begins: float) -> float:
    """Seconds that runs take with everything round them: of one speaker each, and of everything.

    Each plays its file twice: softly, then to be recorded.
    ``begins``: Hz, where the sweep does.
    """
    return sum(
        len(runs) * (2 * run_length(begins, plays) + HAND) + len({run.point for run in runs}) * MOVE
        for runs, plays in ((alone, 2), (together, 1))
    )


def run_rows(runs: Sequence[Run], left: Collection[Run]) -> tuple[RunRow, ...]:
    """The runs as a table."""
    return tuple(
        RunRow(
            number=float(number),
            speaker=run.speaker,
            point=float(run.point),
            place=POINT_PLACES[run.point],
            state="to do" if run in left else "measured",
        )
        for number, run in enumerate(runs, 1)
    )


def acts(*words: str) -> tuple[Act, ...]:
    """Things to do, numbered."""
    return tuple(Act(number=float(number), act=each) for number, each in enumerate(words, 1))


def silent_for(high_pass: float, begins: float) -> int:
    """Whole seconds of each sweep in which a tweeter must be silent.

    ``high_pass``: Hz, its own. ``begins``: Hz, where the sweep does.
    """
    octaves = math.log2(SWEPT_UP_TO / begins)
    return int(SWEPT_FOR * max(0.0, math.log2(SILENT_UNDER * high_pass / begins)) / octaves)


def soft_beginning(run: Run, channels: Sequence[TunedChannel]) -> str:
    """What the hand does before a run is recorded: the routing has changed, so nothing is certain.

    The sweep begins under a tweeter's lowest safe frequency: only the loaded high-pass keeps it from that.
    """
    reference = reference_of(channels)
    itself = name_key(run.speaker) == name_key(reference)
    plays = f"Only {run.speaker} may play" if itself else f"First {reference} alone, then {run.speaker} alone"
    names = {name_key(run.speaker), name_key(reference)}
    tweeters = [each for each in channels if each.part == "tweeter" and name_key(each.name) in names]
    silent = ""
    if tweeters:
        seconds = min(silent_for(each.high_pass or 0.0, swept_from(channels)) for each in tweeters)
        told = " and ".join(each.name.strip() for each in tweeters)
        silent = (
            f"; for the first {seconds} s of its sweeps of {SWEPT_FOR:g} s, of a shorter one as much of it, "
            f"{told} must be silent, but for the marker"
        )
    return f"{SOFTLY} {plays}{silent}. Anything else: stop, amplifier off, look why."


def acts_to_check_level(channels: Sequence[TunedChannel]) -> tuple[Act, ...]:
    """What the hand does before the first run: what plays, how loud, and how loud the microphone hears it."""
    run = Run(reference_of(channels), 1)
    file = sweep_inputs.file_name(swept_from(channels), SWEPT_UP_TO, SWEPT_FOR, "left-right", SWEPT_AT)
    return acts(
        "Crossovers loaded and read back; every equaliser off, delays 0, trims 0 dB, no channel turned.",
        "The step of the most delicate speaker is set by meter and written down, a tweeter's at 1 V RMS or "
        "less.",
        f"Processor: left and right input to {run.speaker} alone, 0 dB. Everything else muted.",
        f"Microphone on its stand at point 1: {POINT_PLACES[1]}. Turn it on below.",
        f"The file to play is “left, then right”: as the page of test signals makes it, {file}.",
        "Played from a stick: type its “Silence before”; on the screens it stands under “Other ways, and the "
        "runs so far”, “Show all fields of this step”.",
        soft_beginning(run, channels),
        f"{QUIET_BAY}. Record one run: while it sweeps the meter below says “right for a sweep”. If not, "
        "change the microphone's gain, never the step, and record again. Not loud enough at the highest "
        "gain: bring the bay's noise down, or use a better microphone. From now on both stay as they are.",
    )


def acts_to_measure(
    run: Run, channels: Sequence[TunedChannel], first: bool, moved: bool, last: bool
) -> tuple[Act, ...]:
    """What the hand does for one run of one speaker.

    ``first``: the level was checked just now. ``moved``: nothing was recorded at this point yet. ``last``:
    all but this run was.
    """
    reference = reference_of(channels)
    itself = name_key(run.speaker) == name_key(reference)
    begin = (
        ()
        if first
        else (
            "Another day, or processor, player or stand were touched? Read the crossovers back, set the step "
            "anew, put the microphone back on its mark. On another day also record one kept run of a "
            "finished point once more (“Show the whole page”), and hold its third octaves against its file: "
            "more than 0.5 dB apart, begin again at point 1.",
        )
    )
    bass = any(each.part == "subwoofer" and name_key(each.name) == name_key(run.speaker) for each in channels)
    return acts(
        *begin,
        f"Processor: left and right input to {run.speaker} alone, 0 dB. Everything else muted."
        if itself
        else f"Processor: left input to {reference} alone, right input to {run.speaker} alone, both 0 dB. "
        "Everything else muted.",
        *((f"{run.speaker}: its subsonic filter and limiter are on.",) if bass else ()),
        f"Microphone to point {run.point}: {POINT_PLACES[run.point]}."
        if moved
        else f"Check: microphone still at point {run.point}, {POINT_PLACES[run.point]}.",
        soft_beginning(run, channels),
        f"{QUIET_BAY}.",
        "Record; play the file “left, then right” from its beginning; finish when both have swept twice. A "
        "hand on the stop.",
        *(
            (
                "The point is finished with this run. To go on another day keep its file too, “The curve for "
                "a spreadsheet”: that day begins with a run held against it.",
            )
            if last
            else ()
        ),
    )


def acts_to_tune(by_tape: bool) -> tuple[Act, ...]:
    """What the hand does before the sheet is worked out."""
    if by_tape:
        return acts(
            "Tape each distance from the speaker to the middle between the ears; type it with its channel.",
            "Work the tune out “from distances alone”: delays, and nothing else.",
        )
    return acts(
        "Work the tune out from these measurements.",
        "Read first what is wired the wrong way round: mend it, measure that speaker again.",
        "Read every line. Do not type in a delay of a tweeter or woofer that the tape does not explain; a "
        "subwoofer's goes by phase.",
    )


def acts_to_read_back(channels: Sequence[TunedChannel]) -> tuple[Act, ...]:
    """What the hand does with a sheet."""
    bass = any(each.part == "subwoofer" for each in channels)
    fed_twice = (
        "A subwoofer fed left and right gets each at −6 dB: both together are then what the right one was "
        "alone. Write that on the sheet, and leave it so. "
    )
    return acts(
        "Amplifier off. Type the sheet in, the trim in front too; a processor that has none in common gets "
        f"it in the gain of every channel. {fed_twice if bass else ''}Save; processor off and on.",
        "Type what its screen shows into the form below, the trim in front too, not what the sheet says. "
        "Mend each line that "
        "differs.",
        "Nothing plays until every line agrees. It then gives a word, which the screens pass on; without "
        "them type it into the plan.",
    )


def acts_to_measure_again(run: Run, channels: Sequence[TunedChannel], first: bool) -> tuple[Act, ...]:
    """What the hand does for one run of everything together, or of one side alone.

    ``first``: nothing has played with the sheet yet.
    """
    begin = [ALONE_FIRST] if first else []
    if first and any(each.part == "subwoofer" for each in channels):
        begin.append(
            "Play the burst, five cycles at 80 Hz: subwoofer and doors start together, which no figure here "
            f"proves. If not: u{OTHER_WAYS[1:]} “Make another sheet”, and type the subwoofer's name under "
            f"“{tune_channels.TURNED_BY_BURST.label}”; where it is turned already, untick "
            f"“{tune_channels.TURN_BASS.label}”. If neither way, try another low-pass, and measure anew."
        )
    plays = "every channel on"
    if run.speaker in SIDES_ALONE:
        own = [each for each in channels if SIDE_OF[each.side] == SIDES_ALONE[run.speaker]]
        plays = f"{' and '.join(each.name.strip() for each in own)} on, every other channel muted"
    return acts(
        *begin,
        f"Processor: the tune as read back today, {plays}, inputs as in use. Nothing else changes.",
        f"Microphone at point {run.point}: {POINT_PLACES[run.point]}.",
        f"{SOFTLY} Anything that sounds wrong: stop, amplifier off.",
        f"{QUIET_BAY}, as before.",
        "Record; play the file “the same on both” from its beginning; finish when it has swept twice.",
    )


def acts_at_the_end() -> tuple[Act, ...]:
    """What is left to do with a finished sheet."""
    return acts(
        "Listen parked, at the usual volume, then set the limits: gain chain, limiter. The trim in front "
        "stays.",
        "Print this answer, before, expected and after; put it with the job’s papers. Keep the sheet’s file.",
        "Save the processor's preset under a name with the date, and photograph its screens.",
    )


def acts_at_the_end_by_tape() -> tuple[Act, ...]:
    """What is left to do with a sheet of delays alone."""
    return acts(
        ALONE_FIRST,
        "Save the processor's preset; photograph its screens; keep the sheet with the job's papers.",
    )


def acts_to_mend(moved: Sequence[int], only: float | None, sides: bool) -> tuple[Act, ...]:
    """What the hand does where what was measured again is not as expected.

    ``moved``: points at which the volume was another. ``only``: Hz, of the one third octave that is out, if
    there is but one and it is high; else None. ``sides``: whether one side alone is not as expected.
    """
    if sides:
        return acts(
            "First of all: was every channel of the other side, and every subwoofer, muted in both runs, and "
            "the left side recorded as the left one? If in doubt measure both again.",
            "Amplifier off. Read the sheet back again: no line may differ. Look at that side's plugs, fuses "
            "and channels.",
            f"{SOFTLY} Unmute one channel of that side after the other. One that is silent, faint or buzzes "
            "is the fault: stop, amplifier off, mend it.",
            "A speaker was changed: measure it again at every point, and make a new sheet.",
            f"Nothing found: microphone back on its mark, within 5 mm. {OTHER_WAYS} “Measure again” beside "
            "“Left side alone” and “Right side alone”; without the screens take both curves out under "
            "“Measured again”, and measure both again.",
        )
    if moved:
        points = " and ".join(f"“Everything at point {point}”" for point in moved)
        return acts(
            f"Player at {AT_VOLUME}, microphone's gain as it was.",
            f"{OTHER_WAYS} “Measure again” beside {points}; without the screens take its curve out under "
            "“Measured again”, and measure it again.",
        )
    put_back = "Microphone back on its marks, within 5 mm; air within 1 °C of the first measurement."
    first = (
        (f"Only {only:g} Hz is out: first put the microphone back.",)
        if only is not None
        else (
            "Amplifier off. Read the sheet back again: no line may differ.",
            "Look at the inputs' levels, and that every channel is on.",
        )
    )
    return acts(
        *first,
        put_back,
        f"{OTHER_WAYS} “Read back and measure everything again”; without the screens take out the curves "
        "under “Measured again”, and measure every point again.",
    )


def checked(channels: tuple[TunedChannel, ...]) -> None:
    """Refuse channels that cannot be tuned, each at its field, and one called as several together are."""
    tune_channels.checked(channels)
    for number, each in enumerate(channels):
        for taken in (EVERYTHING, *SIDES_ALONE):
            if name_key(each.name) == name_key(taken):
                raise InputError(
                    f"channels[{number}].name",
                    f"“{taken}” is several channels together: call the channel otherwise.",
                )
