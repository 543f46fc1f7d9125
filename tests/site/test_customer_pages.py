"""Pages for whoever pays: one shape, one number, honest limits, plain words, and comparisons that hold."""

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from calculators.site import glossary
from calculators.site.customers import PARTS, complaints_html, cost_html, costs_html
from calculators.site.fences import body, job_value, run_example
from calculators.site.shop import Shop
from calculators.stages import find_calculator
from calculators.vocabulary.batteries import CHEMISTRY
from calculators.vocabulary.complaints import COMPLAINTS
from calculators.vocabulary.upgrades import MARKS, ONCE_WHOLE, UPGRADES, WHOLE, hours_with_needs, marks
from tests.site.test_electrics_pages import section
from tests.site.test_pages import fences, sources

FOLDER = "having-it-done/"
PAGES = {
    address.removeprefix(FOLDER).rstrip("/"): markdown
    for address, markdown in sources().items()
    if address.startswith(FOLDER) and address != FOLDER
}
CARDS = ("What changes", "What you will hear", "What it can't do")
NO_CUSTOMERS_WORDS = (
    r"\b(image|feed|mid-bass|null|clip|octaves?|standing current|flattened|data-reduced|ceiling step)\b"
)
"""Words that a buyer does not know, or knows as something else."""

HEARD = {
    "amplifier": "hear-clipping",
    "hold-up": "hear-hold-up",
    "subwoofer": "hear-subwoofer",
    "timing": "hear-alignment",
    "tone": "hear-equaliser",
    "treatment": "hear-treatment",
    "two-seats": "hear-two-seats",
}
"""Upgrades that can be heard before they are bought, each by its demonstration."""

every = pytest.mark.parametrize("name", sorted(PAGES))
upgrade = pytest.mark.parametrize("name", sorted(UPGRADES))


def one_number(markdown: str) -> str:
    """What stands under the one number of a page, its fences taken out."""
    (words,) = re.findall(r'<section class="dc-one" markdown>(.*?)</section>', markdown, re.DOTALL)
    return re.sub(r"^```worked\n.*?^```\n", "", words, flags=re.DOTALL | re.MULTILINE)


@upgrade
def test_an_upgrade_has_its_page_in_one_shape(name: str) -> None:
    markdown = PAGES[name]
    titles = re.findall(r"^## (.+)$", markdown, re.MULTILINE)
    assert titles == [
        *CARDS, "One number from a worked job", *(["Hear it"] if name in HEARD else []), "What it costs you",
        "Honest limits", "Can it be undone?", "If you do nothing", "Ask your fitter",
    ]  # fmt: skip
    assert ("cost", f"{name}\n") in [(word, body.strip() + "\n") for word, body in fences(markdown)]
    # A phone shows title, lead and all three cards at once: what they may say is as long as that.
    for title in CARDS:
        assert 20 <= len(section(markdown, title).partition("</section>")[0].strip()) <= 150, title
    lead = markdown.partition('<div class="dc-say"')[0].partition("\n")[2].strip()
    assert 30 <= len(lead) <= 180


@pytest.mark.parametrize("name", sorted(HEARD))
def test_it_can_be_heard_and_is_said_to_be_made_up(name: str) -> None:
    words = section(PAGES[name], "Hear it")
    assert f"```calculator\n{HEARD[name]}\n" in words
    assert "not your car" in words


@every
def test_one_figure_and_one_number_with_what_it_means(name: str) -> None:
    markdown = PAGES[name]
    assert [word for word, _ in fences(markdown)].count("figure") == 1
    heading, number, meaning = one_number(markdown).strip().split("\n\n", 2)
    assert heading == "## One number from a worked job"
    assert "`#!answer " in number
    assert "our invented worked job" in " ".join(meaning.split())
    assert len(meaning) > 80, "a number that nobody explains"


@every
def test_limits_are_told(name: str) -> None:
    assert len(re.findall(r"^- ", section(PAGES[name], "Honest limits"), re.MULTILINE)) >= 2


@every
def test_each_question_has_an_answer_that_should_worry(name: str) -> None:
    asked = re.findall(r"^(?:-|\d+\.) \*\*.*\?\*\*$", PAGES[name], re.MULTILINE)
    good = re.findall(r"^    (?:A good answer|Reassures): \S", PAGES[name], re.MULTILINE)
    bad = re.findall(r"^    (?:Worry about|Worries): \S", PAGES[name], re.MULTILINE)
    assert len(asked) == len(good) == len(bad)
    if name in UPGRADES:
        assert len(asked) >= 2
    if name == "questions":
        assert len(asked) == 12


def test_every_complaint_leads_to_a_page_or_to_a_repair() -> None:
    shown = complaints_html("../")
    assert shown.count("<li>") == len(COMPLAINTS) >= 19
    for entry in COMPLAINTS.values():
        assert set(entry.remedies) <= set(UPGRADES)
        assert entry.remedies or entry.mend, entry.words
    for address in re.findall(r'href="\.\./([^"]+)"', shown):
        assert address in sources()
    assert shown.count(" hours") + shown.count("1 hour") >= len(COMPLAINTS), "hours stand at every complaint"


def test_twenty_short_answers() -> None:
    numbers = [int(number) for number in re.findall(r"^(\d+)\. \*\*", PAGES["more-questions"], re.MULTILINE)]
    assert numbers == list(range(1, 21))


def built_text(site: Path) -> Iterator[tuple[str, str]]:
    """The running text of every customer page as it is built, and its whole HTML."""
    for path in sorted((site / FOLDER).rglob("index.html")):
        html = path.read_text("utf-8")
        article = html[html.index("<article") : html.index("</article>")]
        article = re.sub(
            r"<svg.*?</svg>|<doorcard-calculator.*?</doorcard-calculator>", " ", article, flags=re.DOTALL
        )
        yield path.parent.name, article


def test_no_word_of_the_trade_stands_without_its_definition(site: Path) -> None:
    """Whatever a page says that the glossary knows is linked where it says so first."""
    checked = 0
    for name, article in built_text(site):
        # A heading's words come again below it; a link to a page leads to what it names.
        running = re.sub(r"<(h[1-6])\b.*?</\1>|<a (?!class=.dc-term).*?</a>", " ", article, flags=re.DOTALL)
        said = re.sub(r"<[^>]+>", " ", running).lower()
        for term in glossary.terms():
            forms = [*term.forms, glossary.bare(term.name)] if term.belongs_to(FOLDER) and term.forms else []
            spoken = [
                form for form in forms if re.search(rf"(?<![\w-]){re.escape(form.lower())}(?![\w-])", said)
            ]
            if spoken and term.name not in OTHER_MEANING:
                assert f"#{term.place}" in article, f"{name}: {spoken}"
                checked += 1
    assert checked >= 20


OTHER_MEANING = {
    "bridge (two channels as one)", "driver (speaker)", "clip (trim)", "clip (overload)", "drain (door)",
    "trigger (turn-on line)", "feed (main)", "feed (signal)", "loudness (matched)", "fuse (bolt-in)",
    "fuse (test)", "coil (voice)", "alignment (time)", "band (third-octave)", "regulator (window)",
}  # fmt: skip
"""Terms whose bare word is everyday English; used in the trade's sense they are linked by their forms."""


def test_no_word_that_a_buyer_cannot_know(site: Path) -> None:
    for name, article in built_text(site):
        words = re.sub(r"<[^>]+>", " ", re.sub(r'title="[^"]*"', "", article))
        found = re.findall(NO_CUSTOMERS_WORDS, words, re.IGNORECASE)
        assert not found, f"{name}: {found}"


def answer(slug: str, settings: dict[str, Any], name: str) -> Any:
    return getattr(run_example(slug, settings).result, name)


def fence_of(page: str, name: str) -> tuple[str, dict[str, Any]]:
    """A worked fence of a page by the name it gives itself, as its calculator and settings."""
    for word, source in fences(PAGES[page]):
        slug, settings = body(source) if word == "worked" else ("", {})
        if settings.pop("as", None) == name:
            settings.pop("hidden", None)
            return slug, settings
    raise KeyError(name)


@pytest.mark.parametrize(
    ("page", "fence", "output", "low", "high", "words"),
    [
        # Everyday things: common knowledge, no source.
        ("treatment", "plan", "total_mass", 20, 26, "large suitcase"),
        ("what-can-go-wrong", "plan", "heaviest_door", 4, 5, "four or five bags of sugar"),
        ("subwoofer", "box", "net", 0.013, 0.017, "bucket and a half"),
        ("front-speakers", "fit", "glass_clearance", 0.011, 0.017, "little finger's width"),
        ("hold-up", "held", "held", 1.5, 2.5, "quiet breath"),
        ("first-week", "sealant", "cured_after", 4 * 86400, 5 * 86400, "four to five days"),
        ("undoing-it", "mass", "added", 30, 45, "half a passenger"),
        ("two-quotes", "fuse", "rating", 40, 200, "a socket at home has one of 10 to 20"),
        ("amplifier", "budget", "system_endurance", 3600, 4500, "after that the car may not start"),
    ],
)
def test_a_comparison_fits_its_number(
    page: str, fence: str, output: str, low: float, high: float, words: str
) -> None:
    assert words in " ".join(PAGES[page].split())
    assert low <= answer(*fence_of(page, fence), output) <= high


def test_what_timing_says_is_worked_out() -> None:
    late = answer(*fence_of("timing", "doors"), "speakers")[0].delay
    hand = answer(
        "delay", {"speakers": [{"name": "a", "distance": 1.0}, {"name": "b", "distance": 1.1}]}, "speakers"
    )
    assert hand[0].delay / late == pytest.approx(1 / 5, rel=0.05), "a hand's width is about a fifth of it"
    near, far = job_value("geometry.woofers.near"), job_value("geometry.woofers.far")
    across = (1.36**2 - (far**2 - near**2)) / (2 * 1.36)  # From the near door's plane, doors 1.36 m apart.
    ahead = (near**2 - across**2) ** 0.5
    leant = math.hypot(1.36 - across - 0.1, ahead) - math.hypot(across + 0.1, ahead)
    assert 1 - leant / (far - near) == pytest.approx(1 / 5, abs=0.02)
    slid = [math.hypot(side, ahead + 0.1) for side in (1.36 - across, across)]
    assert 1 - (slid[0] - slid[1]) / (far - near) == pytest.approx(1 / 15, abs=0.015)
    assert late * 345 == pytest.approx(0.5, abs=0.03), "sound goes half a metre in it"
    beside = answer(*fence_of("two-seats", "beside"), "speakers")[0].delay
    assert beside / late == pytest.approx(2, rel=0.02), "twice as much as with nothing set"
    heard = {"near": near, "far": far, "seat": "passenger", "temperature": job_value("geometry.temperature")}
    assert beside == pytest.approx(-answer("hear-two-seats", heard, "for_driver"), rel=1e-3)


def test_the_worked_job_took_as_long_as_the_page_says() -> None:
    words = " ".join(PAGES["cost"].split())
    assert "Six working days and a half of one person. Two people had the car for three days." in words
    assert answer(*fence_of("cost", "whole"), "hours") == f"{6.5 * 8:g} h"
    assert answer("job-hours", {"tasks": job_value("plan.tasks")}, "days_worked") == 3


def test_what_every_job_needs_once_is_told_wherever_hours_are() -> None:
    """Of one upgrade, of a whole system, and of an upgrade with what it needs first, in between."""
    on_top = "2 to 5 hours for one small upgrade, 20 to 22 hours for a whole system, in between for several"
    assert on_top in complaints_html("../")
    assert all(on_top in cost_html(name, Shop()) for name in UPGRADES)
    assert "[what every job needs once](cost.md) on top" in " ".join(PAGES["which-first"].split())
    assert "What every job needs once" in find_calculator("first-upgrade").help


@pytest.mark.parametrize(
    ("slug", "name", "plain"),
    [
        ("hear-subwoofer", "high_pass", "Lower notes are kept from them"),
        ("hear-hold-up", "isolator", "lets current in from the battery, and none back"),
        ("hear-hold-up", "bypass", "What is lost on the capacitor's way out"),
        ("hear-hold-up", "derate", "less than is printed on it"),
    ],
)
def test_a_field_with_a_word_of_the_trade_says_it_plainly_beside(slug: str, name: str, plain: str) -> None:
    field = next(entry for entry in find_calculator(slug).inputs if entry.name == name)
    assert plain in field.kind.help


def test_letters_of_the_trade_stand_behind_what_they_mean() -> None:
    dose = next(entry for entry in find_calculator("noise-dose").outputs if entry.name == "daily_level")
    assert dose.kind.label == "Daily level: its noise spread over 8 h (LEX,8h)"
    assert CHEMISTRY.help.startswith("Printed on it: AGM, EFB")


def test_hours_add_up() -> None:
    assert hours_with_needs("timing") == (3 + 2 + 3, 7 + 4 + 5), "timing lies inside the tuning"
    assert hours_with_needs("two-seats") == (3 + 2 + 3 + 1, 7 + 4 + 5 + 1.5), "and is not counted beside it"
    assert "Timing for one seat, half an hour, part of the tuning" in cost_html("two-seats", Shop())
    assert hours_with_needs("subwoofer") == (3 + 3, 7 + 8)
    assert sum(UPGRADES[name].least for name in WHOLE) + ONCE_WHOLE[0] == 37
    assert "37 to 60 hours" in costs_html(Shop(), "")


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("front", "front-speakers"),
        ("amplifier", "amplifier"),
        ("bass", "subwoofer"),
        ("processor", "processor"),
        ("tuning", "tone"),
    ],
)
def test_the_quote_of_the_worked_job_lies_within_the_table(line: str, name: str) -> None:
    asked = next(float(row["hours"]) for row in job_value("quote.lines") if row["id"] == line)
    assert UPGRADES[name].least <= asked <= UPGRADES[name].most


def test_what_the_quote_shares_lies_within_what_a_whole_system_costs_once() -> None:
    shared = sum(float(row["hours"]) for row in job_value("quote.lines") if row.get("shared"))
    assert ONCE_WHOLE[0] <= shared <= ONCE_WHOLE[1]


def test_no_gap_is_offered_only_to_who_has_a_processor() -> None:
    shown = complaints_html("../")
    assert "ask whether the radio itself falls silent: then no upgrade cures it" in shown
    assert "Only if you have a sound processor, or will have one: <a" in shown


def test_marks_are_shares_and_never_money() -> None:
    assert [marks(share) for share in (0.01, 0.05, 0.051, 0.1, 0.15, 0.2)] == [1, 1, 2, 2, 3, 4]
    assert len(PARTS) == len(MARKS) + 1
    for name, entry in UPGRADES.items():
        assert PARTS[marks(entry.share) - 1] in cost_html(name, Shop())
    assert 0.7 < sum(UPGRADES[name].share for name in WHOLE) < 1, "what every job costs once is the rest"
