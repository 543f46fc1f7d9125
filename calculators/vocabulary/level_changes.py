"""What the changes of a feed with its level say: the bands compared, the probe, the verdict, the advice."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calculators.declaring import Advice, Curve, InputError
from calculators.physics import bands, curve_parts, equalisers
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.feed_curves import check_levels

THIRDS_PER_OCTAVE = 10 * 0.30102999566398120
FEWEST_BANDS = 6
AS_THIRDS = 0.25
"""Octaves from point to point: over it a curve is third-octave levels already."""
SWEEPS_AGREE, NOTED, MOVES_MOST = 0.2, 0.7, 1.0
"""dB in a third octave: sweeps that agree; a change that is noted; one that counts."""
FEED_PLAYS_WITHIN = 20.0
"""dB under the loudest band of the loudest curve: below it a feed's own slope leaves noise, which moves by
itself."""
MIDDLE = (300.0, 3000.0)
"""Hz: what curves are shifted onto each other by."""
LIMITED = 0.5
"""dB by which a quiet tone falls while the bass plays: over it a limiter works on the whole band."""
PROBE_FROM, PROBE_TO = -40.0, -3.0
"""dBFS of the bass: a limiter that works at -40 already, or not before -3, is found by no step between."""
COMPARED = {"other_step": "Step", "other_file": "File level", "same_volts": "Same volts", "again": "Again"}
UNDER_LIMITER = "only under the step at which the limiter begins"
NO_FILTER = "no fixed filter mends it: an earlier or digital source, or accept it in writing"
ONE_STEP = "at the customer's usual step alone, and that step is pinned"
IN_SHORT = {UNDER_LIMITER: "limiter works", NO_FILTER: "no", ONE_STEP: "at one step only"}


@dataclass(frozen=True)
class Playing:
    """Where the feed plays: centres and names of bands, Hz, levels of each curve there, bands left out."""

    centres: FloatArray
    names: list[float]
    thirds: dict[str, FloatArray]
    silent: list[tuple[float, float]]


@dataclass(frozen=True)
class Change:
    """One curve less the first: dB by band, the most, and where; against: the band that is held, Hz, where
    the feed has no middle."""

    line: FloatArray
    most: float
    frequency: float
    against: float | None


@dataclass(frozen=True)
class Probed:
    """The two-tone probe: by how much the quiet tone falls, dB; from which bass on, dBFS; if it is whole."""

    fall: float | None
    starts: float | None
    is_whole: bool

    @property
    def limited(self) -> bool:
        """Whether a limiter on the whole band was found."""
        return self.fall is not None and self.fall > LIMITED

    @property
    def limiter(self) -> str:
        """The answer in words."""
        if self.fall is None:
            return "not probed"
        if self.limited:
            return "works"
        return "none found" if self.is_whole else "not known: the probe needs 60 Hz at −40 and at −3 dBFS"


def bands_that_play(curves: dict[str, Curve]) -> Playing:
    """The third octaves that all curves hold, where any plays. Raises InputError for fewer than six."""
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
    loudest = np.max(list(thirds.values()), axis=0)
    plays = loudest >= np.max(loudest) - FEED_PLAYS_WITHIN
    if np.sum(plays) < FEWEST_BANDS:
        raise InputError("middle", f"The feed plays in fewer than {FEWEST_BANDS} third-octave bands.")
    kept = inside[plays]
    return Playing(
        centres[kept],
        [float(bands.NOMINAL_THIRD_OCTAVES[place]) for place in kept],
        {field: line[plays] for field, line in thirds.items()},
        _in_runs(inside[~plays]),
    )


def _in_runs(places: NDArray[np.intp]) -> list[tuple[float, float]]:
    """First and last name, Hz, of bands that stand next to each other."""
    runs = np.split(places, np.flatnonzero(np.diff(places) > 1) + 1) if places.size else []
    named = bands.NOMINAL_THIRD_OCTAVES
    return [(float(named[run[0]]), float(named[run[-1]])) for run in runs]


def _thirds(curve: Curve, centres: FloatArray) -> FloatArray:
    """Levels in third octaves: as they were pasted, or the mean of a denser curve over each."""
    octaves = np.log2(curve.frequency[-1] / curve.frequency[0]) / (len(curve.frequency) - 1)
    if octaves > AS_THIRDS:
        return equalisers.levels_through_points(centres, curve.frequency, curve.level)
    return curve_parts.averaged(centres, curve.frequency, curve.level, THIRDS_PER_OCTAVE)


def change_of(playing: Playing, name: str) -> Change:
    """How that curve differs from the first, both shifted onto each other by their middle.

    Without a band in the middle nothing tells the shift. Then the two bands that differ most are held against
    each other, the one nearer the middle at 0: there a feed that stops is steadiest.
    """
    centres, before, after = playing.centres, playing.thirds["middle"], playing.thirds[name]
    line, found = curve_parts.moved(centres, before, after, MOVES_MOST)
    has_middle = np.any((centres >= MIDDLE[0]) & (centres <= MIDDLE[1]))
    if has_middle or name == "again":
        return Change(line, found.most, playing.names[found.place], None)
    ends = (int(np.argmin(line)), line.size - 1 - int(np.argmax(line[::-1])))
    held, most = sorted(ends, key=lambda place: abs(np.log(centres[place] / np.sqrt(MIDDLE[0] * MIDDLE[1]))))
    line = line - line[held]
    return Change(line, float(line[most]), playing.names[most], playing.names[held])


def probed(steps: Iterable[tuple[float, float]]) -> Probed:
    """What the probe tells; steps: bass, dBFS, and the quiet tone, dB, in any order."""
    steps = sorted(steps)
    if len(steps) < 2:
        return Probed(None, None, False)
    falls = [steps[0][1] - tone for _, tone in steps]
    starts = next((bass for (bass, _), fall in zip(steps, falls, strict=True) if fall > LIMITED), None)
    return Probed(max(falls), starts, steps[0][0] <= PROBE_FROM and steps[-1][0] >= PROBE_TO)


def tone_follows(most: dict[str, float]) -> str:
    """The verdict; most: dB by which a band moves at most, by curve."""
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


def fitting(most: dict[str, float], probe: Probed) -> str:
    """What may be fitted: nothing before step, file level, repeat and probe were all given."""
    if abs(most.get("again", 0.0)) > SWEEPS_AGREE:
        return "not yet: find out first why it does not repeat"
    if probe.limited:
        return UNDER_LIMITER
    if abs(most.get("other_file", 0.0)) > MOVES_MOST:
        return NO_FILTER
    if not (probe.is_whole and {"other_step", "other_file", "again"} <= set(most)):
        return "not yet: other step, other file level, the same sweep again and the whole probe, all four"
    if abs(most.get("other_step", 0.0)) > MOVES_MOST:
        return ONE_STEP
    if abs(most.get("same_volts", 0.0)) > MOVES_MOST:
        return "not yet: find out first what moves at the same volts"
    return "yes"


def fitting_in_short(words: str) -> str:
    """The same in 16 signs: yes, not yet, or what holds it up."""
    return IN_SHORT.get(words, words.partition(":")[0])


def level_advice(playing: Playing, changes: dict[str, Change], probe: Probed) -> tuple[Advice, ...]:
    """What each of them asks for, and what they could not see."""
    most = {name: change.most for name, change in changes.items()}
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
    if probe.limited and probe.starts is not None:
        advice.append(
            Advice(
                "limiter_starts",
                f"A limiter turns the whole band down as soon as 60 Hz reaches {probe.starts:g} dBFS at this "
                "step. Find the step at which it begins, and keep the ceiling under it.",
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
    if probe.fall is not None and not probe.is_whole:
        advice.append(
            Advice(
                "limiter",
                "The probe is not whole: it needs a step with 60 Hz at −40 dBFS or under, where nothing "
                "limits yet, and one at −3 dBFS or over, where it would.",
            )
        )
    if changes and playing.silent:
        silent = " and ".join(f"{a:g} Hz" if a == b else f"{a:g} Hz to {b:g} Hz" for a, b in playing.silent)
        advice.append(
            Advice(
                "verdict",
                f"Not compared, over {FEED_PLAYS_WITHIN:g} dB under the loudest band: {silent}. A tone that "
                "moves there alone is not seen.",
            )
        )
    shapes = [
        f" {COMPARED[name]}: {each.frequency:g} Hz moves by {each.most:.2f} dB against {each.against:g} Hz."
        for name, each in changes.items()
        if each.against is not None
    ]
    if shapes:
        advice.append(
            Advice(
                "verdict",
                "This feed plays nothing from 300 Hz to 3 kHz, so only its shape is compared."
                + "".join(shapes),
            )
        )
    return tuple(advice)
