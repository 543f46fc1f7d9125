"""Self-checks: the right answer is accepted, every planted mistake is refused, for whatever is drawn."""

import math
import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from calculators.declaring import InputError
from calculators.declaring.drawings import Dimension, Line
from calculators.declaring.quantities import LEVEL, TIME
from calculators.presenting.self_checks import question_html
from calculators.self_checks import BLOCKS, find_check, question
from calculators.self_checks.asking import MISS, Choice, Draw, Figure, Option, fitting, title
from calculators.stages import find_calculator
from tests.conftest import SOAK

DRAWS = max(SOAK, 1000) if SOAK else 30
STRIDE = 7_368_787
"""Between two seeds, so that all that is drawn changes."""

CHECKS = [(block, name) for block, entry in BLOCKS.items() for name in entry.checks]
every = pytest.mark.parametrize(("block", "name"), CHECKS, ids=[f"{block}-{name}" for block, name in CHECKS])


SHOWN = re.compile(r"(?P<left>[^;=]*[×÷√·^(][^;=]*) = (?P<right>−?\d+(?:\.\d+)?)")
UNITS = (1.0, 60.0, *(10.0**power for power in (-6, -3, 3, 6)))
"""What lies between two sides whose units differ."""
SIGNS = {
    "×": "*",
    "÷": "/",
    "−": "-",
    "√": "sqrt",
    "²": "**2",
    "^": "**",
    "·": "*",
    "log(": "log10(",
    "ln(": "log(",
}


def worked_out(shown: str) -> float:
    """The left side of an equation as it is shown, its units left out."""
    thousandths = shown.replace(" mΩ", " × 0.001 Ω")
    bare = re.sub(
        r"(?<=[\d²)]) ?(?:k|m|µ)?(?:Ω|Ah|dB|Hz|min|kg|[AFVWhms])(?:/(?:m|s²?))?²?(?![\w(])|°", "", thousandths
    )
    for sign, ours in SIGNS.items():
        bare = bare.replace(sign, ours)
    return float(eval(bare, {"__builtins__": {}, "sqrt": math.sqrt, "log10": math.log10, "log": math.log}))


def typed(asked: Figure, value: float) -> str:
    """A number as a reader types it, in the unit that is asked for."""
    unit = next(unit for unit in asked.quantity.units if unit.symbol == asked.unit)
    return f"{float(unit.to_shown(value)):.9f}"


def test_six_or_more_in_each_block_and_of_more_than_one_kind() -> None:
    for block, entry in BLOCKS.items():
        asked = [question(block, name, 1) for name in entry.checks]
        assert len(asked) >= 6, block
        kinds = [type(one) for one in asked]
        assert kinds.count(Figure) >= 2, block
        assert kinds.count(Choice) >= 1, block
    assert BLOCKS["safety"].days == 2, "safety is shown on two days"


@every
def test_right_is_accepted_and_a_planted_mistake_is_refused(block: str, name: str) -> None:
    drawn = [question(block, name, number * STRIDE) for number in range(DRAWS)]
    for asked in drawn:
        if isinstance(asked, Figure):
            assert asked.judge({"answer": typed(asked, asked.answer)}).right, asked
            for words, wrong in asked.mistakes.items():
                assert abs(wrong - asked.answer) >= MISS * asked.tolerance, (words, asked)
                verdict = asked.judge({"answer": typed(asked, wrong)})
                assert not verdict.right, (words, asked)
                assert verdict.words in asked.mistakes, (words, asked)
        else:
            assert asked.judge({"answer": "0", "reason": "0"}).right, asked
            for place in range(1, len(asked.options)):
                verdict = asked.judge({"answer": str(place), "reason": "0"})
                assert not verdict.right, asked
                assert verdict.words, asked
            for place in range(1, len(asked.reasons)):
                assert not asked.judge({"answer": "0", "reason": str(place)}).right, asked
    said = {(asked.asked, getattr(asked, "options", ())) for asked in drawn}
    assert len(said) >= 3, "it asks nearly the same each time"


@every
def test_the_working_s_own_figure_is_accepted_as_it_is_printed(block: str, name: str) -> None:
    for number in range(DRAWS):
        asked = question(block, name, number * STRIDE)
        if isinstance(asked, Figure):
            *_, printed = re.findall(r"[−]?\d+(?:\.\d+)?", re.sub(r"m/s²|\(.*?\)", "", asked.working))
            assert asked.judge({"answer": printed}).right, asked


@every
def test_the_working_shown_comes_to_what_it_says(block: str, name: str) -> None:
    """Its left side is worked out once more, but for powers of ten of units and minutes of hours."""
    for number in range(DRAWS):
        asked = question(block, name, number * STRIDE)
        shown = SHOWN.search(asked.working) if isinstance(asked, Figure) else None
        if not shown:
            continue
        left, right = worked_out(shown["left"]), float(shown["right"].replace("−", "-"))
        half = 0.5 * 10.0 ** -len(shown["right"].partition(".")[2])
        near = (abs(right / unit - left) <= half / unit + 0.005 * abs(left) for unit in UNITS)
        assert any(near), asked.working


@every
def test_no_hyphen_stands_for_a_minus(block: str, name: str) -> None:
    for number in range(DRAWS):
        asked = question(block, name, number * STRIDE)
        said = [asked.asked, asked.working, asked.hint]
        if isinstance(asked, Choice):
            said += [words for one in (*asked.options, *asked.reasons) for words in (one.words, one.why_not)]
        assert not [words for words in said if re.search(r"(?:^|[\s(])-\d", words)], asked


@pytest.mark.parametrize(
    ("block", "name"),
    [
        ("tuning", "delay_time"),
        ("tuning", "phase_time"),
        ("verification", "run_resistance"),
    ],
)
def test_who_types_the_base_unit_is_told_so(block: str, name: str) -> None:
    asked = question(block, name, 3)
    assert isinstance(asked, Figure)
    words = asked.judge({"answer": f"{asked.answer:.9f}"}).words
    assert words in {"Those are seconds.", "Those are ohms."}


def test_who_forgets_the_earth_s_pull_and_the_thousand_is_told_both() -> None:
    for number in range(DRAWS):
        asked = question("boxes", "crash_force", number * STRIDE)
        assert isinstance(asked, Figure)
        kilonewtons = asked.answer / 1e3 / 9.80665 * 1e3
        assert "9.81" in asked.judge({"answer": f"{kilonewtons:.0f}"}).words


def test_a_lone_point_is_the_decimal_point() -> None:
    asked = replace(FIGURE, answer=1.143e-3)
    assert asked.judge({"answer": "1.143"}).right
    assert asked.judge({"answer": "1.143 ms"}).right
    with pytest.raises(InputError):
        asked.judge({"answer": "1,143"})


def every_draw(block: str, name: str) -> Iterator[Choice]:
    for number in range(120):
        asked = find_check(block, name)(Draw(number))
        assert isinstance(asked, Choice)
        if asked.counts():
            yield asked


def test_no_proof_calls_wrong_what_it_asks_for_itself() -> None:
    """Supply, restart, heat: air before the key start, the charger off for all of it."""
    offered = [
        (asked.asked, {option.words for option in asked.options[1:]})
        for asked in every_draw("verification", "proof_order")
    ]
    assert any("restarts" in words for words, _ in offered)
    for words, wrong in offered:
        assert not ("restarts" in words and any("exhaust" in other for other in wrong))
        assert "Support charger off" not in wrong


def test_who_leaves_the_form_its_joints_is_told_to_type_none() -> None:
    """Empty the form counts 1 mΩ: at 20 A 20 mV more than is asked for."""
    check = fitting(find_check("electricity", "cable_drop"), 0)
    amperes = float(re.search(r"([\d.]+) A flow", check.asked)[1])  # type: ignore[index]
    verdict = check.judge({"answer": f"{check.answer + 0.001 * amperes:.6f}"})
    assert not verdict.right
    assert "type 0" in verdict.words


def test_what_clips_first_can_be_decided() -> None:
    seen = set()
    for asked in every_draw("signal", "first_to_clip"):
        source, takes, _, trim, boost = map(float, re.findall(r"(\d+(?:\.\d+)?) (?:V|dB)", asked.asked))
        at_input = 20 * math.log10(takes / source)
        margins = {"Processor input": at_input, "Processor output": at_input + trim - boost}
        first = min(margins, key=margins.__getitem__)
        assert asked.options[0].words == first
        assert ("It clips" in asked.reasons[0].words) == (margins[first] < 0)
        assert abs(margins[first]) >= 0.3
        seen.add((first, margins[first] < 0))
    assert len(seen) == 4


def test_a_leg_at_fault_is_told_apart_from_the_largest_number() -> None:
    for asked in every_draw("faults", "fault_record"):
        words = asked.reasons[1].why_not
        assert ("happens to be" in words) == asked.options[0].words.startswith("Feed leg")


def test_the_phone_s_charger_is_not_called_proven() -> None:
    for asked in every_draw("faults", "half_of_it"):
        assert all("charger" not in option.words for option in asked.options)


def test_the_line_that_forbids_to_play_is_the_tweeter_s_filter() -> None:
    lines = {asked.options[0].words for asked in every_draw("tuning", "line_first")}
    assert len(lines) == 4
    assert all(
        line.startswith("Left tweeter, ") and ("high-pass" in line or "crossovers" in line) for line in lines
    )


def test_a_delay_counts_as_different_past_half_a_sample() -> None:
    seen = set()
    for asked in every_draw("tuning", "within_a_step"):
        sheet, screen, sample = map(float, re.findall(r"(\d+\.\d+) ms", asked.asked))
        same = abs(sheet - screen) < sample / 2
        assert asked.options[0].words.startswith("No" if same else "Yes")
        seen.add(same)
    assert len(seen) == 2


def test_the_hint_for_a_slope_gives_its_answer() -> None:
    for number in range(DRAWS):
        asked = question("tuning", "slope_level", number * STRIDE)
        assert isinstance(asked, Figure)
        slope, octaves = (
            float(re.search(form, asked.asked)[1]) for form in (r"(\d+) dB an", r"([\d.]+) octave past")
        )  # type: ignore[index]
        assert "log(1 + r²)" in asked.hint
        assert "log(1 + r⁴)" in asked.hint
        assert asked.answer == pytest.approx(-20 * math.log10(1 + 2 ** (octaves * slope / 6)), abs=0.02)


@every
def test_each_says_its_title_its_hint_and_a_calculator_that_stands(block: str, name: str) -> None:
    check = find_check(block, name)
    asked = question(block, name, 5)
    assert 3 <= len(title(check)) <= 40, "give the title, its docstring, 3 to 40 letters"
    assert asked.hint
    assert asked.working
    if isinstance(asked, Figure):
        assert find_calculator(asked.calculator)
        assert len(asked.mistakes) >= 3, "name three wrong ways or more, with what each gives"
        assert asked.unit in {unit.symbol for unit in asked.quantity.units}
    else:
        assert len(asked.options) >= 2, "give two answers or more, the right one first"
        assert len(asked.reasons) >= 2, "give two reasons or more, the right one first"
        assert all(option.why_not for option in (*asked.options[1:], *asked.reasons[1:]))


@every
def test_the_right_one_does_not_always_stand_first(block: str, name: str) -> None:
    places = set()
    for number in range(60):
        asked = question(block, name, number * STRIDE)
        if isinstance(asked, Figure):
            return
        places.add([place for place, _ in asked.shown(asked.options)].index(0))
    assert len(places) >= 2


SEEN = {
    "The fuse is too far": r"After [5-8]\d\d mm of cable comes",
    "Nothing covers the plus": "plus post, which is bare",
    "The cable passes a bare": "through a bare hole in the sheet",
    "Nothing holds": "lies loose on the wing",
}
"""What makes each fault of a battery corner be seen, and heard by who does not see."""


def test_a_picture_shows_the_one_thing_that_is_asked_for() -> None:
    said = set()
    for asked in every_draw("safety", "battery_corner"):
        assert asked.picture
        told = asked.picture.spoken
        (right,) = (words for words in SEEN if asked.options[0].words.startswith(words))
        assert [words for words, form in SEEN.items() if re.search(form, told)] == [right]
        assert asked.options[0].words not in told
        fuse = re.search(r"(\d+) mm of cable to its fuse", asked.asked)
        assert fuse
        words = [shape.words for shape in asked.picture.shapes if isinstance(shape, Dimension)]
        assert words == [f"{fuse[1]} mm"]
        assert f"After {fuse[1]} mm" in told
        said.add(right)
    assert len(said) == 4
    for asked in every_draw("electricity", "crimp_sawn"):
        assert asked.picture
        letter = asked.options[0].words[-1]
        assert f"{letter}: barrel and strands are one solid face" in asked.picture.spoken
        assert [asked.options[place].words[-1] for place, _ in asked.shown(asked.options)] == [*"ABCD"]


@pytest.mark.parametrize(
    ("top", "bottom", "do"),
    [("round", "round", "may stay"), ("flat", "flat", "Turn it down"), ("flat", "round", "not sound")],
)
def test_a_trace_is_judged_by_its_tops_and_bottoms(top: str, bottom: str, do: str) -> None:
    shown = [
        asked
        for asked in every_draw("signal", "scope_trace")
        if asked.picture and f"tops are {top}, its bottoms {bottom}" in asked.picture.spoken
    ]
    assert shown
    for asked in shown:
        assert do in asked.options[0].words
        (trace,) = (
            shape for shape in asked.picture.shapes if isinstance(shape, Line) and shape.stroke == "feed"
        )  # type: ignore[union-attr]
        heights = [y for _, y in trace.places]
        for level, end in ((min(heights), top), (max(heights), bottom)):
            assert (heights.count(level) > 10) == (end == "flat")
        assert '<svg class="dc-draw"' in question_html(asked, "x")


FIGURE = Figure("?", 0.005, 1e-5, TIME, "ms", "Hint.", "5 ms.", {"Seconds.": 5.0, "Twice.": 0.01}, "delay")


def test_what_is_typed_is_read_with_comma_and_unit() -> None:
    assert FIGURE.judge({"answer": "5,0"}).right
    assert FIGURE.judge({"answer": "5000 µs"}).right
    assert FIGURE.judge({"answer": "10"}).words == "Twice."
    assert FIGURE.judge({"answer": "7"}).words == "Not that. Hint."
    for text in ("", "five", "5 V", "nan", "1e999"):
        with pytest.raises(InputError):
            FIGURE.judge({"answer": text})


def test_a_draw_whose_mistake_would_pass_is_drawn_again() -> None:
    def check(draw: Draw) -> Figure:
        near = draw.pick(2.9e-5, 3.1e-5)
        return replace(FIGURE, mistakes={"Near.": FIGURE.answer + near})

    made = fitting(check, 0)
    assert made.counts()
    with pytest.raises(ValueError, match="keeps its wrong ways apart"):
        fitting(lambda draw: replace(FIGURE, mistakes={"Near.": FIGURE.answer}), 0)


def test_a_choice_wants_its_reason_too() -> None:
    asked = Choice("?", (Option("a"), Option("b", "No.")), (Option("c"), Option("d", "Nor.")), 0, "So.")
    assert asked.judge({"answer": "0", "reason": "0"}).right
    assert asked.judge({"answer": "0", "reason": "1"}).words == "Nor."
    for given in ({}, {"answer": "0"}, {"answer": "7", "reason": "0"}, {"answer": "-1", "reason": "0"}):
        with pytest.raises(InputError):
            asked.judge(given)


# Worked out apart from the project: textbook formulas by hand.
KNOWN = [
    ("signal", "volts_for_power", "75 W into 4 Ω", 17.32),
    ("tuning", "phase_time", "At 80 Hz a subwoofer is 30°", 1.0417e-3),
    ("tuning", "phase_left", "meet at 3 kHz, and the tweeter is 0.02 ms late", 21.6),
    # 1.06 m at 343.2 m/s.
    ("tuning", "sheet_delay", "tweeter 86 cm, woofer 98 cm, subwoofer 192 cm", 3.09e-3),
    (
        "electricity",
        "hold_up_farads",
        "takes 10 W. The supply is gone for 2 s. The capacitor begins at 12 V",
        0.635,
    ),
    ("boxes", "crash_force", "12 kg is planned for 20 g", 2354.0),
]


@pytest.mark.parametrize(("block", "name", "words", "answer"), KNOWN, ids=[name for _, name, _, _ in KNOWN])
def test_against_answers_worked_out_by_hand(block: str, name: str, words: str, answer: float) -> None:
    drawn = (find_check(block, name)(Draw(number)) for number in range(3000))
    found = next(asked for asked in drawn if words in asked.asked)
    assert isinstance(found, Figure)
    assert found.answer == pytest.approx(answer, abs=found.tolerance)
    assert found.quantity is not LEVEL
