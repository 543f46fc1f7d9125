"""The field that reads values off a chart, and what the chart can be kept as."""

import csv
import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
from PIL import Image
from playwright.sync_api import Page, expect

from tests.browser.test_calculators import PATIENCE, calculator, field
from tests.spreadsheet_cells import CELLS

CROSSOVERS = "stages/tuning/crossovers/"
HARMLESS = """async (cells) => {
  const { src } = [...document.scripts].find(({ src }) => src.endsWith("/page.js"));
  const { harmless } = await import(new URL("keep-chart.js", src));
  return cells.map(harmless);
}"""
NO_PICTURE = "() => { HTMLCanvasElement.prototype.toBlob = (done) => done(null); }"


def test_reading_off_starts_at_the_join_and_takes_what_is_typed(page: Page, server: str) -> None:
    page.goto(server + CROSSOVERS)
    field = page.locator("doorcard-read-off").first
    said = field.locator(".dc-read-values")
    expect(said).to_have_text(re.compile(r"^80 — Low, dB: −6\.0 · High, dB: −6\.0"))
    typed = field.locator("[type=text]")
    typed.fill("160")
    expect(said).to_have_text(re.compile(r"^158 — Low, dB: −24\.3"))
    for text, place in (("80 Hz", 80), ("0.16 kHz", 158), ("100hz", 100)):
        typed.fill(text)
        expect(said).to_have_text(re.compile(f"^{place} — "))
    typed.fill("0,1k")
    expect(said).to_have_text(re.compile(r"^100 — "))
    for text, where in (("5", "20, where the chart begins"), ("10 000", "320, where the chart ends")):
        typed.fill(text)
        expect(said).to_have_text(re.compile(f"^{where} — "))
    typed.fill("320")
    expect(said).to_have_text(re.compile(r"^320 — "))
    wrong = field.get_by_role("alert")
    for text, words in (
        ("1,000", "“1,000” can be read in two ways: type 1000 or 1,0000."),
        ("1,200.5", "“1,200.5” is not one number."),
        ("80 dB", "“80 dB” is not one number."),
        ("no number", "“no number” is not one number."),
    ):
        typed.fill(text)
        expect(wrong).to_have_text(words)
        expect(said).to_have_text(re.compile(r"^320 — "))
    typed.fill("0,1k")
    expect(said).to_have_text(re.compile(r"^100 — "))
    expect(wrong).to_be_hidden()
    field.locator("[type=range]").press("Home")
    expect(said).to_have_text(re.compile(r"^20 — "))
    expect(typed).to_have_value("")


def test_a_folded_chart_is_read_off_once_it_is_open(page: Page, server: str) -> None:
    """And goes on where it was read when the next answer comes."""
    page.goto(server + "look-up/sealed-box/")
    box = calculator(page, "sealed-box")
    fold = box.locator("details.dc-second", has=page.locator("summary", has_text="More charts"))
    read = fold.locator("doorcard-read-off").first
    expect(read).to_be_empty()
    fold.locator("summary").first.click()
    read.locator("[type=range]").press("Home")
    place, _, _ = read.locator(".dc-read-values").inner_text().partition(" — ")
    field(box, "fs").fill("41")
    expect(box).to_have_attribute("data-live", "answer", timeout=PATIENCE)
    expect(read.locator(".dc-read-values")).to_have_text(re.compile(f"^{place} — "))


def test_a_chart_is_kept_as_drawing_picture_and_numbers(page: Page, server: str) -> None:
    """Read by others than the page: an XML reader, a picture's, a spreadsheet's."""
    page.goto(server + CROSSOVERS)
    chart = page.locator("figure.dc-chart").first
    chart.locator("summary").click()
    kept: dict[str, Path] = {}
    for kind, what in (("SVG", "drawing"), ("PNG", "picture"), ("CSV", "numbers")):
        with page.expect_download() as download:
            chart.get_by_role("button", name=f"Keep the {what} ({kind})").click()
        assert re.fullmatch(rf"[a-z0-9-]+\.{kind.lower()}", download.value.suggested_filename)
        kept[kind] = Path(download.value.path())
    drawing = ElementTree.parse(kept["SVG"]).getroot()
    lines = list(drawing.iter("{http://www.w3.org/2000/svg}polyline"))
    assert len(lines) == chart.locator("polyline").count() >= 3
    assert {line.get("fill") for line in lines} == {"none"}
    assert len({(line.get("stroke"), line.get("stroke-dasharray")) for line in lines}) >= 3
    words = [each.text for each in drawing.iter("{http://www.w3.org/2000/svg}text")]
    assert words[0] == chart.locator("figcaption").inner_text()
    assert words[-1] == chart.locator(".dc-key").last.inner_text()
    picture = np.asarray(Image.open(kept["PNG"]).convert("L"), dtype=int)
    assert picture.shape[1] == 1440
    assert 0.02 < np.mean(np.abs(picture - np.median(picture)) > 60) < 0.3, "lines on a ground of one colour"
    assert kept["CSV"].read_bytes().startswith(b"\xef\xbb\xbf"), "the mark by which spreadsheets know UTF-8"
    with kept["CSV"].open(encoding="utf-8-sig", newline="") as file:
        head, *rows = csv.reader(file)
    assert head == ["Frequency, Hz", "Low, dB", "High, dB", "Sum, dB"]
    assert all(float(cell) < 30 or place == 0 for row in rows for place, cell in enumerate(row) if cell)
    # Cells are made harmless as in the files that Python writes.
    assert page.evaluate(HARMLESS, [*CELLS]) == [*CELLS.values()]
    # What cannot be made is said beside the buttons.
    page.evaluate(NO_PICTURE)
    chart.get_by_role("button", name="Keep the picture (PNG)").click()
    expect(chart.get_by_role("status").last).to_have_text("No picture could be made: keep the drawing (SVG).")
