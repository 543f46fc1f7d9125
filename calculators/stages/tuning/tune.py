"""The tune: from measurements, or distances, to one tuning sheet for one seat or two."""

from dataclasses import dataclass, replace
from typing import Annotated

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Curve,
    InputError,
    Kept,
    Made,
    Number,
    Output,
    OutputBrief,
    OutputChart,
    OutputFile,
    OutputRows,
    OutputText,
    Rows,
    Steps,
    Working,
    calculator,
)
from calculators.declaring.quantities import COUNT, LEVEL, RATIO, TIME
from calculators.physics import air, equalisers
from calculators.physics.arrays import ComplexArray
from calculators.physics.filter_limits import Limits
from calculators.vocabulary import (
    low_volume,
    misnamed_curves,
    processor_inputs,
    targets,
    tune_advice,
    tune_channels,
    tune_demonstration,
    tune_files,
    tune_fir,
    tune_levels,
    tune_limits,
    tune_measurements,
    tune_positions,
    tune_sheet,
    tune_slopes,
    tune_steps,
    tune_taped,
    tune_told,
)
from calculators.vocabulary.surroundings import AIR_TEMPERATURE
from calculators.vocabulary.tune_all_pass import ALL_PASSES
from calculators.vocabulary.tune_delays import DelayFound, delay_advice, delay_rows
from calculators.vocabulary.tune_ears import EarsFound, ear_rows
from calculators.vocabulary.tune_errors import ErrorCost, error_costs
from calculators.vocabulary.tune_fir import ChannelFir, Corrected
from calculators.vocabulary.tune_image import ImageFound, image_rows
from calculators.vocabulary.tune_plan import Plan, Processor, Tune
from calculators.vocabulary.tune_positions import Compromise, Position
from calculators.vocabulary.tune_sheet import (
    BassJoin,
    ChannelFilter,
    ChannelSheet,
    FiltersTried,
    JoinFound,
    NotMended,
    SeatFound,
)


@dataclass(frozen=True, kw_only=True)
class TuningSheet:
    """One setting for this processor, and what is to be expected of it."""

    settings: Annotated[str, OutputText("Type in", main=True, brief="short")]
    short: Annotated[str, OutputBrief("The tune")] = "delays only"
    channels: Annotated[
        tuple[ChannelSheet, ...],
        OutputRows("Channels to set; every crossover Linkwitz-Riley, 24 dB per octave", copy=True),
    ]
    filters: Annotated[tuple[ChannelFilter, ...], OutputRows("Filters to set", copy=True)]
    fir_filters: Annotated[tuple[ChannelFir, ...], OutputRows("FIR filters to load", copy=True)] = ()
    filters_used: Annotated[float, Output("Filters a channel, at most", COUNT, decimals=0)]
    cut_in_front: Annotated[float, Output("Trim in front of every channel", LEVEL, decimals=2, trim=True)]
    expected: Annotated[tuple[SeatFound, ...], OutputRows("To be expected, against the target")] = ()
    positions: Annotated[tuple[Position, ...], OutputRows("Two stored positions", copy=True)] = ()
    compromise: Annotated[tuple[Compromise, ...], OutputRows("Off the target in each position, RMS")] = ()
    chart: Annotated[Chart | None, OutputChart("At the driver's seat")] = None
    passenger_chart: Annotated[Chart | None, OutputChart("At the passenger's seat")] = None
    joins: Annotated[tuple[JoinFound, ...], OutputRows("Joins")] = ()
    bass_joins: Annotated[tuple[BassJoin, ...], OutputRows("Subwoofers' joins, 50 to 125 Hz")] = ()
    by_number: Annotated[tuple[FiltersTried, ...], OutputRows("What more filters buy")] = ()
    image: Annotated[
        tuple[ImageFound, ...], OutputRows("Where a voice stands for the driver, by octave")
    ] = ()
    ears: Annotated[tuple[EarsFound, ...], OutputRows("The same at the driver's two ears", fold=True)] = ()
    delays: Annotated[tuple[DelayFound, ...], OutputRows("Group delay of the direct sound", fold=True)] = ()
    quieter: Annotated[tuple[low_volume.QuieterBass, ...], OutputRows("Bass at a lower volume", fold=True)]
    not_mended: Annotated[tuple[NotMended, ...], OutputRows("What no setting mends", fold=True)] = ()
    errors: Annotated[tuple[ErrorCost, ...], OutputRows("What small errors cost", fold=True)] = ()
    limits: Annotated[tuple[tune_told.ToldFrom, ...], tune_told.TOLD] = tune_told.TOLD_FROM
    csv: Annotated[Made, OutputFile("Sheet for a spreadsheet", sheet=True)]
    data: Annotated[Made, OutputFile("Sheet as data", sheet=True)]
    coefficients: Annotated[Made | None, OutputFile("Coefficients of the FIR filters")] = None
    simulation: Annotated[Made | None, OutputFile("The simulated measurements")] = None
    advice: tuple[Advice, ...] = ()


@calculator(
    title="The tune",
    example={"channels": tune_demonstration.TAPED, "begin_with": "distances"},
    sources=(
        "audio-eq-cookbook", "ramos-lopez-2006", "marquardt-1963", "iec-61260-1", "blauert-laws-1978",
        "duda-martens-1998", "iso-226-2003", "common-practice",
    ),
    cautions=("S14", "S22"),
)  # fmt: skip
def tune(
    channels: Annotated[
        tuple[tune_channels.TunedChannel, ...],
        Rows("Channels", "channel", at_least=0, at_most=12, help="The simulated cabin brings its own."),
    ] = (),
    begin_with: Annotated[str, tune_channels.BEGIN_WITH] = "simulated",
    measurements: Annotated[
        Kept | None,
        replace(
            tune_measurements.MEASUREMENTS,
            help="Level and phase of every channel at every point, as described above; all files at once.",
        ),
    ] = None,
    crossovers_in: Annotated[bool, tune_channels.CROSSOVERS_IN] = True,
    seats: Annotated[
        str, Choice("For", {"driver": "the driver alone", "two": "driver and passenger, one setting"})
    ] = "driver",
    driver_share: Annotated[
        float, Number("The driver counts", RATIO, 0.05, 0.95, show="%", help="Of two seats.", seldom=True)
    ] = 0.5,
    beside: Annotated[bool, tune_channels.OWN_BESIDE] = False,
    filters: Annotated[
        float | None,
        Number(
            "Filters a channel",
            COUNT,
            1,
            10,
            whole=True,
            optional=True,
            empty="as few as points left out tell apart",
        ),
    ] = 3.0,
    most_filters: Annotated[
        float, Number("Filters the processor has for each", COUNT, 1, 31, whole=True, seldom=True)
    ] = 8.0,
    turn_bass: Annotated[bool, tune_channels.TURN_BASS] = True,
    turned: Annotated[str, tune_channels.TURNED_BY_BURST] = "",
    all_passes: Annotated[bool, ALL_PASSES] = False,
    fir: Annotated[str, tune_fir.FIR] = "none",
    fir_taps: Annotated[float, tune_fir.FIR_TAPS] = 2048.0,
    fir_rate: Annotated[float, tune_fir.FIR_RATE] = 48_000.0,
    places: Annotated[
        str,
        Choice(
            "The filters are for",
            {"between": "the places between the points too", "points": "the measured points alone"},
            seldom=True,
        ),
    ] = "between",
    bass_gain: Annotated[float, targets.BASS_GAIN] = 8.0,
    tilt: Annotated[float, targets.TILT] = -0.5,
    target: Annotated[Curve | None, targets.OWN_TARGET] = None,
    max_boost: Annotated[float, Number("Most a filter may lift", LEVEL, 0, 15, usual=(0, 6))] = 3.0,
    max_cut: Annotated[float, Number("Most it may cut", LEVEL, 0.5, 30, usual=(6, 15))] = 12.0,
    q_low: Annotated[float, processor_inputs.Q_FROM] = 0.5,
    q_high: Annotated[float, processor_inputs.Q_TO] = 8.0,
    step_gain: Annotated[float, processor_inputs.STEP_OF_GAIN] = 0.1,
    step_q: Annotated[float, processor_inputs.STEP_OF_Q] = 0.1,
    step: Annotated[float, processor_inputs.STEP_OF_DELAY] = 1e-5,
    longest_delay: Annotated[
        float, Number("Longest delay it sets", TIME, 1e-3, 0.2, show="ms", usual=(0.005, 0.1), seldom=True)
    ] = processor_inputs.DELAY_TO_SET,
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
    tuned: Annotated[float, replace(low_volume.TUNED_AT, seldom=True)] = 80.0,
) -> Steps[TuningSheet]:
    """One tuning sheet, worked out in the order in which a fitter works.

    Polarity stays as proven, but for a subwoofer's if you allow it. Delays go by arrival and are set finer
    at each join of a tweeter, at the fixed point and those within 30 mm; subwoofers are set by phase from 50
    to 125 Hz over all points and seats. Then gains and peak filters of all channels are moved together until
    the mean of the points lies on the target, both sides alike from 300 Hz to 5 kHz; then all is rounded to
    the processor's steps. For the places between the points left and right are added by power above 1 kHz,
    for there what they do together changes within a hand's breadth, and where points scatter it is the mean
    of their levels that comes to the target, not their power. Crossovers are Linkwitz-Riley, 24 dB per
    octave, as typed. From distances alone there are delays and no filters: the tape knows nothing of levels.
    FIR filters, if chosen, come first: all the rest is worked out for a vehicle that has them.
    """
    if not q_low < q_high:
        raise InputError("q_high", "The highest Q must be above the lowest.")
    rate = fir_rate if tune_fir.CORRECTED_KINDS[fir] else Limits.sample_rate
    limits = Limits(max_boost=max_boost, max_cut=max_cut, q_low=q_low, q_high=q_high, sample_rate=rate)
    processor = Processor(limits, int(most_filters), step_gain, step_q, step, longest_delay, all_passes)
    aim = targets.third_octave_levels(target, equalisers.tuned_shape(bass_gain, tilt))
    weights = (driver_share, 1 - driver_share) if seats == "two" else (1.0,)
    count = None if filters is None else min(int(filters), int(most_filters))
    simulation = None
    gains: tuple[ComplexArray, ...] = ()
    points: tuple[int, ...] = ()
    notes: tuple[Advice, ...] = ()
    speed = air.speed_of_sound(temperature)
    if begin_with == "distances":
        rows = tune_channels.taped(channels, len(weights), speed)
        notes = tune_taped.slips(rows, channels, len(weights))
    elif begin_with == "measurements":
        if measurements is None:
            raise InputError("measurements", "Choose the file of your measurements.")
        file = yield from tune_channels.from_file(channels, measurements, len(weights), crossovers_in, rate)
        rows, gains, points = file.channels, file.gains, file.points
        off_tape = tune_taped.off_tape(rows, channels, len(weights), speed)
        notes = (*file.advice, *misnamed_curves.misnamed(rows, gains, points, rate), *off_tape)
    else:
        shown = yield from tune_demonstration.prepared()
        rows, gains = shown.channels(len(weights)), shown.gains[: len(weights)]
        points = tuple(range(gains[0].shape[0]))
        simulation = shown.file()
    rows = tune_channels.turned_by_burst(rows, turned)
    near, wide = tune_measurements.parts_of_points(points)
    if begin_with == "measurements" and crossovers_in:
        notes = (*notes, *tune_slopes.other_slopes(rows, gains[0], wide))
    plan = Plan(
        channels=rows, gains=gains, near=near, wide=wide, targets=(aim,) * len(weights), weights=weights,
        processor=processor, turn_bass=turn_bass, between=places == "between",
    )  # fmt: skip
    corrected = yield from tune_fir.corrected(plan, fir, int(fir_taps), fir_rate, simulation is not None)
    if not gains:
        return _from_distances(plan, tuned, notes)
    found = yield from tune_steps.tuned(corrected.plan, count)
    own = (yield from tune_positions.own_position(found)) if beside and len(gains) > 1 else None
    errors = (yield from error_costs(found)) if simulation is not None else ()
    ears = yield from ear_rows(found)
    yield Working("Writing the sheet", 0.99)
    sheet = _sheet(found, own, simulation, tuned, corrected, tune_levels.levels_alone(plan), notes)
    return replace(sheet, errors=errors, ears=ears)


def _from_distances(plan: Plan, tuned: float, notes: tuple[Advice, ...]) -> TuningSheet:
    """Delays alone; ``notes``: what is told before the rest."""
    settings = tune_steps.to_steps(plan, tune_levels.by_arrival(plan))
    rows, front = tune_sheet.channel_rows(plan, settings, False), tune_sheet.trim_in_front(plan, settings)
    tune_sheet.refuse_long(rows, plan)
    advice = (*notes, *tune_advice.advice_by_tape(plan.channels, plan.processor.delay_step))
    return TuningSheet(
        settings=tune_sheet.settings_in_short(rows),
        channels=rows,
        filters=(),
        filters_used=0.0,
        cut_in_front=front,
        quieter=low_volume.quieter_bass(tuned),
        csv=tune_files.csv_file(front, rows, (), advice=advice),
        data=tune_files.json_file(plan, front, rows, (), advice=advice),
        advice=advice,
    )


def _sheet(
    found: Tune, own: Tune | None, simulation: Made | None, tuned: float, fir: Corrected, before: Tune,
    notes: tuple[Advice, ...],
) -> TuningSheet:  # fmt: skip
    """The sheet, and what is to be expected; ``own``: for the driver, if asked for; ``notes``: told first."""
    plan, settings = found.plan, found.settings
    rows = tune_sheet.channel_rows(fir.plan, settings, True)  # Seats as asked: a fit moves what they count.
    tune_sheet.refuse_long(rows, plan)
    peaks, front = tune_sheet.filter_rows(plan, settings), tune_sheet.trim_in_front(plan, settings)
    expected = tune_sheet.seat_rows(found, before)
    delays, told = delay_rows(found), tune_advice.advice_on(found, expected, simulation is not None)
    told += tune_limits.thirds_apart(before, found)
    advice = (*notes, *fir.advice, *tune_advice.level_advice(before), *told, *delay_advice(delays))
    return TuningSheet(
        short=tune_sheet.tune_in_short(expected, advice),
        settings=("" if simulation is None else "Simulated: ") + tune_sheet.settings_in_short(rows),
        channels=rows,
        filters=peaks,
        fir_filters=fir.rows,
        filters_used=float(max(row.number for row in rows)),
        cut_in_front=front,
        expected=expected,
        positions=tune_positions.positions(own, found) if own else (),
        compromise=tune_positions.compromise(own, found, before) if own else (),
        chart=tune_sheet.seat_chart(found, before, 0),
        passenger_chart=tune_sheet.seat_chart(found, before, 1) if len(plan.gains) > 1 else None,
        joins=tune_sheet.join_rows(found),
        bass_joins=tune_sheet.bass_rows(found),
        by_number=tuple(FiltersTried(filters=float(n), rms=rms) for n, rms in found.left_out),
        image=image_rows(found),
        delays=delays,
        quieter=low_volume.quieter_bass(tuned),
        not_mended=tune_sheet.not_mended(found),
        csv=tune_files.csv_file(front, rows, peaks, fir.rows, advice),
        data=tune_files.json_file(plan, front, rows, peaks, fir.rows, advice),
        coefficients=fir.files,
        simulation=simulation,
        advice=advice,
    )
