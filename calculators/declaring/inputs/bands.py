"""One number for each third-octave band."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from calculators.declaring.errors import InputError
from calculators.declaring.inputs.kind import Form, Found, Kind
from calculators.declaring.inputs.number import Number
from calculators.declaring.quantities import Quantity

BAND_COUNT = 31


@dataclass(frozen=True)
class Bands(Kind):
    """One number for each third-octave band from 20 Hz to 20 kHz: 31 numbers."""

    label: str
    quantity: Quantity
    low: float
    high: float
    help: str = ""
    several: ClassVar[bool] = True

    @property
    def cell(self) -> Number:
        """What each of the numbers is."""
        return Number(self.label, self.quantity, self.low, self.high)

    def meaning(self) -> str:
        """So many numbers, of one quantity."""
        return f"{BAND_COUNT} of {self.cell.meaning()}"

    def fault(self) -> str | None:
        """That of its numbers."""
        return self.cell.fault()

    def read_text(self, name: str, given: Any, form: Form, found: Found) -> tuple[float, ...]:
        """The numbers typed, each in its own field."""
        return self._read(name, given, found, lambda field, one: self.cell.read_text(field, one, form, found))

    def read_value(self, name: str, value: Any, found: Found) -> tuple[float, ...]:
        """A list of numbers."""
        return self._read(name, value, found, lambda field, one: self.cell.read_value(field, one, found))

    def write_text(self, name: str, value: Any) -> dict[str, str]:
        """A field for each band."""
        fields: dict[str, str] = {}
        for index, number in enumerate(value or ()):
            fields |= self.cell.write_text(f"{name}[{index}]", number)
        return fields

    def describe(self) -> dict[str, Any]:
        """Nothing besides its name: see its default for the number of bands."""
        return {}

    def gathered(self, cells: list[dict[str, str]]) -> list[str]:
        """One text for each band."""
        return [cell.get("", "") for cell in cells]

    def words(self, name: str, groups: Sequence[Any]) -> dict[str, str]:
        """One word for each band."""
        numbers = [word for group in groups for word in group]
        return {f"{name}[{index}]": number for index, number in enumerate(numbers)}

    def _read(
        self, name: str, given: Any, found: Found, one: Callable[[str, Any], float | None]
    ) -> tuple[float, ...]:
        if not isinstance(given, list | tuple) or len(given) != BAND_COUNT:
            raise InputError(
                name, f"{self.label}: give {BAND_COUNT} numbers, one for each third-octave band."
            )
        numbers = []
        for index, cell in enumerate(given):
            try:
                number = one(f"{name}[{index}]", cell)
            except InputError as error:
                found.errors.append(error)
            else:
                assert number is not None
                numbers.append(number)
        return tuple(numbers)
