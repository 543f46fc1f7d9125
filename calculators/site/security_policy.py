"""The security policy: what a page may load and run, and nothing else.

Directives: Content Security Policy Level 3 (W3C); `'wasm-unsafe-eval'` lets WebAssembly be
compiled and still forbids `eval`.
"""

import base64
import hashlib
import re
from pathlib import Path

DATA_TYPES = ("application/json", "application/ld+json")
# Pages are large and many, so their tags are found by pattern, the quotes of attributes heeded.
TAG = re.compile(
    r"""<!--.*?-->|<(?P<name>[a-zA-Z][^\s/>]*)(?P<attributes>(?:[^"'>]|"[^"]*"|'[^']*')*)>""", re.DOTALL
)
SCRIPT_END = re.compile(r"</script", re.IGNORECASE)
MATTERS = re.compile(r"\b(style|on|src|type)", re.IGNORECASE)
ATTRIBUTE = re.compile(r"""(?P<name>[^\s"'<>/=]+)(?:\s*=\s*(?P<value>"[^"]*"|'[^']*'|[^\s"'=<>`]+))?""")
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
FRAMED = "frame-ancestors 'self'"
"""Who may show a page inside one of their own: nobody else. It binds in a header alone."""
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "microphone=(self), camera=(), geolocation=()",
}
"""What else a host does well to send with every page."""


class PolicyError(Exception):
    """A page holds what the policy forbids; the message says which page, and what and where."""


def inline_scripts(page: str, name: str) -> list[str]:
    """Return the inline scripts of a page.

    Raises PolicyError, naming the page, if it holds a style of its own or an event handler:
    the policy would have the browser ignore them.
    """
    scripts = []
    position = 0
    while tag := TAG.search(page, position):
        position = tag.end()
        if tag["name"] is None:  # A comment.
            continue
        attributes = attributes_of(tag["attributes"])
        handlers = [attribute for attribute in attributes if attribute.startswith("on")]
        kind = tag["name"].lower()
        if kind == "style" or "style" in attributes or handlers:
            line = page.count("\n", 0, tag.start()) + 1
            raise PolicyError(f"{name}, line {line}: {tag[0]}: use a class and the style sheet instead.")
        if kind == "script":
            end = SCRIPT_END.search(page, position)
            position = len(page) if end is None else end.start()
            if "src" not in attributes and attributes.get("type") not in DATA_TYPES:
                scripts.append(page[tag.end() : position])
    return scripts


def attributes_of(text: str) -> dict[str, str]:
    """Return the attributes in the text of a tag, where there may be any that matter here."""
    if not MATTERS.search(text):
        return {}
    return {found["name"].lower(): (found["value"] or "").strip("\"'") for found in ATTRIBUTE.finditer(text)}


def script_source(script: str) -> str:
    """Return the source expression that allows this inline script alone."""
    digest = hashlib.sha256(script.encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode()}'"


def policy_for(scripts: set[str]) -> str:
    """Return the policy that allows our own files and these inline scripts."""
    sources = "".join(f" {source}" for source in sorted(map(script_source, scripts)))
    return "; ".join(DIRECTIVES).format(scripts=sources)


def write_policy(site: Path, assets: str) -> str:
    """Write one policy into every page, and into `_headers` for hosts that read it; return that of a header.

    All pages carry the same one, because the theme swaps pages without loading them anew. Each begins with
    the mark of UTF-8, which stands over whatever letters a host says (HTML, WHATWG, 13.2.3.2).
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
        path.write_text(page, encoding="utf-8-sig", newline="\n")
    sent = f"{policy}; {FRAMED}"
    (site / "_headers").write_text(headers_file(sent, assets), encoding="utf-8", newline="\n")
    return sent


def headers_file(policy: str, assets: str) -> str:
    """Return the text of `_headers`: the policy and its like, and how long what may be cached."""
    lines = "".join(f"  {name}: {value}\n" for name, value in HEADERS.items())
    return (
        f"/*\n"
        f"  Content-Security-Policy: {policy}\n"
        f"{lines}"
        f"/{assets}*\n"
        f"  Cache-Control: public, max-age=31536000, immutable\n"
        f"/service-worker.js\n"
        f"  Cache-Control: no-cache\n"
    )
