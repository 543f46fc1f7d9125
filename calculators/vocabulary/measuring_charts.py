"""Charts and lists of what a recording says."""

import math
from collections.abc import Mapping

import numpy as np

from calculators.declaring import Axis, Band, Chart, Curve, Line, Series
from calculators.physics import decibels, impulse_responses
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.bands import exact_third_octaves
from calculators.vocabulary.measuring import BEFORE, Heard, Spectrum, Tape

POINTS_IN_AN_OCTAVE = 24
PHASE_OCTAVES = 1 / 6
SHOWN_BEFORE, SHOWN_AFTER = 0.001, 0.008
MOST_POINTS = 400
LOSSY_FROM = -40.0
"""dB of decay from which on a lossy coder's own errors rule."""
LEAST = "Least possible for this level"
EXCESS = "What is over that: excess phase"


def grid_between(low: float, high: float) -> FloatArray:
    """Frequencies of a curve, Hz: 24 to the octave about 1 kHz."""
    first, last = (
        math.ceil(POINTS_IN_AN_OCTAVE * math.log2(low / 1000)),
        math.floor(POINTS_IN_AN_OCTAVE * math.log2(high / 1000)),
    )
    return np.asarray(1000 * 2 ** (np.arange(first, last + 1) / POINTS_IN_AN_OCTAVE), dtype=np.float64)


def curve_of(spectrum: Spectrum, low: float, high: float, octaves: float, offset: FloatArray) -> Curve:
    """Level and phase between two frequencies; ``offset`` in dB, for each band, is added to the level."""
    at = grid_between(low, high)
    level = 20 * np.log10(
        np.maximum(
            np.abs(impulse_responses.smoothed(spectrum.response, spectrum.frequency, at, octaves)), 1e-12
        )
    )
    turned = impulse_responses.smoothed(spectrum.response, spectrum.frequency, at, PHASE_OCTAVES)
    added = np.interp(np.log(at), np.log(exact_third_octaves()), offset)
    return Curve(tuple(at.tolist()), tuple((level + added).tolist()), tuple(decibels.phase(turned).tolist()))


def _chart(
    title: str,
    x: Axis,
    y: Axis,
    at: FloatArray,
    lines: Mapping[str, tuple[FloatArray, Line]],
    bands: tuple[Band, ...] = (),
) -> Chart:
    series = tuple(
        Series(name, tuple(value if math.isfinite(value) else None for value in values.tolist()), line)
        for name, (values, line) in lines.items()
    )
    listed = at[:: max(1, at.size // 30)]
    if x.scale == "logarithmic":  # A reader looks for the bands.
        thirds = np.round(np.log2(at / 1000) * POINTS_IN_AN_OCTAVE, 6) % (POINTS_IN_AN_OCTAVE // 3) == 0
        listed = at[thirds]
    return Chart(title, x, y, tuple(at.tolist()), series, bands, table_at=tuple(listed.tolist()))


def level_chart(
    curve: Curve,
    over_noise: FloatArray | None,
    unit: str,
    bands: tuple[Band, ...],
    others: Mapping[str, FloatArray],
) -> Chart:
    """Level over frequency, the noise under it, and other curves of the same places."""
    at, level = np.array(curve.frequency), np.array(curve.level)
    lines: dict[str, tuple[FloatArray, Line]] = {"Level": (level, "main")}
    lines |= {name: (line, "plain") for name, line in others.items()}
    if over_noise is not None:
        below = np.interp(np.log(at), np.log(exact_third_octaves()), over_noise)
        lines["Noise"] = (level - below, "plain")
    drawn = np.concatenate([level, *others.values()])
    top = 5 * math.ceil((float(np.nanmax(drawn)) + 1) / 5)
    low = max(5 * math.floor(float(np.nanmin(drawn)) / 5), top - 60)
    axis = Axis("Level", unit, min(low, top - 30), top)
    x = Axis("Frequency", "Hz", float(at[0]), float(at[-1]), "logarithmic")
    return _chart("Level over frequency", x, axis, at, lines, bands)


def time_charts(curve: Curve, spectrum: Spectrum, sweep_from: float) -> tuple[Chart, Chart]:
    """Phase and group delay over frequency, flight time taken out, beside the least that the level allows.

    A line of the phase ends where it turns round. Within an octave of the sweep's start, or a third of what
    is shown if that is less, its own fade would be read as delay: nothing is drawn.
    """
    whole = np.array(curve.frequency)
    drawn = whole >= min(2 * sweep_from, float(whole[0] ** (2 / 3) * whole[-1] ** (1 / 3)))
    at, phase = whole[drawn], np.array(curve.phase)[drawn]
    level = 20 * np.log10(np.maximum(np.abs(spectrum.response), 1e-9))
    least = impulse_responses.minimum_phase(level, spectrum.frequency, float(whole[0]), float(whole[-1]))
    turned = (np.interp(at, spectrum.frequency, least) + 180) % 360 - 180
    x = Axis("Frequency", "Hz", float(at[0]), float(at[-1]), "logarithmic")
    phases: dict[str, tuple[FloatArray, Line]] = {
        "Phase": (_broken(phase), "main"),
        LEAST: (_broken(turned), "plain"),
        EXCESS: (_broken((phase - turned + 180) % 360 - 180), "plain"),
    }
    least_response = np.abs(spectrum.response) * np.exp(1j * np.radians(least))
    delays: dict[str, tuple[FloatArray, Line]] = {
        "Group delay": (_late(spectrum.response, spectrum, at), "main"),
        LEAST: (_late(least_response, spectrum, at), "plain"),
    }
    shown = delays["Group delay"][0]
    top = _round_up(float(np.max(shown)))
    delay = Axis("Later than the arrival", "ms", -_round_up(-min(float(np.min(shown)), 0.0)), top, decimals=2)
    return (
        _chart("Phase, flight time taken out", x, Axis("Phase", "°", -180, 180, decimals=0), at, phases),
        _chart("Group delay, flight time taken out", x, delay, at, delays),
    )


def _late(response: ComplexArray, spectrum: Spectrum, at: FloatArray) -> FloatArray:
    """Group delay in ms."""
    late = impulse_responses.group_delay(response, spectrum.frequency, at, PHASE_OCTAVES)
    return np.asarray(1000 * late, dtype=np.float64)


def _round_up(value: float) -> float:
    """The next of 1, 2, 5 and their tens; half at least."""
    value = max(value, 0.5)
    ten = 10.0 ** math.floor(math.log10(value))
    return next(step * ten for step in (1, 2, 5, 10) if step * ten >= value)


def _broken(phase: FloatArray) -> FloatArray:
    """The same without a line across the chart where the phase turns round."""
    turned = np.concatenate([[False], np.abs(np.diff(phase)) > 180])
    return np.asarray(np.where(turned, np.nan, phase), dtype=np.float64)


def impulse_chart(tape: Tape, one: Heard) -> Chart:
    """The impulse response about the direct sound, its largest value 1."""
    return _shape_chart("Impulse response", tape, one, one.response)


def step_chart(tape: Tape, one: Heard) -> Chart:
    """What a step of the signal would make, about the direct sound: the impulse response summed up."""
    return _shape_chart("Step response", tape, one, np.cumsum(one.response))


def _shape_chart(title: str, tape: Tape, one: Heard, values: FloatArray) -> Chart:
    rate = tape.sample_rate
    wide = tape.signal.sweep.high < 1000
    before, after = (BEFORE / 2, 0.05) if wide else (SHOWN_BEFORE, SHOWN_AFTER)
    start = max(0, round((one.beginning.time - before) * rate))
    part = values[start : round((one.beginning.time + after) * rate)]
    step = max(1, part.size // MOST_POINTS)
    part = part[::step] / float(np.max(np.abs(part)))
    at = (start + step * np.arange(part.size)) / rate - one.beginning.time
    x = Axis("After the arrival", "ms", float(at[0]) * 1000, float(at[-1]) * 1000, decimals=2)
    y = Axis("Part of the largest", "", -1.1, 1.1, decimals=2)
    return _chart(title, x, y, 1000 * at, {title: (part, "main")})


def decay_chart(tape: Tape, one: Heard, length: float, lossy: bool) -> Chart:
    """What is still to come of the sound, from the arrival on; what a lossy coder leaves out is not drawn."""
    start = max(0, round(one.beginning.time * tape.sample_rate))
    level = impulse_responses.decay_curve(one.response[start : start + round(length * tape.sample_rate)])
    step = max(1, level.size // MOST_POINTS)
    at = 1000 * step * np.arange(level[::step].size) / tape.sample_rate
    x = Axis("After the arrival", "ms", 0.0, float(at[-1]), decimals=0)
    drawn = np.where(level < LOSSY_FROM, np.nan, level) if lossy else level
    lines: dict[str, tuple[FloatArray, Line]] = {"Sound still to come": (drawn[::step], "main")}
    return _chart("Decay", x, Axis("Level", "dB", -60, 0), at, lines)
