"""A driver kept as a file comes back as it was; whatever else is opened is refused in words."""

import json
from typing import Any

import pytest

from calculators import browser
from calculators.declaring import InputError, run_typed, run_values
from calculators.declaring.kept_values import opened_fields, opens
from calculators.stages import every_calculator, find_calculator

BOXES = ("sealed-box", "vented-box", "door-speaker")
DRIVER = {
    "fs": 41.0, "qts": 0.55, "vas": 0.0231, "qms": 6.2, "re": 3.1, "sd": 0.0218, "le": 0.0011, "xmax": 0.0085,
    "driver_power": 250.0, "rated_impedance": 4.0,
}  # fmt: skip
"""Invented."""


def kept(slug: str, **values: Any) -> str:
    calculator = find_calculator(slug)
    outcome = run_values(calculator, dict(calculator.example) | values)
    assert not outcome.errors
    return str(outcome.result.driver_file.contents.decode())


def test_boxes_alone_open_a_driver() -> None:
    assert {calculator.slug for calculator in every_calculator() if opens(calculator)} == {*BOXES}


@pytest.mark.parametrize("slug", BOXES)
@pytest.mark.parametrize("source", BOXES)
def test_a_driver_comes_back_whole_in_another_box(source: str, slug: str) -> None:
    calculator = find_calculator(slug)
    example = run_values(calculator, calculator.example)
    fields = opened_fields(calculator, kept(source, **DRIVER))
    typed = {name: text for entry in calculator.inputs for name, text in entry.kind.write_text(
        entry.name, example.arguments.get(entry.name)).items()} | fields  # fmt: skip
    outcome = run_typed(calculator, typed)
    assert not outcome.errors
    for name, value in DRIVER.items():
        assert outcome.arguments[name] == pytest.approx(value, rel=1e-9)
    assert outcome.result.driver_file.contents.decode() == kept(source, **DRIVER)


def test_a_unit_chosen_before_is_put_back_and_what_is_not_known_is_emptied() -> None:
    fields = opened_fields(find_calculator("sealed-box"), kept("door-speaker", xmax=None, driver_power=None))
    assert fields["xmax"] == fields["driver_power"] == ""
    offered = {
        entry.name: entry.kind.units_offered()
        for entry in find_calculator("sealed-box").inputs
        if entry.name in fields and len(entry.kind.units_offered()) > 1
    }
    for name, units in offered.items():
        assert fields[f"{name}:unit"] == units[0]


def test_a_measured_driver_opens_in_a_box_and_one_without_vas_is_no_file() -> None:
    calculator = find_calculator("sealed-box")
    fields = opened_fields(calculator, kept("driver-parameters"))
    measured = find_calculator("driver-parameters")
    result = run_values(measured, measured.example).result
    assert float(fields["qts"]) == pytest.approx(result.qts, rel=1e-6)
    assert float(fields["vas"]) == pytest.approx(1000 * result.vas, rel=1e-6)
    assert fields["xmax"] == ""
    bare = {
        **measured.example,
        "added_mass": None,
        "fs_added": None,
        "box_volume": None,
        "fs_box": None,
        "qec": None,
    }
    assert run_values(measured, bare).result.driver_file is None


@pytest.mark.parametrize(
    ("contents", "said"),
    [
        ("", "no driver"),
        ("[" * 9_000, "no driver"),
        ('{"doorcard": "job"}', "no driver"),
        ('{"doorcard": "driver", "values": 3, "version": 1}', "no driver"),
        ('{"doorcard": "driver", "version": 2, "values": {"fs": 30}}', "another release"),
        ('{"doorcard": "driver", "version": 1, "values": {"fs": "30"}}', "“fs” is no number"),
        ('{"doorcard": "driver", "version": 1, "values": {"fs": null}}', "“fs” is no number"),
        ('{"doorcard": "driver", "version": 1, "values": {"fs": NaN}}', "“fs” is no number"),
        ('{"doorcard": "driver", "version": 1, "values": {"fs": true}}', "“fs” is no number"),
        ('{"doorcard": "driver", "version": 1, "values": {"colour": 3}}', "holds nothing"),
        (json.dumps({"doorcard": "driver", "version": 1, "values": {"fs": 10**400}}), "“fs” is no number"),
    ],
)
def test_what_is_no_driver_is_refused_in_words(contents: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        opened_fields(find_calculator("vented-box"), contents)


def test_the_page_s_door_gives_the_fields_or_says_why_not() -> None:
    def told(contents: str) -> Any:
        asked = {"calculator": "open:sealed-box", "inputs": {"contents": contents}}
        return json.loads(browser.begin(1, json.dumps(asked)))

    good = told(kept("sealed-box", **DRIVER))
    assert good["errors"] == []
    assert good["fields"]["fs"] == "41"
    bad = told("what")
    assert "no driver" in bad["errors"][0]["message"]
    assert "fields" not in bad
