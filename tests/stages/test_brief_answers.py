"""What stands large in a phone’s bar follows the verdict: no figure reassures where something comes first."""

from typing import Any

import numpy as np
import pytest

from calculators.declaring import OutputBrief
from calculators.presenting.plain_text import result_text
from calculators.presenting.results import result_html
from tests.stages.test_level_dependence import FLAT, SHELF
from tests.stages.test_pick_up import curve, run

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
