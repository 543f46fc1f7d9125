"""How far two curves may differ, by what they are. Limits: common practice, no source."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Stretch:
    """From one band to another, names in Hz: so many dB in each third octave, either way."""

    low: float
    high: float
    limit: float


@dataclass(frozen=True)
class Limits:
    """What two curves are, their limits by band, and that of their mean over a stretch.

    ``holds``, ``fails``: what is said of them. ``level_counts``: whether their levels may not be evened out.
    """

    words: str
    bands: tuple[Stretch, ...] = ()
    mean: float | None = None
    mean_over: tuple[float, float] = (300.0, 3000.0)
    holds: str = ""
    fails: str = ""
    level_counts: bool = False

    def of(self, band: float) -> float | None:
        """The limit of a band, by its name, Hz; the first stretch that holds it counts."""
        return next((each.limit for each in self.bands if each.low <= band <= each.high), None)


LIMITS = {
    "change": Limits("before and after"),
    "sides": Limits(
        "left and right of a pair, averaged over points",
        (Stretch(315, 5000, 1.0), Stretch(160, 20_000, 2.0)),
        mean=0.5,
        mean_over=(315.0, 5000.0),
        holds="match",
        fails="do not match",
        level_counts=True,
    ),
    "untouched": Limits(
        "one speaker twice, nothing touched",
        (Stretch(100, 8000, 0.5),),
        holds="repeat",
        fails="do not repeat",
    ),
    "put-back": Limits(
        "one speaker twice, microphone put back",
        (Stretch(63, 8000, 1.0),),
        holds="repeat",
        fails="do not repeat",
    ),
    "sources": Limits(
        "one file from two sources",
        (Stretch(20, 20_000, 0.3),),
        holds="agree: one tune serves both",
        fails="do not agree: tune for the one that is used",
    ),
}
