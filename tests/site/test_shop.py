"""A shop's own copy: one file, read strictly; without a shop hours and the order of cost, never a blank."""

from decimal import Decimal
from typing import Any

import pytest

from calculators.site.customers import cost_html, costs_html
from calculators.site.shop import FILE, Shop, ShopError, card, read, shop, with_card
from calculators.vocabulary.upgrades import UPGRADES

FULL = {
    "name": "The <Corner> Shop",
    "contact": ["1 Example Road", "shop@example.org"],
    "logo": "assets/doorcard/mark.svg",
    "currency": "XTS",
    "rate": "72.00",
    "parts": {"treatment": [120, "310.50"]},
}
"""Invented; XTS is the code that ISO 4217 keeps for tests."""


def test_the_copy_as_it_comes_names_no_shop_and_no_price() -> None:
    assert shop() == Shop()
    for name in UPGRADES:
        shown = cost_html(name, shop())
        assert " hours" in shown or "half an hour" in shown
        assert "●" in shown
        assert "price for" not in shown
        assert "<dd></dd>" not in shown
    assert "Work and parts" not in costs_html(shop(), "")
    assert with_card("<p>page</p>", "having-it-done/timing/") == "<p>page</p>"


def test_a_shop_shows_its_name_and_its_prices() -> None:
    ours = read(FULL)
    assert ours.rate == Decimal("72.00")
    shown = cost_html("treatment", ours)
    assert "288 to 576 XTS, tax included" in shown, "4 to 8 hours at 72.00"
    assert "120 to 310 XTS, tax included" in shown
    assert "408 to 886 XTS" in costs_html(ours, ""), "288 + 120 and 576 + 310.50, the half to the even"
    assert "144 to 288 XTS and parts" in costs_html(ours, ""), "front speakers, no price of parts named"
    assert "36 XTS</td>" in costs_html(ours, ""), "half an hour for which nothing is bought"
    foot = card(ours, "../../")
    assert "The &lt;Corner&gt; Shop" in foot
    assert 'src="../../assets/doorcard/mark.svg"' in foot
    assert "1 Example Road<br>shop@example.org" in foot


def test_thousands_are_parted() -> None:
    assert Shop(currency="XTS").money(Decimal(1234), Decimal(56789)) == "1\u202f234 to 56\u202f789 XTS"


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"phone": "1"}, "'phone' is not known there; known are name, contact"),
        ({"currency": "€"}, "'€' is no code of three capital letters"),
        ({"rate": "72"}, "needs its currency"),
        ({"currency": "XTS", "rate": "seventy"}, "'seventy' is no amount of money"),
        ({"currency": "XTS", "rate": "nan"}, "no amount of money from 0"),
        ({"currency": "XTS", "rate": -1}, "no amount of money from 0"),
        ({"currency": "XTS", "parts": {"turbo": [1, 2]}}, "no upgrade is called 'turbo'"),
        ({"currency": "XTS", "parts": {"treatment": 5}}, "write two prices"),
        ({"currency": "XTS", "parts": {"treatment": [5, 2]}}, "the first price is the lower one"),
        ({"logo": "../secret.svg"}, "there is no file docs/../secret.svg"),
        ({"logo": "https://example.org/a.svg"}, "there is no file"),
        ({"logo": "assets/none.svg"}, "there is no file docs/assets/none.svg"),
        ({"contact": "one line"}, "contact: write a list of lines"),
        ({"name": 7}, "name: write it in quotes"),
        ([], "write one name and its value on a line"),
    ],
)
def test_a_wrong_file_is_told_with_its_place(wrong: Any, told: str) -> None:
    with pytest.raises(ShopError, match="^" + str(FILE)) as failure:
        read(wrong)
    assert told in str(failure.value)
