"""Noise dose: the danger stands first."""

from typing import Any

from calculators.cautions import CAUTIONS
from calculators.declaring import Outcome, run_values
from calculators.presenting.results import result_html
from calculators.stages import find_calculator

HOUR = 3600.0


def day(*stretches: tuple[float, float]) -> Outcome:
    rows = [{"level": level, "duration": duration} for level, duration in stretches]
    return run_values(find_calculator("noise-dose"), {"exposures": rows})


def test_a_used_up_dose_is_a_danger_said_before_any_number() -> None:
    outcome = day((100, 0.5 * HOUR))
    assert outcome.advice[0].danger
    html = result_html(outcome)
    assert html.index("dc-danger") < html.index("dc-answers")
    assert outcome.result.niosh_left == 0


def test_a_quiet_day_has_no_warning() -> None:
    assert day((70, 8 * HOUR)).advice == ()


def test_the_upper_action_value_is_a_danger_and_the_lower_is_not() -> None:
    """Directive 2003/10/EC: protectors are used from the upper action value, offered from the lower."""
    assert any(entry.danger and entry.about == "daily_level" for entry in day((85, 8 * HOUR)).advice)
    lower = day((81, 8 * HOUR))
    assert [entry.about for entry in lower.advice] == ["daily_level"]
    assert not lower.advice[0].danger


def test_no_ear_is_given_140_dba() -> None:
    assert "140" in day((140, 1.0)).advice[0].message


def test_what_is_left_and_what_was_had_make_a_whole_day() -> None:
    result_: Any = day((88, HOUR), (94, 0.5 * HOUR)).result
    # NIOSH 98-126, Table 1-1: 88 dBA 4 h, 94 dBA 1 h; so 0.25 + 0.5 is had and a quarter of 1 h is left.
    assert abs(result_.niosh_left - 0.25 * HOUR) < 1e-6


def test_a_day_has_24_hours() -> None:
    assert [error.field for error in day((60, 20 * HOUR), (60, 5 * HOUR)).errors] == ["exposures"]


def test_its_caution_is_s14_in_full() -> None:
    assert find_calculator("noise-dose").cautions == ("S14",)
    words = " ".join(CAUTIONS["S14"].sentences)
    for part in ("85 dB(A)", "8 hours", "94 dB(A) is 1 hour", "100 dB(A) is 15 minutes", "protection",
                 "warn everybody", "hundredth of the power", "Never surprise a customer"):  # fmt: skip
        assert part in words


def test_no_time_longer_than_a_day_is_allowed_in_one() -> None:
    """At 70 dB(A) the rule gives 256 h: the time a dose takes, and no permission for a day."""
    html = result_html(day((70, 2 * HOUR))).replace("\u00a0", " ")
    assert "<dt>The loudest of these alone fills it in</dt><dd>256 h</dd>" in html
    assert "llowed in a day" not in html
    assert "safe" not in html
