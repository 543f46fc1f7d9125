"""What a chart shows: axes, series and bands. How it is drawn is for ``presenting``."""

from dataclasses import dataclass
from typing import Literal

Line = Literal["plain", "main", "limit"]
"""How a line stands among the others: one of them, the one that matters, or a limit to keep to."""


@dataclass(frozen=True)
class Axis:
    """One axis: what it shows, in which unit, from where to where.

    ``lowest`` is where a level stops meaning anything: below it, the table says "below" alone.
    """

    label: str
    unit: str
    low: float
    high: float
    scale: Literal["linear", "logarithmic"] = "linear"
    decimals: int = 1
    lowest: float | None = None


@dataclass(frozen=True)
class Series:
    """One line: a value for every place on the chart's horizontal axis (None: no value there)."""

    label: str
    values: tuple[float | None, ...]
    line: Line = "plain"


@dataclass(frozen=True)
class Band:
    """A shaded stretch of an axis, with what it means."""

    label: str
    low: float
    high: float
    axis: Literal["x", "y"] = "x"


@dataclass(frozen=True)
class Chart:
    """A chart: its series share the places ``at`` on the horizontal axis.

    Lines end where they leave the frame that the axes make. ``table_at`` names those of the places
    that the table behind the chart lists (all, if it is empty), ``read_at`` the place where reading
    off starts (the middle of the table, if there is none).
    """

    title: str
    x: Axis
    y: Axis
    at: tuple[float, ...]
    series: tuple[Series, ...]
    bands: tuple[Band, ...] = ()
    table_at: tuple[float, ...] = ()
    read_at: float | None = None
