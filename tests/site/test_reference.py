"""The reference: every calculator has its page, and what stands there runs."""

import html
import json
import re
import subprocess
import sys
from pathlib import Path

import html5lib
import pytest
from playwright.sync_api import Page

from calculators.declaring import Calculator
from calculators.site.reference import python_use
from calculators.stages import every_calculator, slugs_known
from tests.browser.test_accessibility import violations
from tests.conftest import ROOT

every = pytest.mark.parametrize("calculator", every_calculator(), ids=lambda entry: entry.slug)


@every
def test_the_page_names_every_input_and_output(site: Path, calculator: Calculator) -> None:
    page = (site / "reference" / calculator.slug / "index.html").read_text(encoding="utf-8-sig")
    html5lib.HTMLParser(strict=True).parse(page)
    for entry in (*calculator.inputs, *calculator.outputs):
        assert f"<code>{entry.name}</code>" in page
        for column in entry.columns:
            assert f"<code>{entry.name}[].{column.name}</code>" in page
    for key in calculator.sources:
        assert f"../../sources/#{key}" in page


@every
def test_the_python_shown_runs(capsys: pytest.CaptureFixture[str], calculator: Calculator) -> None:
    exec(compile(python_use(calculator), calculator.slug, "exec"), {})
    said = capsys.readouterr().out
    assert said.strip()
    assert "InputError" not in said


def test_the_command_shown_runs(site: Path) -> None:
    page = (site / "reference" / "delay" / "index.html").read_text(encoding="utf-8")
    command = html.unescape(re.findall(r"<pre[^>]*><code>(echo .*?)</code></pre>", page, re.DOTALL)[0])
    given, slug = re.fullmatch(r"echo '(.*)' \| python -m calculators (\S+) --json", command).groups()
    done = subprocess.run(
        [sys.executable, "-m", "calculators", slug, "--json"],
        input=given, capture_output=True, text=True, check=True, cwd=ROOT,
    )  # fmt: skip
    assert json.loads(done.stdout)["calculator"] == "delay"


def test_the_list_leads_to_every_calculator_and_no_way_of_the_handbook_to_any(site: Path) -> None:
    page = (site / "reference" / "index.html").read_text(encoding="utf-8")
    assert set(re.findall(r'<li><a href="([^"/]+)/"', page)) == set(slugs_known())
    for place in ("search/search_index.json", "sitemap.xml", "offline.json"):
        assert "reference/delay" not in (site / place).read_text(encoding="utf-8")


@pytest.mark.parametrize("address", ["reference/", "reference/crossover/"])
def test_axe_finds_nothing_in_the_reference(page: Page, server: str, address: str) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(server + address)
    assert not violations(page)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
