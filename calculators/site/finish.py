"""What is done to the folder that MkDocs built, before a reader gets it."""

import json
import re
import shutil
from pathlib import Path

from calculators.site.addresses import list_pages, make_missing_page_movable
from calculators.site.join_scripts import join_scripts
from calculators.site.offline_list import write_offline_list, write_service_worker
from calculators.site.reference import write_reference
from calculators.site.release import name_by_contents
from calculators.site.runtime import build_runtime
from calculators.site.searching import leave_small_words_out
from calculators.site.security_policy import write_policy
from calculators.site.shortening import shorten
from calculators.site.steps import megabytes, step
from calculators.site.wheel import write_wheel

# What the theme brings along and no page of ours asks for.
UNUSED = (
    "assets/images/favicon.png",
    "assets/javascripts/lunr",
    "assets/**/*.map",
    "sitemap.xml.gz",
)
THEME_STYLES = "assets/stylesheets/*.css"
STYLES = "assets/doorcard/style/"
JOINED, PAPER = "doorcard", "paper"
STYLE_LINK = re.compile(rf'<link rel="stylesheet" href="[^"]*{STYLES}(?P<name>[\w-]+)\.css">\s*')
SWITCHING = re.compile(r"\[data-md-color-switching\] \*,[^{}]*\{[^{}]*\}")
"""The theme's rule that stops all transitions while the scheme changes, and at each start of a page."""
MAP_COMMENT = re.compile(r"\n?(//|/\*)# sourceMappingURL=\S+( \*/)?\s*$")


def finish(site_dir: str | Path, alone: bool = False) -> None:
    """Turn the folder that MkDocs built into one release, ready for any static host.

    A page built `alone`, for whoever writes it, does without what is for people who write programs. The same
    sources give the same bytes, whatever the day. Raises FetchError or RuntimeBuildError if Python for
    the page cannot be had, ShorteningError if a script or style of ours cannot be read, and PolicyError if
    a page holds what the security policy forbids.
    """
    site = Path(site_dir)
    with step("Python for the page") as said:
        remove_unused(site)
        put_theme_below(site)
        leave_small_words_out(site)
        join_styles(site)
        total = build_runtime(site)["total"]
        join_scripts(site / "assets/doorcard")
        shorten(site)
        assert isinstance(total, int)
        said.append(f"{megabytes(total)} to download")
    list_pages(site)  # Before the reference, which is not for the theme to swap in place.
    if not alone:
        with step("Wheel for other people's Python in the page") as said:
            said.append(megabytes(write_wheel(site).stat().st_size))
        with step("Reference") as said:
            said.append(f"{write_reference(site)} calculators")
    with step("Addresses and security policy"):
        make_missing_page_movable(site)
        assets = name_by_contents(site)
        policy = write_policy(site, assets)
    with step("List for offline use") as said:
        files = write_offline_list(site)
        write_service_worker(site, files, policy)
        said.append(f"{megabytes(json.loads(files)['size'])} in all")


def put_theme_below(site: Path) -> None:
    """Put the theme's styles into a layer of their own: whatever ours say, they say it over them.

    Cascading and Inheritance Level 5 (W3C): a rule outside of layers beats one inside, however special. The
    rule for a scheme that changes goes: for its sake the browser weighed the whole page anew, twice at each
    start.
    """
    for path in site.glob(THEME_STYLES):
        text = SWITCHING.sub("", path.read_text(encoding="utf-8").removeprefix('@charset "UTF-8";'))
        path.write_text(f"@layer theme{{{text}}}", encoding="utf-8", newline="\n")


def join_styles(site: Path) -> None:
    """Make one sheet of ours, which are one for each concern: a phone asks once instead of ten times.

    The one for paper stays apart: it may come late, and a screen need not weigh its rules at each change.
    """
    names: list[str] = []
    for page in site.rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        links = list(STYLE_LINK.finditer(text))
        if links:
            names = [link["name"] for link in links if link["name"] != PAPER]
            first = links[0][0].replace(f"/{names[0]}.css", f"/{JOINED}.css")
            joined = text.replace(links[0][0], first, 1)
            page.write_text(
                STYLE_LINK.sub(kept_link, joined),
                encoding="utf-8",
                newline="\n",
            )
    folder = site / STYLES
    sheets = [folder / f"{name}.css" for name in names]
    (folder / f"{JOINED}.css").write_text(
        "".join(sheet.read_text(encoding="utf-8") for sheet in sheets), encoding="utf-8", newline="\n"
    )
    for sheet in sheets:
        sheet.unlink()


def kept_link(link: re.Match[str]) -> str:
    """What stays of a page's link to a sheet of ours."""
    if link["name"] == PAPER:
        return link[0].replace(' href="', ' media="print" href="', 1)
    return link[0] if link["name"] == JOINED else ""


def remove_unused(site: Path) -> None:
    """Delete what no page asks for, and the comments that would ask for it."""
    for pattern in UNUSED:
        for path in site.glob(pattern):
            if path.is_dir():
                shutil.rmtree(path)
            else:
                path.unlink()
    for path in [*site.glob("assets/**/*.js"), *site.glob("assets/**/*.css")]:
        text = path.read_text(encoding="utf-8")
        path.write_text(MAP_COMMENT.sub("\n", text), encoding="utf-8", newline="\n")
