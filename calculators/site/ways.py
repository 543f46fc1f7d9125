"""Ways through the handbook that every page carries: chips under its title, and a strip of the stages.

Both are read off the page and the list of pages when the site is built; no page writes them.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from calculators.presenting.escaping import text

STAGES = (
    ("brief", "Customer brief"),
    ("survey", "Vehicle survey"),
    ("design", "System design"),
    ("quote", "Quote and job plan"),
    ("strip-down", "Strip-down"),
    ("treatment", "Sound treatment"),
    ("fabrication", "Fabrication"),
    ("wiring", "Power and wiring"),
    ("pick-up", "Signal pick-up"),
    ("commissioning", "Commissioning"),
    ("tuning", "Tuning"),
    ("verification", "Verification"),
    ("handover", "Handover"),
    ("faults", "Fault-finding"),
)
"""The stages of a job in order: folder under `stages/`, and name. One without a page leads to the list."""

HEAD = re.compile(r"(?P<title><h1[^>]*>.*?</h1>)\s*(?P<lead><p>.*?</p>)?", re.DOTALL)
HEADING = re.compile(r'<h2(?: [^>]*)? id="(?P<place>[^"]+)"[^>]*>(?P<words>.*?)</h2>')
CALCULATOR = re.compile(r'<doorcard-calculator[^>]* id="(?P<place>[^"]+)"')
CHIPS = (
    ("Steps", "Steps"),
    ("Numbers", "Numbers"),
    ("Accept when", "Accept"),
    ("Check yourself", "Check yourself"),
)
"""Headings that are jumped to, and what the chip says."""


@dataclass(frozen=True)
class Chip:
    """A place on the page, and what its chip says."""

    words: str
    place: str


def with_ways(page: str, address: str, stages: Mapping[str, Sequence[str]]) -> str:
    """The page's content with its lead marked, chips under it, and over it the strip if it is a stage's.

    ``stages`` holds the addresses of the pages of every stage by the name of its folder.
    """
    head = HEAD.match(page.lstrip())
    if head is None:
        return page
    rest = page.lstrip()[head.end() :]
    kind = " data-look-up" if address.startswith("look-up/") else ""
    lead = f'<div class="dc-lead"{kind}>{head["lead"]}</div>' if head["lead"] else ""
    return f"{strip(address, stages)}{head['title']}{lead}{chips_html(chips(rest))}{rest}"


def chips(content: str) -> list[Chip]:
    """Where a reader wants to be at once: the first of them most.

    A page with steps leads to them, one with a tree to its first test; any other to its first calculator.
    """
    if first := HEADING.search(content.partition('class="dc-tree"')[2]):
        return [Chip("Test 1", first["place"])]
    found = {match["words"]: match["place"] for match in HEADING.finditer(content)}
    made = [Chip(words, found[heading]) for heading, words in CHIPS if heading in found]
    calculator = CALCULATOR.search(content)
    if own := heading_before(content, "<doorcard-calculator") or (calculator and calculator["place"]):
        stage = bool(made) and made[0].words == "Steps"
        place = (
            next((at for at, chip in enumerate(made) if chip.words == "Accept"), len(made)) if stage else 0
        )
        made.insert(place, Chip("Work it out" if stage else asked_for(content, own), own))
    table = heading_before(content, "dc-look-up")
    if table and table not in {chip.place for chip in made}:
        made.append(Chip("Table", table))
    return made


def asked_for(content: str, own: str) -> str:
    """What the chip to the first calculator says: what it asks for, or plays."""
    if own == "hear-it":
        return "Hear it"
    form = content.partition("<doorcard-calculator")[2].partition("</doorcard-calculator>")[0]
    return "Your numbers" if "<input" in form or "<select" not in form else "Your choice"


def heading_before(content: str, mark: str) -> str:
    """The id of the heading that the first such mark stands under; empty if there is none."""
    before, found, _ = content.partition(mark)
    headings = HEADING.findall(before) if found else []
    return headings[-1][0] if headings else ""


def chips_html(made: Sequence[Chip]) -> str:
    """The chips as a list of links; one alone is none."""
    if not made:
        return ""
    items = "".join(f'<li><a href="#{chip.place}">{text(chip.words)}</a></li>' for chip in made)
    return f'<nav class="dc-chips" aria-label="On this page" data-search-exclude><ul>{items}</ul></nav>'


def strip(address: str, stages: Mapping[str, Sequence[str]]) -> str:
    """The fourteen stages as rings, this page's filled, and the names before and after it."""
    parts = address.split("/")
    folders = [folder for folder, _ in STAGES]
    if parts[0] != "stages" or parts[1] not in folders:
        return ""
    here = folders.index(parts[1])
    root = "../" * address.count("/")

    def leads_to(place: int) -> str:
        pages = stages.get(folders[place], ())
        return root + (pages[0] if pages else "stages/")

    rings = ""
    for place, (_, name) in enumerate(STAGES):
        mark = ' aria-current="step"' if place == here else " data-before" if place < here else ""
        rings += (
            f'<li><a href="{leads_to(place)}" aria-label="Stage {place + 1}: {text(name)}"{mark}>'
            f'<span aria-hidden="true">{place + 1}</span></a></li>'
        )
    own = list(stages.get(folders[here], ()))
    count = f"<small>page {own.index(address) + 1} of {len(own)}</small>" if address in own else ""
    before, after = (
        f'<a href="{leads_to(place)}">{place + 1} {text(STAGES[place][1])}</a>'
        if 0 <= place < len(STAGES)
        else "<span></span>"
        for place in (here - 1, here + 1)
    )
    name = f"<b>{here + 1} {text(STAGES[here][1])}{count}</b>"
    return (
        f'<nav aria-label="Stages of a job" data-search-exclude><ol class="dc-strip">{rings}</ol>'
        f'<div class="dc-strip-names">{before}{name}{after}</div></nav>'
    )
