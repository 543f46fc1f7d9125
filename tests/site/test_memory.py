"""The list of what nobody has checked: every mark on a page is in it, in words that can be looked up."""

import html
import re
from pathlib import Path

from calculators.site.memory import DOCS, LIST, MARK, NO_FIGURE, listed, marked

PAGE = """# A page

| What | Limit | Rests on |
|---|---|---|
| Bass at `#!given quiet.level` | 3 dB | [ISO 226](x.md), the table
from memory |
| Wire | 4 mm² | the law |

1. **Never** touch it (UN R138, from memory). Go on.

```worked
title: from memory
```
"""


def test_a_line_is_told_by_what_it_says_and_what_it_rests_on() -> None:
    assert list(marked(PAGE)) == [
        "Bass at …; 3 dB; ISO 226, the table from memory",
        "Never touch it (UN R138, from memory).",
    ]


def test_every_mark_of_the_pages_is_listed_under_its_page() -> None:
    made = listed("../")
    marks = sum(
        len(re.findall(MARK, " ".join(page.read_text(encoding="utf-8").split())))
        - len(re.findall(NO_FIGURE, page.read_text(encoding="utf-8")))
        for page in DOCS.rglob("*.md")
        if page.relative_to(DOCS) != LIST
    )
    assert len(re.findall(MARK, made)) >= marks > 50
    assert "`#!" not in made
    for address in re.findall(r'href="\.\./([^"]+)/"', html.unescape(made)):
        assert Path(f"docs/{address}.md").is_file() or Path(f"docs/{address}/index.md").is_file()
