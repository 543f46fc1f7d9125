"""A short text, such as a name."""

from dataclasses import dataclass
from re import fullmatch
from typing import Any

from calculators.declaring.errors import InputError
from calculators.declaring.inputs.kind import Form, Found, Kind, typed_text


@dataclass(frozen=True)
class Text(Kind):
    """A short text, such as a name, of ``longest`` letters at most.

    With a ``pattern`` it has that form, which ``wanted`` says in the reader's words, or is empty.
    """

    label: str
    longest: int = 60
    help: str = ""
    pattern: str = ""
    wanted: str = ""
    seldom: bool = False

    def read_text(self, name: str, given: Any, form: Form, found: Found) -> str:
        """What was typed, without blanks at its ends."""
        return self._short_enough(name, typed_text(given))

    def read_value(self, name: str, value: Any, found: Found) -> str:
        """The text as it is."""
        if not isinstance(value, str):
            raise InputError(name, f"{self.label} must be text.")
        return self._short_enough(name, value)

    def write_text(self, name: str, value: Any) -> dict[str, str]:
        """The text itself."""
        return {name: "" if value is None else str(value)}

    def describe(self) -> dict[str, Any]:
        """Nothing besides its name."""
        return {}

    def _short_enough(self, name: str, text: str) -> str:
        if len(text) > self.longest:
            raise InputError(name, f"{self.label} can have {self.longest} letters at most.")
        if self.pattern and text and not fullmatch(self.pattern, text):
            raise InputError(name, f"{self.label}: {self.wanted}.")
        return text
