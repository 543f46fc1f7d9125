"""Two seats, the subwoofer's join, acoustic slopes and equal loudness, against standards and other programs.

Figures marked calc were worked out from the formula named beside them, apart from the project's code.
"""

import math
from typing import Any

import numpy as np
import pytest
from scipy.optimize import lsq_linear

from calculators.declaring import run_values
from calculators.physics import audibility, two_seats
from calculators.stages import find_calculator
from tests.published.rows import Row, check, every

FREE_FIELD = "phasors of two speakers 0.49 m apart in path at 24 °C, worked out apart"
PAIR = {"path_difference": 0.49, "temperature": 24.0, "left_frequency": 190.0, "right_frequency": 410.0}
ALONE = {"path_difference": 0.49, "temperature": 24.0, "left_order": "none", "right_frequency": 353.0}
TAPES = {
    "speakers": [
        {"name": "Left", "distance_1": 0.98, "distance_2": 1.47},
        {"name": "Right", "distance_1": 1.47, "distance_2": 0.98},
    ],
    "temperature": 24.0,
}
BOXES = {"low_pass": 80.0, "low_falls": 45.0, "low_falls_q": 0.8, "high_falls": 70.0, "high_falls_q": 0.8}
SMALL_BOXES = {
    "low_pass": 80.0,
    "low_falls": 40.0,
    "low_falls_q": 0.7,
    "high_falls": 90.0,
    "high_falls_q": 0.7,
}
IDENTITY = "BW2 · BW2 = LR4: Linkwitz, JAES 24 (1976) 2"
CONTOUR = "ISO 226:2003, clause 4.1, from Table 1"


def rows(
    slug: str, inputs: dict[str, Any], source: str, *values: tuple[str, float | str | None, float]
) -> list[Row]:
    return [Row(slug, slug, inputs, path, found, near, source, "calc") for path, found, near in values]


AS_LINKWITZ_RILEY = {"family": "butterworth", "slope": 12.0}
ROWS = [
    *rows("delay-two-seats", TAPES, FREE_FIELD,
          ("pairs[0].late_1", 1.418e-3, 1e-6), ("speakers[0].delay", 0.0, 1e-12),
          ("opposed_low", 176.3, 0.1), ("opposed_centre", 352.6, 0.1), ("opposed_high", 528.9, 0.1)),
    *rows("all-pass", PAIR, FREE_FIELD,
          ("without", -3.40, 0.02), ("mean_1", -1.42, 0.02), ("mean_2", -1.47, 0.02),
          ("lowest_frequency_1", 523.0, 1.0), ("lowest_frequency_2", 170.0, 1.0)),
    *rows("all-pass", PAIR, "2Q/(π·f), by hand",
          ("left_delay", 6.701e-3, 1e-6), ("right_delay", 2.174e-3, 1e-6)),
    *rows("all-pass", ALONE | {"right_q": 1.0}, FREE_FIELD, ("mean_1", -4.11, 0.02), ("mean_2", -0.27, 0.02),
          ("gain_low", 247.0, 2.0), ("gain_high", 469.9, 2.0)),
    *rows("all-pass", ALONE | {"right_q": 4.0}, FREE_FIELD,
          ("gain_low", 289.7, 2.0), ("gain_high", 421.3, 2.0)),
    *rows("all-pass", ALONE | {"right_q": 1.0, "high": 400.0}, FREE_FIELD,
          ("lowest_frequency_1", 198.3, 0.5)),
    *rows("all-pass", ALONE | {"right_q": 4.0, "high": 400.0}, FREE_FIELD,
          ("lowest_frequency_1", 263.3, 0.5)),
    *rows("acoustic-slope",
          AS_LINKWITZ_RILEY | {"corner": 80.0, "driver_frequency": 80.0, "driver_q": math.sqrt(0.5)},
          IDENTITY,
          ("acoustic_level", -6.0206, 1e-4), ("octave_level", -24.609, 1e-3), ("acoustic_corner", 80.0, 1e-6),
          ("nearest", "Butterworth, 12 dB/oct", 0), ("nearest_corner", 80.0, 1e-9)),
    *rows("crossover", BOXES, "phase of two second-order high-passes at 80 Hz, by hand",
          ("phase", 32.10, 0.02)),
    *rows("crossover", SMALL_BOXES, "the same, 40 Hz and 90 Hz", ("phase", 55.9, 0.2)),
    *rows("crossover", {"low_pass": 80.0, "low_gain": -6.0, "high_gain": -6.0},
          "both 6 dB down, so is their sum", ("sum_level", -6.0, 1e-9), ("low_level", -12.0206, 1e-4)),
    *rows("loudness-contour", {"tuned": 80.0, "listening": 60.0}, CONTOUR, ("bass_lift", 8.24, 0.02)),
    *rows("loudness-contour", {"tuned": 70.0, "listening": 70.0}, CONTOUR,
          ("bands[3].heard_level", 99.8, 0.1), ("bands[8].heard_level", 82.9, 0.1)),
    *rows("starting-trim", {"channels": [
              {"name": "a", "sensitivity": 90.0, "power": 100.0, "distance": 1.0},
              {"name": "b", "sensitivity": 90.0, "power": 50.0, "distance": 2.0}]},
          "10·log10(2) + 20·log10(2), by hand",
          ("channels[0].trim", -9.031, 1e-3), ("channels[0].full_level", 110.0, 1e-9)),
    *rows("sub-alignment", {"given": "model", "sub_resonance": None, "front_resonance": None,
                            "sub_distance": 1.8, "front_distance": 1.4568},
          "LR24 low and high are in step; 0.3432 m of air is 1 ms at 20 °C",
          ("delay", -1e-3, 1.5e-6), ("mean_loss", 0.0, 1e-6)),
]  # fmt: skip


@every(ROWS)
def test_published_values(row: Row) -> None:
    check(row)


@pytest.mark.parametrize(
    ("frequency", "level"),
    [(20, 99.85), (25, 93.94), (31.5, 88.17), (40, 82.63), (50, 77.78), (63, 73.08), (80, 68.48),
     (100, 64.37), (125, 60.59), (160, 56.70), (200, 53.41), (250, 50.40), (315, 47.58), (400, 44.98),
     (500, 43.05), (630, 41.34), (800, 40.06), (1000, 40.01), (1250, 41.82), (1600, 42.51), (2000, 39.23),
     (2500, 36.51), (3150, 35.61), (4000, 36.65), (5000, 40.01), (6300, 45.83), (8000, 51.80),
     (10000, 54.28), (12500, 51.49)],
)  # fmt: skip
def test_contour_of_40_phon(frequency: float, level: float) -> None:
    """ISO 226:2003, Annex B, Table B.1 (from memory): every frequency of it."""
    place = audibility.CONTOUR_FREQUENCIES.index(frequency)
    assert audibility.equal_loudness(40.0)[place] == pytest.approx(level, abs=0.006)


def test_group_delay_just_noticed() -> None:
    """Blauert and Laws, JASA 63 (1978) 1478: 3.2, 2, 1, 1.5 and 2 ms (read in a reference that quotes it)."""
    for frequency, noticed in ((500, 3.2e-3), (1000, 2e-3), (2000, 1e-3), (4000, 1.5e-3), (8000, 2e-3)):
        assert audibility.group_delay_noticed(frequency) == pytest.approx(noticed, rel=1e-9)
    assert audibility.group_delay_noticed(400.0) is None
    assert audibility.group_delay_noticed(9000.0) is None


@pytest.mark.parametrize("share", [0.5, 0.8])
def test_fair_delays_are_the_least_squares_of_both_seats(share: float) -> None:
    """One delay a speaker, one free moment a seat: against SciPy's solver of linear least squares."""
    rng = np.random.default_rng(7)
    first, second = rng.uniform(2e-3, 8e-3, (2, 5))
    weights = np.sqrt(np.concatenate([np.full(5, share), np.full(5, 1 - share)]))
    both = np.vstack([np.eye(5), np.eye(5)])
    moments = np.repeat(np.eye(2), 5, axis=0)
    solved = lsq_linear(
        np.hstack([both, -moments]) * weights[:, np.newaxis], -np.concatenate([first, second]) * weights
    ).x[:5]
    found = np.array(two_seats.fair_waits(first.tolist(), second.tolist(), share))
    assert found - found.mean() == pytest.approx(solved - solved.mean(), abs=1e-9)
    with pytest.raises(ValueError, match="both seats"):
        two_seats.fair_waits([1.0], [1.0, 2.0], 0.5)


def test_what_opposes_is_the_pair_that_plays_those_notes() -> None:
    """Tweeters are farther apart than woofers, but play nothing from 166 to 498 Hz."""
    speakers = [
        {"name": "Left tweeter", "distance_1": 0.86, "distance_2": 1.38, "low": 3000.0},
        {"name": "Left woofer", "distance_1": 0.98, "distance_2": 1.47, "low": 80.0, "high": 3000.0},
        {"name": "Right tweeter", "distance_1": 1.38, "distance_2": 0.86, "low": 3000.0},
        {"name": "Right woofer", "distance_1": 1.47, "distance_2": 0.98, "low": 80.0, "high": 3000.0},
    ]
    found = run_values(find_calculator("delay-two-seats"), {"speakers": speakers, "temperature": 24.0}).result
    assert found.farthest == "Left woofer and Right woofer"
    assert found.opposed_centre == pytest.approx(352.6, abs=0.1)


def test_a_delay_at_one_seat_alone_is_that_of_delay() -> None:
    tapes = [(0.86, 1.38), (0.98, 1.47), (1.92, 1.94)]
    both = [{"name": str(n), "distance_1": a, "distance_2": b} for n, (a, b) in enumerate(tapes)]
    one = [{"name": str(n), "distance": a} for n, (a, _) in enumerate(tapes)]
    shared = run_values(find_calculator("delay-two-seats"), {"speakers": both, "seat_share": 1.0}).result
    alone = run_values(find_calculator("delay"), {"speakers": one}).result
    assert [row.delay for row in shared.speakers] == pytest.approx([row.delay for row in alone.speakers])
