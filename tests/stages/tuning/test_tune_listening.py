"""What a tuner listens for, as the tune tells it: both ears, group delay, bass at a lower volume."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from calculators.declaring import drain, run_values
from calculators.physics import stereo
from calculators.physics.biquads import biquad
from calculators.physics.filter_limits import Limits
from calculators.physics.filters import group_delay
from calculators.physics.speaker_system import Setting, chains, grid
from calculators.stages import find_calculator
from calculators.vocabulary.tune_delays import DelayFound, delay_advice, delay_rows
from calculators.vocabulary.tune_ears import EAR_BANDS, EarsFound, ear_rows
from calculators.vocabulary.tune_plan import Channel, Plan, Processor, Tune


def pair(
    sines: tuple[float | None, float | None],
    settings: tuple[Setting, Setting],
    arrivals: tuple[float, float] = (0.003, 0.003),
) -> Tune:
    """Two full-range speakers in the open at five points of one place."""
    names = zip(("Left", "Right"), (-1, 1), arrivals, sines, strict=True)
    rows = tuple(
        Channel(name, "woofer", side, None, None, (arrival,), sine=sine)
        for name, side, arrival, sine in names
    )
    waves = np.exp(-2j * np.pi * np.array(arrivals)[:, np.newaxis] * grid())
    gains = np.broadcast_to(waves, (5, 2, grid().size)).astype(complex)
    near = (0, 1, 2, 3, 4)
    flat = np.zeros(27)
    plan = Plan(rows, (gains,), near, near, (flat,), (1.0,), Processor(Limits(), 8))
    return Tune(plan, settings, (), 0, ())


def heard_by_ears(tune: Tune) -> tuple[EarsFound, ...]:
    return drain(ear_rows(tune))


@pytest.mark.parametrize("louder", [0.0, 6.0, -9.0])
def test_low_voices_stand_where_the_law_of_sines_puts_them(louder: float) -> None:
    """Clark, Dutton and Vanderlyn, Proc. IEE 104 B (1957) 417: at 250 Hz a head is small against the wave."""
    seat = stereo.Seat(aside=0.0, depth=1.0, near=-0.4, far=0.6)
    found = heard_by_ears(pair((seat.near, seat.far), (Setting(), Setting(gain=louder))))
    assert [row.band for row in found] == list(EAR_BANDS)
    wanted = math.degrees(math.asin(stereo.image_sine(seat, louder)))
    assert found[0].angle == pytest.approx(wanted, abs=3)
    assert found[0].angle_spread == 0
    assert (found[0].left_late is None, found[0].right_louder is None) == (False, True)


def test_one_side_alone_is_heard_where_it_stands() -> None:
    for row in heard_by_ears(pair((-0.5, 0.5), (Setting(gain=-80.0), Setting()))):
        assert row.angle == pytest.approx(30, abs=2)
    for row in heard_by_ears(pair((-0.5, 0.5), (Setting(), Setting(gain=-80.0)))):
        assert row.angle == pytest.approx(-30, abs=2)


@pytest.mark.parametrize("degrees", [40.0, 60.0, 80.0, 90.0])
def test_a_speaker_far_aside_is_never_told_on_the_other_side(degrees: float) -> None:
    """One speaker alone on the right. At 1 kHz it is nearly half a cycle later at the far ear, or over it."""
    sine = math.sin(math.radians(degrees))
    for way in (-1, 1):
        settings = (Setting(gain=-80.0), Setting())
        found = heard_by_ears(pair((-sine, sine), settings if way > 0 else (settings[1], settings[0])))
        assert [row.angle is None for row in found] == [False, degrees > 65, True, False, False, False]
        assert all(row.angle is None or way * row.angle > 20 for row in found)
        assert [row.angle_spread is None for row in found] == [row.angle is None for row in found]


def test_a_point_that_is_not_told_leaves_no_spread() -> None:
    """One of five points hears the right one alone, softly: 45 degrees aside, 0.48 of a cycle at 1 kHz."""
    sine = math.sin(math.radians(45))
    tune = pair((-sine, sine), (Setting(), Setting()))
    gains = tune.plan.gains[0].copy()
    gains[4] *= np.array([[0.0], [0.1]])
    found = heard_by_ears(replace(tune, plan=replace(tune.plan, gains=(gains,))))
    assert found[2].angle is not None
    assert found[2].angle_spread is None
    assert found[0].angle_spread is not None


def test_ears_are_not_told_without_the_speakers_places() -> None:
    assert heard_by_ears(pair((-0.5, None), (Setting(), Setting()))) == ()


def test_points_that_differ_make_it_less_certain() -> None:
    tune = pair((-0.5, 0.5), (Setting(), Setting()))
    gains = tune.plan.gains[0].copy()
    gains[3:, 0] *= 0.5
    spread = [
        row.angle_spread for row in heard_by_ears(replace(tune, plan=replace(tune.plan, gains=(gains,))))
    ]
    assert min(spread) > 1


def test_group_delay_of_a_narrow_filter_is_told_where_it_stands() -> None:
    """Of an all-pass at 1 kHz: by the section's own derivative, against a published limit of 2 ms there."""
    tuned = pair((None, None), (Setting(all_pass=(1000.0, 8.0)), Setting()))
    left, right = delay_rows(tuned)
    late = float(
        group_delay(biquad("all-pass", 1000.0, q=8.0, sample_rate=48e3), np.array([left.frequency]))[0]
    )
    assert left.frequency == pytest.approx(1000, rel=0.03)
    assert left.late == pytest.approx(late, abs=1e-5)
    assert left.noticed == pytest.approx(2e-3, rel=0.03)
    assert right.late == pytest.approx(0, abs=1e-9)
    assert [note.about for note in delay_advice((left, right))] == ["filters"]
    told = delay_advice((left, replace(right, late=-2 * right.noticed)))
    way = f"{1e3 * left.late:.1f} ms later at"
    assert told[0].message.startswith(f"By group delay the left side comes {way}")
    assert f"comes {2e3 * right.noticed:.1f} ms earlier at" in told[1].message


def test_a_join_out_of_time_is_told_and_a_common_delay_is_not() -> None:
    """A tweeter 1.2 ms behind its woofer; both of them 7 ms behind the other side."""
    rows = (
        Channel("Low", "woofer", -1, None, 2000.0, (0.007,)),
        Channel("High", "tweeter", -1, 2000.0, None, (0.0082,)),
    )
    gains = np.ones((1, 2, grid().size), complex)
    plan = Plan(rows, (gains,), (0,), (0,), (np.zeros(27),), (1.0,), Processor(Limits(), 8))
    settings = (Setting(low_pass=2000.0), Setting(high_pass=2000.0))
    (apart,) = delay_rows(Tune(plan, settings, (), 0, ()))
    assert abs(apart.late) > 1.1e-3
    in_step = (replace(settings[0], delay=0.0012), settings[1])
    (together,) = delay_rows(Tune(plan, in_step, (), 0, ()))
    assert abs(together.late) < 0.3e-3
    assert delay_advice((together,)) == ()
    assert chains(in_step, grid()).shape == (2, grid().size)


def test_what_is_just_as_far_as_the_limit_is_not_told() -> None:
    assert delay_advice((DelayFound(side="left", frequency=1000.0, late=-0.002, noticed=0.002),)) == ()


def by_tape(**row: Any) -> Any:
    channels = [
        {"name": "Left", "part": "woofer", "side": "left", "distance": 0.9} | row,
        {"name": "Right", "part": "woofer", "side": "right", "distance": 1.4},
    ]
    return run_values(
        find_calculator("tune"), {"begin_with": "distances", "channels": channels, "tuned": 70.0}
    )


def test_bass_at_a_lower_volume_is_what_equal_loudness_asks_for() -> None:
    contour = find_calculator("loudness-contour")
    found = by_tape().result.quieter
    assert [row.listening for row in found] == [60, 50, 40]
    for row in found:
        inputs = {"tuned": 70.0, "listening": row.listening}
        assert row.knob == run_values(contour, inputs).result.knob


@pytest.mark.parametrize(
    ("row", "field"),
    [({"aside": 0.5, "distance": None}, "channels[0].distance"), ({"aside": 0.91}, "channels[0].aside")],
)
def test_a_place_beside_the_nose_needs_its_distance(row: dict[str, Any], field: str) -> None:
    (error,) = by_tape(**row).errors
    assert error.field == field
