"""A date, typed year first."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from calculators.declaring.errors import InputError
from calculators.declaring.inputs.kind import Form, Found, Kind, typed_text


@dataclass(frozen=True)
class Day(Kind):
    """A date as ``2031-05-14``, or nothing; as a value it is that text, or an empty one."""

    label: str
    help: str = ""
    seldom: bool = False

    def read_text(self, name: str, given: Any, form: Form, found: Found) -> str:
        """The date that was typed."""
        return self._checked(name, typed_text(given))

    def read_value(self, name: str, value: Any, found: Found) -> str:
        """The date as text."""
        if not isinstance(value, str):
            raise InputError(name, f"{self.label} must be text, like 2031-05-14.")
        return self._checked(name, value)

    def write_text(self, name: str, value: Any) -> dict[str, str]:
        """The date itself."""
        return {name: "" if value is None else str(value)}

    def describe(self) -> dict[str, Any]:
        """Nothing besides its name."""
        return {}

    def _checked(self, name: str, text: str) -> str:
        try:
            return text and date.fromisoformat(text).isoformat()
        except ValueError:
            raise InputError(name, f"{self.label}: type year, month and day, like 2031-05-14.") from None
