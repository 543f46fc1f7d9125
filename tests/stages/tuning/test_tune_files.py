"""What a tune's sheet says as a file."""

import csv
import json
from typing import Any

import numpy as np
import pytest

from calculators.declaring import Advice, Kept, run_values
from calculators.physics.filter_limits import Limits
from calculators.physics.speaker_system import Setting
from calculators.stages import find_calculator
from calculators.vocabulary.tune_plan import Channel, Plan, Processor
from calculators.vocabulary.tune_sheet import LEAST_LIFT, trim_in_front
from tests.physics.test_filter_limits import by_scipy
from tests.stages.tuning.test_tune import ROWS, kept, refused, run


def test_the_table_names_each_crossovers_family_and_slope_as_the_data_do() -> None:
    """Of a channel without a crossover it names none."""
    whole = {key: ROWS[1][key] for key in ("name", "part", "side", "distance")}
    found = run(begin_with="distances", channels=[ROWS[0], whole])
    crossed, open_ = list(csv.DictReader(found.csv.contents.decode().splitlines()))[:2]
    assert (crossed["high-pass Hz"], crossed["crossover family"]) == ("3000.0", "Linkwitz-Riley")
    assert crossed["slope dB per octave"] == "24"
    assert [open_[name] for name in ("high-pass Hz", "low-pass Hz", "crossover family")] == ["", "", ""]
    assert json.loads(found.data.contents)["crossovers"] == "Linkwitz-Riley, 24 dB per octave"


@pytest.mark.parametrize(
    ("gain", "lift", "high_pass", "step", "trim"),
    [
        (0.0, 0.0, None, 0.1, 0.0),
        (0.0, 0.0, 80.0, 0.1, -3.0),  # 3 dB for the peaks that a crossover raises.
        (-2.0, 4.0, 80.0, 0.1, -5.0),  # The channel's own trim makes room: -2 + 4 + 3.
        (-2.0, 4.0, None, 0.1, -2.0),
        (-2.0, 4.26, 80.0, 0.5, -5.5),  # In whole steps, none too few.
        (-9.0, 4.0, 80.0, 0.1, 0.0),
        (0.0, -12.0, 80.0, 0.1, -3.0),  # At 20 Hz 0.05 dB are cut, at 36 Hz 0.2 (by SciPy).
    ],
)
def test_the_trim_in_front_holds_what_tones_are_lifted_and_the_peaks_of_passes(
    gain: float, lift: float, high_pass: float | None, step: float, trim: float
) -> None:
    channel = Channel("Left", "woofer", -1, high_pass, None, (0.001,))
    plan = Plan((channel,), (), (0,), (0,), (), (1.0,), Processor(Limits(), 3, gain_step=step))
    peaks = np.array([[1000.0, lift, 0.3]])
    assert trim_in_front(plan, (Setting(high_pass, None, gain=gain, filters=peaks),)) == trim


@pytest.mark.parametrize(
    "peaks",
    [
        [(649.38, 3.0, 8.0)],  # Half-way between two of 24 places to the octave.
        [(649.38, 15.0, 20.0)],
        [(30.0, 6.0, 8.0)],  # Under the lowest place.
        [(19_500.0, 6.0, 8.0)],
        [(640.0, 6.0, 10.0), (670.0, 6.0, 10.0)],  # Together most between them.
        [(1200.0, 6.0, 20.0), (1300.0, -12.0, 3.0)],
    ],
)
def test_the_trim_in_front_holds_narrow_lifts_wherever_they_stand(
    peaks: list[tuple[float, float, float]],
) -> None:
    channel = Channel("Left", "woofer", -1, None, None, (0.001,))
    plan = Plan((channel,), (), (0,), (0,), (), (1.0,), Processor(Limits(), 3))
    trim = trim_in_front(plan, (Setting(filters=np.array(peaks)),))
    lifted = float(np.max(by_scipy(np.array(peaks), np.geomspace(10, 23_000, 100_000))))
    assert 0 <= -trim - lifted + LEAST_LIFT <= 0.1 + 1e-6


def test_the_trim_in_front_stands_in_the_data_and_in_the_table() -> None:
    whole = {key: ROWS[1][key] for key in ("name", "part", "side", "distance")}
    for channels, trim in (([ROWS[0], whole], -3.0), ([whole], 0.0)):
        found = run(begin_with="distances", channels=channels)
        assert (found.cut_in_front, json.loads(found.data.contents)["trim_in_front"]) == (trim, trim)
        lines = found.csv.contents.decode().splitlines()
        assert float(lines[lines.index("trim in front of every channel dB") + 1]) == trim


REARS = [ROWS[1] | {"name": f"{side} rear", "side": side.lower()} for side in ("Left", "Right")]
"""Two parts of one side that play the same octaves: a danger."""


@pytest.mark.parametrize(("rears", "dangers"), [([], 0), (REARS, 1)])
def test_a_sheets_dangers_go_with_its_files_and_are_told_again_where_it_is_read(
    rears: list[dict[str, Any]], dangers: int
) -> None:
    found = run(begin_with="distances", channels=[*ROWS, *rears])
    words = [note.message for note in found.advice if note.danger]
    assert len(words) == dangers
    assert [
        row[1] for row in csv.reader(found.csv.contents.decode().splitlines()) if row[:1] == ["danger"]
    ] == words
    assert json.loads(found.data.contents).get("dangers", []) == words
    sheet = kept(found.data.contents.decode())
    assert [
        note.message.partition(": ")[2] for note in read(sheet) if "when this sheet was made" in note.message
    ] == (words)


def read(sheet: Kept) -> tuple[Advice, ...]:
    """What the read-back tells of a sheet."""
    outcome = run_values(find_calculator("read-back"), {"channels": [{"name": "Any"}], "sheet": sheet})
    assert outcome.errors == ()
    return outcome.result.advice


def test_a_subwoofer_is_turned_by_the_name_of_its_row_and_no_other_channel_is() -> None:
    bass = {"name": "Rear subwoofer", "part": "subwoofer", "side": "both", "low_pass": 80.0, "distance": 1.9}
    channels = [*ROWS, bass]
    found = run(begin_with="distances", channels=channels, turned="rear  Subwoofer, ")
    assert [row.name for row in found.channels if row.polarity == "reversed"] == ["Rear subwoofer"]
    assert json.loads(found.data.contents)["channels"][-1]["polarity"] == "reversed"
    assert refused(begin_with="distances", channels=channels, turned="Left woofer") == "turned"
    assert refused(begin_with="distances", channels=channels, turned="Rear subwoofer; Front") == "turned"


def test_a_sheet_is_read_once_for_its_lines_and_its_dangers() -> None:
    contents = run(begin_with="distances", channels=[*ROWS, *REARS]).data.contents
    begun = []

    def part(start: int, count: int) -> bytes:
        begun.append(start)
        return contents[start : start + count]

    assert any(
        "when this sheet was made" in each.message for each in read(Kept("h", "s", len(contents), part))
    )
    assert begun.count(0) == 1


@pytest.mark.parametrize("given", ["no list", [1], {"a": "b"}])
def test_a_sheet_whose_dangers_cannot_be_is_refused(given: Any) -> None:
    data = json.loads(run(begin_with="distances", channels=ROWS).data.contents) | {"dangers": given}
    outcome = run_values(
        find_calculator("read-back"), {"channels": [{"name": "Any"}], "sheet": kept(json.dumps(data))}
    )
    assert [error.field for error in outcome.errors] == ["sheet"]
