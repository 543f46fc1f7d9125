"""A blind test: how often guessing alone would do as well."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, InputError, Number, Output, OutputText, calculator
from calculators.declaring.quantities import COUNT, RATIO
from calculators.physics.guessing import chance_of_guessing

ENOUGH_ROUNDS, SELDOM = 10, 0.05


@dataclass(frozen=True, kw_only=True)
class BlindTest:
    """The chance of guessing, as a number and in words."""

    chance: Annotated[
        float, Output("Guessing does that or better in", RATIO, show="%", figures=3, lowest=1e-6)
    ]
    words: Annotated[str, OutputText("In words", main=True, brief="chance")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Blind test: was it guessing?",
    example={"right": 8.0, "rounds": 10.0},
    sources=("binomial",),
)
def blind_test(
    right: Annotated[float, Number("Right answers", COUNT, 0, 200, whole=True)],
    rounds: Annotated[float, Number("Rounds", COUNT, 1, 200, whole=True)],
) -> BlindTest:
    """Chance of at least so many right answers by guessing alone, each round a coin toss.

    Under one in twenty is usually taken for "you can hear it"; as few right answers as that are told, too.
    Decide how many rounds before you begin:
    whoever stops when it looks good will find something in any coin.
    """
    if right > rounds:
        raise InputError("right", "There can be no more right answers than rounds.")
    chance = chance_of_guessing(int(right), int(rounds))
    advice: tuple[Advice, ...] = ()
    if rounds < ENOUGH_ROUNDS:
        advice = (Advice("rounds", "Ten rounds or more: fewer tell little."),)
    return BlindTest(chance=chance, words=_words(int(right), int(rounds), chance), advice=advice)


def _words(right: int, rounds: int, chance: float) -> str:
    score = f"{right} of {rounds} right"
    if chance_of_guessing(rounds - right, rounds) < SELDOM:
        return f"{score}: so many wrong ones are seldom luck; perhaps A and B were mixed up"
    if chance > 0.4:
        return f"{score}: guessing does as well"
    times = round(1 / chance)
    tries = f"once in {times} tries" if times < 10**6 else "less than once in a million tries"
    verdict = ", so you hear it" if chance < SELDOM else ", so it may be luck"
    return f"{score}: guessing does that about {tries}{verdict}"
