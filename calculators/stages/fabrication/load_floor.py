"""How far a load floor or lid bends, and how thick it has to be."""

from dataclasses import dataclass
from math import exp, log, pi, sqrt
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
"""Thicknesses that plywood is sold by, m."""


@dataclass(frozen=True, kw_only=True)
class Board:
    """A board as it is sold; birch as thin as its name allows."""

    board: Annotated[float, Output("Sold as", LENGTH, show="mm", decimals=0)]
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
        Output("Next board, as sold", LENGTH, show="mm", decimals=0, none="none: a rib or a closer support"),
    ]
    most_load: Annotated[float, Output("Load at the limit", MASS, decimals=0)]
    boards: Annotated[tuple[Board, ...], OutputRows("Boards as sold, birch at its thinnest")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="How far a load floor bends",
    example={"span": 0.59, "thickness": 0.015},
    sources=("timoshenko-plates", "finnish-plywood", "en-315", "common-practice"),
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
    material: Annotated[
        Literal["birch", "other"],
        Choice(
            "Made of",
            {"birch": "birch plywood", "other": "chipboard, fibreboard, another: by its modulus"},
        ),
    ] = "birch",
    grain: Annotated[
        Literal["unknown", "span", "width"],
        Choice(
            "Face grain runs",
            {
                "unknown": "not known: the weaker way",
                "span": "from support to support, along the first side",
                "width": "along the other side",
            },
        ),
    ] = "unknown",
    modulus: Annotated[
        float,
        Number(
            "Modulus of another board", MODULUS, 1e8, 3e11, show="GPa", usual=(1e9, 8e10), seldom=True,
            help="Chipboard and fibreboard about 2.5 GPa. Birch plywood has its own, by thickness.",
        ),
    ] = 2.5e9,
    poisson: Annotated[
        float, Number("Its Poisson's ratio", RATIO, 0, 0.49, usual=(0.05, 0.35), seldom=True)
    ] = 0.3,
) -> LoadFloor:  # fmt: skip
    """Deflection of a flat lid or load floor with a load on a square in its middle.

    The limit of 3 mm under 100 kg on 300 × 300 mm is common practice, no source. Edges carry and do not
    clamp. Birch plywood is stiffer along its face grain than across, the more so the thinner it is, and soft
    in twisting; other boards count as alike both ways. Birch of the shop is judged at the thinnest that may
    be sold under its name, 14.15 mm for 15 mm. It bends by about the third power of the thickness:
    half as much again is 3.4 times as stiff. This is stiffness; that nothing cracks under two people is
    tried with 200 kg.
    """
    lid = _Lid(carried, span, width, loaded_with * GRAVITY, patch, material, grain, modulus, poisson)
    lid.check()
    deflection = lid.bends(thickness)
    boards = tuple(
        Board(board=board, deflection=bends, verdict=lid.verdict(bends, most_deflection))
        for board, bends in ((board, lid.bends(lid.thinnest(board))) for board in USUAL_BOARDS)
    )
    return LoadFloor(
        deflection=deflection,
        verdict=lid.verdict(deflection, most_deflection),
        thickness_needed=lid.thickness_for(most_deflection, thickness, deflection),
        board=next((row.board for row in boards if row.deflection <= most_deflection + 1e-12), None),
        most_load=loaded_with * most_deflection / deflection,
        boards=boards,
        advice=_advice(lid, deflection, most_deflection, thickness),
    )


@dataclass(frozen=True)
class _Lid:
    """A lid and its load: all but the thickness."""

    carried: str
    span: float
    width: float | None
    force: float
    patch: float
    material: str
    grain: str
    modulus: float
    poisson: float

    def check(self) -> None:
        """Refuse what cannot be."""
        if self.carried == "round":
            if self.patch / sqrt(pi) > self.span / 2:
                raise InputError(
                    "patch", "The loaded square must lie on the lid: a smaller one, or a larger lid."
                )
        elif self.width is None:
            raise InputError("width", "Type the other side: a board that is not round has two.")
        elif self.patch > min(self.span, self.width):
            raise InputError(
                "patch", "The loaded square must lie on the board: no larger than its shorter side."
            )

    def verdict(self, deflection: float, most: float) -> str:
        """At two sides only the middle is judged: a free edge bends further."""
        if deflection > most + 1e-12:
            return "bends too far"
        return "passes in the middle" if self.carried == "strip" else "passes"

    def thinnest(self, sold: float) -> float:
        """A board sold as so thick, as thin as it may be."""
        return plates.thinnest_sold(sold) if self.material == "birch" else sold

    def bends(self, thickness: float, *, at_edge: bool = False) -> float:
        """Deflection of a board so thick; where its grain is not known, the weaker way's."""
        if self.material == "other":
            ways = [plates.same_both_ways(self.modulus, thickness, self.poisson)]
        else:
            along = plates.birch_plywood(thickness)
            ways = {"span": [along], "width": [along.turned]}.get(self.grain, [along, along.turned])
        return max(self._one_way(stiffness, at_edge) for stiffness in ways)

    def _one_way(self, stiffness: plates.Stiffness, at_edge: bool) -> float:
        if self.carried == "round" or self.width is None:
            return plates.round_board(self.force, self.span, self.patch, stiffness)
        sides = (self.force, self.span, self.width, self.patch, stiffness)
        if self.carried == "strip":
            return plates.strip_board(*sides, at_edge=at_edge)
        return plates.rectangular_board(*sides)

    def thickness_for(self, most: float, thickness: float, deflection: float) -> float:
        """The thickness that just bends so far, by false position on logarithms.

        A board stiffens by between the second and the tenth power of its thickness: that encloses it.
        """
        over = log(deflection / most)
        ends = [log(thickness) + over / power for power in (2, 10)]
        rests = [log(self.bends(exp(end)) / most) for end in ends]
        for _ in range(40):
            if abs(rests[1]) < 1e-11 or rests[0] == rests[1]:
                break
            at = (ends[0] * rests[1] - ends[1] * rests[0]) / (rests[1] - rests[0])
            rest = log(self.bends(exp(at)) / most)
            if rest * rests[1] < 0:
                ends[0], rests[0] = ends[1], rests[1]
            else:
                rests[0] /= 2
            ends[1], rests[1] = at, rest
        return exp(ends[1])


def _advice(lid: _Lid, deflection: float, most: float, thickness: float) -> tuple[Advice, ...]:
    said = []
    strip = lid.carried == "strip"
    if deflection > most + 1e-12:
        way = "support its other sides too, " if strip else ""
        text = (
            f"It bends {1e3 * deflection:.1f} mm: {way}a thicker board, a rib under it, or a foot in the "
            "middle."
        )
        said.append(Advice("deflection", text))
    if strip:
        edge = lid.bends(thickness, at_edge=True)
        if edge > most + 1e-12:
            text = (
                f"That is its middle. The same load against a free edge bends it {1e3 * edge:.1f} mm: a "
                "batten under each free edge."
            )
            said.append(Advice("deflection", text))
    if deflection > thickness / 2:
        text = "It bends by more than half its thickness: the figure is only a hint that it is far too thin."
        said.append(Advice("thickness", text))
    return tuple(said)
