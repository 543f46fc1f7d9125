"""Words of the trade: all defined, linked where they are used first, and nowhere that a link does harm."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.site import glossary
from calculators.site.glossary import PAGE, terms, with_terms

WHERE = "stages/tuning/levels/"
LINK = re.compile(r'<a class="dc-term" href="([^"]+)" title="[^"]+">([^<]+)</a>')


def linked(page: str, address: str = WHERE) -> list[tuple[str, str]]:
    """Anchor and words of every link put in."""
    found = LINK.findall(with_terms(page, address))
    return [(target.partition("#")[2], words) for target, words in found]


def test_all_terms_are_defined_in_a_sentence_or_three() -> None:
    places = [term.place for term in terms()]
    twice = sorted({place for place in places if places.count(place) > 1})
    assert twice == [], "two terms of docs/glossary.yml have one anchor: name them apart"
    for term in terms():
        assert 25 <= len(term.says) <= 230, term.name
        assert term.says.endswith("."), term.name
        if term.name == glossary.bare(term.name):
            assert term.name.lower() not in term.says.lower(), f"{term.name}: told by itself"


@pytest.mark.parametrize(
    "word",
    [
        "Qts",
        "Qtc",
        "loss factor",
        "butyl",
        "top tether",
        "rivet nut",
        "grommet",
        "fillet",
        "chamfer",
        "swage",
    ],
)
def test_words_that_the_self_checks_of_doors_and_boxes_ask_with_are_told(word: str) -> None:
    assert [form for term in terms() for form in term.forms if form == word] == [word]


def test_a_form_means_one_thing_on_a_page() -> None:
    for folder in ("", "having-it-done/", "look-up/x/", "learn/x/", "stages/strip-down/x/", WHERE):
        forms = [form.lower() for term in terms() if term.belongs_to(folder) for form in term.forms]
        assert len(forms) == len(set(forms)), folder


def test_a_plain_alternator_is_not_told_as_a_managed_one() -> None:
    assert linked("<p>An alternator.</p>") == []
    assert [words for _, words in linked("<p>A managed alternator.</p>")] == ["managed alternator"]


def test_the_first_use_alone_is_linked_in_full() -> None:
    assert linked("<p>A high-pass, and a second high-pass.</p>") == [("high-pass", "high-pass")]
    assert linked("<p>Group delay is no delay.</p>") == [("group-delay", "Group delay"), ("delay", "delay")]
    page = with_terms("<p>Phase</p>", WHERE)
    assert 'href="../../../learn/glossary/#phase"' in page


@pytest.mark.parametrize(
    "page",
    [
        "<h2 id=x>Phase</h2>",
        "<p><a href=y>phase</a></p>",
        "<p><code>phase</code></p>",
        '<section class="dc-worked"><div><p>phase</p></div></section>',
        '<section class="dc-cautions" role="note"><div><ul><li>phase</li></ul></div></section>',
        "<figure><svg><text>phase</text></svg></figure>",
        "<table><thead><tr><th>Phase</th></tr></thead></table>",
        '<doorcard-calculator class="x"><p>phase</p></doorcard-calculator>',
        '<p>multiphase phases-in <img alt="phase"> x</p>',
        "<!-- phase -->",
    ],
)
def test_no_link_where_it_would_do_harm(page: str) -> None:
    assert with_terms(page, WHERE) == page
    assert linked(f"{page}<p>phase</p>") == [("phase", "phase")], "and text goes on afterwards"


def test_words_of_two_meanings_are_told_apart_by_the_page() -> None:
    assert linked("<p>Two clips broke.</p>", "stages/strip-down/trim/") == [("clip-trim", "clips")]
    assert linked("<p>It clips.</p>", "stages/commissioning/gain/") == []
    assert linked("<p>The balance</p>", "having-it-done/tone/") == [("balance", "balance")]
    assert linked("<p>The balance of it</p>", "stages/tuning/levels/") == []
    assert linked("<p>parked on a slope</p>", "having-it-done/treatment/") == []


def test_its_own_page_has_no_links() -> None:
    assert with_terms("<p>phase</p>", PAGE) == "<p>phase</p>"


PIECES = st.sampled_from(
    [
        "phase ",
        "Gain",
        "<b>",
        "</b>",
        "<p>",
        "</p>",
        "<h2>Delay</h2>",
        "<br>",
        "&amp;",
        "dB(A) ",
        "x-",
        "<code>Q</code>",
        " ",
    ]
)


@given(st.lists(PIECES, max_size=30).map("".join))
def test_links_add_nothing_else(page: str) -> None:
    made = with_terms(page, WHERE)
    assert LINK.sub(r"\2", made) == page
    targets = [target for target, _ in LINK.findall(made)]
    assert len(targets) == len(set(targets))
