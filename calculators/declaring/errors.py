"""Wrong input, as a value that names the field and says what to do."""

from collections.abc import Iterable
from itertools import islice

MOST_UNKNOWN = 10
"""More inputs than that, of those there are not, are not told one by one."""


class InputError(Exception):
    """An input that cannot be used; ``message`` is shown beside ``field`` in the reader's words.

    ``field`` is the input's name, with an index for a row: ``speakers[1].distance``.
    """

    def __init__(self, field: str, message: str) -> None:
        """Name the field and say what to do."""
        super().__init__(f"{field}: {message}")
        self.field = field
        self.message = message


class DeclarationError(TypeError):
    """A calculator that is declared wrongly: its place, the field, what is wrong and what to do."""


def unknown_inputs(names: Iterable[str]) -> list[InputError]:
    """An error for each input that there is not; of many, the first few."""
    return [InputError(name, "There is no such input.") for name in islice(names, MOST_UNKNOWN)]


def short(text: str) -> str:
    """A text that a message can quote."""
    return text if len(text) <= 20 else f"{text[:20]}…"
