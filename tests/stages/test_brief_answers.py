"""What stands large in a phone’s bar follows the verdict: no figure reassures where something comes first."""

from typing import Any

import numpy as np
import pytest

from calculators.declaring import Advice, OutputBrief
from calculators.presenting.plain_text import result_text
from calculators.presenting.results import result_html
from calculators.stages import find_calculator
from calculators.vocabulary.tune_sheet import SeatFound, tune_in_short
from tests.stages.test_level_dependence import FLAT, SHELF
from tests.stages.test_pick_up import curve, peak, run

MOST_SIGNS = 16


def in_short(slug: str, **inputs: Any) -> str:
    """The brief answer; it stands in the bar alone, and nowhere else."""
    done = run(slug, **inputs)
    assert not done.errors
    main = next(output for output in done.calculator.outputs if output.kind.main)
    brief = done.calculator.output(getattr(main.kind, "brief", ""))
    assert isinstance(brief.kind, OutputBrief)
    figure = getattr(done.result, brief.name)
    assert isinstance(figure, str)
    assert 0 < len(figure) <= MOST_SIGNS
    html = result_html(done)
    assert f' data-name="{brief.kind.label}" data-figure="{figure}"' in html
    assert f"<dt>{brief.kind.label}</dt>" not in html
    assert f"\n{brief.kind.label} " not in result_text(done)
    return figure


@pytest.mark.parametrize(("inputs", "figure"), [
    ({}, "yes"),
    ({"polarity": "inverted"}, "invert first"),
    ({"delay": 0.002}, "delay first"),
    ({"gain": 3.0}, "trim first"),
    ({"polarity": "inverted", "delay": 1e-3}, "invert, delay"),
    ({"polarity": "inverted", "delay": 1e-3, "gain": 3.0}, "set 3 first"),
    ({"gain": 15.0}, "not yet"),
    ({"family": "butterworth", "slope": 18.0}, "cannot tell"),
])  # fmt: skip
def test_two_feeds_are_not_said_to_sum_before_they_are_set(inputs: dict[str, Any], figure: str) -> None:
    assert in_short("feed-sum", given="model", corner=3000.0, **inputs) == figure


def probe(fall: float) -> list[dict[str, float]]:
    return [
        {"bass": -40.0, "tone": -52.0},
        {"bass": -20.0, "tone": -52.0},
        {"bass": -3.0, "tone": -52 - fall},
    ]


@pytest.mark.parametrize(("moves", "fall", "figure"), [
    ({}, 0.0, "yes"),
    ({}, 24.0, "limiter works"),
    ({"other_step": SHELF}, 0.0, "at one step only"),
    ({"other_file": SHELF}, 0.0, "no"),
    ({"same_volts": SHELF}, 0.0, "not yet"),
    ({"again": SHELF}, 24.0, "not yet"),
])  # fmt: skip
def test_a_limiter_and_a_sweep_that_does_not_repeat_are_said_in_the_bar(
    moves: dict[str, Any], fall: float, figure: str
) -> None:
    curves = dict.fromkeys(("middle", "other_step", "other_file", "again"), FLAT) | moves
    inputs = {name: curve(np.asarray(line)) for name, line in curves.items()}
    assert in_short("level-dependence", **inputs, probe=probe(fall)) == figure


def test_the_probe_alone_is_enough_to_say_that_a_limiter_works() -> None:
    assert in_short("level-dependence", middle=curve(FLAT), probe=probe(12.0)) == "limiter works"
    done = run("level-dependence", middle=curve(FLAT), probe=probe(12.0))
    assert done.result.verdict.endswith("; a limiter works")


@pytest.mark.parametrize(("inputs", "figure"), [
    ({"sub_distance": 1.92, "front_distance": 1.47}, "others +1.31 ms"),
    ({"sub_distance": 1.0, "front_distance": 2.0}, "sub +2.91 ms"),
    ({"sub_slope": 12.0, "front_slope": 12.0, "polarity": "free"}, "turn polarity"),
    ({}, "leave as it is"),
    ({"wanted_over_front": 6.0}, "+6.0 dB"),
    ({"sub_distance": 0.5, "front_distance": 3.0}, "search again"),
    ({"sub_slope": 12.0, "front_slope": 12.0}, "prove polarity"),
])  # fmt: skip
def test_the_setting_of_a_join_is_whole_and_doubt_stands_before_it(
    inputs: dict[str, Any], figure: str
) -> None:
    plain = {"sub_resonance": None, "front_resonance": None, "sub_distance": 1.0, "front_distance": 1.0}
    assert in_short("sub-alignment", given="model", **plain | inputs) == figure


@pytest.mark.parametrize(("levels", "figure"), [
    (FLAT, "none needed"),
    (SHELF, "1 filter"),
    (peak(200.0, -20.0, 12.0), "not yet"),
])  # fmt: skip
def test_no_filter_is_not_said_of_a_sum_that_is_not_proven(levels: Any, figure: str) -> None:
    assert in_short("flatten", curve=curve(levels)) == figure
    assert in_short("flatten", curve=curve(peak(60.0, 9.0, 0.7)), max_cut=0.5, max_boost=0.0) != "none needed"


@pytest.mark.parametrize(("inputs", "figure"), [
    ({}, "levels and phase"),
    ({"microphone": "phone"}, "comparisons"),
    ({"functions": "unknown"}, "comparisons"),
    ({"functions": "on"}, "polarity alone"),
    ({"declared_lossy": True}, "levels alone"),
])  # fmt: skip
def test_a_recording_is_not_said_to_be_good_from_a_frequency_it_may_not_be_used_at(
    inputs: dict[str, Any], figure: str
) -> None:
    assert in_short("response", **inputs) == figure


def test_a_clipped_feed_over_the_input_is_told_from_half_a_decibel_on() -> None:
    told = {}
    for limit in (9.6, 10.2):  # 20 log10(9.6 × √2 / 15.2) is −0.98 dB, of 10.2 V −0.45 dB.
        done = run("speaker-level-feed", measured_voltage=8.4, input_limit=limit, rail=15.2)
        told[limit] = [entry.message for entry in done.advice if entry.about == "clipped_headroom"]
    assert told[10.2] == []
    assert len(told[9.6]) == 1
    assert "by 1.0 dB" in told[9.6][0]


@pytest.mark.parametrize(("rating", "hot"), [(9.4, False), (9.3, True)])
def test_a_load_resistor_as_large_as_was_asked_for_is_not_refused(rating: float, hot: bool) -> None:
    done = run(
        "speaker-level-feed", measured_voltage=8.4, input_limit=10.0, load_resistor=33.0, load_rating=rating
    )
    assert any(entry.about == "load_rating" for entry in done.advice) is hot


def test_a_chance_below_one_in_a_million_is_no_row_of_zeros() -> None:
    done = run("blind-test", right=200.0, rounds=200.0)
    assert 'data-figure="below 0.00010%"' in result_html(done)


def test_a_tune_says_how_much_is_to_check_before_how_near_it_comes() -> None:
    """By distances nothing is known of levels; where it all comes from is no check."""
    assert in_short("tune", **find_calculator("tune").example) == "delays only"
    seats = [
        SeatFound(
            name=name,
            before=6,
            after=after,
            single=2,
            worst=2,
            worst_frequency=100,
            apart=1,
            third_apart=2,
            third_frequency=8000,
        )
        for name, after in (("driver", 0.94), ("passenger", 1.32))
    ]
    source, wiring = Advice("begin_with", "Simulated."), Advice("channels", "Wired the wrong way round.")
    assert tune_in_short(seats, [source]) == "1.3 dB RMS off"
    assert tune_in_short(seats, [source, wiring]) == "1 check first"
    assert tune_in_short(seats, [wiring] * 12) == "12 checks first"


@pytest.mark.parametrize(("complaint", "figure"), [
    ("voices-from-door", "amplifier"),
    ("no-bass", "amplifier"),
    ("whines", "mend first"),
    ("lamp", "call the shop"),
])  # fmt: skip
def test_a_fault_is_mended_before_an_upgrade_is_named(complaint: str, figure: str) -> None:
    assert in_short("first-upgrade", complaint=complaint) == figure


@pytest.mark.parametrize(("customer", "figure"), [("private", "2595.22 XTS"), ("business", "2162.68 XTS")])
def test_a_business_reads_its_price_without_tax(customer: str, figure: str) -> None:
    """As in the words under it."""
    shown = in_short("quote", **dict(find_calculator("quote").example) | {"customer": customer})
    assert shown.replace("\u00a0", " ") == figure
