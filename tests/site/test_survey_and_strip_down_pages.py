"""The pages on space, trim, routes and rattles: gates first, orders that could hurt, limits with figures."""

import json
import re
from itertools import pairwise

import pytest

from calculators.cautions import CAUTIONS
from calculators.declaring import run_values
from calculators.stages import find_calculator
from tests.site.test_cautions_on_pages import printed
from tests.site.test_electrics_pages import place, section, steps
from tests.site.test_pages import DOCS, sources

PAGES = sources()
SPACE = PAGES["stages/survey/space/"]
TRIM = PAGES["stages/strip-down/trim/"]
ROUTES = PAGES["stages/strip-down/routes/"]
RATTLES = PAGES["stages/verification/rattles/"]
JOB = json.loads((DOCS / "job.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("markdown", "due"),
    [
        (SPACE, "S01 S04 S06 S07 S11 S12 S13 S15 S16 S18"),
        (TRIM, "S01 S04 S06 S07 S11 S12 S13 S20"),
        (ROUTES, "S01 S04 S05 S11 S12 S16"),
        (RATTLES, "S07 S14 S15 S16 S22"),
    ],
    ids=["space", "trim", "routes", "rattles"],
)
def test_each_page_is_whole(markdown: str, due: str) -> None:
    """Cautions, steps, a figure in every signed line, a ground for every limit, a sign for every mistake."""
    assert set(due.split()) <= printed(markdown)
    assert len(steps(markdown)) >= 8
    signed = re.split(r"^- ", section(markdown, "Accept when"), flags=re.MULTILINE)[1:]
    assert len(signed) >= 5
    for line in signed:
        assert re.search(r"\d", re.sub(r"\]\([^)]*\)|\bH\d\w?", "", line)), line
    numbers = re.findall(r"^\| (?!---|What).*\|$", section(markdown, "Numbers"), re.MULTILINE)
    assert len(numbers) >= 8
    mistakes = [row for row in section(markdown, "Mistakes, and how each shows").splitlines() if "|" in row]
    assert len(mistakes) - 2 >= 8
    for row in (*numbers, *mistakes):
        assert all(cell.strip() for cell in row.strip("|").split("|")), row
    assert "Tools:" in section(markdown, "Before you start")
    assert "invented" in section(markdown, "The running job")
    assert "```figure" in markdown


def test_sensor_is_known_before_a_door_is_opened() -> None:
    lines = steps(SPACE)
    sensor = place(lines, r"side-impact sensor, pressure or acceleration")
    assert sensor == 0
    assert "Pressure, or not known: opening, depth, adaptor and membrane stay" in lines[0]
    assert sensor < place(lines, r"card and driver off")
    trim = steps(TRIM)
    assert "Pressure, or not known: it stays" in trim[place(trim, "the membrane, and the gate")]


def test_glass_runs_only_with_every_plug_home_and_no_hand_in_the_door() -> None:
    lines = steps(SPACE)
    run = lines[place(lines, "one person gives the word")]
    assert run.startswith("Hands and tools out. Tape and wedges off the glass.")
    for words in ("Every restraint plug home", "nobody seated", "steps 11 to 14"):
        assert words in run
    after = lines[place(lines, "one person gives the word") + 1]
    assert after.startswith("Dead again by make safe, steps 3 to 9")


def test_every_page_takes_the_wedges_off_before_the_glass_runs() -> None:
    runs = [
        line
        for address in ("stages/survey/space/", "stages/treatment/sealing/")
        for line in steps(PAGES[address])
        if "steps 11 to 14" in line
    ]
    assert len(runs) == 2
    for line in (*runs, *(words for words in CAUTIONS["S07"].sentences if words.startswith("To run"))):
        assert re.search(r"[Tt]ape and wedges off", line), line


def test_windows_are_up_in_a_door_that_will_be_worked_in() -> None:
    dead = " ".join(PAGES["stages/strip-down/make-safe/"].split())
    assert "Windows up in a door that will be worked in" in dead
    assert "glass up in a door that will be worked in" in " ".join(TRIM.split())
    assert "Windows down" not in dead


def test_the_clay_is_read_from_the_plane_that_the_fit_reckons_with() -> None:
    """18 mm of the maker's ring left in the reading show 31 mm of room where there are 13."""
    lines = steps(SPACE)
    assert "on the door's bare metal" in lines[place(lines, "clay gauge")]
    assert "from the metal's plane" in lines[place(lines, "least depth over the whole")]
    assert "on a ring that stays, its thickness is added" in lines[place(lines, "^Front: balls of clay")]
    fit = JOB["boxes"]["fit"]
    measures = {name: fit[name] for name in ("cutout", "opening", "magnet", "spacer", "front_height", "card")}
    measures |= {"xmax": fit["stop"], "depth": fit["depth"]}
    for more, room in ((0.0, 13), (0.018, 31)):
        found = run_values(find_calculator("driver-fit"), measures | {"glass": fit["glass"] + more}).result
        assert found.glass_clearance == pytest.approx(room * 1e-3)
    assert "31 mm on the sheet, 13 mm in the door" in SPACE


def test_the_well_is_read_for_a_hot_day_and_after_it_has_soaked() -> None:
    lines = steps(SPACE)
    well = lines[place(lines, "well's floor at once")]
    for words in ("outside air's temperature", "10 minutes", "The higher of the two", "lacked of 40 °C"):
        assert words in well, words
    found = re.search(
        r"motorway, (\d+) °C outside, its floor was at (\d+) °C, "
        r"and after 10 minutes of standing at (\d+) °C. "
        r"The day lacked (\d+) K of 40 °C: (\d+) °C",
        " ".join(SPACE.split()),
    )
    assert found
    outside, driven, soaked, lacking, worked = map(int, found.groups())
    assert lacking == 40 - outside
    assert worked == max(driven, soaked) + lacking <= 60


def test_the_survey_ends_with_the_door_closed_and_the_lamp_out() -> None:
    lines = steps(SPACE)
    closed = lines[place(lines, "closed again the same day")]
    for words in (
        "Tape and wedges off",
        "latch turned with a screwdriver",
        "steps 11 to 15",
        "restraint lamp",
        "H2 closed",
    ):
        assert words in closed, words
    assert place(lines, "clay gauge") < place(lines, "closed again") < place(lines, "H1: the customer")


def test_red_tape_says_what_stays_out() -> None:
    lines = steps(ROUTES)
    red = lines[place(lines, "^Red tape")]
    assert re.search(r"no hole.{0,10} goes: 100 mm round", red)
    assert re.search(r"no cable.{0,10} goes either: 50 mm round a belt reel", red)


def test_the_exhaust_is_cold_before_a_hand_goes_there() -> None:
    lines = steps(RATTLES)
    assert "only when the exhaust is cold" in lines[place(lines, "exhaust's shields")]
    assert "S16" in printed(RATTLES)


def test_doors_are_finished_before_a_seat_comes_apart() -> None:
    assert "before any seat, console or airbag plug comes apart" in " ".join(TRIM.split())
    lines = steps(TRIM)
    seats = place(lines, r"^Seats and console, after H3a")
    assert place(lines, "H2 signed") < place(lines, r"membrane, and the gate") < seats


def test_no_hole_in_the_floor_of_an_electric_vehicle() -> None:
    for text in (" ".join(ROUTES.split()), " ".join(CAUTIONS["S05"].sentences)):
        assert re.search(
            r"[Nn]o hole, rivet or self-tapping screw in floor, sill, tunnel or well, whatever the distance",
            text,
        )
    assert "0 holes in floor, sill, tunnel and well" in section(ROUTES, "Accept when")


def test_what_crash_drilling_and_law_ask_is_said_in_full() -> None:
    """Words of the outline that a shorter caution once left out."""
    for key, wanted in {
        "S05": ("ultra-high-strength", "class D", "magnet and vacuum", "Fuel vapour", "100 mm"),
        "S11": (
            "20 times",
            "10 times back",
            "half the fixings",
            "over 1 kg",
            "Lashing eyes",
            "Nothing here is approved",
        ),
        "S18": ("in writing", "axle loads", "inspection", "proof your country asks for"),
    }.items():
        said = " ".join(CAUTIONS[key].sentences)
        for words in wanted:
            assert re.search(words, said), (key, words)


def test_the_ceiling_is_heard_from_outside() -> None:
    lines = steps(RATTLES)
    ceiling = lines[place(lines, r"^Ceiling, once")]
    assert "everybody outside" in ceiling
    assert "recording inside" in ceiling
    inside = lines[place(lines, r"95 dB\(C\) at the ear is the end")]
    assert inside.startswith("Ear protection on")
    assert "30 s at a time" in inside
    assert "proves nothing about a crash" in lines[place(lines, "200 N")]
    assert "high-pass" in section(RATTLES, "Before you start")
    sweeps = re.findall(r"^\| \w+ \| (\d+) to (\d+) Hz \| (\d+) s", RATTLES, re.MULTILINE)
    assert [int(length) for _, _, length in sweeps] == [30, 30, 30, 30, 20]
    hunt = [(int(low), int(high)) for low, high, _ in sweeps[:4]]
    assert all(first[1] == second[0] for first, second in pairwise(hunt))
    assert (hunt[0][0], hunt[-1][1]) == (30, 250)


def test_the_whole_travel_finds_what_full_down_does_not() -> None:
    """The story of the survey: a deeper woofer passes by the glass full down, and the lifter hits it."""
    fit = JOB["boxes"]["fit"]
    measures = {name: fit[name] for name in ("cutout", "opening", "magnet", "spacer", "front_height", "card")}
    measures |= {"xmax": fit["stop"], "depth": JOB["survey"]["deeper"]}
    assert run_values(
        find_calculator("driver-fit"), measures | {"glass": JOB["survey"]["full_down"]}
    ).result.fits
    assert not run_values(find_calculator("driver-fit"), measures | {"glass": fit["glass"]}).result.fits
    heights = [
        int(found)
        for found in re.findall(r"(\d{3}) mm", section(SPACE, "The running job").split("| Front")[1])
    ]
    assert min(heights[:9]) == round(1e3 * JOB["boxes"]["well"]["depth"])
    assert f"The spare weighs {JOB['fixing']['spare_mass']:.1f} kg" in " ".join(SPACE.split())


def test_a_vehicle_without_a_starter_on_its_12_volts_has_its_own_way() -> None:
    """No plateau, ripple or load test of a converter; and all of its current counts at idle."""
    health, profile = PAGES["stages/survey/electrical-health/"], PAGES["stages/survey/restart-profile/"]
    (own,) = re.findall(r"^### No starter on the 12 V\n(.*?)^### ", health, re.MULTILINE | re.DOTALL)
    for words in ("In place of steps 4 to 7", "nobody in front of it", "No load test", "100 % of it at idle"):
        assert words in own
    assert "#no-starter-on-the-12-v" in section(health, "Before you start")
    assert "A converter in place of the alternator" in section(health, "Accept when")
    assert "no hold-up is wanted" in section(profile, "Before you start")
    inputs = find_calculator("charging-budget").inputs
    (share,) = [each for each in inputs if each.name == "idle_fraction"]
    assert "converter: 100 %" in share.kind.help
    told = run_values(find_calculator("charging-budget"), {"alternator": 150.0, "idle_fraction": 1.0})
    assert not any("usually between" in each.message for each in told.advice)
