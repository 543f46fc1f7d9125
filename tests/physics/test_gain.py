"""Gain voltages, feeds, pads, chains and trims."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import gain as g


# EL-74, and the pocket table of target volts (computed): watts, ohm, volts RMS.
@pytest.mark.parametrize(
    ("power", "load", "voltage"),
    [(50, 4, 14.142), (75, 4, 17.321), (100, 4, 20.000), (70, 4, 16.733), (300, 4, 34.641),
     (75, 2, 12.247), (75, 8, 24.495)],
)  # fmt: skip
def test_voltage_for_power(power: float, load: float, voltage: float) -> None:
    assert g.voltage_for_power(power, load) == pytest.approx(voltage, abs=1e-3)
    assert g.power_from_voltage(voltage, load) == pytest.approx(power, rel=1e-3)


def test_voltage_at_level() -> None:
    # The pocket table: 34.64 V less 5 and 10 dB.
    assert g.voltage_at_level(34.641, -5.0) == pytest.approx(19.48, abs=5e-3)
    assert g.voltage_at_level(34.641, -10.0) == pytest.approx(10.95, abs=5e-3)
    # 8.4 V into 4 ohm is 17.64 W.
    assert g.power_from_voltage(8.4, 4.0) == pytest.approx(17.64)


def test_gain_chain_by_hand() -> None:
    stages = [
        g.ChainStage(input_max=4.0, output_max=4.0, gain=0.0, noise_out=20e-6, boost=3.0),
        g.ChainStage(input_max=8.0, output_max=20.0, gain=20.0, noise_in=10e-6),
    ]
    first, second = g.gain_chain(2.0, stages)
    assert first.level == pytest.approx(2.0)
    assert first.level_boosted == pytest.approx(2.0 * 10 ** (3 / 20))
    assert first.margin == first.clips_at == pytest.approx(3.0206, abs=1e-4)
    assert second.level == pytest.approx(20.0)
    assert second.level_boosted == pytest.approx(28.2508, abs=1e-3)
    assert second.margin == pytest.approx(0.0, abs=1e-9)
    assert second.clips_at == pytest.approx(20 * math.log10(20 / 28.2508), abs=1e-4)
    assert first.noise == pytest.approx(200e-6)
    assert second.noise == pytest.approx(100e-6)


def test_a_filter_that_takes_less_off_a_hiss_makes_the_noise_in_front_of_it_louder() -> None:
    """10 dB off the tone, given back behind: 1 mV stays 1 mV; with 4 dB off a hiss it comes out 6 dB up."""
    back = g.ChainStage(gain=10.0)
    for hiss, out in ((None, 1e-3), (-4.0, 1e-3 * 10 ** (6 / 20))):
        source, *_ = g.gain_chain(
            2.0, [g.ChainStage(noise_out=1e-3), g.ChainStage(gain=-10.0, hiss=hiss), back]
        )
        assert source.noise == pytest.approx(out)
        assert source.behind == pytest.approx(1000 * out)


def test_a_stage_clips_at_the_lesser_of_its_limits() -> None:
    open_in = g.gain_chain(2.0, [g.ChainStage(output_max=4.0)])[0]
    assert open_in.margin == pytest.approx(6.0206, abs=1e-4)
    both = g.gain_chain(2.0, [g.ChainStage(input_max=1.0, output_max=4.0)])[0]
    assert both.margin == pytest.approx(-6.0206, abs=1e-4)
    none = g.gain_chain(2.0, [g.ChainStage(gain=6.0)])[0]
    assert none.margin is None
    assert none.clips_at is None


def test_open_gains_are_found() -> None:
    chain = (
        g.ChainStage(input_max=10.0),
        g.ChainStage(output_max=4.0, gain=None, boost=4.5),
        g.ChainStage(output_max=16.733, gain=None),
    )
    _, processor, amplifier = g.settled_chain(8.4, chain, headroom=5.0, reserve=3.0)
    # 8.4 V to 4 V less boost and reserve; 4 V less 7.5 dB to 16.733 V and 5 dB.
    assert processor.gain == pytest.approx(20 * math.log10(4 / 8.4) - 7.5)
    assert amplifier.gain == pytest.approx(20 * math.log10(16.733 / 4) + 7.5 + 5.0)


GAINS = st.floats(-30, 30)
VOLTS = st.floats(0.1, 100)
STAGES = st.lists(
    st.builds(
        g.ChainStage,
        input_max=VOLTS,
        output_max=VOLTS,
        gain=st.one_of(st.none(), GAINS),
        boost=st.floats(0, 12),
        hiss=st.one_of(st.none(), GAINS),
        noise_in=st.floats(0, 1e-3),
        noise_out=st.floats(0, 1e-3),
    ),
    min_size=1,
    max_size=8,
)


@given(source=VOLTS, stages=STAGES, headroom=st.floats(-10, 10), reserve=st.floats(0, 9))
def test_the_chain_added_up_in_decibels(
    source: float, stages: list[g.ChainStage], headroom: float, reserve: float
) -> None:
    """The same chain as sums of dB over 1 V, each noise as a power of its own, against volts."""
    settled = g.settled_chain(source, stages, headroom, reserve)
    points = g.gain_chain(source, settled)
    flat = boosted = 20 * math.log10(source)
    noises: list[float] = []
    for given_stage, stage, point in zip(stages, settled, points, strict=True):
        assert stage.gain is not None
        full_in, full_out = (20 * math.log10(volts) for volts in (stage.input_max, stage.output_max))
        rooms, rooms_boosted = [full_in - flat], [full_in - boosted]
        flat += stage.gain
        boosted += stage.gain + stage.boost
        rooms.append(full_out - flat - stage.boost)
        rooms_boosted.append(full_out - boosted)
        assert point.margin == pytest.approx(min(rooms), abs=1e-9)
        assert point.clips_at == pytest.approx(min(rooms_boosted), abs=1e-9)
        if given_stage.gain is None and given_stage is not stages[-1]:
            assert full_out - boosted == pytest.approx(reserve, abs=1e-9)
        ratio = 10 ** ((stage.gain if stage.hiss is None else stage.hiss) / 10)
        noises = [power * ratio for power in noises]
        noises.append(stage.noise_in**2 * ratio + stage.noise_out**2)
    if stages[-1].gain is None:
        assert flat - headroom == pytest.approx(20 * math.log10(stages[-1].output_max or 0.0), abs=1e-9)
    assert [point.noise**2 for point in points] == pytest.approx(noises, rel=1e-9, abs=1e-30)


def test_limiter_threshold() -> None:
    # 4 V and 24.93 dB make 70.56 V; 16.73 V is 12.5 dB under that.
    assert g.limiter_threshold(16.73, 4.0, 24.93) == pytest.approx(-12.50, abs=5e-3)


def test_level_trims() -> None:
    assert g.level_trims([80.0, 83.5, 90.0], [0.0, 0.0, 6.0]) == pytest.approx([0.0, -3.5, -4.0])


@given(
    pairs=st.lists(st.tuples(st.floats(40, 130), st.floats(-20, 20)), min_size=1, max_size=12),
)
def test_no_trim_is_above_zero_and_all_meet_their_offsets(
    pairs: list[tuple[float, float]],
) -> None:
    levels, offsets = [p[0] for p in pairs], [p[1] for p in pairs]
    trims = g.level_trims(levels, offsets)
    assert max(trims) == 0.0
    base = [level + trim - offset for level, trim, offset in zip(levels, trims, offsets, strict=True)]
    assert base == pytest.approx([base[0]] * len(base), abs=1e-9)


@pytest.mark.parametrize(
    "call",
    [
        lambda: g.voltage_for_power(-1, 4),
        lambda: g.voltage_at_level(1.0, math.nan),
        lambda: g.gain_chain(1.0, []),
        lambda: g.gain_chain(1.0, [g.ChainStage(0.0, 1.0, 0.0)]),
        lambda: g.gain_chain(1.0, [g.ChainStage(gain=None)]),
        lambda: g.settled_chain(1.0, [], 0.0, 0.0),
        lambda: g.settled_chain(1.0, [g.ChainStage(gain=None)], 0.0, 0.0),
        lambda: g.limiter_threshold(0.0, 1.0, 0.0),
        lambda: g.level_trims([80.0], []),
    ],
)
def test_refusals(call: object) -> None:
    with pytest.raises(ValueError, match=r"must be|needs"):
        call()  # type: ignore[operator]
