"""A quote with options: what each line costs, what hangs on it, and the whole to the last cent."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Literal

from calculators.declaring import (
    Advice,
    Choice,
    Day,
    Exact,
    Flag,
    InputError,
    Made,
    Money,
    OutputBrief,
    OutputFile,
    OutputMoney,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.csv_rows import csv_text
from calculators.declaring.inputs.exact import plain_digits
from calculators.vocabulary.money import (
    STYLES,
    Currency,
    Style,
    checked,
    currency_of,
    share_of,
    share_or_amount,
    to_coins,
)
from calculators.vocabulary.names import name_key
from calculators.vocabulary.quote_book import (
    Book,
    SectionQuoted,
    Summand,
    adding_up,
    book_advice,
    book_of,
    sections_of,
)
from calculators.vocabulary.quote_terms import KINDS, QuoteKind, date_advice, payments, what_it_is
from calculators.vocabulary.quoting import (
    NOT_COUNTED,
    STATES,
    Extra,
    QuoteLine,
    Reckoned,
    Terms,
)


@dataclass(frozen=True, kw_only=True)
class LineQuoted:
    """One line as the customer reads it."""

    name: Annotated[str, OutputText("Line")]
    hours: Annotated[str, OutputText("Hours")]
    labour: Annotated[Money, OutputMoney("Work")]
    parts: Annotated[Money, OutputMoney("Parts")]
    discount: Annotated[Money, OutputMoney("Discount")]
    amount: Annotated[Money, OutputMoney("Amount")]
    stands: Annotated[str, OutputText("Stands")]
    change: Annotated[Money | None, OutputMoney("If struck or added")]


@dataclass(frozen=True, kw_only=True)
class RateQuoted:
    """One tax rate."""

    rate: Annotated[str, OutputText("Rate")]
    net: Annotated[Money, OutputMoney("Of")]
    tax: Annotated[Money, OutputMoney("Tax")]
    reason: Annotated[str, OutputText("Why")]


@dataclass(frozen=True, kw_only=True)
class Quote:
    """The price, what it is made of, and what is to pay when."""

    price: Annotated[str, OutputText("Price", main=True, brief="short")]
    short: Annotated[str, OutputBrief("The price")]
    deposit: Annotated[Money, OutputMoney("Deposit")]
    left: Annotated[Money, OutputMoney("Left to pay; what is paid counts towards the deposit")]
    paying: Annotated[str, OutputText("What to pay when")]
    hours: Annotated[str, OutputText("Hours of work in it")]
    total: Annotated[Money, OutputMoney("With tax")]
    net: Annotated[Money, OutputMoney("Without tax")]
    tax: Annotated[Money, OutputMoney("Tax")]
    tax_rounded: Annotated[str, OutputText("Tax is rounded")]
    consumables: Annotated[Money, OutputMoney("Consumables")]
    discount: Annotated[Money, OutputMoney("Discount on the whole")]
    cash: Annotated[Money, OutputMoney("In cash")]
    contingency: Annotated[Money, OutputMoney("Not in it: only if needed, only after you agree, without tax")]
    contingency_total: Annotated[Money, OutputMoney("The same, with tax")]
    binding: Annotated[str, OutputText("What the price is")]
    lines: Annotated[tuple[LineQuoted, ...], OutputRows("Lines", copy=True)]
    adding: Annotated[tuple[Summand, ...], OutputRows("How it adds up")]
    sections: Annotated[tuple[SectionQuoted, ...], OutputRows("By section")]
    rates: Annotated[tuple[RateQuoted, ...], OutputRows("By tax rate")]
    sheet: Annotated[Made, OutputFile("The quote for a spreadsheet")]
    advice: tuple[Advice, ...] = ()


def _shop(label: str, high: str, help_text: str = "") -> Exact:
    return Exact(label, "0", high, places=4, help=help_text)


@calculator(
    title="Quote with options",
    example={
        "currency": "XTS", "rate": "72", "tax": "0.2", "consumables": "0.08", "deposit": "30 %",
        "lines": [
            {"id": "strip", "name": "Strip and refit", "hours": "5", "price": "38.40", "shared": True},
            {"id": "amplifier", "name": "Amplifier and supply", "hours": "6.5", "price": "618.75",
             "state": "chosen"},
            {"id": "processor", "name": "Processor and pick-up", "hours": "2.5", "price": "412",
             "needs": "amplifier", "state": "chosen"},
            {"id": "tuning", "name": "Tuning, two positions", "hours": "3.5", "needs": "processor",
             "state": "offered"},
        ],
    },
    sources=("iso-4217", "en-16931", "decimal-arithmetic", "common-practice"),
    cautions=("S18",),
)  # fmt: skip
def quote(
    *,
    lines: Annotated[
        tuple[QuoteLine, ...],
        Rows(
            "Lines",
            "line",
            at_most=40,
            fold=True,
            help="One line for each upgrade. Strip, refit, proof and handover serve several: they are lines "
            "of their own, shared, and are counted once.",
        ),
    ],
    currency: Annotated[
        str,
        Text(
            "Currency, by its three letters",
            longest=3,
            pattern="[A-Za-z]{3}",
            wanted="three letters, like XTS",
        ),
    ],
    rate: Annotated[str, _shop("The shop's price of an hour", "100000")],
    tax: Annotated[str, Exact("The shop's tax", "0", "1", places=6, percent=True)],
    tax_reason: Annotated[str, Text("Why no tax, where it is 0 %", longest=60)] = "",
    prices_include_tax: Annotated[bool, Flag("Prices are typed with tax", seldom=True)] = False,
    tax_by: Annotated[
        Literal["rate", "line"],
        Choice("Tax is rounded", {"rate": "once for each rate", "line": "line by line"}, seldom=True),
    ] = "rate",
    consumables: Annotated[str, Exact("Consumables, of the parts", "0", "0.5", places=5, percent=True)] = "0",
    discount: Annotated[str, share_of("Discount on the whole")] = "",
    contingency: Annotated[str, Exact("Hours only if needed", "0", "1000", places=3, unit="h")] = "0",
    deposit: Annotated[str, share_of("Deposit")] = "",
    paid: Annotated[str, _shop("Paid already", "1000000000", "The survey, say.")] = "0",
    kind: Annotated[QuoteKind, Choice("The price is", KINDS)] = "fixed",
    customer: Annotated[
        Literal["private", "business"],
        Choice("Customer", {"private": "private: total with tax first", "business": "business: net first"}),
    ] = "private",
    extras: Annotated[
        tuple[Extra, ...], Rows("Extras on the way", "extra", at_least=0, at_most=20, fold=True)
    ] = (),
    cash_step: Annotated[
        str, Exact("Smallest coin", "0", "1000", places=4, seldom=True, help="0: cash to the last unit.")
    ] = "0",
    quoted_on: Annotated[str, Day("Dated")] = "",
    valid_until: Annotated[str, Day("Valid until")] = "",
    work_on: Annotated[str, Day("Work done on")] = "",
    tax_until: Annotated[str, Day("Tax rate holds until")] = "",
    sign: Annotated[str, Text("Sign in place of the letters", longest=6)] = "",
    sign_first: Annotated[bool, Flag("Sign before the number", seldom=True)] = False,
    style: Annotated[Style, Choice("Numbers like", STYLES, seldom=True)] = "plain",
) -> Quote:
    """A quote in which every upgrade has its price, and every option says what it changes.

    Hours times rate and count times price are rounded line by line, half a unit away from zero; tax once
    for each rate, unless it is asked for line by line. Sections and rates add up to the total to the last
    unit of the currency. A line that needs a declined one falls with it; one that needs an option not
    chosen is refused. An extra counts from the day on which there is a yes with a name.
    """
    money = currency_of("currency", currency, sign, style, sign_first)
    terms = Terms(
        currency=money, rate=checked("rate", rate, money), tax=Decimal(tax), tax_reason=tax_reason.strip(),
        tax_in_prices=prices_include_tax, tax_by_line=tax_by == "line",
        consumables=Decimal(consumables), discount=discount,
    )  # fmt: skip
    for_dates = date_advice(quoted_on, valid_until, work_on, tax_until)
    book = book_of(lines, extras, terms)
    out = book.out(book.states)
    whole = book.whole(out)
    total = whole.total
    net_first = customer == "business" and total >= 0
    down = share_or_amount("deposit", deposit, total, money)
    if down and down > total:
        raise InputError("deposit", "The deposit is larger than the total.")
    already, step = checked("paid", paid, money), checked("cash_step", cash_step, money)
    risk = money.rounded(Decimal(contingency) * terms.rate)
    bare = money.rounded(risk / (1 + terms.tax)) if prices_include_tax else risk
    quoted = tuple(_line(book, place, out, total) for place in range(len(lines)))
    sections = sections_of(whole, money)
    return Quote(
        price=_price(whole, money, net_first),
        short=money.money(whole.net if net_first else total).words,
        deposit=money.money(down),
        left=money.money(total - max(down, already)),
        paying=payments(total, down, already, money),
        hours=f"{plain_digits(_hours(lines, extras, out))} h",
        total=money.money(total),
        net=money.money(whole.net),
        tax=money.money(whole.tax),
        tax_rounded="line by line" if terms.tax_by_line else "once for each rate",
        consumables=money.money(whole.consumables),
        discount=money.money(whole.discount),
        cash=money.money(to_coins(total, step)),
        contingency=money.money(bare),
        contingency_total=money.money(risk if prices_include_tax else risk + money.rounded(risk * terms.tax)),
        binding=what_it_is(kind, risk),
        lines=quoted,
        adding=adding_up(book, out, whole, already),
        sections=sections,
        rates=tuple(
            RateQuoted(
                rate=f"{plain_digits(each.rate * 100)}%",
                net=money.money(each.net),
                tax=money.money(each.tax),
                reason=each.reason,
            )
            for each in whole.rates
        ),
        sheet=Made.whole(
            "quote.csv", "text/csv", _csv(quoted, sections, whole, money).encode(errors="replace")
        ),
        advice=(*book_advice(book, out, total, already, extras), *for_dates),
    )


def _line(book: Book, place: int, out: Mapping[str, str], total: Decimal) -> LineQuoted:
    line, item, money = book.lines[place], book.items[place], book.terms.currency
    change = book.change(line, out, total)
    return LineQuoted(
        name=item.name,
        hours=plain_digits(Decimal(line.hours)),
        labour=money.money(item.labour),
        parts=money.money(item.parts),
        discount=money.money(item.discount),
        amount=money.money(item.amount),
        stands=_stands(line, out),
        change=None if change is None else money.money(change),
    )


def _stands(line: QuoteLine, out: Mapping[str, str]) -> str:
    why = out.get(name_key(line.id), "")
    if why.startswith("falls"):
        return why
    return "shared, counted once" if line.shared and not why else STATES[line.state]


def _price(whole: Reckoned, money: Currency, net_first: bool) -> str:
    """The one figure that stands before all others."""
    total, net = money.money(whole.total).words, money.money(whole.net).words
    if whole.total < 0:
        return f"{total}, a credit note"
    return f"{net} without tax, {total} with it" if net_first else f"{total} with tax"


def _hours(lines: Sequence[QuoteLine], extras: Sequence[Extra], out: Mapping[str, str]) -> Decimal:
    """Person-hours of the lines that count and of the extras agreed."""
    counted = [Decimal(line.hours) for line in lines if name_key(line.id) not in out]
    return sum((*counted, *(Decimal(extra.hours) for extra in extras if extra.agreed)), Decimal(0))


def _csv(
    lines: Sequence[LineQuoted], sections: Sequence[SectionQuoted], whole: Reckoned, money: Currency
) -> str:
    """Lines and sections with plain decimals; a line that does not count has no amount."""
    head = ("Line", "Hours", "Work", "Parts", "Discount", "Amount", "Stands", money.code)
    rows = [
        (
            row.name, row.hours, row.labour.amount, row.parts.amount, row.discount.amount,
            "" if row.stands.startswith(NOT_COUNTED) else row.amount.amount, row.stands, "",
        )
        for row in lines
    ]  # fmt: skip
    sums = [(row.name, row.net.amount, row.tax.amount, row.total.amount) for row in sections]
    total = ("Total", *(money.money(sum_).amount for sum_ in (whole.net, whole.tax, whole.total)))
    return csv_text([head, *rows, ("Section", "Without tax", "Tax", "With tax"), *sums, total])
