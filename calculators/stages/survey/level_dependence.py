"""Level dependence of a feed: whether its tone follows the knob, the signal, or neither."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Curve,
    CurveText,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputRows,
    OutputText,
    Rows,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LEVEL
from calculators.physics import bands, curve_parts, equalisers
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.feed_curves import check_levels
from calculators.vocabulary.feed_examples import FACTORY_FEED, FACTORY_FEED_LOUD
from calculators.vocabulary.responses import Places, level_axis, response_chart

THIRDS_PER_OCTAVE = 10 * 0.30102999566398120
FEWEST_BANDS = 6
AS_THIRDS = 0.25
"""Octaves from point to point: over it a curve is third-octave levels already."""
SWEEPS_AGREE, NOTED, MOVES_MOST = 0.2, 0.7, 1.0
"""dB in a third octave: sweeps that agree; a change that is noted; one that counts."""
FEED_PLAYS_WITHIN = 20.0
"""dB under its loudest band: below that a feed's own slope leaves noise, which moves by itself."""
LIMITED = 0.5
"""dB by which a quiet tone falls while the bass plays: over it a limiter works on the whole band."""
COMPARED = {"other_step": "Step", "other_file": "File level", "same_volts": "Same volts", "again": "Again"}


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

    verdict: Annotated[str, OutputText("The tone follows", main=True)]
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
        "probe": [
            {"bass": -40.0, "tone": -52.0},
            {"bass": -20.0, "tone": -52.0},
            {"bass": -10.0, "tone": -52.1},
            {"bass": -3.0, "tone": -52.1},
        ],
    },
    sources=("iec-61260-1", "iso-18233", "common-practice"),
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
    again: Annotated[Curve | None, CurveText("The first one again", optional=True, seldom=True)] = None,
    probe: Annotated[
        tuple[ProbeStep, ...],
        Rows(
            "Two-tone probe",
            "step",
            at_least=0,
            at_most=12,
            help="1 kHz at −40 dBFS throughout, 60 Hz in steps.",
        ),
    ] = (),
) -> LevelDependence:
    """Whether a feed's tone follows the volume knob, the signal, or neither, and whether a limiter works.

    Curves are compared in third octaves within 20 dB of the loudest, after they were shifted onto each other
    from 300 Hz to 3 kHz: over 1 dB is a tone of its own. A limiter driven by the bass turns the whole band
    down together, and no sweep shows it: that is what the probe with two tones is for. A sweep's curve means
    something only where the path does not change while it plays.
    """
    given = {"other_step": other_step, "other_file": other_file, "same_volts": same_volts, "again": again}
    curves = {name: curve for name, curve in given.items() if curve is not None}
    if not curves and len(probe) < 2:
        raise InputError(
            "other_step", "Give a second curve, or two steps of the probe: one curve shows no change."
        )
    centres, names, thirds = _bands_that_play({"middle": middle} | curves)
    apart = {name: curve_parts.moved(centres, thirds["middle"], thirds[name], MOVES_MOST) for name in curves}
    most = {name: found.most for name, (_, found) in apart.items()}
    at = {name: names[found.place] for name, (_, found) in apart.items()}
    fall, starts = _probed(probe)
    limited = fall is not None and fall > LIMITED
    asked = {"other_step", "other_file"} <= set(most) and fall is not None
    follows = _follows(most)
    return LevelDependence(
        verdict=follows,
        step_most=most.get("other_step"),
        step_frequency=at.get("other_step"),
        file_most=most.get("other_file"),
        file_frequency=at.get("other_file"),
        repeat_most=most.get("again"),
        limiter="not probed" if fall is None else "works" if limited else "none found",
        probe_fall=fall,
        limiter_starts=starts,
        fitting=_fitting(most, limited, asked),
        chart=_moved_chart(centres, {COMPARED[name]: line for name, (line, _) in apart.items()}),
        bands=tuple(
            BandMoved(
                frequency=name,
                step_moves=_level(apart, "other_step", place),
                file_moves=_level(apart, "other_file", place),
            )
            for place, name in enumerate(names)
        ),
        advice=_level_advice(most, limited, starts),
    )


def _bands_that_play(curves: dict[str, Curve]) -> tuple[FloatArray, list[float], dict[str, FloatArray]]:
    """Centres and names, Hz, of the third octaves that all curves hold, where any plays, and their levels."""
    for field, curve in curves.items():
        check_levels(field, curve)
    low = max(curve.frequency[0] for curve in curves.values())
    high = min(curve.frequency[-1] for curve in curves.values())
    centres = bands.exact_third_octaves()
    inside = np.flatnonzero((centres >= low * 0.99) & (centres <= high * 1.01))
    if inside.size < FEWEST_BANDS:
        raise InputError(
            "middle", f"The curves share fewer than {FEWEST_BANDS} third-octave bands: paste more of them."
        )
    thirds = {field: _thirds(curve, centres[inside]) for field, curve in curves.items()}
    plays = np.max([line - np.max(line) for line in thirds.values()], axis=0) >= -FEED_PLAYS_WITHIN
    if np.sum(plays) < FEWEST_BANDS:
        raise InputError("middle", f"The feed plays in fewer than {FEWEST_BANDS} third-octave bands.")
    kept = inside[plays]
    names = [float(bands.NOMINAL_THIRD_OCTAVES[place]) for place in kept]
    return centres[kept], names, {field: line[plays] for field, line in thirds.items()}


def _thirds(curve: Curve, centres: FloatArray) -> FloatArray:
    """Levels in third octaves: as they were pasted, or the mean of a denser curve over each."""
    octaves = np.log2(curve.frequency[-1] / curve.frequency[0]) / (len(curve.frequency) - 1)
    if octaves > AS_THIRDS:
        return equalisers.levels_through_points(centres, curve.frequency, curve.level)
    return curve_parts.averaged(centres, curve.frequency, curve.level, THIRDS_PER_OCTAVE)


def _level(apart: dict[str, tuple[FloatArray, curve_parts.Moved]], name: str, place: int) -> float | None:
    return float(apart[name][0][place]) if name in apart else None


def _probed(probe: tuple[ProbeStep, ...]) -> tuple[float | None, float | None]:
    """By how much the quiet tone falls from the quietest bass on, dB, and the bass level from which on it "
    "does."""
    if len(probe) < 2:
        return None, None
    steps = sorted(probe, key=lambda step: step.bass)
    falls = [steps[0].tone - step.tone for step in steps]
    starts = next((step.bass for step, fall in zip(steps, falls, strict=True) if fall > LIMITED), None)
    return max(falls), starts


def _follows(most: dict[str, float]) -> str:
    if abs(most.get("again", 0.0)) > SWEEPS_AGREE:
        return "not known: two sweeps alike do not agree"
    step, file = (abs(most.get(name, 0.0)) for name in ("other_step", "other_file"))
    if step > MOVES_MOST and file > MOVES_MOST:
        if "same_volts" not in most:
            return "knob and signal, or the volts of both"
        return "knob and signal" if abs(most["same_volts"]) > MOVES_MOST else "the volts at the speaker"
    if step > MOVES_MOST:
        return "the knob"
    if file > MOVES_MOST:
        return "the signal"
    if abs(most.get("same_volts", 0.0)) > MOVES_MOST:
        return "not known: at the same volts it moves, otherwise not"
    if max(step, file) > NOTED:
        return "something, by less than 1 dB: note it"
    return "nothing" if {"other_step", "other_file"} <= set(most) else "not known: one question was not asked"


def _fitting(most: dict[str, float], limited: bool, asked: bool) -> str:
    """What may be fitted; ``asked``: whether step, file level and probe were all given."""
    if abs(most.get("again", 0.0)) > SWEEPS_AGREE:
        return "not yet: find out first why it does not repeat"
    if limited:
        return "only under the step at which the limiter begins"
    if abs(most.get("other_file", 0.0)) > MOVES_MOST:
        return "no fixed filter mends it: an earlier or digital source, or accept it in writing"
    if not asked:
        return "not yet: other step, other file level and the probe, all three"
    if abs(most.get("other_step", 0.0)) > MOVES_MOST:
        return "at the customer's usual step alone, and that step is pinned"
    if abs(most.get("same_volts", 0.0)) > MOVES_MOST:
        return "not yet: find out first what moves at the same volts"
    return "yes"


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


def _level_advice(most: dict[str, float], limited: bool, starts: float | None) -> tuple[Advice, ...]:
    advice = []
    if abs(most.get("again", 0.0)) > SWEEPS_AGREE:
        advice.append(
            Advice(
                "again",
                f"Two sweeps alike differ by {abs(most['again']):.2f} dB: a tone control that learns, a "
                "speed volume, noise cancelling, a lead that moves. Nothing else here counts until they "
                "agree.",
            )
        )
    if limited and starts is not None:
        advice.append(
            Advice(
                "limiter_starts",
                f"A limiter turns the whole band down as soon as 60 Hz reaches {starts:g} dBFS at this step. "
                "Find the step at which it begins, and keep the ceiling under it.",
            )
        )
    if (
        "same_volts" not in most
        and min(abs(most.get(name, 0.0)) for name in ("other_step", "other_file")) > MOVES_MOST
    ):
        advice.append(
            Advice(
                "verdict",
                "Both move: one more sweep, a step up and the file down by as much, tells them apart.",
            )
        )
    return tuple(advice)
