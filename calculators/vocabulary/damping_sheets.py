"""Damping sheets: what an example one is made of, and what any one does on steel."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from calculators.physics import damping, panels

SheetKind = Literal["constrained", "free"]

FOIL = panels.ALUMINIUM
USUAL_MODULUS = {"constrained": 1e6, "free": 1e9}
"""Pa, of an example sheet at 20 °C: butyl in shear, bitumen stretched. Common practice, no source."""
USUAL_LOSS = {"constrained": 1.0, "free": 0.4}
SOFTER, SOFTER_OVER = 5.0, 40.0
"""The example sheet's modulus falls to a fifth for 40 K more. Common practice, no source."""


@dataclass(frozen=True)
class DampingSheet:
    """A sheet all over a panel: its loss factor at a frequency, Hz; both figures at a wavenumber, rad/m."""

    loss_at: Callable[[float], float]
    on_waves: Callable[[float], damping.Layered]


def example_modulus(kind: SheetKind, temperature: float) -> float:
    """Modulus, Pa, of the example sheet at a temperature, °C."""
    return float(USUAL_MODULUS[kind] * SOFTER ** ((20.0 - temperature) / SOFTER_OVER))


def sheet_on_steel(
    thickness: float, layer: float, foil: float, modulus: float, layer_loss: float, mass: float
) -> DampingSheet:
    """A sheet of ``layer`` m under ``foil`` m of aluminium, or a free layer where that is 0, on steel.

    thickness: of the steel, m. modulus: of the layer, Pa: in shear under a foil. mass: of all, kg/m².
    """
    steel = panels.STEEL
    if foil == 0:
        found = damping.free(modulus / steel.modulus, layer / thickness, layer_loss)
        return DampingSheet(lambda frequency: found.loss_factor, lambda wavenumber: found)
    plate = steel.modulus / (1 - steel.poisson**2)
    foil_plate = FOIL.modulus / (1 - FOIL.poisson**2)
    layers = damping.sandwich(thickness, plate, layer, modulus, layer_loss, foil, foil_plate)
    return DampingSheet(
        lambda frequency: damping.constrained_at(layers, mass, frequency).loss_factor,
        lambda wavenumber: damping.constrained(layers, wavenumber),
    )
