"""The security policy: what a page may load and run, and nothing else.

Directives: Content Security Policy Level 3 (W3C); `'wasm-unsafe-eval'` lets WebAssembly be
compiled and still forbids `eval`.
"""

import base64
import hashlib
from html.parser import HTMLParser
from pathlib import Path

DATA_TYPES = ("application/json", "application/ld+json")
FIRST_IN_HEAD = '<meta charset="utf-8">'
DIRECTIVES = (
    "default-src 'none'",
    "script-src 'self' 'wasm-unsafe-eval'{scripts}",
    "style-src 'self'",
    "img-src 'self' data:",
    "font-src 'self'",
    "connect-src 'self'",
    "worker-src 'self'",
    "manifest-src 'self'",
    "form-action 'self'",
    "base-uri 'none'",
)


class PolicyError(Exception):
    """A page holds what the policy forbids; the message says which page, and what and where."""


class InlineParts(HTMLParser):
    """Finds in one page the inline scripts, and what no policy of ours allows."""

    def __init__(self) -> None:
        """Start with nothing found."""
        super().__init__(convert_charrefs=False)
        self.scripts: list[str] = []
        self.forbidden: list[str] = []
        self.in_script = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note the start of an inline script, a style, or an event handler."""
        names = dict(attrs)
        handlers = [name for name in names if name.startswith("on")]
        line = self.getpos()[0]
        if tag == "style" or "style" in names or handlers:
            self.forbidden.append(f"line {line}: {self.get_starttag_text()}")
        if tag == "script" and "src" not in names and names.get("type") not in DATA_TYPES:
            self.in_script = True
            self.scripts.append("")

    def handle_data(self, data: str) -> None:
        """Gather the text of an inline script."""
        if self.in_script:
            self.scripts[-1] += data

    def handle_endtag(self, tag: str) -> None:
        """Note the end of a script."""
        if tag == "script":
            self.in_script = False


def inline_scripts(page: str, name: str) -> list[str]:
    """Return the inline scripts of a page.

    Raises PolicyError, naming the page, if it holds a style of its own or an event handler:
    the policy would have the browser ignore them.
    """
    parts = InlineParts()
    parts.feed(page)
    parts.close()
    if parts.forbidden:
        raise PolicyError(f"{name}, {parts.forbidden[0]}: use a class and the style sheet instead.")
    return parts.scripts


def script_source(script: str) -> str:
    """Return the source expression that allows this inline script alone."""
    digest = hashlib.sha256(script.encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode()}'"


def policy_for(scripts: set[str]) -> str:
    """Return the policy that allows our own files and these inline scripts."""
    sources = "".join(f" {source}" for source in sorted(map(script_source, scripts)))
    return "; ".join(DIRECTIVES).format(scripts=sources)


def write_policy(site: Path, assets: str) -> str:
    """Write one policy into every page, and into `_headers` for hosts that read it; return it.

    All pages carry the same one, because the theme swaps pages without loading them anew.
    `assets` is the folder named by its contents, which may be cached for ever.
    """
    pages = {path: path.read_text(encoding="utf-8") for path in sorted(site.rglob("*.html"))}
    scripts: set[str] = set()
    for path, page in pages.items():
        scripts.update(inline_scripts(page, path.relative_to(site).as_posix()))
    policy = policy_for(scripts)
    meta = f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
    for path, page in pages.items():
        if FIRST_IN_HEAD not in page:
            raise PolicyError(f"{path.relative_to(site)}: no place for the policy.")
        page = page.replace(FIRST_IN_HEAD, FIRST_IN_HEAD + meta, 1)
        path.write_text(page, encoding="utf-8", newline="\n")
    (site / "_headers").write_text(headers_file(policy, assets), encoding="utf-8", newline="\n")
    return policy


def headers_file(policy: str, assets: str) -> str:
    """Return the text of `_headers`: the policy, and how long what may be cached."""
    return (
        f"/*\n"
        f"  Content-Security-Policy: {policy}\n"
        f"  X-Content-Type-Options: nosniff\n"
        f"  Referrer-Policy: no-referrer\n"
        f"/{assets}*\n"
        f"  Cache-Control: public, max-age=31536000, immutable\n"
        f"/service-worker.js\n"
        f"  Cache-Control: no-cache\n"
    )
