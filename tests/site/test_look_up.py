"""A look-up table that is written wrongly says what there is."""

from typing import Any

import pytest

from calculators.declaring.quantities import SPEED
from calculators.site.fences import reason
from calculators.site.look_up import TableError, rounded, table
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


def test_a_wait_is_rounded_up_and_a_longest_length_down() -> None:
    """343.2 m/s at 20 °C. What is whole but for a float's last digit stays."""
    for words, shown in (
        ({"round": "up"}, "344"),
        ({"round": "down"}, "343"),
        ({"round": "down", "decimals": 1}, "343.2"),
    ):
        column = {**COLUMNS[0], **words}
        assert f"<td>{shown}</td>" in made(columns=[column])
    unit = SPEED.unit(None)
    assert [rounded(value, unit, 1, "up") for value in (0.1 + 0.2, 0.31, -0.31)] == [0.3, 0.4, -0.3]
    assert [rounded(value, unit, 1, "down") for value in (0.1 + 0.2, 0.31, 0.0)] == [0.3, 0.3, 0.0]


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
        ({"columns": [{**COLUMNS[0], "round": "near"}]}, 'round: "near" is neither up nor down'),
        (
            {"columns": {"values": [20], "output": "speed"}},
            "columns: it has no 'input'; it has input, values,",
        ),
    ],
)
def test_what_is_written_wrongly_is_told_with_what_there_is(words: dict[str, Any], said: str) -> None:
    assert made(**words).startswith(said)


@pytest.mark.parametrize("given", [{}, {"drains": []}, {"drains": 3}])
def test_a_place_in_a_row_that_the_table_does_not_give_is_told(given: dict[str, Any]) -> None:
    rows = {"input": "drains[0].current", "title": "Asleep", "values": [0.03]}
    columns = [{"title": "Days", "output": "days"}]
    with pytest.raises(TableError, match=r"drains\[0\]\.current: .* give it drains to start from"):
        table(find_calculator("battery-drain"), {"title": "Days", "rows": rows, "columns": columns, **given})


def test_a_fault_of_ours_keeps_its_kind() -> None:
    """A bare key is no sentence for an author."""
    assert reason(KeyError("rows")) == "KeyError('rows')"
