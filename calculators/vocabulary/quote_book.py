"""A quote's lines as one book: its whole, what one line changes in it, and what to tell of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from calculators.declaring import Advice, InputError
from calculators.vocabulary.quoting import (
    IN,
    Extra,
    Item,
    QuoteLine,
    Reckoned,
    State,
    Terms,
    extra_item,
    key_of,
    needs_of,
    priced,
    reckoned,
    standing,
)

type States = Mapping[str, State]


@dataclass(frozen=True)
class Book:
    """The lines with what they need, their prices, and the extras that were agreed."""

    lines: tuple[QuoteLine, ...]
    items: tuple[Item, ...]
    needs: Mapping[str, tuple[str, ...]]
    agreed: tuple[Item, ...]
    terms: Terms

    @property
    def states(self) -> dict[str, State]:
        """How each line stands, by its short name."""
        return {key_of(line.id): line.state for line in self.lines}

    def out(self, states: States) -> dict[str, str]:
        """The lines that do not count, each with the reason."""
        return standing(self.lines, self.needs, states)

    def whole(self, states: States) -> Reckoned:
        """All that counts, added up."""
        out = self.out(states)
        counted = [
            item for line, item in zip(self.lines, self.items, strict=True) if key_of(line.id) not in out
        ]
        return reckoned((*counted, *self.agreed), self.terms)

    def change(self, line: QuoteLine, total: Decimal) -> Decimal | None:
        """How the total changes when a line is struck, or added with all that it needs.

        None for a shared line, which no option strikes, and where there would be no quote.
        """
        key, states = key_of(line.id), self.states
        if line.shared or (line.state in IN and key in self.out(states)):
            return None
        if line.state in IN:
            states[key] = "declined"
        else:
            wanted = [key]
            while wanted:
                name = wanted.pop()
                states[name] = "chosen" if states[name] not in IN else states[name]
                wanted += self.needs[name]
        try:
            return self.whole(states).total - total
        except InputError:
            return None


def book_of(lines: tuple[QuoteLine, ...], extras: Sequence[Extra], terms: Terms) -> Book:
    """The book of what was typed. Raises InputError, beside the field, for what cannot be priced."""
    items = tuple(priced(place, line, terms) for place, line in enumerate(lines))
    agreed = tuple(
        extra_item(place, extra, terms) for place, extra in enumerate(extras) if _is_agreed(place, extra)
    )
    return Book(lines, items, needs_of(lines), agreed, terms)


def _is_agreed(place: int, extra: Extra) -> bool:
    if extra.asked_on and extra.agreed_on and extra.agreed_on < extra.asked_on:
        raise InputError(f"extras[{place}].agreed_on", "The yes is older than the question.")
    return extra.agreed


def book_advice(
    book: Book, out: Mapping[str, str], total: Decimal, paid: Decimal, extras: Sequence[Extra]
) -> list[Advice]:
    """What the customer is told beside the price."""
    found = []
    for place, (line, item) in enumerate(zip(book.lines, book.items, strict=True)):
        why = out.get(key_of(line.id), "")
        if why.startswith("falls"):
            found.append(
                Advice(f"lines[{place}].state", f"{item.name} {why}: it needs that, and is not in the price.")
            )
        if item.tax == 0 and not item.reason:
            found.append(
                Advice(f"lines[{place}].reason", f"{item.name} bears no tax: say why, the reason is printed.")
            )
        if line.price is not None and Decimal(line.price) == 0:
            found.append(
                Advice(
                    f"lines[{place}].price", f"{item.name}: the customer's own part, without our guarantee."
                )
            )
    kept = [line.name.strip() or line.id for line in book.lines if line.shared and key_of(line.id) not in out]
    if kept and any(why != "offered" for why in out.values()):
        found.append(Advice("lines", f"Shared, and whole whichever line is struck: {', '.join(kept)}."))
    waiting = [extra.name for extra in extras if not extra.agreed]
    if waiting:
        words = f"Not in any total, for there is no yes with name and date: {', '.join(waiting)}."
        found.append(Advice("extras", words))
    if total < 0:
        found.append(Advice("total", "The total is below zero: this is a credit note."))
    elif paid > total:
        found.append(Advice("paid", "More is paid than the total: the rest goes back to the customer."))
    return found
