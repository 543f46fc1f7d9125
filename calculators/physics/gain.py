"""Gain from source to speaker: voltages to set, speaker-level feeds, pads, chains and trims."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

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
class SpeakerLevelFeed:
    """``voltage`` and ``peak`` in V at the source's full output.

    ``attenuation`` in dB brings it to the wanted voltage (below zero: gain is needed);
    ``headroom`` in dB is what the input has left above it, unpadded (below zero: it clips).
    """

    voltage: float
    peak: float
    attenuation: float
    headroom: float


def speaker_level_feed(
    source_power: float, source_load: float, input_limit: float, wanted_level: float
) -> SpeakerLevelFeed:
    """A factory output fed into a processor's input.

    ``source_power`` W into ``source_load`` ohm; ``input_limit`` and ``wanted_level`` in V RMS.
    """
    require_positive(source_power=source_power, input_limit=input_limit, wanted_level=wanted_level)
    voltage = voltage_for_power(source_power, source_load)
    return SpeakerLevelFeed(
        voltage=voltage,
        peak=voltage * math.sqrt(2.0),
        attenuation=_ratio_level(voltage, wanted_level),
        headroom=_ratio_level(input_limit, voltage),
    )


@dataclass(frozen=True)
class Pad:
    """``series`` and ``shunt`` in ohm, ``attenuation`` in dB, ``heat`` in W in both together."""

    series: float
    shunt: float
    attenuation: float
    heat: float


def pad(
    voltage_in: float,
    voltage_out: float,
    presented_load: float,
    input_load: float,
    source_resistance: float = 0.0,
) -> Pad:
    """Resistors that bring ``voltage_in`` V RMS (source unloaded) down to ``voltage_out``.

    The source shall see ``presented_load`` ohm; the input behind the pad is ``input_load`` ohm.
    Loaded divider (textbook). Raises ``ValueError`` where the input alone already loads the
    divider below what is wanted, or where no attenuation is asked for.
    """
    require_positive(voltage_in=voltage_in, voltage_out=voltage_out, input_load=input_load)
    require_positive(presented_load=presented_load)
    require_not_negative(source_resistance=source_resistance)
    lower = voltage_out / voltage_in * (source_resistance + presented_load)
    if lower >= presented_load:
        raise ValueError("a pad cannot raise the voltage: the wanted output is too high")
    if lower >= input_load:
        raise ValueError("the input loads the pad too much: present a smaller load to the source")
    current = voltage_in / (source_resistance + presented_load)
    heat = current**2 * presented_load - voltage_out**2 / input_load
    return Pad(
        series=presented_load - lower,
        shunt=1.0 / (1.0 / lower - 1.0 / input_load),
        attenuation=_ratio_level(voltage_in, voltage_out),
        heat=heat,
    )


@dataclass(frozen=True)
class ChainStage:
    """One box of the chain.

    ``input_limit`` and ``full_output`` in V RMS; ``gain`` in dB as set now; ``noise`` in V RMS at
    its own output with the input quiet; ``boost`` in dB of its equaliser, 0 or more.
    """

    input_limit: float
    full_output: float
    gain: float
    noise: float = 0.0
    boost: float = 0.0


@dataclass(frozen=True)
class ChainPoint:
    """One stage with the source at its full output.

    ``input`` and ``output`` in V RMS; the headrooms in dB (below zero: clipped);
    ``matched_gain`` in dB is the setting at which this stage reaches full output with the one
    before it, its boost allowed for.
    """

    input: float
    output: float
    input_headroom: float
    output_headroom: float
    matched_gain: float


@dataclass(frozen=True)
class GainChain:
    """``points`` by stage; ``first_to_clip`` is its index; ``margin`` the least headroom in dB.

    ``noise`` in V RMS at the last output and ``noise_level`` in dB against that stage's full
    output, ``None`` where every stage is given as silent.
    """

    points: tuple[ChainPoint, ...]
    first_to_clip: int
    margin: float
    noise: float
    noise_level: float | None


def gain_chain(source_voltage: float, stages: Sequence[ChainStage]) -> GainChain:
    """Follow a full-scale signal of ``source_voltage`` V RMS through the stages.

    Clipping order by the least headroom, at the input or at the boosted output; signals are passed
    on unclipped so that every stage shows its own margin. Noise adds as power, each stage's noise
    being amplified by those behind it.
    """
    require_positive(source_voltage=source_voltage)
    if not stages:
        raise ValueError("a chain needs at least one stage")
    points: list[ChainPoint] = []
    signal, noise_power, full_before = source_voltage, 0.0, source_voltage
    for stage in stages:
        require_positive(input_limit=stage.input_limit, full_output=stage.full_output)
        require_not_negative(noise=stage.noise, boost=stage.boost)
        output = voltage_at_level(signal, stage.gain + stage.boost)
        points.append(
            ChainPoint(
                input=signal,
                output=output,
                input_headroom=_ratio_level(stage.input_limit, signal),
                output_headroom=_ratio_level(stage.full_output, output),
                matched_gain=_ratio_level(stage.full_output, full_before) - stage.boost,
            )
        )
        gain_ratio = voltage_at_level(1.0, stage.gain)
        noise_power = noise_power * gain_ratio**2 + stage.noise**2
        # The worst case is a tone at the boosted frequency: its boost travels on down the chain.
        signal, full_before = output, stage.full_output
    margins = [min(point.input_headroom, point.output_headroom) for point in points]
    noise = math.sqrt(noise_power)
    level = _ratio_level(noise, stages[-1].full_output) if noise > 0.0 else None
    return GainChain(tuple(points), margins.index(min(margins)), min(margins), noise, level)


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
