"""What the search is told of a page beside its sentences: other names, and what to leave out.

`docs/search-words.yml` holds for each page the words of readers who do not know ours. The theme's search
weighs them above title and text.
"""

import re
from collections import defaultdict
from functools import cache
from pathlib import Path

from calculators.site.yaml_text import from_yaml
from calculators.stages import find_calculator

FILE = Path("docs/search-words.yml")
LEFT_OUT = re.compile(
    r"<(?P<tag>doorcard-calculator|doorcard-check|section|svg|table)"
    r'(?= [^>]*data-search-exclude|(?<=<table)(?:>| data-stacks="" role="table">)'
    r'|(?<=<svg) (?:class="dc-draw"|viewBox))'
    r".*?</(?P=tag)>",
    re.DOTALL,
)
"""What says so itself, and a page's own tables and pictures: rows of cells and names in a picture are no
sentences."""
LOOK_UPS_WEIGH = 2
"""A look-up counts that many times as much: in the bay nobody wants an essay."""


FORM = re.compile(r'<doorcard-calculator[^>]* data-calculator="(?P<name>[^"]+)"')


def words_of(page: str, html: str) -> list[str]:
    """The words of a page that the search weighs: other names, and the titles of the forms that stand there.

    A job, its sheets and links name a form by its title. A look-up weighs more already.
    """
    forms = [] if page.startswith("look-up/") else FORM.findall(html)
    words = " ".join(find_calculator(name).title.lower() for name in forms)
    return list(dict.fromkeys([*_other_names()[page], *re.findall(r"[^\W_]{2,}", words)]))


@cache
def _other_names() -> defaultdict[str, list[str]]:
    """Other names by the page's file; none for a page that has no others."""
    pages = from_yaml(FILE.read_text(encoding="utf-8"))
    return defaultdict(list, {page: words.split() for page, words in pages.items()})


def searched(page: str) -> str:
    """What the search has to read of a page, whose sentences alone are wanted.

    It takes a page apart tag by tag, and most of them stand in what is left out here.
    """
    return LEFT_OUT.sub("", page)


SMALL_WORDS_OUT = """
{
  const { QueryParser, stopWordFilter } = self.lunr;
  const parse = QueryParser.prototype.parse;
  QueryParser.prototype.parse = function () {
    const asked = parse.call(this);
    for (const clause of asked.clauses) clause.term = clause.term.replace(/(['’]s)?[,.:;?!]*(?=\\*?$)/, "");
    for (const clause of asked.clauses.slice(0, -1)) clause.term = clause.term.replace(/^(\\d+)\\*$/, "$1");
    const says = (word) => stopWordFilter(word) && !/^[a-z]$/.test(word);
    const kept = asked.clauses.filter(({ term }) => says(term.replace(/\\*$/, "")));
    if (kept.length) asked.clauses = kept;
    return asked;
  };
}
"""
"""For the theme's search, whose index is without such words: "is", "a" and "no" would find whatever begins so
("isolator", "note"), look-ups first; so does the letter of a unit. A mark behind a word, and its genitive,
are none of it. Where no other word is asked for, they stay as beginnings. A number with a word behind it is
whole: 8 is no beginning of 85. The theme names the words a page lacks by the same reading.
"""


def leave_small_words_out(site: Path) -> None:
    """Has the theme's search look for the words that say something."""
    (worker,) = site.glob("assets/javascripts/workers/search.*.js")
    with worker.open("a", encoding="utf-8", newline="\n") as script:
        script.write(SMALL_WORDS_OUT)
