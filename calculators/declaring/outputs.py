"""What a calculator gives: one declaration per field of its result."""

from dataclasses import dataclass
from typing import Any, ClassVar

from calculators.declaring.quantities import Quantity


class OutputKind:
    """One kind of output."""

    label: str
    main: bool = False
    data: ClassVar[bool] = True
    """Whether it is data of its own; a picture only repeats other outputs."""

    def fault(self) -> str | None:
        """What is wrong with the declaration, and what to do about it."""
        return None

    def describe(self) -> dict[str, Any]:
        """What it gives besides its label, as plain data."""
        return {}


@dataclass(frozen=True)
class Output(OutputKind):
    """A number: its unit, and how much of it is meant.

    ``figures`` counts significant figures; ``decimals``, where given, counts places behind the
    point instead. ``lowest`` is where a level stops meaning anything: below it, only "below" is
    shown. ``trim`` drops the zeros behind the last figure. ``also`` names further units shown
    in brackets. ``none`` is what is shown for None. ``main`` marks the answer the reader came for.
    ``clock`` shows a time as hours, minutes and seconds, unless a unit is asked for.
    """

    label: str
    quantity: Quantity
    show: str | None = None
    figures: int = 4
    decimals: int | None = None
    lowest: float | None = None
    trim: bool = False
    also: tuple[str, ...] = ()
    none: str = "none"
    main: bool = False
    clock: bool = False

    def fault(self) -> str | None:
        """A unit that is none of the quantity's."""
        return _fault_of_units(self.quantity, self.show, *self.also)

    def describe(self) -> dict[str, Any]:
        """The unit of its value as data."""
        return {"unit": self.quantity.units[0].symbol}


@dataclass(frozen=True)
class OutputText(OutputKind):
    """A word or a sentence.

    A main answer in words names in ``brief`` the output that says what is decisive in a few signs: a phone
    shows that in the size of a figure, and the words under it. Where no figure follows the verdict, that is
    an ``OutputBrief``.
    """

    label: str
    main: bool = False
    brief: str = ""


@dataclass(frozen=True)
class OutputBrief(OutputText):
    """What a main answer comes to in 16 signs, for a phone's bar alone: first what must be done first."""

    data = False


@dataclass(frozen=True)
class OutputMoney(OutputKind):
    """An amount, as ``Money``; None where there is none, shown as ``none``. As data it is decimal text."""

    label: str
    none: str = "–"
    main: bool = False


@dataclass(frozen=True)
class OutputFlag(OutputKind):
    """Yes or no, in the words given."""

    label: str
    yes: str = "yes"
    no: str = "no"
    main: bool = False


@dataclass(frozen=True)
class OutputList(OutputKind):
    """A list of numbers of one kind; ``shown`` caps how many of them a page prints."""

    label: str
    quantity: Quantity
    show: str | None = None
    figures: int = 4
    decimals: int | None = None
    none: str = "none"
    shown: int = 12

    def fault(self) -> str | None:
        """A unit that is none of the quantity's."""
        return _fault_of_units(self.quantity, self.show)

    def describe(self) -> dict[str, Any]:
        """The unit of its values as data."""
        return {"unit": self.quantity.units[0].symbol}


@dataclass(frozen=True)
class OutputRows(OutputKind):
    """A table: one record for each input row, or for each band or part.

    ``fold`` keeps a long table closed until it is asked for.
    """

    label: str
    copy: bool = False
    fold: bool = False


@dataclass(frozen=True)
class OutputCurve(OutputKind):
    """A response, given in full as data; a page shows it through a chart."""

    label: str


@dataclass(frozen=True)
class OutputChart(OutputKind):
    """A chart; it repeats other outputs as a picture and is no data of its own."""

    label: str
    data = False


@dataclass(frozen=True)
class OutputDrawing(OutputKind):
    """A picture in lines; like a chart it repeats other outputs and is no data."""

    label: str
    data = False


@dataclass(frozen=True)
class OutputFile(OutputKind):
    """A file to keep, as ``Made``; None where there is none. As data it is its name, type and size alone.

    ``opens`` is what it holds, in a word, where the calculator's own form can take it back (``kept_values``).
    ``sheet``: it is a table or an object that goes into a processor; a page says in it which of the values
    under it are the page's example's.
    """

    label: str
    opens: str = ""
    sheet: bool = False


@dataclass(frozen=True)
class OutputSound(OutputKind):
    """Sounds to compare by ear, as ``Listening``; like a picture they repeat other outputs and are no data.

    Nothing of them is made before somebody wants to hear it.
    """

    label: str
    data = False


@dataclass(frozen=True)
class OutputPaper(OutputDrawing):
    """Drawings, each a sheet of paper that is printed at its true size: one unit of ``width`` is one mm."""


OF_ONE_LINE = (Output, OutputText, OutputMoney, OutputFlag)
"""What may stand as a figure in place of an answer in words."""


@dataclass(frozen=True)
class OutputField:
    """An output with its name, and the fields of its record if it is a table."""

    name: str
    kind: OutputKind
    columns: tuple["OutputField", ...] = ()

    def describe(self) -> dict[str, Any]:
        """Name, kind, label and unit as plain data, those of its columns with them."""
        kind = type(self.kind).__name__.lower()
        data = {"name": self.name, "kind": kind, "label": self.kind.label, **self.kind.describe()}
        return data | ({"rows": [column.describe() for column in self.columns]} if self.columns else {})


@dataclass(frozen=True)
class Advice:
    """A warning that is part of a result: what to check, and why.

    ``danger`` marks what could burn, deafen or strand somebody; it is shown before any number.
    """

    about: str
    message: str
    danger: bool = False


def _fault_of_units(quantity: Quantity, *symbols: str | None) -> str | None:
    if not isinstance(quantity, Quantity):
        return f"{quantity!r} is no quantity: name one of calculators/declaring/quantities.py"
    return next(filter(None, (quantity.fault_of(symbol) for symbol in symbols if symbol is not None)), None)
