"""Which first: faults before purchases, the worst complaint first, and what an upgrade needs counted in."""

import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator
from calculators.stages.customers.first_upgrade import FirstUpgrade
from calculators.vocabulary.complaints import COMPLAINTS
from calculators.vocabulary.upgrades import UPGRADES, hours_with_needs


def asked(*complaints: str) -> FirstUpgrade:
    values = dict(zip(("complaint", "second", "third"), complaints, strict=False))
    outcome = run_values(find_calculator("first-upgrade"), values)
    assert outcome.errors == ()
    assert isinstance(outcome.result, FirstUpgrade)
    return outcome.result


@pytest.mark.parametrize("name", COMPLAINTS)
def test_each_alone_gives_its_own_remedy_and_what_is_free(name: str) -> None:
    entry, answer = COMPLAINTS[name], asked(name)
    assert [(row.complaint, row.check) for row in answer.checks] == [(entry.words, entry.check)]
    assert len(answer.steps) == len(entry.remedies) + bool(entry.mend)
    if entry.mend:
        assert answer.first == f"Buy nothing yet: {entry.mend.what}"
        assert (answer.least_hours, answer.most_hours) == (entry.mend.least, entry.mend.most)
    else:
        best = entry.remedies[0]
        assert answer.first.startswith(UPGRADES[best].title)
        assert (answer.least_hours, answer.most_hours) == hours_with_needs(best)


def test_a_fault_comes_before_any_purchase() -> None:
    answer = asked("no-bass", "booms", "one-side-dead")
    assert answer.first == "Buy nothing yet: find the fault and mend it"
    assert [step.what for step in answer.steps][1].startswith("Subwoofer")


def test_silence_at_the_lights_sells_no_amplifier_and_no_processor() -> None:
    """A car without a processor has the maker's radio fall silent, and nothing bought changes that."""
    battery, part = asked("silent-at-lights").steps
    assert battery.what == "battery test, and a battery if it fails"
    assert part.what == "No gap at the lights, only if you have a sound processor, or will have one"
    assert (part.least_hours, part.most_hours) == (1, 1.5)


def test_bass_that_vanishes_is_measured_before_anything_is_bought() -> None:
    """What a radio turns down as it gets louder no fixed filter gives back, so none is sold for it."""
    measured, part = asked("bass-vanishes").steps
    assert measured.what.startswith("measure at two volumes whether the radio turns it down")
    assert part.what.startswith("Subwoofer")


def test_no_processor_is_sold_without_its_tuning() -> None:
    """By itself it does nothing: its page says so."""
    assert not [name for name, entry in COMPLAINTS.items() if "processor" in entry.remedies]


def test_what_does_not_wait_comes_first_and_is_told_as_a_danger() -> None:
    answer = asked("hisses", "water")
    assert answer.first == "Buy nothing yet: the fitter's work, free where they worked"
    assert [advice.danger for advice in answer.advice] == [True]
    assert asked("hisses").advice == ()


def test_what_helps_twice_comes_before_what_helps_once() -> None:
    """By hand: the first complaint counts 3, the last 1; what helps it most 2, what comes after 1."""
    answer = asked("hurts", "booms", "dull")
    worth = {"amplifier": 3 * 2, "tone": 3 * 1 + 2 * 2 + 1 * 2, "treatment": 2 * 1, "front-speakers": 1}
    order = sorted(worth, key=lambda name: -worth[name])
    assert [step.what.partition(", with what")[0] for step in answer.steps] == [
        UPGRADES[name].title for name in order
    ]
    assert answer.steps[0].why == "; ".join(COMPLAINTS[name].words for name in ("hurts", "booms", "dull"))


def test_the_same_twice_is_refused_at_its_field() -> None:
    calculator = find_calculator("first-upgrade")
    twice = run_values(calculator, {"complaint": "booms", "second": "booms"})
    assert [error.field for error in twice.errors] == ["second"]
    thrice = run_values(calculator, {"complaint": "booms", "second": "dull", "third": "dull"})
    assert [error.field for error in thrice.errors] == ["third"]
