"""What a chart shows: axes, series and bands. How it is drawn is for ``presenting``."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Axis:
    """One axis: what it shows, in which unit, from where to where."""

    label: str
    unit: str
    low: float
    high: float
    scale: Literal["linear", "logarithmic"] = "linear"
    decimals: int = 1


@dataclass(frozen=True)
class Series:
    """One line: a value for every place on the chart's horizontal axis (None: no value there)."""

    label: str
    values: tuple[float | None, ...]


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

    ``table_every`` thins the table behind the chart (4: every fourth place).
    """

    title: str
    x: Axis
    y: Axis
    at: tuple[float, ...]
    series: tuple[Series, ...]
    bands: tuple[Band, ...] = ()
    table_every: int = 1
