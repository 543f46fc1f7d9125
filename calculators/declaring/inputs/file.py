"""A file that the reader chooses."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

from calculators.declaring.errors import InputError
from calculators.declaring.inputs.kind import Form, Found, Kind, in_sentence, typed_text
from calculators.declaring.kept import Kept


@dataclass(frozen=True)
class File(Kind):
    """A file that the reader chooses; the function gets it as ``Kept``, to read in blocks.

    ``most`` is the most bytes it may have, ``accept`` what the chooser offers first, as in HTML. An
    ``optional`` one may be left out (None); ``empty`` says what that means. Into one that ``records`` the
    page can record the measuring sweep with the device's microphone; its form has the sweep's settings.
    Text files chosen ``together`` become one in the page, an empty line between each two.
    """

    label: str
    most: int = 100_000_000
    accept: str = ""
    help: str = ""
    optional: bool = False
    empty: str = ""
    records: bool = False
    together: bool = False

    def meaning(self) -> str:
        """Nothing: a file stays with its form."""
        return ""

    def read_text(self, name: str, given: Any, form: Form, found: Found) -> Kept | None:
        """The file kept under the handle that is the text of the field."""
        handle = typed_text(given)
        return self.read_value(name, form.kept.get(handle, handle or None), found)

    def read_value(self, name: str, value: Any, found: Found) -> Kept | None:
        """A file that is not too large."""
        if value is None and self.optional:
            return None
        if not isinstance(value, Kept):
            raise InputError(name, f"Choose a file for {in_sentence(self.label)}.")
        if value.size > self.most:
            raise InputError(name, f"{self.label} may have {self.most / 1e6:.0f} MB at most.")
        return value

    def words(self, name: str, groups: Sequence[Any]) -> dict[str, Any]:
        """The paths behind its option; files chosen together may stand behind several."""
        return {name: list(chain.from_iterable(groups))} if self.together else super().words(name, groups)

    def write_text(self, name: str, value: Any) -> dict[str, str]:
        """The handle it is kept under."""
        if isinstance(value, Kept):
            return {name: value.handle}
        return {name: "" if value is None else str(value)}

    def describe(self) -> dict[str, Any]:
        """The most bytes it may have."""
        return {"most_bytes": self.most}
