"""A vehicle's cabin with speakers in it, simulated: invented, to learn and to prove a method on.

Under 200 Hz the sound field is that of a closed box's modes, with a leak that lets the lowest pressure out
and seats that shift and damp each mode; above it is the direct sound with its reflections (image sources).
No vehicle was measured for it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calculators.physics import speaker_system
from calculators.physics.air import SPEED_OF_SOUND
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.equalisers import target_levels, tuned_shape
from calculators.physics.exact_waves import chance

HIGHEST_MODE = 650.0
MODES_TO, IMAGES_FROM = 150.0, 270.0
"""Hz between which modes give way to image sources."""
NOISE = 40.0
"""dB by which noise lies under each speaker."""
UNTUNED = (3.0, 5.0)
"""dB, RMS: how far from its target a cabin lies as found. Others are drawn anew."""
NEAR_POINTS, WIDE_POINTS, KEPT_POINTS = 4, 4, 2
UPPER_JOIN, LOWER_JOIN = 3000.0, 80.0


@dataclass(frozen=True, eq=False)
class Speaker:
    """A speaker: its name and kind, where it is, what it does.

    place: m, shape (3,). corner: Hz and Q of its low end. top: Hz, where it falls. bumps: Hz, dB and Q of its
    own resonances, shape (n, 3). gain: dB. reversed: whether its wires are crossed.
    """

    name: str
    kind: str
    place: FloatArray
    corner: tuple[float, float]
    top: float
    bumps: FloatArray
    gain: float = 0.0
    reversed: bool = False

    def crossed(self) -> speaker_system.Setting:
        """The crossover it is given. Source: common practice: 80 Hz and 3 kHz."""
        high = {"tweeter": UPPER_JOIN, "woofer": LOWER_JOIN}.get(self.kind)
        low = {"woofer": UPPER_JOIN, "subwoofer": LOWER_JOIN}.get(self.kind)
        return speaker_system.Setting(high_pass=high, low_pass=low)


@dataclass(frozen=True, eq=False)
class Cabin:
    """A box of air and what stands in it.

    seed: number of its noise. size: m, shape (3,), across, along and up. reflects: a ratio, of each pair of
    walls, shape (3,). dull: Hz, from which on walls reflect less. leak: Hz, under which pressure escapes.
    modes: of each mode its numbers, frequency in Hz, damping ratio and share, shape (n, 6). speakers: what
    plays. heads: m, shape (seats, 3). points: m, from a head, shape (points, 3): the fixed one, the near
    ones, the wide ones, those kept out.
    """

    seed: int
    size: FloatArray
    reflects: FloatArray
    dull: float
    leak: float
    modes: FloatArray
    speakers: tuple[Speaker, ...]
    heads: FloatArray
    points: FloatArray


@dataclass(frozen=True, eq=False)
class Heard:
    """What microphones hear in a cabin on the grid of `speaker_system`.

    cabin: where. true, measured: complex gains, ratios, shape (seats, points, speakers, 216), without and
    with noise.
    """

    cabin: Cabin
    true: ComplexArray
    measured: ComplexArray

    @property
    def joins(self) -> tuple[int, ...]:
        """The fixed point and those within 30 mm."""
        return tuple(range(1 + NEAR_POINTS))

    @property
    def fitted(self) -> tuple[int, ...]:
        """The fixed point and the wide ones."""
        return (0, *range(1 + NEAR_POINTS, 1 + NEAR_POINTS + WIDE_POINTS))

    @property
    def kept(self) -> tuple[int, ...]:
        """Points that no fit sees."""
        first = 1 + NEAR_POINTS + WIDE_POINTS
        return tuple(range(first, first + KEPT_POINTS))


class _Draws:
    """Numbers drawn one after another from a seed: the same everywhere."""

    def __init__(self, seed: int) -> None:
        self.seed, self.at = seed, 0

    def many(self, low: float, high: float, count: int) -> FloatArray:
        """So many between two ends, evenly."""
        whole = chance(self.seed, self.at, count) >> np.uint64(11)
        self.at += count
        return np.asarray(low + (high - low) * (whole.astype(np.float64) / 2**53))

    def one(self, low: float, high: float) -> float:
        """One between two ends."""
        return float(self.many(low, high, 1)[0])

    def bell(self, count: int) -> FloatArray:
        """So many of a bell curve, near enough: of mean 0 and deviation 1."""
        return np.asarray((self.many(0.0, 1.0, 12 * count).reshape(count, 12)).sum(axis=1) - 6)


def cabin(seed: int) -> Heard:
    """A cabin drawn by chance: two seats, six speakers, eleven points at each seat, and what is heard.

    seed: whole number, 0 or more. Untuned, with nothing but crossovers, it lies 3 to 5 dB RMS from its target
    at the first seat: others are drawn until one does.
    Raises ValueError if none of a thousand does.
    Source: Allen and Berkley, J. Acoust. Soc. Am. 65 (1979) 943 (image sources); Morse and Ingard,
    Theoretical Acoustics (modes of a box). Sizes, losses, drivers: invented.
    """
    for turn in range(1000):
        heard = heard_in(drawn(seed, turn))
        if UNTUNED[0] <= untuned(heard) <= UNTUNED[1]:
            return heard
    raise ValueError("no such cabin was found")


def target() -> FloatArray:
    """What a cabin is tuned to, dB on the third octaves, shape (27,): a shelf in the bass and a slow fall.

    Source: common practice, no source.
    """
    return target_levels(speaker_system.band_centres(), tuned_shape(8.0, -0.5))


def untuned(heard: Heard, seat: int = 0) -> float:
    """How far from its target a cabin is as found, dB, RMS, with nothing but crossovers. Source: definition.

    seat: number.
    """
    settings = tuple(speaker.crossed() for speaker in heard.cabin.speakers)
    through = speaker_system.chains(settings, speaker_system.grid())
    sums = speaker_system.summed(heard.true[seat][list(heard.fitted)], through)
    return speaker_system.rms(speaker_system.off_target(speaker_system.band_levels(sums), target()))


def response_at(cabin: Cabin, speaker: Speaker, places: FloatArray, frequency: FloatArray) -> ComplexArray:
    """Complex gain, a ratio, from a speaker to places (m, shape (n, 3)) at frequencies, Hz, shape (n, m).

    Source: as in `cabin`.
    """
    share = np.clip(np.log(frequency / MODES_TO) / math.log(IMAGES_FROM / MODES_TO), 0, 1)
    share = np.sin(np.pi / 2 * share) ** 2
    field = np.zeros((len(places), frequency.size), dtype=np.complex128)
    low, high = share < 1, share > 0
    field[:, low] += (1 - share[low]) * _modal(cabin, speaker.place, places, frequency[low])
    field[:, high] += share[high] * _images(cabin, speaker.place, places, frequency[high])
    return np.asarray(field * 4 * math.pi * _driver(speaker, frequency), dtype=np.complex128)


def impulse(
    cabin: Cabin, speaker: Speaker, place: FloatArray, sample_rate: float = 48_000.0, size: int = 8192
) -> FloatArray:
    """Impulse response, a ratio, of a speaker at a place (m): samples from the moment that it is played.

    sample_rate: Hz. size: number of samples, even. Source: as in `cabin`.
    """
    frequency = np.fft.rfftfreq(size, 1 / sample_rate)[1:]
    found = response_at(cabin, speaker, place[np.newaxis], frequency)[0]
    return np.asarray(np.fft.irfft(np.concatenate([[0.0], found]), size), dtype=np.float64)


def _driver(speaker: Speaker, frequency: FloatArray) -> ComplexArray:
    s = 1j * frequency
    low, q = s / speaker.corner[0], speaker.corner[1]
    high = s / speaker.top
    ends = low**2 / (low**2 + low / q + 1) / (high**2 + 1.4 * high + 1)
    bumps = speaker_system.chain(speaker_system.Setting(filters=speaker.bumps), frequency)
    sign = -1.0 if speaker.reversed else 1.0
    return np.asarray(sign * 10 ** (speaker.gain / 20) * ends * bumps, dtype=np.complex128)


def _modal(cabin: Cabin, source: FloatArray, places: FloatArray, frequency: FloatArray) -> ComplexArray:
    numbers, natural, damping, share = (
        cabin.modes[:, :3], 2 * math.pi * cabin.modes[:, 3], cabin.modes[:, 4], cabin.modes[:, 5],
    )  # fmt: skip
    turn = 2 * math.pi * frequency
    weight = share * np.prod(np.where(numbers > 0, 2.0, 1.0), axis=1) / np.prod(cabin.size)

    def shape(where: FloatArray) -> FloatArray:
        return np.asarray(np.prod(np.cos(math.pi * numbers * (where / cabin.size)), axis=-1))

    at_places = np.stack([shape(place) for place in places]) * (weight * shape(source) * SPEED_OF_SOUND**2)
    loss = np.where(natural > 0, 2 * damping * natural, 2 * math.pi * cabin.leak)[:, np.newaxis]
    resonance = 1 / (natural[:, np.newaxis] ** 2 - turn**2 + 1j * turn * loss)
    return np.asarray(at_places @ resonance, dtype=np.complex128)


def _images(cabin: Cabin, source: FloatArray, places: FloatArray, frequency: FloatArray) -> ComplexArray:
    axes = []
    for length, at in zip(cabin.size, source, strict=True):
        axes.append([(at + 2 * n * length, abs(2 * n)) for n in (-1, 0, 1)]
                    + [(2 * n * length - at, abs(2 * n - 1)) for n in (-1, 0, 1, 2)])  # fmt: skip
    found = [(x, y, z, i, j, k) for x, i in axes[0] for y, j in axes[1] for z, k in axes[2] if i + j + k <= 4]
    images = np.array(found)
    counts = images[:, 3:]
    strength = np.prod(cabin.reflects**counts, axis=1)
    total = np.sum(counts, axis=1)[:, np.newaxis]
    # Walls give back less the higher the sound: half the power at the cabin's own frequency.
    dull = -0.25 * np.log1p((frequency / cabin.dull) ** 2)
    sums = []
    for place in places:
        away = np.sqrt(np.sum((images[:, :3] - place) ** 2, axis=1))
        waves = np.exp(total * dull - (2j * math.pi / SPEED_OF_SOUND) * away[:, np.newaxis] * frequency)
        sums.append((strength / (4 * math.pi * away)) @ waves)
    return np.stack(sums)


def drawn(seed: int, turn: int) -> Cabin:
    """A cabin drawn by chance, whatever it sounds like. seed, turn: whole numbers, 0 or more.

    Source: as in `cabin`.
    """
    draws = _Draws(1000 * seed + turn)
    size = np.array([draws.one(1.35, 1.5), draws.one(2.2, 2.9), draws.one(1.05, 1.2)])
    width, length, height = size.tolist()
    driver = np.array([draws.one(0.34, 0.42), draws.one(1.05, 1.25), height * draws.one(0.84, 0.9)])
    passenger = driver * [-1, 1, 1] + [width, 0, 0]
    reach = draws.one(0.06, 0.14), draws.one(0.25, 0.45), height * draws.one(0.58, 0.68)
    door = draws.one(0.04, 0.07), draws.one(0.45, 0.65), height * draws.one(0.26, 0.36)
    spots = [
        ("Left tweeter", "tweeter", reach), ("Left woofer", "woofer", door),
        ("Right tweeter", "tweeter", (width - reach[0], *reach[1:])),
        ("Right woofer", "woofer", (width - door[0], *door[1:])),
        ("Front subwoofer", "subwoofer", (width - draws.one(0.3, 0.5), draws.one(0.9, 1.2), 0.08)),
        ("Rear subwoofer", "subwoofer", (draws.one(0.4, width - 0.4), length - 0.3, draws.one(0.1, 0.3))),
    ]  # fmt: skip
    speakers = tuple(_speaker(name, kind, np.array(spot), draws) for name, kind, spot in spots)
    near = _within(draws, NEAR_POINTS, 0.03)
    wide = draws.many(-0.1, 0.1, 3 * (WIDE_POINTS + KEPT_POINTS)).reshape(-1, 3)
    return Cabin(
        seed=1000 * seed + turn,
        size=size,
        reflects=np.array([draws.one(0.55, 0.75), draws.one(0.4, 0.65), draws.one(0.35, 0.6)]),
        dull=draws.one(2500, 6000),
        leak=draws.one(4, 14),
        modes=_modes(size, draws),
        speakers=speakers,
        heads=np.stack([driver, passenger]),
        points=np.concatenate([np.zeros((1, 3)), near, wide]),
    )


def _within(draws: _Draws, count: int, radius: float) -> FloatArray:
    """Points at two thirds to all of a radius away, whichever way."""
    ways = draws.many(-1, 1, 3 * count).reshape(count, 3)
    away = radius * draws.many(2 / 3, 1, count)
    return np.asarray(ways / np.linalg.norm(ways, axis=1)[:, np.newaxis] * away[:, np.newaxis])


def _speaker(name: str, kind: str, place: FloatArray, draws: _Draws) -> Speaker:
    corner, top = {
        "tweeter": ((800, 1200), (19e3, 26e3)),
        "woofer": ((50, 75), (6e3, 9e3)),
        "subwoofer": ((26, 38), (600, 1200)),
    }[kind]
    low, high = {"tweeter": (2e3, 16e3), "woofer": (100, 5e3), "subwoofer": (40, 150)}[kind]
    count = 5
    bumps = np.stack(
        [np.exp(draws.many(math.log(low), math.log(high), count)), draws.many(-4, 4, count),
         np.exp(draws.many(0, math.log(4), count))], axis=1,
    )  # fmt: skip
    return Speaker(
        name=name,
        kind=kind,
        place=place,
        corner=(draws.one(*corner), draws.one(0.6, 1.0)),
        top=draws.one(*top),
        bumps=bumps,
        gain=draws.one(-2.5, 2.5),
        reversed=draws.one(0, 1) < 0.25,
    )


def _modes(size: FloatArray, draws: _Draws) -> FloatArray:
    most = [math.floor(2 * length * HIGHEST_MODE / SPEED_OF_SOUND) for length in size]
    numbers = np.stack(np.meshgrid(*(np.arange(n + 1) for n in most), indexing="ij"), axis=-1).reshape(-1, 3)
    natural = SPEED_OF_SOUND / 2 * np.sqrt(np.sum((numbers / size) ** 2, axis=1))
    numbers, natural = numbers[natural <= HIGHEST_MODE], natural[natural <= HIGHEST_MODE]
    count = len(natural)
    # Seats: each mode is moved by up to 4 %, damped, and loses up to a third of its share.
    natural = natural * (1 + draws.many(-0.04, 0.04, count))
    share = np.where(natural > 0, draws.many(0.67, 1.0, count), 1.0)
    return np.column_stack([numbers, natural, draws.many(0.05, 0.13, count), share])


def played_in(cabin: Cabin, number: int) -> ComplexArray:
    """Complex gain, a ratio, of one speaker, without noise, shape (seats, points, 216).

    number: which speaker. It is brought to its target's level, but for its own gain.
    Source: as in `cabin`.
    """
    frequency, speaker = speaker_system.grid(), cabin.speakers[number]
    places = (cabin.heads[:, np.newaxis] + cabin.points).reshape(-1, 3)
    gain = response_at(cabin, speaker, places, frequency).reshape(len(cabin.heads), -1, frequency.size)
    through = gain[0] * speaker_system.chain(speaker.crossed(), frequency)
    together = -3.0 if speaker.kind == "subwoofer" else -6.0  # Two of them add up to this much less.
    off = speaker_system.band_levels(through) - target()
    level = float(np.mean(off[_band_of(speaker)])) - together - speaker.gain
    return np.asarray(gain * 10 ** (-level / 20), dtype=np.complex128)


def heard_in(cabin: Cabin, parts: Sequence[ComplexArray] | None = None) -> Heard:
    """What is heard in a cabin, with noise.

    parts: ratios, `played_in` of each speaker, where that is at hand. Source: as in `cabin`.
    """
    played = [played_in(cabin, n) for n in range(len(cabin.speakers))] if parts is None else parts
    true = np.stack(played, axis=2)
    power = np.mean(np.abs(true) ** 2, axis=(0, 1, 3), keepdims=True)
    noise = _Draws(cabin.seed + 500_000_000).bell(2 * true.size).reshape(2, *true.shape)
    measured = true + np.sqrt(power / 2) * 10 ** (-NOISE / 20) * (noise[0] + 1j * noise[1])
    return Heard(cabin, true, measured)


def _band_of(speaker: Speaker) -> slice:
    """Third octaves that a speaker plays alone."""
    low, high = {"tweeter": (4e3, 14e3), "woofer": (125, 2e3), "subwoofer": (40, 63)}[speaker.kind]
    inside = np.flatnonzero(
        (speaker_system.band_centres() >= low * 0.9) & (speaker_system.band_centres() <= high * 1.1)
    )
    return slice(int(inside[0]), int(inside[-1]) + 1)
