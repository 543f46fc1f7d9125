"""The pages on sound treatment: the gate first, steps in an order that can be done, limits with figures."""

import json
import math
import re

import numpy as np
import pytest

from calculators.cautions import CAUTIONS
from calculators.declaring import Outcome, run_values
from calculators.physics import damping
from calculators.stages import find_calculator
from tests.site.test_cautions_on_pages import printed
from tests.site.test_electrics_pages import place, section, steps
from tests.site.test_pages import DOCS, sources

PAGES = {
    address.rsplit("/", 2)[1]: markdown
    for address, markdown in sources().items()
    if address.startswith("stages/treatment/")
}
JOB = json.loads((DOCS / "job.json").read_text(encoding="utf-8"))["treatment"]
# As the outline of the stage lists them; sealing adds sealant, the floor drilling and high voltage.
CAUTIONS_DUE = {
    "water-path": "S01 S06 S07 S10 S12 S13",
    "damping": "S01 S06 S07 S10 S12 S13 S26",
    "sealing": "S01 S05 S06 S07 S10 S12 S13 S25 S26",
    "behind-driver": "S01 S06 S12 S26",
    "floor": "S01 S04 S05 S06 S07 S08 S11 S12 S13 S21 S26",
}

every = pytest.mark.parametrize("name", sorted(CAUTIONS_DUE))


def flat(markdown: str) -> str:
    """A page's words on one line, without marks of emphasis."""
    return " ".join(markdown.replace("*", "").split())


def plan(panels: str = "panels") -> Outcome:
    outcome = run_values(
        find_calculator("treatment-plan"),
        {"doors": JOB["doors"], "panels": JOB[panels], "materials": JOB["materials"]},
    )
    assert outcome.errors == ()
    return outcome


def test_all_pages_of_the_stage_are_here() -> None:
    assert set(PAGES) == set(CAUTIONS_DUE)


@every
def test_each_page_has_its_calculator(name: str) -> None:
    """Steps, limits and mistakes are counted in `test_page_anatomy`."""
    assert "```calculator" in section(PAGES[name], "Work it out")


@every
def test_cautions_are_printed_whole(name: str) -> None:
    assert set(CAUTIONS_DUE[name].split()) <= printed(PAGES[name])


@every
def test_the_gate_stands_before_the_first_step(name: str) -> None:
    """On every page a door with a pressure sensor, or an unknown one, is left as it is, before any step."""
    markdown = PAGES[name]
    before = flat(markdown[: markdown.index("## Before you start")])
    assert "!!! danger" in before
    assert re.search(r"pressure(-type| type| sensor)|of the pressure type", before, re.IGNORECASE)
    assert "not known" in before
    assert re.search(
        r"neither sealed nor opened|gets no sheet|No plates, no sealing|no absorber in this door|stays as it",
        before,
    )
    assert "100 mm" in before


def test_the_gate_is_the_first_step_and_signed_again_at_sealing() -> None:
    first = steps(PAGES["water-path"])[0]
    assert first.startswith("The gate.")
    assert "sensor type" in first
    assert "not known" in first
    again = steps(PAGES["sealing"])[0]
    assert "gate" in again
    assert "sign" in again
    gate = flat(PAGES["sealing"])
    assert "The limit of 5 cm² below does not apply" in gate
    assert "no change of speaker opening, adaptor depth or cavity" in gate
    assert "If that rules the job out, say so in the quote" in flat(PAGES["water-path"])


def test_a_torn_membrane_is_replaced_whatever_its_size() -> None:
    for page in ("water-path", "sealing"):
        assert re.search(
            r"[Aa]ny tear, cut, hole or lost glue line.{0,20}new",
            flat(section(PAGES[page], "Before you start")),
        )
    assert "20 mm" not in section(PAGES["water-path"], "Steps")


def test_the_panel_is_wiped_last_and_never_heated_wet() -> None:
    """Drains, water, dry, rust and its cure, vacuum, degrease, alcohol, flash off, warm."""
    lines = steps(PAGES["water-path"])
    order = [
        place(lines, pattern)
        for pattern in (
            "The gate", "count and mark the drains", "1 L along", "Dry the door", "full cure", "Vacuum",
            "Degrease", "Isopropyl", "flash off", "Warm it to 18",
        )
    ]  # fmt: skip
    assert order == sorted(set(order))
    assert "No heat gun" in lines[place(lines, "flash off")]
    assert "0.9 L" in PAGES["water-path"]


def test_windows_run_before_any_restraint_plug_is_apart() -> None:
    lines = steps(PAGES["sealing"])
    hold = lines[place(lines, "H3a")]
    assert hold.index("Nothing smells in the door") < hold.index("Then live")
    assert place(lines, "Cavity wax") < place(lines, "H3a")
    for words in (
        "before any seat, console or airbag plug comes apart",
        "refit and latch every restraint connector first",
        "nobody in the seats",
        "glass five times",
        "Never feed a window motor from a bench supply",
    ):
        assert words in hold
    before = flat(section(PAGES["floor"], "Before you start"))
    assert "H3a" in before
    assert "only then do seats" in before


def test_the_hose_comes_before_foam() -> None:
    lines = steps(PAGES["behind-driver"])
    assert place(lines, "Hose test first") == 0
    assert place(lines, "absorber") > 0
    assert "5 minutes" in lines[0]


def test_seats_children_and_pedals() -> None:
    floor = flat(PAGES["floor"])
    for words in (
        "Nothing between a seat foot, belt anchor, console bracket or pedal box and the body",
        "no foam, felt or barrier under it",
        "no height added under accelerator, brake or the driver's heel",
        "tether over its path to its anchor",
        "no hole, no rivet, no self-tapping screw in floor, sill, tunnel or well",
        "100 mm/min or less by ISO 3795",
    ):
        assert words in floor, words
    assert "Bitumen lies on floors only" in flat(PAGES["damping"])


def test_figures_in_the_text_are_those_of_the_physics() -> None:
    text = flat(PAGES["damping"])
    steps_up = [damping.quieter(0.005, damping.covered(0.005, 0.095, part)) for part in (0.25, 0.5, 1.0)]
    assert f"the second {steps_up[1] - steps_up[0]:.1f} dB" in text
    assert f"the second half together {steps_up[2] - steps_up[1]:.1f} dB" in text
    assert "all of it `#!answer sold.layers[0].quieter`" in text
    assert f"{100 * damping.middle_share(0.25, 1, 1, 0.3):.0f} % of what bends" in text
    assert f"the middle half {100 * damping.middle_share(0.5, 1, 1, 0.3):.0f} %" in text
    for frequency in (100, 200):
        assert f"{damping.loss_for_decay(0.1, frequency, 20):.3f} at {frequency} Hz" in text
    sealing = flat(PAGES["sealing"])
    for square_cm in (5, 20, 50):
        area = square_cm * 1e-4
        mass = 0.001 + 1.7 * math.sqrt(area / math.pi)
        port = 343.2 / (2 * math.pi) * math.sqrt(area / (0.040 * mass))
        assert re.search(rf"{square_cm} cm² (is tuned )?to {port:.0f} Hz", sealing), (square_cm, port)
    behind = flat(PAGES["behind-driver"])
    assert f"by {100 * (12 - 8) / 12:.0f} to {100 * (12 - 6.5) / 12:.0f} %" in behind


def test_the_sealant_under_a_sheet_cures_from_one_side() -> None:
    """5 mm with one side shut at 16 °C: (5/3)² days at 23 °C, × 2^0.7, are 108 h; a quarter open on both."""
    text = flat(PAGES["sealing"])
    width = re.search(r"sealant under the plates is (\d) mm wide", text)
    assert width
    assert JOB["sealant_bead"] == pytest.approx(1e-3 * int(width[1]))
    cured = run_values(
        find_calculator("cure-time"),
        {
            "kind": "moisture", "data_time": JOB["sealant_time"], "data_depth": JOB["sealant_depth"],
            "depth": JOB["sealant_bead"], "temperature": JOB["night_temperature"],
        },
    ).result  # fmt: skip
    hours = 24 * (5 / 3) ** 2 * 2 ** ((23 - 16) / 10)
    assert cured.cured_after == pytest.approx(3600 * hours, rel=1e-3)  # type: ignore[union-attr]
    assert "four days and a half" in text
    assert hours / 24 == pytest.approx(4.5, abs=0.05)
    assert "sealant under the plates has cured" in flat(PAGES["behind-driver"])


def test_clamped_edges_put_less_of_the_bending_in_the_middle() -> None:
    """A square, ν 0.3, a clamped beam's first mode both ways (root 4.7300: Blevins 1979, from memory)."""
    root, blend = 4.730041, 0.982502
    points = np.linspace(0, 1, 801)
    hyperbolic, circular = root * points, root * points
    shape = np.cosh(hyperbolic) - np.cos(circular) - blend * (np.sinh(hyperbolic) - np.sin(circular))
    slope = np.sinh(hyperbolic) + np.sin(circular) - blend * (np.cosh(hyperbolic) - np.cos(circular))
    bend = np.cosh(hyperbolic) + np.cos(circular) - blend * (np.sinh(hyperbolic) + np.sin(circular))
    along, across, twist = np.outer(bend, shape), np.outer(shape, bend), np.outer(slope, slope)
    energy = (along + across) ** 2 - 2 * 0.7 * (along * across - twist**2)
    shares = []
    for part in (0.25, 0.5):
        inside = np.abs(points - 0.5) <= math.sqrt(part) / 2
        shares.append(100 * energy[np.ix_(inside, inside)].sum() / energy.sum())
    text = flat(PAGES["damping"])
    assert f"with edges clamped about {shares[0]:.0f} and {shares[1]:.0f} %" in text
    assert shares[1] > 50
    assert "more than half of the bending is in the middle half" in text


def test_the_plates_cover_their_openings_and_20_mm_all_round() -> None:
    """Squares of 7 and 3 dm² with 20 mm all round are 13.8 dm²; round ones 13.4."""
    (opening,) = re.findall(
        r"opening of (\d) dm² for the regulator, one of (\d) dm² beside it", flat(PAGES["sealing"])
    )
    least = sum((math.sqrt(int(area) * 1e-2) + 0.04) ** 2 for area in opening)
    plates = [panel["area"] for panel in JOB["panels"] if panel["layer"] == "plates"]
    assert plates == [pytest.approx(least, abs=3e-3)] * 2
    assert all(area >= least for area in plates)
    # The mass page weighs the same doors.
    doors = json.loads((DOCS / "job.json").read_text(encoding="utf-8"))["mass"]["job"][:2]
    for found, door in zip(plan().result.doors, doors, strict=True):  # type: ignore[union-attr]
        assert door["mass"] == pytest.approx(found.mass, abs=5e-3)


def test_a_drain_is_judged_by_one_measure_everywhere() -> None:
    text = flat(PAGES["water-path"])
    assert text.count("0.9 L in the tray within 60 s") == 1
    assert "Of 1 L, 0.9 L was in the tray within 60 s" in text
    assert "1 L out" not in text
    assert "1 L was out" not in text


def test_what_holds_the_barrier_is_named() -> None:
    lines = steps(PAGES["floor"])
    held = lines[place(lines, "What holds it in a crash")]
    for words in ("crossmember", "the maker's own clips and screws", "none is laid"):
        assert words in held, words
    heat = lines[place(lines, "how hot the floor")]
    assert "no butyl, bitumen, foam, felt or barrier, unless its data sheet allows" in heat


def test_the_running_job_fails_as_sold_and_passes_as_planned() -> None:
    """The moments that teach: doors too heavy, rear doors refused; then half the sheet, and it passes."""
    sold, planned = plan("panels_as_sold"), plan()
    refused = [advice for advice in sold.advice if advice.danger]
    assert len(refused) == 2
    assert all("rear door" in advice.message for advice in refused)
    assert {door.verdict for door in sold.result.doors[:2]} == {"over its limit"}  # type: ignore[union-attr]
    heavy = next(advice.message for advice in sold.advice if advice.about == "door_limit")
    assert "What the maker lets hinge and strap carry stands above it." in heavy
    assert "it stands above the 5 kg" in section(PAGES["damping"], "Numbers")
    assert {door.verdict for door in planned.result.doors} == {"may be treated"}  # type: ignore[union-attr]
    assert not any(advice.danger for advice in planned.advice)
    primer = run_values(
        find_calculator("cure-time"),
        {"data_time": JOB["primer_cure"], "temperature": JOB["night_temperature"], "available": JOB["night"]},
    ).result
    assert primer.in_time == "no"  # type: ignore[union-attr]


def test_cautions_say_what_they_must() -> None:
    for key, words in {
        "S06": ("heavier than air", "closed metal bin", "no heat gun"),
        "S08": ("FFP3", "class M"),
        "S10": ("60 °C", "fire watch"),
        "S12": ("Drains open and counted", "drip loop", "foil edges"),
        "S13": ("20 kg", "10 kg at arm's length", "Never cut on the panel"),
        "S25": ("allergic for life", "0.1 % free diisocyanate", "Never heat or grind fresh foam"),
        "S26": ("100 mm/min", "50 mm"),
        "S01": ("cover away from you",),
    }.items():
        said = " ".join(CAUTIONS[key].sentences)
        assert all(word in said for word in words), key
