"""Speaker coils as a load: wiring, power shares, bridged outputs, and the speaker lead."""

import math
from collections.abc import Sequence
from typing import Literal

from calculators.physics.checking import require_not_negative, require_positive

Wiring = Literal["series", "parallel", "series-parallel"]


def series(impedances: Sequence[float]) -> float:
    """Ohm of coils in series: their sum."""
    _require_coils(impedances)
    return math.fsum(impedances)


def parallel(impedances: Sequence[float]) -> float:
    """Ohm of coils in parallel: one over the sum of one over each."""
    _require_coils(impedances)
    return 1.0 / math.fsum(1.0 / impedance for impedance in impedances)


def _require_coils(impedances: Sequence[float]) -> None:
    if not impedances:
        raise ValueError("at least one coil is needed")
    for impedance in impedances:
        require_positive(impedance=impedance)


def strings_of(impedances: Sequence[float], wiring: Wiring, string_length: int = 2) -> list[list[float]]:
    """The coils as strings in series, the strings being in parallel.

    ``series-parallel`` puts each ``string_length`` neighbours in one string; raises ``ValueError``
    where the coils do not fill two whole strings or more.
    """
    _require_coils(impedances)
    if wiring == "series":
        return [list(impedances)]
    if wiring == "parallel":
        return [[impedance] for impedance in impedances]
    if wiring != "series-parallel":
        raise ValueError(f"wiring must be series, parallel or series-parallel, not {wiring}")
    if string_length < 2 or len(impedances) % string_length or len(impedances) <= string_length:
        raise ValueError(
            f"series-parallel needs two or more whole strings of {max(string_length, 2)} coils, "
            f"not {len(impedances)} coils"
        )
    starts = range(0, len(impedances), string_length)
    return [list(impedances[start : start + string_length]) for start in starts]


def wired_load(impedances: Sequence[float], wiring: Wiring, string_length: int = 2) -> float:
    """Ohm the amplifier sees; arguments and errors as `strings_of`."""
    return parallel([series(s) for s in strings_of(impedances, wiring, string_length)])


def power_shares(impedances: Sequence[float], wiring: Wiring, string_length: int = 2) -> list[float]:
    """Share of the power in each coil, in the coils' order; they add up to 1.

    Strings share like one over their ohms, coils within a string like their ohms.
    """
    strings = strings_of(impedances, wiring, string_length)
    load = parallel([series(string) for string in strings])
    return [load / series(string) * coil / series(string) for string in strings for coil in string]


def bridged_half_load(load: float) -> float:
    """Ohm each half of a bridged pair sees: half of ``load``."""
    require_positive(load=load)
    return load / 2.0


def power_into(rated_power: float, rated_load: float, load: float) -> float:
    """Watts into ``load`` ohm of an amplifier that gives ``rated_power`` into ``rated_load``.

    Same voltage, so P R_rated/R. Below the rated load a real amplifier gives less than this: it
    runs into its current limit, and under its minimum load into protection.
    """
    require_positive(rated_load=rated_load, load=load)
    require_not_negative(rated_power=rated_power)
    return rated_power * rated_load / load


def lead_loss(lead_resistance: float, load: float) -> float:
    """Level change in dB (0 or less) a lead of ``lead_resistance`` ohm, both wires, makes."""
    require_not_negative(lead_resistance=lead_resistance)
    require_positive(load=load)
    return 20.0 * math.log10(load / (load + lead_resistance))


def lead_power_share(lead_resistance: float, load: float) -> float:
    """Share (0 to 1) of the whole power that is lost in the lead: r/(r + R)."""
    require_not_negative(lead_resistance=lead_resistance)
    require_positive(load=load)
    return lead_resistance / (load + lead_resistance)


def damping_factor(load: float, lead_resistance: float, output_resistance: float = 0.0) -> float | None:
    """Load over all the resistance behind it: lead and amplifier. ``None`` where that is zero."""
    require_positive(load=load)
    require_not_negative(lead_resistance=lead_resistance, output_resistance=output_resistance)
    behind = lead_resistance + output_resistance
    return load / behind if behind > 0.0 else None
