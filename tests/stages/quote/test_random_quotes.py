"""Random quotes: sections, rates and lines add up to the total, to the last unit of every currency."""

from decimal import Decimal
from fractions import Fraction
from math import floor
from random import Random
from typing import Any

from calculators.declaring import run_values
from calculators.stages import find_calculator
from tests.conftest import SOAK

QUOTE = find_calculator("quote")
CURRENCIES = {"XTS": 2, "JPY": 0, "KRW": 0, "KWD": 3, "BHD": 3, "TND": 3, "EUR": 2}
RATES = ("0", "0.05", "0.075", "0.077", "0.081", "0.08875", "0.19", "0.2", "0.21", "0.22", "0.255")
COUNT = 10_000 if SOAK else 200


def rounded(exact: Fraction, places: int) -> Fraction:
    """Half a unit away from zero, by whole numbers: nothing of the calculator's is used."""
    scaled = abs(exact) * 10**places
    return Fraction(floor(scaled + Fraction(1, 2)), 10**places) * (1 if exact >= 0 else -1)


def drawn(random: Random) -> dict[str, Any]:
    currency = random.choice(list(CURRENCIES))
    places = CURRENCIES[currency]

    def amount(most: int) -> str:
        return str(Decimal(random.randint(0, most * 10**places)).scaleb(-places))

    lines = []
    for place in range(random.randint(1, 8)):
        needs = random.randint(0, place - 1) if place and random.random() < 0.3 else None
        lines.append(
            {
                "id": f"n{place}",
                "name": f"Line {place}",
                "section": random.choice(["Doors", "Bass", "Front"]),
                "count": str(Decimal(random.randint(-2000, 20000)).scaleb(-3)),
                "price": random.choice([None, amount(900)]),
                "hours": str(Decimal(random.randint(0, 2000)).scaleb(-2)),
                "tax": random.choice([None, *RATES]),
                "discount": random.choice(["", "", "7.5 %"]),
                "needs": "" if needs is None else f"n{needs}",
                "state": random.choice(["base", "base", "declined"]),
            }
        )
    return {
        "lines": lines,
        "currency": currency,
        "rate": amount(120),
        "tax": random.choice(RATES),
        "consumables": random.choice(["0", "0.08"]),
        "discount": random.choice(["", "5 %", "12.5 %"]),
        "tax_by": random.choice(["rate", "line"]),
        "prices_include_tax": random.random() < 0.3,
        "deposit": random.choice(["", "30 %"]),
    }


def sum_of(rows: Any, name: str) -> Decimal:
    return sum((Decimal(getattr(row, name).amount) for row in rows), Decimal(0))


def test_sections_and_rates_add_up_to_the_total() -> None:
    random = Random(4)
    answered = 0
    for _ in range(COUNT):
        asked = drawn(random)
        outcome = run_values(QUOTE, asked)
        if outcome.errors:  # Credits can come to less than nothing, which has no discount or deposit.
            assert {error.field for error in outcome.errors} <= {"discount", "deposit"}
            continue
        answered += 1
        result, places = outcome.result, CURRENCIES[asked["currency"]]
        for rows in (result.sections, result.rates):
            assert sum_of(rows, "net") == Decimal(result.net.amount)
            assert sum_of(rows, "tax") == Decimal(result.tax.amount)
        assert sum_of(result.sections, "total") == Decimal(result.total.amount)
        assert Decimal(result.net.amount) + Decimal(result.tax.amount) == Decimal(result.total.amount)
        assert Decimal(result.deposit.amount) + Decimal(result.left.amount) == Decimal(result.total.amount)
        check_by_fractions(asked, result, places)
        turned = run_values(QUOTE, asked | {"lines": list(reversed(asked["lines"]))}).result
        assert turned.total == result.total
    assert answered > COUNT * 0.7


def check_by_fractions(asked: dict[str, Any], result: Any, places: int) -> None:
    """Lines priced again, and where there is no discount on the whole, the tax of every rate."""
    for line, row in zip(asked["lines"], result.lines, strict=True):
        work = rounded(Fraction(line["hours"]) * Fraction(asked["rate"]), places)
        parts = rounded(Fraction(line["count"]) * Fraction(line["price"] or 0), places)
        off = rounded((work + parts) * Fraction("0.075"), places) if line["discount"] else Fraction(0)
        assert Fraction(row.amount.amount) == work + parts - off
    if asked["tax_by"] == "line":
        return
    for rate in result.rates:
        share, net = Fraction(rate.rate.removesuffix("%")) / 100, Fraction(rate.net.amount)
        gross = net + Fraction(rate.tax.amount)
        if asked["prices_include_tax"]:
            assert net == gross - (gross - rounded(gross / (1 + share), places))
        else:
            assert Fraction(rate.tax.amount) == rounded(net * share, places)
