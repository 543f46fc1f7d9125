"""From where on a tuning sheet tells: its limits in one row, from which the page prints them."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Output, OutputRows
from calculators.declaring.quantities import ANGLE, LENGTH, LEVEL, OCTAVES, TIME
from calculators.physics.filter_limits import MORE_BOOST, MORE_CUT
from calculators.vocabulary import (
    tune_advice,
    tune_bass_advice,
    tune_joins,
    tune_lifts,
    tune_limits,
    tune_plan,
    tune_seats,
    tune_slopes,
    tune_stacked,
    tune_steps,
    tune_taped,
)
from calculators.vocabulary.tune_sheet import OFF_TOLD, SPREAD_TOLD


def _level(label: str, decimals: int = 1) -> Output:
    """A limit in dB."""
    return Output(label, LEVEL, decimals=decimals, trim=True)


@dataclass(frozen=True, kw_only=True)
class ToldFrom:
    """From where on a sheet says that something is amiss."""

    phase: Annotated[float, Output("Join: phase left", ANGLE, decimals=0)]
    join_moved: Annotated[float, _level("Join: levels apart")]
    join_loss: Annotated[float, _level("Join: loss whatever the delay")]
    bass_loss: Annotated[float, _level("Subwoofer's join: mean loss")]
    pair_apart: Annotated[float, _level("Measured: left and right of a kind apart by")]
    measured_apart: Annotated[float, _level("Measured: any two apart by, a danger")]
    above_band: Annotated[float, _level("Measured: over its own band, an octave beyond its crossover")]
    under_band: Annotated[float, _level("and under it")]
    slope_reaches: Annotated[float, Output("A curve shorter beyond its crossover than", OCTAVES, decimals=2)]
    pair_together: Annotated[float, Output("Left and right of a pair arrive apart by", TIME, show="ms")]
    off_tape: Annotated[float, Output("An arrival off its tape by", TIME, show="ms")]
    meeting_apart: Annotated[float, Output("Taped: a tweeter and its woofer apart by", LENGTH, show="cm")]
    twins_apart: Annotated[float, Output("Taped: left and right of a kind apart by", LENGTH, show="cm")]
    sides_told: Annotated[float, _level("Tuned: left and right apart in a broad band by")]
    sides_apart: Annotated[float, _level("and a danger from")]
    third_apart: Annotated[float, _level("Tuned: left and right apart in a third octave by")]
    parted_by: Annotated[float, _level("where filters add")]
    trim: Annotated[float, _level("A channel trimmed by")]
    does_nothing: Annotated[float, _level("A channel under the loudest of its kind by")]
    spread: Annotated[float, _level("Points differ by, RMS")]
    off_target: Annotated[float, _level("A band off the target by")]
    hardly: Annotated[float, _level("A seat bettered by less than, RMS")]
    still_far: Annotated[float, _level("A seat off the target by, RMS")]
    no_worse: Annotated[float, _level("Fewer filters may be worse by, RMS", 2)]
    little_cut: Annotated[float, _level("A filter may cut less than")]
    more_boost: Annotated[float, _level("Filters of one channel together may lift more by")]
    more_cut: Annotated[float, _level("Filters of one channel together may cut more by")]
    past_together: Annotated[float, _level("and are told from so much more on")]
    lift_outside: Annotated[float, _level("One filter lifts beyond the crossover by")]
    lift_under_high_pass: Annotated[float, _level("A tweeter lifted under its high-pass, a danger from")]
    lift_unsafe: Annotated[float, _level("Lifted under the lowest safe frequency, a danger from")]


TOLD = OutputRows("What is told, and from where on", fold=True)
TOLD_FROM = (
    ToldFrom(
        phase=tune_advice.STILL_APART,
        join_moved=tune_advice.JOIN_MOVED,
        join_loss=tune_limits.JOIN_LOSES,
        bass_loss=tune_bass_advice.BASS_LOSES,
        pair_apart=tune_advice.PAIR_APART,
        measured_apart=tune_advice.MEASURED_APART,
        above_band=tune_slopes.RISES,
        under_band=-tune_slopes.FALLS,
        slope_reaches=tune_slopes.REACHES,
        pair_together=tune_joins.PAIR_TOGETHER,
        off_tape=tune_taped.OFF_TAPE,
        meeting_apart=tune_taped.MEETING_APART,
        twins_apart=tune_taped.TWINS_APART,
        sides_told=tune_seats.SIDES_APART,
        sides_apart=tune_limits.SIDES_UNLIKE,
        third_apart=tune_limits.THIRD_APART,
        parted_by=tune_limits.PARTED_BY,
        trim=tune_limits.LARGEST_TRIM,
        does_nothing=tune_advice.DOES_NOTHING,
        spread=SPREAD_TOLD,
        off_target=OFF_TOLD,
        hardly=tune_advice.HARDLY,
        still_far=tune_advice.STILL_FAR,
        no_worse=tune_steps.NO_WORSE,
        little_cut=tune_limits.LITTLE_CUT,
        more_boost=MORE_BOOST,
        more_cut=MORE_CUT,
        past_together=tune_stacked.STACKED,
        lift_outside=tune_lifts.LIFT_TOLD,
        lift_under_high_pass=tune_plan.LIFT_UNDER_HIGH_PASS,
        lift_unsafe=tune_plan.LIFT_WHERE_UNSAFE,
    ),
)
