"""Sums of levels, comb filters and joins."""

from typing import Any

from tests.published.rows import Row, check, every

ISO_1996 = "ISO 1996-1, energy sum of levels"
COMB = "Everest and Pohlmann, Master Handbook of Acoustics, comb filters"
PHASORS = "phasor sum"
CHART = "addition chart of two levels, any textbook"
JOIN = "phase = 360 f t; equal levels 20 log cos(phase/2), textbook"


def levels(*values: float) -> dict[str, Any]:
    return {"levels": [{"level": value} for value in values]}


def in_phase(degrees: float) -> dict[str, Any]:
    return {"levels": [{"level": 0.0}, {"level": 0.0, "phase": degrees}], "coherent": True}


def gap(difference: float, **rest: float) -> dict[str, Any]:
    return {"direct": 1.0, "reflected": 1.0 + difference, **rest}


SUMS = [
    Row("AC-34", "level-sum", levels(90, 90), "total", 93.010, 1e-3, ISO_1996, "calc"),
    Row("AC-35", "level-sum", levels(90, 87), "total", 91.764, 1e-3, ISO_1996, "calc"),
    Row("AC-36", "level-sum", levels(90, 80), "total", 90.414, 1e-3, ISO_1996, "calc"),
    Row("AC-38", "level-sum", levels(*[70] * 10), "total", 80.000, 1e-9, ISO_1996, "calc"),
    Row("AC-46", "level-sum", levels(60, 60, 60), "above_loudest", 4.771, 1e-3, ISO_1996, "calc"),
    # Levels of a day as energies, weighted by their hours: ten times the log of hours over eight.
    Row("AC-44", "level-sum", levels(90 - 9.030900, 80 - 0.579919), "total", 83.274, 1e-3, ISO_1996, "calc"),
    # Octave bands with the A weighting of IEC 61672-1 Table 3 taken off.
    Row("AC-45", "level-sum", levels(90 - 26.2, 85 - 16.1, 80 - 8.6), "total", 73.796, 1e-3,
        "IEC 61672-1 Table 3", "calc"),
    *(
        Row("AC-40", "level-sum", levels(0, -difference), "total", increment, 1e-3, CHART, "calc")
        for difference, increment in (
            (0, 3.010), (1, 2.539), (2, 2.124), (3, 1.764), (4, 1.455), (6, 0.973), (10, 0.414),
        )
    ),
    *(
        Row("AC-41", "level-sum", in_phase(degrees), "total", total, 1e-3, PHASORS, "calc")
        for degrees, total in ((0, 6.021), (60, 4.771), (90, 3.010), (120, 0.000), (150, -5.719))
    ),
]  # fmt: skip

# Noise of one total, shared alike by its third octaves.
SHARED = [
    Row("AC-38", "level-trim", {"channels": [{"name": "one", "level": 80.0, "bands": 10}]},
        "channels[0].per_band", 70.0, 1e-9, ISO_1996, "calc"),
    *(
        Row("AC-38", "level-trim", {"channels": [{"name": "one", "level": 78.451, "bands": bands}]},
            "channels[0].per_band", level, 1e-3, ISO_1996, "calc")
        # 70 dB a band over 63 to 250 Hz is 78.5 dB; over other numbers of bands that total is not.
        for bands, level in ((7, 70.0), (3, 73.680), (13, 67.312))
    ),
]  # fmt: skip

LAW = "Clark, Dutton and Vanderlyn 1957, law of sines: (2 - 1)/(2 + 1) sin 30 degrees"
EVEN = {"near": 1.0, "far": 1.0, "between": 1.0}
VOICES = [
    Row("K-37", "voice-place", {**EVEN, "level": 6.0205999}, "image_angle", 9.594, 1e-3, LAW, "calc"),
    Row("K-37", "voice-place", {**EVEN, "level": 6.0205999}, "image", 0.14639, 1e-5, LAW, "calc"),
    # The running job's tweeters, worked by hand: sines -0.2928 and 0.8031, 6.9 dB or 0.11 ms to the middle.
    *(
        Row("K-37", "voice-place", {"near": 0.86, "far": 1.38, "between": 1.36, "temperature": 24.0}, path,
            expected, tolerance, "law of sines and Woodworth 1938, by hand", "calc")
        for path, expected, tolerance in (
            ("image", 0.2170, 1e-4), ("middle", 0.42824, 1e-5), ("level_trade", 6.895, 1e-3),
            ("delay_trade", 1.086e-4, 1e-7),
        )
    ),
]  # fmt: skip

COMBS = [
    Row("AC-47", "path-cancellation", gap(0.1716), "first_notch", 1000.0, 1e-3, COMB, "calc"),
    Row("AC-47", "path-cancellation", gap(0.1716), "notches[0]", 1000.0, 1e-3, COMB, "calc"),
    Row("AC-47", "path-cancellation", gap(0.1716), "notches[1]", 3000.0, 3e-3, COMB, "calc"),
    Row("AC-48", "path-cancellation", gap(0.50), "first_notch", 343.2, 1e-3, COMB, "calc"),
    Row("AC-48", "path-cancellation", gap(0.50), "peaks[0]", 686.4, 1e-3, COMB, "calc"),
    Row("AC-49", "path-cancellation", gap(0.10), "first_notch", 1716.0, 2e-3, COMB, "calc"),
    Row("AC-28", "path-cancellation", {"direct": 0.85, "reflected": 1.40}, "delay", 1.60256e-3, 1e-8,
        "ISO 9613-1, 343.2 m/s", "calc"),
    Row("AC-48", "opposed-band", {"path_difference": 0.5}, "band_centre", 343.2, 1e-6, COMB, "calc"),
    Row("AC-48", "opposed-band", {"path_difference": 0.5}, "band_low", 171.6, 1e-6, COMB, "calc"),
    Row("AC-48", "opposed-band", {"path_difference": 0.5}, "band_high", 514.8, 1e-6, COMB, "calc"),
    Row("AC-48", "opposed-band", {"path_difference": 0.5}, "next_low", 858.0, 1e-6, COMB, "calc"),
]  # fmt: skip

JOINS = [
    *(
        Row("AC-30", "phase-and-join", {"frequency": frequency, "delay": 1 / 48000}, "phase", degrees, 1e-9,
            "phase of one sample at 48 kHz, 360 f / rate", "calc")
        for frequency, degrees in ((80.0, 0.6), (1000.0, 7.5), (10000.0, 75.0))
    ),
    Row("ME-25", "phase-and-join", {"frequency": 10000.0, "delay": 0.5 / 48000}, "lost", -0.474, 1e-3,
        "cos(pi f t): half a sample at 10 kHz", "calc"),
    Row("ME-26", "phase-and-join", {"frequency": 80.0, "delay": 0.55 / 343.2}, "phase", 46.15, 1e-2,
        "0.55 m at 343.2 m/s", "calc"),
    Row("ME-26", "phase-and-join", {"frequency": 2000.0, "delay": 0.55 / 343.2}, "phase", 1153.85, 1e-2,
        "0.55 m at 343.2 m/s", "calc"),
    Row("ME-26", "phase-and-join", {"frequency": 2000.0, "delay": 0.55 / 343.2}, "phase_between", 73.85, 1e-2,
        "0.55 m at 343.2 m/s", "calc"),
    # A quarter and a third of a cycle late at 100 Hz.
    Row("K16", "phase-and-join", {"frequency": 100.0, "delay": 0.0025}, "lost", -3.01, 5e-3, JOIN, "calc"),
    Row("K16", "phase-and-join", {"frequency": 100.0, "delay": 1 / 300}, "lost", -6.02, 5e-3, JOIN, "calc"),
    Row("K16", "phase-and-join", {"frequency": 80.0, "wanted_phase": 30.0}, "delay_for_phase", 1.04e-3, 5e-6,
        JOIN, "calc"),
]  # fmt: skip


@every([*SUMS, *SHARED, *VOICES])
def test_sums(row: Row) -> None:
    check(row)


@every(COMBS)
def test_combs(row: Row) -> None:
    check(row)


@every(JOINS)
def test_joins(row: Row) -> None:
    check(row)
