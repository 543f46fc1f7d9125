"""What a filter of many taps does, in words, pictures and at other points, and its coefficients as a file."""

import math
from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Axis,
    Band,
    Chart,
    Curve,
    InputError,
    Made,
    Output,
    OutputText,
    Series,
)
from calculators.declaring.quantities import LEVEL
from calculators.physics import curve_means, curve_parts, fir_corrections, speaker_system
from calculators.physics.arrays import FloatArray
from calculators.physics.fir_corrections import Correction, Measured, Wanted
from calculators.vocabulary import curve_points, tune_measurements
from calculators.vocabulary.curve_points import MeasuredPoint, hertz_words
from calculators.vocabulary.feed_curves import check_levels
from calculators.vocabulary.names import four_signs
from calculators.vocabulary.responses import LOWEST_HEARD, Places, floats, level_axis, response_chart

RING_TIME, RING_LEVEL = 0.002, 40.0
"""s before its peak, earlier than which a filter's ringing lies by so many dB under it. Common practice."""
CYCLES_WANTED = 3.0
"""Cycles of its lowest frequency that a filter has to last to shape it."""
FAINTEST_DRAWN = -80.0
MOST_TAPS_DRAWN = 400
READ_OVER = 1 / 3
"""Octaves over which a curve is smoothed to see where it plays."""
FALLEN_BY, LIFTED_BY = 3.0, 1.0
"""dB by which a curve that begins so far down is taken to fall, and by which that may be lifted."""
HARDLY_GAINS = 0.3
"""dB RMS: a point that gains less gains nothing."""
POINT_HOLDS = 1.06
"""Times by which a point's curve may end before the band does: a step of twelve to the octave."""


@dataclass(frozen=True, kw_only=True)
class PointFound:
    """What the same filter does at a point that it was not made for."""

    name: Annotated[str, OutputText("Point")]
    before: Annotated[float, Output("Level off, RMS", LEVEL, decimals=1)]
    after: Annotated[float, Output("with the filter", LEVEL, decimals=1)]


def where_it_plays(curve: Curve, wanted: Wanted) -> Wanted:
    """The same, its band kept from where the channel has fallen away.

    From an octave over its −10 dB point, under which the fall is its crossover's, to the −10 dB point at the
    high end. Where the curve shows no such point nothing is kept from. Raises InputError if less than an
    octave is left.
    """
    places, level = _read_widely(curve)
    first, last = curve_parts.playing_band(level)
    low = wanted.low if first == 0 else max(wanted.low, 2 * places[first].item())
    high = wanted.high if last == places.size - 1 else min(wanted.high, places[last].item())
    if not low * 2 <= high:
        raise InputError(
            "low" if low > wanted.low else "high",
            f"This channel plays within 10 dB of its own level from {hertz_words(places[first].item())} to "
            f"{hertz_words(places[last].item())}. From an octave over its lower end up, less than an octave "
            "of this band is left: correct where it plays, or leave it to the equaliser.",
        )
    return replace(wanted, low=low, high=high)


def _read_widely(curve: Curve) -> tuple[FloatArray, FloatArray]:
    """A curve's levels (dB), 24 to the octave (Hz), smoothed for where it plays."""
    lowest = max(curve.frequency[0], fir_corrections.LOWEST_CORRECTED)
    places = curve_parts.even_places(lowest, curve.frequency[-1])
    edges = curve_means.octave_edges(places, READ_OVER)
    return places, np.round(curve_means.band_levels(curve.frequency, curve.level, *edges), 6)


def lifted_fall(curve: Curve, wanted: Wanted, found: Correction) -> tuple[Advice, ...]:
    """A danger, where curve or band begins in a fall, of its crossover perhaps, that the filter lifts.

    A note, where it lifts the fall at the high end.
    """
    places, level = _read_widely(curve)
    first, last = curve_parts.playing_band(level)
    begins, ends = float(places[0]) if first == 0 else wanted.low, float(places[last])
    at = wanted.frequencies()
    low_lift, high_lift = (
        round(float(np.max(found.level[there], initial=0.0)), 6)
        for there in ((at >= wanted.low) & (at < 2 * begins), (at > ends / 2) & (at <= wanted.high))
    )
    playing = float(np.median(level[first : last + 1]))
    low_fall, high_fall = np.round(playing - np.interp((begins, wanted.high), places, level), 6).tolist()
    notes = []
    if low_fall >= FALLEN_BY and low_lift > LIFTED_BY:
        text = (
            f"This {'curve' if first == 0 else 'band'} begins at {hertz_words(begins)}, {low_fall:.0f} dB "
            f"down already, and within an octave of that the filter lifts it by up to {low_lift:.1f} "
            "dB. If its crossover falls there, that must not be filled: correct from "
            f"{hertz_words(2 * begins)} up."
        )
        notes.append(Advice("low", text, danger=True))
    if high_fall >= FALLEN_BY and high_lift > LIFTED_BY:
        octave_left = ends / 2 >= 2 * wanted.low
        instead = (
            f"correct to {hertz_words(ends / 2)}, no farther" if octave_left else "leave it to the equaliser"
        )
        text = (
            f"Towards {hertz_words(wanted.high)} this channel has fallen by {high_fall:.0f} dB, and the "
            f"filter lifts that by up to {high_lift:.1f} dB. If its low-pass falls there, that must not be "
            f"filled, or its join is lost: {instead}."
        )
        notes.append(Advice("high", text))
    return tuple(notes)


def advice_on_band(typed: Wanted, wanted: Wanted) -> tuple[Advice, ...]:
    """What of the band that was typed is left alone, and why."""
    notes = []
    if wanted.low > typed.low:
        text = (
            f"Nothing is corrected under {hertz_words(wanted.low)}, an octave over the place where this "
            "channel plays 10 dB less than in its band: what falls there is its crossover's, and counts in "
            "no mean."
        )
        notes.append(Advice("low", text))
    if wanted.high < typed.high:
        text = (
            f"Nothing is corrected over {hertz_words(wanted.high)}, where this channel plays 10 dB less than "
            "in its band."
        )
        notes.append(Advice("high", text))
    return tuple(notes)


def off(level: FloatArray) -> float:
    """RMS, dB, of levels about their mean."""
    return speaker_system.rms(level - float(np.mean(level)))


def point_rows(
    others: tuple[MeasuredPoint, ...], at: FloatArray, lifted: FloatArray, octaves: float
) -> tuple[PointFound, ...]:
    """What the filter does at the other points, over the band."""
    rows = []
    for place, (name, point) in enumerate(zip(curve_points.names_of(others), others, strict=True)):
        field = f"others[{place}].curve"
        check_levels(field, point.curve, "a measurement")
        if point.curve.frequency[0] > at[0] * POINT_HOLDS or point.curve.frequency[-1] < at[-1] / POINT_HOLDS:
            raise InputError(field, "This curve does not hold the whole band that is corrected.")
        level = curve_means.band_levels(
            point.curve.frequency, point.curve.level, *curve_means.octave_edges(at, octaves)
        )
        rows.append(PointFound(name=name, before=off(level), after=off(level + lifted)))
    return tuple(rows)


def level_chart(speaker: Measured, found: Correction, wanted: Wanted) -> Chart:
    """Level over frequency, as measured and with the filter, and the filter's own."""
    filtered = np.interp(np.log(speaker.places), np.log(wanted.frequencies()[1:]), found.level[1:])
    inside = (speaker.places >= wanted.low) & (speaker.places <= wanted.high)
    level = speaker.level - float(np.mean(speaker.level[inside]))
    return response_chart(
        "Smoothed level, about its mean in the band",
        Places(speaker.places, speaker.places[:: fir_corrections.PLACES_PER_OCTAVE // 3]),
        {"With the filter": (level + filtered, "main"), "As measured": level, "The filter": filtered},
        level_axis(level[inside], (level + filtered)[inside], filtered),
        (Band("Corrected", wanted.low, wanted.high),),
        read_at=math.sqrt(wanted.low * wanted.high),
    )


def time_chart(found: Correction, wanted: Wanted) -> Chart:
    """Levels of the taps about the peak, the loudest of each stretch; what is allowed before it."""
    step = math.ceil(found.taps.size / MOST_TAPS_DRAWN)
    padded = np.pad(np.abs(found.taps), (0, -found.taps.size % step))
    loud = np.max(padded.reshape(-1, step), axis=1) / np.max(padded)
    at = 1000 * (step * np.arange(loud.size) - found.lead) / wanted.sample_rate
    level = np.maximum(20 * np.log10(loud + 1e-30), FAINTEST_DRAWN)
    early = at < -1000 * wanted.ring_time
    allowed = tuple(-wanted.ring_level if each else None for each in early.tolist())
    lines = [Series("Level of the taps", floats(level), "main")]
    if np.count_nonzero(early) > 1:
        lines.append(Series("Allowed", allowed, "limit"))
    return Chart(
        "The filter in time, its peak at 0",
        Axis("After the peak", "ms", float(at[0]), float(at[-1]), decimals=1),
        Axis("Under the peak", "dB", FAINTEST_DRAWN, 0.0, decimals=0),
        floats(at),
        tuple(lines),
        table_at=floats(at[:: max(1, at.size // 30)]),
    )


def coefficients(taps: FloatArray, sample_rate: float, channel: str, unreal: str = "") -> Made:
    """The coefficients as text, the first to be used first, in a file that no other is taken for.

    ``sample_rate``: Hz. ``channel``: its name, or nothing. ``unreal``: what its speaker is, if it is none:
    “simulated” or “invented”; the file's name says so.
    """
    place = tune_measurements.file_word(channel)
    parts = ("fir", unreal, place, mark_of(taps), f"{taps.size}-taps-{sample_rate:g}-Hz.txt")
    name = "-".join(filter(None, parts))
    return Made.whole(name, "text/plain", "".join(f"{tap:+.9e}\n" for tap in taps.tolist()).encode())


def mark_of(taps: FloatArray) -> str:
    """Four signs that stand for coefficients; where no tap differs by a millionth they are the same filter.

    Finer digits are left out: two computers may differ in them.
    """
    return four_signs(ascii(np.round(taps * 1e6).astype(np.int64).tolist()))


def largest(taps: FloatArray) -> float:
    """Size (ratio) of the largest coefficient, rounded up to a thousandth: divided by it, none is over 1."""
    return math.ceil(round(float(np.max(np.abs(taps))) * 1000, 6)) / 1000


def divisor_in_words(size: float) -> str:
    """What coefficients are divided by (ratio), and what that takes."""
    return f"{size:.3f} ({20 * math.log10(size):.1f} dB)"


def loudest_early(found: Correction) -> float | None:
    """Loudest before the peak, dB against it; None where nothing comes before it."""
    return fir_corrections.loudest_of_first(found.taps, found.lead) if found.lead else None


def advice_on(
    speaker: Measured,
    found: Correction,
    wanted: Wanted,
    points: tuple[PointFound, ...],
    lowest_safe: float | None,
    shown: bool,
) -> tuple[Advice, ...]:
    """What to know before the filter is loaded; ``shown``: it was made for our own invented speaker."""
    return (
        *_of_the_speaker(speaker, wanted, lowest_safe, shown),
        *_of_the_taps(found, wanted),
        *_of_the_phase(found, wanted),
        *_of_the_points(points),
    )


def _of_the_speaker(
    speaker: Measured, wanted: Wanted, lowest_safe: float | None, shown: bool
) -> list[Advice]:
    """How low it may be driven, and which way round it is."""
    notes = []
    if shown:
        notes.append(
            Advice("curve", "No curve is pasted: an invented coaxial of our own. Load this filter nowhere.")
        )
    elif lowest_safe is None:
        notes.append(
            Advice(
                "lowest_safe",
                "Nothing here knows how low this driver may be driven: type its lowest safe frequency, or "
                "hold “Correct from” against the job sheet yourself.",
            )
        )
    if lowest_safe is not None and wanted.low < 2 * lowest_safe:
        notes.append(
            Advice(
                "low",
                "Under an octave over this channel's high-pass the fall is the crossover's: do not fill it.",
            )
        )
    if speaker.reversed is None:
        notes.append(
            Advice("curve", "This curve does not tell this channel's polarity: prove it at its cone.")
        )
    elif speaker.reversed:
        notes.append(
            Advice(
                "curve",
                "By its phase this channel is turned: prove its polarity first. The filter leaves that.",
            )
        )
    return notes


def _of_the_taps(found: Correction, wanted: Wanted) -> list[Advice]:
    """Too few to shape the band, or larger than a processor takes."""
    notes = []
    shaped = CYCLES_WANTED * wanted.sample_rate / (wanted.taps - found.lead)
    if shaped > wanted.low * 1.001:
        under = found.level[(wanted.frequencies() >= LOWEST_HEARD) & (wanted.frequencies() < wanted.low)]
        notes.append(
            Advice(
                "taps",
                f"So few taps are too short to shape anything under {hertz_words(shaped)}, and under the "
                f"band they move the level by up to {np.max(np.abs(under), initial=0.0):.1f} dB: correct "
                "from there, or take more.",
            )
        )
    if largest(found.taps) > 1:
        notes.append(
            Advice(
                "taps",
                f"The largest coefficient is {divisor_in_words(largest(found.taps))}. Where your processor "
                "takes none over 1, divide all by it and put the dB back behind the filter.",
            )
        )
    return notes


def _of_the_phase(found: Correction, wanted: Wanted) -> list[Advice]:
    """Where it is left alone, and that it has moved a delay."""
    notes = []
    if wanted.mixed and found.from_low is None:
        notes.append(
            Advice(
                "ring_time",
                "The phase is left alone: within these bounds, or from so short a curve, nothing of it can "
                "be undone. This is the filter by least phase, and no channel has to wait.",
            )
        )
    elif found.from_low is not None and found.from_low > wanted.low * 1.001:
        notes.append(
            Advice(
                "ring_time",
                f"Under {hertz_words(found.from_low)} the phase is left alone: it would ring longer than "
                "allowed, or the band begins in the middle of a turn. Correct from lower down, or leave it.",
            )
        )
    if found.lead:
        notes.append(
            Advice("way", "Delays have changed: check every join of this channel again, then the whole.")
        )
    return notes


def _of_the_points(points: tuple[PointFound, ...]) -> list[Advice]:
    """Whether the correction is the speaker's or one point's."""
    poor = [row.name for row in points if round(row.before - row.after, 6) < HARDLY_GAINS]
    if poor:
        return [
            Advice(
                "others",
                f"It gains nothing at {', '.join(poor)}: it corrects what stands at one point alone. Smooth "
                "more, or measure nearer to the driver.",
            )
        ]
    if not points:
        return [Advice("others", "Made for one point, and looked at there alone: paste other points too.")]
    return []
