"""A quote worked out: which lines stand in it, what each comes to, and what tax they bear.

Every amount that is printed is rounded once, to the smallest unit of the currency; sums are sums of what
is printed. Where tax is rounded for a whole rate, its shares by line are dealt out of that.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from graphlib import CycleError, TopologicalSorter
from typing import Annotated, Literal

from calculators.declaring import Choice, Day, Exact, Flag, InputError, Text
from calculators.vocabulary.money import Currency, checked, share_of, share_or_amount, shared_out
from calculators.vocabulary.names import name_key

State = Literal["base", "chosen", "offered", "declined"]

STATES = {
    "base": "in every case",
    "chosen": "option, chosen",
    "offered": "option, offered",
    "declined": "option, declined",
}
IN = ("base", "chosen")
NOT_COUNTED = (STATES["offered"], STATES["declined"], "falls with")
"""How the words begin for a line that is not in the total."""


@dataclass(frozen=True, kw_only=True)
class QuoteLine:
    """One line of a quote, as it is typed."""

    id: Annotated[str, Text("Short name", longest=24, help="What other lines call it by.")]
    name: Annotated[str, Text("Line", longest=80)]
    section: Annotated[str, Text("Section", longest=40)] = "Work"
    count: Annotated[str, Exact("Count", "-100000", "100000", places=3)] = "1"
    unit: Annotated[str, Text("Unit", longest=12)] = ""
    price: Annotated[
        str | None, Exact("Price of one", "-10000000", "10000000", places=4, optional=True, empty="no parts")
    ] = None
    hours: Annotated[str, Exact("Hours", "-1000", "1000", places=3, unit="h")] = "0"
    rate: Annotated[
        str | None, Exact("Price of an hour", "0", "100000", places=4, optional=True, empty="the shop's")
    ] = None
    tax: Annotated[
        str | None, Exact("Tax", "0", "1", places=6, percent=True, optional=True, empty="the shop's")
    ] = None
    reason: Annotated[str, Text("Why no tax", longest=60)] = ""
    discount: Annotated[str, share_of("Discount")] = ""
    needs: Annotated[str, Text("Needs", longest=120, help="Short names of other lines, with commas.")] = ""
    shared: Annotated[bool, Flag("Shared by several")] = False
    state: Annotated[State, Choice("Stands", STATES)] = "base"


@dataclass(frozen=True, kw_only=True)
class Extra:
    """Something found on the way: asked for, and done only after a yes."""

    name: Annotated[str, Text("Extra", longest=80)]
    price: Annotated[str, Exact("Price of its parts", "-10000000", "10000000", places=4)] = "0"
    hours: Annotated[str, Exact("Hours", "0", "1000", places=3, unit="h")] = "0"
    asked_on: Annotated[str, Day("Asked on")] = ""
    agreed_by: Annotated[str, Text("Yes in writing by", longest=60)] = ""
    agreed_on: Annotated[str, Day("Yes on")] = ""

    @property
    def agreed(self) -> bool:
        """Whether there is a yes with a name and a date."""
        return bool(self.agreed_by.strip() and self.agreed_on.strip())


@dataclass(frozen=True, kw_only=True)
class Terms:
    """What holds for the whole quote."""

    currency: Currency
    rate: Decimal
    tax: Decimal
    tax_reason: str
    tax_in_prices: bool
    tax_by_line: bool
    consumables: Decimal
    discount: str


@dataclass(frozen=True, kw_only=True)
class Item:
    """What is added up: a line, the consumables or an extra, priced before the discount on the whole."""

    name: str
    section: str
    tax: Decimal
    reason: str
    labour: Decimal
    parts: Decimal
    discount: Decimal

    @cached_property  # Each line struck or added adds all of them up.
    def amount(self) -> Decimal:
        """What it comes to, with or without tax as prices were typed."""
        return self.labour + self.parts - self.discount


@dataclass(frozen=True, kw_only=True)
class Share:
    """An item's part of the whole, after the discount on it."""

    item: Item
    net: Decimal
    tax: Decimal

    @property
    def total(self) -> Decimal:
        """With tax."""
        return self.net + self.tax


@dataclass(frozen=True, kw_only=True)
class AtRate:
    """What stands at one rate, for one reason: the places of its items, and what they come to together."""

    rate: Decimal
    reason: str
    places: tuple[int, ...]
    net: Decimal
    tax: Decimal


@dataclass(frozen=True, kw_only=True)
class Reckoned:
    """The whole: what each item comes to, less its part of the discount on all, and what each rate does."""

    items: tuple[Item, ...]
    amounts: tuple[Decimal, ...]
    rates: tuple[AtRate, ...]
    terms: Terms
    consumables: Decimal
    discount: Decimal

    @property
    def net(self) -> Decimal:
        """Sum without tax."""
        return sum((each.net for each in self.rates), Decimal(0))

    @property
    def tax(self) -> Decimal:
        """Sum of the taxes."""
        return sum((each.tax for each in self.rates), Decimal(0))

    @property
    def total(self) -> Decimal:
        """What is to pay."""
        return self.net + self.tax

    def shares(self) -> tuple[Share, ...]:
        """Each item with its tax: dealt out of its rate's, which adds up to it, or rounded by line."""
        taxes: dict[int, Decimal] = {}
        for each in self.rates:
            amounts = [self.amounts[place] for place in each.places]
            taxes |= zip(each.places, _taxes_of(amounts, each, self.terms), strict=True)
        inside = self.terms.tax_in_prices
        return tuple(
            Share(item=item, net=amount - taxes[place] if inside else amount, tax=taxes[place])
            for place, (item, amount) in enumerate(zip(self.items, self.amounts, strict=True))
        )


def needs_of(lines: Sequence[QuoteLine]) -> dict[str, tuple[str, ...]]:
    """What each line needs, by short names, capitals forgiven; whatever is needed comes before.

    Raises InputError for a name that stands twice or nowhere, and for lines that need each other, or
    themselves.
    """
    known: dict[str, str] = {}
    for place, line in enumerate(lines):
        key = name_key(line.id)
        if not key:
            raise InputError(f"lines[{place}].id", "Type a short name: other lines call it by that.")
        if key in known:
            raise InputError(
                f"lines[{place}].id", f"“{line.id.strip()}” stands twice: an option is chosen once."
            )
        known[key] = line.id.strip()
    needs = {}
    for place, line in enumerate(lines):
        wanted = tuple(name_key(name) for name in line.needs.split(",") if name.strip())
        for name in wanted:
            if name not in known:
                raise InputError(f"lines[{place}].needs", f"No line has the short name “{name}”.")
        needs[name_key(line.id)] = wanted
    try:
        return {name: needs[name] for name in TopologicalSorter(needs).static_order()}
    except CycleError as error:
        circle = error.args[1]
        place = next(place for place, line in enumerate(lines) if name_key(line.id) == circle[0])
        names = list(dict.fromkeys(known[name] for name in circle))
        words = f"{' and '.join(names)} need each other: take one of the two away."
        if len(names) == 1:
            words = f"“{names[0]}” can't need itself: take its own name away here."
        raise InputError(f"lines[{place}].needs", words) from None


def standing(
    lines: Sequence[QuoteLine], needs: Mapping[str, tuple[str, ...]], states: Mapping[str, State]
) -> dict[str, str]:
    """The lines that do not count, by short name, each with the reason; ``needs`` as `needs_of` gives them.

    A line that needs a declined one falls with it. Raises InputError for one that stands in the quote
    and needs an option that is offered and not chosen.
    """
    out: dict[str, str] = {}
    for key, wanted in needs.items():
        gone = [name for name in wanted if name in out]
        if states[key] not in IN:
            out[key] = states[key]
        elif gone:
            offered = next((name for name in gone if out[name] == "offered"), "")
            if offered:
                (place, name), (_, other) = _called(lines, key), _called(lines, offered)
                raise InputError(
                    f"lines[{place}].state",
                    f"{name} needs {other}, which is offered but not chosen: choose it too.",
                )
            out[key] = f"falls with {_called(lines, gone[0])[1]}"
    return out


def _called(lines: Sequence[QuoteLine], key: str) -> tuple[int, str]:
    """Place and name of the line of a short name."""
    place, line = next((place, line) for place, line in enumerate(lines) if name_key(line.id) == key)
    return place, line.name.strip() or line.id


def priced(place: int, line: QuoteLine, terms: Terms) -> Item:
    """One line: hours by their rate and count by price, each rounded, less its own discount."""
    currency, name = terms.currency, f"lines[{place}]"
    rate = terms.rate if line.rate is None else checked(f"{name}.rate", line.rate, currency)
    price = Decimal(0) if line.price is None else checked(f"{name}.price", line.price, currency)
    labour = currency.rounded(Decimal(line.hours) * rate)
    parts = currency.rounded(Decimal(line.count) * price)
    # A discount makes a credit smaller too, in money as in percent.
    off = share_or_amount(f"{name}.discount", line.discount, labour + parts, currency)
    off = off.copy_sign(labour + parts) if off else off
    if off and abs(off) > abs(labour + parts):
        raise InputError(f"{name}.discount", "The discount is larger than the line.")
    tax = terms.tax if line.tax is None else Decimal(line.tax)
    return Item(
        name=line.name.strip() or line.id.strip(),
        section=line.section.strip() or "Work",
        tax=tax,
        reason=(line.reason.strip() or (terms.tax_reason if line.tax is None else "")) if tax == 0 else "",
        labour=labour,
        parts=parts,
        discount=off,
    )


def extra_item(place: int, extra: Extra, terms: Terms) -> Item:
    """An extra that was agreed, at the shop's rate and tax."""
    currency = terms.currency
    price = checked(f"extras[{place}].price", extra.price, currency)
    return Item(
        name=extra.name,
        section="Extras agreed",
        tax=terms.tax,
        reason=terms.tax_reason if terms.tax == 0 else "",
        labour=currency.rounded(Decimal(extra.hours) * terms.rate),
        parts=currency.rounded(price),
        discount=Decimal(0),
    )


def reckoned(items: tuple[Item, ...], terms: Terms) -> Reckoned:
    """Items with consumables and discount, and their tax.

    Raises InputError for a discount above the whole.
    """
    currency = terms.currency
    consumables = currency.rounded(sum((item.parts for item in items), Decimal(0)) * terms.consumables)
    if consumables:
        reason = terms.tax_reason if terms.tax == 0 else ""
        extra = Item(
            name="Consumables", section="Consumables", tax=terms.tax, reason=reason,
            labour=Decimal(0), parts=consumables, discount=Decimal(0),
        )  # fmt: skip
        items = (*items, extra)
    whole = sum((item.amount for item in items), Decimal(0))
    off = share_or_amount("discount", terms.discount, whole, currency)
    if off and not 0 < off <= whole:
        raise InputError("discount", "The discount is larger than the whole.")
    amounts = tuple(item.amount for item in items)
    if off:
        amounts = _less(amounts, items, off, currency)
    return Reckoned(
        items=items, amounts=amounts, rates=_taxed(amounts, items, terms), terms=terms,
        consumables=consumables, discount=off,
    )  # fmt: skip


def _by_rate(items: Sequence[Item]) -> dict[tuple[Decimal, str], list[int]]:
    """Places of the items of each rate and reason, the highest rate first: never by the order typed."""
    groups: dict[tuple[Decimal, str], list[int]] = {}
    for place, item in enumerate(items):
        groups.setdefault((item.tax, item.reason), []).append(place)
    return dict(sorted(groups.items(), key=lambda entry: (-entry[0][0], entry[0][1])))


def _less(
    amounts: Sequence[Decimal], items: Sequence[Item], off: Decimal, currency: Currency
) -> tuple[Decimal, ...]:
    """The amounts less the discount on the whole, dealt to the rates by their sums and then to the items."""
    groups = list(_by_rate(items).values())
    sums = [sum((amounts[place] for place in group), Decimal(0)) for group in groups]
    left = list(amounts)
    for group, part, whole in zip(groups, shared_out(off, sums, currency), sums, strict=True):
        # Where a group comes to nothing, so does its part.
        parts = shared_out(part, [amounts[place] for place in group], currency) if whole else [part] * 0
        for place, piece in zip(group, parts, strict=False):
            left[place] = amounts[place] - piece
    return tuple(left)


def _taxed(amounts: Sequence[Decimal], items: Sequence[Item], terms: Terms) -> tuple[AtRate, ...]:
    """What stands at each rate; its tax is rounded once, or the sum of what is rounded by line."""
    found = []
    for (rate, reason), group in _by_rate(items).items():
        whole = sum((amounts[place] for place in group), Decimal(0))
        lines = [amounts[place] for place in group] if terms.tax_by_line else [whole]
        tax = sum((_tax_of(amount, rate, terms) for amount in lines), Decimal(0))
        net = whole - tax if terms.tax_in_prices else whole
        found.append(AtRate(rate=rate, reason=reason, places=tuple(group), net=net, tax=tax))
    return tuple(found)


def _taxes_of(amounts: Sequence[Decimal], at: AtRate, terms: Terms) -> Sequence[Decimal]:
    """The tax on each of the amounts at one rate."""
    if terms.tax_by_line:
        return [_tax_of(amount, at.rate, terms) for amount in amounts]
    if not sum(amounts, Decimal(0)):
        return (Decimal(0),) * len(amounts)
    return shared_out(at.tax, amounts, terms.currency)


def _tax_of(amount: Decimal, rate: Decimal, terms: Terms) -> Decimal:
    """The tax on an amount, or the tax in it: then the net is rounded, and what was typed stays whole."""
    if terms.tax_in_prices:
        return amount - terms.currency.rounded(amount / (1 + rate))
    return terms.currency.rounded(amount * rate)
