"""Gain from source to speaker: voltages to set, chains and trims."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from calculators.physics.checking import require_finite, require_not_negative, require_positive


def voltage_for_power(power: float, load: float) -> float:
    """Volts RMS of ``power`` watts into ``load`` ohm: sqrt(P R); peak sqrt(2) up."""
    require_not_negative(power=power)
    require_positive(load=load)
    return math.sqrt(power * load)


def power_from_voltage(voltage: float, load: float) -> float:
    """Watts of ``voltage`` volts RMS into ``load`` ohm: V2/R."""
    require_not_negative(voltage=voltage)
    require_positive(load=load)
    return voltage**2 / load


def voltage_at_level(full_scale_voltage: float, level: float) -> float:
    """Volts RMS of a tone at ``level`` dB against full scale (-5 for a -5 dBFS file)."""
    require_not_negative(full_scale_voltage=full_scale_voltage)
    require_finite(level=level)
    return float(full_scale_voltage * 10.0 ** (level / 20.0))


def _ratio_level(numerator: float, denominator: float) -> float:
    return 20.0 * math.log10(numerator / denominator)


@dataclass(frozen=True)
class ChainStage:
    """One box of the chain.

    ``input_max`` and ``output_max`` in V RMS of a sine, ``None`` where it has no limit there;
    ``gain`` in dB, volts out over volts in, ``None`` where it is still to be found; ``boost`` in dB,
    0 or more, is the largest of its filters and acts between input and output; ``noise_in`` and
    ``noise_out`` in V RMS, A-weighted, are its own, as if they stood at its input or output.
    """

    input_max: float | None = None
    output_max: float | None = None
    gain: float | None = 0.0
    boost: float = 0.0
    noise_in: float = 0.0
    noise_out: float = 0.0


@dataclass(frozen=True)
class ChainPoint:
    """One stage with the source at full scale.

    ``gain`` in dB as used. ``level`` in V RMS at its output; ``level_boosted`` that of a tone which
    every boost so far lifts. ``margin`` in dB to its own limits with its own boost in, below zero
    where it clips; ``clips_at`` in dB against full scale, where such a boosted tone begins to clip
    it. Both ``None`` for a stage without a limit. ``noise`` in V RMS: its share at the last output.
    """

    gain: float
    level: float
    level_boosted: float
    margin: float | None
    clips_at: float | None
    noise: float


def settled_chain(
    source: float, stages: Sequence[ChainStage], headroom: float, reserve: float
) -> tuple[ChainStage, ...]:
    """The stages with every open gain found, in the order of the signal.

    ``source`` in V RMS at full scale. The last stage is set so that a signal ``headroom`` dB under
    full scale drives it to its ``output_max``; any stage before it so that a full-scale tone lifted
    by every boost so far stays ``reserve`` dB under its ``output_max``. Definition: level arithmetic.
    Raises ``ValueError`` where there is no stage, or an open one has no ``output_max``.
    """
    require_positive(source=source)
    require_finite(headroom=headroom, reserve=reserve)
    if not stages:
        raise ValueError("a chain needs at least one stage")
    settled = []
    level = boosted = source
    for place, stage in enumerate(stages):
        gain = stage.gain
        if gain is None:
            if stage.output_max is None:
                raise ValueError("a stage whose gain is open needs its full output")
            if place == len(stages) - 1:
                gain = _ratio_level(stage.output_max, level) + headroom
            else:
                gain = _ratio_level(stage.output_max, boosted) - stage.boost - reserve
        settled.append(replace(stage, gain=gain))
        level = voltage_at_level(level, gain)
        boosted = voltage_at_level(boosted, gain + stage.boost)
    return tuple(settled)


def gain_chain(source: float, stages: Sequence[ChainStage]) -> tuple[ChainPoint, ...]:
    """Follow a full-scale signal of ``source`` V RMS through stages whose gains are all given.

    Signals are passed on unclipped, so that every stage shows its own margin. Noise goes through the
    gains behind it, without boosts. Definition: level arithmetic. Raises ``ValueError`` for a value
    out of range, for an open gain and where there is no stage.
    """
    require_positive(source=source)
    if not stages:
        raise ValueError("a chain needs at least one stage")
    gains = []
    for stage in stages:
        require_not_negative(boost=stage.boost, noise_in=stage.noise_in, noise_out=stage.noise_out)
        for limit in (stage.input_max, stage.output_max):
            if limit is not None:
                require_positive(limit=limit)
        if stage.gain is None:
            raise ValueError("gain must be given for every stage")
        gains.append(stage.gain)
    points = []
    level = boosted = source
    for place, (stage, gain) in enumerate(zip(stages, gains, strict=True)):
        before, boosted_before = level, boosted
        level = voltage_at_level(before, gain)
        boosted = voltage_at_level(boosted_before, gain + stage.boost)
        own = voltage_at_level(level, stage.boost)
        behind = voltage_at_level(1.0, sum(gains[place + 1 :]))
        points.append(
            ChainPoint(
                gain=gain,
                level=level,
                level_boosted=boosted,
                margin=_least_room(stage, before, own),
                clips_at=_least_room(stage, boosted_before, boosted),
                noise=behind * math.hypot(voltage_at_level(stage.noise_in, gain), stage.noise_out),
            )
        )
    return tuple(points)


def _least_room(stage: ChainStage, arriving: float, leaving: float) -> float | None:
    """The lesser of the rooms, in dB, at a stage's input and output; ``None`` without a limit."""
    pairs = ((stage.input_max, arriving), (stage.output_max, leaving))
    return min((_ratio_level(limit, volts) for limit, volts in pairs if limit is not None), default=None)


def limiter_threshold(limit: float, full_output: float, gain: float) -> float:
    """Threshold in dB against full scale at a processor's output that holds its amplifier to ``limit``.

    ``limit`` in V RMS at the amplifier's terminals; ``full_output`` in V RMS of the processor at full
    scale; ``gain`` of the amplifier in dB. Definition: level arithmetic. Raises ``ValueError`` for a
    voltage that is not above zero.
    """
    require_positive(limit=limit, full_output=full_output)
    require_finite(gain=gain)
    return _ratio_level(limit, voltage_at_level(full_output, gain))


def level_trims(levels: Sequence[float], wanted_offsets: Sequence[float]) -> list[float]:
    """Trims in dB, none above 0, that set measured ``levels`` to their wanted offsets.

    The channel with the least to spare keeps 0 dB and the rest come down to it.
    """
    if len(levels) != len(wanted_offsets) or not levels:
        raise ValueError("each channel needs one level and one wanted offset")
    for level, offset in zip(levels, wanted_offsets, strict=True):
        require_finite(level=level, wanted_offset=offset)
    spare = [level - offset for level, offset in zip(levels, wanted_offsets, strict=True)]
    return [min(spare) - value for value in spare]
