"""Which upgrade first, if any: three complaints in, a list with reasons out."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Output,
    OutputBrief,
    OutputFlag,
    OutputRows,
    OutputText,
    calculator,
)
from calculators.declaring.quantities import HOURS
from calculators.vocabulary.complaints import COMPLAINTS, Complaint
from calculators.vocabulary.upgrades import UPGRADES, hours_with_needs, needed_first

NOTHING = "none"
WORDS = {name: complaint.words for name, complaint in COMPLAINTS.items()}
BY_PLACE = (3, 2, 1)
"""How much the first, second and third complaint count."""
HELPS = (2, 1)
"""How much the upgrade counts that helps a complaint most, and the one after it."""


@dataclass(frozen=True, kw_only=True)
class ToTry:
    """What costs nothing."""

    complaint: Annotated[str, OutputText("Because")]
    check: Annotated[str, OutputText("Try first, for nothing")]


@dataclass(frozen=True, kw_only=True)
class ToDo:
    """One thing to have done, with all that it needs."""

    what: Annotated[str, OutputText("Have done")]
    why: Annotated[str, OutputText("For")]
    least_hours: Annotated[float, Output("Hours, at least", HOURS, figures=3, trim=True)]
    most_hours: Annotated[float, Output("Hours, at most", HOURS, figures=3, trim=True)]


@dataclass(frozen=True, kw_only=True)
class FirstUpgrade:
    """What one fitter's experience would do, in order."""

    first: Annotated[str, OutputText("First", main=True, brief="short")]
    short: Annotated[str, OutputBrief("Begin with")]
    reason: Annotated[str, OutputText("Why")]
    buy: Annotated[bool, OutputFlag("Buy something now?", no="not yet")]
    least_hours: Annotated[float, Output("Work for that, at least", HOURS, figures=3, trim=True)]
    most_hours: Annotated[float, Output("At most", HOURS, figures=3, trim=True)]
    checks: Annotated[tuple[ToTry, ...], OutputRows("What costs nothing")]
    steps: Annotated[tuple[ToDo, ...], OutputRows("Then, in this order; stop when it is good enough")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Which first?",
    example={"complaint": "voices-from-door", "second": "road-loud", "third": "no-bass"},
    sources=("common-practice",),
)
def first_upgrade(
    complaint: Annotated[str, Choice("What bothers you most", WORDS)],
    second: Annotated[str, Choice("And then", {NOTHING: "nothing else", **WORDS})] = NOTHING,
    third: Annotated[str, Choice("And last", {NOTHING: "nothing else", **WORDS})] = NOTHING,
) -> FirstUpgrade:
    """What to have done first for up to three complaints, and whether to buy nothing yet.

    A fault is mended before anything is bought. Upgrades come by how much they help, the first complaint
    counting most, and of two that help alike the one with fewer hours, those of all it needs among
    them. What every job needs once, as survey, opening and closing, comes on top. One fitter's experience:
    advice, and no test.
    """
    named = [complaint, *(name for name in (second, third) if name != NOTHING)]
    if len(set(named)) < len(named):
        raise InputError("third" if third in named[:-1] else "second", "This one is in the list already.")
    said = [COMPLAINTS[name] for name in named]
    faults = tuple(_mended(said))
    upgrades = _upgraded(said)
    steps = (*faults, *upgrades.values())
    best = steps[0]
    advice = _soon(said)
    return FirstUpgrade(
        first=f"Buy nothing yet: {best.what}" if faults else best.what,
        short=_short(bool(faults), bool(advice), said, upgrades),
        reason=("a fault is mended before anything is bought" if faults else f"it does most for: {best.why}"),
        buy=not faults,
        least_hours=best.least_hours,
        most_hours=best.most_hours,
        checks=tuple(ToTry(complaint=entry.words, check=entry.check) for entry in said),
        steps=steps,
        advice=advice,
    )


def _short(faults: bool, soon: bool, said: Sequence[Complaint], upgrades: dict[str, ToDo]) -> str:
    """What comes first, in few signs: of an upgrade that needs others, the first of those."""
    if faults:
        return "call the shop" if soon else "mend first"
    name = next(iter(upgrades))
    return UPGRADES[name if name in _conditions(said) else [*needed_first(name), name][0]].short


def _conditions(said: Sequence[Complaint]) -> dict[str, str]:
    """For whom an upgrade is alone, by its name: those who have what it needs."""
    return {
        name: entry.only_if
        for entry in said
        if entry.only_if
        for _, name in zip(HELPS, entry.remedies, strict=False)
    }


def _mended(said: Sequence[Complaint]) -> Iterator[ToDo]:
    """The faults among the complaints, those that do not wait first."""
    faults = [(entry, entry.mend) for entry in said if entry.mend]
    for entry, mend in sorted(faults, key=lambda fault: not fault[1].soon):
        yield ToDo(what=mend.what, why=entry.words, least_hours=mend.least, most_hours=mend.most)


def _upgraded(said: Sequence[Complaint]) -> dict[str, ToDo]:
    """The upgrades that help, by their names, the one that helps most first."""
    worth: dict[str, int] = {}
    reasons: dict[str, list[str]] = {}
    only = _conditions(said)
    for weight, entry in zip(BY_PLACE, said, strict=False):
        for help_, name in zip(HELPS, entry.remedies, strict=False):
            worth[name] = worth.get(name, 0) + weight * help_
            reasons.setdefault(name, []).append(entry.words)
    steps = {name: _step(name, "; ".join(reasons[name]), only.get(name, "")) for name in worth}
    return {
        name: steps[name] for name in sorted(worth, key=lambda name: (-worth[name], steps[name].most_hours))
    }


def _step(name: str, why: str, only_if: str) -> ToDo:
    """One upgrade with all it needs; or by itself, where it is only for those who have what it needs."""
    upgrade = UPGRADES[name]
    if only_if:
        words = f"{upgrade.title}, only {only_if}"
        return ToDo(what=words, why=why, least_hours=upgrade.least, most_hours=upgrade.most)
    least, most = hours_with_needs(name)
    needs = [UPGRADES[need].title.lower() for need in needed_first(name)]
    with_needs = f", with what it needs first: {', '.join(needs)}" if needs else ""
    return ToDo(what=upgrade.title + with_needs, why=why, least_hours=least, most_hours=most)


def _soon(said: Sequence[Complaint]) -> tuple[Advice, ...]:
    if not any(entry.mend and entry.mend.soon for entry in said):
        return ()
    return (
        Advice(
            "complaint",
            "This one does not wait: call the shop today. With a brake, airbag or steering lamp on, do not "
            "drive on.",
            danger=True,
        ),
    )
