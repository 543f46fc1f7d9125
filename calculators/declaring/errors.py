"""Wrong input, as a value that names the field and says what to do."""

from collections.abc import Collection, Iterable
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


def unknown_inputs(names: Iterable[str], known: Collection[str]) -> list[InputError]:
    """An error for each input that there is not, with those it is most like; of many, the first few.

    ``known`` are the inputs that there are; of a column of a row, its columns.
    """
    return [
        InputError(name, f"There is no such input.{_nearest(name, known)}")
        for name in islice(names, MOST_UNKNOWN)
    ]


def _nearest(name: str, known: Collection[str]) -> str:
    """The three names, at most, that one typed wrongly is most like; in a row, by its column."""
    typed = name.rpartition(".")[2]
    alike = {one: likeness(one, typed) for one in sorted(known)}
    found = sorted((one for one in alike if alike[one]), key=lambda one: -alike[one])[:3]
    return f" Nearest by name: {', '.join(found)}." if found else ""


def likeness(one: str, other: str) -> float:
    """Share of the pairs of neighbouring letters that two names have in common."""
    pairs, others = ({name[at : at + 2] for at in range(len(name) - 1)} for name in (one, other))
    return len(pairs & others) / (len(pairs | others) or 1)


def short(text: str) -> str:
    """A text that a message can quote."""
    return text if len(text) <= 20 else f"{text[:20]}…"
