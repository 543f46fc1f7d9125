"""What a tune's sheet says as a file."""

import csv
import json

from tests.stages.tuning.test_tune import ROWS, run


def test_the_table_names_each_crossovers_family_and_slope_as_the_data_do() -> None:
    """Of a channel without a crossover it names none."""
    whole = {key: ROWS[1][key] for key in ("name", "part", "side", "distance")}
    found = run(begin_with="distances", channels=[ROWS[0], whole])
    crossed, open_ = list(csv.DictReader(found.csv.contents.decode().splitlines()))[:2]
    assert (crossed["high-pass Hz"], crossed["crossover family"]) == ("3000.0", "Linkwitz-Riley")
    assert crossed["slope dB per octave"] == "24"
    assert [open_[name] for name in ("high-pass Hz", "low-pass Hz", "crossover family")] == ["", "", ""]
    assert json.loads(found.data.contents)["crossovers"] == "Linkwitz-Riley, 24 dB per octave"
