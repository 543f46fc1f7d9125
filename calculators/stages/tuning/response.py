"""Response, arrival, polarity and faults from a recording of the measuring sweep."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Band,
    Chart,
    Choice,
    Curve,
    CurveText,
    File,
    Kept,
    Made,
    Number,
    Output,
    OutputBrief,
    OutputChart,
    OutputCurve,
    OutputFile,
    OutputRows,
    OutputText,
    Steps,
    Working,
    calculator,
)
from calculators.declaring.quantities import COUNT, FREQUENCY, LEVEL, RATIO, TIME
from calculators.physics.arrays import FloatArray
from calculators.physics.bands import NOMINAL_THIRD_OCTAVES, exact_third_octaves
from calculators.vocabulary import (
    curve_points,
    measuring_charts,
    measuring_loop,
    measuring_taken,
    measuring_uses,
    sweep_inputs,
    tune_measurements,
)
from calculators.vocabulary.measuring import Gate
from calculators.vocabulary.measuring_tables import BandFound, PlayFound, band_rows, play_row
from calculators.vocabulary.measuring_uses import UseFound

CALIBRATOR = 94.0
PHONE_BAND = (200.0, 8000.0)
SMOOTHING = {"3": "one third octave", "6": "one sixth", "12": "one twelfth", "24": "one twenty-fourth"}
PLAY = Number("Which play", COUNT, 1, 2, whole=True, options=(("first", 1.0), ("second", 2.0)))


@dataclass(frozen=True, kw_only=True)
class SpeakerResponse:
    """What the recording says."""

    verdict: Annotated[str, OutputText("What it is good for", main=True, brief="short")]
    short: Annotated[str, OutputBrief("Good for")]
    valid_low: Annotated[float, Output("Shown from", FREQUENCY, figures=3)]
    valid_high: Annotated[float, Output("Shown to", FREQUENCY, figures=3)]
    signal_to_noise: Annotated[
        float | None, Output("Sweep over noise, RMS of each", LEVEL, decimals=1, none="not known")
    ]
    drift: Annotated[
        float | None, Output("Recorder's clock fast by", RATIO, show="ppm", decimals=2, none="not found")
    ]
    drift_error: Annotated[float, Output("Within ±", RATIO, show="ppm", decimals=2)]
    arrival_method: Annotated[str, OutputText("Arrival found by")]
    plays: Annotated[tuple[PlayFound, ...], OutputRows("Arrival and polarity")]
    uses: Annotated[tuple[UseFound, ...], OutputRows("What it may be used for")]
    level_chart: Annotated[Chart, OutputChart("Level")]
    phase_chart: Annotated[Chart, OutputChart("Phase")]
    group_delay_chart: Annotated[Chart, OutputChart("Group delay")]
    impulse_chart: Annotated[Chart, OutputChart("Impulse response")]
    step_chart: Annotated[Chart, OutputChart("Step response")]
    decay_chart: Annotated[Chart, OutputChart("Decay")]
    bands: Annotated[tuple[BandFound, ...], OutputRows("By third octave", copy=True, fold=True)]
    curve: Annotated[Curve, OutputCurve("Level and phase")]
    csv: Annotated[Made, OutputFile("The curve for a spreadsheet, or to paste; flight time taken out")]
    for_tune: Annotated[Made | None, OutputFile("The curve for the tune")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Response from a recording",
    example={},
    sources=("farina-2000", "novak-2015", "kirkeby-nelson-1999", "iec-61260-1", "common-practice"),
    cautions=("S14", "S22"),
)
def response(
    recording: Annotated[
        Kept | None,
        File(
            "Recording",
            accept=".wav,audio/*",
            help="WAV, 8 to 192 kHz; in the page also what the browser reads. It stays on this device.",
            optional=True,
            empty="a simulated one of our own",
            records=True,
        ),
    ] = None,
    low: Annotated[float, sweep_inputs.LOW] = 20.0,
    high: Annotated[float, sweep_inputs.HIGH] = 20_000.0,
    sweep_length: Annotated[float, sweep_inputs.SWEEP_LENGTH] = 5.0,
    plays_in_file: Annotated[float, sweep_inputs.PLAYS] = 1.0,
    play: Annotated[float, PLAY] = 1.0,
    microphone: Annotated[str, measuring_uses.MICROPHONE] = "calibrated",
    smoothing: Annotated[str, Choice("Smoothing", SMOOTHING)] = "6",
    gate: Annotated[
        float, Number("Keep after the arrival", TIME, 0.002, 1, show="ms", help="The rest is cut off softly.")
    ] = 0.3,
    cycles: Annotated[
        float | None,
        Number(
            "Or so many cycles of each frequency", COUNT, 3, 100, optional=True, empty="the same time for all"
        ),
    ] = None,
    correction: Annotated[
        Curve | None,
        CurveText("The microphone's correction file", optional=True, help="Its response: Hz, dB."),
    ] = None,
    calibrator: Annotated[
        float | None,
        Number(
            "A 94 dB calibrator reads, dBFS",
            LEVEL,
            -120,
            0,
            optional=True,
            empty="no calibrator",
            help="A full-scale sine reads 0 (AES17). If your meter gives that sine −3, add 3.01.",
            seldom=True,
        ),
    ] = None,
    recording_channel: Annotated[
        float, Number("Channel of the recording", COUNT, 1, 32, whole=True, seldom=True)
    ] = 1.0,
    loop_channel: Annotated[float | None, measuring_loop.LOOP_CHANNEL] = None,
    pause: Annotated[float, sweep_inputs.PAUSE] = 1.0,
    lead: Annotated[float, sweep_inputs.LEAD] = 3.0,
    markers: Annotated[bool, sweep_inputs.MARKERS] = True,
    direction: Annotated[str, sweep_inputs.DIRECTION] = "rising",
    functions: Annotated[str, measuring_uses.FUNCTION] = "off",
    tie: Annotated[str, measuring_uses.TIED_BY] = "nothing",
    declared_lossy: Annotated[bool, measuring_uses.LOSSY] = False,
    speaker: Annotated[str, tune_measurements.SPEAKER] = "",
    seat: Annotated[float, tune_measurements.SEAT] = 1.0,
    point: Annotated[float, tune_measurements.POINT] = 1.0,
    others: Annotated[tuple[curve_points.MeasuredPoint, ...], curve_points.OTHERS] = (),
) -> Steps[SpeakerResponse]:
    """What a speaker did, from a recording of the measuring sweep and the settings that made the sweep.

    Start, sample rate and the run of both clocks are found from the recording itself; the clocks from a
    loop, where a channel records by a cable what is played. A band is shown where it stands 10 dB over the
    noise recorded before the sweep, a harmonic where noise moves it by less than 1 dB. Level is that of the
    recording while the first sweep passed, unweighted. The phase has the flight time taken out: put it back,
    −360° · f · arrival, before the phases of two speakers are laid over each other. Without a recording a
    simulated one is worked out, with settings of its own.
    """
    signal = sweep_inputs.signal_of(low, high, sweep_length, pause, lead, markers, direction, plays_in_file)
    take = yield from measuring_taken.taken(
        recording,
        signal,
        int(play) - 1,
        tie,
        int(recording_channel),
        None if loop_channel is None else int(loop_channel),
    )
    asked = measuring_taken.Asked(
        microphone=microphone,
        functions=functions,
        tie=tie,
        declared_lossy=declared_lossy,
        rising=direction == "rising",
        calibrated=calibrator is not None,
    )
    kept = Gate(min(gate, take.tape.signal.gap), cycles)
    judged = yield from measuring_taken.judged(take, kept, asked)
    offset = offset_of(correction, calibrator)
    curve = measuring_charts.curve_of(judged.spectrum, judged.low, judged.high, 1 / int(smoothing), offset)
    unit = "dB" if calibrator is None else "dB SPL"
    for_tune, why = _for_tune(speaker, int(seat), int(point), take, judged, tie, curve)
    yield Working("Drawing charts", 0.95)
    phase_chart, group_delay_chart = measuring_charts.time_charts(
        curve, judged.spectrum, take.tape.signal.sweep.low
    )
    return SpeakerResponse(
        verdict=measuring_uses.verdict_of(judged.facts),
        short=measuring_uses.good_for_in_short(judged.facts),
        valid_low=judged.low,
        valid_high=judged.high,
        signal_to_noise=judged.ratio,
        drift=take.clock.drift,
        drift_error=take.clock.error,
        arrival_method=take.one.method,
        plays=tuple(
            play_row(number, take.found, doubt, take.loop) for number, doubt in enumerate(judged.doubts)
        ),
        uses=measuring_uses.uses_of(judged.facts),
        level_chart=measuring_charts.level_chart(
            curve,
            judged.spectrum.over_noise,
            unit,
            _untrusted(microphone, judged),
            curve_points.levels_over(others, curve),
        ),
        phase_chart=phase_chart,
        group_delay_chart=group_delay_chart,
        impulse_chart=measuring_charts.impulse_chart(take.tape, take.one),
        step_chart=measuring_charts.step_chart(take.tape, take.one),
        decay_chart=measuring_charts.decay_chart(take.tape, take.one, kept.length, judged.facts.lossy),
        bands=band_rows(judged.spectrum, judged.inside, offset, take.tape, _is_withheld(asked, judged)),
        curve=curve,
        csv=curve_points.response_file(curve, tune_measurements.file_name(speaker, int(seat), int(point))),
        for_tune=for_tune,
        advice=(*take.notes, *judged.notes, *why),
    )


def _is_withheld(asked: measuring_taken.Asked, judged: measuring_taken.Judged) -> bool:
    """Whether harmonics are not told: a phone, its functions, a lossy file or a falling sweep alter them."""
    altered = asked.microphone == "phone" or asked.functions == "on" or judged.facts.lossy
    return altered or not asked.rising


def _untrusted(microphone: str, judged: measuring_taken.Judged) -> tuple[Band, ...]:
    """Where a phone's microphone is not to be trusted."""
    if microphone != "phone":
        return ()
    return (
        Band("not to be trusted", judged.low, PHONE_BAND[0]),
        Band("nor this", PHONE_BAND[1], judged.high),
    )


def _for_tune(
    speaker: str, seat: int, point: int, take: measuring_taken.Taken, judged: measuring_taken.Judged,
    tie: str, curve: Curve,
) -> tuple[Made | None, tuple[Advice, ...]]:  # fmt: skip
    """The curve's file for the tune; or why there is none, of a speaker that was named."""
    if not speaker:
        return None, ()
    if why := measuring_uses.why_no_tune(judged.facts, seat == point == 1):
        return None, (Advice("speaker", f"No file for the tune: {why}."),)
    begins = take.loop.time if take.loop else take.found[0].time if tie == "reference" else 0.0
    sign = None if judged.doubts[take.chosen] else take.one.beginning.sign
    made = tune_measurements.point_file(speaker, seat, point, take.one.time - begins, sign, curve)
    return made, ()


def offset_of(correction: Curve | None, calibrator: float | None) -> FloatArray:
    """What is added to the level of each third octave, dB."""
    offset = np.zeros(len(NOMINAL_THIRD_OCTAVES))
    if correction is not None:
        offset = offset - np.interp(
            np.log(exact_third_octaves()), np.log(correction.frequency), correction.level
        )
    return offset if calibrator is None else offset + CALIBRATOR - calibrator
