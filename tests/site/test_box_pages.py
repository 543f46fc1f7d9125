"""The pages on front speakers and on the subwoofer's box: whole, and with figures of the running job."""

import re

import pytest

from tests.site.test_electrics_pages import JOB, place, section, steps
from tests.site.test_pages import sources

PAGES = sources()
FRONT = PAGES["stages/design/front-speakers/"]
BOX = PAGES["stages/design/subwoofer/"]
both = pytest.mark.parametrize("page", [FRONT, BOX], ids=["front speakers", "subwoofer"])


@both
def test_a_page_is_whole(page: str) -> None:
    assert len(steps(page)) >= 8
    accept = re.findall(r"^- (.*?)(?=^- |\Z)", section(page, "Accept when"), re.MULTILINE | re.DOTALL)
    assert len(accept) >= 4
    assert [line for line in accept if not re.search(r"\d", line)] == []
    rows = section(page, "Mistakes, and how each shows").count("\n| ") - 1
    assert rows >= 4


def test_the_sensor_comes_before_anything_is_chosen() -> None:
    assert "counts as a pressure sensor" in section(FRONT, "Before you start")
    assert place(steps(FRONT), "sensor's kind") == 0
    for page in PAGES.values():
        for paragraph in page.split("\n\n"):
            if re.search(r"openings? (are|may be) closed|close the openings", paragraph):
                assert "sensor" in paragraph


def test_closed_first_then_travel_then_limiter() -> None:
    lines = steps(BOX)
    closed = place(lines, "closed first")
    travel = place(lines, "travel at the amplifier's full voltage")
    high_pass = place(lines, "add a high-pass")
    limiter = place(lines, "limiter")
    assert closed < travel < high_pass < limiter < place(lines, "vented box")


def test_the_well_is_said_to_be_what_it_is() -> None:
    before = " ".join(section(BOX, "Before you start").split())
    for said in (
        "rear crush zone",
        "no more than the wheel it replaces",
        "Electric or plug-in vehicle: no hole",
        "Nothing is drilled but where the maker's information shows the place",
    ):
        assert said in before


def test_the_heights_on_the_page_are_the_job_s() -> None:
    well = JOB["boxes"]["well"]
    rows = re.findall(r"^\| [^|]+ \| (\d+) \|$", section(BOX, "The running job"), re.MULTILINE)
    parts = [round(1000 * size) for name, size in well.items() if name != "depth"]
    assert [int(row) for row in rows] == parts
    assert f"**{sum(parts)}** of {1000 * well['depth']:.0f}" in BOX
    assert f"at least 32 mm higher: {sum(parts) + 32}." in BOX
    air = 1000 * well["spare"]
    assert f"{air:.0f} mm of air, gasket" in section(BOX, "Steps")
    assert f"the {air:.0f} mm of air in them" in section(BOX, "Accept when")
    assert f"{air:.0f} mm at the least" in section(BOX, "Numbers")
