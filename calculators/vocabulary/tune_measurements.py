"""Measurements of many speakers at many points: the text file that holds them, read and written."""

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from calculators.declaring import Curve, File, InputError, Kept, Made, Number, Steps, Text, Working
from calculators.declaring.curve_reading import read_curve
from calculators.declaring.curves import checked_curve
from calculators.declaring.quantities import COUNT
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.filter_limits import Limits
from calculators.physics.speaker_system import Setting, chain, grid
from calculators.vocabulary.names import name_key
from calculators.vocabulary.phased_curves import phase_is_lost

FIELD = "measurements"
MEASUREMENTS = File(
    "Measurements", most=20_000_000, accept=".txt,text/plain", together=True, optional=True, empty="none"
)
JOIN_POINTS = 5
"""Points 1 to 5 are the fixed one and those within 30 mm of it."""
LAST_POINT = 16
MOST_BLOCKS = 400
LETTER_MARKS = r"\u0300-\u036f\u0590-\u109f\u1780-\u17ff\u200c\u200d"
"""Signs over, under and between letters, from accents to the vowels of India and the far east."""
NAME = rf"[^\W\d_][\w{LETTER_MARKS} .,:+/()’°-]*"
"""Of a speaker or channel: what a file of measurements, in which “;” parts and “#” remarks, can carry."""
NAME_WANTED = "it begins with a letter, and has letters, figures, blanks and . , : + / ( ) ’ - alone"
SPEAKER = Text(
    "Speaker, as the tune calls it",
    pattern=NAME,
    wanted=NAME_WANTED,
    help="Named, the answer has a file for the tune.",
)
SEAT = Number("Seat", COUNT, 1, 2, whole=True, options=(("driver’s", 1.0), ("passenger’s", 2.0)))
POINT = Number("Point", COUNT, 1, LAST_POINT, whole=True, help="1 is the fixed one.")
FAINTEST_WRITTEN = 150.0
"""dB under its loudest: what a crossover leaves below that is written as that, for no microphone hears it."""

UNCROSSED = (50.0, 12_500.0)
"""Hz: a curve that ends within a third octave of 40 Hz or 16 kHz goes on as it ends."""
BESIDE_JOIN = math.sqrt(2)
"""Times or part of its crossover's frequency, to which a channel must be measured: the octave that a join is
judged over."""
LEVELS_SPAN, LEVELS_REACH = 200.0, 300.0
"""dB, over which levels are no measurement's: from the softest to the loudest, and of one."""
FALLEN = 25.0
"""dB under its loudest: beyond its crossover a curve so faint may end: noise hides the rest."""
POINTS_APART = 1.3
"""Ratio of neighbouring frequencies, at most: a third of an octave, as nominal frequencies have it."""
JOIN_POINTS_APART, JOIN_WITHIN = 1.075, 2.0
"""The same within an octave of a crossover, where phases are compared: a twelfth of an octave as nominal
frequencies have it. Farther apart, the phase of a join was up to 75° out in simulations of our own."""

HEAD = re.compile(
    r"#?\s*(?P<name>[^;\s][^;]{0,59}?)\s*;\s*seat\s+(?P<seat>[12])\s*;\s*point\s+(?P<point>\d{1,2})\s*"
    r"(?:;\s*arrival\s+(?P<arrival>-?\d{1,4}(?:\.\d{1,9})?)\s*ms\s*)?"
    r"(?:;\s*(?P<polarity>positive|negative)\s*)?",
    re.IGNORECASE,
)
"""Of a curve, in a line without blanks round it: whose it is. A name begins with a sign, so that a long line
of blanks is not parted in every way there is. `guided-kept.js` reads the same line."""


RUNS_AT = Limits.sample_rate
"""Hz: a processor's, where none is typed."""


@dataclass(frozen=True, eq=False)
class Measured:
    """One speaker at one point: seat and point from 0 on, arrival in s, sign of direct sound, curve."""

    name: str
    seat: int
    point: int
    arrival: float | None
    sign: float | None
    curve: Curve

    def gains(self, crossed: Setting, rate: float | None = RUNS_AT) -> ComplexArray:
        """The speaker on the grid, its flight time put back, and the crossover that was in taken out.

        ``rate``: Hz, at which that ran.
        Beyond the ends of its curve the speaker goes on as it ends: with its crossover it falls on.
        """
        frequency, level = np.array(self.curve.frequency), np.array(self.curve.level)
        # A digital crossover lets nothing through at half its sample rate: there is nothing to divide by.
        was_in = chain(crossed, np.clip(frequency, 1.0, 20e3), rate)
        turned = np.unwrap(np.radians(np.array(self.curve.phase)) - np.angle(was_in))
        place, at = np.log(frequency), np.log(grid())
        level = np.interp(at, place, level - 20 * np.log10(np.abs(was_in)))
        late = 2 * np.pi * (self.arrival or 0.0) * grid()
        return np.asarray(10 ** (level / 20) * np.exp(1j * (np.interp(at, place, turned) - late)))


def read_measurements(kept: Kept) -> Steps[list[Measured]]:
    """The measurements of a file. Raises InputError, about its field, for what cannot be read."""
    try:
        # Some editors write a mark before the text: of several files in a row, before each.
        text = b"".join(kept.blocks()).decode().replace("\ufeff", "")
    except UnicodeDecodeError:
        raise InputError(FIELD, "This is no text file: it must be the plain text described below.") from None
    blocks = list(_blocks(text))
    if not blocks:
        raise InputError(
            FIELD, "No line of the file says whose measurement follows: “name; seat 1; point 1”."
        )
    if len(blocks) > MOST_BLOCKS:
        raise InputError(FIELD, f"More than {MOST_BLOCKS} measurements are too many.")
    found = []
    for number, (line, head, body) in enumerate(blocks):
        found.append(_measured(line, head, body))
        yield Working("Reading the measurements", 0.1 * number / len(blocks))
    return found


def _blocks(text: str) -> Iterator[tuple[int, re.Match[str], str]]:
    """Number of a head's line, the head, and the lines that follow it."""
    head, at, lines = None, 0, []
    for number, line in enumerate(text.splitlines(), start=1):
        match = HEAD.fullmatch(line.strip())
        if match is None:
            lines.append(line)
            continue
        if head is not None:
            yield at, head, "\n".join(lines)
        head, at, lines = match, number, []
    if head is not None:
        yield at, head, "\n".join(lines)


def _measured(line: int, head: re.Match[str], body: str) -> Measured:
    name = head["name"].strip()
    where = f"{name}, seat {head['seat']}, point {head['point']} (line {line})"
    try:
        curve = checked_curve(read_curve(FIELD, body), FIELD)
    except InputError as error:
        raise InputError(FIELD, f"{where}: {error.message}") from None
    if curve.phase is None:
        raise InputError(FIELD, f"{where}: a tune needs the phase too, in degrees, as a third column.")
    if head["arrival"] is None and phase_is_lost(curve):
        raise InputError(
            FIELD,
            f"{where}: the phase turns by more than 150° from one line to the next, so the flight time in it "
            "cannot be told. Every line of words needs its arrival: “; arrival 2.51 ms”.",
        )
    span, farthest = max(curve.level) - min(curve.level), max(map(abs, curve.level))
    if span > LEVELS_SPAN or farthest > LEVELS_REACH:
        told = f"span {span:.0f} dB, and {LEVELS_SPAN:g} dB are the most that a microphone hears"
        if farthest > LEVELS_REACH:
            told = f"reach {farthest:.0f} dB, and {LEVELS_REACH:g} dB are the most"
        raise InputError(FIELD, f"{where}: its levels {told}. Look at the columns, or end the file sooner.")
    if not 1 <= int(head["point"]) <= LAST_POINT:
        raise InputError(FIELD, f"{where}: points go from 1 to {LAST_POINT}.")
    arrival = None if head["arrival"] is None else float(head["arrival"]) / 1000
    polarity = (head["polarity"] or "").casefold()
    return Measured(
        name=name,
        seat=int(head["seat"]) - 1,
        point=int(head["point"]) - 1,
        arrival=arrival,
        sign=None if not polarity else 1.0 if polarity == "positive" else -1.0,
        curve=curve,
    )


def refuse_foreign(found: Iterable[Measured], names: Iterable[str]) -> None:
    """Raise InputError for a measurement of no channel, and for one of a place that has one already."""
    known = {name_key(name) for name in names}
    met = set()
    for each in found:
        place = name_key(each.name), each.seat, each.point
        if place[0] not in known:
            raise InputError(FIELD, f"“{each.name}” stands in the file, and no channel is called so.")
        if place in met:
            raise InputError(
                FIELD,
                f"{each.name}, seat {each.seat + 1}, point {each.point + 1} stands in the file twice: choose "
                "the better one alone.",
            )
        met.add(place)


def gains_by_point(
    found: list[Measured],
    crossovers: Mapping[str, Setting],
    seats: int,
    crossovers_in: bool,
    rate: float | None,
    bare_from: Mapping[str, float],
) -> tuple[tuple[int, ...], tuple[ComplexArray, ...]]:
    """Points from 0 on, and gains of each seat, shape (points, channels, 216), channels as crossovers go.

    ``crossovers_in``: whether those were in while it was measured; they are taken out again.
    ``rate``: Hz, at which they ran. ``bare_from``: Hz, by name, under which a speaker that was swept without
    its crossover need not have been, for it is not safe there.
    Raises InputError for one that is missing, stands twice, or is not measured where its channel plays.
    """
    names = list(crossovers)
    refuse_foreign(found, names)
    by_place = {(name_key(each.name), each.seat, each.point): each for each in found}
    gains, measured_at = [], []
    for seat in range(seats):
        points = sorted({point for _, at, point in by_place if at == seat})
        if 0 not in points:
            raise InputError(FIELD, f"There is no point 1 at seat {seat + 1}: that is the fixed one.")
        rows = []
        for point in points:
            for name in names:
                if (name_key(name), seat, point) not in by_place:
                    raise InputError(FIELD, f"{name} has no point {point + 1} at seat {seat + 1}.")
            rows.append(
                np.stack(
                    [
                        _whole(
                            by_place[name_key(name), seat, point], crossed, bare_from.get(name, 0.0)
                        ).gains(crossed if crossovers_in else Setting(), rate)
                        for name, crossed in crossovers.items()
                    ]
                )
            )
        gains.append(np.stack(rows))
        measured_at.append(tuple(points))
    if len(set(measured_at)) > 1:
        raise InputError(FIELD, "Both seats must be measured at the same points.")
    return measured_at[0], tuple(gains)


def fallen_at_end(curve: Curve, way: int) -> bool:
    """Whether a curve has fallen so far at an end, -1 the low one, 1 the high one, that it may end there."""
    return curve.level[0 if way < 0 else -1] <= max(curve.level) - FALLEN


def _whole(one: Measured, crossed: Setting, bare_from: float) -> Measured:
    """A measurement that holds the band its channel plays. Raises InputError for any other."""
    frequency = one.curve.frequency
    high = min(UNCROSSED[1], (crossed.low_pass or UNCROSSED[1]) * BESIDE_JOIN)
    low = min(high, max(UNCROSSED[0], (crossed.high_pass or UNCROSSED[0]) / BESIDE_JOIN, bare_from))
    begins = frequency[0] <= low * 1.02 or (
        fallen_at_end(one.curve, -1) and frequency[0] <= (crossed.high_pass or math.inf)
    )
    ends = frequency[-1] >= high / 1.02 or (
        fallen_at_end(one.curve, 1) and frequency[-1] >= (crossed.low_pass or 0.0)
    )
    where = f"{one.name}, seat {one.seat + 1}, point {one.point + 1}"
    if not (begins and ends):
        raise InputError(
            FIELD,
            f"{where}: measured from {frequency[0]:.0f} to {frequency[-1]:.0f} Hz, and the tune needs "
            f"{low:.0f} to {high:.0f} Hz: measure the rest, a tweeter behind its high-pass. If noise hid it: "
            "a quieter place or a longer sweep, never louder.",
        )
    for before, after in pairwise(frequency):
        if after > before * POINTS_APART and before < high and after > low:
            raise InputError(
                FIELD,
                f"{where}: nothing from {before:.0f} to {after:.0f} Hz. "
                "A third of an octave apart is the most.",
            )
        for end in filter(None, (crossed.high_pass, crossed.low_pass)):
            beside = before < end * JOIN_WITHIN and after > end / JOIN_WITHIN
            if beside and after > before * JOIN_POINTS_APART:
                raise InputError(
                    FIELD,
                    f"{where}: nothing from {before:.0f} to {after:.0f} Hz, so the phase is lost where it "
                    f"meets another, at {end:g} Hz. Within an octave of that twelve lines to the octave are "
                    "needed, arrival or not.",
                )
    return one


def fixed(found: list[Measured], name: str, seat: int) -> Measured:
    """A channel at the fixed point of a seat, with its arrival.

    Raises InputError where that has none.
    """
    one = next(
        each
        for each in found
        if name_key(each.name) == name_key(name) and (each.seat, each.point) == (seat, 0)
    )
    if one.arrival is None:
        raise InputError(FIELD, f"{name}, seat {seat + 1}, point 1 needs its arrival: “; arrival 2.51 ms”.")
    return one


def parts_of_points(points: tuple[int, ...]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Places in a list of points, from 0 on: of those that judge joins, and that levels are fitted to."""
    near = tuple(place for place, point in enumerate(points) if point < JOIN_POINTS)
    wide = tuple(place for place, point in enumerate(points) if point == 0 or point >= JOIN_POINTS)
    return near, wide if len(wide) > 1 else near


def measurement_file(
    names: list[str], gains: tuple[ComplexArray, ...], arrivals: FloatArray, signs: FloatArray
) -> Made:
    """Measurements of a simulated cabin, as the text that `read_measurements` reads, without the flight time.

    ``gains``: of each seat, shape (points, channels, 216). ``arrivals``: s, shape (seats, channels). Every
    line of numbers has the same length, so that the size is known before the text is made.
    """
    heads = [
        f"{name}; seat {seat + 1}; point {point + 1}; arrival {1000 * arrivals[seat, number]:.6f} ms; "
        f"{'positive' if signs[number] > 0 else 'negative'}\n".encode()
        for seat, found in enumerate(gains)
        for point in range(found.shape[0])
        for number, name in enumerate(names)
    ]
    size = len(_INTRODUCTION) + sum(map(len, heads)) + len(heads) * grid().size * len(_line(1.0, 0.0, 0.0))

    def pieces() -> Iterator[bytes]:
        yield _INTRODUCTION
        at = iter(heads)
        for seat, found in enumerate(gains):
            back = np.exp(2j * np.pi * arrivals[seat][:, np.newaxis] * grid())
            for channels in found * back:
                for channel in channels:
                    level, phase = 20 * np.log10(np.abs(channel)), np.degrees(np.angle(channel))
                    level = np.maximum(level, np.max(level) - FAINTEST_WRITTEN)
                    rows = zip(grid(), level, phase, strict=True)
                    yield next(at) + b"".join(_line(*map(float, row)) for row in rows)

    return Made("measurements.txt", "text/plain", size, pieces)


def point_file(name: str, seat: int, point: int, arrival: float, sign: float | None, curve: Curve) -> Made:
    """One speaker at one point, as `read_measurements` reads it.

    ``seat`` and ``point``: numbers from 1 on. ``arrival``: s, taken out of the phase. ``sign``: of the direct
    sound, None where it is not certain.
    """
    polarity = "" if sign is None else f"; {'positive' if sign > 0 else 'negative'}"
    head = f"{name}; seat {seat}; point {point}; arrival {1000 * arrival:.6f} ms{polarity}\n".encode()
    rows = zip(curve.frequency, curve.level, curve.phase or (), strict=True)
    return Made.whole(
        f"{file_name(name, seat, point)}.txt", "text/plain", head + b"".join(_line(*row) for row in rows)
    )


def file_name(name: str, seat: int, point: int) -> str:
    """What a file of one speaker at one point is called, without its ending; `response` for no speaker.

    Letters and figures of every alphabet stay, and the plus that tells one end of a pair from the other.
    ``seat`` and ``point``: numbers from 1 on.
    """
    if not name:
        return "response"
    return f"{file_word(name) or 'speaker'}-seat-{seat}-point-{point}"


def file_word(name: str) -> str:
    """A name as a word in that of a file: small letters, a hyphen for what no file should be called by."""
    return re.sub(rf"[^\w{LETTER_MARKS}+]+|_", "-", name.casefold()).strip("-")


_INTRODUCTION = (
    b"# A simulated cabin of our own, no vehicle; crossovers in, nothing else. Columns: Hz, dB, degrees.\n"
)


def _line(frequency: float, level: float, phase: float) -> bytes:
    return f"{frequency:11.4f} {level:9.3f} {phase:8.2f}\n".encode()
