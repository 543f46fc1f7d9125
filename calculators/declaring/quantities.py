"""Quantities and the units they are shown and typed in.

A value is held in the quantity's first unit: SI, or the trade's own where it or a standard uses that (degrees
Celsius, decibels, decibels per octave, octaves, degrees, ampere-hours, hours worked, hours per m², days
parked). Every other unit is for people alone.
"""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True)
class Unit:
    """One way to write a quantity: ``value = (shown + offset) * factor``.

    ``factor`` and ``offset`` are decimal text, so that what a person types is converted
    exactly and rounded once (85 cm is 0.85 m, not 0.8500000000000001 m).
    """

    symbol: str
    factor: str = "1"
    offset: str = "0"
    spellings: tuple[str, ...] = ()

    @property
    def ways(self) -> tuple[str, ...]:
        """Every way it is written, its symbol first."""
        return (self.symbol, *self.spellings)

    def to_value(self, shown: Decimal) -> float:
        """Value in the quantity's own unit of a number typed in this unit."""
        return float((shown + Decimal(self.offset)) * Decimal(self.factor))

    def to_shown(self, value: float) -> float:
        """Number in this unit of a value in the quantity's own unit."""
        return value / float(self.factor) - float(self.offset)

    def to_typed(self, value: float) -> str:
        """Shortest decimal text in this unit that stands for ``value``."""
        shown = Decimal(repr(float(value))) / Decimal(self.factor) - Decimal(self.offset)
        if self.offset != "0":  # 0 °F is not 4e-15 °F less because -17.78 °C was rounded.
            shown = round(shown, 9)
        text = f"{shown:.12g}" if shown == shown.to_integral() else f"{shown:.9g}"
        return f"{Decimal(text).normalize():f}"


@dataclass(frozen=True)
class Quantity:
    """A physical quantity and its units; the first unit is the one values are held in."""

    name: str
    units: tuple[Unit, ...]

    def unit(self, symbol: str | None = None) -> Unit:
        """Unit with the given symbol; the quantity's own unit for None.

        Raises KeyError for a symbol that is no unit of this quantity, with those that are.
        """
        if symbol is None:
            return self.units[0]
        for unit in self.units:
            if unit.symbol == symbol:
                return unit
        raise KeyError(self.fault_of(symbol))

    def fault_of(self, symbol: str) -> str | None:
        """What is wrong with a symbol that is no unit of this quantity, and which ones are."""
        known = [unit.symbol for unit in self.units]
        if symbol in known:
            return None
        return f"{symbol!r} is no unit of {self.name}: use one of {', '.join(map(repr, known))}"

    def named(self, text: str) -> Unit | None:
        """Unit that a person means by ``text``, or None if it is no unit of this quantity.

        Capitals are forgiven where they part no two units; the m of milli and the M of mega never
        stand for one another.
        """
        exact = [unit for unit in self.units if text in unit.ways]
        loose = [unit for unit in self.units if any(self._alike(text, way) for way in unit.ways)]
        if exact:
            return exact[0]
        return loose[0] if len(loose) == 1 else None

    def _alike(self, text: str, way: str) -> bool:
        """Whether two ways to write a unit differ in capitals that mean nothing."""
        prefixed = way[:1] in ("m", "M") and any(way[1:] in unit.ways for unit in self.units)
        return text.casefold() == way.casefold() and (text[:1] == way[:1] or not prefixed)


LENGTH = Quantity(
    "length",
    (
        Unit("m", spellings=("metre", "metres", "meter", "meters")),
        Unit("cm", "0.01"),
        Unit("mm", "0.001", spellings=("MM",)),
        Unit("in", "0.0254", spellings=("inch", "inches", '"', "″")),
        Unit("ft", "0.3048", spellings=("foot", "feet", "'", "′")),
    ),
)
AREA = Quantity(
    "area",
    (
        Unit("m²", spellings=("m2", "sqm")),
        Unit("cm²", "0.0001", spellings=("cm2",)),
        Unit("mm²", "0.000001", spellings=("mm2", "sqmm")),
    ),
)
VOLUME = Quantity(
    "volume",
    (
        Unit("m³", spellings=("m3",)),
        Unit("L", "0.001", spellings=("l", "litre", "litres", "liter", "liters")),
        Unit("cu ft", "0.028316846592", spellings=("ft3", "ft³", "cuft")),
    ),
)
TIME = Quantity(
    "time",
    (
        Unit("s", spellings=("sec", "second", "seconds")),
        Unit("ms", "0.001"),
        Unit("µs", "0.000001", spellings=("us", "μs")),
        Unit("min", "60", spellings=("minute", "minutes")),
        Unit("h", "3600", spellings=("hour", "hours")),
    ),
)
DAYS = Quantity("parked time", (Unit("days", spellings=("d", "day")),))
HOURS = Quantity("working time", (Unit("h", spellings=("hour", "hours")),))
WORK_RATE = Quantity("working time per area", (Unit("h/m²", spellings=("h/m2",)),))
MONEY = Quantity("money", (Unit(""),))
FREQUENCY = Quantity("frequency", (Unit("Hz"), Unit("kHz", "1000", spellings=("k",))))
TEMPERATURE = Quantity(
    "temperature",
    (
        Unit("°C", spellings=("C", "degC")),
        Unit("°F", "0.55555555555555555555555555556", "-32", spellings=("F", "degF")),
    ),
)
PRESSURE = Quantity("pressure", (Unit("Pa"), Unit("hPa", "100", spellings=("mbar",)), Unit("kPa", "1000")))
ACCELERATION = Quantity(
    "acceleration", (Unit("m/s²", spellings=("m/s2",)), Unit("g", "9.80665", spellings=("G",)))
)
FORCE = Quantity("force", (Unit("N"), Unit("kN", "1000")))
SPEED = Quantity("speed", (Unit("m/s"), Unit("ft/s", "0.3048")))
MASS = Quantity("mass", (Unit("kg"), Unit("g", "0.001"), Unit("lb", "0.45359237")))
SURFACE_MASS = Quantity("mass per area", (Unit("kg/m²", spellings=("kg/m2",)),))
MODULUS = Quantity("modulus", (Unit("Pa"), Unit("MPa", "1000000"), Unit("GPa", "1000000000")))
STRENGTH = Quantity("strength", (Unit("Pa"), Unit("MPa", "1000000", spellings=("N/mm²", "N/mm2"))))
DENSITY = Quantity("density", (Unit("kg/m³", spellings=("kg/m3",)),))
VOLTAGE = Quantity(
    "voltage", (Unit("V"), Unit("mV", "0.001"), Unit("µV", "0.000001", spellings=("uV", "μV")))
)
CURRENT = Quantity("current", (Unit("A"), Unit("mA", "0.001")))
POWER = Quantity("power", (Unit("W"), Unit("mW", "0.001"), Unit("kW", "1000")))
ENERGY = Quantity("energy", (Unit("J"),))
JOULE_INTEGRAL = Quantity("joule integral", (Unit("A²s"),))
RESISTANCE = Quantity(
    "resistance",
    (
        Unit("Ω", spellings=("ohm", "ohms", "Ω", "R")),
        Unit("mΩ", "0.001", spellings=("mohm", "milliohm")),
        Unit("kΩ", "1000", spellings=("kohm", "k")),
    ),
)
CAPACITANCE = Quantity(
    "capacitance",
    (
        Unit("F", spellings=("farad", "farads")),
        Unit("mF", "0.001"),
        Unit("µF", "0.000001", spellings=("uF", "μF")),
    ),
)
INDUCTANCE = Quantity(
    "inductance",
    (
        Unit("H"),
        Unit("mH", "0.001"),
        Unit("µH", "0.000001", spellings=("uH", "μH")),
    ),
)
COMPLIANCE = Quantity("compliance", (Unit("m/N"), Unit("mm/N", "0.001")))
FORCE_FACTOR = Quantity("force factor", (Unit("T·m", spellings=("Tm", "N/A")),))
CHARGE = Quantity("battery capacity", (Unit("Ah"),))
SOUND_DOSE = Quantity("dose", (Unit(""), Unit("%", "0.01")))
LEVEL = Quantity("level", (Unit("dB"),))
SOUND_LEVEL = Quantity("sound level", (Unit("dB(A)", spellings=("dBA", "dB")),))
ANGLE = Quantity("angle", (Unit("°", spellings=("deg", "degrees")),))
RATIO = Quantity("ratio", (Unit(""), Unit("%", "0.01", spellings=("percent",)), Unit("ppm", "0.000001")))
COUNT = Quantity("count", (Unit(""),))
OCTAVES = Quantity("bandwidth", (Unit("oct", spellings=("octave", "octaves")),))
SLOPE = Quantity("slope", (Unit("dB/oct"),))
