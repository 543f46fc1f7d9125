"""Level dependence of a feed: whether its tone follows the knob, the signal, or neither."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Chart,
    Curve,
    CurveText,
    InputError,
    Number,
    Output,
    OutputBrief,
    OutputChart,
    OutputRows,
    OutputText,
    Rows,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LEVEL
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.feed_examples import FACTORY_FEED, FACTORY_FEED_LOUD
from calculators.vocabulary.level_changes import (
    COMPARED,
    Change,
    bands_that_play,
    change_of,
    fitting,
    fitting_in_short,
    level_advice,
    probed,
    tone_follows,
)
from calculators.vocabulary.responses import Places, level_axis, response_chart


@dataclass(frozen=True)
class ProbeStep:
    """One step of the two-tone probe: the 60 Hz tone as loud as that, and what the quiet 1 kHz tone reads."""

    bass: Annotated[float, Number("60 Hz at (dBFS)", LEVEL, -80, 0)]
    tone: Annotated[float, Number("1 kHz reads", LEVEL, -150, 150, help="In any dB, the same for all lines.")]


@dataclass(frozen=True, kw_only=True)
class BandMoved:
    """How much one third octave moves, the shift of the whole taken out."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    step_moves: Annotated[float | None, Output("Other step", LEVEL, decimals=2, none="not given")]
    file_moves: Annotated[float | None, Output("Other file level", LEVEL, decimals=2, none="not given")]


@dataclass(frozen=True, kw_only=True)
class LevelDependence:
    """What a feed's tone follows."""

    verdict: Annotated[str, OutputText("The tone follows", main=True, brief="short")]
    short: Annotated[str, OutputBrief("Flatten it?")]
    step_most: Annotated[
        float | None, Output("Other step: the most a band moves", LEVEL, decimals=2, none="not given")
    ]
    step_frequency: Annotated[float | None, Output("at", FREQUENCY, figures=5, trim=True, none="not given")]
    file_most: Annotated[
        float | None, Output("Other file level: the most a band moves", LEVEL, decimals=2, none="not given")
    ]
    file_frequency: Annotated[
        float | None, Output("at that band", FREQUENCY, figures=5, trim=True, none="not given")
    ]
    repeat_most: Annotated[
        float | None, Output("Same sweep again: the most", LEVEL, decimals=2, none="not given")
    ]
    limiter: Annotated[str, OutputText("Limiter on the whole band")]
    probe_fall: Annotated[
        float | None, Output("The quiet tone falls by", LEVEL, decimals=1, none="not probed")
    ]
    limiter_starts: Annotated[
        float | None, Output("It begins with 60 Hz at (dBFS)", LEVEL, decimals=0, none="not found")
    ]
    fitting: Annotated[str, OutputText("Flattening")]
    chart: Annotated[Chart | None, OutputChart("What moves")]
    bands: Annotated[tuple[BandMoved, ...], OutputRows("By third-octave band", fold=True)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Level dependence of a feed",
    example={
        "middle": FACTORY_FEED,
        "other_step": FACTORY_FEED_LOUD,
        "other_file": FACTORY_FEED,
        "again": FACTORY_FEED,
        "probe": [
            {"bass": -40.0, "tone": -52.0},
            {"bass": -20.0, "tone": -52.0},
            {"bass": -10.0, "tone": -52.1},
            {"bass": -3.0, "tone": -52.1},
        ],
    },
    sources=("iec-61260-1", "iso-18233", "common-practice"),
    cautions=("S09",),
)
def level_dependence(
    middle: Annotated[
        Curve, CurveText("Middle step, file at −24 dBFS", help="Hz and dB: a sweep, or third-octave levels.")
    ],
    other_step: Annotated[Curve | None, CurveText("Other step, same file level", optional=True)] = None,
    other_file: Annotated[Curve | None, CurveText("Same step, other file level", optional=True)] = None,
    same_volts: Annotated[
        Curve | None,
        CurveText(
            "Step up, file down by as much", optional=True, seldom=True, help="Where both of them move."
        ),
    ] = None,
    again: Annotated[Curve | None, CurveText("The first one again, nothing touched", optional=True)] = None,
    probe: Annotated[
        tuple[ProbeStep, ...],
        Rows(
            "Two-tone probe",
            "step",
            at_least=0,
            at_most=12,
            help="1 kHz at −40 dBFS throughout, 60 Hz in steps from −40 or under to −3 or over.",
        ),
    ] = (),
) -> LevelDependence:
    """Whether a feed's tone follows the volume knob, the signal, or neither, and whether a limiter works.

    Curves are compared in third octaves within 20 dB of the loudest, after they were shifted onto each other
    from 300 Hz to 3 kHz: over 1 dB is a tone of its own. A feed that plays nothing there is compared by its
    shape alone. A limiter driven by the bass turns the whole band down together, and no sweep shows it: that
    is what the probe with two tones is for. A sweep's curve means something only where the path does not
    change while it plays.
    """
    given = {"other_step": other_step, "other_file": other_file, "same_volts": same_volts, "again": again}
    curves = {name: curve for name, curve in given.items() if curve is not None}
    if not curves and len(probe) < 2:
        raise InputError(
            "other_step", "Give a second curve, or two steps of the probe: one curve shows no change."
        )
    playing = bands_that_play({"middle": middle} | curves)
    changes = {name: change_of(playing, name) for name in curves}
    most = {name: change.most for name, change in changes.items()}
    at = {name: change.frequency for name, change in changes.items()}
    found = probed((step.bass, step.tone) for step in probe)
    may_be_fitted = fitting(most, found)
    return LevelDependence(
        verdict=f"{tone_follows(most)}{'; a limiter works' if found.limited else ''}",
        short=fitting_in_short(may_be_fitted),
        step_most=most.get("other_step"),
        step_frequency=at.get("other_step"),
        file_most=most.get("other_file"),
        file_frequency=at.get("other_file"),
        repeat_most=most.get("again"),
        limiter=found.limiter,
        probe_fall=found.fall,
        limiter_starts=found.starts,
        fitting=may_be_fitted,
        chart=_moved_chart(playing.centres, {COMPARED[name]: each.line for name, each in changes.items()}),
        bands=tuple(
            BandMoved(
                frequency=name,
                step_moves=_level(changes, "other_step", place),
                file_moves=_level(changes, "other_file", place),
            )
            for place, name in enumerate(playing.names)
        ),
        advice=level_advice(playing, changes, found),
    )


def _level(changes: dict[str, Change], name: str, place: int) -> float | None:
    return float(changes[name].line[place]) if name in changes else None


def _moved_chart(centres: FloatArray, lines: dict[str, FloatArray]) -> Chart | None:
    if not lines:
        return None
    return response_chart(
        "What moves, by third octave",
        Places(centres, centres),
        lines,
        level_axis(*lines.values()),
        read_at=float(centres[0]),
    )
