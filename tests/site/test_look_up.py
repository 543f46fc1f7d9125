"""A look-up table that is written wrongly says what there is."""

from typing import Any

import pytest

from calculators.site.fences import reason
from calculators.site.look_up import table
from calculators.stages import find_calculator

ROWS = {"input": "temperature", "title": "Air", "values": [20]}
COLUMNS = [{"title": "Speed", "output": "speed"}]


def made(**words: Any) -> str:
    """The table, or what the page's author is told."""
    given = {"title": "Speed", "rows": ROWS, "columns": COLUMNS} | words
    try:
        return table(find_calculator("sound-speed"), {name: word for name, word in given.items() if word})
    except Exception as error:
        return reason(error)


def test_a_table_that_is_written_well_is_made() -> None:
    assert "<td>343.2</td>" in made()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            {"title": ""},
            "the table: it has no 'title'; it has title, rows, columns, perhaps fold, mark, views,",
        ),
        ({"row": ROWS, "rows": None}, "the table: there is no 'row'; it has title, rows, columns"),
        ({"rows": {**ROWS, "bear": True}}, "rows: there is no 'bear'; it has input, title, values, perhaps"),
        ({"rows": "temperature"}, "rows: write it as name: value, with input, title, values"),
        ({"rows": {**ROWS, "input": "heat"}}, "there is no 'heat'; there are: temperature"),
        ({"rows": {**ROWS, "unit": "K"}}, "'K' is no unit of temperature: use one of '°C', '°F'"),
        (
            {"columns": [{"title": "Speed"}]},
            "columns: it has no 'output'; it has title, output, perhaps unit",
        ),
        ({"columns": [{"title": "Speed", "output": "sped"}]}, "there is no 'sped'; there are: speed"),
        ({"columns": [{"title": "Speed", "output": "speed", "unit": "kn"}]}, "'kn' is no unit of speed: use"),
        (
            {"columns": {"values": [20], "output": "speed"}},
            "columns: it has no 'input'; it has input, values,",
        ),
    ],
)
def test_what_is_written_wrongly_is_told_with_what_there_is(words: dict[str, Any], said: str) -> None:
    assert made(**words).startswith(said)


def test_a_fault_of_ours_keeps_its_kind() -> None:
    """A bare key is no sentence for an author."""
    assert reason(KeyError("rows")) == "KeyError('rows')"
