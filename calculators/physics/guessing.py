"""How often guessing alone does as well as somebody who claims to hear."""

import math


def chance_of_guessing(right: int, rounds: int) -> float:
    """Share of tries in which guessing gets at least so many right, each round a coin toss.

    right: count, 0 to rounds. rounds: count, 1 or more. Raises ValueError outside those ranges.
    Source: binomial distribution, textbook.
    """
    if not (rounds >= 1 and 0 <= right <= rounds):
        raise ValueError("right must be a count from 0 to rounds, and rounds 1 or more")
    ways = sum(math.comb(rounds, count) for count in range(right, rounds + 1))
    return float(ways / 2**rounds)
