"""Our scripts and styles without comments and blanks: a browser fetches and reads two thirds of the bytes.

Nothing else changes: every word stays as it is written. Parsers tell what a word is, tree-sitter's for
scripts and tinycss2 for styles, so what stands in texts, patterns and templates is not touched.
"""

import re
from collections.abc import Iterable, Iterator
from functools import partial
from importlib.metadata import version
from pathlib import Path

import tinycss2
import tree_sitter_javascript
from tinycss2.ast import Node as Value
from tree_sitter import Language, Node, Parser

from calculators.site.runtime import remembered

SCRIPTS = ("assets/doorcard/*.js", "service-worker.js")
STYLES = ("assets/doorcard/**/*.css",)

JAVASCRIPT = Language(tree_sitter_javascript.language())
PARSERS = ("tinycss2", "tree-sitter", "tree-sitter-javascript")
"""Packages that the shortened text depends on, beside this file."""
AS_WRITTEN = {"string", "template_string", "regex"}
"""What of a script is taken whole."""
TOUCHING = re.compile(rb"[\w$#\\\x80-\xff]{2}|\d\.|[-+/*<!]{2}")
"""Ends of two words that would mean something else without the blank between them."""
OPENING, CLOSING = b"{([;,", b"})];,"
"""Behind and before these the end of a line ends no statement."""
APART = {";", ",", ">", "!"}
"""What needs no blank beside it in a style."""


class ShorteningError(Exception):
    """A script or style cannot be read; the message names it."""


def shorten(site: Path) -> None:
    """Shorten our scripts and styles in a site, again only those that have changed.

    Raises ShorteningError for one that cannot be read.
    """
    how = [Path(__file__).read_bytes(), *(version(name).encode() for name in PARSERS)]
    for patterns, shortened in ((SCRIPTS, short_script), (STYLES, short_style)):
        for path in (path for pattern in patterns for path in site.glob(pattern)):
            text = path.read_bytes()
            try:
                path.write_bytes(remembered([*how, text], partial(shortened, text)))
            except ValueError as error:
                raise ShorteningError(f"{path.name} {error}") from error


def words(script: Node) -> Iterator[tuple[int, int]]:
    """Yield where each word of a script begins and ends, in bytes; comments are none."""
    unread = [script]
    while unread:
        node = unread.pop()
        if node.child_count and node.type not in AS_WRITTEN:
            unread += reversed(node.children)
        elif node.type != "comment" and node.start_byte < node.end_byte:
            yield node.start_byte, node.end_byte


def short_script(text: bytes) -> bytes:
    """A script without comments and blanks; the ends of lines stay where they may end a statement.

    Raises ValueError if it is no script.
    """
    tree = Parser(JAVASCRIPT).parse(text)
    if tree.root_node.has_error:
        raise ValueError("is no script")
    short = bytearray()
    last = 0
    for begins, ends in words(tree.root_node):
        touching = short[-1:] + text[begins : begins + 1]
        if b"\n" in text[last:begins]:
            if touching[:1] not in OPENING and touching[1:] not in CLOSING:
                short += b"\n"
        elif last < begins and TOUCHING.match(touching):
            short += b" "
        short += text[begins:ends]
        last = ends
    return bytes(short) + b"\n"


def short_style(text: bytes) -> bytes:
    """A style without comments and blanks; raises ValueError if it is no style."""
    values = tinycss2.parse_component_value_list(text.decode(), skip_comments=True)
    return bytes(tinycss2.serialize(without_blanks(values)).encode()) + b"\n"


def without_blanks(values: Iterable[Value]) -> list[Value]:
    """The parts of a style without the blanks that mean nothing, and one in place of many."""
    short: list[Value] = []
    for value in values:
        if value.type == "error":
            raise ValueError(f"is no style, line {value.source_line}: {value.message}")
        blank_before = bool(short) and short[-1].type == "whitespace"
        if value.type == "whitespace":
            if not short or blank_before or apart(short[-1]) or short[-1] == ":":
                continue
            value.value = " "
        elif blank_before and apart(value):
            short.pop()
        for inside in ("content", "arguments"):
            if hasattr(value, inside):
                setattr(value, inside, without_blanks(getattr(value, inside)))
        short.append(value)
    return short[:-1] if short and short[-1].type == "whitespace" else short


def apart(value: Value) -> bool:
    """Whether a part of a style needs no blank beside it."""
    return value.type == "{} block" or (value.type == "literal" and value.value in APART)
