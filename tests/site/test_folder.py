"""The folder edition's pages: links name their file, and the policy lets in what a folder has."""

import json

import pytest

from calculators.site.folder import in_folder, search_index
from calculators.site.security_policy import policy_for

HEAD = (
    '<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
    '<link rel="manifest" href="../manifest.webmanifest">'
    '<script id="__config" type="application/json">{{"features": ["navigation.instant", "toc.x"]}}</script>'
    '<link rel="modulepreload" href="../assets/doorcard-0/engine.js">'
    '<script type="module" async src="../assets/doorcard-0/early.js#delay"></script>'
    '<script src="../assets/doorcard-0/before-theme.js"></script>'
    '<script src="../assets/doorcard-0/page.js" type="module"></script>'
)


@pytest.mark.parametrize(
    ("link", "leads_to"),
    [
        (".", "./index.html"),
        ("..", "../index.html"),
        ("../../look-up/ears/#doses", "../../look-up/ears/index.html#doses"),
        ("./?q=delay", "./index.html?q=delay"),
        ("../job.json", "../job.json"),
        ("#steps", "#steps"),
        ("", ""),
        ("https://example.org/a/", "https://example.org/a/"),
        ("mailto:a@example.org", "mailto:a@example.org"),
    ],
)
def test_a_link_names_its_file(link: str, leads_to: str) -> None:
    assert in_folder(f'<a class="x" href="{link}">') == f'<a class="x" href="{leads_to}">'


def test_a_page_asks_for_nothing_that_a_browser_refuses_from_a_folder() -> None:
    page = in_folder(HEAD.format(policy=policy_for({"go()"})))
    assert "connect-src" not in page
    assert "manifest" not in page
    assert "preload" not in page
    assert "navigation.instant" not in page
    assert 'type="module"' not in page
    assert "worker-src blob:; form-action" in page
    assert "script-src 'self' 'wasm-unsafe-eval' 'sha256-" in page
    assert page.index("from-folder.js") < page.index("before-theme.js")


def test_the_search_leads_to_files() -> None:
    places = ("", "look-up/ears/", "look-up/ears/#doses")
    script = search_index(json.dumps({"docs": [{"location": place} for place in places]}))
    index = json.loads(script.removeprefix("var __index = ").removesuffix(";\n"))
    assert [entry["location"] for entry in index["docs"]] == [
        "index.html",
        "look-up/ears/index.html",
        "look-up/ears/index.html#doses",
    ]
