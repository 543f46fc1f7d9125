"""The blocks of HTML that the site build puts round what ``presenting`` renders."""

from collections.abc import Mapping, Sequence
from typing import Any

from calculators.cautions import CAUTIONS
from calculators.declaring import Outcome
from calculators.presenting.escaping import text
from calculators.presenting.forms import form
from calculators.presenting.results import result_html
from calculators.site.equations import mathml
from calculators.site.release import OWN_ASSETS
from calculators.sources import SOURCES


def calculator(
    outcome: Outcome, values: Mapping[str, Any] | None, prefix: str, root: str, owed: Sequence[str]
) -> str:
    """A live calculator: the page script finds it by its element name. ``owed`` are its cautions.

    It stands in a ``div``, because Markdown puts an element it does not know into a paragraph,
    and a paragraph cannot hold a form: the browser would take the two apart. ``data-scripts`` ends
    up as the folder of the release that this page belongs to.
    """
    declared = outcome.calculator
    return (
        f'<div><doorcard-calculator class="dc-calculator" data-calculator="{declared.slug}" '
        f'data-scripts="{OWN_ASSETS}">'
        f'<p class="dc-title">{text(declared.title)}</p>'
        f"{form(declared, prefix, values)}"
        f'<p class="dc-engine" data-engine hidden></p>'
        f'<p class="dc-state" data-state></p>'
        f'<div class="dc-result" data-result>{result_html(outcome)}</div>'
        f'<p class="dc-said" role="status" data-said></p>'
        '<noscript><p class="dc-engine">This answer is worked out for the values shown. '
        "To work with your own, this page needs JavaScript and WebAssembly.</p></noscript>"
        f"{equations(declared.equations)}{source_list(declared.sources, root)}"
        f"{cautions(owed)}"
        "</doorcard-calculator></div>"
    )


def worked(outcome: Outcome, title: str) -> str:
    """A worked example: what it starts from, and what comes out."""
    name = title or outcome.calculator.title
    return (
        f'<div class="dc-worked"><p class="dc-title">{text(name)}</p>{result_html(outcome, form=False)}</div>'
    )


def equations(lines: Sequence[str]) -> str:
    """The equations, folded away."""
    if not lines:
        return ""
    shown = "".join(mathml(line) for line in lines)
    return f'<details class="dc-equations"><summary>How it is worked out</summary>{shown}</details>'


def source_list(keys: Sequence[str], root: str) -> str:
    """The sources a calculator rests on, each leading to the page of sources."""
    links = "; ".join(f'<a href="{root}sources/#{key}">{text(short_name(key))}</a>' for key in keys)
    return f'<p class="dc-sources">Rests on: {links}.</p>'


def short_name(key: str) -> str:
    """A source's text up to its first comma that ends a name or number."""
    return SOURCES[key].text.split(", ")[0]


def cautions(keys: Sequence[str]) -> str:
    """Cautions, whole."""
    parts = []
    for key in keys:
        entry = CAUTIONS[key]
        lines = "".join(f"<li>{text(line)}</li>" for line in entry.sentences)
        parts.append(
            f'<div class="dc-caution" role="note"><p class="dc-caution-title">'
            f"<strong>Caution {key}: {text(entry.title)}</strong></p><ul>{lines}</ul></div>"
        )
    return "".join(parts)


def bibliography() -> str:
    """All sources, each with an anchor."""
    items = "".join(
        f'<dt id="{source.key}">{text(source.text)}</dt><dd>{text(source.note) or "&nbsp;"}</dd>'
        for source in sorted(SOURCES.values(), key=lambda source: source.text.casefold())
    )
    return f'<dl class="dc-bibliography">{items}</dl>'
