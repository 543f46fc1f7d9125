"""One of a few words."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calculators.declaring.errors import InputError
from calculators.declaring.inputs.kind import Form, Found, Kind, typed_text


@dataclass(frozen=True)
class Choice(Kind):
    """One of a few words; ``options`` maps each word to what the reader sees."""

    label: str
    options: Mapping[str, str]
    help: str = ""
    seldom: bool = False

    def meaning(self) -> str:
        """Its words."""
        return ", ".join(self.options)

    def fault(self) -> str | None:
        """Nothing to choose from."""
        return None if self.options else "it has no options: give the words there are to choose from"

    def read_text(self, name: str, given: Any, form: Form, found: Found) -> str:
        """The word that was chosen."""
        return self._chosen(name, typed_text(given))

    def read_value(self, name: str, value: Any, found: Found) -> str:
        """One of the words."""
        if not isinstance(value, str):
            raise InputError(name, f"{self.label} must be text.")
        return self._chosen(name, value)

    def write_text(self, name: str, value: Any) -> dict[str, str]:
        """The word itself."""
        return {name: "" if value is None else str(value)}

    def describe(self) -> dict[str, Any]:
        """The words, and what the reader sees for each."""
        return {"options": dict(self.options)}

    def _chosen(self, name: str, word: str) -> str:
        if word not in self.options:
            raise InputError(name, f"{self.label} must be one of: {', '.join(self.options)}.")
        return word
