"""What a tune's sheet tells of its page's limits, and where a limit of its filters leaves it little to do."""

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from calculators.declaring import run_values
from calculators.declaring.working import drain
from calculators.physics import joins
from calculators.physics.speaker_system import Setting, chain, grid
from calculators.vocabulary import tune_advice, tune_limits, tune_sheet, tune_slopes, tune_stacked, tune_steps
from calculators.vocabulary.tune_plan import SEAT_NAMES, Joined, Plan, Tune
from tests.physics.test_filter_limits import by_scipy
from tests.stages.tuning.test_tune import ROWS, TUNE, demonstration, kept, plan_of, run


def two(*names: str) -> Plan:
    """Two channels of the cabin, flat at nine points."""
    cabin = plan_of(demonstration())
    rows = tuple(each for each in cabin.channels if each.name in names)
    gains = np.ones((9, 2, grid().size), complex)
    return replace(cabin, channels=rows, gains=(gains,), near=(0,), wide=tuple(range(9)))


def told(tune: Tune, words: str) -> list[tuple[str, bool]]:
    """What the sheet says with some words in it, and whether each is a danger."""
    notes = tune_advice.advice_on(tune, tune_sheet.seat_rows(tune, tune), False)
    return [(note.message, note.danger) for note in notes if words in note.message]


@pytest.mark.parametrize(
    ("quieter", "danger"), [(0.9, None), (1.0, None), (1.1, False), (2.9, False), (3.1, True)]
)
def test_a_side_under_the_other_is_told_and_a_danger_where_it_is_far_under(
    quieter: float, danger: bool | None
) -> None:
    """Two flat sides, one turned down as a whole: by so much they lie apart in every broad band."""
    plan = two("Left woofer", "Right woofer")
    settings = tuple(Setting(gain=-quieter * (each.side > 0)) for each in plan.channels)
    found = told(Tune(plan, settings, (), 1, ()), "apart in a broad band")
    assert [each for _, each in found] == ([] if danger is None else [danger])
    if danger is False:
        assert found[0][0].startswith(f"Left and right end {quieter:.1f} dB apart in a broad band, and")
    if danger:
        assert "should. Look for a speaker that is dead" in found[0][0]


@pytest.mark.parametrize(("best", "words"), [(-1.0, None), (-1.09, "Right tweeter and Right woofer 1.1 dB")])
def test_a_join_that_no_delay_mends_is_told(best: float, words: str | None) -> None:
    plan = two("Right woofer", "Right tweeter")
    join = Joined(0, 1, 3000.0, joins.Found(0.0, 1.0, best - 0.1, 2.0), best)
    names = [each.name for each in plan.channels]
    join = replace(join, low=names.index("Right woofer"), high=names.index("Right tweeter"))
    found = told(Tune(plan, (Setting(), Setting()), (join,), 1, ()), "whatever the delay")
    assert [f": {words}. Try another crossover" in each for each, _ in found] == ([True] if words else [])


@pytest.mark.parametrize(("gain", "words"), [(-12.0, None), (-13.9, "Right tweeter by 13.9 dB")])
def test_a_trim_that_points_to_a_wrong_gain_is_told(gain: float, words: str | None) -> None:
    plan = two("Right woofer", "Right tweeter")
    settings = tuple(Setting(gain=gain * (each.kind == "tweeter")) for each in plan.channels)
    found = told(Tune(plan, settings, (), 1, ()), "Trimmed by more than 12 dB")
    assert [f": {words}. Look for a gain" in each for each, _ in found] == ([True] if words else [])


@pytest.mark.parametrize(
    ("tweeter", "woofer", "words"), [(-14.0, -9.0, None), (0.0, -18.0, "Right woofer by 1")]
)
def test_filters_that_do_the_work_of_a_gain_count_as_one(
    tweeter: float, woofer: float, words: str | None
) -> None:
    """A woofer at a gain of 0 dB whose filters cut all of its band: the tweeter is not trimmed against it."""
    plan = two("Right woofer", "Right tweeter")
    cut = np.array([[490.0, woofer, 0.1]])  # Over five octaves hardly less anywhere.
    settings = tuple(
        Setting(gain=tweeter) if each.kind == "tweeter" else Setting(filters=cut) for each in plan.channels
    )
    found = told(Tune(plan, settings, (), 1, ()), "Trimmed by more than 12 dB")
    assert [f": {words}" in each for each, _ in found] == ([True] if words else [])
    by_name = {row.name: row.with_filters for row in tune_sheet.channel_rows(plan, settings, True)}
    own = (grid() > 90) & (grid() < 2700)
    assert by_name["Right woofer"] == pytest.approx(np.mean(by_scipy(cut, grid())[own]), abs=0.1)
    assert by_name["Right tweeter"] == tweeter


@pytest.mark.parametrize(("max_cut", "little"), [(0.5, True), (3.0, False)])
def test_a_limit_that_leaves_nothing_to_do_is_told_and_no_speaker_blamed(
    max_cut: float, little: bool
) -> None:
    """Three cuts as deep as allowed on one another, and a side 4 dB under the other."""
    plan = two("Left woofer", "Right woofer")
    limits = replace(plan.processor.limits, max_cut=max_cut)
    plan = replace(plan, processor=replace(plan.processor, limits=limits))
    cuts = np.array([[5080.0, -max_cut, 4.9]] * 3)
    tune = Tune(plan, (Setting(filters=cuts), Setting(gain=-4.0)), (), 3, ())
    assert bool(told(tune, "leaves the equaliser little to do")) == little
    assert bool(told(tune, "A cut this deep belongs")) != little
    ((side, danger),) = told(tune, "apart in a broad band")
    assert danger
    assert ("Allow a deeper cut first. If it stays, look for a speaker" in side) == little


def test_no_speaker_of_the_cabin_seems_to_have_had_another_slope_in() -> None:
    plan = plan_of(demonstration())
    assert tune_slopes.other_slopes(plan.channels, plan.gains[0], plan.wide) == ()


@pytest.mark.parametrize(("order", "inside", "told"), [(2, True, True), (4, True, False), (2, False, False)])
def test_a_high_pass_that_was_flatter_than_the_form_says_is_told(
    order: int, inside: bool, told: bool
) -> None:
    """A flat tweeter behind a Butterworth of 12 dB per octave: 12.3 dB too loud an octave under, and a little
    over its corner too."""
    s = 1j * grid() / 3000
    flat = s**2 / (s**2 + np.sqrt(2) * s + 1)
    heard = flat if order == 2 else chain(Setting(high_pass=3000.0), grid(), 48_000.0)
    rows = "\n".join(
        f"{f:.3f} {20 * np.log10(abs(g)) + 60:.3f} {np.degrees(np.angle(g)):.3f}"
        for f, g in zip(grid(), heard, strict=True)
        if f > 500
    )
    text = "\n".join(f"Left tweeter; seat 1; point {n}; arrival 2 ms; positive\n{rows}" for n in (1, 2, 3))
    advice = run(
        begin_with="measurements", channels=ROWS[:1], measurements=kept(text), filters=1.0,
        crossovers_in=inside,
    ).advice  # fmt: skip
    found = [each.message for each in advice if each.message.startswith("Falls too little")]
    levels = [
        re.search(r": Left tweeter by (\d+) dB under its high-pass of 3000 Hz. Was a flatter one", each)
        for each in found
    ]
    assert [each is not None and 10 <= int(each[1]) <= 13 for each in levels] == [True] * told


@pytest.mark.parametrize("end", ["high_pass", "low_pass"])
@pytest.mark.parametrize("order", [2, 4, 8])
def test_another_slope_than_the_form_takes_is_told(order: int, end: str) -> None:
    """A flat part behind Linkwitz-Riley of 12, 24 or 48 dB per octave at 3 kHz, of which the tune takes 24
    out: by definition 9.6 dB too much are left at 1585 Hz and 11.6 at 6310, and 21.6 too little at 1585, 25.4
    at 6310; the own band is off by up to 1.2 dB the other way."""
    ratio = grid() / 3000 if end == "high_pass" else 3000 / grid()
    flat = ratio**order / (1 + ratio**order) * (1 + ratio**4) / ratio**4
    plan = two("Left tweeter" if end == "high_pass" else "Left woofer", "Right tweeter")
    gains = np.ones((9, 2, grid().size), complex)
    gains[:, 0] = flat
    notes = tune_slopes.other_slopes(plan.channels, gains, plan.wide)
    place = "under its high-pass" if end == "high_pass" else "over its low-pass"
    named = re.compile(rf"beyond its crossover: Left \w+ by (\d+) dB {place} of 3000 Hz. Was a (\w+) one")
    told = [found.groups() for each in notes if (found := named.search(each.message))]
    wanted = {
        "high_pass": {2: [("11", "flatter")], 4: [], 8: [("22", "steeper")]},
        "low_pass": {2: [("13", "flatter")], 4: [], 8: [("25", "steeper")]},
    }
    assert told == wanted[end][order]
    # Over a low-pass a woofer may fall so by itself.
    asked = [each for each in notes if "or does a woofer fall so by itself?" in each.message]
    assert len(asked) == (order == 8 and end == "low_pass")


@pytest.mark.parametrize(
    ("begins", "falls", "inside", "told"),
    [
        (2100.0, 14.0, True, "Left tweeter at 2100 Hz, under its high-pass of 3000 Hz"),
        (1700.0, 20.0, True, "Left tweeter at 1700 Hz, under its high-pass of 3000 Hz"),
        (1680.0, 20.0, True, None),
        (1500.0, 24.6, True, None),
        (2100.0, 25.1, True, None),  # So faint that noise may hide the rest.
        (2100.0, 14.0, False, None),  # Measured without its crossover: there is no slope to be judged.
    ],
)
def test_a_curve_that_ends_before_its_slope_can_be_judged_is_told(
    begins: float, falls: float, inside: bool, told: str | None
) -> None:
    places = np.geomspace(begins, 18_000.0, 120)
    rows = "\n".join(
        f"{f:.2f} {70 - falls * (f < 3000) * np.log2(3000 / f) / np.log2(3000 / begins):.2f} 0"
        for f in places
    )
    text = f"Left tweeter; seat 1; point 1; arrival 2 ms; positive\n{rows}"
    advice = run(
        begin_with="measurements", channels=[ROWS[0] | {"lowest_safe": 2100.0}], measurements=kept(text),
        filters=1.0, crossovers_in=inside,
    ).advice  # fmt: skip
    notes = [each.message for each in advice if "Ends before its slope can be judged" in each.message]
    assert [told is not None and told in each for each in notes] == ([True] if told else [])
    assert all("with the crossover in, a tweeter at 1 V or less." in each for each in notes)


def test_a_woofer_that_ends_at_its_low_pass_is_told_so_and_a_subwoofer_is_not() -> None:
    text = "\n".join(
        f"{name}; seat 1; point 1; arrival 2 ms; positive\n"
        + "\n".join(f"{f:.2f} 70 0" for f in np.geomspace(20, top, 200))
        for name, top in (("Left woofer", 4300.0), ("Subwoofer", 120.0))
    )
    rows = [each for each in ROWS if each["name"] in ("Left woofer", "Subwoofer")]
    advice = run(begin_with="measurements", channels=rows, measurements=kept(text), filters=1.0).advice
    (note,) = [each.message for each in advice if "Ends before" in each.message]
    assert "Left woofer at 4300 Hz, over its low-pass of 3000 Hz. A crossover" in note


@pytest.mark.parametrize(
    ("inside", "safe", "begins", "whole"),
    [
        (False, 2500.0, 2500.0, True),
        (False, None, 3000.0, True),
        (False, 2500.0, 2700.0, False),
        (True, 2500.0, 2500.0, False),  # Behind its high-pass it may be swept from there, and is.
        (True, 2500.0, 2100.0, True),
    ],
)
def test_no_bare_tweeter_is_asked_for_under_where_it_is_safe_and_nothing_is_asked_for_louder(
    inside: bool, safe: float | None, begins: float, whole: bool
) -> None:
    places = np.geomspace(begins, 18_000.0, 120)
    rows = "\n".join(f"{frequency:.2f} 70 0" for frequency in places)
    file = kept(f"Left tweeter; seat 1; point 1; arrival 2 ms; positive\n{rows}")
    errors = run_values(
        TUNE,
        {
            "begin_with": "measurements", "channels": [ROWS[0] | {"lowest_safe": safe}], "measurements": file,
            "filters": 1.0, "crossovers_in": inside,
        },
    ).errors  # fmt: skip
    assert [each.field for each in errors] == ([] if whole else ["measurements"])
    for each in errors:
        assert "never louder" in each.message


@pytest.mark.parametrize("falls_at", [2600.0, 3500.0])
@pytest.mark.parametrize("safe", [None, 2500.0])
def test_tweeters_are_lifted_little_under_their_high_pass(safe: float | None, falls_at: float) -> None:
    """Tweeters that fall by themselves at their crossover, and 12 dB of boost to fill that: 3 dB at most
    are lifted under 3 kHz, and 1 dB under the lowest safe frequency, or under 0.9 of the crossover.

    By SciPy's response of the sheet's filters, with what rounding may add, and at every tone: skirts rise
    between the places that a fit looks at.
    """
    plan = plan_of(demonstration())
    falls = chain(Setting(high_pass=falls_at), grid())
    gains = plan.gains[0].copy()
    tweeters = [number for number, each in enumerate(plan.channels) if each.kind == "tweeter"]
    gains[:, tweeters] *= falls
    rows = tuple(
        replace(each, lowest_safe=safe) if each.kind == "tweeter" else each for each in plan.channels
    )
    processor = replace(plan.processor, limits=replace(plan.processor.limits, max_boost=12.0))
    tune = drain(tune_steps.tuned(replace(plan, channels=rows, gains=(gains,), processor=processor), 3))
    lifted = []
    for number in tweeters:
        filters = tune.settings[number].filters
        assert filters is not None
        tones = np.geomspace(1000.0, 12_000.0, 4000)
        level = by_scipy(filters, tones)
        lifted.append(np.max(level[tones > 3000.0]))
        assert np.min(filters[:, 0]) >= 3000.0
        assert np.max(level[tones < 3000.0]) <= 3.0 + tune_stacked.ROUNDED_BEYOND
        assert np.max(level[tones < (safe or 2670.0)]) <= 1.0 + tune_stacked.ROUNDED_BEYOND
    assert max(lifted) > 2.5 or falls_at < 3000.0, "over it they may, where something lacks"


@pytest.mark.parametrize(
    ("frequency", "gain", "unlike", "words"),
    [
        (1000.0, -7.0, 0.0, "by 5.3 dB at 1000 Hz, where 0.0 dB were without"),
        (1000.0, -2.9, 0.0, None),
        (8000.0, -7.0, 0.0, None),  # Over the hand's range.
        (1000.0, -7.0, 7.0, None),  # What mends a difference parts nothing.
        (1000.0, 2.0, 3.0, "by 4.6 dB at 1000 Hz, where 3.0 dB were without"),
        (1000.0, 0.9, 3.0, None),
    ],
)
def test_filters_that_part_left_from_right_at_a_note_are_told(
    frequency: float, gain: float, unlike: float, words: str | None
) -> None:
    """Two flat sides, the left louder in one third octave; a filter of the left about as wide does
    5.3 dB of 7 in the mean of the band, and 1.6 of 2."""
    plan = two("Left woofer", "Right woofer")
    left = next(number for number, each in enumerate(plan.channels) if each.side < 0)
    inside = np.abs(np.log2(grid() / 1000.0)) < 1 / 6
    gains = plan.gains[0].copy()
    gains[:, left, inside] *= 10 ** (unlike / 20)
    plan = replace(plan, gains=(gains,))
    settings = [Setting(), Setting()]
    settings[left] = Setting(filters=np.array([[frequency, gain, 4.3]]))
    bare, tuned = (Tune(plan, tuple(each), (), 1, ()) for each in ([Setting(), Setting()], settings))
    notes = [note.message for note in tune_limits.thirds_apart(bare, tuned)]
    assert [words is not None and words in each for each in notes] == ([True] if words else []), notes


@pytest.mark.parametrize(
    ("after", "words"),
    [
        (2.4, None),
        (2.6, "Hardly better than with levels set alone"),
        (3.4, "Hardly better"),
        (3.6, "Worse than with levels set alone"),
    ],
)
def test_a_sheet_that_is_worse_than_as_found_is_not_called_hardly_better(
    after: float, words: str | None
) -> None:
    plan = two("Left woofer", "Right woofer")
    tune = Tune(plan, (Setting(), Setting()), (), 1, ())
    rows = tuple(replace(row, before=3.0, after=after) for row in tune_sheet.seat_rows(tune, tune))
    notes = [
        note.message
        for note in tune_advice.advice_on(tune, rows, False)
        if "levels set alone" in note.message
    ]
    assert [words is not None and each.startswith(words) for each in notes] == ([True] if words else [])


@pytest.mark.parametrize(
    ("driver", "words"),
    [
        (
            0.8,
            "Hardly better than with levels set alone: Passenger, 2.1 dB before and 2.4 dB tuned. Where",
        ),
        (1.9, "Driver, 2.1 dB before and 1.9 dB tuned; Passenger, 2.1 dB before and 2.4 dB tuned. Look for"),
    ],
)
def test_a_seat_that_pays_for_the_other_is_named_and_blames_no_measurement_first(
    driver: float, words: str
) -> None:
    plan = two("Left woofer", "Right woofer")
    tune = Tune(plan, (Setting(), Setting()), (), 1, ())
    (row,) = tune_sheet.seat_rows(tune, tune)
    rows = (
        replace(row, before=2.1, after=driver),
        replace(row, name=SEAT_NAMES[1], before=2.1, after=2.4),
    )
    (told,) = (
        note.message
        for note in tune_advice.advice_on(tune, rows, False)
        if "levels set alone" in note.message
    )
    assert words in told


@pytest.mark.parametrize(("rows", "told"), [(ROWS, True), (ROWS[:4], False)])
def test_a_subwoofer_is_to_be_joined_where_there_is_one(rows: list[dict[str, Any]], told: bool) -> None:
    (words,) = (
        note.message
        for note in run(begin_with="distances", channels=rows).advice
        if note.message.startswith("By tape")
    )
    assert ("subwoofer" in words) is told
