"""The tune: on its simulated cabin, by file, by tape; and on cabins drawn at random."""

from dataclasses import replace
from functools import cache
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from calculators.declaring import Curve, InputError, Kept, run_values
from calculators.declaring.working import drain
from calculators.physics import equalisers, simulated_cabin, speaker_system
from calculators.physics.speaker_system import Setting
from calculators.physics.tuning_fit import Limits
from calculators.presenting.charts import chart
from calculators.stages import find_calculator
from calculators.vocabulary import (
    targets,
    tune_channels,
    tune_demonstration,
    tune_errors,
    tune_image,
    tune_measurements,
    tune_sheet,
    tune_steps,
)
from calculators.vocabulary.tune_steps import Channel, Plan, Processor
from tests.conftest import SOAK

TUNE = find_calculator("tune")
ROWS = TUNE.example["channels"]


def run(**inputs: Any) -> Any:
    outcome = run_values(TUNE, inputs)
    assert outcome.errors == ()
    return outcome.result


def refused(**inputs: Any) -> str:
    errors = run_values(TUNE, inputs).errors
    assert len(errors) == 1
    return errors[0].field


def kept(text: str) -> Kept:
    held = text.encode()
    return Kept("0", "measurements.txt", len(held), lambda start, length: held[start : start + length])


def simulated_rows() -> list[dict[str, Any]]:
    rows = []
    for each in drain(tune_demonstration.prepared()).channels(1):
        side = {-1: "left", 1: "right", 0: "both"}[each.side]
        row = {"name": each.name, "part": each.kind, "side": side}
        ends = {"high_pass": each.high_pass, "low_pass": each.low_pass}
        rows.append(row | {name: end for name, end in ends.items() if end is not None})
    return rows


def test_its_cabin_is_tuned_within_the_processors_limits_and_the_wiring_fault_is_told() -> None:
    found = run(begin_with="simulated", filters=2.0, step_gain=0.5)
    seat = found.expected[0]
    assert seat.before >= 3
    assert seat.after < seat.before / 2
    assert seat.apart < 1
    drawn = {line.label: np.array(line.values, float) for line in found.chart.series}
    assert ElementTree.fromstring(chart(found.chart)).iter("polyline")
    for line, printed in (("Tuned", seat.after), ("As found", seat.before)):
        assert np.sqrt(np.mean((drawn[line] - drawn["Target"]) ** 2)) == pytest.approx(printed, rel=0.25)
    assert {abs(round(2 * each.gain) - 2 * each.gain) for each in found.filters} == {0.0}
    assert all(-12 <= each.gain <= 3 and 0.5 <= each.q <= 8 for each in found.filters)
    assert all(channel.gain <= 0 and 0 <= channel.delay <= 0.02 for channel in found.channels)
    assert {channel.name for channel in found.channels if channel.polarity == "reversed"} >= {"Right woofer"}
    assert "Right woofer" in found.advice[0].message
    assert all(each.lost >= each.best - 0.3 and abs(each.phase) <= 30 for each in found.joins)
    aside, warmer, louder = found.errors
    assert aside.change > warmer.change > louder.change > 0.05
    # One channel of six or all, 0.5 dB louder: no band moves by more than that.
    assert abs(louder.most_moved) <= 0.5
    assert all(abs(each.after - seat.after) <= each.change + 0.05 for each in found.errors)
    pieces = [piece.decode() for piece in found.simulation.pieces()]
    assert len("".join(pieces).encode()) == found.simulation.size
    again = "".join(piece for piece in pieces if "seat 2" not in piece[:80])
    by_file = run(
        begin_with="measurements",
        measurements=kept(again),
        channels=simulated_rows(),
        filters=2.0,
        step_gain=0.5,
    )
    for one, other in zip(by_file.channels, found.channels, strict=True):
        assert one.name == other.name
        assert one.polarity == other.polarity
        # No channel is turned down to nothing, and a file's last decimals move no gain far.
        assert one.gain > -20
        assert one.gain == pytest.approx(other.gain, abs=2.5)
    assert by_file.expected[0].after == pytest.approx(seat.after, abs=0.2)


def test_two_seats_share_one_setting() -> None:
    found = run(begin_with="simulated", seats="two", filters=4.0, beside=True)
    assert [seat.after < seat.before for seat in found.expected] == [True, True]
    assert found.passenger_chart is not None
    assert found.expected[0].apart is None
    driver, passenger = found.compromise
    assert [(each.before, each.shared) for each in found.compromise] == [
        (each.before, each.after) for each in found.expected
    ]
    # The driver's own position brings both sides to the driver at once, and the passenger pays for it twice
    # over; shared, each seat hears its nearer side sooner, by as much as the other seat does its own.
    assert driver.own_late < 0.2e-3
    assert driver.own_late < driver.shared_late < passenger.own_late
    assert driver.shared_late == pytest.approx(passenger.shared_late, abs=0.3e-3)
    assert passenger.shared < passenger.own
    assert driver.own <= driver.shared + 0.01
    assert [each.shared_delay for each in found.positions] == [each.delay for each in found.channels]
    assert [each.own_delay for each in found.positions] != [each.delay for each in found.channels]


def test_distances_alone_give_what_the_delay_calculator_gives() -> None:
    found = run(begin_with="distances", channels=ROWS, temperature=24.0)
    delays = run_values(
        find_calculator("delay"),
        {
            "speakers": [{"name": row["name"], "distance": row["distance"]} for row in ROWS],
            "temperature": 24.0,
            "step": 1e-5,
        },
    ).result
    for channel, speaker in zip(found.channels, delays.speakers, strict=True):
        assert channel.delay == pytest.approx(speaker.set_delay, abs=1e-12)
    assert found.filters == ()


@pytest.mark.parametrize("name", ["|left", "\uff1dleft"])
def test_no_cell_of_the_sheets_table_is_a_formula(name: str) -> None:
    table = run(begin_with="distances", channels=[{**ROWS[0], "name": name}]).csv.contents.decode()
    assert f"\r\n'{name},3000.0,,normal,0.0000,0,,none\r\n" in table


FILE = "Left; seat 1; point 1; arrival 2 ms; positive\n" + "\n".join(
    f"{f} 60 0" for f in range(1000, 16_000, 100)
)


def tweeter_file(frequencies: Any, level: Any = lambda _: 60.0) -> Kept:
    rows = "\n".join(f"{f:.2f} {level(f):.2f} 0" for f in frequencies)
    return kept(f"Left tweeter; seat 1; point 1; arrival 2 ms; positive\n{rows}")


@pytest.mark.parametrize(
    ("file", "words"),
    [
        (
            tweeter_file(np.geomspace(1000, 2000, 5)),
            "seat 1, point 1: measured from 1000 to 2000 Hz, and the tune needs 2121 to 12500 Hz",
        ),
        (tweeter_file(np.geomspace(2500, 18_000, 50)), "measured from 2500 to 18000 Hz"),
        (tweeter_file(np.geomspace(1000, 18_000, 10)), "A third of an octave apart is the most"),
        # Noise hides the rest, but not where the channel plays.
        (
            tweeter_file(np.geomspace(3200, 18_000, 50), lambda f: 30.0 if f < 3300 else 60.0),
            "measured from 3200",
        ),
        (tweeter_file(np.geomspace(2900, 18_000, 50), lambda f: 30.0 if f < 3000 else 60.0), ""),
        (tweeter_file(np.geomspace(2100, 12_600, 10)), ""),
    ],
)
def test_a_curve_holds_the_band_its_channel_plays(file: Kept, words: str) -> None:
    errors = run_values(
        TUNE,
        {"begin_with": "measurements", "channels": ROWS[:1], "measurements": file, "filters": 1.0},
    ).errors
    assert [words in error.message for error in errors] == ([True] if words else [])


def test_curves_of_the_handbooks_own_sweeps_go_on_as_their_crossovers_do() -> None:
    """What `response` writes of sweeps 06b, 06c and 06d: whole third octaves inside each, IEC 61260-1."""
    bands = {"subwoofer": (11.0, 447.0), "woofer": (35.5, 7080.0), "tweeter": (1122.0, 17_780.0)}

    def swept(name: str, frequency: float) -> bool:
        low, high = bands[name.split()[-1]]
        return low <= frequency <= high

    shown, grid = drain(tune_demonstration.prepared()), speaker_system.grid()
    crossed = {row["name"]: Setting(row.get("high_pass"), row.get("low_pass")) for row in simulated_rows()}
    whole, cut = (
        drain(tune_measurements.read_measurements(kept(text_of(shown, keeps))))
        for keeps in (lambda *_: True, swept)
    )
    for one, other in zip(whole, cut, strict=True):
        through = speaker_system.chain(crossed[one.name], grid, 48_000.0)
        heard, gone_on = (np.abs(each.gains(crossed[one.name]) * through) for each in (one, other))
        inside = (grid >= other.curve.frequency[0] - 1e-3) & (grid <= other.curve.frequency[-1] + 1e-3)
        assert gone_on[inside] == pytest.approx(heard[inside], rel=1e-5)
        # What goes on beyond is at least 25 dB under what the channel plays, and falls with its crossover.
        assert np.max(gone_on[~inside], initial=0.0) < 0.06 * np.max(heard)


def text_of(shown: tune_demonstration.Demonstration, keeps: Any) -> str:
    """The simulation's file at the fixed point, the rows that a sweep reaches alone."""
    blocks = [p.decode() for p in shown.file().pieces() if b"seat 1; point 1;" in p[:60]]
    lines, name = [], ""
    for line in "".join(blocks).splitlines():
        if ";" in line:
            name = line.split(";")[0]
            lines.append(line)
        elif keeps(name, float(line.split()[0])):
            lines.append(line)
    return "\n".join(lines)


@pytest.mark.parametrize(
    ("field", "inputs"),
    [
        ("channels", {"begin_with": "distances"}),
        ("channels[0].name", {"begin_with": "distances", "channels": [{**ROWS[0], "name": " "}]}),
        ("channels[1].name", {"begin_with": "distances", "channels": [ROWS[0], ROWS[0]]}),
        ("channels[0].high_pass", {"begin_with": "distances", "channels": [{**ROWS[0], "high_pass": None}]}),
        ("channels[0].high_pass", {"begin_with": "distances", "channels": [{**ROWS[0], "high_pass": 300.0}]}),
        ("channels[0].low_pass", {"begin_with": "distances", "channels": [{**ROWS[4], "low_pass": None}]}),
        ("channels[0].low_pass", {"begin_with": "distances", "channels": [{**ROWS[1], "low_pass": 60.0}]}),
        (
            "channels[0].high_pass",
            {"begin_with": "distances", "channels": [{**ROWS[0], "lowest_safe": 3100.0}]},
        ),
        (
            "channels[0].high_pass",
            {"begin_with": "distances", "channels": [{**ROWS[4], "lowest_safe": 30.0}]},
        ),
        ("channels[0].distance", {"begin_with": "distances", "channels": [{**ROWS[0], "distance": None}]}),
        ("channels[0].distance_2", {"begin_with": "distances", "channels": ROWS[:1], "seats": "two"}),
        ("longest_delay", {"begin_with": "distances", "channels": ROWS, "longest_delay": 0.002}),
        ("q_high", {"q_low": 4.0, "q_high": 2.0}),
        ("measurements", {"begin_with": "measurements", "channels": ROWS}),
        *(
            ("measurements", {"begin_with": "measurements", "channels": ROWS[:1], "measurements": kept(text)})
            for text in (
                "",
                "20 60 0\n30 60 0",
                FILE,
                FILE.replace("Left;", "Left tweeter;").replace(" 0\n", "\n"),
                FILE.replace("Left;", "Left tweeter;") + "\n" + FILE.replace("Left;", "Left tweeter;"),
                FILE.replace("Left;", "Left tweeter;").replace("; arrival 2 ms", ""),
                FILE.replace("Left;", "Left tweeter;").replace("point 1", "point 2"),
                FILE.replace("Left;", "Left tweeter;").replace("60 0", "900 0"),
                FILE.replace("Left;", "Left tweeter;").replace("point 1", "point 17"),
            )
        ),
    ],
)
def test_it_refuses(field: str, inputs: dict[str, Any]) -> None:
    wild = {"frequency": [125.0, 8000.0], "level": [900.0, 0.0]}
    assert refused(begin_with="distances", channels=ROWS, target=wild) == "target"
