"""The leg of a hold-up capacitor: its fuse, its refill and its rating; and what cannot be held up."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from calculators.declaring import run_values
from calculators.physics import fuses, hold_up
from calculators.stages import find_calculator
from tests.asking import run

PROCESSOR = {"power": 14.0, "start": 12.1, "minimum": 9.0, "duration": 1.5, "isolator": 0.35}


def restart(time: float) -> float:
    """An invented restart: 8.2 V until 0.9 s, the battery back to 12.3 V, the alternator to 14.3 V."""
    return float(np.interp(time, [0, 0.005, 0.9, 0.92, 1.9], [12.1, 8.2, 8.2, 12.3, 14.3]))


def refill_of(
    farad: float, resistance: float, supply: Callable[[float], float] = restart
) -> tuple[np.ndarray, np.ndarray]:
    """Current into the capacitor by time, the circuit solved anew: isolator, resistance, capacitor.

    Below the supply it gives 14 W to the processor through a by-pass without drop.
    """

    def current(time: float, volts: float) -> float:
        return max(0.0, supply(time) - 0.35 - volts) / resistance

    def slope(time: float, state: np.ndarray) -> list[float]:
        volts = float(state[0])
        gives = 14.0 / volts if volts > supply(time) - 0.35 else 0.0
        return [(current(time, volts) - gives) / farad]

    path = solve_ivp(slope, (0, 4), [11.75], rtol=1e-8, atol=1e-10, max_step=1e-3, dense_output=True)
    time = np.linspace(0.9, 4, 31_001)
    return time, np.array([current(t, v) for t, v in zip(time, path.sol(time)[0], strict=True)])


def test_a_bare_leg_opens_its_2_ampere_fuse_at_the_first_restart() -> None:
    time, ampere = refill_of(1.0, 0.070)
    early = time <= 1.0
    # ISO 8820-3 as remembered: 12 A for 0.02 s, 2.88 A²s, may open a fuse of 2 A. This refill does more.
    assert ampere.max() > 12
    assert np.trapezoid(ampere[early] ** 2, time[early]) > 2.88
    outcome = run("hold-up", **PROCESSOR, capacitance=1.0, leg_fuse=2.0, path_resistance=0.065, esr=0.005)
    result = outcome.result
    assert result.fuse_verdict == "may open at the first restart"
    assert any("with a by-pass diode across it" in entry.message for entry in outcome.advice)
    # The calculator counts the supply as back at once: never less than what the restart drives.
    assert result.refill_current >= ampere.max()
    assert result.refill_integral >= np.trapezoid(ampere**2, time)


def test_a_charge_resistor_keeps_the_refill_under_the_fuse() -> None:
    _, ampere = refill_of(1.5, 2.27)
    result = run("hold-up", **PROCESSOR, capacitance=1.5, charge_resistor=2.2, leg_fuse=3.0).result
    assert ampere.max() <= result.refill_current <= 3.0
    assert result.fuse_verdict.startswith("carries every refill")
    # The by-pass diode takes its 0.35 V of what the capacitor gives: by hand 2 P t/(V1² - V2²).
    assert result.capacitance == pytest.approx(2 * 14 * 1.5 / (11.40**2 - 9.0**2), rel=1e-6)


def test_a_limiter_does_the_same_without_the_diode() -> None:
    result = run("hold-up", **PROCESSOR, capacitance=1.5, charge_limit=2.0, leg_fuse=3.0).result
    assert result.refill_current == pytest.approx(2.0)
    assert result.fuse_verdict.startswith("carries every refill")
    assert result.bypass_counted == 0.0


def test_a_fuse_under_what_the_capacitor_gives_is_too_small() -> None:
    outcome = run("hold-up", **PROCESSOR, capacitance=1.5, charge_resistor=10.0, leg_fuse=1.0)
    assert outcome.result.fuse_verdict == "too small: the capacitor gives 1.56 A"
    assert any("a fuse of 2 A on a cable that carries it" in entry.message for entry in outcome.advice)


@given(
    farad=st.floats(0.01, 500),
    gap=st.floats(0, 20),
    resistance=st.floats(1e-3, 100),
    limit=st.none() | st.floats(0.1, 200),
)
@example(farad=1.0, gap=2.0, resistance=0.001, limit=0.25)
def test_refill_agrees_with_its_circuit_step_by_step(
    farad: float, gap: float, resistance: float, limit: float | None
) -> None:
    refill = hold_up.refill(farad, gap, resistance, limit)
    # Small steps of voltage, parted where the limit ends: in each the current is known, and dt = C dv/I.
    limit_ends = min(gap, np.inf if limit is None else limit * resistance)
    volts = np.union1d(np.linspace(0.0, gap, 20_001), [limit_ends])
    middle, steps = (volts[1:] + volts[:-1]) / 2, np.diff(volts)
    ampere = np.minimum(middle / resistance, np.inf if limit is None else limit)
    assert refill.peak == pytest.approx(min(gap / resistance, np.inf if limit is None else limit))
    assert refill.joule_integral == pytest.approx(float((farad * steps * ampere).sum()), rel=1e-6, abs=1e-12)
    assert refill.heat == pytest.approx(float((farad * steps * middle).sum()), rel=1e-6, abs=1e-12)
    if gap > hold_up.REFILLED:
        rest = np.linspace(hold_up.REFILLED, gap, 20_001)
        middle = (rest[1:] + rest[:-1]) / 2
        ampere = np.minimum(middle / resistance, np.inf if limit is None else limit)
        time = float((farad * (rest[1] - rest[0]) / ampere).sum())
        assert refill.time == pytest.approx(time, rel=1e-3)
    else:
        assert refill.time == 0.0


@pytest.mark.parametrize("rating", fuses.FUSE_RATINGS)
def test_a_pulse_a_fuse_bears_is_under_every_row_that_may_open_it(rating: float) -> None:
    rows = fuses.usual_type(rating).opening_times
    bears = fuses.pulse_withstand(rating)
    assert all(0 < bears < (row.multiple * rating) ** 2 * row.least for row in rows)


def test_a_capacitor_of_16_volts_is_refused_behind_a_managed_alternator() -> None:
    for slug, inputs in (("hold-up", PROCESSOR), ("pre-charge", {"capacitance": 1.0})):
        outcome = run(slug, **inputs, voltage_rating=16.0)
        assert outcome.advice[0].danger
        assert "17.2 V or more" in outcome.advice[0].message
        assert not any(
            entry.about == "voltage_rating" for entry in run(slug, **inputs, voltage_rating=20.0).advice
        )
    outcome = run("pre-charge", capacitance=1.0, supply=48.0, voltage_rating=16.0)
    assert outcome.advice[0].danger


def test_a_boost_regulator_is_judged_by_the_winter_dip() -> None:
    dip = {"power": 400.0, "minimum": 9.0, "profile": "measured", "duration": 1.5}
    outcome = run("hold-up", **dip, dip=6.2)
    assert not outcome.result.boost
    assert outcome.result.boost_current is None
    deep = run("hold-up", **dip, dip=7.5)
    assert deep.result.boost
    # 400 W at 85 % from 6.5 V, by hand 72.4 A: a feed for that, fused at 100 A or more.
    assert deep.result.boost_current == pytest.approx(400 / 0.85 / 6.5)
    assert any("72.4 A: its feed needs a fuse of 100 A" in entry.message for entry in deep.advice)


def test_the_feed_of_the_branch_carries_device_and_refill() -> None:
    result = run("hold-up", **PROCESSOR, capacitance=1.5, charge_resistor=2.2, leg_fuse=3.0).result
    assert result.branch_current == pytest.approx(result.refill_current + 14 / 9)


@pytest.mark.parametrize("fraction", [0.5, 0.8, 0.88, 0.9, 0.99, 0.9999])
def test_no_healthy_capacitor_is_called_failed(fraction: float) -> None:
    """Twice the time to 0.2 V, by RC at the highest voltage there is, and never under twice the wait."""
    result = run("pre-charge", capacitance=1.5, resistance=47.0, supply=14.4, fraction=fraction).result
    to_gap = 47.0 * 1.5 * math.log(15.2 / 0.2)
    assert result.failed_after == pytest.approx(2 * max(to_gap, result.charge_time))
    truck = run("pre-charge", capacitance=1.5, resistance=47.0, supply=28.0, fraction=fraction).result
    assert truck.failed_after >= 2 * 47.0 * 1.5 * math.log(28.0 / 0.2) * (1 - 1e-9)


def test_half_a_kilofarad_is_not_waited_for_at_47_ohm() -> None:
    outcome = run("pre-charge", capacitance=500.0, supply=16.0)
    assert outcome.result.charge_time == pytest.approx(108_000, rel=0.01)
    messages = {entry.about: entry for entry in outcome.advice}
    assert "30.1 hours" in messages["charge_time"].message
    assert messages["energy"].danger
    small = {entry.about: entry for entry in run("pre-charge", capacitance=1.0).advice}
    assert "charge_time" not in small
    assert not small["energy"].danger
    assert messages["energy"].message != small["energy"].message


def test_what_flows_as_the_fuse_goes_in_is_told() -> None:
    result = run("pre-charge", capacitance=1.0, path_resistance=0.07).result
    assert result.gap == pytest.approx(0.126)
    assert result.closing_current == pytest.approx(1.8)


def test_device_and_refill_share_the_isolator_s_limit() -> None:
    # 14 W at 9 V take 1.56 A: a limiter of 0.5 A, or of just that, leaves nothing.
    for limit in (0.5, 14 / 9):
        (error,) = run_values(
            find_calculator("hold-up"), {**PROCESSOR, "capacitance": 1.5, "charge_limit": limit}
        ).errors
        assert error.field == "charge_limit"
        assert "1.56 A" in error.message
    # Of 2 A it leaves 0.44: the last 0.1 V and the first 5.75 V of 15.2 V less 0.35 V and 9 V.
    result = run("hold-up", **PROCESSOR, capacitance=1.5, charge_limit=2.0, leg_fuse=3.0).result
    assert result.refill_time == pytest.approx(1.5 * 5.75 / (2.0 - 14 / 9))
    assert result.branch_current == pytest.approx(2.0)


def test_a_refill_that_takes_minutes_is_told() -> None:
    outcome = run("hold-up", **PROCESSOR, capacitance=1.5, charge_resistor=100.0)
    assert outcome.result.refill_time > 600
    (entry,) = (entry for entry in outcome.advice if entry.about == "refill_time")
    assert entry.message.startswith(f"Full again only after {outcome.result.refill_time / 60:.0f} min, and ")
    assert "second red light" in entry.message
    soon = run("hold-up", **PROCESSOR, capacitance=1.5, charge_resistor=2.2, leg_fuse=3.0)
    assert not any(entry.about == "refill_time" for entry in soon.advice)


def test_what_an_empty_capacitor_takes_is_told() -> None:
    # 15.2 V less the isolator over 2.265 Ω: 6.6 A and 73 A²s, which no fuse of 3 to 5 A stands.
    result = run("hold-up", **PROCESSOR, capacitance=1.5, charge_resistor=2.2, leg_fuse=3.0).result
    assert result.empty_current == pytest.approx(14.85 / 2.265)
    assert fuses.pulse_withstand(5.0) < 1.5 * 14.85**2 / (2 * 2.265)
    # One that does is no way out: it stands a shorted capacitor too.
    assert result.empty_current < 7.5
    assert result.shorted_current < 1.1 * 7.5


def test_a_gap_that_the_fuse_would_close_is_told() -> None:
    for fraction, gap in ((0.5, 6.3), (0.95, 0.63)):
        outcome = run("pre-charge", capacitance=1.5, fraction=fraction)
        (entry,) = (entry for entry in outcome.advice if entry.about == "gap")
        assert f"{gap:.3g} V are still missing" in entry.message
    assert not any(entry.about == "gap" for entry in run("pre-charge", capacitance=1.5).advice)


def test_resistors_are_judged_at_the_charging_voltage() -> None:
    # 16 Ω at 12.6 V take 9.9 W, at 15.2 V 14.4 W.
    outcome = run("pre-charge", capacitance=1.5, bleed_resistance=16.0, resistor_rating=10.0)
    assert outcome.result.bleed_power == pytest.approx(15.2**2 / 16)
    assert {entry.about for entry in outcome.advice if entry.danger} == {"bleed_resistance"}
    outcome = run("pre-charge", capacitance=1.5, resistance=16.0)
    assert any(entry.danger and "14.4 W at 15.2 V" in entry.message for entry in outcome.advice)
