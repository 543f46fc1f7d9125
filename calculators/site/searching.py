"""What the search is told of a page beside its sentences: other names, and what to leave out.

`docs/search-words.yml` holds for each page the words of readers who do not know ours. The theme's search
weighs them above title and text.
"""

import re
from collections import defaultdict
from functools import cache
from pathlib import Path

from calculators.site.yaml_text import from_yaml

FILE = Path("docs/search-words.yml")
FORM = "<doorcard-calculator "
NO_SENTENCES = re.compile(
    rf"{FORM}.*?</doorcard-calculator>"
    r'|<(?:table(?=>| data-stacks="" role="table">)|svg(?= class="dc-draw"| viewBox))',
    re.DOTALL,
)
"""A form whole; and where a table of the page's own begins, or a picture: a row of cells, and names in a
picture."""
LEFT_OUT = re.compile(
    r"<(?P<tag>doorcard-calculator|doorcard-check|section|svg|table) (?=[^>]*data-search-exclude)"
    r".*?</(?P=tag)>",
    re.DOTALL,
)
LOOK_UPS_WEIGH = 2
"""A look-up counts that many times as much: in the bay nobody wants an essay."""


@cache
def search_words() -> defaultdict[str, list[str]]:
    """The words by the page's file; none for a page that has no others."""
    pages = from_yaml(FILE.read_text(encoding="utf-8"))
    return defaultdict(list, {page: words.split() for page, words in pages.items()})


def searched(page: str) -> str:
    """What the search has to read of a page: not the longest of what it is told to leave out.

    It takes a page apart tag by tag, and most of them stand in forms.
    """
    return LEFT_OUT.sub("", page)


def sentences_alone(page: str) -> str:
    """The page with its tables and pictures left out of the search: their words run together there.

    A form is left out as it is: what it prints stays, letter for letter, what it answers first.
    """
    return NO_SENTENCES.sub(
        lambda found: found[0] if found[0].startswith(FORM) else f"{found[0]} data-search-exclude", page
    )
