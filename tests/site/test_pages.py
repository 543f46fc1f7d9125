"""The built pages: what stands in them, that it is sound HTML, and that it points nowhere else."""

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from urllib.parse import urldefrag, urljoin
from xml.etree.ElementTree import Element

import pytest
import tinycss2
from tinycss2.ast import Node

from calculators.site.trees import with_tree
from calculators.stages import every_calculator, find_calculator
from tests.conftest import ROOT

DOCS = ROOT / "docs"
BASE = "https://handbook.invalid/some/folder/"
FENCES = (
    "calculator",
    "worked",
    "look-up",
    "caution",
    "sources",
    "from-memory",
    "figure",
    "cost",
    "costs",
    "complaints",
    "glossary",
    "checks",
    "study",
)
PLAIN = "text"  # A drawing in letters.
FENCE = re.compile(
    r"^ *(?P<fence>`{3,}|~{3,}) *(?P<word>[^\n`]*)\n(?P<body>.*?)^ *(?P=fence) *$", re.MULTILINE | re.DOTALL
)
MATHEMATICS = "{http://www.w3.org/1998/Math/MathML}math"
ADDRESSES = {
    "href", "src", "srcset", "action", "formaction", "poster", "data", "cite", "background", "manifest",
    "ping", "{http://www.w3.org/1999/xlink}href",
}  # fmt: skip


@cache
def sources() -> dict[str, str]:
    """The Markdown of all pages, with their fault trees written out, by the address they are built to."""
    found = {}
    for path in sorted(DOCS.rglob("*.md")):
        address = path.relative_to(DOCS).with_suffix("").as_posix()
        address = address.removesuffix("index")
        markdown = with_tree(path.read_text("utf-8"), path.parent)
        found[address if address == "" or address.endswith("/") else f"{address}/"] = markdown
    return found


def fences(markdown: str) -> Iterator[tuple[str, str]]:
    for match in FENCE.finditer(markdown):
        yield match["word"].strip(), match["body"]


def of_class(root: Element, name: str) -> list[Element]:
    return [element for element in root.iter() if name in element.get("class", "").split()]


def words(element: Element) -> str:
    return " ".join("".join(element.itertext()).split())


def test_every_page_is_built(pages: dict[str, Element]) -> None:
    assert set(pages) == {*sources(), "404.html"}


def test_fences_are_spelt_right() -> None:
    for address, markdown in sources().items():
        for word, _ in fences(markdown):
            assert word in {*FENCES, PLAIN}, f"{address}: {word}"


def test_as_many_blocks_as_fences(pages: dict[str, Element]) -> None:
    for address, markdown in sources().items():
        wanted: Counter[str] = Counter()
        for word, body in fences(markdown):
            word = "sources" if word == "from-memory" else word  # Both are lists of one make.
            wanted[word] += not (word == "worked" and re.search(r"^hidden: true", body, re.M))
        page = pages[address]
        built = {
            "calculator": list(page.iter("doorcard-calculator")),
            "worked": of_class(page, "dc-worked"),
            "look-up": of_class(page, "dc-look-up"),
            "sources": of_class(page, "dc-bibliography"),
        }
        for word, elements in built.items():
            assert len(elements) == wanted[word], f"{address}: {word}"


def test_cautions_stand_whole_where_they_are_called(pages: dict[str, Element]) -> None:
    for address, markdown in sources().items():
        called = [key for word, body in fences(markdown) if word == "caution" for key in body.split()]
        for element in pages[address].iter("doorcard-calculator"):
            # A calculator prints what its page does not, and what no other one has printed.
            called += [
                key
                for key in find_calculator(element.get("data-calculator", "")).cautions
                if key not in called
            ]
        titles = [words(title) for title in of_class(pages[address], "dc-caution-title")]
        assert Counter(title.split()[1].rstrip(":") for title in titles) == Counter(called), address


def test_nothing_is_left_as_source(pages: dict[str, Element]) -> None:
    markdown = sources()
    for address, page in pages.items():
        drawings = [body for word, body in fences(markdown.get(address, "")) if word == PLAIN]
        assert len(list(page.iter("pre"))) == len(drawings), address
        text = words(page)
        for mark in ("```", "~~~", "#!answer", "#!given", "{ .", "]("):
            assert mark not in text, f"{address}: {mark}"
        assert not re.search(r"\bjob:\w", text), address
        for code in page.iter("code"):
            assert words(code).partition(" ")[0] not in {*FENCES, "answer", "given"}, address


def test_every_calculator_shows_form_answer_and_sources(pages: dict[str, Element]) -> None:
    shown = set()
    for address, page in pages.items():
        for element in page.iter("doorcard-calculator"):
            calculator = find_calculator(element.get("data-calculator", ""))
            place = f"{address}: {calculator.slug}"
            shown.add(calculator.slug)
            assert len(of_class(element, "dc-form")) == bool(calculator.inputs), place
            (result,) = (part for part in element.iter() if part.get("data-result") is not None)
            assert of_class(result, "dc-answers") or of_class(result, "dc-table"), place
            assert not of_class(result, "dc-waiting"), place
            links = [link for part in of_class(element, "dc-sources") for link in part.iter("a")]
            keys = [link.get("href", "").partition("#")[2] for link in links]
            assert keys == list(calculator.sources), place
            assert len(list(element.iter(MATHEMATICS))) == len(calculator.equations), place
    assert shown == {calculator.slug for calculator in every_calculator()}


def test_answers_in_text_are_there(pages: dict[str, Element]) -> None:
    for address, markdown in sources().items():
        for word, name in (("answer", "dc-answer"), ("given", "dc-given-value")):
            shown = of_class(pages[address], name)
            assert len(shown) == len(re.findall(rf"`#!{word} ", markdown)), address
            assert all(words(element) for element in shown), address


def test_ids_are_their_own(pages: dict[str, Element]) -> None:
    for address, page in pages.items():
        ids = Counter(element.get("id") for element in page.iter() if element.get("id"))
        assert [name for name, count in ids.items() if count > 1] == [], address


def test_links_lead_to_what_is_there(site: Path, pages: dict[str, Element]) -> None:
    anchors = {address: {element.get("id") for element in page.iter()} for address, page in pages.items()}
    for address, page in pages.items():
        for element in page.iter():
            for name in ADDRESSES & set(element.keys()):
                value = element.get(name, "")
                if value.startswith("data:"):
                    continue
                where = f"{address}: {name}={value}"
                target, anchor = urldefrag(urljoin(BASE + address, value))
                assert target.startswith(BASE), f"outside the site: {where}"
                target = target.removeprefix(BASE).removeprefix("./")
                if target in pages:
                    assert not anchor or anchor in anchors[target], f"no such anchor: {where}"
                else:
                    file = site / target / "index.html" if target.endswith("/") else site / target
                    assert file.is_file(), f"no such file: {where}"


LOOKED_THROUGH = {
    *(".dc-asks", ".dc-away", ".dc-cautions", ".dc-control", ".dc-field", ".dc-scroll", ".dc-segments"),
    *(".dc-table", "select", "table", "li", "p", ".dc-guided .dc-body"),
}
"""What `:has()` may stand on on a screen: small parts, and of the guided tune's page alone a whole step."""


def before_has(selector: list[Node], element: str = "") -> Iterator[str]:
    """What stands before each `:has()` of a selector."""
    text = element
    for token in selector:
        if token.type == "function":
            text = text.rstrip(":")
            yield from [text.strip()] if token.name == "has" else before_has(token.arguments, text)
        else:
            text = element if token == "," else text + token.serialize()


def looked_through(style: str | list[Node]) -> Iterator[str]:
    """What the rules for a screen have looked through."""
    for rule in tinycss2.parse_rule_list(style, skip_comments=True, skip_whitespace=True):
        if rule.type == "qualified-rule":
            for text in before_has(rule.prelude):
                last = re.split("[ >+~]+", text)[-1]
                yield text if text in LOOKED_THROUGH else re.sub(r"\[.*", "", last)
        elif rule.type == "at-rule" and rule.content and tinycss2.serialize(rule.prelude).strip() != "print":
            yield from looked_through(rule.content)


def test_no_style_looks_through_what_holds_an_answer(site: Path) -> None:
    """A browser judges `:has()` of an element anew at each change in it: the whole page, at each key."""
    (style,) = site.glob("assets/doorcard-*/style/doorcard.css")
    assert set(looked_through(style.read_text(encoding="utf-8"))) == LOOKED_THROUGH


@pytest.mark.parametrize("holds", ["article", ".md-typeset", ".dc-calculator[data-live]", ".a .dc-body"])
def test_a_style_that_does_is_found(holds: str) -> None:
    for style in (
        "{0}:has(p) b {{}}",
        "@media screen {{ p, {0}:not(:has(p)) {{}} }}",
        ":is({0}:has(p)) {{}}",
    ):
        assert set(looked_through(style.format(holds))) - LOOKED_THROUGH
    assert not set(looked_through(f"@media print {{ {holds}:has(p) {{}} }}"))


def test_styles_ask_for_nothing_elsewhere(site: Path) -> None:
    for path in site.rglob("*.css"):
        for address in re.findall(r"url\(\s*['\"]?([^'\")]*)", path.read_text("utf-8")):
            if not address.startswith(("data:", "#")):
                assert (path.parent / address.partition("?")[0].partition("#")[0]).is_file(), (
                    f"{path}: {address}"
                )
        assert "@import" not in path.read_text("utf-8")


def test_our_own_files_name_no_address(site: Path) -> None:
    """Names of XML vocabularies look like addresses, and an example is one; nothing ever asks for them."""
    nowhere = ("http://www.w3.org/", "http://www.sitemaps.org/schemas/", "https://example.org/")
    for path in site.rglob("*"):
        text_file = path.suffix in {".js", ".mjs", ".json", ".xml", ".webmanifest", ".html", ".svg"}
        if not text_file or path.is_relative_to(site / "assets" / "javascripts") or "runtime" in path.parts:
            continue
        text = re.sub(r"<!--.*?-->", "", path.read_text("utf-8"), flags=re.S)
        found = re.findall(r"https?://[^\s\"'<>)]*", text)
        assert [address for address in found if not address.startswith(nowhere)] == [], path


def test_pictures_have_words(pages: dict[str, Element]) -> None:
    for address, page in pages.items():
        article = next(page.iter("article"))
        for picture in article.iter("img"):
            assert picture.get("alt"), address
        for table in article.iter("table"):
            assert list(table.iter("th")), address
        assert len(list(article.iter("h1"))) == 1, address
