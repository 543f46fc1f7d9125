"""Curves averaged, smoothed and compared: values by the definitions of power, phase and bands."""

from math import log10, sinh

from tests.published.rows import Row, check, every

FREQUENCY = [20.0 * 2 ** (step / 24) for step in range(240)]


def flat(level: float, phase: float | None = None) -> dict[str, list[float]]:
    curve = {"frequency": FREQUENCY, "level": [level] * len(FREQUENCY)}
    return curve if phase is None else curve | {"phase": [phase] * len(FREQUENCY)}


def points(*curves: dict[str, list[float]]) -> dict[str, object]:
    return {"points": [{"name": "", "curve": curve} for curve in curves]}


def bent(at: float, size: float) -> dict[str, list[float]]:
    """Level everywhere, but for one place: an octave about a frequency (Hz), of so many dB."""
    level = [size if at / 2**0.5 < f < at * 2**0.5 else 0.0 for f in FREQUENCY]
    return {"frequency": FREQUENCY, "level": level}


WHITE = {"frequency": FREQUENCY, "level": [10 * log10(f / 1000) for f in FREQUENCY]}
HALF = 0.15 * 2.302585092994046
POWER = "definition of a mean power: 10·log10((1 + 100)/2)"
PHASOR = "mean of two phasors 90° apart: 1/√2 at 45°"
BAND = (
    "power that grows with frequency over a band from f/k to f·k: sinh(ln k)/ln k, k = 10^0.15 (IEC 61260-1)"
)
LIMIT = "definition: 0.6 dB over 0.5 dB of the mean, 1.2 dB over 1 dB of a band"
SPREAD = "standard deviation of a, −a and 0 over three points: a"

ROWS = [
    Row("CV-01", "curve-average", points(flat(0), flat(20)), "bands[10].level", 17.0329, 1e-4, POWER, "calc"),
    Row(
        "CV-02",
        "curve-average",
        points(flat(0, 0), flat(0, 90)) | {"method": "complex"},
        "bands[10].level",
        -3.0103,
        1e-4,
        PHASOR,
        "calc",
    ),
    Row(
        "CV-03",
        "curve-smooth",
        {"measured": WHITE, "smoothing": "octave-bands"},
        "largest_change",
        10 * log10(sinh(HALF) / HALF),
        1e-3,
        BAND,
        "calc",
    ),
    Row(
        "CV-04",
        "curve-compare",
        {"first": flat(70), "second": flat(70.6), "purpose": "sides"},
        "verdict",
        "do not match: the mean is over its limit",
        0,
        LIMIT,
        "calc",
    ),
    Row(
        "CV-05",
        "curve-compare",
        {"first": flat(70), "second": flat(75), "purpose": "put-back", "shift": "mean"},
        "shifted_by",
        -5.0,
        1e-9,
        "definition: laid onto each other",
        "calc",
    ),
    Row(
        "CV-06",
        "spatial-spread",
        points(bent(300.0, 6.0), bent(300.0, -6.0), flat(0)),
        "widest_spread",
        6.0,
        0.9,
        SPREAD,
        "calc",
    ),
]


@every(ROWS)
def test_published(row: Row) -> None:
    check(row)
