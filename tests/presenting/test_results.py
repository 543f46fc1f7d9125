"""A result as HTML and in spoken words."""

import re

from calculators.declaring import example_fields, run_typed, run_values
from calculators.presenting.results import result_html, spoken
from calculators.stages import find_calculator


def test_a_danger_is_spoken_before_the_answer() -> None:
    fuse = find_calculator("fuse")
    safe = run_values(fuse, fuse.example)
    burning = run_values(fuse, dict(fuse.example) | {"distance": 1.0})
    dangers = [entry for entry in burning.advice if entry.danger]
    assert dangers
    assert spoken(burning).startswith(f"Danger: {dangers[0].message}")
    assert all(entry.message in spoken(burning) for entry in dangers)
    assert "Fuse to fit: " in spoken(burning)
    assert spoken(safe).startswith("Fuse to fit: ")


def test_what_is_wrong_is_spoken() -> None:
    assert "must be between" in spoken(run_values(find_calculator("sound-speed"), {"temperature": 99}))


def test_an_answer_says_what_it_is_for() -> None:
    delay = find_calculator("delay")
    speakers = [{"name": "<near>", "distance": 0.85}, {"name": "far", "distance": 1.4}]
    html = result_html(run_values(delay, {"speakers": speakers, "temperature": 20}))
    assert '<p class="dc-for"><strong>For:</strong> &lt;near&gt;, 85\u00a0cm, 0\u00a0ms' in html
    assert "; far, 140\u00a0cm" in html
    assert "; 20\u00a0°C" in html
    assert html.index("dc-for") < html.index("dc-answers")


def test_a_number_left_empty_is_told_in_full_and_not_in_brief() -> None:
    box = find_calculator("box-volume")
    html = result_html(
        run_values(box, {"shape": "well", "diameter": 0.56, "bottom_diameter": 0.5, "height": 0.12})
    )
    brief, _, full = html.partition('<table class="dc-given">')
    assert "not of this shape" not in brief
    assert "Width</th><td>not of this shape" in full


def test_a_text_left_empty_is_not_told() -> None:
    sheet = find_calculator("job-sheet")
    told = result_html(run_values(sheet, {"date": "", "shop": "The shop"})).partition("dc-answers")[0]
    for label, filled in (("Printed on", False), ("Release", False), ("Shop", True)):
        assert (label in told) == filled, label
    schedule = result_html(
        run_values(find_calculator("wiring-schedule"), {"runs": [RUN | {"name": "Feed", "end": "Radio"}]})
    )
    assert not re.search(r", (;|</p>|,)|Connector *(,|</td>)", schedule.partition("dc-answers")[0])


def test_dangers_stand_before_everything() -> None:
    fuse = find_calculator("fuse")
    assert result_html(run_values(fuse, dict(fuse.example) | {"distance": 1.0})).startswith(
        '<p class="dc-advice dc-danger">'
    )


def test_results_and_what_they_are_for_follow_the_unit_chosen() -> None:
    """An inch is 25.4 mm: who types inches is not answered in centimetres."""
    delay = find_calculator("delay")
    units = {"speakers[].distance:unit": "in", "temperature:unit": "°F", "temperature": "68"}
    done = run_typed(delay, example_fields(delay) | units | {"speakers[0].distance": "40.5"})
    html = result_html(done).replace("\u00a0", " ")
    farthest = max(row.distance for row in done.arguments["speakers"])
    assert f"<td>{(farthest / 0.0254) - 40.5:.2f} in</td>" in html
    assert "Left tweeter, 40.5 in, 0 ms" in html
    assert "; 68 °F" in html
    assert " cm" not in html


def test_a_unit_that_no_number_is_shown_in_changes_no_result() -> None:
    delay = find_calculator("delay")
    typed = example_fields(delay)
    finer = typed | {"step:unit": "µs", "step": "10"}
    answers = result_html(run_typed(delay, typed)).partition("</table>")[2]
    assert result_html(run_typed(delay, finer)).partition("</table>")[2] == answers


def test_a_second_unit_stands_behind_the_one_chosen() -> None:
    paths = find_calculator("path-cancellation")
    chosen = {"direct:unit": "in", "direct": "40", "reflected:unit": "in", "reflected": "50"}
    html = result_html(run_typed(paths, example_fields(paths) | chosen)).replace("\u00a0", " ")
    assert '10.00 in <span class="dc-also">(25.40 cm)</span>' in html


RUN = {"start": "Battery", "length": 2.0, "current": 10.0, "air": 40.0}


def test_advice_on_a_row_leads_to_its_field_where_there_is_a_form() -> None:
    schedule = find_calculator("wiring-schedule")
    thin = RUN | {"name": "Feed", "end": "Radio", "area": 0.5e-6}
    home = {"name": "Ground", "start": "Radio", "end": "Body", "length": 1.0, "kind": "ground"}
    done = run_values(schedule, {"runs": [thin, home]})
    button = '<button type="button" class="dc-button dc-about" data-about="runs[0].area">To this run</button>'
    assert button in result_html(done).partition("dc-for")[0]
    assert "<button" not in result_html(done, form=False)


def test_many_rows_are_counted_over_the_answer_and_listed_for_print() -> None:
    schedule = find_calculator("wiring-schedule")
    runs = [RUN | {"name": f"Feed {number}", "end": f"Lamp {number}"} for number in range(9)]
    html = result_html(run_values(schedule, {"runs": runs}))
    assert html.partition('dc-for">')[2].startswith("<strong>For:</strong> 9 runs; ")
    assert html.count('<th scope="row">Run</th>') == 9


def test_an_answer_is_for_values_and_not_for_labels() -> None:
    """A length is a length: its label stays where two numbers have one unit, or none."""
    html = result_html(run_values(find_calculator("cable"), find_calculator("cable").example))
    given = html[html.index("<strong>For:</strong>") :].partition("</p>")[0]
    assert "Current" not in given
    assert "54\u00a0A; " in given
    assert "5.8\u00a0m; " in given


def test_figures_past_what_decides_are_folded() -> None:
    html = result_html(run_values(find_calculator("cable"), find_calculator("cable").example))
    first, _, rest = html.partition('<details class="dc-second"><summary>All figures</summary>')
    assert first.count("<dt>") == 4
    assert first.index('<div class="dc-main"><dt>Cable to fit</dt>') < first.index("<dt>Decided by</dt>")
    assert rest.count("<dt>") > 8
    short = result_html(run_values(find_calculator("current-draw"), find_calculator("current-draw").example))
    assert "dc-second" not in short


def test_a_pad_is_told_by_what_is_soldered_and_bought() -> None:
    """Before anything is unfolded; and what the kind of a limit asks stands at the limit."""
    feed = find_calculator("speaker-level-feed")
    html = result_html(run_values(feed, feed.example | {"input_limit": 2.0}))
    at_once = html.partition("<details")[0]
    for label in (
        "Resistor in each leg, E24",
        "Resistor across, behind them",
        "Load resistor rated for at least",
    ):
        assert f"<dt>{label}</dt>" in at_once
    assert "<dt>Peak of that sine</dt>" not in at_once
    names = [entry.name for entry in feed.inputs]
    assert names.index("input_limit_is") == names.index("input_limit") + 1


def test_an_answer_is_not_told_to_be_for_what_was_set_aside() -> None:
    feed = find_calculator("speaker-level-feed")
    assert "Power of the source" not in result_html(run_values(feed, feed.example))
    by_power = result_html(run_values(feed, feed.example | {"measured_voltage": None}))
    assert "Power of the source, sine 18\xa0W" in by_power
