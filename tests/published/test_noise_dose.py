"""Noise dose."""

from typing import Any

from tests.published.rows import Row, check, every

NIOSH = "NIOSH 98-126, 1.1, Table 1-1"
EU = "Directive 2003/10/EC, articles 2 and 3; ISO 1999"
MINUTE, HOUR = 60.0, 3600.0


def day(*stretches: tuple[float, float]) -> dict[str, Any]:
    return {"exposures": [{"level": level, "duration": duration} for level, duration in stretches]}


ALLOWED = [
    *(
        Row("AC-90", "noise-dose", day((level, MINUTE)), "niosh_allowed", minutes * MINUTE, 1e-6,
            NIOSH, "page")
        for level, minutes in ((85, 480), (88, 240), (91, 120), (94, 60), (97, 30), (100, 15))
    ),
    Row("AC-91", "noise-dose", day((90, MINUTE)), "niosh_allowed", 151.19 * MINUTE, 30.0, NIOSH, "page"),
    Row("AC-91", "noise-dose", day((90, MINUTE)), "niosh_allowed", 151.19 * MINUTE, 0.6, NIOSH, "calc"),
    *(
        Row("AC-93", "noise-dose", day((level, 1.0)), "niosh_allowed", seconds, 1e-3 * seconds, NIOSH, "page")
        for level, seconds in ((103, 450.0), (106, 225.0), (109, 112.5), (115, 28.125))
    ),
]  # fmt: skip

DOSES = [
    Row("AC-94", "noise-dose", day((88, 4 * HOUR), (91, 2 * HOUR)), "niosh_dose", 2.0, 1e-9, NIOSH, "calc"),
    Row("AC-94", "noise-dose", day((88, 4 * HOUR), (91, 2 * HOUR)), "time_weighted_level", 88.01, 1e-2,
        NIOSH, "page"),
    Row("AC-95", "noise-dose", day((94, HOUR), (97, 0.5 * HOUR)), "niosh_dose", 2.0, 1e-9, NIOSH, "calc"),
]  # fmt: skip

DAILY = [
    Row("AC-44", "noise-dose", day((90, HOUR), (80, 7 * HOUR)), "daily_level", 83.274, 1e-3,
        "ISO 1996-1", "calc"),
    Row("AC-96", "noise-dose", day((95, 0.5 * HOUR)), "daily_level", 82.959, 1e-3, EU, "calc"),
    Row("AC-98", "noise-dose", day((79.99, 8 * HOUR)), "eu_levels", (), 0, EU, "page"),
    Row("AC-98", "noise-dose", day((80, 8 * HOUR)), "eu_levels", (80.0,), 0, EU, "page"),
    Row("AC-98", "noise-dose", day((85, 8 * HOUR)), "eu_levels", (80.0, 85.0), 0, EU, "page"),
    Row("AC-98", "noise-dose", day((87, 8 * HOUR)), "eu_levels", (80.0, 85.0, 87.0), 0, EU, "page"),
    # SCENIHR 2008, Table 3: times that make a daily level of 85 dBA, rounded there.
    *(
        Row("AC-100", "noise-dose", day((level, minutes * MINUTE)), "daily_level", 85.0, 0.25,
            "SCENIHR 2008, Table 3", "page")
        for level, minutes in ((88, 240), (91, 120), (94, 60), (97, 30), (100, 15), (105, 5))
    ),
]  # fmt: skip

WHO = "ITU-T H.870 (2018, rev. 2022), clause 7; WHO-ITU standard 2019"
LISTENING = [
    Row("AC-101", "noise-dose", day((80, HOUR)), "weekly_listening", 40 * HOUR, 1e-6, WHO, "page"),
    *(
        Row("AC-102", "noise-dose", day((level, HOUR)), "weekly_listening", hours * HOUR, 36.0,
            WHO, "calc")
        for level, hours in ((83, 20.05), (86, 10.05), (90, 4.00), (100, 0.40))
    ),
    *(
        Row("AC-103", "noise-dose", day((level, HOUR)), "weekly_listening", minutes * MINUTE, 6.0,
            WHO, "calc")
        for level, minutes in ((95, 75.9), (98, 38.0), (101, 19.1), (107, 4.79), (110, 2.40))
    ),
    Row("AC-101", "noise-dose", day((75, HOUR)), "weekly_listening_child", 40 * HOUR, 1e-6, WHO, "page"),
    *(
        Row("AC-102", "noise-dose", day((level, HOUR)), "weekly_listening_child", hours * HOUR, 180.0,
            WHO, "calc")
        for level, hours in ((85, 4.0), (90, 1.26))
    ),
]  # fmt: skip


@every(ALLOWED)
def test_time_allowed(row: Row) -> None:
    check(row)


@every(DOSES)
def test_doses(row: Row) -> None:
    check(row)


@every(DAILY)
def test_daily_levels_and_european_values(row: Row) -> None:
    check(row)


@every(LISTENING)
def test_listening_in_a_week(row: Row) -> None:
    check(row)
