"""A list of the same small record."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar

from calculators.declaring.errors import InputError, unknown_inputs
from calculators.declaring.inputs.kind import Form, Found, InputField, Kind


@dataclass(frozen=True)
class Rows(Kind):
    """A list of the same small record; the record is a frozen dataclass of annotated fields.

    ``fold`` gives them a fold of their own in a form, where they are many and long. ``columns`` and
    ``record`` are found where the calculator is declared.
    """

    label: str
    one: str
    at_least: int = 1
    at_most: int = 24
    help: str = ""
    fold: bool = False
    columns: tuple[InputField, ...] = field(default=(), repr=False)
    record: type | None = field(default=None, compare=False, repr=False)
    several: ClassVar[bool] = True

    def meaning(self) -> str:
        """Its columns with their units, for a form holds the units of a whole column."""
        columns = (
            f"{column.name}: {column.kind.label}, {column.kind.meaning()} "
            f"{'/'.join(column.kind.units_offered())}"
            for column in self.columns
        )
        return "; ".join(columns)

    def fault(self) -> str | None:
        """More rows asked for than allowed, or rows in rows."""
        if not 0 <= self.at_least <= self.at_most:
            return f"it wants {self.at_least} to {self.at_most} rows: give the smaller number first"
        for column in self.columns:
            if column.kind.several:
                return f"its column {column.name} has fields of its own: a row holds single fields only"
        return None

    def fault_of_default(self, default: Any) -> str | None:
        """A default that is no rows; records themselves are checked where they are made."""
        return None if isinstance(default, tuple) else "its default must be a tuple of records, or ()"

    def read_text(self, name: str, given: Any, form: Form, found: Found) -> tuple[Any, ...]:
        """The rows typed, each column in its own field."""
        return self._read(
            name, given, found, lambda kind, field_name, cell: kind.read_text(field_name, cell, form, found)
        )

    def read_value(self, name: str, value: Any, found: Found) -> tuple[Any, ...]:
        """A list of records."""
        return self._read(
            name, value, found, lambda kind, field_name, cell: kind.read_value(field_name, cell, found)
        )

    def write_text(self, name: str, value: Any) -> dict[str, str]:
        """A field for each column of each row, from records or from plain data."""
        fields: dict[str, str] = {}
        for index, row in enumerate(value or ()):
            for column in self.columns:
                default = None if column.required else column.default
                plain = isinstance(row, Mapping)
                cell = row.get(column.name, default) if plain else getattr(row, column.name)
                fields |= column.kind.write_text(f"{name}[{index}].{column.name}", cell)
        return fields

    def describe(self) -> dict[str, Any]:
        """Its columns, and how many rows there may be."""
        rows = [column.describe() for column in self.columns]
        return {"rows": rows, "at_least": self.at_least, "at_most": self.at_most}

    def words(self, name: str, groups: Sequence[Any]) -> dict[str, str]:
        """One row each time the option is given, as name=value pairs."""
        fields: dict[str, str] = {}
        for index, pairs in enumerate(groups):
            for pair in pairs:
                column, equals, text = pair.partition("=")
                if not equals:
                    known = ", ".join(entry.name for entry in self.columns)
                    raise InputError(name, f"Write each {self.one} as name=value pairs of: {known}.")
                field_name = f"{name}[{index}].{column.strip().replace('-', '_')}"
                if field_name in fields:
                    raise InputError(field_name, "This name stands twice: give one value.")
                fields[field_name] = text
        return fields

    def _read(
        self, name: str, given: Any, found: Found, one: Callable[[Kind, str, Any], Any]
    ) -> tuple[Any, ...]:
        assert self.record is not None
        if not isinstance(given, list | tuple) or not all(isinstance(row, Mapping) for row in given):
            raise InputError(name, f"{self.label} must be a list of records.")
        if not self.at_least <= len(given) <= self.at_most:
            raise InputError(name, f"{self.label}: give {self.at_least} to {self.at_most}.")
        known = {column.name for column in self.columns}
        records = []
        before = len(found.errors)
        for index, row in enumerate(given):
            place = f"{name}[{index}]"
            found.errors.extend(
                unknown_inputs(
                    (f"{place}.{cell}" if cell else place for cell in row if cell not in known), known
                )
            )
            cells = {}
            for column in self.columns:
                field_name = f"{place}.{column.name}"
                if column.name not in row:
                    if column.required:
                        found.errors.append(InputError(field_name, f"{column.kind.label} is missing."))
                    continue
                try:
                    cells[column.name] = one(column.kind, field_name, row[column.name])
                except InputError as error:
                    found.errors.append(error)
            if len(found.errors) == before:
                records.append(self.record(**cells))
        return tuple(records)
