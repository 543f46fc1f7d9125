"""MkDocs is met here alone: ways put on pages, what a build says, the folder finished afterwards."""

import time
from pathlib import Path
from typing import Any

from mkdocs.plugins import CombinedEvent, event_priority

from calculators.site.finish import finish
from calculators.site.glossary import with_terms
from calculators.site.narrow_tables import with_stacks
from calculators.site.searching import FORM, LOOK_UPS_WEIGH, searched, words_of
from calculators.site.shop import with_card
from calculators.site.study import foot
from calculators.site.trees import with_tree
from calculators.site.ways import with_ways

started = time.perf_counter()


def on_page_markdown(markdown: str, page: Any, config: Any, files: Any) -> str:
    """Write a fault tree into its page."""
    return with_tree(markdown, Path(page.file.abs_src_path).parent)


def on_page_content(html: str, page: Any, config: Any, files: Any) -> str:
    """Put strip and chips round the title, the shop's card under all; tell search and template."""
    stages: dict[str, list[str]] = {}
    sections = page.parent.parent.children if page.parent and page.parent.parent else ()
    for section in sections:
        for entry in section.children or ():
            stages.setdefault(entry.url.split("/")[1], []).append(entry.url)
    first = FORM.search(html)
    page.asks_first = first and first["name"]
    page.meta["tags"] = words_of(page.file.src_uri, html)
    if page.url.startswith("look-up/"):
        page.meta["search"] = {"boost": LOOK_UPS_WEIGH}
    whole = with_card(with_ways(with_stacks(with_terms(html, page.url)), page.url, stages), page.url)
    study = foot(page.file.src_uri, "../" * page.url.count("/") or "./")
    return whole + study


@event_priority(100)
def shorten(context: Any, page: Any, config: Any, nav: Any) -> None:
    """Before the search reads a page's content, and its template writes it: give the search what it needs."""
    page.whole, page.content = page.content, searched(page.content)


@event_priority(-100)
def restore(context: Any, page: Any, config: Any, nav: Any) -> None:
    """After the search."""
    page.content = page.whole


on_page_context = CombinedEvent(shorten, restore)


def on_env(env: Any, config: Any, files: Any) -> Any:
    """Let templates leave no blank lines, a fifth of every page; say how long the pages took.

    MkDocs has turned all of them into HTML by now, and written none into a template.
    """
    env.trim_blocks = env.lstrip_blocks = True
    pages = len(files.documentation_pages())
    print(f"   Pages read and worked out, {pages} of them: {time.perf_counter() - started:.1f} s", flush=True)
    return env


def on_post_build(config: Any) -> None:
    """Finish the built folder."""
    finish(config["site_dir"], alone=config["extra"].get("alone", False))
