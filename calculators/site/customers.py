"""What customers ask first: where their complaint leads, and what an upgrade costs.

Three fences: ``complaints``, from their words to the page; ``cost`` with an upgrade's name: hours, order
of cost, and money where the shop has filled its file; ``costs``, the table of all.
"""

from decimal import Decimal
from itertools import pairwise

from markdown import Markdown
from pymdownx.superfences import SuperFencesException

from calculators.presenting.escaping import text
from calculators.site.fences import PageError, reported, to_root
from calculators.site.shop import Shop, shop
from calculators.vocabulary.complaints import COMPLAINTS, Complaint
from calculators.vocabulary.upgrades import (
    MARKS,
    ONCE_SMALL,
    ONCE_WHOLE,
    UPGRADES,
    WHOLE,
    Upgrade,
    hours_with_needs,
    marks,
    needed_first,
)

PLACE = "having-it-done/"
"""Folder of the customers' pages; each upgrade's page has its name."""

MOST = len(MARKS) + 1


@reported(SuperFencesException)
def cost(source: str, markdown: Markdown) -> str:
    """What one upgrade costs: work, once for every job, days without the car, order of cost."""
    name = source.strip()
    if name not in UPGRADES:
        raise PageError(f"no upgrade is called {name!r}; there are: {', '.join(UPGRADES)}")
    return cost_html(name, shop())


@reported(SuperFencesException)
def costs(source: str, markdown: Markdown) -> str:
    """The table of all upgrades."""
    return costs_html(shop(), to_root(markdown))


@reported(SuperFencesException)
def complaints(source: str, markdown: Markdown) -> str:
    """Every complaint with what costs nothing, the page that helps, and the hours."""
    return complaints_html(to_root(markdown))


def complaints_html(root: str) -> str:
    """The complaints as a list. ``root``: the way to the start."""
    items = "".join(
        f"<li><p><strong>{text(entry.words)}</strong> Free first: {text(entry.check)}."
        f"{leads_to(entry, root)}</p></li>"
        for entry in COMPLAINTS.values()
    )
    return (
        f'<ul class="dc-complaints">{items}</ul>'
        f'<p class="dc-fine">What every job needs once comes on top: {once()}.</p>'
    )


def leads_to(entry: Complaint, root: str) -> str:
    """What is mended, and the pages of what helps, each with its hours and what it needs."""
    said = ""
    if entry.mend:
        link = f'<a href="{root}{entry.mend.page}">{text(entry.mend.what)}</a>'
        said += f" Then {link}: {hours(entry.mend.least, entry.mend.most)}."
    for word, name in zip(("Helps most", "Or"), entry.remedies, strict=False):
        alone = UPGRADES[name]
        whole = hours(alone.least, alone.most) if entry.only_if else hours(*hours_with_needs(name))
        needs = " with what it needs first" if alone.needs and not entry.only_if else ""
        word = f"Only {entry.only_if}" if entry.only_if else word
        said += f' {word}: <a href="{root}{PLACE}{name}/">{text(alone.title)}</a>, {whole}{needs}.'
    return said


def cost_html(name: str, of: Shop) -> str:
    """One upgrade's cost as a list of names and values."""
    upgrade = UPGRADES[name]
    rows = {
        "Work": own_hours(upgrade),
        "Needs first": needs_first(name),
        "Once for every job": "Survey, opening and closing, switching on for the first time, checks, "
        f"handover: {once()}",
        "Without your car": upgrade.away,
        "Order of cost": f"{dots(upgrade)} {part(upgrade)} of a whole system",
    }
    money = prices(name, upgrade, of)
    shown = {title: text(words) for title, words in (rows | money).items()}
    listed = "".join(f"<div><dt>{title}</dt><dd>{words}</dd></div>" for title, words in shown.items())
    note = "" if money else " This copy names no shop, so it names no price."
    return (
        f'<dl class="dc-cost" data-search-exclude>{listed}</dl>'
        f'<p class="dc-fine">Typical for a careful shop (common practice, no source).{note}</p>'
    )


def costs_html(of: Shop, root: str) -> str:
    """All upgrades in a table, each leading to its page: hours, days without the car, order of cost, prices.

    ``root``: the way to the start.
    """
    priced = of.rate is not None
    head = ("Upgrade", "Work", "Without your car", "Order of cost", *(["Work and parts"] if priced else []))
    lines = []
    for name, upgrade in UPGRADES.items():
        cells = [hours(upgrade.least, upgrade.most), upgrade.away, f"{dots(upgrade)} {part(upgrade)}"]
        cells += [whole_price(name, upgrade, of)] if priced else []
        rest = "".join(
            f'<td data-label="{text(title)}">{text(cell)}</td>'
            for title, cell in zip(head[1:], cells, strict=True)
        )
        lines.append(
            f'<tr><th scope="row"><a href="{root}{PLACE}{name}/">{text(upgrade.title)}</a></th>{rest}</tr>'
        )
    titles = "".join(f'<th scope="col">{title}</th>' for title in head)
    least = sum(UPGRADES[name].least for name in WHOLE) + ONCE_WHOLE[0]
    most = sum(UPGRADES[name].most for name in WHOLE) + ONCE_WHOLE[1]
    return (
        f'<table class="dc-costs" data-search-exclude><thead><tr>{titles}</tr></thead>'
        f"<tbody>{''.join(lines)}</tbody></table>"
        f"<p>A whole system (doors and floor, front speakers, amplifier, subwoofer, processor, tuning) is "
        f"{hours(least, most)} of work, the {hours(*ONCE_WHOLE)} that every job costs once among them.</p>"
        '<p class="dc-fine">Marks: the typical part of a whole system, never a currency. '
        f"{legend()} (common practice, no source).</p>"
    )


def once() -> str:
    """What every job costs once, by how much is done."""
    return (
        f"{hours(*ONCE_SMALL)} for one small upgrade, {hours(*ONCE_WHOLE)} for a whole system, "
        "in between for several together"
    )


def needs_first(name: str) -> str:
    """What an upgrade cannot do without, each with its hours; or that it needs nothing."""
    needs = [UPGRADES[need] for need in needed_first(name)]
    return "; ".join(f"{need.title}, {own_hours(need)}" for need in needs) or "Nothing else"


def own_hours(upgrade: Upgrade) -> str:
    """The hours of an upgrade by itself; what lies inside the tuning is told as its part."""
    if upgrade.inside:
        return f"{hours(upgrade.least, upgrade.most)}, part of the tuning"
    return hours(upgrade.least, upgrade.most)


def prices(name: str, upgrade: Upgrade, of: Shop) -> dict[str, str]:
    """What the shop asks, tax included: for the work, and for parts where it names them."""
    shown = {}
    if of.rate is not None:
        shown["Our price for the work"] = f"{of.money(*work(upgrade, of.rate))}, tax included"
    if name in of.parts:
        shown["Our price for parts"] = f"{of.money(*of.parts[name])}, tax included"
    return shown


def whole_price(name: str, upgrade: Upgrade, of: Shop) -> str:
    """Work and parts in one sum, or the work alone where no parts are named."""
    if of.rate is None:
        return ""
    least, most = work(upgrade, of.rate)
    if name not in of.parts:
        return of.money(least, most) + (" and parts" if upgrade.parts else "")
    low, high = of.parts[name]
    return of.money(least + low, most + high)


def work(upgrade: Upgrade, rate: Decimal) -> tuple[Decimal, Decimal]:
    """The least and the most that the hours cost."""
    return Decimal(str(upgrade.least)) * rate, Decimal(str(upgrade.most)) * rate


def hours(least: float, most: float) -> str:
    """A stretch of hours in words."""
    if least == most:
        return "half an hour" if least == 0.5 else f"{least:g} hours"
    return f"{least:g} to {most:g} hours" if most != 1 else f"{least:g} to 1 hour"


def dots(upgrade: Upgrade) -> str:
    """One to four full rings of four."""
    full = marks(upgrade.share)
    return "●" * full + "○" * (MOST - full)


def part(upgrade: Upgrade) -> str:
    """The part of a whole system in words, by the marks' own limits."""
    return PARTS[marks(upgrade.share) - 1]


def _parts() -> tuple[str, ...]:
    low, *_ = percent = [f"{100 * limit:g}" for limit in MARKS]
    between = (f"{first} to {last} %" for first, last in pairwise(percent))
    return (f"up to {low} %", *between, f"over {percent[-1]} %")


PARTS = _parts()


def legend() -> str:
    """What each number of marks stands for."""
    return ", ".join(f"{'●' * count} {words}" for count, words in enumerate(PARTS, 1))
