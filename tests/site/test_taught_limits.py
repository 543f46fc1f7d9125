"""What a self-check or the sign-off sheet calls a limit is one on a page of its block, or in a caution."""

import re

import pytest

from calculators.cautions import CAUTIONS
from calculators.self_checks import BLOCKS, question
from calculators.self_checks.asking import Choice, Question
from calculators.site.study import address, order
from tests.site.test_pages import sources
from tests.test_self_checks import STRIDE

PAGES = sources()
DRAWS = 60
FIGURE = r"\d+(?:\.\d+)? ?(?:mm|mV|mA|mΩ|V|A|°C|°|kg|dB|%|ms|min(?:utes?)?)(?!\w)"
LIMITS = {
    "least": rf"({FIGURE})(?: or more| at the least| is the least)|at least ({FIGURE})",
    "most": rf"({FIGURE})(?: in all| peak)?(?: or less| at (?:the )?most| is the most)"
    rf"|(?:at most|within|under|over|[Nn]o more than|against|[Ll]imit:) ({FIGURE})",
    "about": rf"± ({FIGURE})",
}
"""How a limit is told: what it is, and where its figure stands."""
OF_THE_SHEET = {
    "P5": "within 5 mV of the mentor",
    "P13": "within 0.03 ms of the mentor's",
    "P30": "within 1 min",
}
"""Limits of the watched practical itself: no page has them."""


def limits(text: str) -> set[tuple[str, str]]:
    """Each limit of a text: what it is, and its figure."""
    plain = " ".join(text.replace("*", "").split())
    return {
        (kind, "".join(figures).replace(" ", "").replace("minutes", "min"))
        for kind, form in LIMITS.items()
        for figures in re.findall(form, plain)
    }


CAUTIONED = limits(" ".join(words for caution in CAUTIONS.values() for words in caution.sentences))


def taught(asked: Question) -> set[tuple[str, str]]:
    """The limits that a question holds to be true, but for those that it gives itself."""
    told = [asked.working, asked.hint]
    if isinstance(asked, Choice):
        groups = (asked.options, asked.reasons)
        told += [
            words for right, *wrong in groups for words in (right.words, *(one.why_not for one in wrong))
        ]
    given = asked.asked.replace(" ", "")
    return {limit for words in told for limit in limits(words) if limit[1] not in given}


@pytest.mark.parametrize("block", order().blocks, ids=lambda block: block.checks)
def test_a_limit_that_is_taught_is_one_on_a_page_of_its_block(block) -> None:  # type: ignore[no-untyped-def]
    said = {
        (name, *limit)
        for name in BLOCKS[block.checks].checks
        for number in range(DRAWS)
        for limit in taught(question(block.checks, name, number * STRIDE))
    }
    for practical in block.practicals.split(", "):
        (row,) = re.findall(rf"^\| {practical} \| (.*)$", PAGES["learn/sign-off/"], re.MULTILINE)
        own = OF_THE_SHEET.get(practical, "")
        assert own in row
        said |= {(practical, *limit) for limit in limits(row.replace(own, ""))}
    known = CAUTIONED.union(*(limits(PAGES[address(page)]) for page in block.pages))
    assert {(where, kind, figure) for where, kind, figure in said if (kind, figure) not in known} == set()


def test_a_driver_that_leaves_nine_millimetres_does_not_go_in() -> None:
    drawn = [question("boxes", "driver_room", number * STRIDE) for number in range(DRAWS)]
    near = [asked for asked in drawn if isinstance(asked, Choice) and "= 9 mm" in asked.working]
    assert near
    for asked in near:
        assert asked.options[0].words == "It does not"
        assert (
            "10 mm or more are wanted; 15 mm or less is measured again by a second" in asked.reasons[0].words
        )
