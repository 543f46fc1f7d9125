"""Whoever takes the calculator that a self-check leads to, and types what the question tells, is right."""

import re
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from calculators.self_checks import BLOCKS, asking, find_check, question
from calculators.self_checks.asking import Figure
from calculators.site.fences import body, facts_of, resolved
from calculators.site.study import form_address
from calculators.stages import find_calculator
from tests.test_self_checks import STRIDE

TOLD = {
    "bleed_time": "capacitance charging_voltage bleed_resistance",
    "ears_left": "exposures",
    "parked_days": "drains capacity usable",
    "cable_drop": "current length area route temperature return extra",
    "amplifier_current": "amplifiers supply",
    "hold_up_farads": "power duration start minimum profile isolator derate esr",
    "decibel_change": "voltage_ratio",
    "volts_for_power": "power load",
    "noise_level": "noise_voltage load sensitivity distance",
    "two_levels": "levels coherent",
    "box_q": "qts vas volume source_resistance",
    "box_resonance": "fs vas volume",
    "crash_force": "mass forward",
    "test_volts": "power load overlap",
    "filling_time": "capacitance resistance fraction",
    "thermal_limit": "driver_power load",
    "delay_time": "speakers temperature",
    "delay_samples": "speakers temperature step sample_rate",
    "phase_time": "frequency wanted_phase",
    "opposed_note": "path_difference temperature",
    "slope_level": "family slope low_pass at",
    "sheet_delay": "begin_with temperature channels",
    "phase_left": "frequency delay",
    "trim_in_front": "filters crossed",
    "run_resistance": "current length area route temperature return extra insulation",  # Its volts hold all.
    "minutes_allowed": "exposures",
    "tweeter_noise": "noise_voltage distance",
    "quarter_volts": "decibels",
    "coil_reading": "load length area",
}
"""The inputs that each question tells; all others are typed by nobody, and stand as the page shows them."""

ONE_OF_FOUR = {"decibels"}
"""A form that wants one field alone: what the page shows there is taken out."""


def on_the_page(slug: str) -> dict[str, Any]:
    """What the form that a self-check leads to shows before anything is typed."""
    page, _, _ = form_address(slug).partition("#")
    place = next(
        path for path in (Path(f"docs/{page[:-1]}.md"), Path(f"docs/{page}index.md")) if path.exists()
    )
    fence = re.search(rf"^```(calculator\n{slug}\n.*?)^```", place.read_text(encoding="utf-8"), re.M | re.S)
    assert fence
    _, settings = body(fence[1].partition("\n")[2])
    settings.pop("as", "")
    facts_of(settings)
    return resolved(settings) or dict(find_calculator(slug).example)


@pytest.mark.parametrize(
    ("block", "name"), [(block, name) for block in BLOCKS for name in BLOCKS[block].checks]
)
def test_the_form_with_what_the_question_tells_gives_the_answer(
    block: str, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn = [question(block, name, number * STRIDE) for number in range(5)]
    told = TOLD.get(name, "").split()
    whole = asking.result

    def in_form(slug: str, **values: Any) -> Any:
        """What the form gives whose reader types what is told, and nothing else."""
        stands = {} if slug in ONE_OF_FOUR else on_the_page(slug)
        return whole(slug, **stands | {entry: value for entry, value in values.items() if entry in told})

    monkeypatch.setattr(import_module(find_check(block, name).__module__), "result", in_form, raising=False)
    monkeypatch.setattr(asking, "result", in_form)
    for number, asked in enumerate(drawn):
        if isinstance(asked, Figure):
            again = question(block, name, number * STRIDE)
            assert again.asked == asked.asked
            assert again.answer == pytest.approx(asked.answer, abs=asked.tolerance), asked.asked
