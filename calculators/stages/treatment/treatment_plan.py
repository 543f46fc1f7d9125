"""The plan of a treatment: what lies where, what it weighs, and how many sheets to order."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Drawing,
    InputError,
    Made,
    Number,
    Output,
    OutputDrawing,
    OutputFile,
    OutputRows,
    OutputText,
    Rows,
    calculator,
)
from calculators.declaring.quantities import (
    AREA,
    COUNT,
    HOURS,
    LEVEL,
    MASS,
    MONEY,
    RATIO,
    TEMPERATURE,
    TIME,
)
from calculators.physics import curing, damping
from calculators.vocabulary.dxf import dxf_file
from calculators.vocabulary.sheet_cutting import CutSheets, cutting_list, drawing
from calculators.vocabulary.treated_doors import DoorMass, door_mass
from calculators.vocabulary.treatment import (
    DAMPS,
    DOOR_LIMIT,
    DOORS,
    GOODS,
    LAYERS,
    BoughtSheet,
    Door,
    Patch,
    card_alone,
    doors_by_place,
    laying_hours,
    materials_by_goods,
    sheets_cut,
    sheets_for_doors,
    sheets_needed,
    treated_area,
    treated_from,
    why_left_out,
)
from calculators.vocabulary.treatment_advice import (
    COLDEST,
    WARMEST,
    barrier_advice,
    gates,
    goods_advice,
    mass_advice,
    primer_advice,
    warmth_advice,
)

QUARTER = 0.25


@dataclass(frozen=True, kw_only=True)
class LaidLayer:
    """One layer on one panel, as it may be laid."""

    name: Annotated[str, OutputText("Panel")]
    layer: Annotated[str, OutputText("Layer")]
    treated: Annotated[float, Output("Area laid", AREA, decimals=2)]
    mass: Annotated[float, Output("Mass", MASS, decimals=2)]
    quieter: Annotated[float | None, Output("Rings less by", LEVEL, decimals=1, none="")]
    next_quarter: Annotated[float | None, Output("25 % more buys", LEVEL, decimals=1, none="")]
    verdict: Annotated[str, OutputText("Verdict")]


@dataclass(frozen=True, kw_only=True)
class Order:
    """Sheets of one kind of goods."""

    goods: Annotated[str, OutputText("Goods")]
    treated: Annotated[float, Output("Area laid", AREA, decimals=2)]
    sheets: Annotated[int, Output("Sheets to order", COUNT, decimals=0)]
    door_sheets: Annotated[int, Output("For the doors alone", COUNT, decimals=0)]
    offcut: Annotated[float, Output("Not used", RATIO, show="%", decimals=0)]
    mass: Annotated[float, Output("Mass laid", MASS, decimals=2)]
    cost: Annotated[float | None, Output("Cost", MONEY, decimals=2, none="")]


@dataclass(frozen=True, kw_only=True)
class Cut:
    """One line of the cutting list."""

    sheet: Annotated[str, OutputText("Sheet")]
    pieces: Annotated[str, OutputText("Cut into")]


@dataclass(frozen=True, kw_only=True)
class TreatmentPlan:
    """What goes where, what it weighs, and what to order."""

    total_mass: Annotated[float, Output("Goes into the vehicle", MASS, decimals=1, main=True)]
    heaviest_door: Annotated[float | None, Output("Heaviest door", MASS, decimals=2, none="no door")]
    hours: Annotated[float, Output("Hours for one person", HOURS, decimals=1)]
    cure_wait: Annotated[
        float | None,
        Output("Primer cures in", TIME, show="h", figures=3, trim=True, none="no primer planned"),
    ]
    cost: Annotated[float | None, Output("Sheets cost", MONEY, decimals=2, none="a price is missing")]
    orders: Annotated[tuple[Order, ...], OutputRows("To order", copy=True)]
    doors: Annotated[tuple[DoorMass, ...], OutputRows("By door")]
    layers: Annotated[tuple[LaidLayer, ...], OutputRows("By panel and layer", fold=True)]
    cuts: Annotated[tuple[Cut, ...], OutputRows("Cutting list", fold=True)]
    cutting_plan: Annotated[Drawing, OutputDrawing("Cutting plan")]
    for_machine: Annotated[Made, OutputFile("Cutting plan for a machine, in DXF")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Treatment plan",
    example={
        "doors": [{"place": "left-front-door", "sensor": "acceleration", "other_mass": 0.9}],
        "panels": [
            {
                "place": "left-front-door", "layer": "damping", "name": "Outer skin",
                "width": 1.05, "height": 0.55, "coverage": 0.5,
            },
            {"place": "left-front-door", "layer": "sealing", "name": "Inner skin", "area": 0.6},
        ],
        "materials": [
            {"goods": "butyl", "sheet_width": 0.5, "sheet_height": 0.8, "surface_mass": 3.4, "fire": "shown"}
        ],
    },
    sources=("bies", "cremer-heckl", "van-t-hoff", "iso-3795", "common-practice"),
    cautions=("S01", "S07"),
)  # fmt: skip
def treatment_plan(
    *,
    doors: Annotated[
        tuple[Door, ...],
        Rows("The gate: doors and their sensors", "door", at_least=0, at_most=4, help="First of all."),
    ] = (),
    panels: Annotated[tuple[Patch, ...], Rows("Panels and layers", "layer", at_most=24, fold=True)],
    materials: Annotated[
        tuple[BoughtSheet, ...], Rows("Sheets, as bought", "kind of sheet", at_most=7, fold=True)
    ],
    door_limit: Annotated[
        float,
        Number("Most for one door", MASS, 0.5, 30, usual=(2, 8), help="5 kg, then hinge and check strap."),
    ] = DOOR_LIMIT,
    temperature: Annotated[
        float,
        Number(
            "Panel's temperature", TEMPERATURE, -20, 80, usual=(COLDEST, WARMEST), units=("°F",),
            help="On paint or black tape: bare foil mirrors the lamp.",
        ),
    ] = 20.0,
    primer_cure: Annotated[
        float | None,
        Number(
            "Primer's full cure at 23 °C", TIME, 60, 30 * 86400, show="h", usual=(1800, 7 * 86400),
            optional=True, empty="no primer", help="From its data sheet.",
        ),
    ] = None,
    night_temperature: Annotated[
        float,
        Number(
            "Bay through the night", TEMPERATURE, -10, 45, usual=(10, 30), units=("°F",),
            help="The primer cures in it: the panel is warmed only when the sheet is laid.",
        ),
    ] = 16.0,
    waste: Annotated[
        float, Number("Spare for mistakes", RATIO, 0, 1, show="%", usual=(0.05, 0.25), seldom=True)
    ] = 0.1,
    preparation: Annotated[
        float,
        Number("Cleaning and water path, each place", HOURS, 0, 8, usual=(0.2, 2), seldom=True),
    ] = 0.3,
    bare_loss: Annotated[
        float, Number("Loss factor, bare panel", RATIO, 0.001, 0.1, usual=(0.002, 0.02), seldom=True)
    ] = 0.005,
    treated_loss: Annotated[
        float,
        Number("Loss factor, covered all over", RATIO, 0.002, 1, usual=(0.03, 0.4), seldom=True),
    ] = 0.10,
) -> TreatmentPlan:  # fmt: skip
    """Area, sheets, mass and hours of a treatment, by panel and by layer.

    The gate comes first: a door whose side-impact sensor is of the pressure type, or not known, gets
    nothing inside it, and the plan leaves out what was meant for it; fleece on its card's clips may stay.
    What a damping sheet buys is for many ringing modes together: 10·log of the loss factor, which grows
    with the area covered. Sheets are cut straight across, patches laid edge to edge, the patch in the
    panel's middle. Hours and the limit of 5 kg: common practice, no source.
    """
    if treated_loss <= bare_loss:
        raise InputError("treated_loss", "A covered panel loses more than a bare one.")
    known, sheets = doors_by_place(doors), materials_by_goods(materials)
    layers = tuple(
        _laid(number, patch, known, sheets, bare_loss, treated_loss) for number, patch in enumerate(panels)
    )
    kept = [number for number, patch in enumerate(panels) if not why_left_out(patch, known)]
    plans = {goods: sheets_cut(sheet, panels, kept) for goods, sheet in sheets.items()}
    names = [f"{number}. {patch.name}" for number, patch in enumerate(panels, 1)]
    orders = tuple(_order(plans[goods], sheets[goods], panels, kept, waste) for goods in sheets)
    every_sheet = drawing(tuple(plans.values()), names, most=sum(plan.count for plan in plans.values()))
    placed = {
        place: math.fsum(
            layer.mass for patch, layer in zip(panels, layers, strict=True) if patch.place == place
        )
        for place in {patch.place for patch in panels} | {*known}
    }
    masses = {
        place: placed[place] + (known[place].other_mass if place in known else 0.0)
        for place in DOORS
        if place in placed
    }
    wait = None if primer_cure is None else primer_cure * curing.slowness(night_temperature)
    unpriced = any(order.sheets and order.cost is None for order in orders)
    return TreatmentPlan(
        total_mass=math.fsum(layer.mass for layer in layers) + math.fsum(door.other_mass for door in doors),
        heaviest_door=max(masses.values(), default=None),
        hours=laying_hours(panels, kept, sheets, preparation),
        cure_wait=wait,
        cost=None if unpriced else math.fsum(order.cost or 0.0 for order in orders),
        doors=tuple(door_mass(place, known, mass, door_limit) for place, mass in masses.items()),
        layers=layers,
        orders=orders,
        cuts=tuple(
            Cut(sheet=sheet, pieces=pieces)
            for plan in plans.values()
            for sheet, pieces in cutting_list(plan, names)
        ),
        cutting_plan=drawing(tuple(plans.values()), names),
        for_machine=dxf_file("sheets.dxf", (every_sheet,)),
        advice=(
            *gates(known, panels),
            *goods_advice(panels, known, sheets),
            *mass_advice(panels, masses, placed.get("tailgate", 0.0), door_limit),
            *barrier_advice(panels, [layer.mass for layer in layers]),
            *warmth_advice(temperature),
            *primer_advice(wait, night_temperature),
        ),
    )


def _laid(
    number: int,
    patch: Patch,
    doors: Mapping[str, Door],
    sheets: Mapping[str, BoughtSheet],
    bare_loss: float,
    treated_loss: float,
) -> LaidLayer:
    goods = LAYERS[patch.layer].goods
    if goods not in sheets:
        message = f"List the sheets of {GOODS[goods].label} below: this layer is cut from them."
        raise InputError(f"panels[{number}].layer", message)
    left_out = why_left_out(patch, doors)
    treated = 0.0 if left_out else treated_area(patch, number)
    buys = more = None
    if patch.layer in DAMPS and not left_out:
        buys, best = (
            damping.quieter(bare_loss, damping.covered(bare_loss, treated_loss - bare_loss, part))
            for part in (patch.coverage, min(1.0, patch.coverage + QUARTER))
        )
        more = best - buys if patch.coverage < 1 else None
    return LaidLayer(
        name=f"{number + 1}. {patch.name}",
        layer=LAYERS[patch.layer].label,
        treated=treated,
        mass=treated * sheets[goods].surface_mass,
        quieter=buys,
        next_quarter=more,
        verdict=left_out or ("fleece, no foam" if card_alone(patch, doors) else "as planned"),
    )


def _order(
    plan: CutSheets, sheet: BoughtSheet, panels: Sequence[Patch], kept: Sequence[int], waste: float
) -> Order:
    treated = treated_from(sheet, panels, kept)
    size = sheet.sheet_width * sheet.sheet_height
    count = sheets_needed(sheet, plan, treated, waste)
    return Order(
        goods=GOODS[sheet.goods].label,
        treated=treated,
        sheets=count,
        door_sheets=sheets_for_doors(sheet, count, panels, kept, waste),
        offcut=max(0.0, 1 - treated / (count * size)) if count else 0.0,
        mass=treated * sheet.surface_mass,
        cost=None if sheet.price is None else count * sheet.price,
    )
