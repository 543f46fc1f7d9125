"""What is wrong with the runs of a wiring schedule, in words, with their figures."""

from collections.abc import Sequence

from calculators.declaring import Advice
from calculators.vocabulary.cabling import sheath_advice
from calculators.vocabulary.names import name_key
from calculators.vocabulary.wiring_lines import RunScheduled
from calculators.vocabulary.wiring_plan import (
    BURNS,
    NO_AIR,
    NO_SIZE,
    ONE_END,
    PAST_SENSOR,
    UNPLANNED,
    Plan,
    Run,
)

WRONG = {
    "too hot": "it carries {current:.4g} A and may carry {carries:.3g} A",
    "too thin for its fuse": "it may carry {carries:.3g} A and stands behind {guard:.4g} A of fuse",
    "thinner than its feed": "a ground is as thick as the feeds whose current it brings home",
    "hands on more than planned": "planned for {typed:.4g} A, it hands on {current:.4g} A",
    "carries more than planned": "planned for {typed:.4g} A, it carries {current:.4g} A",
    NO_SIZE: "this table has none for its current, its fuse and its drop",
    "over 2 % of the speaker": "it loses more than that",
    "type its current": "the root of watts over ohms, for nothing else guards it from heat",
    ONE_END: "{end} is a source too: chafed, this run is fed from there with nothing to open. It takes a "
    "fuse within 300 mm of both ends, neither above what the cable carries; this schedule plans one, at its "
    "start, and cannot pass it. If {end} is no battery, give it another name",
    NO_AIR: "it starts at {start}. Under a bonnet 85 °C unless you logged less, and a sheath that bears it; "
    "40 °C only where it lies under carpet all the way",
    PAST_SENSOR: "a ground on the battery's post goes round its current sensor, and the vehicle never "
    "charges for it. End it on the body side of the sensor",
}

REMEDY = (
    "Fit a larger cable, or one whose sheath bears more heat, or take a cooler route; never a larger fuse."
)


SOUND = {"passes", "by the drawing"}


def faults(plan: Plan, lines: Sequence[RunScheduled]) -> list[tuple[str, Advice]]:
    """Runs with what is wrong with them: what could burn first, and of that what feeds the rest."""
    places = [place for place in plan.upstream_first() if lines[place].verdict not in SOUND]
    found = [(lines[place].name, _fault(plan, place, lines)) for place in places]
    return sorted(found, key=lambda fault: not fault[1].danger)


def first_to_mend(plan: Plan, lines: Sequence[RunScheduled], ends: set[int]) -> str | None:
    """Name of the first run from the source on, of those that serve any of these ends, that could burn.

    What it loses too much of, or lets through too much of, may be why none behind it has a size.
    """
    return next(
        (
            lines[place].name
            for place in plan.upstream_first()
            if place in plan.sizes
            and plan.served[place] & ends
            and lines[place].verdict in {*BURNS, *UNPLANNED}
        ),
        None,
    )


def _fault(plan: Plan, place: int, lines: Sequence[RunScheduled]) -> Advice:
    """One fault in words, with its figures."""
    line = lines[place]
    typed = plan.runs[place].current or 0.0
    wired = place in plan.sizes
    if wired and line.verdict == NO_SIZE:
        first = first_to_mend(plan, lines, plan.served[place])
        if first != line.name:
            words = f"{line.name}: {line.verdict}: first mend {first}, on the same way."
            return Advice(f"runs[{place}].area", words, danger=True)
    words = WRONG[line.verdict].format(
        start=line.start,
        end=line.end,
        current=plan.need(place) if wired else typed,
        typed=typed,
        carries=line.carries or 0.0,
        guard=plan.guard(place) if wired else 0.0,
    )
    remedy = f" {REMEDY}" if line.verdict in BURNS else ""
    if wired and line.verdict in BURNS:
        # Where the sheath does not stand the air, a larger size of it is no help.
        remedy = (
            "".join(f" {entry.message}" for entry in sheath_advice(plan.limit(place), plan.air(place)))
            or remedy
        )
    fields = dict.fromkeys((*UNPLANNED, "type its current"), "current")
    field = (fields | {NO_AIR: "air", ONE_END: "end", PAST_SENSOR: "end"}).get(line.verdict, "area")
    return Advice(
        f"runs[{place}].{field}",
        f"{line.name}: {line.verdict}: {words}.{remedy}",
        danger=line.verdict in {*BURNS, *UNPLANNED, ONE_END, NO_AIR},
    )


def name_advice(runs: Sequence[Run]) -> list[Advice]:
    """Runs that lists, labels and words cannot tell apart: without a name, or with that of one before."""
    found, first = list[Advice](), dict[str, str]()
    for place, run in enumerate(runs):
        key = name_key(run.name)
        if not key:
            words = f"Run {place + 1} has no name: lists, labels and what is said here go by names."
        elif key in first:
            words = f"Two runs are called {first[key]}: name them apart, for lists and labels go by names."
        else:
            first[key] = run.name
            continue
        found.append(Advice(f"runs[{place}].name", words))
    return found
