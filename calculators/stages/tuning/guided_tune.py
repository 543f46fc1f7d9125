"""The guided tune: what to do next, from an untuned vehicle to a sheet that was measured again."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Annotated

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    InputError,
    Kept,
    Output,
    OutputChart,
    OutputRows,
    OutputText,
    Rows,
    Steps,
    Text,
    calculator,
)
from calculators.declaring.quantities import COUNT, FREQUENCY, TIME
from calculators.physics import equalisers
from calculators.vocabulary import (
    before_after,
    doubtful_runs,
    guided_way,
    sheet_reading,
    targets,
    tune_advice,
    tune_measurements,
)
from calculators.vocabulary.before_after import AgainLimits, BandHeard, Heard, OffTarget, SheetLine
from calculators.vocabulary.curve_points import MeasuredPoint
from calculators.vocabulary.doubtful_runs import Doubt
from calculators.vocabulary.guided_way import Act, Run, RunRow
from calculators.vocabulary.names import name_key
from calculators.vocabulary.sheet_file import SHEET, Sheet, read_sheet
from calculators.vocabulary.sides_alone import SideHeard
from calculators.vocabulary.tune_channels import TunedChannel, untimed

HEARD_AT = guided_way.POINT_SETS["5"]
"""Points of everything together: those that judge levels."""


@dataclass(frozen=True, kw_only=True)
class GuidedTune:
    """Where the work stands, and what comes next."""

    next_step: Annotated[str, OutputText("Now", main=True, brief="stage")]
    stage: Annotated[str, OutputText("Stage")]
    speaker: Annotated[str, OutputText("Plays")]
    point: Annotated[float | None, Output("Microphone at point", COUNT, decimals=0, none="–")]
    swept_from: Annotated[float, Output("Sweep from", FREQUENCY, figures=2, trim=True)]
    done: Annotated[float, Output("Runs done", COUNT, decimals=0)]
    of: Annotated[float, Output("Of", COUNT, decimals=0)]
    time_left: Annotated[float, Output("Time left for runs, about", TIME, show="min", decimals=0)]
    hand: Annotated[float, Output("Of each run, for the hand", TIME, show="s", decimals=0)]
    move: Annotated[float, Output("To move the microphone", TIME, show="s", decimals=0)]
    acts: Annotated[tuple[Act, ...], OutputRows("Do this")]
    doubts: Annotated[tuple[Doubt, ...], OutputRows("Runs in doubt")]
    rms: Annotated[tuple[OffTarget, ...], OutputRows("RMS off the target")]
    chart: Annotated[Chart | None, OutputChart("Before and after")]
    bands: Annotated[
        tuple[BandHeard, ...], OutputRows("Before and after, by third octave", copy=True, fold=True)
    ]
    sides: Annotated[
        tuple[SideHeard, ...], OutputRows("Each side alone, by third octave", copy=True, fold=True)
    ]
    limits: Annotated[tuple[AgainLimits, ...], OutputRows("Limits of what is measured again", fold=True)] = (
        before_after.AGAIN_LIMITS
    )
    runs: Annotated[tuple[RunRow, ...], OutputRows("All runs", fold=True)]
    settings: Annotated[tuple[SheetLine, ...], OutputRows("The sheet", copy=True)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Guided tune",
    example={
        "channels": [
            {"name": "Left tweeter", "part": "tweeter", "side": "left", "high_pass": 3000.0},
            {"name": "Left woofer", "part": "woofer", "side": "left", "high_pass": 80.0, "low_pass": 3000.0},
            {"name": "Right tweeter", "part": "tweeter", "side": "right", "high_pass": 3000.0},
            {"name": "Right woofer", "part": "woofer", "side": "right", "high_pass": 80.0,
             "low_pass": 3000.0},
        ],
    },
    sources=("iec-61260-1", "common-practice"),
    cautions=("S09", "S14", "S15", "S22"),
)  # fmt: skip
def guided_tune(
    channels: Annotated[
        tuple[TunedChannel, ...],
        Rows("Channels", "channel", at_most=12, help="With the crossovers that are loaded."),
    ],
    points: Annotated[
        str,
        Choice(
            "Points",
            {
                "5": "five: the fixed one, four within 100 mm; joins judged at one: check them by ear",
                "9": "nine: four within 30 mm too, for the joins",
            },
        ),
    ] = "5",
    microphone: Annotated[
        str,
        Choice(
            "Microphone",
            {
                "calibrated": "a measuring microphone, or this phone, compared with one",
                "phone": "this phone, not compared",
            },
        ),
    ] = "calibrated",
    level_checked: Annotated[bool, guided_way.LEVEL_CHECKED] = False,
    measurements: Annotated[
        Kept | None,
        replace(
            tune_measurements.MEASUREMENTS,
            label="Measured so far",
            help="The files of the recordings, “The curve for the tune”.",
        ),
    ] = None,
    sheet: Annotated[Kept | None, replace(SHEET, empty="none yet")] = None,
    read_back: Annotated[
        str,
        Text(
            "Word of the read-back",
            longest=10,
            help="The read-back of this sheet gives it: every line agrees.",
        ),
    ] = "",
    again: Annotated[
        tuple[MeasuredPoint, ...],
        Rows(
            "Measured again",
            "point",
            at_least=0,
            at_most=9,
            fold=True,
            help="Everything together; each named by its point.",
        ),
    ] = (),
    bass_gain: Annotated[float, targets.BASS_GAIN] = 8.0,
    tilt: Annotated[float, targets.TILT] = -0.5,
) -> Steps[GuidedTune]:
    """What comes next, in the order in which a fitter works, from what there is so far.

    The level; every speaker alone at every point, point by point; the tune; typing in, reading back; all
    together at the same points; before, expected and after. Each run opens with one untouched speaker on the
    left input, which ties the runs to one another; the speaker measured is on the right input. Before is
    what the measured channels do together with crossovers alone; expected, with the sheet. A sheet has the
    channels and crossovers that are loaded, or is another vehicle's; its read-back gives a word that no other
    sheet has. Measured again, third octaves are within 1 dB of what was expected up to 1 kHz, 2 dB above and
    where the points differ by more than 3.5 dB RMS, each side alone within 1 and 2.5 dB, or the way is not
    finished. A phone that was not compared gives delays by tape alone. A run is in doubt, and not refused,
    where it is louder outside of its crossovers, far from the other runs of its name and near another's, or
    arrives as another of its kind does. Times are our own estimate.
    """
    guided_way.checked(channels)
    by_tape = microphone == "phone"
    wanted = guided_way.POINT_SETS[points]
    names = [each.name.strip() for each in channels]
    runs = () if by_tape else guided_way.runs_of(names, wanted)
    file = (yield from tune_measurements.read_measurements(measurements)) if measurements else []
    tune_measurements.refuse_foreign(file, names)
    left = guided_way.open_runs(runs, {(name_key(one.name), one.point + 1) for one in file if one.seat == 0})
    on_sheet = read_sheet(sheet) if sheet else Sheet(())
    typed = on_sheet.lines
    if typed:
        before_after.refuse_another(typed, channels)
    is_read = bool(typed) and sheet_reading.is_word_of(typed, read_back)
    if typed and again and not is_read:
        raise InputError(
            "again", "These were measured before this sheet was read back: take them out, their files stay."
        )
    doubts = () if by_tape else doubtful_runs.doubts_of(file, channels)
    after = guided_way.runs_again(channels, HEARD_AT)
    heard_at = before_after.runs_named(again, after)
    heard = None
    notes = on_sheet.advice()
    if runs and not left:
        here = [one for one in file if one.seat == 0 and one.point + 1 in wanted]
        if found := doubtful_runs.from_runs(channels, here, doubts):
            notes += found.advice
            target = targets.third_octave_levels(None, equalisers.tuned_shape(bass_gain, tilt))
            heard = before_after.heard_of(found, typed, again, heard_at, target)
    to_hear = [run for run in after if run not in heard_at and not by_tape]
    faults = heard.faults() if heard else ()
    stage = _stage(left, level_checked or bool(file), bool(typed), is_read, bool(to_hear or faults))
    now = next(iter({guided_way.MEASURE: left, guided_way.AGAIN: to_hear}.get(stage, [])), None)
    here_left = sum(one.point == now.point for one in left) if now else 0
    every = () if by_tape else (*runs, *after)
    return GuidedTune(
        next_step=_words(stage, now, every, by_tape, faults, len(on_sheet.dangers)),
        stage=stage,
        speaker=now.speaker if now else "–",
        point=float(now.point) if now else None,
        swept_from=guided_way.swept_from(channels),
        done=float(len(every) - len(left) - len(to_hear)),
        of=float(len(every)),
        time_left=guided_way.time_for(left, to_hear, guided_way.swept_from(channels)),
        hand=guided_way.HAND,
        move=guided_way.MOVE,
        acts=_acts(stage, now, channels, not (again if is_read else file), here_left, by_tape, heard),
        doubts=doubts,
        rms=(heard.off_target(),) if heard else (),
        chart=heard.chart() if heard else None,
        bands=heard.rows() if heard else (),
        sides=heard.sides.rows() if heard and heard.sides else (),
        runs=guided_way.run_rows(every, (*left, *to_hear)),
        settings=before_after.sheet_lines(typed),
        advice=(
            *doubtful_runs.doubt_advice(doubts),
            *notes,
            *_advice(by_tape, bool(typed and read_back) and not is_read),
            *before_after.fault_advice(faults),
            *(tune_advice.channel_advice(untimed(channels)) if runs and not file else ()),
        ),
    )


def _stage(left: Sequence[Run], level: bool, sheet: bool, read_back: bool, to_hear: bool) -> str:
    """Where the work stands."""
    if left:
        return guided_way.MEASURE if level else guided_way.LEVEL_CHECK
    if not sheet:
        return guided_way.TUNE
    if not read_back:
        return guided_way.READ_BACK
    return guided_way.AGAIN if to_hear else guided_way.WAY_FINISHED


def _words(
    stage: str, now: Run | None, every: Sequence[Run], by_tape: bool, faults: Sequence[str], dangers: int
) -> str:  # fmt: skip
    """The stage in a line."""
    if now is not None:
        plays = "everything together" if now.speaker == guided_way.EVERYTHING else now.speaker
        plays += " alone" if now.speaker in guided_way.SIDES_ALONE else ""
        return f"run {every.index(now) + 1} of {len(every)}: {plays} at point {now.point}"
    if stage == guided_way.AGAIN:
        return f"not finished: {faults[0]}"
    return {
        guided_way.LEVEL_CHECK: "check the level, before anything is measured",
        guided_way.TUNE: "the tune, from distances alone" if by_tape else "everything is measured: the tune",
        guided_way.READ_BACK: "mend what is told as a danger, and make another sheet"
        if dangers
        else "type the sheet in, and read it back",
    }.get(stage, "finished: print the sheet, put it with the job’s papers")


def _acts(
    stage: str,
    now: Run | None,
    channels: tuple[TunedChannel, ...],
    first: bool,
    here_left: int,
    by_tape: bool,
    heard: Heard | None,
) -> tuple[Act, ...]:
    """What the hand does next; ``here_left``: how many runs of one speaker its point still wants."""
    if now is not None:
        if stage == guided_way.AGAIN:
            return guided_way.acts_to_measure_again(now, channels, first)
        return guided_way.acts_to_measure(now, channels, first, here_left == len(channels), here_left == 1)
    if stage == guided_way.LEVEL_CHECK:
        return guided_way.acts_to_check_level(channels)
    if stage == guided_way.TUNE:
        return guided_way.acts_to_tune(by_tape)
    if stage == guided_way.READ_BACK:
        return guided_way.acts_to_read_back(channels)
    if heard and stage == guided_way.AGAIN:
        return guided_way.acts_to_mend(*heard.to_mend())
    return guided_way.acts_at_the_end_by_tape() if by_tape else guided_way.acts_at_the_end()


def _advice(by_tape: bool, other_word: bool) -> tuple[Advice, ...]:
    """What the reader has to know of the microphone and of the read-back."""
    notes = []
    if by_tape:
        notes.append(
            Advice(
                "microphone",
                "A phone that was not compared tells no true curve, so it makes no filters: delays by tape "
                "are all there is. Compared with a measuring microphone first, it gives the whole sheet.",
            )
        )
    if other_word:
        notes.append(
            Advice(
                "read_back",
                "This word is another sheet's. Amplifier off; nothing plays until this one is read back.",
                danger=True,
            )
        )
    return tuple(notes)
