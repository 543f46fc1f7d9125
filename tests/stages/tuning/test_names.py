"""Names of channels: what a file of measurements can carry, and files that do not lie over each other."""

from typing import get_type_hints

import pytest

from calculators.declaring import Curve, InputError, Kept, Text, drain
from calculators.declaring.inputs.kind import Found
from calculators.vocabulary.tune_channels import TunedChannel
from calculators.vocabulary.tune_measurements import SPEAKER, file_name, point_file, read_measurements

CHANNEL: Text = get_type_hints(TunedChannel, include_extras=True)["name"].__metadata__[0]
CURVE = Curve(tuple(1000.0 + 100 * step for step in range(120)), (60.0,) * 120, (0.0,) * 120)
CARRIED = (
    "Left tweeter", "Ленты слева", "左ツイーター", "ลำโพงซ้าย", "बायाँ", "Türe hinten", "Tu\u0308re hinten",
    "L+", "L-", "Hinten (L.)",
)  # fmt: skip


@pytest.mark.parametrize("name", CARRIED)
def test_a_name_that_a_channel_may_have_comes_back_out_of_its_file(name: str) -> None:
    for kind in (CHANNEL, SPEAKER):
        assert kind.read_value("name", name, Found()) == name
    contents = b"".join(point_file(name, 1, 3, 0.002, 1.0, CURVE).pieces())
    file = Kept("a", "a.txt", len(contents), lambda start, count: contents[start : start + count])
    (read,) = drain(read_measurements(file))
    assert (read.name, read.point) == (name, 2)  # Points are counted from 0 on.


@pytest.mark.parametrize(
    "name",
    [
        "Left; seat 2",
        "Tweeter #1",
        "#1",
        "1 left",
        "L\u2028R",
        "L\x0bR",
        "L\x85R",
        "\ufeffL",
        "Front L*",
        "|left",
        "\uff1dleft",
    ],
)
def test_a_name_that_no_file_can_carry_is_refused_where_it_is_typed(name: str) -> None:
    for kind in (CHANNEL, SPEAKER):
        with pytest.raises(InputError, match="letters, figures, blanks and"):
            kind.read_value("name", name, Found())


def test_files_of_two_speakers_have_two_names() -> None:
    names = [file_name(name, 1, 1) for name in dict.fromkeys(CARRIED)]
    assert len(set(names)) == len(names)
    assert names[:3] == [
        "left-tweeter-seat-1-point-1", "ленты-слева-seat-1-point-1", "左ツイーター-seat-1-point-1"
    ]  # fmt: skip
