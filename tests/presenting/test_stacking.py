"""Tables that a phone shows as one stack a row."""

import re

from calculators.declaring import run_values
from calculators.presenting.results import in_lines, result_html
from calculators.presenting.stacking import stacks
from calculators.site.narrow_tables import with_stacks
from calculators.stages import find_calculator

LIMITS = (
    "<table><thead><tr><th>What</th><th>Limit &amp; unit</th><th>Rests on</th></tr></thead>"
    "<tbody><tr><td>Left against right in broad bands</td>"
    '<td><a href="x">1 dB</a></td><td>common practice</td></tr></tbody></table>'
)


def test_a_row_that_does_not_fit_a_phones_line_stands_as_a_stack_and_says_its_heads() -> None:
    page = with_stacks(f"<p>Before</p>{LIMITS}<table><thead><tr><th>Hz</th></tr></thead></table>")
    assert page.count("data-stacks") == 1
    assert '<td role="cell">Left against right' in page
    assert '<td role="cell" data-head="Limit &amp; unit"><a href="x">1 dB</a></td>' in page
    assert '<td role="cell" data-head="Rests on">common practice</td>' in page
    assert page.count('role="columnheader"') == 3
    assert [word for word in re.sub("<[^>]+>", " ", page).split() if word == "What"] == ["What"]


def test_what_fits_a_line_stays_a_table() -> None:
    assert not stacks([["60 km/h"], ["12.4 dB"], ["9.1 dB"], ["3.3 dB"]])
    assert not stacks([["Left against right in broad bands"], ["common practice, no source"]])
    assert stacks([["Left against right in broad bands"], ["1 dB"], ["common practice, no source"]])


def test_a_calculators_table_of_sentences_stacks_and_one_of_numbers_does_not() -> None:
    load = find_calculator("speaker-load")
    wirings = result_html(run_values(load, load.example))
    assert '<table data-stacks="" role="table" class="dc-table"><caption>Every wiring' in wirings
    assert '<th role="rowheader" scope="row">' in wirings
    assert 'data-head="Verdict"' in wirings
    delay = find_calculator("delay")
    assert "data-stacks" not in result_html(run_values(delay, delay.example))


def test_words_behind_numbers_stack_where_a_phone_would_tear_them() -> None:
    box = find_calculator("box-volume")
    well = {"shape": "well", "diameter": 0.56, "bottom_diameter": 0.5, "height": 0.12}
    stacked = '<table data-stacks="" role="table" class="dc-table"><caption>Cut list'
    assert stacked in result_html(run_values(box, well))  # "round, 17.1 mm wide" behind two lengths.
    assert stacked not in result_html(run_values(box, box.example))  # "square".


def test_a_main_answer_of_several_parts_has_a_line_for_each() -> None:
    assert in_lines("a & b; c") == "<span>a &amp; b;</span> <span>c</span>"
    assert in_lines("one") == "one"
