"""Networks of resistors that carry direct current: solved whole, not run after run.

The source is left out: what is solved is how far each place moves from its voltage without load.
So both poles of an ideal battery, and every battery beside it, are one node, the reference. Loads
are given by their currents; superposition of them is exact, for the network is linear (Kirchhoff's
laws; the modified nodal analysis of Ho, Ruehli and Brennan, 1975).
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from calculators.physics.arrays import FloatArray
from calculators.physics.checking import require_not_negative


@dataclass(frozen=True)
class Resistor:
    """A resistor between two nodes. resistance: Ω, 0 or more."""

    start: Hashable
    end: Hashable
    resistance: float


@dataclass(frozen=True)
class Load:
    """A current drawn from node plus and given back at node minus. current: A, 0 or more."""

    plus: Hashable
    minus: Hashable
    current: float


@dataclass(frozen=True)
class Flow:
    """What the loads make of a network.

    currents: A through each resistor, from its start to its end (below zero: the other way). drops: V that
    each load has less than without any load. shares: part of load l's current that runs through resistor r,
    at [r, l], signed as the currents. resistances: Ω that each load meets, out and back, when it draws alone.
    """

    currents: FloatArray
    drops: FloatArray
    shares: FloatArray
    resistances: FloatArray


def solve(resistors: Sequence[Resistor], loads: Sequence[Load], reference: Hashable) -> Flow:
    """Currents and voltages of the whole network, all at once.

    Raises ValueError for a resistance or a current below 0, where a node has no way to the reference, and
    where resistors of 0 Ω close a ring, in which the current could run round as it likes.
    Source: Kirchhoff's laws; Ho, Ruehli and Brennan (1975).
    """
    for resistor in resistors:
        require_not_negative(resistance=resistor.resistance)
    for load in loads:
        require_not_negative(current=load.current)
    ends = [end for resistor in resistors for end in (resistor.start, resistor.end)]
    ends += [end for load in loads for end in (load.plus, load.minus)]
    nodes = [node for node in dict.fromkeys(ends) if node != reference]
    row = {node: place for place, node in enumerate(nodes)}
    # Unknown: the voltage of each node, then the current of each resistor. Rows: what enters a node
    # leaves it; the voltage over a resistor is its current times its ohm.
    size = len(nodes) + len(resistors)
    matrix = np.zeros((size, size))
    for place, resistor in enumerate(resistors, len(nodes)):
        for node, sign in ((resistor.start, 1.0), (resistor.end, -1.0)):
            if node in row:
                matrix[row[node], place] += sign
                matrix[place, row[node]] += sign
        matrix[place, place] = -resistor.resistance
    # One column of an ampere for each load.
    given = np.zeros((size, len(loads)))
    for place, load in enumerate(loads):
        if load.plus in row:
            given[row[load.plus], place] -= 1.0
        if load.minus in row:
            given[row[load.minus], place] += 1.0
    solved = _solved(matrix, given)
    shares = solved[len(nodes) :]
    voltages = {node: solved[place] for node, place in row.items()}
    still = np.zeros(len(loads))
    rises = np.array(
        [voltages.get(load.minus, still) - voltages.get(load.plus, still) for load in loads]
    ).reshape(len(loads), len(loads))
    amperes = np.array([load.current for load in loads])
    return Flow(shares @ amperes, rises @ amperes, shares, np.diagonal(rises).copy())


def _solved(matrix: FloatArray, given: FloatArray) -> FloatArray:
    """The solution; in the browser NumPy answers a singular matrix with NaN and raises nothing."""
    try:
        solved = np.linalg.solve(matrix, given)
    except np.linalg.LinAlgError:
        solved = np.full(given.shape, np.nan)
    if not np.isfinite(solved).all():
        raise ValueError("a place has no way back to the source, or a ring has no resistance")
    return solved
