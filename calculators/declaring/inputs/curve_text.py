"""A response pasted as text."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calculators.declaring.curve_reading import read_curve
from calculators.declaring.curves import Curve, checked_curve
from calculators.declaring.errors import InputError
from calculators.declaring.inputs.kind import Form, Found, Kind, typed_text
from calculators.declaring.inputs.number import as_float, is_number


@dataclass(frozen=True)
class CurveText(Kind):
    """A response pasted as text, two or three columns: Hz, dB and perhaps degrees."""

    label: str
    optional: bool = False
    help: str = ""
    seldom: bool = False

    def read_text(self, name: str, given: Any, form: Form, found: Found) -> Curve | None:
        """The curve that was pasted."""
        text = typed_text(given)
        if not text and self.optional:
            return None
        return checked_curve(read_curve(name, text), name)

    def read_value(self, name: str, value: Any, found: Found) -> Curve | None:
        """Lists of frequencies, levels and perhaps phases, and perhaps the arrival in s."""
        if value is None and self.optional:
            return None
        if not isinstance(value, Mapping) or value.get("frequency") is None or value.get("level") is None:
            raise InputError(name, f"{self.label} must hold frequency and level.")
        columns: dict[str, tuple[float, ...]] = {}
        for column in ("frequency", "level", "phase"):
            numbers = value.get(column)
            if numbers is None:
                continue
            if not isinstance(numbers, list | tuple) or not all(is_number(number) for number in numbers):
                raise InputError(name, f"{self.label} must hold lists of numbers.")
            columns[column] = tuple(as_float(name, self.label, number) for number in numbers)
        said = value.get("arrival")
        if said is not None and not is_number(said):
            raise InputError(name, f"{self.label}: its arrival must be a number.")
        arrival = None if said is None else as_float(name, self.label, said)
        return checked_curve(
            Curve(columns["frequency"], columns["level"], columns.get("phase"), arrival), name
        )

    def write_text(self, name: str, value: Any) -> dict[str, str]:
        """A line for each point of a curve given as plain data, under its arrival if that is said."""
        if value is None:
            return {name: ""}
        columns = [column for column in (value["frequency"], value["level"], value.get("phase")) if column]
        lines = ["\t".join(map(_exact, row)) for row in zip(*columns, strict=True)]
        if value.get("arrival") is not None:
            lines.insert(0, f"; arrival {1000 * value['arrival']:.9f} ms")
        return {name: "\n".join(lines)}

    def describe(self) -> dict[str, Any]:
        """Nothing besides its name."""
        return {}


def _exact(number: float) -> str:
    """The shortest text that is read back as the number."""
    return repr(float(number) + 0.0).removesuffix(".0")  # Minus zero is zero.
