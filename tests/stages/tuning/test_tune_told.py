"""What a tune's sheet says of filters on one another, and of a step of delay that is too coarse."""

import re
from dataclasses import replace

import numpy as np
import pytest

from calculators.declaring import run_values
from calculators.physics import joins
from calculators.physics.speaker_system import Setting, band_centres, chain, grid
from calculators.vocabulary import tune_advice, tune_levels, tune_sheet
from calculators.vocabulary.tune_plan import Joined, Plan, Tune
from tests.stages.tuning.test_tune import ROWS, TUNE, demonstration, kept, plan_of, run, simulated_rows


def lines(plan: Plan, kind: str, peaks: list[tuple[float, float, float]]) -> list[str]:
    """What the sheet says that the filters of the first channel of a kind do."""
    first = next(number for number, each in enumerate(plan.channels) if each.kind == kind)
    settings = [Setting() for _ in plan.channels]
    settings[first] = Setting(filters=np.array(peaks))
    return [row.does for row in tune_sheet.filter_rows(plan, tuple(settings))]


@pytest.mark.parametrize(
    ("kind", "gain", "frequency", "words"),
    [
        ("subwoofer", -8.0, 104.0, "another low-pass is wanted in their place"),
        ("woofer", -8.0, 62.0, "a higher high-pass is wanted in their place"),
        ("woofer", -8.0, 500.0, "look at gain and place first"),
        ("woofer", 3.0, 500.0, "ask first what they fill"),
    ],
)
def test_a_line_of_the_sheet_says_that_it_stands_on_others(
    kind: str, gain: float, frequency: float, words: str
) -> None:
    plan = plan_of(demonstration())
    far = 40.0 if frequency > 100 else 2000.0
    *stacked, alone = lines(plan, kind, [(frequency, gain, 2.0)] * 3 + [(far, -3.0, 4.0)])
    way = "lifts" if gain > 0 else "takes down"
    for line in stacked:
        told = re.search(rf"; on 2 others of this channel: together {way} ([0-9.]+) dB at", line)
        assert told is not None
        # Where they do most lies between places of the grid: a twenty-fourth of an octave.
        assert float(told[1]) == pytest.approx(3 * abs(gain), abs=0.15)
        assert line.endswith(f"more than you allowed one: {words}")
    assert "; on " not in alone
    # Two that stay together within what one may do, and two that lie apart, are told nothing.
    for quiet in ([(frequency, gain / 3, 2.0)] * 2, [(frequency, gain, 4.0), (8 * frequency, gain, 4.0)]):
        assert not [line for line in lines(plan, kind, quiet) if "; on " in line]


def test_a_lift_is_told_with_the_power_it_asks_for_and_whether_a_fir_filter_is_in_it() -> None:
    """Ten times the power for 10 dB: definition."""
    plan = plan_of(demonstration())
    settings = (Setting(filters=np.array([[1000.0, 7.0, 2.0]])), *(Setting() for _ in plan.channels[1:]))
    fir = np.ones((len(plan.channels), grid().size), complex)
    fir[0] *= 10 ** (3 / 20)
    with_fir = replace(plan, fir=fir, channels=(replace(plan.channels[0], fir="a.txt"), *plan.channels[1:]))
    (told,) = (
        note.message
        for note in tune_advice.advice_on(Tune(with_fir, settings, (), 1, ()), (), False)
        if note.about == "max_boost"
    )
    assert told == (
        f"Filters of {plan.channels[0].name}, FIR included, lift 10.0 dB together: more than you "
        "allowed one. Ask first what it fills: the amplifier gives 10 times the power there."
    )


@pytest.mark.parametrize(
    ("allowed", "cut", "told"), [(3.0, 5.9, False), (3.0, 7.0, True), (12.0, 12.4, False), (12.0, 12.9, True)]
)
def test_a_cut_that_is_not_deep_is_not_sent_to_the_gain(allowed: float, cut: float, told: bool) -> None:
    """By the hand's own limit of 3 dB filters may cut 6 dB together."""
    plan = plan_of(demonstration())
    limits = replace(plan.processor.limits, max_cut=allowed)
    plan = replace(plan, processor=replace(plan.processor, limits=limits))
    settings = (Setting(filters=np.array([[1000.0, -cut, 2.0]])), *(Setting() for _ in plan.channels[1:]))
    notes = tune_advice.advice_on(Tune(plan, settings, (), 1, ()), (), False)
    assert [note.message.startswith("Filters of") for note in notes if note.about == "max_cut"] == [
        True
    ] * told


@pytest.mark.parametrize(("step", "unlike", "coarse"), [(2e-4, 0, True), (2e-4, 1, False)])
def test_a_join_that_a_finer_step_would_mend_is_no_matter_of_the_crossover(
    step: float, unlike: int, coarse: bool
) -> None:
    """0.2 ms at 3 kHz are 0.6 of a cycle, 216 degrees: definition.

    Two flat parts, 120 degrees apart at all five points; and apart by so much at four of them alone, which no
    delay brings into step with the first.
    """
    cabin = plan_of(demonstration())
    rows = tuple(each for each in cabin.channels if each.name in ("Right woofer", "Right tweeter"))
    names = [each.name for each in rows]
    low, high = names.index("Right woofer"), names.index("Right tweeter")
    gains = np.ones((5, 2, grid().size), complex)
    gains[unlike:, high] = np.exp(-2j * np.pi * grid() / 9000)
    plan = replace(
        cabin,
        channels=rows,
        gains=(gains,),
        near=tuple(range(5)),
        wide=tuple(range(5)),
        processor=replace(cabin.processor, delay_step=step),
    )
    join = Joined(low, high, 3000.0, joins.Found(0.0, 1.0, -1.25, -76.0), -0.66)
    notes = tune_advice.advice_on(Tune(plan, (Setting(), Setting()), (join,), 1, ()), (), False)
    told = {note.about: note.message for note in notes if " meet" in note.message}
    if coarse:
        start = "A step of delay of 0.2 ms is 216° where Right tweeter and Right woofer meet, at 3000 Hz"
        assert told["step"].startswith(start)
        assert "never under the lowest safe frequency" in told["step"]
        assert "channels" not in told
    else:
        assert told == {
            "channels": "No delay brings into step, where they meet: Right tweeter and Right woofer. "
            "Try another crossover."
        }


@pytest.mark.parametrize(
    ("late", "words"),
    [
        (0.04e-3, "Right tweeter and Right woofer by 43° (0.04 ms more on Right woofer)"),
        (-0.04e-3, "Right tweeter and Right woofer by 43° (0.04 ms more on Right tweeter)"),
        (0.02e-3, None),
    ],
)
def test_a_join_left_out_of_step_for_another_s_sake_blames_no_crossover(
    late: float, words: str | None
) -> None:
    """Two flat parts, one so much later at all points: 0.04 ms at 3 kHz are 43 degrees, 0.02 ms 22."""
    cabin = plan_of(demonstration())
    rows = tuple(each for each in cabin.channels if each.name in ("Right woofer", "Right tweeter"))
    names = [each.name for each in rows]
    low, high = names.index("Right woofer"), names.index("Right tweeter")
    gains = np.ones((5, 2, grid().size), complex)
    gains[:, high] = np.exp(-2j * np.pi * grid() * late)
    plan = replace(
        cabin, channels=rows, gains=(gains,), near=tuple(range(5)), wide=tuple(range(5)),
        processor=replace(cabin.processor, delay_step=1e-5),
    )  # fmt: skip
    join = Joined(low, high, 3000.0, joins.Found(0.0, 1.0, -0.3, -360 * 3000 * late), 0.0)
    tune = Tune(plan, (Setting(), Setting()), (join,), 1, ())
    notes = [note.message for note in tune_advice.advice_on(tune, (), False)]
    assert not [each for each in notes if "Try another crossover" in each]
    found = [each for each in notes if each.startswith("Left out of step")]
    assert [f"mend it: {words}. Left and right" in each for each in found] == ([True] if words else [])


@pytest.mark.parametrize(("step", "degrees"), [(2e-5, None), (3e-5, 32), (1e-4, 108), (1e-3, 1080)])
def test_delays_by_tape_in_coarse_steps_blame_the_step(step: float, degrees: int | None) -> None:
    """A cycle of 3 kHz is 0.333 ms: definition."""
    notes = {
        note.about: note.message for note in run(begin_with="distances", channels=ROWS, step=step).advice
    }
    if degrees is None:
        assert "step" not in notes
    else:
        start = f"A step of delay of {1000 * step:g} ms is {degrees}° where Left tweeter and Left woofer meet"
        assert notes["step"].startswith(start)


def test_what_a_simulated_cabin_wants_is_never_taken_for_a_vehicles() -> None:
    """Its own measurements, chosen as a file, are the reader's word."""
    shown = run(begin_with="simulated", filters=1.0)
    pieces = [piece.decode() for piece in shown.simulation.pieces()]
    own = kept("".join(piece for piece in pieces if "seat 2" not in piece[:80]))
    typed = run(begin_with="measurements", measurements=own, channels=simulated_rows(), filters=1.0)
    assert shown.settings.startswith("Simulated: Left tweeter: ")
    assert typed.settings.startswith("Left tweeter: ")


def test_a_filter_over_a_band_in_which_points_differ_says_so() -> None:
    """Points 6 dB apart either way at 630 Hz; filters that have half their gain there, and that have less."""
    cabin = plan_of(demonstration())
    gains = np.ones((4, len(cabin.channels), grid().size), complex)
    inside = (grid() > 561) & (grid() < 707)
    for point, gain in enumerate((6.0, -6.0, 6.0, -6.0)):
        gains[point][:, inside] *= 10 ** (gain / 20)
    plan = replace(cabin, gains=(gains,), near=(0, 1), wide=(0, 1, 2, 3))
    over, beside = lines(plan, "woofer", [(746.0, -4.0, 2.4), (900.0, -4.0, 4.0)])
    assert "; at 630 Hz points differ: there it follows their mean, and is not to be trusted" in over
    assert "differ" not in beside


@pytest.mark.parametrize(("frequency", "q"), [(358.0, 3.4), (10_100.0, 0.5), (16_600.0, 1.9)])
def test_half_a_filters_gain_is_where_the_sheet_says(frequency: float, q: float) -> None:
    """By the filter's own response at 48 kHz."""
    (line,) = lines(plan_of(demonstration()), "tweeter", [(frequency, -2.2, q)])
    ends = re.search(r"half of it at ([0-9.]+) (k?)Hz and ([0-9.]+) (k?)Hz", line)
    assert ends is not None
    for number, kilo in ((ends[1], ends[2]), (ends[3], ends[4])):
        at = np.array([float(number) * (1000 if kilo else 1)])
        left = 20 * np.log10(np.abs(chain(Setting(filters=np.array([[frequency, -2.2, q]])), at, 48e3)))
        assert float(left[0]) == pytest.approx(-1.1, abs=0.05)


def test_a_tune_in_coarse_steps_blames_the_step() -> None:
    found = run(begin_with="simulated", filters=2.0, step=2e-4)
    assert max(abs(join.phase) for join in found.joins) > tune_advice.STILL_APART
    told = [note.message for note in found.advice]
    assert [each for each in told if each.startswith("A step of delay of 0.2 ms is")]
    assert not [each for each in told if "Try another crossover" in each]


@pytest.mark.parametrize(("share", "said"), [(0.5, ""), (0.7, " (the driver's counts 70%)")])
def test_why_of_two_seats_is_the_mean_by_which_the_delays_were_set(share: float, said: str) -> None:
    """By tape a channel waits as much less as it comes later."""
    other = (1.38, 1.47, 0.86, 0.98, 1.94)
    rows = [row | {"distance_2": far} for row, far in zip(ROWS, other, strict=True)]
    found = run(begin_with="distances", channels=rows, seats="two", driver_share=share)
    longest = max(each.delay for each in found.channels)
    for each in found.channels:
        late, _, rest = each.reason.partition(", mean of both heads")
        after = re.fullmatch(r"arrives (?:first|with .+|(\d+\.\d\d) ms after .+)", late)
        assert after, late
        assert each.delay == pytest.approx(longest - 1e-3 * float(after[1] or 0), abs=1.1e-5)
        assert rest.startswith(f"{said}, by tape;")


def test_a_speaker_that_comes_with_the_first_is_not_told_to_be_late() -> None:
    """The usual two seats: what is nearer one head is as much farther from the other."""
    other = (1.38, 1.47, 0.86, 0.98, 1.94)
    rows = [row | {"distance_2": far} for row, far in zip(ROWS, other, strict=True)]
    found = run(begin_with="distances", channels=rows, seats="two")
    comes = {each.name: each.reason.partition(",")[0] for each in found.channels}
    assert comes["Left tweeter"] == "arrives first"
    assert comes["Right tweeter"] == "arrives with Left tweeter"
    assert "0.00 ms" not in " ".join(comes.values())


FOUR = ("Left tweeter", "Left woofer", "Right tweeter", "Right woofer", "Front subwoofer")


@pytest.mark.parametrize(
    ("softer", "told", "danger"),
    [
        ({}, None, False),
        ({"Left tweeter": 5.0, "Right woofer": 5.0}, None, False),
        ({"Right woofer": 6.5}, "Right woofer 6 dB softer than Left woofer", False),
        ({"Left tweeter": 40.0}, "Left tweeter 40 dB softer than Right tweeter", True),
        ({"Left tweeter": -30.0}, "Right tweeter 30 dB softer than Left tweeter", True),
        ({"Left woofer": 60.0}, "Left woofer 60 dB softer than Right woofer", True),
        ({"Front subwoofer": 13.0}, "Front subwoofer 14 dB softer than Left tweeter", True),
        # Both of a pair at another volume: no side shows it.
        (
            {"Left tweeter": 20.0, "Right tweeter": 20.5},
            "Right tweeter 20 dB softer than Left woofer",
            True,
        ),
        # A pair that is a little apart hides no other.
        (
            {"Left tweeter": 20.0, "Right tweeter": 27.0},
            "Right tweeter 7 dB softer than Left tweeter and Right tweeter 27 dB softer than Left woofer",
            True,
        ),
        (
            {"Left tweeter": 20.0, "Right woofer": 7.0},
            "Left tweeter 20 dB softer than Right tweeter and Right woofer 7 dB softer than Left woofer",
            True,
        ),
    ],
)
def test_a_channel_measured_at_another_volume_is_told_before_the_sheet_makes_up_for_it(
    softer: dict[str, float], told: str | None, danger: bool
) -> None:
    """Each lies on its part of the target but for what it was measured softer, and its crossover's ends."""
    cabin = plan_of(demonstration())
    rows = tuple(each for each in cabin.channels if each.name in FOUR)
    aim = cabin.targets[0]
    gains = np.empty((1, len(rows), grid().size), complex)
    for place, each in enumerate(rows):
        alike = sum(other.kind == each.kind for other in rows)
        level = np.interp(np.log(grid()), np.log(band_centres()), aim) - 10 * np.log10(alike)
        gains[:, place] = 10 ** ((level - softer.get(each.name, 0.0)) / 20)
    plan = replace(cabin, channels=rows, gains=(gains,), near=(0,), wide=(0,))
    notes = tune_advice.level_advice(tune_levels.levels_alone(plan))
    assert [note.danger for note in notes] == ([] if told is None else [danger])
    for note in notes:
        assert f"Measured {told}, each against its part of the target." in note.message
        assert ("type nothing in" in note.message) is danger


def test_a_tweeter_measured_forty_decibels_too_soft_makes_its_whole_tune_a_danger() -> None:
    shown = run(begin_with="simulated", filters=1.0)
    curves = "".join(piece.decode() for piece in shown.simulation.pieces())
    lines, inside = [], False
    for line in curves.splitlines():
        words = ";" in line
        inside = line.startswith("Left tweeter") if words else inside
        if words:
            driver = "seat 1" in line
        if driver:
            frequency, *rest = line.split()
            soft = not words and inside
            lines.append(f"{frequency} {float(rest[0]) - 40:.3f} {rest[1]}" if soft else line)
    file = kept("\n".join(lines))
    found = run(begin_with="measurements", measurements=file, channels=simulated_rows(), filters=1.0)
    assert found.advice[0].danger
    assert "Left tweeter 42 dB softer than Right tweeter" in found.advice[0].message


@pytest.mark.parametrize(
    ("bass", "woofers", "told"),
    [
        (80.0, 80.0, None),
        (63.0, 100.0, None),  # Two thirds of an octave.
        (120.0, 60.0, None),  # Over one another there is no hole.
        (40.0, None, None),
        (
            40.0,
            80.0,
            "Subwoofer ends at 40 Hz and Left woofer begins at 80 Hz and Right woofer begins at 80 Hz",
        ),
    ],
)
def test_a_hole_between_subwoofer_and_woofers_is_told(
    bass: float, woofers: float | None, told: str | None
) -> None:
    rows = [row | {"high_pass": woofers} if row["part"] == "woofer" else row for row in ROWS]
    rows = [row | {"low_pass": bass} if row["part"] == "subwoofer" else row for row in rows]
    notes = run(begin_with="distances", channels=rows).advice
    holes = [note.message for note in notes if "nobody plays between" in note.message]
    assert [each.split(":")[0] for each in holes] == ([told] if told else [])


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        # Both woofers play under the centre.
        ([("L", "left", 80, None), ("R", "right", 80, None), ("C", "both", 250, None)], None),
        # A midbass on neither side plays for both.
        ([("M", "both", 80, 300), ("L", "left", 300, None), ("R", "right", 300, None)], None),
        (
            [("M", "both", 200, 300), ("L", "left", 300, None), ("R", "right", 300, None)],
            "Sub ends at 80 Hz and M begins at 200 Hz",
        ),
        (
            [("L", "left", 80, None), ("R", "right", 200, None), ("C", "both", 250, None)],
            "Sub ends at 80 Hz and R begins at 200 Hz",
        ),
        ([("M", "both", 200, None)], "Sub ends at 80 Hz and M begins at 200 Hz"),
    ],
)
def test_a_woofer_on_neither_side_plays_for_both(
    rows: list[tuple[str, str, float, float | None]], told: str | None
) -> None:
    woofers = [(name, "woofer", side, float(low), high) for name, side, low, high in rows]
    assert gaps((*woofers, ("Sub", "subwoofer", "both", None, 80.0))) == ([told] if told else [])


def gaps(rows: tuple[tuple[str, str, str, float | None, float | None], ...]) -> list[str]:
    """Holes that are told for channels of a name, part, side, high-pass and low-pass (Hz)."""
    names = ("name", "part", "side", "high_pass", "low_pass", "distance")
    channels = [dict(zip(names, (*row, 1.0), strict=True)) for row in rows]
    notes = run(begin_with="distances", channels=channels).advice
    return [note.message.split(":")[0] for note in notes if "nobody plays between" in note.message]


@pytest.mark.parametrize(("more", "told"), [(-8.9, "Right tweeter is 8.9 dB under Right woofer"),
    (20.0, "Right woofer is 20.0 dB under Right tweeter"), (-5.9, None), (5.9, None)])  # fmt: skip
def test_parts_far_apart_in_level_where_they_meet_are_told(more: float, told: str | None) -> None:
    """Two flat parts, one of them lifted or cut where they meet: by so much they lie apart, by definition."""
    cabin = plan_of(demonstration())
    rows = tuple(each for each in cabin.channels if each.name in ("Right woofer", "Right tweeter"))
    names = [each.name for each in rows]
    low, high = names.index("Right woofer"), names.index("Right tweeter")
    gains = np.ones((5, 2, grid().size), complex)
    gains[:, high, np.abs(np.log2(grid() / 3000)) < 0.25] *= 10 ** (more / 20)
    plan = replace(cabin, channels=rows, gains=(gains,), near=tuple(range(5)), wide=tuple(range(5)))
    join = Joined(low, high, 3000.0, joins.Found(0.0, 1.0, -0.1, 2.0), -0.1)
    tune = Tune(plan, (Setting(), Setting()), (join,), 1, ())
    (row,) = tune_sheet.join_rows(tune)
    assert row.high_over_low == pytest.approx(more, abs=1e-5)
    notes = [note.message for note in tune_advice.advice_on(tune, (), False)]
    found = [each for each in notes if each.startswith("Apart where they meet, filters or not: ")]
    assert [told is not None and f"{told} at 3000 Hz." in each for each in found] == ([True] if told else [])
    assert all(
        "Try another crossover, and measure again: fewer filters seldom mend" in each for each in found
    )


@pytest.mark.parametrize("moved", [-8.0, -5.0])
def test_a_join_that_filters_moved_is_told_apart_from_one_that_no_filter_mends(moved: float) -> None:
    """Two flat parts, the high one taken down where they meet by a wide filter."""
    cabin = plan_of(demonstration())
    rows = tuple(each for each in cabin.channels if each.name in ("Right woofer", "Right tweeter"))
    names = [each.name for each in rows]
    low, high = names.index("Right woofer"), names.index("Right tweeter")
    gains = np.ones((5, 2, grid().size), complex)
    plan = replace(cabin, channels=rows, gains=(gains,), near=tuple(range(5)), wide=tuple(range(5)))
    join = Joined(low, high, 3000.0, joins.Found(0.0, 1.0, -0.1, 2.0), -0.1)
    settings = [Setting(), Setting()]
    settings[high] = Setting(filters=np.array([[3000.0, moved, 0.5]]))
    notes = tune_advice.advice_on(Tune(plan, tuple(settings), (join,), 1, ()), (), False)
    found = [each.message for each in notes if each.message.startswith("Apart where they meet")]
    assert ["by their filters" in each and "try fewer filters" in each for each in found] == (
        [True] if moved < -6 else []
    )


@pytest.mark.parametrize(("over", "told"), [(8.9, False), (9.1, True), (-2.9, False), (-3.1, True)])
@pytest.mark.parametrize("middle", ["tweeter", "woofer"])
def test_a_part_in_the_middle_is_three_decibels_over_each_side_by_rights(
    over: float, told: bool, middle: str
) -> None:
    """It carries what left and right do together: by power twice of each."""
    cabin = plan_of(demonstration())
    alone = next(each for each in cabin.channels if each.name == f"Left {middle}")
    sides = [each for each in cabin.channels if each.kind not in (middle, "subwoofer")]
    rows = (replace(alone, name="Middle", side=0), *sides)
    gains = np.ones((5, 3, grid().size), complex)
    gains[:, 0] *= 10 ** (over / 20)
    plan = replace(cabin, channels=rows, gains=(gains,), near=tuple(range(5)), wide=tuple(range(5)))
    ends = [(1, 0), (2, 0)] if middle == "tweeter" else [(0, 1), (0, 2)]
    met = tuple(Joined(*each, 3000.0, joins.Found(0.0, 1.0, -0.1, 2.0), -0.1) for each in ends)
    notes = tune_advice.advice_on(Tune(plan, (Setting(),) * 3, met, 1, ()), (), False)
    found = [each.message for each in notes if each.message.startswith("Apart where they meet")]
    assert len(found) == told


@pytest.mark.parametrize(
    ("low_pass", "side", "words"),
    [
        (3000.0, "left", None),
        (1000.0, "left", " and Wide ends at 1000 Hz: too far apart"),
        (
            None,
            "left",
            ", without a low-pass: Wide. There they stand half a cycle apart",
        ),
        (None, "both", ", without a low-pass: Wide."),
        (None, "right", None),
    ],
)
def test_a_tweeter_over_a_woofer_that_goes_on_is_told_for_no_delay_joins_them(
    low_pass: float | None, side: str, words: str | None
) -> None:
    """A Linkwitz-Riley high-pass of 24 dB per octave turns by half a cycle at its own frequency."""
    corner = chain(Setting(high_pass=3000.0), np.array([3000.0]))
    assert abs(np.angle(corner[0], deg=True)) == pytest.approx(180)
    rows = [ROWS[0], ROWS[1] | {"name": "Wide", "low_pass": low_pass, "side": side}]
    found = run(begin_with="distances", channels=rows)
    told = [
        each.message for each in found.advice if each.message.startswith("Left tweeter begins at 3000 Hz")
    ]
    assert [words is not None and words in each for each in told] == ([True] if words else [])


@pytest.mark.parametrize(
    ("levels", "words"),
    [
        ((60.0, -140.0), None),
        ((60.0, -141.0), "its levels span 201 dB, and 200 dB are the most that a microphone hears"),
        ((-301.0, -290.0), "its levels reach 301 dB, and 300 dB are the most"),
    ],
)
def test_levels_that_are_no_measurement_s_are_told_with_their_limit(
    levels: tuple[float, float], words: str | None
) -> None:
    """A curve that was computed, under a high-pass."""
    places = np.geomspace(500.0, 20_000.0, 100)
    rows = "\n".join(f"{f:.1f} {levels[0 if f > 600 else 1]} 0" for f in places)
    file = kept(f"Left tweeter; seat 1; point 1; arrival 2 ms; positive\n{rows}")
    inputs = {"begin_with": "measurements", "channels": [ROWS[0]], "measurements": file, "filters": 1.0}
    errors = run_values(TUNE, inputs).errors
    assert [words is not None and words in each.message for each in errors] == ([True] if words else [])
