"""The codes of a tuning sheet, read back from a print of 60 mm at 300 dpi by a library that makes none."""

import json
import re
from pathlib import Path
from urllib.parse import unquote_plus

import numpy as np
import pytest
import zxingcpp
from PIL import Image

from calculators.__main__ import main
from calculators.job.codes import CODED, MOST_BYTES, _as_table, coded, links_of
from calculators.job.paper import Code, Paper, Table
from calculators.job.papers import papers
from calculators.job.printing import NO_LIBRARY, TOO_FINE, page
from calculators.job.reading import read_job
from calculators.job.working import work_out
from tests.job.sheet_words import words_of
from tests.running_job import worked_out
from tests.strategies import HOSTILE

JOB = read_job(Path("docs/job.json").read_bytes())
ADDRESS = "https://example.org/handbook/"
SIDE = round(60 / 25.4 * 300)
"""Dots of a code of 60 mm at 300 dpi."""


def tuning_sheet() -> Paper:
    """The sheet of the running job that has codes."""
    return next(paper for paper in papers(worked_out()) if paper.name == CODED)


def scanned(html: str) -> list[str]:
    """What a scanner reads of the codes on a sheet."""
    texts = []
    for svg in re.findall(r"<svg.*?</svg>", html):
        side = int(re.search(r'viewBox="0 0 (\d+)', svg)[1])  # type: ignore[index]
        grey = np.full((side, side), 255, dtype=np.uint8)
        for x, y, width in re.findall(r"M(\d+) (\d+)\.5h(\d+)", svg):
            grey[int(y), int(x) : int(x) + int(width)] = 0
        dots = Image.fromarray(grey).resize((SIDE, SIDE), Image.Resampling.BILINEAR)
        texts += [read.text for read in zxingcpp.read_barcodes(dots)]
    return texts


def tables_in(links: list[str]) -> list[list[list[str]]]:
    """The tables that links carry, each with its title and heads, joined where one goes on in the next."""
    found: list[list[list[str]]] = []
    for link in links:
        assert link.startswith(f"{ADDRESS}job/#tuning=")
        told, _, length = link.partition("=")[2].rpartition("!")
        assert len(told) == int(length), "a link says how long it is"
        for text in told.split("!")[1:]:
            rows = [[unquote_plus(cell) for cell in row.split(",")] for row in text.split(";")]
            if found and found[-1][:2] == rows[:2]:
                found[-1] += rows[2:]
            else:
                found.append(rows)
    return found


def plain(words: str) -> str:
    return words.replace("\u00a0", " ").replace("\u2212", "-")


def carries(paper: Paper, links: list[str]) -> None:
    """Every cell of a sheet's tables is in its codes, in order."""
    tables = filter(None, map(_as_table, paper.parts))
    wanted = [table for table in tables if any(any(row) for row in table.rows)]
    for table, read in zip(wanted, tables_in(links), strict=True):
        assert read[0] == [plain(table.title)]
        assert read[1] == [plain(head) for head in table.head[: len(read[1])]]
        assert read[2:] == [[plain(cell) for cell in row[: len(read[1])]] for row in table.rows]


def test_the_tuning_sheet_s_code_holds_its_tables_and_nothing_of_the_customer() -> None:
    sheet = coded(tuning_sheet(), "Tarnholm", ADDRESS)
    links = scanned(page(sheet, "Tarnholm", "", ""))
    assert links == [part.link for part in sheet.parts if isinstance(part, Code)]
    carries(tuning_sheet(), links)
    runs = [run for run in JOB["sheet"]["runs"] if run["name"] != "trims"]
    lacking = work_out(JOB | {"sheet": JOB["sheet"] | {"runs": runs}}, "")
    (without,) = (paper for paper in papers(lacking) if paper.name == CODED)
    levels = [read for read in tables_in(list(links_of(without, "T", ADDRESS))) if read[0] == ["Levels"]]
    assert levels == [[["Levels"], [""], ["not on this sheet yet"]]]
    private = json.dumps([JOB["brief"], JOB["quote"]], ensure_ascii=False)
    texts = [text for text in re.findall(r'"([^"]{6,})"', private) if " " in text]
    assert texts
    assert not [text for text in texts if text in unquote_plus("".join(links))]
    assert f"Code 1 of {len(links)}" in list(words_of(sheet))
    bare = tuning_sheet()
    assert coded(bare, "Tarnholm", "") is bare
    order = next(paper for paper in papers(worked_out()) if paper.name == "order")
    assert coded(order, "Tarnholm", ADDRESS) is order


def test_two_presets_of_ten_filters_a_channel_take_several_numbered_codes() -> None:
    rows = tuple(
        (f"Left woofer {n % 10}", "peak", f"{20 + n}\u00a0Hz", "\u22123.5\u00a0dB", "1.4", "")
        for n in range(50)
    )
    head = ("Channel", "Kind", "Frequency", "Gain", "Q", "Read back")
    paper = Paper(
        CODED, "Tuning sheet", "", (Table("Filters, “Driver”; all", head, rows), Table("None", head, ()))
    )
    links = links_of(paper, "Tarnholm", ADDRESS)
    assert len(links) > 1
    assert max(map(len, links)) <= MOST_BYTES
    assert [link.partition("=")[2].split(",")[:2] for link in links] == [
        [str(number), str(len(links))] for number in range(1, len(links) + 1)
    ]
    assert scanned(page(coded(paper, "Tarnholm", ADDRESS), "Tarnholm", "", "")) == list(links)
    carries(paper, list(links))


def test_hostile_names_stay_text_and_what_cannot_be_drawn_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = tuple((hostile, "1") for hostile in HOSTILE if len(hostile) <= 60)
    paper = Paper(CODED, "Tuning sheet", "", (Table("Delays", ("Speaker", "Delay"), rows),))
    for link in links_of(paper, HOSTILE[0][:60], ADDRESS):
        assert re.fullmatch(r"[\w.~%+,;!-]*", link.partition("=")[2], re.ASCII)
    long = Paper(CODED, "Tuning sheet", "", (Table("Delays", ("Speaker",), (("\U0001f50a" * 120,),)),))
    assert TOO_FINE in page(coded(long, "x", ADDRESS), "x", "", "")
    monkeypatch.setitem(__import__("sys").modules, "segno", None)  # As in a page that cannot fetch it.
    without = page(coded(tuning_sheet(), "x", ADDRESS), "x", "", "")
    assert NO_LIBRARY in without
    assert "Opens these values" not in without, "nothing is said of a code that is not there"


def test_the_command_line_takes_the_handbook_s_address(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["job", "docs/job.json", "--out", str(tmp_path), "--address"]
    assert main([*words, ADDRESS]) == 0
    links = scanned((tmp_path / f"{CODED}.html").read_text(encoding="utf-8"))
    assert all(link.startswith(ADDRESS) for link in links)
    assert links
    for wrong in ("example", "javascript:alert(1)/", "https://example.org/#x/"):
        assert main([*words, wrong]) == 2
    assert "Say where the handbook stands" in capsys.readouterr().err
