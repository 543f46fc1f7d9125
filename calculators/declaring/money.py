"""An amount of money: its digits for programs, its words for people."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Money:
    """``amount`` is plain decimal text with all decimals of its currency; ``words`` is how it is printed."""

    amount: str
    words: str
