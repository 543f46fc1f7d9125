"""How far a figure may be trusted: seen in print, from memory, or the trade's habit."""

from typing import Literal

type Confidence = Literal["published", "memory", "common-practice"]
