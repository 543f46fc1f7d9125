"""Networks of resistors against known ones: the cube, the ladder, parallel ways; and what is refused."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics.dc_networks import Load, Resistor, solve


def test_the_cube_of_equal_resistors() -> None:
    # Between ends of an edge 7/12, of a face 3/4, of the body's diagonal 5/6 of one resistor: the
    # classic puzzle, in many textbooks of physics (from memory).
    corners = list(itertools.product((0, 1), repeat=3))
    edges = [
        Resistor(one, other, 2.0)
        for one, other in itertools.combinations(corners, 2)
        if sum(a != b for a, b in zip(one, other, strict=True)) == 1
    ]
    start = (0, 0, 0)
    loads = [Load(start, far, 1.0) for far in ((1, 0, 0), (1, 1, 0), (1, 1, 1))]
    flow = solve(edges, loads, reference=start)
    assert flow.resistances == pytest.approx([2 * 7 / 12, 2 * 3 / 4, 2 * 5 / 6])


@pytest.mark.parametrize("cells", [1, 2, 3, 7])
def test_a_ladder_of_equal_resistors_is_a_quotient_of_fibonacci_numbers(cells: int) -> None:
    # A. M. Morgan-Voyce, Ladder-network analysis using Fibonacci numbers, 1959 (from memory).
    rungs = [Resistor(place, "rail", 1.0) for place in range(cells)]
    rails = [Resistor(place, place + 1, 1.0) for place in range(cells)]
    rails[-1] = Resistor(cells - 1, "input", 1.0)
    fibonacci = [1, 1]
    while len(fibonacci) < 2 * cells + 2:
        fibonacci.append(fibonacci[-1] + fibonacci[-2])
    flow = solve(rungs + rails, [Load("input", "rail", 3.0)], reference="rail")
    assert flow.resistances == pytest.approx([fibonacci[2 * cells] / fibonacci[2 * cells - 1]])


def test_what_two_loads_share() -> None:
    # By hand: 30 A and 10 A meet in 2 mΩ; each has 1 mΩ of its own before it; nothing at the far side.
    resistors = [Resistor("B", "join", 0.002), Resistor("join", "a", 0.001), Resistor("join", "b", 0.001)]
    flow = solve(resistors, [Load("a", "B", 30.0), Load("b", "B", 10.0)], reference="B")
    assert flow.currents == pytest.approx([40.0, 30.0, 10.0])
    assert flow.drops == pytest.approx([0.080 + 0.030, 0.080 + 0.010])
    assert flow.shares == pytest.approx(np.array([[1, 1], [1, 0], [0, 1]]), abs=1e-12)
    assert flow.resistances == pytest.approx([0.003, 0.003])


def test_a_way_of_no_resistance_takes_all() -> None:
    flow = solve([Resistor("a", "B", 0.0), Resistor("a", "B", 1.0)], [Load("a", "B", 5.0)], "B")
    assert flow.currents == pytest.approx([-5.0, 0.0], abs=1e-12)
    assert flow.drops == pytest.approx([0.0], abs=1e-12)


@given(
    ohms=st.lists(st.floats(1e-6, 3), min_size=6, max_size=6),
    amperes=st.lists(st.floats(0, 500), min_size=3, max_size=3),
)
def test_what_the_loads_lose_is_what_the_resistors_burn(ohms: list[float], amperes: list[float]) -> None:
    # Tellegen: the power taken from the source, less what arrives, is the heat in the network.
    pairs = itertools.combinations(("B", "one", "two", "three"), 2)
    resistors = [Resistor(*pair, ohm) for pair, ohm in zip(pairs, ohms, strict=True)]
    loads = [Load(name, "B", ampere) for name, ampere in zip(("one", "two", "three"), amperes, strict=True)]
    flow = solve(resistors, loads, "B")
    heat = float(np.sum(flow.currents**2 * np.array(ohms)))
    assert float(flow.drops @ np.array(amperes)) == pytest.approx(heat, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    ("resistors", "loads"),
    [
        ([Resistor("a", "b", 1.0)], [Load("a", "b", 1.0)]),
        ([Resistor("a", "B", 0.0), Resistor("a", "B", 0.0)], [Load("a", "B", 1.0)]),
        ([Resistor("a", "B", -1.0)], [Load("a", "B", 1.0)]),
        ([Resistor("a", "B", 1.0)], [Load("a", "B", -1.0)]),
    ],
)
def test_what_has_no_answer_is_refused(resistors: list[Resistor], loads: list[Load]) -> None:
    with pytest.raises(ValueError, match=r"source|resistance|current"):
        solve(resistors, loads, "B")
