"""The blocks of HTML that the site build puts round what ``presenting`` renders."""

import json
from collections.abc import Mapping, Sequence
from typing import Any

from calculators.cautions import CAUTIONS
from calculators.declaring import Outcome
from calculators.presenting.escaping import text
from calculators.presenting.forms import form
from calculators.presenting.results import result_html
from calculators.presenting.self_checks import answer_html, question_html
from calculators.self_checks import BLOCKS, find_check, question
from calculators.self_checks.asking import Figure, title
from calculators.site.equations import mathml
from calculators.site.release import OWN_ASSETS
from calculators.site.study import form_address
from calculators.sources import SOURCES
from calculators.stages import find_calculator

FIRST_DRAW = 20
"""The question that a self-check asks first: the script draws the others."""


def calculator(
    outcome: Outcome,
    values: Mapping[str, Any] | None,
    prefix: str,
    root: str,
    owed: Sequence[str],
    facts: Mapping[str, str],
) -> str:
    """A live calculator: the page script finds it by its element name. ``owed`` are its cautions.

    ``facts`` are the paths of a job's facts that its inputs stand for: from there an open job fills them.

    It stands in a ``div``, because Markdown puts an element it does not know into a paragraph,
    and a paragraph cannot hold a form: the browser would take the two apart. ``data-scripts`` ends
    up as the folder of the release that this page belongs to.
    """
    declared = outcome.calculator
    in_job = f' data-job="{text(json.dumps(facts))}"' if facts else ""
    return (
        f'<div><doorcard-calculator class="dc-calculator" id="{prefix}" data-search-exclude '
        f'data-calculator="{declared.slug}" data-scripts="{OWN_ASSETS}"{in_job}>'
        f'<p class="dc-title">{text(declared.title)}</p>'
        f'<div class="dc-body"><div class="dc-asks">{form(declared, prefix, values)}</div>'
        f'<div class="dc-tells" id="{prefix}-answer" tabindex="-1" data-answer>'
        f'<p class="dc-engine" data-engine hidden></p>'
        f'<p class="dc-whose"><span class="dc-tag" data-tag>Example</span>'
        f'<span class="dc-state" data-state></span></p>'
        f'<div class="dc-result" data-result>{result_html(outcome)}</div></div></div>'
        f'<p class="dc-said" role="status" data-said></p>'
        '<noscript><p class="dc-engine">This answer is worked out for the values shown. '
        "To work with your own, this page needs JavaScript and WebAssembly.</p></noscript>"
        f"{equations(declared.equations)}{source_list(declared.sources, root)}"
        f"{cautions(owed)}"
        "</doorcard-calculator></div>"
    )


def worked(outcome: Outcome, title: str) -> str:
    """A worked example: what it starts from, and what comes out."""
    name = f'{text(title or outcome.calculator.title)} <span class="dc-tag">Example</span>'
    result = result_html(outcome, form=False)
    return f'<section class="dc-worked" data-search-exclude><p class="dc-title">{name}</p>{result}</section>'


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
    """Cautions, whole, in one frame; they say on every page the same, so search leaves them out.

    The search leaves out up to the first end of the same tag: what it leaves out holds no other of its kind.
    """
    parts = []
    for key in keys:
        entry = CAUTIONS[key]
        lines = "".join(f"<li>{text(line)}</li>" for line in entry.sentences)
        parts.append(
            f'<div class="dc-caution"><p class="dc-caution-title"><span class="dc-id">Caution {key}</span> '
            f"{text(entry.title)}</p><ul>{lines}</ul></div>"
        )
    framed = "".join(parts)
    return (
        f'<section class="dc-cautions" role="note" data-search-exclude>{framed}</section>' if framed else ""
    )


def checks(block: str, root: str) -> str:
    """The self-checks of a block, each with one question drawn, its hint, and its answer folded away.

    The page's script draws another question and lets it be answered.
    """
    entry = BLOCKS[block]
    made = []
    for name in entry.checks:
        drawn = question(block, name, FIRST_DRAW)
        with_what = "By choice and reason."
        if isinstance(drawn, Figure):
            place = f"{root}{form_address(drawn.calculator)}"
            with_what = (
                f'With the calculator: <a href="{place}">{text(find_calculator(drawn.calculator).title)}</a>.'
            )
        made.append(
            f'<div><doorcard-check class="dc-check" id="{block}-{name}" data-check="{block}/{name}" '
            f'data-days="{entry.days}" data-draw="{FIRST_DRAW}" data-scripts="{OWN_ASSETS}" '
            "data-search-exclude>"
            f"<h2>{text(title(find_check(block, name)))}</h2>"
            f'<p class="dc-check-kind"><small>{with_what}</small> <span data-kept></span></p>'
            f"<fieldset disabled data-question>{question_html(drawn, f'{block}-{name}')}</fieldset>"
            f'<div data-verdict-place role="status"></div><p class="dc-walk" data-buttons></p>'
            f"<noscript><details><summary>Answer</summary>{answer_html(drawn)}</details></noscript>"
            "</doorcard-check></div>"
        )
    return "".join(made)


def bibliography() -> str:
    """All sources, each with an anchor."""
    items = "".join(
        f'<dt id="{source.key}">{text(source.text)}</dt><dd>{text(source.note) or "&nbsp;"}</dd>'
        for source in sorted(SOURCES.values(), key=lambda source: source.text.casefold())
    )
    return f'<dl class="dc-bibliography" data-search-exclude>{items}</dl>'
