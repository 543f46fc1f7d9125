"""Gain voltages, feeds, pads, chains and trims."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
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


def test_speaker_level_feed() -> None:
    # 20 W into 4 ohm into an input of 4 V, 2 V wanted; computed by hand.
    feed = g.speaker_level_feed(20, 4, input_limit=4.0, wanted_level=2.0)
    assert feed.voltage == pytest.approx(8.9443, abs=1e-4)
    assert feed.peak == pytest.approx(12.649, abs=1e-3)
    assert feed.attenuation == pytest.approx(13.010, abs=1e-3)
    assert feed.headroom == pytest.approx(-6.990, abs=1e-3)


@settings(deadline=None)
@given(
    voltage=st.floats(1, 40),
    ratio=st.floats(0.02, 0.9),
    presented=st.floats(10, 200),
    load=st.floats(1_000, 100_000),
    source=st.floats(0, 5),
)
def test_pad_solved_as_a_circuit(
    voltage: float, ratio: float, presented: float, load: float, source: float
) -> None:
    wanted = voltage * ratio * presented / (source + presented)
    pad = g.pad(voltage, wanted, presented, load, source)
    # Two nodes by Kirchhoff's current law: source | series | output.
    matrix = np.array(
        [[source + pad.series, 1.0], [1.0, -(1.0 / pad.shunt + 1.0 / load)]]
    )  # unknowns: current, output voltage
    current, output = np.linalg.solve(matrix, [voltage, 0.0])
    assert output == pytest.approx(wanted, rel=1e-9)
    assert voltage / current - source == pytest.approx(presented, rel=1e-9)
    heat = current**2 * pad.series + output**2 / pad.shunt
    assert pad.heat == pytest.approx(heat, rel=1e-6, abs=1e-9)


def test_pad_refusals() -> None:
    with pytest.raises(ValueError, match="cannot raise"):
        g.pad(4.0, 4.0, 100.0, 10_000.0)
    with pytest.raises(ValueError, match="loads the pad too much"):
        g.pad(10.0, 9.0, 2_000.0, 1_000.0)


def test_gain_chain_by_hand() -> None:
    stages = [
        g.ChainStage(input_limit=4.0, full_output=4.0, gain=0.0, noise=20e-6, boost=3.0),
        g.ChainStage(input_limit=8.0, full_output=20.0, gain=20.0, noise=100e-6),
    ]
    chain = g.gain_chain(2.0, stages)
    first, second = chain.points
    assert first.output == pytest.approx(2.0 * 10 ** (3 / 20))
    assert first.input_headroom == pytest.approx(6.0206, abs=1e-4)
    assert first.output_headroom == pytest.approx(3.0206, abs=1e-4)
    assert second.output == pytest.approx(28.2508, abs=1e-3)
    assert chain.first_to_clip == 1
    assert chain.margin == pytest.approx(20 * math.log10(20 / 28.2508), abs=1e-4)
    assert first.matched_gain == pytest.approx(6.0206 - 3.0, abs=1e-4)
    assert second.matched_gain == pytest.approx(13.979, abs=1e-3)
    assert chain.noise == pytest.approx(math.hypot(200e-6, 100e-6))
    assert chain.noise_level == pytest.approx(20 * math.log10(math.hypot(2e-4, 1e-4) / 20))


def test_matched_gains_reach_full_output_together() -> None:
    stages = [g.ChainStage(10.0, 4.0, 0.0), g.ChainStage(10.0, 16.733, 0.0)]
    matched = [point.matched_gain for point in g.gain_chain(1.5, stages).points]
    reset = [
        g.ChainStage(s.input_limit, s.full_output, gain) for s, gain in zip(stages, matched, strict=True)
    ]
    chain = g.gain_chain(1.5, reset)
    assert [point.output_headroom for point in chain.points] == pytest.approx([0.0, 0.0], abs=1e-9)
    # 4 V to 16.73 V and to 34.64 V: 12.4 and 18.8 dB, as the running example prints them.
    assert matched[1] == pytest.approx(12.43, abs=5e-3)
    assert 20 * math.log10(34.641 / 4.0) == pytest.approx(18.75, abs=5e-3)
    assert chain.noise_level is None


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
        lambda: g.level_trims([80.0], []),
        lambda: g.speaker_level_feed(0, 4, 4, 2),
    ],
)
def test_refusals(call: object) -> None:
    with pytest.raises(ValueError, match=r"must be|needs"):
        call()  # type: ignore[operator]
