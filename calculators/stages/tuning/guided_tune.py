"""The guided tune: what to do next, from an untuned vehicle to a sheet that was measured again."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    File,
    InputError,
    Kept,
    Output,
    OutputChart,
    OutputRows,
    OutputText,
    Rows,
    Steps,
    calculator,
)
from calculators.declaring.quantities import COUNT, FREQUENCY, LEVEL, TIME
from calculators.physics import equalisers, speaker_system
from calculators.vocabulary import before_after, guided_way, targets, tune_channels, tune_measurements
from calculators.vocabulary.before_after import BandHeard, Heard, SheetLine
from calculators.vocabulary.curve_points import MeasuredPoint
from calculators.vocabulary.guided_way import Act, Run, RunRow
from calculators.vocabulary.names import name_key
from calculators.vocabulary.sheet_reading import read_sheet
from calculators.vocabulary.tune_channels import TunedChannel

AGAIN_WITHIN = 1.0
"""dB: what a third octave measured again may be off what was expected. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class GuidedTune:
    """Where the work stands, and what comes next."""

    next_step: Annotated[str, OutputText("Now", main=True)]
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
    before: Annotated[float | None, Output("RMS off the target, untuned", LEVEL, decimals=1, none="–")]
    expected: Annotated[float | None, Output("RMS expected of the sheet", LEVEL, decimals=1, none="–")]
    after: Annotated[float | None, Output("RMS measured again", LEVEL, decimals=1, none="–")]
    chart: Annotated[Chart | None, OutputChart("Before and after")]
    bands: Annotated[
        tuple[BandHeard, ...], OutputRows("Before and after, by third octave", copy=True, fold=True)
    ]
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
    measurements: Annotated[
        Kept | None,
        File(
            "Measured so far",
            most=20_000_000,
            accept=".txt,text/plain",
            together=True,
            help="The files of the recordings, “The curve for the tune”.",
            optional=True,
            empty="none",
        ),
    ] = None,
    sheet: Annotated[
        Kept | None,
        File(
            "The sheet",
            most=1_000_000,
            accept=".json,application/json",
            help="“Sheet as data”, kept from the tune.",
            optional=True,
            empty="none yet",
        ),
    ] = None,
    read_back: Annotated[str, Choice("Read back", {"no": "not yet", "yes": "yes, no line differs"})] = "no",
    again: Annotated[
        tuple[MeasuredPoint, ...],
        Rows(
            "Measured again",
            "point",
            at_least=0,
            at_most=9,
            fold=True,
            help="Everything together, in the order of the points.",
        ),
    ] = (),
    bass_gain: Annotated[float, targets.BASS_GAIN] = 8.0,
    tilt: Annotated[float, targets.TILT] = -0.5,
) -> Steps[GuidedTune]:
    """What comes next, in the order in which a fitter works, from what there is so far.

    Every speaker alone at every point, point by point; the tune; typing in and reading back; everything
    together at the same points; before, expected and after. Each run opens with one untouched speaker on the
    left input, which ties the runs to one another; the speaker measured is on the right input. Before is
    what the measured channels do together with crossovers alone; expected, with the sheet. A phone that was
    not compared with a measuring microphone gives delays by tape alone. Times are our own estimate.
    """
    tune_channels.checked(channels)
    by_tape = microphone == "phone"
    wanted = guided_way.POINT_SETS[points]
    names = [each.name.strip() for each in channels]
    runs = () if by_tape else guided_way.runs_of(names, wanted)
    file = (yield from tune_measurements.read_measurements(measurements)) if measurements else []
    known = {name_key(name) for name in names}
    for each in file:
        if name_key(each.name) not in known:
            raise InputError(
                "measurements", f"“{each.name}” stands in the file, and no channel is called so."
            )
    left = guided_way.open_runs(runs, {(name_key(one.name), one.point + 1) for one in file if one.seat == 0})
    typed = read_sheet(sheet) if sheet else ()
    if len(again) > len(wanted):
        raise InputError("again", f"There are {len(wanted)} points: take the curves of others out.")
    heard_at = wanted[: len(again)]
    heard = None
    if measurements and runs and not left:
        found = yield from tune_channels.measured(channels, measurements, 1, True)
        shape = equalisers.TargetShape(bass_gain, 80.0, tilt, 200.0)
        target = equalisers.target_levels(speaker_system.band_centres(), shape)
        heard = before_after.heard_of(found, typed, again, heard_at, target)
    after = () if by_tape else guided_way.runs_of((guided_way.EVERYTHING,), wanted)
    to_hear = after[len(again) :]
    stage = _stage(left, bool(typed), read_back == "yes", to_hear)
    now = left[0] if stage == guided_way.MEASURE else to_hear[0] if stage == guided_way.AGAIN else None
    every = (*runs, *after)
    still = (*left, *to_hear)
    return GuidedTune(
        next_step=_words(stage, now, every, by_tape),
        stage=stage,
        speaker=now.speaker if now else "–",
        point=float(now.point) if now else None,
        swept_from=guided_way.swept_from(channels),
        done=float(len(every) - len(still)),
        of=float(len(every)),
        time_left=guided_way.time_for(still),
        hand=guided_way.HAND,
        move=guided_way.MOVE,
        acts=_acts(stage, now, channels, not file, by_tape),
        before=before_after.rms_of(heard.before) if heard else None,
        expected=before_after.rms_of(heard.expected) if heard else None,
        after=before_after.rms_of(heard.after) if heard else None,
        chart=heard.chart() if heard else None,
        bands=heard.rows() if heard else (),
        runs=guided_way.run_rows(every, still),
        settings=before_after.sheet_lines(typed),
        advice=_advice(by_tape, heard),
    )


def _stage(left: Sequence[Run], sheet: bool, read_back: bool, to_hear: Sequence[Run]) -> str:
    """Where the work stands."""
    if left:
        return guided_way.MEASURE
    if not sheet:
        return guided_way.TUNE
    if not read_back:
        return guided_way.READ_BACK
    return guided_way.AGAIN if to_hear else guided_way.WAY_FINISHED


def _words(stage: str, now: Run | None, every: Sequence[Run], by_tape: bool) -> str:
    """The stage in a line."""
    if now is not None:
        plays = "everything together" if now.speaker == guided_way.EVERYTHING else now.speaker
        return f"run {every.index(now) + 1} of {len(every)}: {plays} at point {now.point}"
    return {
        guided_way.TUNE: "the tune, from distances alone" if by_tape else "everything is measured: the tune",
        guided_way.READ_BACK: "type the sheet in, and read it back",
    }.get(stage, "finished: print the sheet, keep it with the job")


def _acts(
    stage: str, now: Run | None, channels: tuple[TunedChannel, ...], first: bool, by_tape: bool
) -> tuple[Act, ...]:
    """What the hand does next."""
    if now is not None:
        if stage == guided_way.AGAIN:
            return guided_way.acts_to_measure_again(now)
        return guided_way.acts_to_measure(now, guided_way.reference_of(channels), first)
    if stage == guided_way.TUNE:
        return guided_way.acts_to_tune(by_tape)
    if stage == guided_way.READ_BACK:
        return guided_way.acts_to_read_back()
    return guided_way.acts_at_the_end()


def _advice(by_tape: bool, heard: Heard | None) -> tuple[Advice, ...]:
    """What the reader has to know of the microphone and of what was found."""
    if by_tape:
        return (
            Advice(
                "microphone",
                "A phone that was not compared tells no true curve, so it makes no filters: delays by tape "
                "are all there is. Compared with a measuring microphone first, it gives the whole sheet.",
            ),
        )
    farthest = heard.farthest() if heard else None
    if farthest is None or round(abs(farthest[1]), 6) <= AGAIN_WITHIN:
        return ()
    frequency, apart = farthest
    return (
        Advice(
            "again",
            f"At {frequency:g} Hz it is {abs(apart):.1f} dB {'over' if apart > 0 else 'under'} what was "
            "expected, and 1 dB is the limit: read back again, look at the inputs' levels, measure again.",
        ),
    )
