"""The same load gets the same cable and fuse, whatever page it is looked up on."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import ROOT
from tests.site.test_pages import fences, sources

JOB = json.loads((ROOT / "docs" / "job.json").read_text("utf-8"))["supply"]
DECIDE = {
    "cable": (
        "route",
        "insulation",
        "length",
        "return",
        "ground",
        "body_resistance",
        "extra",
        "load_fraction",
    ),
    "fuse": ("route", "insulation", "area", "length", "return", "body_resistance", "extra", "load_fraction"),
}
TAUGHT = {
    ("stages/design/supply/", "carpet"),
    ("stages/design/supply/", "both"),
    ("stages/design/supply/", "clad"),
    ("stages/design/supply/", "second"),
    ("stages/strip-down/routes/", "drawn"),
    ("stages/wiring/main-feed/", "second"),
    ("stages/wiring/return/", "painted"),
}
"""Worked examples that change one thing on purpose, to show what it does."""


def settings(body: str) -> tuple[str, dict[str, str]]:
    """A fence's calculator and its lines."""
    name, *lines = body.strip().splitlines()
    return name, dict(line.split(": ", 1) for line in lines if ": " in line)


def of_the_running_job() -> list[tuple[str, str, str, dict[str, str]]]:
    """Every form and worked example of a cable or fuse that starts from the running job's current."""
    found = []
    for address, markdown in sources().items():
        for word, body in fences(markdown):
            if word in {"calculator", "worked"}:
                name, given = settings(body)
                if name in DECIDE and given.get("current") == "job:supply.current":
                    found.append((address, word, name, given))
    return found


def test_every_page_starts_from_one_set_of_the_running_jobs_values() -> None:
    blocks = of_the_running_job()
    assert {address for address, _, _, _ in blocks} >= {
        "look-up/cable-length/",
        "look-up/fuse-sizes/",
        "stages/design/supply/",
        "stages/wiring/main-feed/",
        "stages/wiring/return/",
    }
    for address, _, name, given in blocks:
        if (address, given.get("as", "")) in TAUGHT:
            assert given["load_fraction"] == "job:supply.load_fraction"
            continue
        for entry in DECIDE[name]:
            fixed = entry == "return" and given.get(entry) == JOB["return"]
            assert fixed or given.get(entry) == f"job:supply.{entry}", f"{address} {name}: {entry}"


@pytest.fixture(scope="module")
def shown(site: Path) -> list[tuple[str, dict[str, str], dict[str, str]]]:
    """Of every block built: page, the values it started from, its answers."""
    row = re.compile(r'<th scope="row">([^<]*)</th><td>([^<]*)</td>')
    answer = re.compile(r"<dt>([^<]*)</dt><dd[^>]*>([^<]*)</dd>")
    found = []
    for path in sorted(site.rglob("*.html")):
        page = path.relative_to(site).as_posix().removesuffix("index.html")
        for part in path.read_text("utf-8").split('class="dc-given"')[1:]:
            given, _, rest = part.partition("</table>")
            found.append((page, dict(row.findall(given)), dict(answer.findall(rest.partition("</dl>")[0]))))
    return found


def test_the_same_values_give_the_same_cable_and_fuse(shown: list[Any]) -> None:
    fuses: dict[tuple[str, str], set[str]] = {}
    answers: dict[tuple[Any, ...], set[tuple[str, str | None]]] = {}
    pages: set[str] = set()
    for page, given, answered in shown:
        current = given.get("Current") or given.get("Current of the load")
        fuse = answered.get("Fuse for this load") or answered.get("Fuse to fit")
        if current is None or fuse is None or fuse.startswith("none"):
            continue
        pages.add(page)
        fuses.setdefault((current, given["Load as part of the fuse"]), set()).add(fuse)
        decide = tuple(sorted(item for item in given.items() if item[0] not in {"Check a size you have"}))
        answers.setdefault(decide, set()).add((fuse, answered.get("Cable to fit")))
    # One load, one fuse: nothing but the share it may carry decides.
    assert {key: found for key, found in fuses.items() if len(found) > 1} == {}
    assert {key: found for key, found in answers.items() if len(found) > 1} == {}
    assert fuses[("54\u00a0A", "80%")] == {"70\u00a0A"}
    assert len(pages) >= 4


def test_the_schedule_fits_the_feed_that_the_design_chose(site: Path) -> None:
    text = (site / "stages/wiring/schedule/index.html").read_text("utf-8")
    line = re.search(r"<th [^>]*>Main feed</th>(.*?)</tr>", text[text.index("May carry") :])
    assert line is not None
    assert "35\u00a0mm²" in line[1]
    assert "70\u00a0A" in line[1]
