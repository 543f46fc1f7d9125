"""Speaker coils as a load: wiring, power shares, bridged outputs, and the speaker lead."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal

from calculators.physics.checking import require_not_negative, require_positive

Way = Literal["series", "parallel"]
Wiring = Literal["series", "parallel", "series-parallel", "parallel-series"]


def series(impedances: Sequence[float]) -> float:
    """Impedance, Ω, of coils in series: their sum.

    impedances: Ω, above 0, one or more. Raises ValueError otherwise.
    Source: Ohm's law.
    """
    _require_coils(impedances)
    return math.fsum(impedances)


def parallel(impedances: Sequence[float]) -> float:
    """Impedance, Ω, of coils in parallel: one over the sum of one over each.

    impedances: Ω, above 0, one or more. Raises ValueError otherwise.
    Source: Ohm's law.
    """
    _require_coils(impedances)
    return 1.0 / math.fsum(1.0 / impedance for impedance in impedances)


def _require_coils(impedances: Sequence[float]) -> None:
    if not impedances:
        raise ValueError("at least one coil is needed")
    for impedance in impedances:
        require_positive(impedance=impedance)


@dataclass(frozen=True)
class Coil:
    """One voice coil. impedance: Ω. speaker: number of the one it sits in."""

    impedance: float
    speaker: int


@dataclass(frozen=True)
class Joined:
    """Parts one after the other (series) or side by side (parallel)."""

    way: Way
    parts: tuple["Network", ...]


type Network = Coil | Joined


@dataclass(frozen=True)
class Array:
    """Like parts: strings: number side by side. length: number of parts in series in each."""

    length: int
    strings: int


@dataclass(frozen=True)
class Arrangement:
    """One way to wire all speakers.

    For each kind of speaker kinds holds how the coils of each are wired, and how the speakers
    of that kind are; across joins the kinds.
    """

    kinds: tuple[tuple[Array, Array], ...]
    across: Way
    network: Network


def joined(way: Way, parts: Sequence[Network]) -> Network:
    """The parts as one network; a single part is itself. Raises ValueError if there is none.

    Source: definition.
    """
    if not parts:
        raise ValueError("at least one coil is needed")
    return parts[0] if len(parts) == 1 else Joined(way, tuple(parts))


def load_of(network: Network) -> float:
    """Impedance, Ω, of a network: series adds, parallel is one over the sum of one over each.

    Source: Ohm's law.
    """
    if isinstance(network, Coil):
        return network.impedance
    loads = [load_of(part) for part in network.parts]
    return series(loads) if network.way == "series" else parallel(loads)


def shares_of(network: Network, share: float = 1.0) -> Iterator[tuple[Coil, float]]:
    """Each coil with its share of the power; the shares add up to the whole.

    share: part of the power that goes into the network. Parts in series share like their ohms, parts side
    by side like one over their ohms.
    Source: Joule's law.
    """
    if isinstance(network, Coil):
        yield network, share
        return
    load = load_of(network)
    for part in network.parts:
        own = load_of(part)
        yield from shares_of(part, share * (own / load if network.way == "series" else load / own))


def wired(speakers: Sequence[Sequence[float]], wiring: Wiring) -> Network:
    """All coils of all speakers in one of four plain ways.

    speakers: Ω of each coil of each. "series-parallel" puts pairs of coils in series and the pairs side by
    side, "parallel-series" the other way about; the pairs are coils of one speaker, or neighbours where each
    speaker has a single coil.
    Raises ValueError where the coils do not make two whole pairs or more, or for another wiring.
    Source: definition.
    """
    coils = _coils(speakers)
    if wiring in ("series", "parallel"):
        way: Way = "series" if wiring == "series" else "parallel"
        return joined(way, [joined(way, own) for own in coils])
    if wiring not in ("series-parallel", "parallel-series"):
        raise ValueError(f"wiring must be series, parallel, series-parallel or parallel-series, not {wiring}")
    inner: Way = "series" if wiring == "series-parallel" else "parallel"
    outer: Way = "parallel" if wiring == "series-parallel" else "series"
    if all(len(own) == 1 for own in coils):
        coils = [[coil for own in coils for coil in own]]
    count = sum(len(own) for own in coils)
    if any(len(own) % 2 for own in coils) or count < 4:
        raise ValueError("pairs need four coils or more, and an even number in each speaker")
    pairs = [[joined(inner, own[at : at + 2]) for at in range(0, len(own), 2)] for own in coils]
    return joined(outer, [joined(outer, own) for own in pairs])


def _coils(speakers: Sequence[Sequence[float]]) -> list[list[Network]]:
    for own in speakers:
        _require_coils(own)
    return [[Coil(ohm, place) for ohm in own] for place, own in enumerate(speakers)]


def every_wiring(speakers: Sequence[Sequence[float]]) -> list[Arrangement]:
    """Every wiring in which like coils of like speakers get like power.

    speakers: Ω of each coil of each. Those with the same coils are one kind. Each speaker's coils make an
    array, the speakers of a kind make an array of these, and the kinds are joined in series or side by
    side. Wirings that burden one of several like coils more than the others are left out.
    Source: definition.
    """
    coils = _coils(speakers)
    kinds: dict[tuple[float, ...], list[list[Network]]] = {}
    for own, ohms in zip(coils, speakers, strict=True):
        kinds.setdefault(tuple(ohms), []).append(own)
    choices = [
        [
            (inner, outer, _array([_array(own, inner) for own in same], outer))
            for outer in arrays_of(len(same))
            for inner in arrays_of(len(same[0]))
        ]
        for same in kinds.values()
    ]
    ways: tuple[Way, ...] = ("parallel", "series") if len(kinds) > 1 else ("parallel",)
    return [
        Arrangement(
            tuple((inner, outer) for inner, outer, _ in chosen),
            way,
            joined(way, [network for _, _, network in chosen]),
        )
        for way in ways
        for chosen in product(*choices)
    ]


def arrays_of(count: int) -> list[Array]:
    """All arrays of like parts, those with most side by side first. count: number of parts.

    Source: definition.
    """
    return [Array(length, count // length) for length in range(1, count + 1) if count % length == 0]


def _array(parts: Sequence[Network], array: Array) -> Network:
    strings = [joined("series", parts[at : at + array.length]) for at in range(0, len(parts), array.length)]
    return joined("parallel", strings)


def bridged_half_load(load: float) -> float:
    """Load, Ω, that each half of a bridged pair sees: half of the whole.

    load: Ω, above 0. Raises ValueError if it is not.
    Source: symmetry of the two halves, textbook.
    """
    require_positive(load=load)
    return load / 2.0


def power_into(rated_power: float, rated_load: float, load: float) -> float:
    """Power, W, into a load of an amplifier that is rated into another one.

    rated_power: W, 0 or more. rated_load, load: Ω, above 0. Same voltage, so P·R_rated/R. Below the rated
    load a real amplifier gives less than this: it runs into its current limit, and under its minimum load
    into protection.
    Raises ValueError outside those ranges.
    Source: Joule's law.
    """
    require_positive(rated_load=rated_load, load=load)
    require_not_negative(rated_power=rated_power)
    return rated_power * rated_load / load


def lead_loss(lead_resistance: float, load: float) -> float:
    """Change of level, dB, 0 or less, that a lead makes.

    lead_resistance: Ω, both wires, 0 or more. load: Ω, above 0. Raises ValueError outside those ranges.
    Source: voltage divider, textbook.
    """
    require_not_negative(lead_resistance=lead_resistance)
    require_positive(load=load)
    return 20.0 * math.log10(load / (load + lead_resistance))


def lead_power_share(lead_resistance: float, load: float) -> float:
    """Share, 0 to 1, of the whole power that is lost in the lead: r/(r + R).

    Arguments, errors and source as in `lead_loss`.
    """
    require_not_negative(lead_resistance=lead_resistance)
    require_positive(load=load)
    return lead_resistance / (load + lead_resistance)


def damping_factor(load: float, lead_resistance: float, output_resistance: float = 0.0) -> float | None:
    """Ratio of the load to all the resistance behind it, lead and amplifier. None where that is zero.

    load: Ω, above 0. lead_resistance, output_resistance: Ω, 0 or more. Raises ValueError outside.
    Source: definition.
    """
    require_positive(load=load)
    require_not_negative(lead_resistance=lead_resistance, output_resistance=output_resistance)
    behind = lead_resistance + output_resistance
    return load / behind if behind > 0.0 else None
