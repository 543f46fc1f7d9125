"""Units: what is typed, held and shown again is the same quantity."""

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import quantities
from calculators.declaring.quantities import Quantity, Unit

GUIDE = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
QUANTITIES = [entry for entry in vars(quantities).values() if isinstance(entry, Quantity)]
UNITS = [(quantity, unit) for quantity in QUANTITIES for unit in quantity.units]
every_unit = pytest.mark.parametrize(
    ("quantity", "unit"), UNITS, ids=[f"{quantity.name}-{unit.symbol}" for quantity, unit in UNITS]
)
SIZES = st.floats(1e-12, 1e12) | st.floats(-1e12, -1e-12) | st.just(0.0)

SI = {
    *("m", "m²", "m³", "s", "Hz", "m/s", "m/s²", "kg", "kg/m²", "kg/m³", "N", "Pa", "J", "W", "m/N"),
    *("V", "A", "A²s", "Ω", "F", "H", "T·m"),
}
OTHERS = {
    "°C": "degrees Celsius",
    "dB": "decibels",
    "dB(A)": "decibels",
    "dB/oct": "decibels per octave",
    "oct": "octaves",
    "°": "degrees",
    "Ah": "ampere-hours",
    "h": "hours worked",
    "h/m²": "hours per m²",
    "days": "days parked",
}


@pytest.mark.parametrize("text", [quantities.__doc__, GUIDE], ids=["docstring", "guide"])
def test_what_is_held_in_another_unit_than_si_is_told(text: str) -> None:
    held = {quantity.units[0].symbol for quantity in QUANTITIES} - {""}
    assert held - SI == set(OTHERS)
    told = " ".join(text.split())
    assert [words for words in OTHERS.values() if words not in told] == []


@every_unit
@given(value=SIZES)
def test_shown_and_read_again(quantity: Quantity, unit: Unit, value: float) -> None:
    """Nine figures are shown; a temperature near zero in one unit is far from it in the other."""
    text = unit.to_typed(value)
    assert "e" not in text.lower()
    slack = 1e-8 * max(abs(value), abs(float(unit.offset)))
    assert unit.to_value(Decimal(text)) == pytest.approx(value, rel=0, abs=max(slack, 1e-300))
    assert float(text) == pytest.approx(unit.to_shown(value), rel=1e-8, abs=1e-8 * abs(float(unit.offset)))


@every_unit
@given(digits=st.integers(-99_999, 99_999), places=st.integers(0, 4))
def test_what_is_typed_is_shown_again(quantity: Quantity, unit: Unit, digits: int, places: int) -> None:
    typed = Decimal(digits).scaleb(-places)
    assert Decimal(unit.to_typed(unit.to_value(typed))) == typed


@every_unit
def test_a_unit_is_found_by_every_name_it_has(quantity: Quantity, unit: Unit) -> None:
    assert quantity.unit(unit.symbol) is unit
    for name in (unit.symbol, *unit.spellings):
        assert quantity.named(name) is unit


@pytest.mark.parametrize(("quantity", "typed", "meant"), [
    (quantities.RESISTANCE, "mΩ", "mΩ"), (quantities.RESISTANCE, "MΩ", None),
    (quantities.RESISTANCE, "Mohm", None), (quantities.RESISTANCE, "OHM", "Ω"),
    (quantities.RESISTANCE, "K", "kΩ"), (quantities.RESISTANCE, "MilliOhm", "mΩ"),
    (quantities.VOLTAGE, "MV", None), (quantities.VOLTAGE, "mv", "mV"), (quantities.POWER, "MW", None),
    (quantities.POWER, "KW", "kW"), (quantities.CURRENT, "MA", None), (quantities.CAPACITANCE, "MF", None),
    (quantities.CAPACITANCE, "f", "F"), (quantities.INDUCTANCE, "MH", None), (quantities.TIME, "MS", None),
    (quantities.TIME, "MIN", "min"), (quantities.MODULUS, "mPa", None), (quantities.MODULUS, "gpa", "GPa"),
    (quantities.LENGTH, "MM", "mm"), (quantities.LENGTH, "CM", "cm"),
    (quantities.LENGTH, "M", "m"), (quantities.FREQUENCY, "khz", "kHz"), (quantities.LEVEL, "db", "dB"),
])  # fmt: skip
def test_capitals_are_forgiven_where_they_part_no_units(
    quantity: Quantity, typed: str, meant: str | None
) -> None:
    """SI Brochure, 9th edition, table 7: m is milli, M is mega; a billion lies between them."""
    found = quantity.named(typed)
    assert (found.symbol if found else None) == meant


@pytest.mark.parametrize("quantity", QUANTITIES, ids=lambda quantity: quantity.name)
def test_values_are_held_in_the_first_unit(quantity: Quantity) -> None:
    first = quantity.unit()
    assert (first.factor, first.offset) == ("1", "0")
    assert quantity.named("parsec") is None
    with pytest.raises(KeyError, match="parsec"):
        quantity.unit("parsec")


def test_names_of_quantities_are_their_own() -> None:
    names = [quantity.name for quantity in QUANTITIES]
    assert len(names) == len(set(names))


# International yard and pound agreement of 1959 (inch, foot, pound); BIPM SI Brochure, 9th edition,
# tables 6 to 8 (litre, minute, hour, degree Celsius); the degree Fahrenheit by its definition,
# 32 °F and 212 °F at the freezing and boiling points of water.
@pytest.mark.parametrize(("quantity", "symbol", "typed", "value"), [
    (quantities.LENGTH, "in", "1", 0.0254), (quantities.LENGTH, "ft", "1", 0.3048),
    (quantities.LENGTH, "cm", "85", 0.85), (quantities.LENGTH, "mm", "0.8", 0.0008),
    (quantities.AREA, "mm²", "50", 50e-6), (quantities.AREA, "cm²", "1", 1e-4),
    (quantities.VOLUME, "L", "30", 0.03), (quantities.VOLUME, "cu ft", "1", 0.3048**3),
    (quantities.MASS, "lb", "1", 0.45359237), (quantities.MASS, "g", "250", 0.25),
    (quantities.TIME, "ms", "1.6", 0.0016), (quantities.TIME, "µs", "20.8", 20.8e-6),
    (quantities.TIME, "min", "90", 5400.0), (quantities.TIME, "h", "8", 28800.0),
    (quantities.TEMPERATURE, "°F", "32", 0.0), (quantities.TEMPERATURE, "°F", "212", 100.0),
    (quantities.TEMPERATURE, "°F", "-40", -40.0), (quantities.PRESSURE, "hPa", "1013.25", 101325.0),
    (quantities.SPEED, "ft/s", "1", 0.3048), (quantities.RESISTANCE, "mΩ", "5", 0.005),
    (quantities.CAPACITANCE, "µF", "13.3", 13.3e-6), (quantities.INDUCTANCE, "mH", "0.3", 0.0003),
    (quantities.RATIO, "%", "80", 0.8), (quantities.POWER, "kW", "1.5", 1500.0),
])  # fmt: skip
def test_published_sizes_of_units(quantity: Quantity, symbol: str, typed: str, value: float) -> None:
    assert quantity.unit(symbol).to_value(Decimal(typed)) == pytest.approx(value, rel=1e-15, abs=1e-12)
