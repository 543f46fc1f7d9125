"""How far a load floor or lid bends, and how thick it has to be."""

from dataclasses import dataclass
from math import pi, sqrt
from typing import Annotated, Literal

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Number,
    Output,
    OutputRows,
    OutputText,
    calculator,
)
from calculators.declaring.quantities import LENGTH, MASS, MODULUS, RATIO
from calculators.physics import plates
from calculators.physics.fixings import GRAVITY

USUAL_BOARDS = (0.009, 0.012, 0.015, 0.018, 0.021, 0.024, 0.030)
"""Usual thicknesses of plywood, m."""


@dataclass(frozen=True, kw_only=True)
class Board:
    """A board of one usual thickness."""

    board: Annotated[float, Output("Board", LENGTH, show="mm", decimals=0)]
    deflection: Annotated[float, Output("Bends", LENGTH, show="mm", decimals=1)]
    verdict: Annotated[str, OutputText("Verdict")]


@dataclass(frozen=True, kw_only=True)
class LoadFloor:
    """How far it bends, and what would do."""

    deflection: Annotated[float, Output("It bends in the middle", LENGTH, show="mm", decimals=2, main=True)]
    verdict: Annotated[str, OutputText("Verdict")]
    thickness_needed: Annotated[float, Output("Thickness that just does", LENGTH, show="mm", decimals=1)]
    board: Annotated[
        float | None,
        Output("Next usual board", LENGTH, show="mm", decimals=0, none="none: a rib or a closer support"),
    ]
    most_load: Annotated[float, Output("Load at the limit", MASS, decimals=0)]
    boards: Annotated[tuple[Board, ...], OutputRows("By usual thickness")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="How far a load floor bends",
    example={"span": 0.59, "thickness": 0.015},
    sources=("timoshenko-plates", "finnish-plywood", "common-practice"),
    cautions=("S11",),
)
def load_floor(
    *,
    carried: Annotated[
        Literal["round", "rectangle", "strip"],
        Choice(
            "Carried",
            {
                "round": "round lid, all round its edge",
                "rectangle": "rectangle, along all four edges",
                "strip": "at two sides only",
            },
        ),
    ] = "round",
    span: Annotated[
        float,
        Number(
            "Between the supports", LENGTH, 0.05, 3, show="cm", usual=(0.2, 1.5), units=("mm", "in"),
            help="A round lid's diameter; a rectangle's one side.",
        ),
    ],
    width: Annotated[
        float | None,
        Number(
            "The other side", LENGTH, 0.05, 3, show="cm", usual=(0.2, 1.5), units=("mm", "in"), optional=True,
            empty="a round lid has none",
        ),
    ] = None,
    thickness: Annotated[
        float,
        Number(
            "Board", LENGTH, 0.002, 0.08, show="mm", usual=(0.006, 0.03), units=("in",),
            help="By calliper: plywood sold as 15 mm may be 14.2.",
        ),
    ],
    loaded_with: Annotated[
        float,
        Number("Load", MASS, 1, 2000, usual=(75, 300), units=("lb",), help="One person kneeling: 100 kg."),
    ] = 100.0,
    patch: Annotated[
        float,
        Number("On a square of", LENGTH, 0.01, 3, show="cm", usual=(0.05, 0.6), units=("mm", "in")),
    ] = 0.3,
    most_deflection: Annotated[
        float, Number("It may bend", LENGTH, 1e-4, 0.05, show="mm", usual=(0.001, 0.005), seldom=True)
    ] = 0.003,
    modulus: Annotated[
        float,
        Number(
            "Modulus of the board", MODULUS, 1e8, 3e11, show="GPa", usual=(2e9, 8e10), seldom=True,
            help="Birch plywood 8.75 GPa, both directions' mean; chipboard and fibreboard about 2.5.",
        ),
    ] = 8.75e9,
    poisson: Annotated[
        float, Number("Poisson's ratio", RATIO, 0, 0.49, usual=(0.05, 0.35), seldom=True)
    ] = 0.3,
) -> LoadFloor:  # fmt: skip
    """Deflection of a flat lid or load floor with a load on a square in its middle.

    The limit of 3 mm under 100 kg on 300 × 300 mm is common practice, no source. Edges carry and do not
    clamp. At two sides only, the load is a line across, and a strip as wide as span and square together
    bends at most. It bends by the third power of the thickness: half as much again is 3.4 times as stiff.
    This is stiffness; that nothing cracks under two people is tried with 200 kg.
    """
    at_one = _deflection(carried, span, width, loaded_with * GRAVITY, patch, modulus, poisson)
    deflection = at_one / thickness**3
    return LoadFloor(
        deflection=deflection,
        verdict="passes" if deflection <= most_deflection + 1e-12 else "bends too far",
        thickness_needed=thickness * (deflection / most_deflection) ** (1 / 3),
        board=next((board for board in USUAL_BOARDS if at_one / board**3 <= most_deflection + 1e-12), None),
        most_load=loaded_with * most_deflection / deflection,
        boards=tuple(
            Board(
                board=board,
                deflection=at_one / board**3,
                verdict="passes" if at_one / board**3 <= most_deflection + 1e-12 else "bends too far",
            )
            for board in USUAL_BOARDS
        ),
        advice=_advice(deflection, most_deflection, thickness, carried),
    )


def _deflection(
    carried: str, span: float, width: float | None, force: float, patch: float, modulus: float, poisson: float
) -> float:
    """Deflection of a board one metre thick, by the formula for thin ones: the rest is its third power."""
    if carried == "round":
        if patch / sqrt(pi) > span / 2:
            raise InputError(
                "patch", "The loaded square must lie on the lid: a smaller one, or a larger lid."
            )
        return plates.round_board(force, span, patch, modulus, 1.0, poisson)
    if width is None:
        raise InputError("width", "Type the other side: a board that is not round has two.")
    if patch > min(span, width):
        raise InputError("patch", "The loaded square must lie on the board: no larger than its shorter side.")
    if carried == "strip":
        return plates.strip_board(force, span, min(width, span + patch), modulus, 1.0)
    return plates.rectangular_board(force, span, width, patch, modulus, 1.0, poisson)


def _advice(deflection: float, most_deflection: float, thickness: float, carried: str) -> tuple[Advice, ...]:
    said = []
    if deflection > most_deflection + 1e-12:
        way = "support its other sides too, " if carried == "strip" else ""
        text = (
            f"It bends {1e3 * deflection:.1f} mm: {way}a thicker board, a rib under it, or a foot in the "
            "middle."
        )
        said.append(Advice("deflection", text))
    if deflection > thickness / 2:
        text = "It bends by more than half its thickness: the figure is only a hint that it is far too thin."
        said.append(Advice("thickness", text))
    return tuple(said)
