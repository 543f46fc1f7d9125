"""The set of test files: number, what each holds, how strong, what for, and what it may be played into."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from calculators.physics.bands import third_octave_edges
from calculators.physics.exact_waves import sine_of_turns
from calculators.physics.sweeps import Sweep
from calculators.vocabulary import signal_parts as made
from calculators.vocabulary.signal_parts import ON_BOTH, ON_LEFT, ON_RIGHT, ON_TURNED, Part

type Parts = tuple[Part, ...]

LOADS = "Dummy loads alone; speakers unplugged, tweeters first."
TWEETER = (
    "Into a tweeter 1 V RMS at its terminals at most, set with it unplugged on a 5 kHz tone at −18 dB, less "
    "what its high-pass takes of it, never on this file."
)
PULSES = (
    "Into a tweeter 1 V peak at its terminals at most: set with it unplugged, on this file, by a meter that "
    "reads peaks. Never louder afterwards."
)
FILTERS = "Tweeters unplugged, or behind their high-pass, read back: 1 V RMS at most."
THUMPS = (
    "Tweeters unplugged, or behind their high-pass, read back. The subwoofer's high-pass and limiter on; "
    "hearing protection when it is loud."
)
ANY = "At the usual level."


@dataclass(frozen=True)
class SetSignal:
    """One file of the set.

    ``level`` is that of its loudest part, dBFS (RMS against a full-scale sine, AES17; of a pulse its peak),
     None
    for no sound at all.
    """

    number: str
    name: str
    holds: str
    level: float | None
    used: str
    care: str
    parts: Callable[[], Parts]

    @property
    def file_name(self) -> str:
        """Number, purpose and level; the name of one for dummy loads alone says so."""
        level = "" if self.level is None else f"-{-self.level:g}-dB"
        if self.level:
            level = f"-minus{level}"
        off = "-speakers-off" if self.care == LOADS else ""
        return f"{self.number}-{self.name}{level}{off}.wav"


def _tones(
    *levels: float, frequencies: tuple[float, ...] = (1000.0,), rest: float = 10.0, length: float = 5.0
) -> Parts:
    """Tones, softest first, with rests between."""
    sounds = [made.tone(frequency, level, length) for frequency in frequencies for level in levels]
    return made.one_after_another(tuple(sounds), rest)


def _beeps() -> Parts:
    """Three times: one beep left, two right, three on both."""
    parts = []
    for turn in range(3):
        for at, (side, count) in zip(
            (0.0, 1.6, 3.6), ((ON_LEFT, 1), (ON_RIGHT, 2), (ON_BOTH, 3)), strict=True
        ):
            parts += [made.tone(1000, -12, 0.2, side, turn * 6.5 + at + 0.4 * beep) for beep in range(count)]
    return tuple(parts)


def _thirds() -> Parts:
    """The 31 bands: 8 s each, those under 100 Hz 33 s."""
    bands = [
        made.band(low, high, -18, 33 if high < 100 else 8, pink=False)
        for low, high in third_octave_edges().tolist()
    ]
    return made.one_after_another(tuple(bands), 1.0)


def _slow(low: float, high: float, length: float) -> Parts:
    return (made.one_sweep(Sweep(low, high, length), -12, fade=1.0),)


def _hertz_by_hertz() -> Parts:
    return made.one_after_another(tuple(made.tone(hertz, -12, 1.0) for hertz in range(30, 251)))


def _voices(places: int, times: int) -> Parts:
    """Bursts of a voice's band from left to right, equally strong wherever they stand."""
    turns = np.arange(places) / (4 * (places - 1))
    to_right, to_left = sine_of_turns(turns).tolist(), sine_of_turns(0.25 - turns).tolist()
    bursts = [
        made.band(200, 4000, -15, 0.5, (left, right))
        for left, right in zip(to_left, to_right, strict=True)
        for _ in range(times)
    ]
    return made.one_after_another(tuple(bursts), 0.5)


def _bass_bursts() -> Parts:
    """80 Hz, 5 cycles on both sides, then with the right one upside down, ten times."""
    burst = made.bare_tone(80, -9, 0.0, 5)
    pair = [Part(burst.wave, 0.0, burst.length, burst.level, sides) for sides in (ON_BOTH, ON_TURNED)]
    return made.one_after_another(tuple(pair * 10), 0.9375)


def _chirps() -> Parts:
    chirp = made.one_sweep(Sweep(500, 8000, 0.005), -12)
    return tuple(Part(chirp.wave, float(second), chirp.length, -12) for second in range(30))


def _in_and_out() -> Parts:
    turns = [made.band(20, 20_000, -15, 4.0, sides) for sides in (ON_BOTH, ON_TURNED) * 8]
    return made.one_after_another(tuple(turns))


def _bass_scale() -> Parts:
    return made.one_after_another(
        tuple(made.tone(round(40 * 2 ** (step / 12), 3), -15, 1.0) for step in range(20)), 0.2
    )


def _clock() -> Parts:
    """A tone without a gap; a tick twice as high every 10 s tells where one was."""
    ticks = [made.tone(2000, -12, 0.05, start=10.0 * tick) for tick in range(1, 30)]
    return (made.tone(1000, -12, 300.0), *ticks)


def _chimes() -> Parts:
    ticks = [made.tone(1000, -20, 0.02, start=0.5 * tick) for tick in range(20)]
    return (*ticks, *(made.tone(2000, -20, 0.25, start=12.0 + 0.5 * each) for each in range(16)))


def _probe() -> Parts:
    """1 kHz, soft, throughout; under it 60 Hz in four steps."""
    steps = [made.tone(60, level, 5.0, start=1.0 + 6.0 * n) for n, level in enumerate((-40, -20, -10, -3))]
    return (made.tone(1000, -40, 25.0), *steps)


def _burst_steps() -> Parts:
    """60 Hz at -30 dB; five times for 10 cycles at -6."""
    parts: list[Part] = []
    for turn in range(5):
        parts.append(made.bare_tone(60, -30, 3.0 * turn, 120))
        parts.append(made.bare_tone(60, -6, 3.0 * turn + 2.0, 10))
        parts.append(made.bare_tone(60, -30, 3.0 * turn + 2 + 1 / 6, 50))
    return tuple(parts)


def _markers() -> Parts:
    marker = Sweep(20, 20_000, 0.3)
    return tuple(made.one_sweep(marker, level, 0.5 * n) for n, level in enumerate((-12, -24.041) * 10))


def _path_check() -> Parts:
    high = [made.tone(frequency, -30, 3.0) for frequency in (15_000, 16_000, 18_000, 19_500)]
    before = made.one_after_another((*high, made.dither(5.0)), 0.5)
    start = before[-1].end
    return (
        *before,
        *(Part(part.wave, start, part.length, part.level) for part in made.measuring_sweep(10, 20_000, -18)),
    )


def _sums() -> Parts:
    """One noise: left, right, both."""
    noises = [made.band(60, 600, -18, 20.0, sides) for sides in (ON_LEFT, ON_RIGHT, ON_BOTH)]
    return made.one_after_another(tuple(noises), 1.0)


def _pink(
    low: float, high: float, length: float, sides: tuple[float, float] = ON_BOTH, level: float = -18
) -> Callable[[], Parts]:
    return lambda: (made.band(low, high, level, length, sides),)


def _unrelated() -> Parts:
    return (
        made.band(20, 20_000, -18, 120.0, ON_LEFT),
        made.band(20, 20_000, -18, 120.0, ON_RIGHT, seed=10_001),
    )


_sweep = partial(partial, made.measuring_sweep)
PEAK_6, LEFT_6 = 1.8914939494816798, 0.8986900075051241
PEAK_12, LEFT_12 = 3.980811717401054, 0.9998693921317702
"""Where noise is cut, over its RMS, so that what is left has peaks 6 and 12 dB over its own; and how much of
its power that is."""
PHASES = 234
"""Of the numbers 0 to 999 the one whose phases give the lowest peak at 44.1 kHz, 11.45 dB over the RMS."""
TO_A_QUARTER = 6.0206

_ROWS: tuple[tuple[str, str, str, float | None, str, str, Callable[[], Parts]], ...] = (
    ("01a", "dither", "silence with dither, 120 s", -93.3, "noise of feeds and channels", ANY,
     lambda: (made.dither(120.0),)),
    ("01b", "digital-zero", "digital zero, 120 s: a processor may mute", None, "noise, muting", ANY,
     lambda: (made.nothing(120.0),)),
    ("02", "channel-count", "1 kHz beeps: one left, two right, three on both", -12, "which feed is which",
     FILTERS,
     _beeps),
    ("03", "polarity-pulse", "positive pulse, 0.2 ms up, 4 ms down, once a second, 60 s", -20, "polarity",
     PULSES,
     lambda: tuple(made.pulse(-20, float(second)) for second in range(60))),
    ("04a", "1-kHz", "1 kHz, 3 s", 0, "ceiling of a feed", LOADS, lambda: _tones(0, length=3.0)),
    ("04b", "1-kHz", "1 kHz, 3 s", -6, "ceiling of a feed", LOADS, lambda: _tones(-6, length=3.0)),
    ("05a", "50-Hz", "50 Hz, 5 s", 0, "gain, where a low-pass stays in", LOADS,
     lambda: _tones(0, frequencies=(50.0,))),
    ("05b", "50-Hz", "50 Hz, 5 s", -5, "gain, where a low-pass stays in", LOADS,
     lambda: _tones(-5, frequencies=(50.0,))),
    ("05c", "50-Hz", "50 Hz, 5 s", -10, "gain, where a low-pass stays in", LOADS,
     lambda: _tones(-10, frequencies=(50.0,))),
    ("06a", "sweep-10-20000-Hz", "measuring sweep, 10 Hz to 20 kHz", -12, "feeds", LOADS,
     _sweep(10, 20_000, -12)),
    ("06b", "sweep-10-500-Hz", "measuring sweep, 10 to 500 Hz", -18, "subwoofer", THUMPS,
     _sweep(10, 500, -18)),
    ("06c", "sweep-30-8000-Hz", "measuring sweep, 30 Hz to 8 kHz, left, then right", -18, "doors", FILTERS,
     _sweep(30, 8000, -18, 2)),
    ("06d", "sweep-1000-20000-Hz", "measuring sweep, 1 to 20 kHz, left, then right", -18,
     "tweeters behind a high-pass; without one make it from the lowest safe frequency", TWEETER,
     _sweep(1000, 20_000, -18, 2)),
    ("06e", "falling-sweep-10-20000-Hz", "measuring sweep, falling, 20 kHz to 10 Hz", -12,
     "feeds that follow the signal", LOADS, _sweep(10, 20_000, -12, 1, True)),
    ("06f", "sweep-10-20000-Hz", "measuring sweep, 10 Hz to 20 kHz", -24, "feeds, a softer file", LOADS,
     _sweep(10, 20_000, -24)),
    ("06g", "sweep-10-20000-Hz", "measuring sweep, 10 Hz to 20 kHz", -36, "feeds, the softest file", LOADS,
     _sweep(10, 20_000, -36)),
    ("07", "level-ladder-1-kHz", "1 kHz from −60 to 0 dB in steps of 6, 5 s each", 0, "limiters of a feed",
     LOADS,
     lambda: _tones(*range(-60, 1, 6), rest=1.0)),
    ("08", "bass-ladder", "40 Hz, then 80 Hz, from −30 to 0 dB in steps of 6, 5 s each", 0,
     "bass that follows the level",
     LOADS, lambda: _tones(*range(-30, 1, 6), frequencies=(40.0, 80.0), rest=1.0)),
    ("09a", "pink-noise-both", "pink noise, the same on both sides, 120 s", -18, "levels, before and after",
     FILTERS,
     _pink(20, 20_000, 120)),
    ("09b", "pink-noise-left", "pink noise, left alone, 120 s", -18, "levels, moving microphone", FILTERS,
     _pink(20, 20_000, 120, ON_LEFT)),
    ("09c", "pink-noise-right", "pink noise, right alone, 120 s", -18, "levels, moving microphone", FILTERS,
     _pink(20, 20_000, 120, ON_RIGHT)),
    ("09d", "pink-noise-unrelated", "pink noise, each side its own, 120 s", -18, "power of both sides",
     FILTERS,
     _unrelated),
    ("10", "third-octave-noise", "noise of each third octave, 20 Hz to 20 kHz, 8 s, under 100 Hz 33 s", -18,
     "levels band by band", FILTERS, _thirds),
    ("11a", "pink-315-5000-Hz", "pink noise, 315 Hz to 5 kHz, 30 s", -18, "levels of a pair", FILTERS,
     _pink(315, 5000, 30)),
    ("11b", "pink-60-300-Hz", "pink noise, 60 to 300 Hz, 60 s", -18, "doors and subwoofer", THUMPS,
     _pink(60, 300, 60)),
    ("11c", "pink-2-4-kHz", "pink noise, 2 to 4 kHz, 60 s", -18, "image, joins of tweeters", TWEETER,
     _pink(2000, 4000, 60)),
    ("11d", "pink-40-63-Hz", "pink noise, 40 to 63 Hz, 60 s", -18, "level of the subwoofer", THUMPS,
     _pink(40, 63, 60)),
    ("11e", "pink-315-2500-Hz", "pink noise, 315 Hz to 2.5 kHz, 30 s", -18, "level of a woofer", FILTERS,
     _pink(315, 2500, 30)),
    ("11f", "pink-3150-12500-Hz", "pink noise, 3.15 to 12.5 kHz, 30 s", -18, "level of a tweeter", TWEETER,
     _pink(3150, 12_500, 30)),
    ("11g", "pink-2100-3000-Hz", "pink noise, 2.1 to 3 kHz, 30 s", -18, "under a join at 3 kHz", TWEETER,
     _pink(2100, 3000, 30)),
    ("11h", "pink-3000-4200-Hz", "pink noise, 3 to 4.2 kHz, 30 s", -18, "over a join at 3 kHz", TWEETER,
     _pink(3000, 4200, 30)),
    ("12a", "slow-sweep-30-50-Hz", "slow sweep, 30 to 50 Hz, 30 s", -12, "rattles", THUMPS,
     lambda: _slow(30, 50, 30)),
    ("12b", "slow-sweep-50-90-Hz", "slow sweep, 50 to 90 Hz, 30 s", -12, "rattles", THUMPS,
     lambda: _slow(50, 90, 30)),
    ("12c", "slow-sweep-90-150-Hz", "slow sweep, 90 to 150 Hz, 30 s", -12, "rattles", THUMPS,
     lambda: _slow(90, 150, 30)),
    ("12d", "slow-sweep-150-250-Hz", "slow sweep, 150 to 250 Hz, 30 s", -12, "rattles", THUMPS,
     lambda: _slow(150, 250, 30)),
    ("12e", "hertz-by-hertz", "30 to 250 Hz in steps of 1 Hz, 1 s each", -12, "where it rattles", THUMPS,
     _hertz_by_hertz),
    ("12f", "ceiling-sweep-30-120-Hz", "one sweep, 30 to 120 Hz, 20 s", -12,
     "rattles at the ceiling step, nobody inside", THUMPS, lambda: _slow(30, 120, 20)),
    ("13a", "left-centre-right", "bursts of a voice's band, 200 Hz to 4 kHz: left, centre, right", -15,
     "image", FILTERS,
     lambda: _voices(3, 3)),
    ("13b", "seven-places", "the same bursts from left to right in seven places", -15, "image", FILTERS,
     lambda: _voices(7, 3)),
    ("14", "bursts-80-Hz", "80 Hz, 5 cycles: both sides, then with the right one upside down", -9,
     "subwoofer's join, whole cycles", FILTERS, _bass_bursts),
    ("15", "chirps", "chirp of 5 ms, 500 Hz to 8 kHz, once a second, 30 s", -12, "time between two feeds",
     LOADS, _chirps),
    ("16", "in-and-out", "pink noise: 4 s alike, 4 s with the right side upside down, 64 s", -15,
     "polarity by ear", FILTERS,
     _in_and_out),
    ("17", "bass-scale", "40 to 120 Hz by semitones, equally strong, 1 s each", -15, "bass note by note",
     THUMPS,
     _bass_scale),
    ("18", "gap-detector", "1 kHz without a gap, a tick every 10 s, 300 s", -12, "gaps and restarts",
     FILTERS, _clock),
    ("19a", "noise-crest-6-dB", "noise whose peaks are 6 dB over its RMS, 60 s", -20, "limiters, supply",
     LOADS,
     lambda: (made.held_band(PEAK_6, LEFT_6, -20, 60.0),)),
    ("19b", "noise-crest-12-dB", "noise whose peaks are 12 dB over its RMS, 60 s", -20, "limiters, supply",
     LOADS,
     lambda: (made.held_band(PEAK_12, LEFT_12, -20, 60.0),)),
    ("19c", "noise-crest-18-dB", "noise whose peaks are 18 dB over its RMS, a quarter of each second, 60 s",
     -20,
     "limiters, supply", LOADS, lambda: (made.held_band(PEAK_12, LEFT_12, TO_A_QUARTER - 20, 60.0, True),)),
    ("20", "multitone", "31 tones at once, one in each third octave, 30 s", -15,
     "flattening, before and after", FILTERS,
     lambda: (made.many_tones(-15, 30.0, PHASES),)),
    ("21", "chimes", "ticks of 1 kHz, pulses of 2 kHz", -20, "chimes against music", FILTERS, _chimes),
    ("23", "two-tone-probe", "1 kHz at −40 dB; under it 60 Hz at −40, −20, −10, −3 dB", -3,
     "limiters of a feed", LOADS,
     _probe),
    ("24", "burst-step", "60 Hz at −30 dB, five times 10 cycles at −6", -6, "how fast a limiter is", LOADS,
     _burst_steps),
    ("25", "markers", "short sweeps, 12 dB apart, ten times", -12, "a recorder's gain", LOADS, _markers),
    ("26", "path-check", "15, 16, 18, 19.5 kHz at −30 dB; silence with dither; measuring sweep", -18,
     "lossy or resampled ways", LOADS, _path_check),
    ("27", "reference-first", "measuring sweep, 200 Hz to 20 kHz: left, untouched, then right", -18,
     "arrivals of separate runs", FILTERS, _sweep(200, 20_000, -18, 2)),
    ("28", "pink-60-600-Hz", "one pink noise, 60 to 600 Hz: left, right, both, 20 s each", -18, "mono sum",
     THUMPS, _sums),
    ("29a", "400-Hz", "400 Hz, 5 s", 0, "gain", LOADS, lambda: _tones(0, frequencies=(400.0,))),
    ("29b", "400-Hz", "400 Hz, 5 s", -5, "gain", LOADS, lambda: _tones(-5, frequencies=(400.0,))),
    ("29c", "400-Hz", "400 Hz, 5 s", -10, "gain", LOADS, lambda: _tones(-10, frequencies=(400.0,))),
)  # fmt: skip
SIGNAL_SET = {row[0]: SetSignal(*row) for row in _ROWS}
"""By their numbers; 22, pairs for customers, are heard on the pages for them."""
