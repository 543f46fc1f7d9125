"""Crossovers: levels, delays and sums.

Corners are put where the published figure can be read off: at 100 Hz for levels at a multiple of
the corner, and where the corner is 1000 rad/s for delays, so that milliseconds are the
normalised seconds of the filter tables.
"""

from math import pi
from typing import Any

import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator
from tests.published.rows import Row, check, every

BUTTERWORTH = "closed form 10 log10(1 + r^2n); Zverev, Handbook of Filter Synthesis"
LINKWITZ = "S. H. Linkwitz, J. Audio Eng. Soc. 24 (1976) 2"
BESSEL = "W. E. Thomson, Proc. IEE 96 (1949) 487; by scipy.signal.bessel, norm='mag'"
KILORADIAN = 1000 / (2 * pi)


def sides(family: str, order: int, corner: float = 100.0, **rest: Any) -> dict[str, Any]:
    return {"family": family, "slope": 6.0 * order, "low_pass": corner, "high_pass": corner, **rest}


# (identity, family, order, times the corner, level): FI-17 to FI-26 and the last column of FI-09 to FI-16.
LEVELS = [
    *(("FI-17", "butterworth", order, 1, -3.0103) for order in range(1, 9)),
    ("FI-18", "butterworth", 1, 2, -6.990), ("FI-18", "butterworth", 1, 4, -12.305),
    ("FI-18", "butterworth", 1, 10, -20.043), ("FI-19", "butterworth", 2, 0.5, -0.263),
    ("FI-19", "butterworth", 2, 2, -12.305), ("FI-19", "butterworth", 2, 4, -24.099),
    ("FI-20", "butterworth", 3, 2, -18.129), ("FI-20", "butterworth", 3, 4, -36.125),
    ("FI-21", "butterworth", 4, 2, -24.099), ("FI-21", "butterworth", 4, 4, -48.165),
    ("FI-22", "butterworth", 8, 2, -48.165),
    ("FI-23", "linkwitz-riley", 2, 0.5, -1.938), ("FI-23", "linkwitz-riley", 2, 1, -6.021),
    ("FI-23", "linkwitz-riley", 2, 2, -13.979), ("FI-23", "linkwitz-riley", 2, 4, -24.609),
    ("FI-24", "linkwitz-riley", 4, 0.5, -0.527), ("FI-24", "linkwitz-riley", 4, 1, -6.021),
    ("FI-24", "linkwitz-riley", 4, 2, -24.609), ("FI-24", "linkwitz-riley", 4, 4, -48.199),
    ("FI-26", "bessel", 2, 4, -20.361), ("FI-26", "bessel", 4, 4, -34.434),
    ("FI-26", "bessel", 8, 4, -51.812),
    ("FI-09", "bessel", 1, 2, -6.990), ("FI-10", "bessel", 2, 2, -9.815),
    ("FI-11", "bessel", 3, 2, -12.000),
    ("FI-12", "bessel", 4, 2, -13.405), ("FI-13", "bessel", 5, 2, -14.063),
    ("FI-14", "bessel", 6, 2, -14.172),
    ("FI-15", "bessel", 7, 2, -13.978), ("FI-16", "bessel", 8, 2, -13.676),
    *(("FI-28", "linkwitz-riley", order, 1, -6.0206) for order in (2, 4, 6, 8)),
    *(("FI-17", "bessel", order, 1, -3.0103) for order in range(1, 9)),
]  # fmt: skip
SOURCES = {"butterworth": BUTTERWORTH, "linkwitz-riley": LINKWITZ, "bessel": BESSEL}
LEVEL_ROWS = [
    Row(
        identity,
        "crossover",
        sides(family, order, at=100.0 * (times if side == "low" else 1 / times)),
        f"{side}_level_at",
        level,
        0.5e-4 if level in {-3.0103, -6.0206} else 1e-3,
        SOURCES[family],
        "lib" if family == "bessel" else "calc",
    )
    for identity, family, order, times, level in LEVELS
    for side in ("low", "high")
]

# Delay far below the corner, in units of 1/corner: the tables' DC group delay (Butterworth) and the
# frequency that is 3 dB down for unit delay (Bessel). The calculator looks at a thousandth of the
# corner, where the delay is up to 1e-5 higher.
DELAYS = [
    ("butterworth", (1.000000, 1.414214, 2.000000, 2.613126, 3.236068, 3.863703, 4.493959, 5.125831), "FI-0"),
    ("bessel", (1.00000, 1.36165, 1.75567, 2.11392, 2.42741, 2.70340, 2.95172, 3.17962), "FI-1"),
]
DELAY_ROWS = [
    Row(
        f"{prefix}{order}",
        "crossover",
        sides(family, order, KILORADIAN),
        "group_delay",
        seconds * 1e-3,
        2e-8,
        SOURCES[family],
        "lib",
    )
    for family, column, prefix in DELAYS
    for order, seconds in enumerate(column, 1)
]
AT_80 = [
    Row("FI-42", "crossover", sides("butterworth", 4, 80), "group_delay", 5.1986e-3, 1e-7, "poles", "calc"),
    # Both sides of an even Linkwitz-Riley pair turn as its all-pass sum does (Linkwitz 1976).
    Row(
        "FI-43", "crossover", sides("linkwitz-riley", 4, 80), "group_delay", 5.6270e-3, 1e-7, LINKWITZ, "calc"
    ),
    Row(
        "FI-46", "crossover", sides("linkwitz-riley", 2, 80), "group_delay", 3.9789e-3, 1e-7, LINKWITZ, "calc"
    ),
    Row(
        "FI-47", "crossover", sides("linkwitz-riley", 8, 80), "group_delay", 10.397e-3, 1e-6, LINKWITZ, "calc"
    ),
    Row(
        "FI-39",
        "crossover",
        sides("butterworth", 2, polarity="reversed"),
        "sum_level",
        3.0103,
        1e-4,
        BUTTERWORTH,
        "calc",
    ),
    Row("FI-40", "crossover", sides("butterworth", 4), "sum_level", 3.0103, 1e-4, BUTTERWORTH, "calc"),
    Row("FI-29", "crossover", sides("linkwitz-riley", 2), "phase", 180.0, 1e-9, LINKWITZ, "calc"),
    *(
        Row(
            "FI-36",
            "crossover",
            sides("linkwitz-riley", 4, 80, sample_rate=48e3, at=at),
            "low_level_at",
            level,
            1e-4,
            "scipy.signal.butter twice, sosfreqz",
            "lib",
        )
        for at, level in ((40, -0.52656), (80, -6.02060), (160, -24.60987))
    ),
]


@every([*LEVEL_ROWS, *DELAY_ROWS, *AT_80])
def test_published_values(row: Row) -> None:
    check(row)


# FI-31, FI-35, FI-38: sums that are level everywhere, and FI-34 and its like: the nulls of the same
# pair in the other polarity (Linkwitz 1976; Lipshitz and Vanderkooy, J. Audio Eng. Soc. 34 (1986)).
@pytest.mark.parametrize(("order", "level_in"), [(2, "reversed"), (4, "same"), (6, "reversed"), (8, "same")])
@pytest.mark.parametrize("sample_rate", [None, 48e3])
def test_linkwitz_riley_sums(order: int, level_in: str, sample_rate: float | None) -> None:
    other = "same" if level_in == "reversed" else "reversed"
    level, null = (
        run_values(
            find_calculator("crossover"),
            sides("linkwitz-riley", order, polarity=polarity, sample_rate=sample_rate),
        ).result
        for polarity in (level_in, other)
    )
    assert level.lowest_sum == pytest.approx(0, abs=1e-9)
    assert level.highest_sum == pytest.approx(0, abs=1e-9)
    assert null.sum_level < -100
    assert level.better_polarity == {"same": "as wired", "reversed": "high reversed"}[level_in]
    assert null.advice


@pytest.mark.parametrize("order", [1, 3])
@pytest.mark.parametrize("polarity", ["same", "reversed"])
def test_odd_butterworth_sums(order: int, polarity: str) -> None:
    result = run_values(find_calculator("crossover"), sides("butterworth", order, polarity=polarity)).result
    assert result.lowest_sum == pytest.approx(0, abs=1e-9)
    assert result.highest_sum == pytest.approx(0, abs=1e-9)
    assert abs(result.phase) == pytest.approx(90, abs=1e-9)


def test_butterworth_12_in_one_polarity_is_a_null_with_advice_to_reverse() -> None:
    result = run_values(find_calculator("crossover"), sides("butterworth", 2)).result
    assert result.sum_level < -100
    assert [entry.about for entry in result.advice] == ["polarity"]
    assert result.advice[0].message.startswith("Reverse the subwoofer at the subwoofer's join")
