"""What every kind of input does for itself, and what it needs for that."""

import re
from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, is_dataclass
from typing import Any, ClassVar

from calculators.declaring.errors import InputError
from calculators.declaring.kept import Kept
from calculators.declaring.numerals import MINUS
from calculators.declaring.outputs import Advice

NO_DEFAULT = object()
_ROW = re.compile(r"\[\d+\]")


@dataclass(frozen=True)
class Form:
    """What was typed, by the names of the fields, and the files that were kept, by their handles."""

    typed: Mapping[str, str]
    kept: Mapping[str, Kept]

    def unit_of(self, name: str) -> str | None:
        """The unit chosen for a field; one is chosen for a whole column."""
        return self.typed.get(f"{_ROW.sub('[]', name)}:unit")


@dataclass(frozen=True)
class Found:
    """What reading comes across: errors beside their fields, and numbers that are seldom right."""

    errors: list[InputError] = field(default_factory=list)
    advice: list[Advice] = field(default_factory=list)


class Kind(ABC):
    """One kind of input.

    ``name`` is the name of the field everywhere below: ``temperature``, ``speakers[0].distance``.
    Reading raises InputError, or leaves it in ``found`` where a kind has fields of its own.
    """

    label: str
    help: str
    seldom: bool = False
    columns: tuple["InputField", ...] = ()
    several: ClassVar[bool] = False
    """Whether its option takes several words on the command line."""

    @abstractmethod
    def read_text(self, name: str, given: Any, form: Form, found: Found) -> Any:
        """The value of what a person typed; ``given`` is its text, or what ``gathered`` made of several."""

    @abstractmethod
    def read_value(self, name: str, value: Any, found: Found) -> Any:
        """The value that JSON gives, in the quantity's own unit, checked."""

    @abstractmethod
    def write_text(self, name: str, value: Any) -> dict[str, str]:
        """The fields of a form that stand for a value, as a person would type it; None is an empty field."""

    @abstractmethod
    def describe(self) -> dict[str, Any]:
        """What it takes besides label and help, as plain data."""

    def fault(self) -> str | None:
        """What is wrong with the declaration, and what to do about it."""
        return None

    def fault_of_default(self, default: Any) -> str | None:
        """What is wrong with a default: it must be a value that can be given."""
        found = Found()
        try:
            self.read_value("default", default, found)
        except InputError as error:
            found.errors.append(error)
        return f"its default {default!r}: {found.errors[0].message}" if found.errors else None

    def units_offered(self) -> tuple[str, ...]:
        """Symbols of the units that a form offers beside the field, the first one chosen."""
        return ()

    def meaning(self) -> str:
        """What a value stands for besides its name and label. Where all three are the same, a form may offer
        what was typed into another; nothing for what stays with its form."""
        return type(self).__name__.lower()

    def gathered(self, cells: list[dict[str, str]]) -> Any:
        """The texts of its numbered fields, by column, as ``read_text`` takes them."""
        return cells

    def words(self, name: str, groups: Sequence[Any]) -> dict[str, str]:
        """The fields that the words of its option stand for: one group each time it is given.

        Raises InputError where one of them would be dropped.
        """
        if len(groups) > 1:
            raise InputError(name, "This option stands twice: give one value.")
        return {name: groups[-1]}


@dataclass(frozen=True)
class InputField:
    """An input with its name and default."""

    name: str
    kind: Kind
    default: object = NO_DEFAULT

    @property
    def required(self) -> bool:
        """Whether a value must be given."""
        return self.default is NO_DEFAULT

    @property
    def columns(self) -> tuple["InputField", ...]:
        """The fields of its record, if it is a row input."""
        return self.kind.columns

    def describe(self) -> dict[str, Any]:
        """Name, kind, label, default, units and range as plain data."""
        data: dict[str, Any] = {
            "name": self.name,
            "kind": type(self.kind).__name__.lower(),
            "label": self.kind.label,
        }
        if self.kind.help:
            data["help"] = self.kind.help
        if not self.required:
            data["default"] = (
                [
                    asdict(entry) if is_dataclass(entry) and not isinstance(entry, type) else entry
                    for entry in self.default
                ]
                if isinstance(self.default, tuple)
                else self.default
            )
        return data | self.kind.describe()


def typed_text(given: Any) -> str:
    """What was typed, with one minus sign, one blank, and no blanks at its ends."""
    text = str(given)
    return (text if text.isascii() else text.translate(MINUS)).strip()


def in_sentence(label: str) -> str:
    """A label inside a sentence: its first letter small, unless it is an abbreviation."""
    return label if label[1:2].isupper() else label[:1].lower() + label[1:]
