"""What a recording is refused for, and what it is warned of."""

from dataclasses import dataclass

import numpy as np

from calculators.declaring import Advice, InputError
from calculators.declaring.numerals import typographic
from calculators.physics import decibels, impulse_responses, recording_faults
from calculators.physics.arrays import FloatArray
from calculators.physics.bands import third_octave_edges
from calculators.physics.deconvolution import EDGE_OCTAVES
from calculators.vocabulary.measuring import (
    BEFORE,
    NEXT_TO_NOTHING,
    STEP,
    Bands,
    Clock,
    Gate,
    Heard,
    Spectrum,
    Tape,
)
from calculators.vocabulary.measuring_charts import grid_between

STEP_TOLERANCE = 0.3
STEP_FROM = 15.0
"""dB over noise from which on a band's step is judged."""
ANOTHER_SWEEP = 20.0
"""dB by which the softer sweep may be off before it is no sweep of these settings."""
CERTAIN_FROM = 20.0
"""dB of sweep over noise from which on polarity is beyond doubt."""
MARKER_STEP = 2 * STEP
MOST_CLIPPED = 2
PERFECT_SILENCE, NO_SIGNAL = -110.0, -200.0
"""dBFS under which no microphone is, and under which nothing is: what rounding leaves of an offset."""
LOUD_ENOUGH = 10.0
"""dB of sweep over noise under which a word is said."""


def refuse_silent(tape: Tape) -> None:
    """Raise InputError for a recording of nothing."""
    if float(np.max(np.abs(tape.samples), initial=0.0)) < recording_faults.SILENT:
        raise InputError("recording", "This recording is silent: the wrong input, or nothing was played.")


def refuse_damaged(tape: Tape, begins: float, silence: FloatArray) -> None:
    """Raise InputError where peaks of the first sweep are cut flat, or pieces of it are missing."""
    sweep = tape.piece(round(begins * tape.sample_rate), tape.frames)
    noise = rms(silence)
    clipped = recording_faults.clipped_peaks(sweep, noise)
    if clipped > MOST_CLIPPED:
        raise InputError(
            "recording", f"This recording is clipped: {clipped} peaks are cut flat. Record it 10 dB softer."
        )
    middle = sweep[sweep.size // 20 : -(sweep.size // 20)]
    if recording_faults.stuck_length(middle) > recording_faults.STUCK_TIME * tape.sample_rate:
        raise InputError(
            "recording",
            "The recorder lost pieces of the sweep, or a lossy coder dropped them. Close other programs and "
            "record again, as WAV.",
        )


def refuse_another_sweep(spectrum: Spectrum, inside: Bands, clock: Clock, ratio: float | None) -> None:
    """Raise InputError where what is on the tape is another sweep than that of the settings."""
    if clock.drift is not None:
        return
    off = float(np.max(np.abs(spectrum.step[inside] - STEP), initial=0.0))
    if off > ANOTHER_SWEEP or (ratio is not None and ratio < 0):
        raise InputError(
            "recording",
            "The sweep on this recording is not the one of these settings, or its sample rate is wrong: "
            "compare low, high, length and pause, and the rate in the file's header.",
        )


def rms(samples: FloatArray) -> float:
    """Root of the mean square, without a recorder's constant offset; 0 of nothing."""
    return float(np.std(samples)) if samples.size else 0.0


def gain_moved(
    spectrum: Spectrum,
    inside: Bands,
    gate: Gate,
    clock: Clock,
    markers: tuple[float, ...],
    ratio: float | None,
) -> str | None:
    """What shows that something turned the gain by itself, in words; None where nothing does.

    Where the clocks run too far apart the softer sweep is not where it is looked for: nothing is said.
    """
    if spectrum.over_noise is None or clock.far is not None:
        return None
    softer = spectrum.over_noise - STEP
    low, high = third_octave_edges().T
    independent = np.maximum(1.0, gate.length * (high - low))
    # A band's level is uncertain by its noise: half as much as that is asked for on top.
    unsure = 3 * 8.7 * 10 ** (-softer / 20) / np.sqrt(independent)
    off = np.abs(spectrum.step - STEP) - STEP_TOLERANCE - unsure
    judged = inside & (softer > STEP_FROM)
    if np.count_nonzero(judged & (off > 0)) >= 2:
        worst = float(spectrum.step[judged][np.argmax(off[judged])])
        return f"the softer sweep is {worst:.1f} dB lower instead of {STEP:.1f}"
    if ratio is not None and ratio > 30 and any(abs(step - MARKER_STEP) > STEP_TOLERANCE for step in markers):
        worst = max(markers, key=lambda step: abs(step - MARKER_STEP))
        return f"the soft marker is {worst:.1f} dB lower instead of {MARKER_STEP:.1f}"
    return None


def perfect(silence: FloatArray, microphone: str) -> bool:
    """Whether a silence is quieter than its source can be: a wire alone may carry next to nothing."""
    return rms(silence) <= 10 ** ((NO_SIGNAL if microphone == "wire" else PERFECT_SILENCE) / 20)


def signal_to_noise(tape: Tape, begins: float, silence: FloatArray, microphone: str) -> float | None:
    """RMS of the first sweep against that of silence, dB; None where that is not known."""
    quiet = rms(silence)
    if perfect(silence, microphone):
        return None
    loud = rms(tape.piece(round((begins + BEFORE) * tape.sample_rate), tape.frames))
    return decibels.decibels_from_voltage_ratio(max(loud, 1e-9) / quiet)


def silence_advice(silence: FloatArray, microphone: str, ratio: float | None) -> tuple[Advice, ...]:
    """What the silence before the sweep says of the recorder, and of the noise."""
    if not silence.size:
        return (
            Advice(
                "lead", "No silence was recorded before the sweep, so the noise is not known: start earlier."
            ),
        )
    if perfect(silence, microphone):
        if microphone == "wire":
            return (Advice("recording", "Digital silence: the noise is not known."),)
        return (
            Advice(
                "recording",
                "The silence is perfect, as no microphone gives it: a noise gate or noise suppression is on. "
                "Turn it off.",
            ),
        )
    if ratio is not None and ratio < LOUD_ENOUGH:
        return (
            Advice(
                "recording",
                f"The noise is nearly as loud as the sweep: {ratio:.1f} dB between them. A band "
                "20 dB over the noise may be 1 dB off. Find what hums or blows, or make the sweep longer, "
                "and record again: a tweeter never louder than its step.",
            ),
        )
    return ()


@dataclass(frozen=True)
class Lost:
    """What a coder left out: all from ``low`` to ``high``, Hz, None where it is all above; or piece by piece.

    ``low`` is None where no band is lost whole.
    """

    low: float | None
    high: float | None
    thinned: bool

    @property
    def anything(self) -> bool:
        """Whether a coder was at work."""
        return self.low is not None or self.thinned


def lost_in(tape: Tape, place: float, silence: FloatArray, spectrum: Spectrum) -> Lost:
    """What a coder left out of a recording, whatever the noise over which its bands stand."""
    sweep, rate = tape.signal.sweep, tape.sample_rate
    top = min(sweep.high / 2**EDGE_OCTAVES, 0.45 * rate)
    band = None
    if top > 2 * sweep.low:
        at = grid_between(2 * sweep.low, top)
        level = np.abs(impulse_responses.smoothed(spectrum.response, spectrum.frequency, at, 1 / 24))
        band = recording_faults.lost_band(20 * np.log10(np.maximum(level, NEXT_TO_NOTHING)), at)
    sound = tape.piece(round(place * rate), tape.frames)
    thinned = recording_faults.faint_share(silence, sound, rate) > recording_faults.MOST_FAINT
    low, high = band or (None, None)
    return Lost(low, high, thinned)


def trust(
    clock: Clock, moved: str | None, lost: Lost, lossy: bool, microphone: str, functions: str
) -> list[Advice]:
    """What is not to be trusted, and why."""
    return [
        *_of_functions(functions),
        *_of_gain(moved),
        *_of_clocks(clock),
        *_of_a_coder(lost, lossy),
        *_of_a_phone(microphone),
    ]


def _of_functions(functions: str) -> list[Advice]:
    """A recorder that alters the sound."""
    if functions == "on":
        return [
            Advice(
                "functions",
                "The recorder alters the sound: levels, noise and distortion are not to be trusted. Turn its "
                "automatic gain, noise and echo functions off, or measure with another.",
                danger=True,
            )
        ]
    if functions == "unknown":
        return [
            Advice(
                "functions",
                "Whether the recorder alters the sound is not known: record one speaker with another as "
                "well, and compare.",
            )
        ]
    return []


def _of_gain(moved: str | None) -> list[Advice]:
    """A gain that something turned by itself."""
    if moved:
        return [
            Advice(
                "recording",
                f"Something turns the gain by itself: {moved}. Levels are not to be trusted. Turn automatic "
                "gain off in the recorder, or measure with another; if it is the unit, fit nothing to it.",
                danger=True,
            )
        ]
    return []


def _of_clocks(clock: Clock) -> list[Advice]:
    """Clocks that run too far apart, or nobody knows how."""
    if clock.far is not None:
        apart = typographic(f"{clock.far * 1e6:+.0f}")
        return [
            Advice(
                "recording",
                f"The clocks run {apart} ppm apart, and no two clocks of the trade do: something on the way "
                "changes the sample rate, or the file's header gives it wrong. Arrivals are not to be "
                "trusted, and the softer sweep tells nothing of the gain.",
            )
        ]
    if clock.drift is None:
        return [
            Advice(
                "recording",
                "How the two clocks run was not found: the two sweeps are not alike enough. Arrivals and "
                "high frequencies are uncertain.",
            )
        ]
    return []


def _of_a_coder(lost: Lost, lossy: bool) -> list[Advice]:
    """What a coder left out, seen or said."""
    if lost.low is not None:
        start = f"{lost.low / 1000:.1f}"
        where = f"from {start} to {lost.high / 1000:.1f} kHz" if lost.high else f"above {start} kHz"
        return [
            Advice(
                "recording",
                f"Nothing is left {where}: a lossy coder made this file. Harmonics are withheld.",
            )
        ]
    if lost.thinned:
        return [
            Advice(
                "recording",
                "What is faint is gone here and there while the sweep plays: a lossy coder or noise "
                "suppression was at work. Harmonics are withheld.",
            )
        ]
    if lossy:
        return [
            Advice(
                "declared_lossy",
                "A lossy file: levels and differences stay; harmonics, noise and what decays below -40 dB "
                "are the coder's as much as the speaker's.",
            )
        ]
    return []


def _of_a_phone(microphone: str) -> list[Advice]:
    """A microphone that was compared with none."""
    if microphone == "phone":
        return [
            Advice(
                "microphone",
                "A phone that was not compared: good for left against right, before against after, polarity "
                "and a peak's frequency, 200 Hz to 8 kHz. Not for a curve's true shape or level, nor to "
                "equalise by.",
            )
        ]
    return []


def doubt_of_polarity(one: Heard, clock: Clock, ratio: float | None) -> str | None:
    """Why the polarity of a play is not certain, in words; None where it is."""
    if clock.drift is None:
        return "the two sweeps are not alike; check the settings"
    if ratio is None:
        return "the noise is not known"
    if one.beginning.bass_alone:
        return "what plays so low is proven at its cone"
    if one.beginning.rings:
        return "the sweep begins inside its band; start where it plays 10 dB less"
    return None if one.beginning.certain and ratio > CERTAIN_FROM else "repeat"
