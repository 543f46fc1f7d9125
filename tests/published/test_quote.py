"""Quotes: decimal arithmetic to the currency's smallest unit, worked out by hand.

Half a unit goes away from zero (General Decimal Arithmetic, ROUND_HALF_UP; IEEE 754-2008 roundTiesToAway).
Line amounts are rounded and then summed, tax is rounded once for each rate (EN 16931, BR-CO-10 and
BR-CO-17, the second from memory) unless a country has it line by line.
"""

from decimal import Decimal
from typing import Any

import pytest

from calculators.declaring import Money, Outcome, run_typed, run_values
from calculators.declaring.csv_rows import csv_text, harmless
from calculators.declaring.running import example_fields
from calculators.stages import find_calculator
from calculators.vocabulary.money import STYLES, Currency, Style
from tests.spreadsheet_cells import CELLS

QUOTE = find_calculator("quote")
SHOP: dict[str, Any] = {"currency": "XTS", "rate": "0", "tax": "0"}


def line(identity: str, price: str | None = None, **rest: Any) -> dict[str, Any]:
    return {"id": identity, "name": identity, "price": price, **rest}


def run(lines: list[dict[str, Any]], **rest: Any) -> Outcome:
    return run_values(QUOTE, SHOP | {"lines": lines} | rest)


def quote(lines: list[dict[str, Any]], **rest: Any) -> Any:
    outcome = run(lines, **rest)
    assert outcome.errors == ()
    return outcome.result


def refused(lines: list[dict[str, Any]], **rest: Any) -> tuple[str, str]:
    (error,) = run(lines, **rest).errors
    return error.field, error.message


def one(price: str, **rest: Any) -> Any:
    return quote([line("a", price)], **rest)


THREE = [line(name, "10.03") for name in "abc"]


def test_tax_by_rate_and_by_line_differ_by_a_cent() -> None:
    assert quote(THREE, tax="0.19").tax.amount == "5.72"
    assert quote(THREE, tax="0.19", tax_by="line").tax.amount == "5.73"
    by_line = [line(name, "3.33") for name in "abc"]  # Per line 2.01, on the total 2.00.
    assert quote(by_line, tax="0.2").tax.amount == "2.00"
    assert quote(by_line, tax="0.2", tax_by="line").tax.amount == "2.01"


@pytest.mark.parametrize(
    ("price", "tax", "expected"),
    [
        ("0.50", "0.05", "0.03"), ("1.50", "0.07", "0.11"), ("2.50", "0.05", "0.13"),
        ("12.625", "0.2", None), ("33.33", "0.2", "6.67"), ("10.03", "0.19", "1.91"),
        ("99.99", "0.21", "21.00"),
    ],
)  # fmt: skip
def test_half_a_cent_goes_up(price: str, tax: str, expected: str | None) -> None:
    if expected is None:
        assert refused([line("a", price)], tax=tax) == ("lines[0].price", "XTS has 2 decimals: type no more.")
    else:
        assert one(price, tax=tax).tax.amount == expected


def test_a_quarter_of_an_hour_at_an_odd_rate() -> None:
    assert (
        quote([line("a", hours="0.25")], rate="68.50").net.amount == "17.13"
    )  # 17.125; a float gives 17.12.


@pytest.mark.parametrize(
    ("typed", "expected"),
    [("1.005", "1.01"), ("2.675", "2.68"), ("1.115", "1.12"), ("0.285", "0.29"), ("-0.125", "-0.13")],
)
def test_where_floats_go_wrong(typed: str, expected: str) -> None:
    assert quote([line("a", "1.00", count=typed)]).net.amount == expected
    assert Currency("XTS").money(Decimal(typed)).amount == expected


def test_a_return_takes_its_tax_back_and_a_total_below_zero_is_a_credit_note() -> None:
    both = quote([line("a", "100.00"), line("b", "30.00", count="-1")], tax="0.2")
    assert (both.net.amount, both.tax.amount) == ("70.00", "14.00")
    credit = quote([line("b", "30.00", count="-1")], tax="0.2")
    assert (credit.total.amount, credit.price) == ("-36.00", "−36.00\u00a0XTS, a credit note")
    assert any("credit note" in entry.message for entry in credit.advice)


def test_a_discount_is_taken_off_the_line_and_not_off_one() -> None:
    assert quote([line("a", "1.99", count="7", discount="15 %")]).net.amount == "11.84"  # By one: 11.83.


def test_a_discount_in_money_leaves_no_cent_over() -> None:
    thirds = quote([line(name, "100.00") for name in "abc"], discount="50.00")
    assert thirds.net.amount == "250.00"
    sections = quote([line(name, "100.00", section=name) for name in "abc"], discount="50.00").sections
    assert [section.net.amount for section in sections] == ["83.33", "83.33", "83.34"]


def test_a_discount_is_spread_over_the_rates() -> None:
    spread = quote([line("a", "1000.00", tax="0.2"), line("b", "333.33", tax="0.05")], discount="10 %")
    assert [(rate.net.amount, rate.tax.amount) for rate in spread.rates] == [
        ("900.00", "180.00"),
        ("300.00", "15.00"),
    ]


def test_prices_with_tax_stay_as_they_were_typed() -> None:
    shown = one("99.99", tax="0.19", prices_include_tax=True)
    assert (shown.total.amount, shown.net.amount, shown.tax.amount) == ("99.99", "84.03", "15.96")
    assert one("100.00", tax="0.2", prices_include_tax=True).tax.amount == "16.67"
    assert one("100.00", tax="0.19", prices_include_tax=True).tax.amount == "15.97"
    money = Currency("XTS")
    unfit = 0
    for cents in range(1, 2000):
        net = money.rounded(Decimal(cents) / 100 / Decimal("1.19"))
        unfit += net + money.rounded(net * Decimal("0.19")) != Decimal(cents) / 100
    assert unfit == 319


def test_deposit_and_rest_are_the_total() -> None:
    first = one("1234.57", deposit="30 %")
    assert (first.deposit.amount, first.left.amount) == ("370.37", "864.20")
    second = one("1234.55", deposit="30 %")
    assert (second.deposit.amount, second.left.amount) == ("370.37", "864.18")
    assert one("0.05", deposit="50 %").deposit.amount == "0.03"
    assert one("0.05", deposit="50 %").left.amount == "0.02"
    third = one("100.00", deposit="33.33 %").deposit.amount
    last = one("100.00", paid=str(2 * Decimal(third))).left.amount
    assert (third, last) == ("33.33", "33.34")


def test_currencies_without_decimals_and_with_three() -> None:
    yen = {"currency": "JPY", "tax": "0.1"}
    assert one("1235", **yen).tax.amount == "124"
    lines = [line("a", "105"), line("b", "115"), line("c", "125")]
    assert quote(lines, **yen, tax_by="line").tax.amount == "36"
    assert quote(lines, **yen).tax.amount == "35"
    assert refused([line("a", "12.50")], **yen)[1] == "JPY has no decimals: type a whole number."
    assert one("12.345", currency="KWD", tax="0.05").tax.amount == "0.617"


@pytest.mark.parametrize(
    ("total", "cash"), [("17.12", "17.10"), ("17.13", "17.15"), ("17.18", "17.20"), ("17.10", "17.10")]
)
def test_cash_is_rounded_to_the_coin_and_the_total_is_not(total: str, cash: str) -> None:
    rounded = one(total, cash_step="0.05")
    assert (rounded.total.amount, rounded.cash.amount) == (total, cash)


def test_rates_are_read_as_percent_and_doubt_is_asked_back() -> None:
    fields = example_fields(QUOTE, SHOP | {"lines": [line("a", "100.00")]})
    for typed, tax in (("0", "0.00"), ("8.875", "8.88"), ("25.5", "25.50"), ("20 %", "20.00")):
        outcome = run_typed(QUOTE, fields | {"tax": typed})
        assert outcome.result.tax.amount == tax
    (asked,) = run_typed(QUOTE, fields | {"tax": "0.20"}).errors
    assert (asked.field, asked.message) == ("tax", "Is 0.20 meant as 20 %? Type 20, or 0.20 % with its sign.")
    assert refused([line("a")], tax="20")[0] == "tax"


AMPLIFIER = line("amplifier", "600.00", state="chosen")
PROCESSOR = line("processor", "400.00", needs="amplifier", state="chosen")
TUNING = line("tuning", "250.00", needs="processor", state="chosen")
STRIP = line("strip", "300.00", shared=True)


def test_an_option_without_what_it_needs_is_refused_and_both_are_named() -> None:
    field, words = refused([AMPLIFIER, PROCESSOR | {"state": "offered"}, TUNING])
    assert field == "lines[2].state"
    assert words == "tuning needs processor, which is offered but not chosen: choose it too."


def test_what_needs_a_declined_line_falls_with_it_and_is_told_before() -> None:
    whole = quote([STRIP, AMPLIFIER, PROCESSOR, TUNING])
    told = {row.name: row.change and row.change.amount for row in whole.lines}
    assert told == {"strip": None, "amplifier": "-1250.00", "processor": "-650.00", "tuning": "-250.00"}
    struck = quote([STRIP, AMPLIFIER | {"state": "declined"}, PROCESSOR, TUNING])
    assert struck.total.amount == "300.00"
    assert [row.stands for row in struck.lines][1:] == [
        "option, declined",
        "falls with amplifier",
        "falls with processor",
    ]
    assert any(
        entry.message == "Shared, and whole whichever line is struck: strip." for entry in struck.advice
    )


def test_an_option_added_brings_what_it_needs() -> None:
    offered = [entry | {"state": "offered"} for entry in (AMPLIFIER, PROCESSOR, TUNING)]
    changes = [row.change.amount for row in quote([STRIP, *offered]).lines[1:]]
    assert changes == ["600.00", "1000.00", "1250.00"]


def test_an_option_chosen_twice_and_a_circle_are_refused() -> None:
    assert refused([AMPLIFIER, AMPLIFIER])[0] == "lines[1].id"
    assert refused([TUNING])[1] == "No line has the short name “processor”."
    _, words = refused([AMPLIFIER | {"needs": "tuning"}, PROCESSOR, TUNING])
    assert "amplifier" in words
    assert "tuning" in words
    assert "need each other" in words
    field, words = refused([STRIP, AMPLIFIER | {"needs": "amplifier"}])
    assert (field, words) == (
        "lines[1].needs",
        "“amplifier” can't need itself: take its own name away here.",
    )


def test_hours_below_zero_are_told_as_a_credit() -> None:
    told = [
        entry.message
        for entry in quote([STRIP, line("b", "9", hours="-1")]).advice
        if "credit" in entry.message
    ]
    assert told == ["b: hours below zero make the price less. Not a credit? Take the sign away."]
    assert not [entry for entry in quote([STRIP]).advice if "credit" in entry.message]


def test_shared_lines_are_counted_once_whatever_is_chosen() -> None:
    for count in range(4):
        chosen = quote([STRIP, AMPLIFIER, PROCESSOR, TUNING][: count + 1])
        assert Decimal(chosen.total.amount) == 300 + sum((600, 400, 250)[:count])


def test_discounts_and_deposits_beyond_the_whole() -> None:
    free = one("80.00", discount="100 %", tax="0.2")
    assert (free.total.amount, free.total.words) == ("0.00", "0.00\u00a0XTS")
    assert refused([line("a", "80.00")], discount="101 %")[0] == "discount"
    assert refused([line("a", "80.00")], discount="80.01")[0] == "discount"
    assert refused([line("a", "80.00")], deposit="80.01")[0] == "deposit"
    assert refused([line("a", "80.00", discount="80.01")])[0] == "lines[0].discount"


def test_counts() -> None:
    assert one("7.35").net.amount == "7.35"
    assert quote([line("a", "7.35", count="5.8")]).net.amount == "42.63"
    assert quote([line("a", "3", count="0.333")]).net.amount == "1.00"
    assert quote([line("a", "9.99", count="0")]).net.amount == "0.00"
    own = one("0")
    assert [entry.message for entry in own.advice if "own part" in entry.message]
    assert len(own.lines) == 1
    assert quote([line("a", "9999999.99", count="999")]).net.amount == "9989999990.01"


def test_a_rate_that_ends_before_the_work_asks_for_a_new_quote() -> None:
    dates = {"quoted_on": "2031-05-14", "valid_until": "2031-06-14", "work_on": "2031-07-02"}
    both = one("10", **dates, tax_until="2031-06-30")
    assert {entry.about for entry in both.advice} >= {"work_on", "tax_until"}
    assert refused([line("a", "1")], valid_until="14.6.2031")[0] == "valid_until"
    assert refused([line("a", "1")], quoted_on="2031-05-14", valid_until="2031-05-13")[0] == "valid_until"


@pytest.mark.parametrize(
    ("style", "words"),
    [
        ("plain", "1234567.50"), ("comma", "1,234,567.50"), ("point", "1.234.567,50"),
        ("blank", "1\u202f234\u202f567,50"), ("apostrophe", "1'234'567.50"),
    ],
)  # fmt: skip
def test_numbers_are_printed_as_the_country_does(style: Style, words: str) -> None:
    assert set(STYLES) == {"plain", "comma", "point", "blank", "apostrophe"}
    amount = Decimal("1234567.5")
    assert Currency("XTS", style=style).money(amount) == Money("1234567.50", f"{words}\u00a0XTS")
    assert Currency("XTS", "T", style, True).money(-amount).words == f"T\u00a0−{words}"
    right_to_left = Currency("KWD", "\u062f.\u0643").money(Decimal(1)).words
    assert right_to_left == "1.000\u00a0\u2068\u062f.\u0643\u2069"


@pytest.mark.parametrize("typed", ["1,234", "1.234", "1,234.50", "1e3", "1e400", "", "12.5.1", "nan", "− "])
def test_what_can_be_read_two_ways_or_not_at_all_is_asked_back(typed: str) -> None:
    fields = example_fields(QUOTE, SHOP | {"lines": [line("a", "100.00")]})
    (error,) = run_typed(QUOTE, fields | {"lines[0].count": typed}).errors
    assert error.field == "lines[0].count"


def test_a_comma_is_a_decimal_point_and_zero_has_no_sign() -> None:
    fields = example_fields(QUOTE, SHOP | {"lines": [line("a", "100.00")]})
    assert run_typed(QUOTE, fields | {"lines[0].price": "12,5"}).result.net.amount == "12.50"
    assert run_typed(QUOTE, fields | {"lines[0].price": "-0"}).result.net.words == "0.00\u00a0XTS"


def test_a_spreadsheet_finds_no_formula() -> None:
    sheet = quote([line("=1+1", "10"), line("@x", "5"), line("-7", "-5")]).sheet
    rows = sheet.contents.decode().splitlines()
    assert rows[1:4] == [
        "'=1+1,0,0.00,10.00,0.00,10.00,in every case,",
        "'@x,0,0.00,5.00,0.00,5.00,in every case,",
        "-7,0,0.00,-5.00,0.00,-5.00,in every case,",
    ]
    assert csv_text([['a"b', "\t=1", " +cmd|x"]]) == '"a""b",\'\t=1,\' +cmd|x\r\n'


def test_consumables_are_a_share_of_the_sum_and_bear_tax() -> None:
    parts = ["38.40", "148.60", "163.45", "286.00", "334.90", "618.75", "412.00"]
    whole = quote(
        [line(f"p{place}", price) for place, price in enumerate(parts)], consumables="0.08", tax="0.2"
    )
    assert whole.consumables.amount == "160.17"
    assert whole.net.amount == "2162.27"
    assert whole.tax.amount == "432.45"


def test_an_extra_counts_from_its_yes() -> None:
    extra = {"name": "Cracked clip carrier", "price": "40.00", "hours": "0.5", "asked_on": "2031-05-20"}
    waiting = quote([line("a", "100.00")], rate="72", extras=[extra])
    assert waiting.total.amount == "100.00"
    assert any("Cracked clip carrier" in entry.message for entry in waiting.advice)
    named = quote([line("a", "100.00")], rate="72", extras=[extra | {"agreed_by": "Customer"}])
    assert named.total.amount == "100.00"  # A yes without a date is none.
    yes = extra | {"agreed_by": "Customer", "agreed_on": "2031-05-20"}
    assert quote([line("a", "100.00")], rate="72", extras=[yes]).total.amount == "176.00"
    assert refused([line("a")], extras=[yes | {"agreed_on": "2031-05-19"}])[0] == "extras[0].agreed_on"


def test_the_lines_add_up_to_what_is_paid() -> None:
    extra = {"name": "Clip", "price": "40.00", "agreed_by": "Customer", "agreed_on": "2031-05-20"}
    rest: dict[str, Any] = {"tax": "0.2", "consumables": "0.1", "discount": "10.00", "extras": [extra]}
    lines = [line("a", "100.00"), line("b", "50.00", state="declined")]
    shown = quote(lines, **rest, paid="30.00")
    steps = [(row.what, row.amount.amount) for row in shown.adding]
    assert steps == [  # 100 + 14 + 40 − 10 = 144; by hand.
        ("Lines that count", "100.00"), ("Consumables", "14.00"), ("Extra agreed: Clip", "40.00"),
        ("Discount on the whole", "-10.00"), ("Without tax", "144.00"), ("Tax", "28.80"),
        ("With tax", "172.80"), ("Paid already", "30.00"),
    ]  # fmt: skip
    inside = quote(lines, **rest, prices_include_tax=True)
    steps = [(row.what, row.amount.amount) for row in inside.adding]
    assert steps[4:] == [("With tax", "144.00"), ("Tax in it", "24.00"), ("Without tax", "120.00")]


@pytest.mark.parametrize(
    ("deposit", "paid", "words"),
    [
        ("300.00", "0", "Deposit 300.00 XTS. Then 900.00 XTS."),
        (
            "300.00",
            "288.00",
            "Deposit 300.00 XTS, of which 288.00 XTS is paid: now 12.00 XTS. Then 900.00 XTS.",
        ),
        ("300.00", "500", "Deposit 300.00 XTS, of which 300.00 XTS is paid: now 0.00 XTS. Then 700.00 XTS."),
        ("", "288", "288.00 XTS is paid. Then 912.00 XTS."),
        ("", "1300", "1300.00 XTS is paid. 100.00 XTS go back to the customer."),
    ],
)
def test_what_is_paid_counts_towards_the_deposit(deposit: str, paid: str, words: str) -> None:
    assert one("1200", deposit=deposit, paid=paid).paying.replace("\u00a0", " ") == words


def test_the_contingency_without_tax_is_without_it_where_prices_include_it() -> None:
    shown = quote([line("a", "1")], rate="60", contingency="2", tax="0.2", prices_include_tax=True)
    assert (shown.contingency.amount, shown.contingency_total.amount) == ("100.00", "120.00")


@pytest.mark.parametrize("off", ["5", "16.6667 %"])
def test_a_discount_makes_a_credit_smaller(off: str) -> None:
    assert quote([line("a", "30.00", count="-1", discount=off)]).net.amount == "-25.00"


def test_the_file_has_a_total_and_no_amount_for_what_was_declined() -> None:
    both = quote([line("a", "10"), line("b", "7", state="declined")], tax="0.2")
    rows = both.sheet.contents.decode().splitlines()
    assert rows[2] == 'b,0,0.00,7.00,0.00,,"option, declined",'
    assert rows[-1] == "Total,10.00,2.00,12.00"


def test_no_formula_hides_in_a_cell() -> None:
    assert {cell: harmless(cell) for cell in CELLS} == CELLS


def test_no_tax_wants_a_reason() -> None:
    bare = quote([line("a", "10", tax="0")], tax="0.2")
    assert [entry.about for entry in bare.advice] == ["lines[0].reason"]
    said = quote([line("a", "10", tax="0", reason="second-hand margin"), line("b", "10")], tax="0.2")
    assert said.advice == ()
    assert [(rate.rate, rate.reason) for rate in said.rates] == [("20%", ""), ("0%", "second-hand margin")]


def test_business_customers_read_the_net_first() -> None:
    assert one("10", tax="0.2").price == "12.00\u00a0XTS with tax"
    assert (
        one("10", tax="0.2", customer="business").price
        == "10.00\u00a0XTS without tax, 12.00\u00a0XTS with it"
    )


@pytest.mark.parametrize("kind", ["fixed", "not-more-than", "estimate"])
def test_hours_only_if_needed_are_no_part_of_what_binds(kind: str) -> None:
    apart = "The hours only if needed are no part of it: they are charged after a yes of their own."
    hours = run([line("A", "100")], rate="60", kind=kind, contingency="3").result
    assert hours.binding.endswith(apart)
    assert "only if needed" not in run([line("A", "100")], rate="60", kind=kind).result.binding
