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
    InputError,
    Kept,
    Number,
    Output,
    OutputChart,
    OutputCurve,
    OutputRows,
    OutputText,
    Steps,
    Working,
    calculator,
)
from calculators.declaring.quantities import COUNT, FREQUENCY, LEVEL, RATIO, TIME
from calculators.physics import deconvolution
from calculators.physics.arrays import FloatArray
from calculators.physics.bands import NOMINAL_THIRD_OCTAVES, exact_third_octaves, third_octave_edges
from calculators.vocabulary import measuring, measuring_charts, measuring_faults, recordings, sweep_inputs
from calculators.vocabulary.measuring import HARMONICS, Gate, Heard, Spectrum, Tape

SUBWOOFER_TO = 1000.0
CALIBRATOR = 94.0
PHONE_BAND = (200.0, 8000.0)
SMOOTHING = {"3": "one third octave", "6": "one sixth", "12": "one twelfth", "24": "one twenty-fourth"}
PLAY = Number("Which play", COUNT, 1, 2, whole=True, options=(("first", 1.0), ("second", 2.0)))
MICROPHONES = {
    "calibrated": "measuring microphone, or a phone that was compared with one",
    "phone": "a phone, not compared",
    "wire": "none: an electrical signal",
}


@dataclass(frozen=True, kw_only=True)
class PlayFound:
    """One speaker in the recording."""

    name: Annotated[str, OutputText("Play")]
    later: Annotated[float, Output("Later than the first", TIME, show="ms", decimals=3)]
    within: Annotated[float, Output("Within ±", TIME, show="ms", decimals=3)]
    polarity: Annotated[str, OutputText("Polarity of the direct sound")]


@dataclass(frozen=True, kw_only=True)
class BandFound:
    """One third octave; what noise rules is left out."""

    nominal: Annotated[float, Output("Band", FREQUENCY, trim=True, figures=5)]
    level: Annotated[float | None, Output("Level", LEVEL, decimals=2, none="noise")]
    over_noise: Annotated[float | None, Output("Over noise", LEVEL, decimals=0, none="not known")]
    softer_by: Annotated[float | None, Output("Second sweep lower by", LEVEL, decimals=2, none="noise")]
    second_harmonic: Annotated[
        float | None, Output("2nd harmonic", RATIO, show="%", figures=2, none="withheld")
    ]
    third_harmonic: Annotated[float | None, Output("3rd", RATIO, show="%", figures=2, none="withheld")]
    fourth_harmonic: Annotated[float | None, Output("4th", RATIO, show="%", figures=2, none="withheld")]
    fifth_harmonic: Annotated[float | None, Output("5th", RATIO, show="%", figures=2, none="withheld")]


@dataclass(frozen=True, kw_only=True)
class SpeakerResponse:
    """What the recording says."""

    verdict: Annotated[str, OutputText("What it is good for", main=True)]
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
    level_chart: Annotated[Chart, OutputChart("Level")]
    phase_chart: Annotated[Chart, OutputChart("Phase")]
    impulse_chart: Annotated[Chart, OutputChart("Impulse response")]
    decay_chart: Annotated[Chart, OutputChart("Decay")]
    bands: Annotated[tuple[BandFound, ...], OutputRows("By third octave", copy=True, fold=True)]
    curve: Annotated[Curve, OutputCurve("Level and phase")]
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
            accept=".wav,audio/wav",
            help="WAV, of any sample rate from 8 to 192 kHz. It stays on this device.",
            optional=True,
            empty="a simulated one of our own",
        ),
    ] = None,
    low: Annotated[float, sweep_inputs.LOW] = 20.0,
    high: Annotated[float, sweep_inputs.HIGH] = 20_000.0,
    sweep_length: Annotated[float, sweep_inputs.SWEEP_LENGTH] = 5.0,
    plays_in_file: Annotated[float, sweep_inputs.PLAYS] = 1.0,
    play: Annotated[float, PLAY] = 1.0,
    microphone: Annotated[str, Choice("Microphone", MICROPHONES)] = "calibrated",
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
            seldom=True,
        ),
    ] = None,
    recording_channel: Annotated[
        float, Number("Channel of the recording", COUNT, 1, 32, whole=True, seldom=True)
    ] = 1.0,
    pause: Annotated[float, sweep_inputs.PAUSE] = 1.0,
    lead: Annotated[float, sweep_inputs.LEAD] = 3.0,
    markers: Annotated[bool, sweep_inputs.MARKERS] = True,
    direction: Annotated[str, sweep_inputs.DIRECTION] = "rising",
) -> Steps[SpeakerResponse]:
    """What a speaker did, from a recording of the measuring sweep and the settings that made the sweep.

    Start, sample rate and the run of both clocks are found from the recording itself. A band is shown
    where it stands 10 dB over the noise recorded before the sweep, a harmonic where it does too. Level is
    that of the recording while the first sweep passed, unweighted. The phase has the flight time taken
    out. Without a recording a simulated one is worked out, with settings of its own. One transform of a
    10 s sweep takes about 0.1 s and cannot be cut.
    """
    signal = sweep_inputs.signal_of(low, high, sweep_length, pause, lead, markers, direction, plays_in_file)
    chosen = int(play) - 1
    notes: list[Advice] = []
    if recording is None:
        signal, chosen = recordings.DEMONSTRATION, 0
        tape = Tape(recordings.demonstration(), recordings.DEMONSTRATION_RATE, signal)
        notes.append(
            Advice(
                "recording",
                "No recording is chosen: this is a simulated one of our own, with its own settings.",
            )
        )
    else:
        samples, rate, cut_short = yield from recordings.read_recording(
            recording, "recording", int(recording_channel)
        )
        tape = Tape(samples, rate, signal)
        if cut_short:
            notes.append(Advice("recording", "The file ends before its sound does: it was cut off."))
    if chosen >= signal.plays:
        raise InputError("play", "The file has one play only.")
    measuring_faults.refuse_silent(tape)
    place = yield from measuring.found_place(tape)
    silence = measuring.silence_on(tape, place)
    measuring_faults.refuse_damaged(tape, place, silence)
    yield Working("Finding how the clocks run", 0.55)
    inverse = deconvolution.inverse_of(signal.sweep, tape.sample_rate, tape.size)
    clock = measuring.clock_of(tape, inverse, place)
    yield Working("Taking the sweep out", 0.65)
    inverse = deconvolution.inverse_of(signal.sweep, tape.sample_rate, tape.size, clock.stretch)
    found = []
    for number in range(signal.plays):
        found.append(measuring.heard(tape, inverse, clock, place, number))
        yield Working("Taking the sweep out", 0.7 + 0.1 * number)
    kept = Gate(min(gate, signal.gap), cycles)
    one = found[chosen]
    spectrum = measuring.spectrum_of(tape, inverse, one, kept, silence)
    yield Working("Working out bands", 0.9)
    inside = measuring.bands_inside(spectrum, signal.sweep.low, signal.sweep.high, tape.sample_rate)
    if np.count_nonzero(inside) < 2:
        raise InputError("recording", "Noise rules in every band: play louder, or quieten the place.")
    ratio = measuring_faults.signal_to_noise(tape, place, silence, microphone)
    measuring_faults.refuse_another_sweep(spectrum, inside, clock, ratio)
    doubts = [measuring_faults.doubt_of_polarity(each, clock, ratio) for each in found]
    moved = measuring_faults.gain_moved(
        spectrum, inside, kept, measuring.marker_steps(tape, place, clock), ratio
    )
    edges = third_octave_edges()[inside]
    valid_low, valid_high = float(edges[0, 0]), float(edges[-1, 1])
    offset = offset_of(correction, calibrator)
    curve = measuring_charts.curve_of(spectrum, valid_low, valid_high, 1 / int(smoothing), offset)
    edge = measuring_faults.lossy_edge_of(curve)
    withheld = microphone == "phone" or edge is not None or direction == "falling"
    unit = "dB" if calibrator is None else "dB SPL"
    outside = (
        (Band("not to be trusted", valid_low, PHONE_BAND[0]), Band("nor this", PHONE_BAND[1], valid_high))
        if microphone == "phone"
        else ()
    )
    notes += [
        *measuring_faults.silence_advice(silence, microphone),
        *measuring_faults.trust(clock, moved, edge, microphone),
    ]
    return SpeakerResponse(
        verdict=measuring_faults.verdict(clock, moved, edge, microphone, ratio, not any(doubts)),
        valid_low=valid_low,
        valid_high=valid_high,
        signal_to_noise=ratio,
        drift=clock.drift,
        drift_error=clock.error,
        arrival_method="onset of the direct sound"
        if signal.sweep.high > SUBWOOFER_TO
        else "onset within the sweep's own band: never to align a subwoofer by",
        plays=tuple(play_row(number, found, doubts[number]) for number in range(signal.plays)),
        level_chart=measuring_charts.level_chart(curve, spectrum.over_noise, unit, outside),
        phase_chart=measuring_charts.phase_chart(curve, spectrum),
        impulse_chart=measuring_charts.impulse_chart(tape, one),
        decay_chart=measuring_charts.decay_chart(tape, one, kept.length),
        bands=band_rows(spectrum, inside, offset, tape, withheld),
        curve=curve,
        advice=tuple(notes),
    )


def offset_of(correction: Curve | None, calibrator: float | None) -> FloatArray:
    """What is added to the level of each third octave, dB."""
    offset = np.zeros(len(NOMINAL_THIRD_OCTAVES))
    if correction is not None:
        offset = offset - np.interp(
            np.log(exact_third_octaves()), np.log(correction.frequency), correction.level
        )
    return offset if calibrator is None else offset + CALIBRATOR - calibrator


def play_row(number: int, found: list[Heard], doubt: str | None) -> PlayFound:
    """Arrival and polarity of one play."""
    one, first = found[number], found[0]
    words = "positive (goes up first)" if one.beginning.sign > 0 else "negative (goes down first)"
    return PlayFound(
        name=("first", "second")[number],
        later=one.time - first.time,
        within=0.0 if number == 0 else one.beginning.error + first.beginning.error,
        polarity=f"{words}, not certain: {doubt}" if doubt else f"{words}, certain",
    )


def band_rows(
    spectrum: Spectrum, inside: measuring.Bands, offset: FloatArray, tape: Tape, withheld: bool
) -> tuple[BandFound, ...]:
    """The table by third octave."""
    rows = []
    for band in np.flatnonzero(inside).tolist():
        nominal = NOMINAL_THIRD_OCTAVES[band]
        harmonics = [
            None if withheld else measuring.harmonic_of(spectrum, tape, band, place)
            for place in range(len(HARMONICS))
        ]
        over = None if spectrum.over_noise is None else float(spectrum.over_noise[band])
        rows.append(
            BandFound(
                nominal=nominal,
                level=float(spectrum.level[band] + offset[band]),
                over_noise=over,
                softer_by=float(spectrum.step[band])
                if over is None or over > 2 * measuring.NOISE_FLOOR
                else None,
                second_harmonic=harmonics[0],
                third_harmonic=harmonics[1],
                fourth_harmonic=harmonics[2],
                fifth_harmonic=harmonics[3],
            )
        )
    return tuple(rows)
