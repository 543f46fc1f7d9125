"""The finished folder: one release, one policy, one list of what a device keeps."""

import json
import re
from pathlib import Path

import pytest

from calculators.site.addresses import list_pages, make_missing_page_movable
from calculators.site.finish import join_styles, put_theme_below
from calculators.site.offline_list import NOT_KEPT, address, integrity, is_kept, write_offline_list
from calculators.site.release import name_by_contents
from calculators.site.security_policy import HEADERS, PolicyError, headers_file, inline_scripts, script_source

EMPTY_SITEMAP = '<?xml version="1.0"?>\n<urlset>\n</urlset>'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small site as MkDocs leaves it."""
    files = {
        "index.html": '<link href="assets/doorcard/page.css">',
        "look-up/index.html": '<link href="../assets/doorcard/page.css">',
        "assets/doorcard/page.css": "p {}",
        "manifest.webmanifest": '{"src": "assets/doorcard/icon.png"}',
        "service-worker.js": "//",
        "sitemap.xml": EMPTY_SITEMAP,
    }
    for name, text in files.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return tmp_path


def test_an_inline_script_is_allowed_by_its_hash() -> None:
    # W3C, Content Security Policy Level 3, example of a hash source (value from memory).
    expected = "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"
    assert script_source("alert('Hello, world.');") == expected


def test_an_integrity_is_written_as_browsers_want_it() -> None:
    # SHA-256 of nothing: NIST, example values of FIPS 180-4 (from memory), in base64.
    assert integrity(b"") == "sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU="


def test_only_scripts_that_run_and_stand_in_the_page_are_gathered() -> None:
    page = (
        '<script src="a.js"></script><script type="application/json">{"a": "<b>"}</script>'
        "<script>if (1 < 2 && a) b()</script>"
    )
    assert inline_scripts(page, "index.html") == ["if (1 < 2 && a) b()"]


@pytest.mark.parametrize(
    "part",
    ['<td style="text-align: right">', "<style>p {}</style>", '<button onclick="go()">'],
)
def test_what_the_policy_would_switch_off_stops_the_build(part: str) -> None:
    with pytest.raises(PolicyError, match=r"look-up/index\.html, line 2: <"):
        inline_scripts(f"<p>\n{part}", "look-up/index.html")


def test_references_follow_the_renamed_folder(folder: Path) -> None:
    renamed = name_by_contents(folder)
    assert re.fullmatch(r"assets/doorcard-[0-9a-f]{12}/", renamed)
    assert (folder / renamed / "page.css").is_file()
    for name in ("index.html", "look-up/index.html", "manifest.webmanifest"):
        text = (folder / name).read_text(encoding="utf-8")
        assert renamed in text
        assert "assets/doorcard/" not in text


@pytest.mark.parametrize(("name", "text"), [("page.css", "p {} "), ("other.css", "p {}")])
def test_the_folder_is_named_by_names_and_contents(folder: Path, name: str, text: str) -> None:
    before = name_by_contents(folder)
    (folder / before).rename(folder / "assets/doorcard")
    (folder / "assets/doorcard/page.css").rename(folder / "assets/doorcard" / name)
    (folder / "assets/doorcard" / name).write_text(text, encoding="utf-8")
    assert name_by_contents(folder) != before


def test_a_site_without_an_address_lists_its_pages_by_relative_ones(folder: Path) -> None:
    list_pages(folder)
    text = (folder / "sitemap.xml").read_text(encoding="utf-8")
    assert re.findall("<loc>(.*?)</loc>", text) == ["./", "look-up/"]


def test_a_site_with_an_address_keeps_it_and_loses_the_dates(folder: Path) -> None:
    line = "<url><loc>https://example.org/a/</loc>\n  <lastmod>2024-01-01</lastmod></url>"
    (folder / "sitemap.xml").write_text(f"<urlset>{line}</urlset>", encoding="utf-8")
    list_pages(folder)
    text = (folder / "sitemap.xml").read_text(encoding="utf-8")
    assert text == "<urlset><url><loc>https://example.org/a/</loc></url></urlset>"


def test_the_missing_page_moves_with_a_site_without_an_address(folder: Path) -> None:
    page = folder / "404.html"
    page.write_text('<script>s=new URL("/",location)</script><a href="/a/">/b</a><p title="x"/>', "utf-8")
    make_missing_page_movable(folder)
    expected = '<script>s=new URL("./",location)</script><a href="./a/">/b</a><p title="x"/>'
    assert page.read_text(encoding="utf-8") == expected


def test_the_missing_page_of_a_site_below_the_root_stays(folder: Path) -> None:
    text = '<script>s=new URL("/handbook/",location)</script><a href="/handbook/a/">'
    (folder / "404.html").write_text(text, encoding="utf-8")
    make_missing_page_movable(folder)
    assert (folder / "404.html").read_text(encoding="utf-8") == text


def test_the_list_names_pages_by_their_folders_and_adds_up(folder: Path) -> None:
    listed = json.loads(write_offline_list(folder))
    assert "./" in listed["files"]
    assert "look-up/" in listed["files"]
    assert not [name for name in listed["files"] if name.startswith(NOT_KEPT)]
    assert listed["size"] == sum(line["size"] for line in listed["files"].values())


@pytest.mark.parametrize("name", ["look-up/index.html", "service-worker.js"])
def test_any_change_is_another_build(folder: Path, name: str) -> None:
    before = write_offline_list(folder)
    assert write_offline_list(folder) == before
    with (folder / name).open("a", encoding="utf-8") as file:
        file.write(" ")
    assert json.loads(write_offline_list(folder))["build"] != json.loads(before)["build"]


def test_the_finished_site_lists_every_file_as_it_lies_there(site: Path) -> None:
    listed = json.loads((site / "offline.json").read_text(encoding="utf-8"))["files"]
    names = {path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file()}
    kept = [name for name in names if is_kept(name)]
    files = {address(name): site / name for name in kept}
    assert files.keys() == listed.keys()
    assert {"404.html", "sitemap.xml", "search/search_index.json"} <= listed.keys()
    assert not [name for name in listed if "/runtime/parts/" in name or "/runtime/start." in name]
    for name, path in files.items():
        assert integrity(path.read_bytes()) == listed[name]["integrity"], name


def test_every_page_carries_the_one_policy_that_allows_its_scripts(site: Path) -> None:
    policies = set()
    for path in site.rglob("*.html"):
        page = path.read_text(encoding="utf-8")
        policy = re.search(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">', page)
        assert policy is not None, path
        policies.add(policy[1])
        for script in inline_scripts(page, path.name):
            assert script_source(script) in policy[1], path
    assert len(policies) == 1
    sent = f"Content-Security-Policy: {policies.pop()}; frame-ancestors 'self'\n"
    assert sent in (site / "_headers").read_text(encoding="utf-8")


def test_the_examples_of_headers_send_what_a_build_writes() -> None:
    examples = Path("DEVELOPERS.md").read_text(encoding="utf-8")
    for name, value in HEADERS.items():
        assert f'add_header {name} "{value}" always;' in examples
        assert f'Header always set {name} "{value}"' in examples
        assert f"  {name}: {value}\n" in headers_file("", "assets/doorcard-0/")


def test_what_our_styles_say_stands_over_the_themes(tmp_path: Path) -> None:
    sheet = tmp_path / "assets" / "stylesheets" / "main.css"
    sheet.parent.mkdir(parents=True)
    switching = (
        "[data-md-color-switching] *,[data-md-color-switching] :after{transition-duration:0s!important}"
    )
    sheet.write_text(f'@charset "UTF-8";{switching}p{{color:red}}', encoding="utf-8")
    put_theme_below(tmp_path)
    assert sheet.read_text(encoding="utf-8") == "@layer theme{p{color:red}}"


def test_a_page_asks_for_one_sheet_of_ours_in_their_order(tmp_path: Path) -> None:
    styles = tmp_path / "assets" / "doorcard" / "style"
    styles.mkdir(parents=True)
    for name in ("text", "answer", "paper"):
        (styles / f"{name}.css").write_text(f".{name}{{}}\n", encoding="utf-8")
    link = '<link rel="stylesheet" href="../assets/doorcard/style/{}.css">'
    theme = '<link rel="stylesheet" href="../assets/stylesheets/main.css">'
    page = tmp_path / "page" / "index.html"
    page.parent.mkdir()
    links = "\n".join(map(link.format, ("text", "answer", "paper")))
    page.write_text(f"{theme}\n{links}\n<body>", encoding="utf-8")
    join_styles(tmp_path)
    paper = link.format("paper").replace('stylesheet"', 'stylesheet" media="print"')
    assert page.read_text(encoding="utf-8") == f"{theme}\n{link.format('doorcard')}\n{paper}\n<body>"
    assert {sheet.name: sheet.read_text(encoding="utf-8") for sheet in styles.iterdir()} == {
        "doorcard.css": ".text{}\n.answer{}\n",
        "paper.css": ".paper{}\n",
    }
