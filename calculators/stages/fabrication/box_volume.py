"""The box to build: its volume, its boards, the sheets they come from and its drawing."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    Drawing,
    Flag,
    InputError,
    Made,
    Number,
    Output,
    OutputDrawing,
    OutputFile,
    OutputPaper,
    OutputRows,
    OutputText,
    Rows,
    calculator,
)
from calculators.declaring.quantities import AREA, COUNT, DENSITY, LENGTH, MASS, RATIO, VOLUME
from calculators.physics import solids
from calculators.vocabulary.box_advice import box_advice
from calculators.vocabulary.dxf import dxf_file
from calculators.vocabulary.enclosures import (
    BOARDS,
    BOX_SIDES,
    Brace,
    DrawnCorner,
    Part,
    all_parts,
    box_drawing,
    braces_volume,
    goes_inside,
    prism,
    section_on_paper,
    sheets_of,
    taken_inside,
    well,
)
from calculators.vocabulary.sheet_cutting import drawing


def _size(label: str, help: str = "", most: float = 2.0) -> Number:
    """A side of the box that only some shapes have."""
    return Number(
        label, LENGTH, 0.02, most, show="mm", usual=(0.05, 1.2), optional=True, empty="not of this shape",
        help=help,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class CutPart:
    """One line of the cut list."""

    name: Annotated[str, OutputText("Part")]
    pieces: Annotated[int, Output("Pieces", COUNT, decimals=0)]
    length: Annotated[float, Output("Length", LENGTH, show="mm", decimals=1)]
    width: Annotated[float, Output("Width", LENGTH, show="mm", decimals=1)]
    edges: Annotated[str, OutputText("Edges")]


@dataclass(frozen=True, kw_only=True)
class BoxVolume:
    """What the box holds, weighs and is made of."""

    net: Annotated[float, Output("Net volume", VOLUME, show="L", decimals=2, main=True)]
    gross: Annotated[float, Output("Gross, empty box", VOLUME, show="L", decimals=2)]
    taken: Annotated[float, Output("Taken by what is inside", VOLUME, show="L", decimals=2)]
    acts_as: Annotated[float, Output("With its lining it acts as", VOLUME, show="L", decimals=2)]
    mass: Annotated[float, Output("Mass without driver", MASS, decimals=2)]
    board_area: Annotated[float, Output("Board in all parts", AREA, decimals=3)]
    sheets: Annotated[int, Output("Sheets to buy", COUNT, decimals=0)]
    offcut: Annotated[float, Output("Not used of them", RATIO, show="%", decimals=0)]
    parts: Annotated[tuple[CutPart, ...], OutputRows("Cut list", copy=True)]
    view: Annotated[Drawing, OutputDrawing("Drawing to scale")]
    cutting_plan: Annotated[Drawing, OutputDrawing("Cutting plan")]
    for_machine: Annotated[Made, OutputFile("Both drawings for a machine, in DXF")]
    paper: Annotated[tuple[Drawing, ...], OutputPaper("Section at 1:1")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Box volume and cut list",
    example={
        "shape": "box",
        "width": 0.67,
        "depth": 0.27,
        "height": 0.122,
        "driver_displacement": 0.0012,
        "braces": [{"length": 0.24, "width": 0.092, "cut_out": 0.008, "pieces": 2}],
    },
    sources=("euclid-solids", "en-315", "common-practice"),
    cautions=("S08", "S13"),
)  # fmt: skip
def box_volume(
    *,
    shape: Annotated[
        str,
        Choice(
            "Shape",
            {
                "box": "box: six flat sides at right angles",
                "wedge": "wedge: front leaning back",
                "prism": "drawn section, by its corners",
                "well": "round, for a spare-wheel well",
            },
        ),
    ],
    sizes: Annotated[str, Choice("Sizes are", {"outside": "outside", "inside": "inside"})] = "outside",
    width: Annotated[float | None, _size("Width", "Across the vehicle, over both ends.")] = None,
    depth: Annotated[float | None, _size("Depth, at the bottom", "Box and wedge.")] = None,
    top_depth: Annotated[float | None, _size("Depth, at the top", "Wedge alone.")] = None,
    height: Annotated[float | None, _size("Height")] = None,
    diameter: Annotated[float | None, _size("Diameter, top", "Round box alone.")] = None,
    bottom_diameter: Annotated[
        float | None, _size("Diameter, bottom", "A pressed well tapers: measure both.")
    ] = None,
    corners: Annotated[
        tuple[DrawnCorner, ...],
        Rows("Corners of the section", "corner", at_least=0, at_most=12, help="In order, one way round."),
    ] = (),
    board: Annotated[str, Choice("Board", {key: board.label for key, board in BOARDS.items()})] = "birch-ply",
    panel: Annotated[
        float, Number("Board as sold", LENGTH, 0.003, 0.04, show="mm", usual=(0.009, 0.025))
    ] = 0.015,
    measured_thickness: Annotated[
        float | None,
        Number(
            "Board as measured", LENGTH, 0.002, 0.045, show="mm", usual=(0.008, 0.026), optional=True,
            empty="as sold", help="By calliper at three places: plywood of 15 mm may be 14.2 to 15.7 mm.",
        ),
    ] = None,
    joint: Annotated[
        str,
        Choice("Corners", {"butt": "butt: the longer board runs through", "mitre": "all mitred"}),
    ] = "butt",
    ends: Annotated[
        str, Choice("The two ends", {"between": "between the others", "over": "over the others"})
    ] = "between",
    driver_displacement: Annotated[
        float,
        Number(
            "Driver takes", VOLUME, 0, 0.05, show="L", usual=(0, 0.006), units=("cu ft",),
            help="Data sheet; twice that for two.",
        ),
    ] = 0.0,
    port_diameter: Annotated[
        float, Number("Port, outside diameter", LENGTH, 0, 0.5, show="mm", usual=(0, 0.2), seldom=True)
    ] = 0.0,
    port_length: Annotated[
        float, Number("Port, length inside", LENGTH, 0, 2, show="mm", usual=(0, 0.8), seldom=True)
    ] = 0.0,
    braces: Annotated[tuple[Brace, ...], Rows("Braces", "brace", at_least=0, at_most=6)] = (),
    terminal_displacement: Annotated[
        float,
        Number("Terminal and the like take", VOLUME, 0, 0.02, show="L", usual=(0, 0.001), seldom=True),
    ] = 0.0,
    fill: Annotated[
        float,
        Number(
            "Lining enlarges the box, times", RATIO, 1, 1.4, usual=(1, 1.25),
            help="1 without lining, to 1.25 well filled; 1.40 is the end (air at one temperature).",
        ),
    ] = 1.0,
    density: Annotated[
        float | None,
        Number(
            "Density of the board", DENSITY, 50, 12000, usual=(400, 1000), optional=True,
            empty="usual for it", help="A weighed offcut beats the usual value.", seldom=True,
        ),
    ] = None,
    sheet_length: Annotated[
        float, Number("Sheet, along the grain", LENGTH, 0.2, 4, show="mm", usual=(0.6, 3), units=("ft",))
    ] = 2.5,
    sheet_width: Annotated[
        float, Number("Sheet, across", LENGTH, 0.2, 4, show="mm", usual=(0.4, 2), units=("ft",))
    ] = 1.25,
    on_paper: Annotated[
        bool,
        Flag("Section at 1:1, on A4", seldom=True, help="Print this page; measure every sheet's square."),
    ] = False,
    edge_trim: Annotated[
        float, Number("Trimmed off each edge", LENGTH, 0, 0.05, show="mm", usual=(0, 0.02), seldom=True)
    ] = 0.01,
    kerf: Annotated[
        float,
        Number(
            "Saw cut (kerf)", LENGTH, 0, 0.02, show="mm", usual=(0.001, 0.008),
            help="Saw 3.2 mm, router 6 or 8 mm.", seldom=True,
        ),
    ] = 0.0032,
    keep_grain: Annotated[bool, Flag("Long sides along the grain", seldom=True)] = True,
) -> BoxVolume:  # fmt: skip
    """Gross and net volume of a box, its cut list, its sheets, its mass and its drawing.

    Exact geometry of the boards as they are measured. Off the gross volume go driver, port (outside
    diameter by the length inside), braces without their windows, and terminal. Lining is not taken off: it
    makes the box act larger. Parts are laid on sheets by their rectangles, each layout to be sawn from edge
    to edge; the mass is that of the boards before the driver's hole is cut.
    """
    thickness = panel if measured_thickness is None else measured_thickness
    if shape == "well":
        solid = well(
            _needed("diameter", diameter),
            _needed("bottom_diameter", bottom_diameter),
            _needed("height", height),
            thickness,
            is_inside=sizes == "inside",
        )
    else:
        outline, names, field = _section(shape, depth, top_depth, height, corners)
        solid = prism(
            outline,
            _needed("width", width),
            thickness,
            is_inside=sizes == "inside",
            mitred=joint == "mitre",
            ends_over=ends == "over",
            names=names,
            field=field,
        )
    goes_inside(solid.room, braces, port_diameter, port_length)
    braced = braces_volume(braces, thickness)
    port = solids.cylinder_volume(port_diameter, port_length)
    taken = taken_inside(solid, (driver_displacement, port, braced, terminal_displacement))
    parts = all_parts(solid, braces)
    plan = sheets_of(parts, sheet_length, sheet_width, edge_trim, kerf, keep_grain)
    board_area = math.fsum(part.count * part.length * part.width for part in parts)
    mass = (solid.outside - solid.gross + braced) * (BOARDS[board].density if density is None else density)
    view, numbered = box_drawing(solid, parts), [f"{n}. {part.name}" for n, part in enumerate(parts, 1)]
    return BoxVolume(
        net=solid.gross - taken,
        gross=solid.gross,
        taken=taken,
        acts_as=(solid.gross - taken) * fill,
        mass=mass,
        board_area=board_area,
        sheets=plan.count,
        offcut=max(0.0, 1 - board_area / (plan.count * sheet_length * sheet_width)),
        parts=tuple(_cut_part(number, part) for number, part in enumerate(parts, 1)),
        view=view,
        cutting_plan=drawing((plan,), numbered),
        for_machine=dxf_file("box.dxf", (drawing((plan,), numbered, most=plan.count),), (view,)),
        paper=section_on_paper(solid) if on_paper else (),
        advice=box_advice(shape, board, panel, measured_thickness, mass, parts, solid.over),
    )


def _needed(name: str, value: float | None) -> float:
    if value is None:
        raise InputError(name, "This shape needs it.")
    return value


def _section(
    shape: str,
    depth: float | None,
    top_depth: float | None,
    height: float | None,
    corners: Sequence[DrawnCorner],
) -> tuple[tuple[solids.Corner, ...], tuple[str, ...], str]:
    """Corners of the section, names of its sides, and the field that its errors belong to."""
    if shape == "prism":
        if len(corners) < 3:
            raise InputError("corners", "A section has three corners or more.")
        outline = tuple((corner.x, corner.y) for corner in corners)
        return outline, tuple(f"Side {number}" for number in range(1, len(outline) + 1)), "corners"
    bottom, tall = _needed("depth", depth), _needed("height", height)
    top = _needed("top_depth", top_depth) if shape == "wedge" else bottom
    return ((0.0, 0.0), (bottom, 0.0), (top, tall), (0.0, tall)), BOX_SIDES, "depth"


def _cut_part(number: int, part: Part) -> CutPart:
    return CutPart(
        name=f"{number}. {part.name}",
        pieces=part.count,
        length=max(part.length, part.width),
        width=min(part.length, part.width),
        edges=part.edges,
    )
