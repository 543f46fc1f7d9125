"""Addresses that hold wherever the folder is put: at the root of a host or below it."""

import re
from pathlib import Path

SITEMAP = "sitemap.xml"
MISSING_PAGE = "404.html"
ABSOLUTE = re.compile(r'(?<=["\'])/(?=["\'\w.])')
LAST_CHANGE = re.compile(r"\s*<lastmod>[^<]*</lastmod>")


def page_addresses(site: Path) -> list[str]:
    """Return the address of every page, relative to the home page, whose own is `./`."""
    folders = (page.parent.relative_to(site).as_posix() for page in site.rglob("index.html"))
    return sorted("./" if folder == "." else f"{folder}/" for folder in folders)


def knows_its_host(site: Path) -> bool:
    """Tell whether the site was built for one address (`site_url`)."""
    return "<loc>" in (site / SITEMAP).read_text(encoding="utf-8")


def list_pages(site: Path) -> None:
    """List the pages in the sitemap, which the theme reads before it swaps pages in place.

    Without an address of its own the site lists them relative to the sitemap; `before-theme.js` makes
    them whole for the theme. Dates are left out: they would make each day's build another one.
    """
    sitemap = site / SITEMAP
    text = LAST_CHANGE.sub("", sitemap.read_text(encoding="utf-8"))
    if not knows_its_host(site):
        lines = "".join(f"<url><loc>{page}</loc></url>\n" for page in page_addresses(site))
        text = text.replace("</urlset>", f"{lines}</urlset>")
    sitemap.write_text(text, encoding="utf-8", newline="\n")


def make_missing_page_movable(site: Path) -> None:
    """Make the addresses in the 404 page relative, if the site does not know its host.

    MkDocs writes them from the root of the host, because a host shows this page at any depth.
    Below the root that is wrong everywhere; the service worker leads to this page itself.
    """
    page = site / MISSING_PAGE
    text = page.read_text(encoding="utf-8")
    if 'new URL("/"' in text:
        page.write_text(ABSOLUTE.sub("./", text), encoding="utf-8", newline="\n")
