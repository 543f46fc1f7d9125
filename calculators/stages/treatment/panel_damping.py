"""How fast a panel stops ringing under a damping sheet, and what each part of the area buys."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Axis,
    Chart,
    Choice,
    Number,
    Output,
    OutputChart,
    OutputFlag,
    OutputRows,
    Series,
    calculator,
)
from calculators.declaring.quantities import (
    DENSITY,
    FREQUENCY,
    LENGTH,
    LEVEL,
    MASS,
    MODULUS,
    RATIO,
    SURFACE_MASS,
    TEMPERATURE,
    TIME,
)
from calculators.physics import bands, damping, panels
from calculators.vocabulary.damping_sheets import (
    FOIL,
    USUAL_LOSS,
    DampingSheet,
    SheetKind,
    example_modulus,
    sheet_on_steel,
)

RING, RING_FALL = 0.1, 20.0
"""A tapped panel is dead when it falls by 20 dB in this many seconds. Common practice, no source."""
QUARTERS = (0.25, 0.5, 0.75, 1.0)
BANDS = slice(4, 18)  # 50 Hz to 1 kHz.


@dataclass(frozen=True, kw_only=True)
class Step:
    """One more quarter of the panel."""

    coverage: Annotated[float, Output("Covered", RATIO, show="%", decimals=0)]
    added_mass: Annotated[float, Output("Adds", MASS, decimals=2)]
    quieter: Annotated[float, Output("Rings less by", LEVEL, decimals=1)]
    this_quarter: Annotated[float, Output("This quarter bought", LEVEL, decimals=1)]


@dataclass(frozen=True, kw_only=True)
class BandDamping:
    """One third octave."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=3, trim=True)]
    full_loss: Annotated[float, Output("Loss factor, all over", RATIO, decimals=3)]
    treated_loss: Annotated[float, Output("As covered", RATIO, decimals=3)]
    needed_loss: Annotated[float, Output("Wanted", RATIO, decimals=3)]
    decay_treated: Annotated[float, Output("Down 20 dB after", TIME, show="ms", decimals=0)]


@dataclass(frozen=True, kw_only=True)
class PanelDamping:
    """What the sheet takes from the panel's ringing, and what it weighs."""

    quieter: Annotated[float, Output("Rings less by", LEVEL, decimals=1, main=True)]
    peak_quieter: Annotated[float, Output("At one resonance, steady tone", LEVEL, decimals=1)]
    full_loss: Annotated[float, Output("Sheet's loss factor, all over", RATIO, decimals=3)]
    treated_loss: Annotated[float, Output("Loss factor as covered", RATIO, decimals=3)]
    needed_loss: Annotated[float, Output("Wanted: down 20 dB in 0.1 s", RATIO, decimals=3)]
    decay_bare: Annotated[float, Output("Bare: down 20 dB after", TIME, show="ms", decimals=0)]
    decay_treated: Annotated[float, Output("Treated: down 20 dB after", TIME, show="ms", decimals=0)]
    rings_short: Annotated[bool, OutputFlag("Short enough")]
    layer_mass: Annotated[float, Output("Sheet weighs", SURFACE_MASS, decimals=2)]
    added_mass: Annotated[float, Output("Adds to this panel", MASS, decimals=2)]
    first_mode: Annotated[float, Output("First mode, edges held", FREQUENCY, figures=3)]
    first_mode_clamped: Annotated[float, Output("First mode, edges clamped", FREQUENCY, figures=3)]
    first_mode_treated: Annotated[float, Output("First mode treated, edges held", FREQUENCY, figures=3)]
    first_mode_loss: Annotated[float, Output("Loss factor there, sheet in the middle", RATIO, decimals=3)]
    modulus_used: Annotated[float, Output("Modulus counted", MODULUS, show="MPa", figures=3)]
    steps: Annotated[tuple[Step, ...], OutputRows("What coverage buys")]
    bands: Annotated[tuple[BandDamping, ...], OutputRows("By third octave", fold=True)]
    chart: Annotated[Chart, OutputChart("What coverage buys")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Damping sheet on a panel",
    example={"thickness": 0.0008, "layer_thickness": 0.0019, "coverage": 0.5, "frequency": 200.0},
    sources=("ungar-1962", "iso-6721-3", "cremer-heckl", "leissa-1973", "common-practice"),
    cautions=("S13", "S26"),
    equations=(
        "quieter = 10*log(treated_loss/bare_loss)/log(10)",
        "peak_quieter = 2*quieter",
        "decay_treated = 2.2/(3*frequency*treated_loss)",
        "added_mass = layer_mass*coverage*length*width",
    ),
)
def panel_damping(
    *,
    kind: Annotated[
        SheetKind,
        Choice(
            "Kind of sheet",
            {
                "constrained": "foil on a soft core: butyl with aluminium",
                "free": "one layer without a foil: bitumen, sprayed mass",
            },
        ),
    ] = "constrained",
    thickness: Annotated[
        float, Number("Steel of the panel", LENGTH, 0.0003, 0.005, show="mm", usual=(0.0005, 0.0015))
    ],
    layer_thickness: Annotated[
        float,
        Number("Sheet without its foil", LENGTH, 0.0002, 0.02, show="mm", usual=(0.001, 0.005)),
    ],
    foil_thickness: Annotated[
        float,
        Number(
            "Its foil", LENGTH, 0.00001, 0.002, show="mm", usual=(0.00005, 0.0003),
            help="Measured with the butyl off. A free layer has none.",
        ),
    ] = 0.0001,
    coverage: Annotated[float, Number("Covered", RATIO, 0.01, 1, show="%", usual=(0.2, 1))] = 0.5,
    frequency: Annotated[
        float, Number("At", FREQUENCY, 20, 5e3, usual=(50, 500), help="The third octave that rings loudest.")
    ] = 200.0,
    temperature: Annotated[
        float, Number("Panel", TEMPERATURE, -20, 100, usual=(0, 60), units=("°F",))
    ] = 20.0,
    modulus: Annotated[
        float | None,
        Number(
            "Sheet's modulus at that temperature", MODULUS, 1e3, 20e9, show="MPa", units=("GPa",),
            optional=True, empty="an example sheet's",
            help="Data sheet: shear modulus of the core; of a free layer, Young's.",
        ),
    ] = None,
    layer_loss: Annotated[
        float | None,
        Number(
            "Sheet's loss factor", RATIO, 0.01, 2, usual=(0.1, 1.5), optional=True,
            empty="1 butyl, 0.4 bitumen",
        ),
    ] = None,
    layer_density: Annotated[
        float, Number("Sheet's density without its foil", DENSITY, 100, 5000, usual=(1000, 2000), seldom=True)
    ] = 1500.0,
    length: Annotated[
        float, Number("Free panel, length", LENGTH, 0.05, 2, show="cm", usual=(0.2, 1.2), seldom=True)
    ] = 0.5,
    width: Annotated[
        float, Number("Free panel, width", LENGTH, 0.05, 2, show="cm", usual=(0.1, 0.8), seldom=True)
    ] = 0.4,
    bare_loss: Annotated[
        float, Number("Loss factor, bare panel", RATIO, 0.001, 0.1, usual=(0.002, 0.02), seldom=True)
    ] = 0.005,
) -> PanelDamping:  # fmt: skip
    """Loss factor of a steel panel under a damping sheet, and what coverage buys.

    A foil-backed sheet works by shear between panel and foil (Ross, Kerwin, Ungar), a sheet without foil
    by being stretched (Oberst). A part of the area adds that part of the loss, spread over many modes; a
    sheet in the panel's middle does better at the first mode, as the bending is there. The modulus of an
    example sheet falls to a fifth for 40 K more: data sheets differ, and beat it. Real edges lie between
    held and clamped. The sheet's own stiffness is left out of the share of the middle.
    """
    steel = panels.STEEL
    mass = steel.density * thickness
    foil = foil_thickness if kind == "constrained" else 0.0
    layer_mass = layer_density * layer_thickness + FOIL.density * foil
    loss = USUAL_LOSS[kind] if layer_loss is None else layer_loss

    def sheet(of_modulus: float) -> DampingSheet:
        return sheet_on_steel(thickness, layer_thickness, foil, of_modulus, loss, mass + layer_mass)

    used = example_modulus(kind, temperature) if modulus is None else modulus
    added = sheet(used)
    full = added.loss_at(frequency)
    cold = sheet(example_modulus(kind, 20.0)).loss_at(frequency)
    treated = damping.covered(bare_loss, full, coverage)
    stiffness = panels.bending_stiffness(steel.modulus, thickness, steel.poisson)
    first = panels.supported_frequency(stiffness, mass, length, width)
    share = damping.middle_share(coverage, length, width, steel.poisson)
    in_mode = added.on_waves(math.pi * math.hypot(1 / length, 1 / width))
    stiffer = 1 + share * (in_mode.stiffness_ratio - 1)
    heavier = 1 + damping.middle_motion(coverage) * layer_mass / mass
    needed = damping.loss_for_decay(RING, frequency, RING_FALL)

    def bought(part: float) -> float:
        return damping.quieter(bare_loss, damping.covered(bare_loss, full, part))

    return PanelDamping(
        quieter=bought(coverage),
        peak_quieter=2 * bought(coverage),
        full_loss=full,
        treated_loss=treated,
        needed_loss=needed,
        decay_bare=damping.decay_time(bare_loss, frequency, RING_FALL),
        decay_treated=damping.decay_time(treated, frequency, RING_FALL),
        rings_short=treated >= needed,
        layer_mass=layer_mass,
        added_mass=layer_mass * coverage * length * width,
        first_mode=first,
        first_mode_clamped=panels.clamped_frequency(stiffness, mass, length, width),
        first_mode_treated=first * math.sqrt(stiffer / heavier),
        first_mode_loss=bare_loss + share * in_mode.loss_factor,
        modulus_used=used,
        steps=tuple(
            Step(
                coverage=part,
                added_mass=layer_mass * part * length * width,
                quieter=bought(part),
                this_quarter=bought(part) - bought(part - QUARTERS[0]),
            )
            for part in QUARTERS
        ),
        bands=_bands(added, bare_loss, coverage),
        chart=_chart(bought, coverage),
        advice=_advice(kind, coverage, treated >= needed, modulus is None, full < cold / 2),
    )


def _bands(added: DampingSheet, bare_loss: float, coverage: float) -> tuple[BandDamping, ...]:
    rows = []
    for frequency in bands.NOMINAL_THIRD_OCTAVES[BANDS]:
        full = added.loss_at(frequency)
        treated = damping.covered(bare_loss, full, coverage)
        rows.append(
            BandDamping(
                frequency=frequency,
                full_loss=full,
                treated_loss=treated,
                needed_loss=damping.loss_for_decay(RING, frequency, RING_FALL),
                decay_treated=damping.decay_time(treated, frequency, RING_FALL),
            )
        )
    return tuple(rows)


def _chart(bought: Callable[[float], float], coverage: float) -> Chart:
    at = sorted({part / 50 for part in range(51)} | {*QUARTERS, coverage})
    values = tuple(bought(part) for part in at)
    top = 5.0 * max(1, math.ceil(values[-1] / 5))
    return Chart(
        "What coverage buys, many modes together",
        Axis("Covered", "%", 0, 100, decimals=0),
        Axis("Rings less by", "dB", 0, top),
        tuple(100 * part for part in at),
        (Series("Rings less by", values, "main"),),
        table_at=tuple(100 * part for part in sorted({0.0, *QUARTERS, coverage})),
        read_at=100 * coverage,
    )


def _advice(kind: SheetKind, coverage: float, short: bool, example: bool, soft: bool) -> tuple[Advice, ...]:
    said = []
    if not short:
        thicker = "a thicker foil" if kind == "constrained" else "a thicker sheet"
        ways = f"more area, or {thicker}" if coverage < 1 else thicker
        message = f"It still rings for over 0.1 s here: {ways}, before a second layer."
        said.append(Advice("rings_short", message))
    if coverage > 0.5:
        message = (
            "The second half weighs as much as the first and buys at most 3 dB. Middle of the panel first."
        )
        said.append(Advice("coverage", message))
    if soft:
        message = "At this temperature the sheet takes less than half of what it takes at 20 °C."
        said.append(Advice("temperature", message))
    if example:
        message = (
            "The modulus is an example sheet's, not yours: ask for its data sheet's curve over temperature."
        )
        said.append(Advice("modulus", message))
    return tuple(said)
