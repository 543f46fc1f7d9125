"""The shop whose copy of the handbook this is, if it is one: `docs/shop.yml`, read strictly."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from decimal import Decimal, InvalidOperation
from functools import cache
from pathlib import Path
from typing import Any

from calculators.presenting.escaping import text
from calculators.site.yaml_text import from_yaml
from calculators.vocabulary.upgrades import UPGRADES

DOCS = Path("docs")
FILE = DOCS / "shop.yml"
PLACES = ("having-it-done/", "stages/brief/", "stages/quote/", "stages/handover/", "job/")
"""Folders whose pages a customer reads or takes home: the shop's card stands under each of them."""


class ShopError(Exception):
    """Something in the shop's file that cannot be used; the message says what, in the shop's words."""


@dataclass(frozen=True)
class Shop:
    """What customers read about the shop. rate, parts: money with tax, in ``currency``."""

    name: str = ""
    contact: tuple[str, ...] = ()
    logo: str = ""
    currency: str = ""
    rate: Decimal | None = None
    parts: Mapping[str, tuple[Decimal, Decimal]] = field(default_factory=dict)

    def money(self, least: Decimal, most: Decimal) -> str:
        """A price from and to, in whole units of the currency: more would be a promise."""
        low, high = (f"{amount:,.0f}".replace(",", "\u202f") for amount in (least, most))
        return f"{low} {self.currency}" if low == high else f"{low} to {high} {self.currency}"


@cache
def shop() -> Shop:
    """The shop of this copy."""
    return read(from_yaml(FILE.read_text(encoding="utf-8")))


def read(given: Any) -> Shop:
    """The shop that a file tells of; raises ShopError for what is wrong in it."""
    if not isinstance(given, dict):
        raise ShopError(f"{FILE}: write one name and its value on a line, as name: Our shop")
    known = [entry.name for entry in fields(Shop)]
    if unknown := [str(name) for name in given if name not in known]:
        raise ShopError(f"{FILE}: {unknown[0]!r} is not known there; known are {', '.join(known)}")
    currency = _line("currency", given)
    if currency and not re.fullmatch("[A-Z]{3}", currency):
        raise ShopError(f"{FILE}: currency: {currency!r} is no code of three capital letters (ISO 4217)")
    rate = _money("rate", given["rate"]) if given.get("rate") not in (None, "") else None
    parts = {name: _range(name, pair) for name, pair in _mapping("parts", given).items()}
    if (rate is not None or parts) and not currency:
        raise ShopError(f"{FILE}: a rate or a price needs its currency")
    logo = _line("logo", given)
    if logo and not (_inside(logo) and (DOCS / logo).is_file()):
        raise ShopError(f"{FILE}: logo: there is no file docs/{logo}")
    contact = given.get("contact") or []
    if not isinstance(contact, list) or not all(isinstance(line, str) for line in contact):
        raise ShopError(f"{FILE}: contact: write a list of lines, each in quotes")
    return Shop(_line("name", given), tuple(contact), logo, currency, rate, parts)


def card(of: Shop, root: str) -> str:
    """Who the shop is, for a page's foot; nothing in a copy without one. ``root``: the way to the start."""
    if not of.name:
        return ""
    logo = f'<img src="{root}{text(of.logo)}" alt="">' if of.logo else ""
    lines = "<br>".join(text(line) for line in of.contact)
    return (
        f'<aside class="dc-shop" aria-label="The shop" data-search-exclude>{logo}'
        f"<p><b>{text(of.name)}</b>{'<br>' if lines else ''}{lines}</p></aside>"
    )


def with_card(page: str, address: str) -> str:
    """A page's content with the shop's card under it, where a customer reads it."""
    if not address.startswith(PLACES):
        return page
    return page + card(shop(), "../" * address.count("/"))


def _line(name: str, given: Mapping[str, Any]) -> str:
    value = given.get(name) or ""
    if not isinstance(value, str):
        raise ShopError(f"{FILE}: {name}: write it in quotes")
    return value.strip()


def _mapping(name: str, given: Mapping[str, Any]) -> Mapping[str, Any]:
    value = given.get(name) or {}
    if not isinstance(value, dict):
        raise ShopError(f"{FILE}: {name}: write one upgrade and its two prices on a line")
    return value


def _range(name: str, pair: Any) -> tuple[Decimal, Decimal]:
    if name not in UPGRADES:
        raise ShopError(f"{FILE}: parts: no upgrade is called {name!r}; there are {', '.join(UPGRADES)}")
    if not isinstance(pair, list) or len(pair) != 2:
        raise ShopError(f"{FILE}: parts: {name}: write two prices, as [120, 310]")
    least, most = (_money(f"parts: {name}", price) for price in pair)
    if least > most:
        raise ShopError(f"{FILE}: parts: {name}: the first price is the lower one")
    return least, most


def _money(name: str, value: Any) -> Decimal:
    try:
        amount = Decimal(str(value))
    except InvalidOperation:
        raise ShopError(f"{FILE}: {name}: {value!r} is no amount of money") from None
    if not amount.is_finite() or not 0 <= amount < 10**7:
        raise ShopError(f"{FILE}: {name}: {value!r} is no amount of money from 0 to 10 million")
    return amount


def _inside(path: str) -> bool:
    return not path.startswith(("/", "\\")) and ".." not in Path(path).parts and ":" not in path
