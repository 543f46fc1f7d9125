"""The field that reads values off a chart: where it starts, typed places, and what it leaves alone."""

import re

from playwright.sync_api import Page, expect

CROSSOVERS = "stages/tuning/crossovers/"


def test_reading_off_starts_at_the_join_and_takes_what_is_typed(page: Page, server: str) -> None:
    page.goto(server + CROSSOVERS)
    field = page.locator("doorcard-read-off").first
    said = field.locator(".dc-read-values")
    expect(said).to_have_text(re.compile(r"^80 — Low, dB: −6\.0 · High, dB: −6\.0"))
    typed = field.locator("[type=text]")
    typed.fill("160")
    expect(said).to_have_text(re.compile(r"^158 — Low, dB: −24\.3"))
    typed.fill("0,1k")
    expect(said).to_have_text(re.compile(r"^100 — "))
    typed.fill("no number")
    expect(said).to_have_text(re.compile(r"^100 — "))
    field.locator("[type=range]").press("Home")
    expect(said).to_have_text(re.compile(r"^20 — "))
    expect(typed).to_have_value("")
