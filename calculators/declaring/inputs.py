"""What a calculator takes: one declaration per input, put in the annotation of a parameter."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from calculators.declaring.quantities import Quantity


@dataclass(frozen=True)
class Number:
    """A number typed by a person.

    ``low`` and ``high`` are the hard range, ``usual`` the range outside which the reader is asked
    to look again; all in the quantity's own unit. ``show`` is the unit it is typed in unless
    another is chosen. ``optional`` numbers may be left empty (None); ``empty`` says what that
    means. ``options`` lists standard sizes, shown as one selection instead of a field.
    ``seldom`` marks what few readers change: a form folds it away.
    """

    label: str
    quantity: Quantity
    low: float
    high: float
    show: str | None = None
    usual: tuple[float, float] | None = None
    optional: bool = False
    empty: str = ""
    whole: bool = False
    help: str = ""
    options: tuple[tuple[str, float], ...] = ()
    units: tuple[str, ...] = ()
    seldom: bool = False

    def shown_units(self) -> tuple[str, ...]:
        """Symbols of the units offered, the one typed in by default first."""
        first = self.quantity.unit(self.show).symbol
        return (first, *(symbol for symbol in self.units if symbol != first))


@dataclass(frozen=True)
class Choice:
    """One of a few words; ``options`` maps each word to what the reader sees."""

    label: str
    options: Mapping[str, str]
    help: str = ""
    seldom: bool = False


@dataclass(frozen=True)
class Flag:
    """Yes or no."""

    label: str
    help: str = ""
    seldom: bool = False


@dataclass(frozen=True)
class Text:
    """A short text, such as a name."""

    label: str
    longest: int = 60
    help: str = ""


@dataclass(frozen=True)
class Rows:
    """A list of the same small record; the record is a frozen dataclass of annotated fields."""

    label: str
    one: str
    at_least: int = 1
    at_most: int = 24
    help: str = ""


@dataclass(frozen=True)
class Bands:
    """One number for each third-octave band from 20 Hz to 20 kHz: 31 numbers."""

    label: str
    quantity: Quantity
    low: float
    high: float
    help: str = ""


@dataclass(frozen=True)
class CurveText:
    """A response pasted as text, two or three columns: Hz, dB and perhaps degrees."""

    label: str
    optional: bool = False
    help: str = ""


@dataclass(frozen=True)
class File:
    """A file that the reader chooses; the function gets it as ``Kept``, to read in blocks.

    ``most`` is the most bytes it may have, ``accept`` what the chooser offers first, as in HTML.
    """

    label: str
    most: int = 100_000_000
    accept: str = ""
    help: str = ""


type Input = Number | Choice | Flag | Text | Rows | Bands | CurveText | File

NO_DEFAULT = object()


@dataclass(frozen=True)
class InputField:
    """An input with its name and default, and the fields of its record if it is a row input."""

    name: str
    kind: Input
    default: object = NO_DEFAULT
    columns: tuple["InputField", ...] = ()
    record: type | None = field(default=None, compare=False)

    @property
    def required(self) -> bool:
        """Whether a value must be given."""
        return self.default is NO_DEFAULT
