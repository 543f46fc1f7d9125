"""The pages on adaptors, tweeters, floor and crash, and their two look-ups: gates, order, figures."""

import re

import pytest
import yaml

from calculators.physics import fixings
from calculators.site.look_up import table
from calculators.stages import find_calculator
from tests.site.test_cautions_on_pages import printed
from tests.site.test_electrics_pages import JOB, place, section, steps
from tests.site.test_pages import fences, sources
from tests.site.test_treatment_pages import flat

PAGES = sources()
CRASH = PAGES["stages/design/mass-and-crash/"]
FLOOR = PAGES["stages/fabrication/false-floor/"]
ADAPTORS = PAGES["stages/fabrication/door-adaptors/"]
TWEETER = PAGES["stages/fabrication/tweeter-place/"]
CARD = PAGES["look-up/sealed-box/"]
DRILL = PAGES["look-up/cut-out-and-drill/"]


@pytest.mark.parametrize(
    ("page", "due"),
    [
        (CRASH, "S01 S04 S05 S11 S18"),
        (FLOOR, "S01 S04 S05 S06 S07 S10 S11 S12 S13 S18 S21"),
        (ADAPTORS, "S01 S05 S06 S07 S08 S10 S12 S13"),
        (TWEETER, "S01 S05 S06 S10 S21"),
    ],
    ids=["crash", "floor", "adaptors", "tweeter"],
)
def test_cautions_and_gate_stand_before_the_first_step(page: str, due: str) -> None:
    assert set(due.split()) <= printed(page)
    assert "!!! danger" in page[: page.index("\n## Before you start")]
    assert re.search(r"```figure\n", page)


def test_no_page_calls_itself_a_certificate() -> None:
    for page in (CRASH, FLOOR):
        for sentence in re.split(r"(?<=[.:])\s", flat(page)):
            if "certificate" in sentence:
                assert re.search(r"\b(no|Nothing|never|not)\b", sentence), sentence
    assert "20 g is a habit of the trade" in flat(CRASH)


def test_shaking_by_hand_is_never_sold_as_a_proof() -> None:
    line = steps(FLOOR)[place(steps(FLOOR), "200 N on the box")]
    assert "This shows that it won't rattle. It proves nothing about a crash" in line
    for text in (section(FLOOR, "Numbers"), section(FLOOR, "Accept when")):
        assert re.search(r"200 N.*nothing about a crash", flat(text))


def test_box_first_and_proved_by_a_second_wrench_before_the_floor_covers_it() -> None:
    lines = steps(FLOOR)
    order = [
        place(lines, pattern)
        for pattern in ("Read the gates", "80 °C", "Fixings by the drawing", "Box first",
                        "Spring balance, 200 N", "second person rechecks", "Floor next",
                        "100 kg stacked", "child seat")
    ]  # fmt: skip
    assert order == sorted(set(order))


def test_the_sensor_is_the_first_step_of_a_ring() -> None:
    assert steps(ADAPTORS)[0].startswith("The gate: sensor's type")
    lines = steps(ADAPTORS)
    assert place(lines, "clay gauge") < place(lines, "Cut one ring")
    glass = lines[place(lines, "times up and down")]
    assert "every restraint plug mated" in glass
    assert glass.index("Tape and wedges off the glass") < glass.index("times up and down")


def test_nothing_is_played_in_a_door_that_is_not_wired() -> None:
    assert "limiter's volts" not in flat(ADAPTORS)
    assert "30 Hz" not in section(ADAPTORS, "Accept when")
    last = steps(TWEETER)[-1]
    assert "amplifier's plug still off" in last
    assert "generator that gives 1 V" in flat(section(TWEETER, "Before you start"))


def test_the_well_is_judged_for_a_hot_day() -> None:
    """44 °C at 26 °C outside is 58 °C at 40 °C."""
    for page in (FLOOR, PAGES["stages/fabrication/enclosure/"]):
        assert "worked up to a day of 40 °C" in flat(section(page, "Numbers"))
    found = re.search(r"at (\d+) °C after driving and standing, (\d+) °C outside.*?: (\d+) °C", flat(FLOOR))
    assert found is not None
    at, outside, hot = map(int, found.groups())
    assert at + 40 - outside == hot <= 60


def test_the_volume_is_struck_at_the_inner_face_and_the_seal_is_proved_twice() -> None:
    lines = steps(PAGES["stages/fabrication/enclosure/"])
    assert "board's inner face" in lines[place(lines, "granulate")]
    assert place(lines, "Prove that it is tight") < place(lines, "30 Hz at 2 V again")


def test_directions_on_the_page_are_the_calculator_s() -> None:
    defaults = {entry.name: entry.default for entry in find_calculator("fixing-load").inputs}
    assert "20 g forward; 10 g rearward, to each side, and up" in flat(section(CRASH, "Numbers"))
    assert defaults["forward"] == pytest.approx(20 * fixings.GRAVITY)
    for name in ("rearward", "sideways", "upward"):
        assert defaults[name] == pytest.approx(10 * fixings.GRAVITY)


def cells(markdown: str, number: int) -> list[list[str]]:
    """The rows of a look-up table as they are printed."""
    bodies = [body for word, body in fences(markdown) if word == "look-up"]
    name, _, rest = bodies[number].partition("\n")
    built = table(find_calculator(name.strip()), yaml.safe_load(rest))
    return [re.findall(r"<t[hd][^>]*>([^<]*)</t[hd]>", row) for row in built.split("<tr>")[2:]]


def test_the_card_of_a_sealed_box() -> None:
    """Qts 0.4 at Vas/Vb 2: Q 0.69, corner 1.73 × fs. Q = Qts·√(1 + Vas/Vb), for all of it (Small 1972)."""
    heads = [0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7]
    for row in cells(CARD, 0):
        ratio = float(row[0])
        for qts, shown in zip(heads, row[1:], strict=True):
            assert float(shown) == pytest.approx(qts * (1 + ratio) ** 0.5, abs=0.0051)
    corners = {row[0]: row[1:] for row in cells(CARD, 1)}
    assert corners["2"][0] == "1.73"
    for ratio, row in corners.items():
        assert float(row[0]) == pytest.approx((1 + float(ratio)) ** 0.5, abs=0.0051)
        for qts, shown in zip((0.3, 0.4, 0.5, 0.6), row[1:], strict=True):
            q = qts * (1 + float(ratio)) ** 0.5
            turn = 1 / q**2 - 2
            f3 = float(row[0]) * ((turn + (turn**2 + 4) ** 0.5) / 2) ** 0.5
            assert float(shown) == pytest.approx(f3, rel=0.01)


def test_the_example_of_the_card() -> None:
    box = JOB["boxes"]["subwoofer"]
    ratio = box["vas"] / box["volume"]
    text = flat(CARD)
    assert f"Vas 16.5 L in 14 L is {ratio:.1f}" in text
    assert f"fs 34 Hz times {(1 + ratio) ** 0.5:.2f} is {34 * (1 + ratio) ** 0.5:.0f} Hz" in text


def test_holes_of_rivet_nuts() -> None:
    """Usual holes of round bodies (common practice); the edge is twice the hole."""
    rows = re.findall(r"^\| (M\d) \| ([\d.]+) mm \| (\d+) mm or more", DRILL, re.MULTILINE)
    assert [(name, hole) for name, hole, _ in rows] == [
        ("M4", "6.0"), ("M5", "7.0"), ("M6", "9.0"), ("M8", "11.0"),
    ]  # fmt: skip
    assert all(float(edge) == 2 * float(hole) for _, hole, edge in rows)
    for words in (
        "ultra-high-strength",
        "magnesium",
        "composite",
        "electric or plug-in vehicle",
        "grip range",
    ):
        assert words in DRILL
