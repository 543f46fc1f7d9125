"""Speaker wiring and leads against textbook values."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import conductors
from calculators.physics import speaker_loads as sl


def single(coils: Sequence[float]) -> list[list[float]]:
    """Speakers of one coil each."""
    return [[coil] for coil in coils]


def shares(coils: Sequence[float], wiring: sl.Wiring) -> list[float]:
    """Share of each coil, in the order given."""
    found = sorted(sl.shares_of(sl.wired(single(coils), wiring)), key=lambda entry: entry[0].speaker)
    return [share for _, share in found]


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
    assert sl.load_of(sl.wired(single(coils), wiring)) == pytest.approx(load, abs=1e-3)


def test_longer_strings() -> None:
    assert sl.load_of(sl.wired(single([4] * 8), "series-parallel")) == pytest.approx(2.0)
    # Four in series, two such strings: by hand 16/2.
    loads = [sl.load_of(entry.network) for entry in sl.every_wiring(single([4] * 8))]
    assert loads == pytest.approx([0.5, 2.0, 8.0, 32.0])


def test_power_shares_by_hand() -> None:
    assert shares([4, 8], "series") == pytest.approx([1 / 3, 2 / 3])
    assert shares([4, 8], "parallel") == pytest.approx([2 / 3, 1 / 3])
    # Strings 2+2 and 4+4: the first takes two thirds.
    assert shares([2, 2, 4, 4], "series-parallel") == pytest.approx([1 / 3, 1 / 3, 1 / 6, 1 / 6])


@given(
    coils=st.lists(st.floats(0.5, 16), min_size=2, max_size=4).map(lambda half: half + half),
    wiring=st.sampled_from(["series", "parallel", "series-parallel"]),
)
def test_shares_add_up_and_load_lies_between(coils: list[float], wiring: sl.Wiring) -> None:
    each = shares(coils, wiring)
    assert math.fsum(each) == pytest.approx(1.0)
    assert min(each) > 0.0
    load = sl.load_of(sl.wired(single(coils), wiring))
    assert sl.parallel(coils) * (1 - 1e-12) <= load <= sl.series(coils) * (1 + 1e-12)


def test_three_twins_of_4_ohm() -> None:
    # By hand: coils 8 or 2, speakers thrice or a third of that.
    found = {
        (inner.length, outer.length): sl.load_of(entry.network)
        for entry in sl.every_wiring([[4.0, 4.0]] * 3)
        for inner, outer in entry.kinds
    }
    assert found == pytest.approx({(2, 1): 8 / 3, (1, 3): 6.0, (2, 3): 24.0, (1, 1): 2 / 3})


@given(speakers=st.integers(1, 4), coils=st.integers(1, 2), ohm=st.floats(0.5, 16))
def test_every_load_with_like_power_is_found(speakers: int, coils: int, ohm: float) -> None:
    """Of n like coils, each with the same current, any string length that divides n and no other."""
    count = speakers * coils
    found = {
        round(sl.load_of(entry.network) / ohm, 9) for entry in sl.every_wiring([[ohm] * coils] * speakers)
    }
    lengths = [length for length in range(1, count + 1) if count % length == 0]
    assert found == {round(length**2 / count, 9) for length in lengths}
    for entry in sl.every_wiring([[ohm] * coils] * speakers):
        assert [share for _, share in sl.shares_of(entry.network)] == pytest.approx([1 / count] * count)


@given(
    first=st.lists(st.floats(0.5, 16), min_size=1, max_size=2),
    second=st.lists(st.floats(0.5, 16), min_size=1, max_size=2),
    counts=st.tuples(st.integers(1, 2), st.integers(1, 2)),
)
def test_loads_and_shares_agree_with_a_nodal_solution(
    first: list[float], second: list[float], counts: tuple[int, int]
) -> None:
    speakers = [first] * counts[0] + [second] * counts[1]
    for entry in sl.every_wiring(speakers):
        edges: list[tuple[int, int, float]] = []
        nodes = connect(entry.network, 0, 1, 2, edges)
        grounded = solve(edges, nodes)
        current = sum((grounded[a] - grounded[b]) / ohm for a, b, ohm in edges if a == 0)
        assert sl.load_of(entry.network) == pytest.approx(1.0 / current)
        power = [(grounded[a] - grounded[b]) ** 2 / ohm * (1.0 / current) for a, b, ohm in edges]
        assert [share for _, share in sl.shares_of(entry.network)] == pytest.approx(power)


def connect(
    network: sl.Network, plus: int, minus: int, free: int, edges: list[tuple[int, int, float]]
) -> int:
    """Write a network's coils as edges between nodes; returns the next free node."""
    if isinstance(network, sl.Coil):
        edges.append((plus, minus, network.impedance))
        return free
    for number, part in enumerate(network.parts, 1):
        end = minus
        if network.way == "series" and number < len(network.parts):
            end, free = free, free + 1
        free = connect(part, plus, end, free, edges)
        plus = end if network.way == "series" else plus
    return free


def solve(edges: list[tuple[int, int, float]], nodes: int) -> list[float]:
    """Node voltages with 1 V on node 0 and 0 V on node 1."""
    matrix, right = np.zeros((nodes, nodes)), np.zeros(nodes)
    for a, b, ohm in edges:
        for one, other in ((a, b), (b, a)):
            matrix[one, one] += 1 / ohm
            matrix[one, other] -= 1 / ohm
    matrix[:2], right[0] = np.eye(nodes)[:2], 1.0
    return [float(volts) for volts in np.linalg.solve(matrix, right)]


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
        lambda: sl.wired(single([4.0, 4.0]), "series-parallel"),
        lambda: sl.wired(single([4.0] * 5), "series-parallel"),
        lambda: sl.wired(single([4.0] * 4), "star"),  # type: ignore[arg-type]
        lambda: sl.lead_loss(-0.1, 4.0),
        lambda: sl.power_into(75.0, 4.0, math.inf),
    ],
)
def test_refusals(call: object) -> None:
    with pytest.raises(ValueError, match=r"must be|needed|need"):
        call()  # type: ignore[operator]
