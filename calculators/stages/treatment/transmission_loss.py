"""How much sound a panel keeps out, and what a barrier on it changes."""

import math
from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np

from calculators.declaring import (
    Advice,
    Axis,
    Band,
    Chart,
    Choice,
    Number,
    Output,
    OutputChart,
    OutputRows,
    OutputText,
    Series,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LENGTH, LEVEL, RATIO, SURFACE_MASS
from calculators.physics import air, bands, panels
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.responses import floats, round_axis

MATERIALS = {"steel": panels.STEEL, "aluminium": panels.ALUMINIUM, "glass": panels.GLASS}
LOSS_BANDS = slice(4, 28)  # 50 Hz to 10 kHz.
HIGHEST = bands.NOMINAL_THIRD_OCTAVES[LOSS_BANDS][-1]
HOLE_FELT = 0.005


@dataclass(frozen=True, kw_only=True)
class BandLoss:
    """One third octave."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=3, trim=True)]
    before: Annotated[float, Output("Panel", LEVEL, decimals=1)]
    as_mass: Annotated[float, Output("Barrier glued on", LEVEL, decimals=1)]
    with_layer: Annotated[float, Output("As built", LEVEL, decimals=1)]
    change: Annotated[float, Output("Change", LEVEL, decimals=1)]
    holds: Annotated[str, OutputText("The figure")]


@dataclass(frozen=True, kw_only=True)
class TransmissionLoss:
    """What the barrier buys, where it buys nothing, and where the figures end."""

    mass_gain: Annotated[float, Output("By mass alone", LEVEL, decimals=1, main=True)]
    resonance: Annotated[
        float | None, Output("Panel and barrier swing at", FREQUENCY, figures=3, none="glued on: nowhere")
    ]
    more_from: Annotated[
        float | None, Output("More than mass alone from", FREQUENCY, figures=2, none="nowhere")
    ]
    worst_change: Annotated[float, Output("Least change in a band", LEVEL, decimals=1)]
    worst_at: Annotated[float, Output("In the band of", FREQUENCY, figures=3, trim=True)]
    hole_cap: Annotated[float | None, Output("Holes cap the loss at", LEVEL, decimals=1, none="no hole")]
    before_mass: Annotated[float, Output("Panel weighs", SURFACE_MASS, decimals=2)]
    after_mass: Annotated[float, Output("With the barrier", SURFACE_MASS, decimals=2)]
    first_mode: Annotated[float, Output("Panel's first mode", FREQUENCY, figures=3)]
    coincidence: Annotated[float, Output("Coincidence", FREQUENCY, figures=4)]
    holds_from: Annotated[float, Output("Figures hold from", FREQUENCY, figures=2)]
    holds_to: Annotated[float, Output("to", FREQUENCY, figures=2)]
    bands: Annotated[tuple[BandLoss, ...], OutputRows("By third octave", fold=True)]
    chart: Annotated[Chart, OutputChart("Sound kept out")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Sound kept out by a panel",
    example={"thickness": 0.0007, "layer_mass": 4.5, "air_gap": 0.008},
    sources=("bies", "fahy", "leissa-1973", "iso-266", "iec-61260-1"),
    cautions=("S13", "S26"),
    equations=(
        "after_mass = before_mass + layer_mass",
        "mass_gain = 20*log(after_mass/before_mass)/log(10)",
    ),
)
def transmission_loss(
    *,
    material: Annotated[
        Literal["steel", "aluminium", "glass"],
        Choice("Panel", {"steel": "steel", "aluminium": "aluminium", "glass": "glass"}),
    ] = "steel",
    thickness: Annotated[
        float,
        Number(
            "Its thickness", LENGTH, 0.0003, 0.01, show="mm", usual=(0.0005, 0.006), help="Body steel 0.7 mm."
        ),
    ],
    bonded_mass: Annotated[
        float,
        Number("Damping sheet on it already", SURFACE_MASS, 0, 20, usual=(0, 4), help="Times its coverage."),
    ] = 0.0,
    layer_mass: Annotated[float, Number("Barrier", SURFACE_MASS, 0.1, 30, usual=(1, 8))] = 4.0,
    air_gap: Annotated[
        float,
        Number(
            "Foam, felt or air under it", LENGTH, 0, 0.1, show="mm", usual=(0, 0.03),
            help="0: glued straight on.",
        ),
    ] = 0.0,
    open_fraction: Annotated[
        float,
        Number(
            "Holes and gaps, part of the area", RATIO, 0, 0.5, show="%", usual=(0, 0.02),
            help="0.1 % is a carefully sealed floor; 0 the material alone.",
        ),
    ] = 0.001,
    length: Annotated[
        float, Number("Free panel, length", LENGTH, 0.05, 3, show="cm", usual=(0.2, 1.5), seldom=True)
    ] = 0.5,
    width: Annotated[
        float, Number("Free panel, width", LENGTH, 0.05, 3, show="cm", usual=(0.1, 1), seldom=True)
    ] = 0.4,
    spring_loss: Annotated[
        float, Number("Loss factor of the foam", RATIO, 0.01, 2, usual=(0.1, 0.5), seldom=True)
    ] = 0.2,
) -> TransmissionLoss:  # fmt: skip
    """Transmission loss in third octaves: the panel, a barrier glued to it, a barrier on foam.

    One form on this site: R = 10·log(1 + (πfm/ρc)²) less 5.5 dB, for sound from all sides. On foam the
    barrier is a second wall on a spring: no gain beyond its mass below their resonance, a loss near it,
    more than mass alone above. Foam makes the resonance 10 to 20 % lower than air alone, or higher if its
    frame is stiff. The figures hold from twice the panel's first mode to half the coincidence, and on foam
    no higher than where the gap is a sixth of a wave. A cabin gains less: sound comes by other ways too.
    """
    made_of = MATERIALS[material]
    stiffness = panels.bending_stiffness(made_of.modulus, thickness, made_of.poisson)
    before_mass = made_of.density * thickness + bonded_mass
    first = panels.supported_frequency(stiffness, before_mass, length, width)
    coincidence = panels.coincidence_frequency(stiffness, before_mass)
    low, high = 2 * first, coincidence / 2
    if air_gap > 0:
        high = min(high, air.SPEED_OF_SOUND / (2 * math.pi * air_gap))
    at = bands.exact_third_octaves()[LOSS_BANDS]
    lines = (
        panels.band_transmission_loss(at, before_mass),
        panels.band_transmission_loss(at, before_mass, layer_mass),
        panels.band_transmission_loss(at, before_mass, layer_mass, air_gap, spring_loss),
    )
    before, as_mass, with_layer = (panels.with_open_area(line, open_fraction) for line in lines)
    change = with_layer - before
    worst = int(np.argmin(change))
    nominal = bands.NOMINAL_THIRD_OCTAVES[LOSS_BANDS]
    resonance = panels.mass_air_mass_frequency(before_mass, layer_mass, air_gap) if air_gap > 0 else None
    return TransmissionLoss(
        mass_gain=20 * math.log10((before_mass + layer_mass) / before_mass),
        resonance=resonance,
        more_from=_more_from(nominal, with_layer - as_mass),
        worst_change=float(change[worst]),
        worst_at=nominal[worst],
        hole_cap=-10 * math.log10(open_fraction) if open_fraction > 0 else None,
        before_mass=before_mass,
        after_mass=before_mass + layer_mass,
        first_mode=first,
        coincidence=coincidence,
        holds_from=low,
        holds_to=high,
        bands=tuple(
            BandLoss(
                frequency=frequency,
                before=float(before[number]),
                as_mass=float(as_mass[number]),
                with_layer=float(with_layer[number]),
                change=float(change[number]),
                holds=_holds(frequency, low, high),
            )
            for number, frequency in enumerate(nominal)
        ),
        chart=_chart(at, before, as_mass, with_layer, (low, high)),
        advice=_advice(resonance, coincidence, open_fraction, (low, high)),
    )


def _more_from(nominal: tuple[float, ...], over_mass: FloatArray) -> float | None:
    """Lowest band from which on the foam always gives more than mass alone."""
    less = np.flatnonzero(over_mass <= 1e-9)
    start = int(less[-1]) + 1 if less.size else 0
    return nominal[start] if start < len(nominal) else None


def _holds(frequency: float, low: float, high: float) -> str:
    if frequency < low:
        return "too low: the panel's own modes decide"
    return "holds" if frequency <= high else "too high: expect less"


def _chart(
    at: FloatArray,
    before: FloatArray,
    as_mass: FloatArray,
    with_layer: FloatArray,
    holds: tuple[float, float],
) -> Chart:
    ends = float(at[0]), float(at[-1])
    outside = (("the panel's own modes", ends[0], holds[0]), ("expect less", holds[1], ends[1]))
    return Chart(
        "Sound kept out, third octaves, all sides",
        Axis("Frequency", "Hz", *ends, "logarithmic"),
        round_axis("Transmission loss", "dB", before, as_mass, with_layer, step=10.0),
        floats(at),
        (
            Series("Panel", floats(before)),
            Series("Barrier glued on", floats(as_mass)),
            Series("As built", floats(with_layer), "main"),
        ),
        tuple(
            Band(label, max(low, ends[0]), min(high, ends[1]))
            for label, low, high in outside
            if max(low, ends[0]) < min(high, ends[1])
        ),
    )


def _about(frequency: float) -> str:
    return f"{float(f'{frequency:.2g}'):.0f}"


def _advice(
    resonance: float | None, coincidence: float, open_fraction: float, holds: tuple[float, float]
) -> tuple[Advice, ...]:
    said = []
    if resonance is not None:
        message = (
            f"On foam: expect less than mass alone below about {_about(1.4 * resonance)} Hz, a loss round "
            f"{_about(resonance)} Hz, more above."
        )
        said.append(Advice("air_gap", message))
    if open_fraction >= HOLE_FELT:
        message = f"Holes let {100 * open_fraction:.3g} % of it all through: close them before you add mass."
        said.append(Advice("open_fraction", message))
    if holds[0] >= holds[1]:
        message = "This panel rings or coincides all over the range where mass would count: measure instead."
        said.append(Advice("thickness", message))
    elif coincidence < HIGHEST:
        message = "Round coincidence the panel lets sound through far better than its mass says."
        said.append(Advice("thickness", message))
    return tuple(said)
