"""Speaker wiring and leads against textbook values."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import conductors
from calculators.physics import speaker_loads as sl


# EL-81.
@pytest.mark.parametrize(
    ("coils", "wiring", "load"),
    [
        ([4, 4], "parallel", 2.0),
        ([4, 8], "parallel", 2.667),
        ([2, 2], "parallel", 1.0),
        ([8, 8, 8], "parallel", 2.667),
        ([4, 4], "series", 8.0),
        ([4, 4, 4, 4], "series-parallel", 4.0),
        ([2, 2, 2, 2], "series-parallel", 2.0),
    ],
)
def test_wired_load(coils: list[float], wiring: sl.Wiring, load: float) -> None:
    assert sl.wired_load(coils, wiring) == pytest.approx(load, abs=1e-3)


def test_longer_strings() -> None:
    assert sl.wired_load([4] * 8, "series-parallel") == pytest.approx(2.0)
    assert sl.wired_load([4] * 8, "series-parallel", 4) == pytest.approx(8.0)


def test_power_shares_by_hand() -> None:
    assert sl.power_shares([4, 8], "series") == pytest.approx([1 / 3, 2 / 3])
    assert sl.power_shares([4, 8], "parallel") == pytest.approx([2 / 3, 1 / 3])
    # Strings 2+2 and 4+4: the first takes two thirds.
    assert sl.power_shares([2, 2, 4, 4], "series-parallel") == pytest.approx([1 / 3, 1 / 3, 1 / 6, 1 / 6])


@given(
    coils=st.lists(st.floats(0.5, 16), min_size=2, max_size=4).map(lambda half: half + half),
    wiring=st.sampled_from(["series", "parallel", "series-parallel"]),
)
def test_shares_add_up_and_load_lies_between(coils: list[float], wiring: sl.Wiring) -> None:
    shares = sl.power_shares(coils, wiring)
    assert math.fsum(shares) == pytest.approx(1.0)
    assert min(shares) > 0.0
    load = sl.wired_load(coils, wiring)
    assert sl.parallel(coils) * (1 - 1e-12) <= load <= sl.series(coils) * (1 + 1e-12)


def test_bridge_and_other_loads() -> None:
    # A bridged 4 ohm load looks like 2 ohm to each half.
    assert sl.bridged_half_load(4.0) == 2.0
    assert sl.power_into(75.0, 4.0, 8.0) == pytest.approx(37.5)


# EL-32, EL-33: 5 m each way of IEC 60228 class 5 into 4 ohm.
@pytest.mark.parametrize(
    ("name", "resistance", "level"), [("1.5 mm²", 0.133, -0.284), ("2.5 mm²", 0.0798, -0.172)]
)
def test_lead_loss(name: str, resistance: float, level: float) -> None:
    size = next(size for size in conductors.FLEXIBLE_SIZES.sizes if size.name == name)
    lead = conductors.run_resistance(size.resistance, conductors.conductor_length(5, "cable"))
    assert lead == pytest.approx(resistance, abs=1e-4)
    assert sl.lead_loss(lead, 4.0) == pytest.approx(level, abs=1e-3)


def test_lead_power_and_damping() -> None:
    # EL-32: 3.22 % of the whole power; damping factor at most 30.1.
    assert sl.lead_power_share(0.133, 4.0) == pytest.approx(0.0322, abs=5e-5)
    assert sl.damping_factor(4.0, 0.133) == pytest.approx(30.1, abs=0.05)
    assert sl.damping_factor(4.0, 0.133, 0.02) == pytest.approx(4.0 / 0.153)
    assert sl.damping_factor(4.0, 0.0) is None
    assert sl.lead_loss(0.0, 4.0) == 0.0


@pytest.mark.parametrize(
    "call",
    [
        lambda: sl.series([]),
        lambda: sl.parallel([4.0, 0.0]),
        lambda: sl.wired_load([4.0, 4.0], "series-parallel"),
        lambda: sl.wired_load([4.0] * 5, "series-parallel"),
        lambda: sl.wired_load([4.0] * 4, "star"),  # type: ignore[arg-type]
        lambda: sl.lead_loss(-0.1, 4.0),
        lambda: sl.power_into(75.0, 4.0, math.inf),
    ],
)
def test_refusals(call: object) -> None:
    with pytest.raises(ValueError, match=r"must be|needed|needs"):
        call()  # type: ignore[operator]
