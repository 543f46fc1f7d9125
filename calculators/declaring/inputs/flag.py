"""Yes or no."""

from dataclasses import dataclass
from typing import Any

from calculators.declaring.errors import InputError
from calculators.declaring.inputs.kind import Form, Found, Kind, typed_text

YES = {"yes", "true", "on", "1"}
NO = {"no", "false", "off", "0", ""}


@dataclass(frozen=True)
class Flag(Kind):
    """Yes or no."""

    label: str
    help: str = ""
    seldom: bool = False

    def read_text(self, name: str, given: Any, form: Form, found: Found) -> bool:
        """Yes or no, in one of the words people use."""
        word = typed_text(given).casefold()
        if word not in YES | NO:
            raise InputError(name, f"{self.label}: type yes or no.")
        return word in YES

    def read_value(self, name: str, value: Any, found: Found) -> bool:
        """True or false."""
        if not isinstance(value, bool):
            raise InputError(name, f"{self.label} must be true or false.")
        return value

    def write_text(self, name: str, value: Any) -> dict[str, str]:
        """Yes or no."""
        return {name: "" if value is None else "yes" if value else "no"}

    def describe(self) -> dict[str, Any]:
        """Nothing besides its name."""
        return {}
