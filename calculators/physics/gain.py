"""Gain from source to speaker: voltages to set, chains and trims."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from calculators.physics.checking import require_finite, require_not_negative, require_positive


def voltage_for_power(power: float, load: float) -> float:
    """Voltage, V RMS, of a power into a load: √(P·R); its peak is √2 up.

    power: W, 0 or more. load: Ω, above 0. Raises ValueError outside those ranges.
    Source: Joule's law.
    """
    require_not_negative(power=power)
    require_positive(load=load)
    return math.sqrt(power * load)


def power_from_voltage(voltage: float, load: float) -> float:
    """Power, W, of a voltage into a load: V²/R.

    voltage: V RMS, 0 or more. load: Ω, above 0. Raises ValueError outside those ranges.
    Source: Joule's law.
    """
    require_not_negative(voltage=voltage)
    require_positive(load=load)
    return voltage**2 / load


def voltage_at_level(full_scale_voltage: float, level: float) -> float:
    """Voltage, V RMS, of a tone at a level against full scale (-5 for a -5 dBFS file).

    full_scale_voltage: V RMS, 0 or more. level: dB. Raises ValueError for another voltage, or a level that
    is not finite.
    Source: definition of the decibel, IEC 60027-3.
    """
    require_not_negative(full_scale_voltage=full_scale_voltage)
    require_finite(level=level)
    return float(full_scale_voltage * 10.0 ** (level / 20.0))


def _ratio_level(numerator: float, denominator: float) -> float:
    return 20.0 * math.log10(numerator / denominator)


@dataclass(frozen=True)
class ChainStage:
    """One box of the chain.

    input_max, output_max: V RMS of a sine, None where it has no limit there. gain: dB, volts out over volts
    in, None where it is still to be found. boost: dB, 0 or more, the largest of its filters; it acts between
    input and output. hiss: dB by which it changes noise from in front, None where that is its gain: a filter
    that takes down the loudest tone takes less off a hiss. noise_in, noise_out: V RMS, A-weighted, its own,
    as if they stood there.
    """

    input_max: float | None = None
    output_max: float | None = None
    gain: float | None = 0.0
    boost: float = 0.0
    hiss: float | None = None
    noise_in: float = 0.0
    noise_out: float = 0.0


@dataclass(frozen=True)
class ChainPoint:
    """One stage with the source at full scale.

    gain: dB, as used. level: V RMS at its output. level_boosted: V RMS of a tone that every boost so far
    lifts. margin: dB to its own limits with its own boost in, below zero where it clips. clips_at: dB
    against full scale, where such a boosted tone begins to clip it. Both None for a stage without a limit.
    behind: V at the last output for one V of noise at its own output. noise: V RMS, its share there.
    """

    gain: float
    level: float
    level_boosted: float
    margin: float | None
    clips_at: float | None
    behind: float
    noise: float


def settled_chain(
    source: float, stages: Sequence[ChainStage], headroom: float, reserve: float
) -> tuple[ChainStage, ...]:
    """The stages with every open gain found, in the order of the signal.

    source: V RMS at full scale, above 0. headroom: dB; the last stage is set so that a signal so far under
    full scale drives it to its output_max. reserve: dB; any stage before it is set so that a full-scale
    tone lifted by every boost so far stays so far under its output_max.
    Raises ValueError for a source at or below 0, where there is no stage, or an open one has no output_max.
    Source: definition; level arithmetic.
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
    """Follow a full-scale signal through stages whose gains are all given.

    source: V RMS at full scale, above 0. Signals are passed on unclipped, so that every stage shows its own
    margin. Noise goes through the gains behind it, without boosts, or through what those stages do to a
    hiss. Raises ValueError for a value out of range, for an open gain and where there is no stage.
    Source: definition; level arithmetic.
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
    for_noise = [
        gain if stage.hiss is None else stage.hiss for stage, gain in zip(stages, gains, strict=True)
    ]
    points = []
    level = boosted = source
    for place, (stage, gain) in enumerate(zip(stages, gains, strict=True)):
        before, boosted_before = level, boosted
        level = voltage_at_level(before, gain)
        boosted = voltage_at_level(boosted_before, gain + stage.boost)
        own = voltage_at_level(level, stage.boost)
        behind = voltage_at_level(1.0, sum(for_noise[place + 1 :]))
        points.append(
            ChainPoint(
                gain=gain,
                level=level,
                level_boosted=boosted,
                margin=_least_room(stage, before, own),
                clips_at=_least_room(stage, boosted_before, boosted),
                behind=behind,
                noise=behind
                * math.hypot(voltage_at_level(stage.noise_in, for_noise[place]), stage.noise_out),
            )
        )
    return tuple(points)


def _least_room(stage: ChainStage, arriving: float, leaving: float) -> float | None:
    """The lesser of the rooms, in dB, at a stage's input and output; None without a limit."""
    pairs = ((stage.input_max, arriving), (stage.output_max, leaving))
    return min((_ratio_level(limit, volts) for limit, volts in pairs if limit is not None), default=None)


def limiter_threshold(limit: float, full_output: float, gain: float) -> float:
    """Threshold, dB against full scale at a processor's output, that holds its amplifier to a limit.

    limit: V RMS at the amplifier's terminals, above 0. full_output: V RMS of the processor at full scale,
    above 0. gain: dB, of the amplifier. Raises ValueError outside those ranges.
    Source: definition; level arithmetic.
    """
    require_positive(limit=limit, full_output=full_output)
    require_finite(gain=gain)
    return _ratio_level(limit, voltage_at_level(full_output, gain))


def level_trims(levels: Sequence[float], wanted_offsets: Sequence[float]) -> list[float]:
    """Trims, dB, none above 0, that set measured levels to their wanted offsets.

    levels, wanted_offsets: dB, one each for every channel. The channel with the least to spare keeps 0 dB
    and the rest come down to it.
    Raises ValueError if there is none, their numbers differ or one is not finite.
    Source: definition; level arithmetic.
    """
    if len(levels) != len(wanted_offsets) or not levels:
        raise ValueError("each channel needs one level and one wanted offset")
    for level, offset in zip(levels, wanted_offsets, strict=True):
        require_finite(level=level, wanted_offset=offset)
    spare = [level - offset for level, offset in zip(levels, wanted_offsets, strict=True)]
    return [min(spare) - value for value in spare]
