"""What each calculator and page says of a door or a place for a box that can hurt: one table.

All of what is fixed is worked through in `tests/stages/test_fabrication.py`.
"""

from typing import Any

import pytest

from calculators.cautions import CAUTIONS
from calculators.declaring import Outcome, run_values
from calculators.stages import find_calculator
from calculators.vocabulary.treatment import SENSORS
from tests.site.test_cautions_on_pages import printed
from tests.site.test_pages import sources

PAGES = sources()
DOOR = {"fs": 62.0, "qts": 0.6, "vas": 0.012}
FIT = {"cutout": 0.144, "opening": 0.14, "depth": 0.069, "magnet": 0.1, "glass": 0.062}
PLAN = {
    "panels": [{"place": "left-front-door", "layer": "damping", "area": 0.3}],
    "materials": [{"goods": "butyl", "sheet_width": 0.5, "sheet_height": 0.8, "surface_mass": 3.4}],
}
FIXED = {
    "mass": 11.0,
    "centre_height": 0.05,
    "row_spacing": 0.3,
    "face": "floor",
    "holes": "maker",
    "drive": "fuel",
    "anchors": "clear",
    "sheet": 0.002,
}
WELL = {"shape": "well", "diameter": 0.56, "bottom_diameter": 0.53, "height": 0.105}

STAYS = ("No plates, no sealing", "speaker opening, adaptor depth and cavity stay")
NOT_KNOWN = ("is not known", "counts as a pressure sensor", *STAYS)
FEELS = ("feels the air in the door", *STAYS, "say so in the quote")

SAID = [
    ("sensor unknown", "door-speaker", DOOR | {"leak_area": 0.005}, NOT_KNOWN),
    ("sensor pressure", "door-speaker", DOOR | {"leak_area": 0.005, "sensor": "pressure"}, FEELS),
    ("sensor unknown, hole too small", "driver-fit", FIT, NOT_KNOWN),
    (
        "sensor pressure, spacer",
        "driver-fit",
        FIT | {"opening": 0.15, "sensor": "pressure", "spacer": 0.018},
        FEELS,
    ),
    ("sensor unknown", "treatment-plan", PLAN, NOT_KNOWN),
    (
        "sensor pressure",
        "treatment-plan",
        PLAN | {"doors": [{"place": "left-front-door", "sensor": "pressure"}]},
        FEELS,
    ),
    (
        "torn membrane",
        "treatment-plan",
        PLAN | {"doors": [{"place": "left-front-door", "sensor": "acceleration", "membrane": "torn"}]},
        ("its membrane is not whole", "Fit a new one, or the maker's patch", "what the airbag senses by"),
    ),
    (
        "rear crush zone",
        "box-volume",
        WELL,
        ("rear crush zone", "no hole through its floor", "no heavier than the wheel it replaces"),
    ),
    (
        "child seat's tether",
        "fixing-load",
        FIXED | {"anchors": "shared"},
        ("top tether", "every strap reaches"),
    ),
    ("child seat not tried", "fixing-load", FIXED | {"anchors": "unknown"}, ("with a real child seat",)),
    (
        "rear crush zone",
        "fixing-load",
        FIXED | {"face": "well", "holes": "new"},
        ("rear crush zone", "no hole"),
    ),
    (
        "electric vehicle's floor",
        "fixing-load",
        FIXED | {"holes": "new", "drive": "electric"},
        ("no hole, rivet or self-tapping screw in floor, sill, tunnel or well", "whatever the distance"),
    ),
    (
        "vehicle not known",
        "fixing-load",
        FIXED | {"holes": "new", "drive": "unknown"},
        ("Not known counts as electric",),
    ),
]

PRINTED = [
    ("sensor", "stages/design/front-speakers/", ("Not known counts as a pressure sensor",)),
    ("torn membrane", "stages/treatment/water-path/", ("ny tear, cut, hole or lost glue line",)),
    ("torn membrane", "stages/treatment/sealing/", ("ny tear, cut, hole or lost glue line",)),
    (
        "child seat's tether",
        "stages/fabrication/enclosure/",
        ("top tether reaches its anchor over box and floor",),
    ),
    (
        "rear crush zone",
        "stages/fabrication/enclosure/",
        ("rear crush zone", "No hole through its floor", "60 °C"),
    ),
    (
        "child seat's tether",
        "stages/fabrication/false-floor/",
        ("A real child seat on each place", "tether and buckle reach over box and floor"),
    ),
    (
        "child seat's tether",
        "stages/design/mass-and-crash/",
        ("top tether", "A real child seat is strapped over"),
    ),
    (
        "rear crush zone",
        "stages/fabrication/false-floor/",
        (
            "rear crush zone",
            "no hole through it unless the maker's information shows the place",
            "over 80 °C",
        ),
    ),
    *(
        (
            "electric vehicle's floor",
            page,
            ("orange cables, or not known: no hole, rivet or self-tapping screw in floor, sill, tunnel",),
        )
        for page in ("stages/fabrication/false-floor/", "stages/design/mass-and-crash/")
    ),
    (
        "sensor unknown",
        "stages/fabrication/door-adaptors/",
        (
            "pressure type or not known",
            "no deeper or thicker adaptor, no change of the cavity",
            "say so in the quote",
        ),
    ),
    (
        "sensor unknown",
        "look-up/cut-out-and-drill/",
        ("not made wider before its side-impact sensor is known", "not known, it stays as it is"),
    ),
]


def run(slug: str, inputs: dict[str, Any]) -> Outcome:
    outcome = run_values(find_calculator(slug), inputs)
    assert outcome.errors == ()
    return outcome


@pytest.mark.parametrize(
    ("case", "slug", "inputs", "words"), SAID, ids=[f"{row[1]}: {row[0]}" for row in SAID]
)
def test_a_danger_stands_before_every_number(
    case: str, slug: str, inputs: dict[str, Any], words: tuple[str, ...]
) -> None:
    dangers = " ".join(advice.message for advice in run(slug, inputs).advice if advice.danger)
    assert dangers, case
    assert [word for word in words if word not in dangers] == []


@pytest.mark.parametrize(("case", "page", "words"), PRINTED, ids=[f"{row[1]}: {row[0]}" for row in PRINTED])
def test_the_page_says_it(case: str, page: str, words: tuple[str, ...]) -> None:
    said = " ".join(PAGES[page].replace("*", "").split())
    assert [word for word in words if word not in said] == [], case


def drawn_tight(outcome: Outcome) -> list[str]:
    chart = outcome.result.response_chart  # type: ignore[union-attr]
    return [series.label for series in chart.series if "tight" in series.label]


@pytest.mark.parametrize("sensor", ["unknown", "pressure"])
def test_a_closed_door_gets_no_word_of_sealing(sensor: str) -> None:
    """Nor a curve of the same door made tight, which would sell what may not be done."""
    outcome = run("door-speaker", DOOR | {"leak_area": 0.005, "sensor": sensor})
    notes = " ".join(advice.message for advice in outcome.advice if not advice.danger)
    assert "They stay" in notes
    assert "5 cm²" not in notes
    assert drawn_tight(outcome) == []
    fit = run("driver-fit", FIT | {"sensor": sensor})
    assert "opening_spare" not in [advice.about for advice in fit.advice]
    roomy = run("driver-fit", FIT | {"opening": 0.15, "depth": 0.05, "spacer": 0.018, "sensor": sensor})
    assert "its sensor lets no spacer in other than the maker's own" in getattr(roomy.result, "verdict", "")


@pytest.mark.parametrize("sensor", ["acceleration", "none"])
def test_another_sensor_lets_the_door_be_closed(sensor: str) -> None:
    outcome = run("door-speaker", DOOR | {"leak_area": 0.005, "sensor": sensor})
    assert not any(advice.danger for advice in outcome.advice)
    assert "5 cm² together" in outcome.advice[-1].message
    assert drawn_tight(outcome)
    fit = run("driver-fit", FIT | {"opening": 0.15, "spacer": 0.018, "sensor": sensor})
    assert not any(advice.danger for advice in fit.advice)


def test_a_driver_that_asks_for_no_change_fits_any_door() -> None:
    easy = FIT | {"opening": 0.15, "depth": 0.05}
    assert not any(advice.danger for advice in run("driver-fit", easy).advice)


@pytest.mark.parametrize("sensor", SENSORS)
def test_no_spacer_in_a_closed_door_asks_for_the_maker_s_own(sensor: str) -> None:
    """Its adaptor may be deeper than nothing: without one the door's air is another."""
    said = run("driver-fit", FIT | {"opening": 0.15, "depth": 0.05, "sensor": sensor}).advice
    told = any(entry.about == "spacer" and "the maker's own adaptor" in entry.message for entry in said)
    assert told == (sensor in {"unknown", "pressure"})


def test_an_electric_vehicle_s_floor_is_on_the_page_of_the_box() -> None:
    page = PAGES["stages/fabrication/enclosure/"]
    assert {"S04", "S05"} <= printed(page)
    assert "no hole, rivet or self-tapping screw in floor, sill, tunnel or well" in " ".join(
        CAUTIONS["S05"].sentences
    )
