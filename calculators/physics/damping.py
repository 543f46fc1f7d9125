"""Damping sheet on a panel: how much of its ringing a layer takes, and what a part of the area buys."""

import math
from dataclasses import dataclass

from calculators.physics.checking import require_not_negative, require_positive

DECAY_SIXTY = 2.2
"""A level falls by 60 dB in this many seconds over frequency and loss factor: 3·ln 10/π."""


@dataclass(frozen=True)
class Layered:
    """A panel with its layer, all over. loss_factor: ratio. stiffness_ratio: ratio to the bare panel's."""

    loss_factor: float
    stiffness_ratio: float


@dataclass(frozen=True)
class Sandwich:
    """A constrained layer on a panel: stiffnesses per metre of width, plain (a beam) or E/(1 - ν²).

    panel, foil: N/m, modulus times thickness. core: factor, Pa/m, shear modulus over thickness.
    distance: m, between the middles of panel and foil. bending: sum of the bending stiffnesses of panel
    and foil, each for itself, N·m. core_loss: loss factor of the core.
    """

    panel: float
    foil: float
    core: float
    distance: float
    bending: float
    core_loss: float

    @property
    def coupling(self) -> float:
        """Y: how much stiffer than panel and foil apart a core without any give would make them."""
        return self.distance**2 / (self.bending * (1 / self.panel + 1 / self.foil))

    def shear(self, wavenumber: float) -> float:
        """X: how stiff in shear the core is against waves of that wavenumber (rad/m, above 0)."""
        require_positive(wavenumber=wavenumber)
        return self.core * (1 / self.panel + 1 / self.foil) / wavenumber**2


def sandwich(
    thickness: float,
    modulus: float,
    core_thickness: float,
    shear_modulus: float,
    core_loss: float,
    foil_thickness: float,
    foil_modulus: float,
) -> Sandwich:
    """A panel under a soft core under a foil.

    thickness, core_thickness, foil_thickness: m, above 0. modulus, shear_modulus, foil_modulus: Pa, above
    0, divided by 1 - ν² for a plate. core_loss: loss factor of the core, 0 or more.
    Raises ValueError for anything else.
    Source: as in `constrained`.
    """
    require_positive(
        thickness=thickness,
        modulus=modulus,
        core_thickness=core_thickness,
        shear_modulus=shear_modulus,
        foil_thickness=foil_thickness,
        foil_modulus=foil_modulus,
    )
    require_not_negative(core_loss=core_loss)
    return Sandwich(
        panel=modulus * thickness,
        foil=foil_modulus * foil_thickness,
        core=shear_modulus / core_thickness,
        distance=core_thickness + (thickness + foil_thickness) / 2,
        bending=(modulus * thickness**3 + foil_modulus * foil_thickness**3) / 12,
        core_loss=core_loss,
    )


def constrained(layer: Sandwich, wavenumber: float) -> Layered:
    """Loss factor of a panel under a constrained layer, for bending waves of one wavenumber.

    η = βYX/(1 + (2 + Y)X + (1 + Y)(1 + β²)X²). wavenumber: rad/m; π/a for half a wave over a side a.
    The stiffness is over panel and foil apart; a foil is so thin that this is the bare panel's.
    Source: Ross, Kerwin and Ungar (1959); Ungar, J. Acoust. Soc. Am. 34 (1962) 1082; Nashif, Jones and
    Henderson, Vibration Damping (1985). The core does not stretch: within 0.5 % for soft cores.
    """
    return from_shear(layer.shear(wavenumber), layer.coupling, layer.core_loss)


def from_shear(shear: float, coupling: float, core_loss: float) -> Layered:
    """The same from plain numbers, each 0 or more.

    shear: ratio X. coupling: ratio Y. core_loss: factor β. Raises ValueError below 0.
    Source: as in `constrained`.
    """
    require_not_negative(shear=shear, coupling=coupling, core_loss=core_loss)
    square = (1 + core_loss**2) * shear**2
    whole = 1 + (2 + coupling) * shear + (1 + coupling) * square
    return Layered(core_loss * coupling * shear / whole, whole / (1 + 2 * shear + square))


def constrained_at(layer: Sandwich, mass: float, frequency: float) -> Layered:
    """Loss factor at a frequency, where the layer's own stiffness sets the wavenumber.

    mass: of panel and layer, kg/m², above 0. frequency: Hz, above 0. The wavenumber p solves
    p⁴ = ω²·m/B(p), by bisection; B grows with shorter p, so there is one answer.
    Raises ValueError for values not above 0.
    Source: Ross, Kerwin and Ungar (1959), as in `constrained`.
    """
    require_positive(mass=mass, frequency=frequency)
    square = (2 * math.pi * frequency) ** 2 * mass / layer.bending
    high = square**0.25
    low = (square / (1 + layer.coupling)) ** 0.25
    for _ in range(60):
        middle = (low + high) / 2
        if middle**4 * constrained(layer, middle).stiffness_ratio < square:
            low = middle
        else:
            high = middle
    return constrained(layer, (low + high) / 2)


def free(modulus_ratio: float, thickness_ratio: float, layer_loss: float) -> Layered:
    """A panel with a free layer, stretched as it bends: bitumen, sprayed mass (Oberst).

    modulus_ratio: layer's over panel's, above 0. thickness_ratio: layer's over panel's, above 0.
    layer_loss: loss factor of the layer, 0 or more. Raises ValueError otherwise.
    Source: Oberst (1952), the equations of ASTM E756 and ISO 6721-3.
    """
    require_positive(modulus_ratio=modulus_ratio, thickness_ratio=thickness_ratio)
    require_not_negative(layer_loss=layer_loss)
    m, t = modulus_ratio, thickness_ratio
    bending = 1 + 4 * m * t + 6 * m * t**2 + 4 * m * t**3 + m**2 * t**4
    taking = m * t * (3 + 6 * t + 4 * t**2 + 2 * m * t**3 + m**2 * t**4)
    lossy = m * (1 + 1j * layer_loss)
    stiffness = 1 + lossy * t**3 + 3 * lossy * t * (1 + t) ** 2 / (1 + lossy * t)
    return Layered(layer_loss * taking / ((1 + m * t) * bending), stiffness.real)


def covered(bare_loss: float, layer_loss: float, coverage: float) -> float:
    """Loss factor over many modes of a panel that is covered in part: η0 + C·η.

    bare_loss: factor above 0, of the panel and what holds it. layer_loss: factor, 0 or more, that the
    layer adds all over. coverage: 0 to 1. Raises ValueError outside.
    Source: energy lost over energy stored, spread evenly over the panel.
    """
    require_positive(bare_loss=bare_loss)
    require_not_negative(layer_loss=layer_loss, coverage=coverage)
    if coverage > 1:
        raise ValueError(f"coverage must be at most 1, not {coverage}")
    return bare_loss + coverage * layer_loss


def quieter(bare_loss: float, treated_loss: float) -> float:
    """Fall, dB, of many ringing modes when the loss factor rises: 10·log of its ratio.

    Twice that at the peak of one resonance under a steady tone. bare_loss, treated_loss: factors above 0.
    Raises ValueError at or below 0.
    Source: energy of a mode under a steady drive, Cremer and Heckl.
    """
    require_positive(bare_loss=bare_loss, treated_loss=treated_loss)
    return 10 * math.log10(treated_loss / bare_loss)


def decay_time(loss_factor: float, frequency: float, fall: float = 60.0) -> float:
    """Time, s, in which a ringing panel falls by so many dB: 2.2/(f·η) for 60.

    loss_factor: above 0. frequency: Hz, above 0. fall: dB, above 0. Raises ValueError at or below 0.
    Source: Cremer and Heckl.
    """
    require_positive(loss_factor=loss_factor, frequency=frequency, fall=fall)
    return DECAY_SIXTY / (frequency * loss_factor) * fall / 60


def loss_for_decay(time: float, frequency: float, fall: float = 60.0) -> float:
    """Loss factor with which a panel falls by so many dB in a time.

    time: s, above 0. Other arguments, errors and source as in `decay_time`.
    """
    require_positive(time=time, frequency=frequency, fall=fall)
    return DECAY_SIXTY / (frequency * time) * fall / 60


def middle_share(coverage: float, length: float, width: float, poisson: float) -> float:
    """Part of the bending energy of the first mode that lies under a patch in the panel's middle.

    coverage: part of the area, 0 to 1; the patch has the panel's shape. length, width: m. poisson: ratio, 0
    to below 1. The edges are held but free to turn, and the patch's own stiffness is left out.
    Raises ValueError outside.
    Source: bending energy of sin·sin, integrated in closed form.
    """
    require_positive(length=length, width=width)
    require_not_negative(coverage=coverage, poisson=poisson)
    if coverage > 1 or poisson >= 1:
        raise ValueError("coverage must be at most 1, poisson below 1")
    bulge, slope = _middle_integrals(coverage)
    along, across = 1 / length**2, 1 / width**2
    twist = 2 * (1 - poisson) * along * across / (along + across) ** 2
    return bulge**2 - twist * (bulge**2 - slope**2)


def middle_motion(coverage: float) -> float:
    """Part of ∫w² of the first mode that lies under such a patch, 0 to 1.

    Arguments, errors and source as in `middle_share`.
    """
    require_not_negative(coverage=coverage)
    return _middle_integrals(coverage)[0] ** 2


def _middle_integrals(coverage: float) -> tuple[float, float]:
    """Parts of ∫sin² and of ∫cos² of half a wave that lie in its middle √coverage."""
    side = math.sqrt(coverage)
    edge = math.sin(math.pi * side) / math.pi
    return side + edge, side - edge
