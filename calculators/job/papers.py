"""The sheets of a job, as what stands on them; how they are printed is for `printing`."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from math import ceil, floor
from typing import Any

from calculators.declaring import run_values
from calculators.job.agreement import unscheduled
from calculators.job.entries import LINES
from calculators.job.examples import OF_EXAMPLE, examples_in, without_examples
from calculators.job.filling import (
    facts_at,
    figure,
    given,
    plain_words,
    printed_first,
    records,
    table,
)
from calculators.job.paper import Paper, Part, Table, Words
from calculators.job.parts import parts_list, value_in
from calculators.job.printed import BLANK, is_rows
from calculators.job.sheet import HOLD_POINTS, signed, signers
from calculators.job.steps import STEPS
from calculators.job.working import ProofLine, Worked
from calculators.job.workshop_papers import tuning, wiring
from calculators.stages import find_calculator
from calculators.vocabulary.names import name_key

SHOP_LISTS = (
    "Some of what stands here was not yet measured, or agreed, for this vehicle. The shop's own sheets name "
    "each such value: ask to see them."
)
ON_CARD = "Some values here are of an example and not yet this vehicle's: ask the shop."


def papers(worked: Worked) -> tuple[Paper, ...]:
    """All sheets of a job for which it has what they need, the order first.

    Where the job has anything of a page's example alone, those that stay in the shop say what that is. One
    that the customer gets says so if it would read otherwise without; a card has a line for it.
    """
    lines = examples_in(worked.job)
    if not lines:
        return tuple(make(worked) for make in SHEETS)
    without = without_examples(worked)
    return tuple(
        replace(paper, parts=_with_example(paper, lines))
        if not paper.to_customer or paper.parts != make(without).parts
        else paper
        for paper, make in ((make(worked), make) for make in SHEETS)
    )


def _with_example(paper: Paper, lines: tuple[str, ...]) -> tuple[Part, ...]:
    """The parts of a sheet of a job that has values of an example, with what it says of them."""
    if paper.card:
        first, *rest = paper.parts
        assert isinstance(first, Words)
        return (replace(first, lines=(*first.lines, ON_CARD)), *rest)
    return (Words(OF_EXAMPLE, (SHOP_LISTS,) if paper.to_customer else lines), *paper.parts)


def _exceptions(worked: Worked) -> Table | Words:
    rows = worked.job["sheet"].get("exceptions", ())
    if not rows:
        return Words("Exceptions", ("None.",))
    units = {line.name: line.unit for line in worked.proof}
    return Table(
        "Exceptions: a limit that is not kept, and that you accepted",
        ("What", "As it was accepted", "Why", "Accepted"),
        tuple(
            (row["what"], _as_accepted(row, units.get(row["what"], "")), row["why"], row["accepted"])
            for row in rows
        ),
    )


def _as_accepted(row: Mapping[str, Any], unit: str) -> str:
    """The reading or the verdict that was accepted; nothing where an older file does not hold it."""
    value = row.get("value")
    return row.get("said", "") if value is None else f"{value:g} {unit}".strip()


def _hold_points(worked: Worked) -> Table:
    have = signed(worked.job["sheet"])
    rows = tuple(
        (
            point,
            what,
            signers(have[point]) if point in have else "",
            have[point]["at"] if point in have else "",
        )
        for point, what in HOLD_POINTS.items()
    )
    return Table(
        "Hold points: signed by who did not do the work", ("", "Before it goes on", "Initials", "When"), rows
    )


def _verdict(line: ProofLine) -> str:
    if line.passes is False:
        return "exception, accepted" if line.accepted else "does not pass"
    if line.passes is None:
        return "" if line.measured is None else "no limit"
    return "passes"


def _as_pages_say_it(line: ProofLine) -> ProofLine:
    """A line whose volts or amperes are small, in thousandths: nobody reads 0.0004 V off a sheet."""
    values = (line.measured, line.least, line.most)
    if line.unit not in ("V", "A") or any(value is not None and abs(value) >= SMALL for value in values):
        return line
    measured, least, most = (None if value is None else 1e3 * value for value in values)
    return replace(line, unit=f"m{line.unit}", measured=measured, least=least, most=most)


def _proof(worked: Worked) -> Table:
    rows = tuple(
        (
            line.name,
            "" if line.measured is None else f"{line.measured:g} {line.unit}".strip(),
            line.limit,
            _verdict(line),
        )
        for line in map(_as_pages_say_it, worked.proof)
    )
    return Table("Proof", ("What", "Measured", "Limit", ""), rows or (("", "", "", ""),))


NOTHING_UNASKED = (
    "Nothing that costs you money is done before you have said yes in writing to the price and the time."
)
CONSENTS = (
    "Photographs of the condition are taken and kept",
    "Fault codes are read and kept",
    "The vehicle is driven: survey route and road proof",
    "What stays for good, as listed",
    "Extras: asked for one by one, in writing, each with its price and time",
    "The spare wheel leaves its place, where the work needs that",
    "Right to withdraw: notice received, where it applies",
)
VIEWS = f"Photographs: {BLANK} views, taken on {BLANK}, kept at {BLANK}"
PHOTOGRAPHS = (
    "Photographs are not in the job's file. They are deleted 24 months after the last visit, unless the shop "
    "says otherwise."
)
RIGHTS = (
    "The law of your country gives you rights for parts and for work, and nothing on this sheet takes any "
    "away.",
    f"What we add: {BLANK} months on our work, {BLANK} months on parts. A blank: ask your fitter.",
    "Ours to put right, free: anything that our work caused: a rattle, water or a warning lamp where we "
    "worked, a wire that failed, a tune that no longer matches its sheet.",
    "Not ours: wear; damage; a change by another workshop; new vehicle software that changes the maker's "
    "sound (a new tune is 1 to 2 hours, price said first).",
    "If something is wrong: tell us, with time, weather, volume and engine; we look within "
    f"{BLANK} working days, in writing. If we disagree: {BLANK}",
)
SMALL = 0.1
"""V or A, from which on they are printed as such."""
LOUD, WEEK = 85.0, 168.0
"""A loud level in dB(A), and the hours of a week."""
VISITS = (
    f"First visit: 30 days or 1500 km, free. Date {BLANK}. Then every year; its price: {BLANK}",
    f"Serial numbers: {BLANK}   Backup kept at: {BLANK}",
)


def order(worked: Worked) -> Paper:
    """What is ordered, for how much, and on which conditions."""
    complaints = LINES["brief.complaints"].columns
    asked = {name: complaints[name] for name in ("words", "test", "before")}
    spare = figure(worked, "quote", "contingency_total")
    spare_hours = given(worked, "quote", "contingency") or BLANK
    dated, until = (given(worked, "quote", name) or BLANK for name in ("quoted_on", "valid_until"))
    dates = f"Dated {dated}, valid until {until}."
    parts = (
        Words("Price", (figure(worked, "quote", "price"), figure(worked, "quote", "binding"), dates)),
        records(worked, "brief.complaints", "Your words, and the test for each", asked),
        _order_lines(worked),
        table(worked, "quote", "adding", "How it adds up", ("what", "amount")),
        table(worked, "quote", "rates", "Tax", ("rate", "net", "tax", "reason")),
        Words(
            "To pay",
            (
                figure(worked, "quote", "paying"),
                f"Not in it, only if needed, only after you agree: {spare_hours} h, {spare} with tax.",
                NOTHING_UNASKED,
            ),
        ),
        *_faults(worked),
        records(worked, "quote.stays", "Stays for good", LINES["quote.stays"].columns),
        Table("Your consent, a box each", ("", "Yes", "No"), tuple((words, "☐", "☐") for words in CONSENTS)),
        Words("Signed", (f"Customer {BLANK}   Date {BLANK}   Shop {BLANK}",)),
    )
    agreed = "H1" in signed(worked.job["sheet"])
    says = "as agreed" if agreed else "draft, nothing agreed"
    return Paper(name="order", title="Order", says=says, parts=parts)


FAULTS = "condition.faults"


def _faults(worked: Worked) -> tuple[Table, ...]:
    """The faults that the survey found, if it found any: they are not in the price."""
    found = facts_at(worked, FAULTS)
    title = "Faults found: not in this price, and not mended unless you ask"
    return (records(worked, FAULTS, title, LINES[FAULTS].columns),) if found else ()


DECLINED = "option, declined"
NOT_COUNTED = (DECLINED, "option, offered", "falls with")
"""How a line stands that is not in the price: its amount is printed in brackets."""


def _order_lines(worked: Worked) -> Table | Words:
    """The lines, with what their amounts hold in the heads."""
    lines = table(worked, "quote", "lines", "Lines", ("name", "hours", "amount", "stands", "change"))
    if isinstance(lines, Words):
        return lines
    tax = "with tax" if given(worked, "quote", "prices_include_tax") else "without tax"
    rows = tuple(
        (
            name,
            hours,
            f"({amount})" if stands.startswith(NOT_COUNTED) else amount,
            f"{stands}: on {BLANK} by {BLANK}" if stands == DECLINED else stands,
            change,
        )
        for name, hours, amount, stands, change in lines.rows
    )
    return Table(
        lines.title, ("Line", "Hours", f"Amount, {tax}", "Stands", "Total changes by, with tax"), rows
    )


def condition(worked: Worked) -> Paper:
    """The vehicle as it came."""
    facts, windows, marks = (LINES[f"condition.{name}"].columns for name in ("facts", "windows", "marks"))
    parts = (
        records(worked, "condition.facts", "As it came", facts),
        records(worked, "condition.windows", "Windows", windows, ("After, down", "After, up")),
        records(worked, "condition.marks", "Marks, pointed at", marks),
        records(worked, FAULTS, "Faults found: not in our price unless you ask", LINES[FAULTS].columns),
        Words(
            "Walked round together", (VIEWS, PHOTOGRAPHS, f"Customer {BLANK}   Date {BLANK}   Copy given ☐")
        ),
    )
    return Paper(name="condition-record", title="Condition record", says="as found", parts=parts)


def bay_plan(worked: Worked) -> Paper:
    """Who does what when: for the wall of the shop alone."""
    parts = (
        Words("Ready", (figure(worked, "job-hours", "ends"),)),
        _plan(worked),
        table(worked, "job-hours", "nights", "Over night", ("night", "name", "until")),
        _hold_points(worked),
        records(worked, STEPS, "Done and checked, for the hold points", LINES[STEPS].columns),
    )
    return Paper(
        name="bay-plan", title="Bay plan", says="stays in the shop", parts=parts,
        landscape=True, to_customer=False,
    )  # fmt: skip


def _plan(worked: Worked) -> Table | Words:
    """The tasks, those that are finished with the hours that they took."""
    columns = ("number", "name", "begins", "finishes", "who")
    plan = table(worked, "job-hours", "tasks", "Plan", columns, ("Took, h", "Done"))
    if isinstance(plan, Words):
        return plan
    tasks = given(worked, "job-hours", "tasks")
    took = {
        " ".join(str(value_in(task, "name")).split()): value_in(task, "used")
        for task in (tasks if is_rows(tasks) else ())
    }
    rows = (
        (*row[:-2], "" if took.get(row[1]) is None else plain_words(took[row[1]]), row[-1])
        for row in plan.rows
    )
    return replace(plan, rows=tuple(rows))


def handover(worked: Worked) -> Paper:
    """What the customer takes over."""
    words = LINES["brief.complaints"].columns
    parts = (
        records(worked, "brief.complaints", "Your words, before and after", words),
        _proof(worked),
        _exceptions(worked),
        Words(
            "Good to know",
            (
                f"Parked and locked: {_parked(worked)} until it may not start: charge it well before; "
                "in winter about half.",
                f"{': '.join(_main_fuses(worked))}   Level knob at its mark: {BLANK}   Presets: {BLANK}",
                *_ears(worked),
            ),
        ),
        Words("Received", (f"Customer {BLANK}   Date {BLANK}. This is a receipt, not a waiver.",)),
    )
    measured = worked.proof and all(line.measured is not None for line in worked.proof)
    says = "as measured" if measured else "not measured yet"
    return Paper(name="handover", title="Handover", says=says, parts=parts)


def _parked(worked: Worked) -> str:
    """Days parked as a customer is told them: whole ones, rounded down; a blank where there is no answer."""
    answer = printed_first(worked, "battery-drain")
    days = answer.value("days") if answer else None
    if answer is None or not isinstance(days, int | float):
        return BLANK
    return f"about {_about(days)} days{answer.mark}"


def _ears(worked: Worked) -> tuple[str, ...]:
    """How long a week of music ears can take, at the customer's usual level and at a loud one."""
    usual = facts_at(worked, "brief.usual_level")
    lines = []
    if isinstance(usual, int | float) and not isinstance(usual, bool) and (adult := _hours_a_week(usual)):
        lines.append(
            f"At your usual {usual:g} dB(A) an adult's ears can take {adult[0]} of music a week, "
            f"a child's {adult[1]}."
        )
    if loud := _hours_a_week(LOUD):
        lines.append(
            f"At {LOUD:g} dB(A) it is {loud[0]}, a child's {loud[1]}. Turn down with children on board."
        )
    return tuple(lines)


def _hours_a_week(level: float) -> tuple[str, str] | None:
    """Hours of music a week at a level, of an adult and of a child, as the noise dose has them."""
    outcome = run_values(find_calculator("noise-dose"), {"exposures": [{"level": level, "duration": 3600.0}]})
    if outcome.errors:
        return None
    times = (outcome.result.weekly_listening, outcome.result.weekly_listening_child)
    adult, child = (_hours(min(time / 3600, WEEK)) for time in times)
    return adult, child


def _hours(time: float) -> str:
    """Hours as ears are told them, in minutes where they are less than one, rounded down."""
    if time >= 1:
        return f"about {_about(time)} hours"
    minutes = floor(60 * time)
    return f"about {minutes} minutes" if minutes > 1 else "a minute or less"


def _about(time: float) -> str:
    """Hours or days as they are said, rounded down: whole ones where there are many, else tenths."""
    return f"{floor(time)}" if time >= 10 else f"{floor(10 * time) / 10:g}"


def guarantee(worked: Worked) -> Paper:
    """Rights, guarantee and the next visit."""
    cases = records(worked, "faults.cases", "Faults since then", LINES["faults.cases"].columns)
    parts = (Words("Your rights come first", RIGHTS), Words("Visits", VISITS), cases)
    return Paper(name="guarantee", title="Guarantee and after-care", says="yours to keep", parts=parts)


def _main_fuses(worked: Worked) -> tuple[str, str]:
    """What to call them, and the fuses of the feeds that no other run leads to.

    A blank for none, and where a feed or a fuse of the job is not in the schedule: whoever fits a fuse by
    this sheet puts it before the cable that is there.
    """
    answer = printed_first(worked, "wiring-schedule")
    rows = answer.rows("runs") if answer else []
    kinds = {
        value_in(run, "name"): value_in(run, "kind") for run in given(worked, "wiring-schedule", "runs") or ()
    }
    ends = {name_key(str(value_in(row, "end"))) for row in rows}
    fuses = {
        str(value_in(row, "name")): value_in(row, "fuse")
        for row in rows
        if kinds.get(str(value_in(row, "name"))) == "feed"
        and name_key(str(value_in(row, "start"))) not in ends
    }
    known = {name: f"{fuse:g} A" for name, fuse in fuses.items() if isinstance(fuse, int | float) and fuse}
    feeds = [name for name in unscheduled(worked.runs) if worked.runs[name].calculator != "speaker-lead"]
    if answer is None or feeds or not known:
        return "Main fuse", BLANK
    if len(known) == 1:
        return "Main fuse", f"{next(iter(known.values()))}{answer.mark}"
    return "Main fuses", ", ".join(f"{name} {fuse}{answer.mark}" for name, fuse in known.items())


def _whole_minutes(worked: Worked, slug: str, output: str) -> str:
    """A time to wait, rounded up, for who leaves by the clock shall not leave too soon; a blank for none."""
    answer = printed_first(worked, slug)
    time = answer.value(output) if answer else None
    if answer is None or not isinstance(time, int | float):
        return BLANK
    return f"{ceil(time / 60)} min{answer.mark}"


def _capacitor(worked: Worked) -> tuple[str, ...]:
    """What to know of a capacitor; nothing where none is worked out and the wiring names none."""
    runs = given(worked, "wiring-schedule", "runs")
    kinds = [
        run.get("kind") if isinstance(run, dict) else getattr(run, "kind", "")
        for run in (runs if is_rows(runs) else ())
    ]
    charged = printed_first(worked, "pre-charge")
    if charged is None and "capacitor" not in kinds:
        return ()
    bled, failed = (_whole_minutes(worked, "pre-charge", each) for each in ("bleed_time", "failed_after"))
    waited = f"twice its filling time, {failed}" if charged is None else failed
    bleed, charge = (
        f"{value:g} Ω" if isinstance(value, int | float) else BLANK
        for value in (given(worked, "pre-charge", name) for name in ("bleed_resistance", "resistance"))
    )
    return (
        "A capacitor behind it stays charged and does not empty itself. "
        f"Clip {bleed} across its marked terminals for {bled}; prove under 1 V. Its box and fuses: {BLANK}",
        f"Battery off for an hour: {charge} in place of the capacitor's fuse first, until under 0.2 V stand "
        "across it, then that fuse. Never a larger one: what charges it burns if the capacitor fails. "
        f"Still 0.2 V or more after {waited}, bleed off: capacitor failed, its fuse stays out.",
        "Jump start from a 24 V vehicle: the capacitor's fuse out first, or it may burst.",
    )


def card(worked: Worked) -> Paper:
    """For the glove box: the only sheet that is in the vehicle in a year."""
    looms = facts_at(worked, "condition.airbag_looms")
    several = _main_fuses(worked)[0].endswith("s")
    words = (
        f"{' '.join(_main_fuses(worked))}, at the battery: pull {'them' if several else 'it'} first.",
        *_capacitor(worked),
        f"Airbag looms: {looms or '☐ not cut ☐ see sheet'}. "
        "Ask before you disconnect the processor or the battery.",
        f"Call {BLANK}",
    )
    return Paper(
        name="glove-box-card", title="Added sound system", says="stays in the vehicle",
        parts=(Words("To a garage", words),), card=True,
    )  # fmt: skip


SHEETS: tuple[Callable[[Worked], Paper], ...] = (
    order,
    condition,
    bay_plan,
    wiring,
    parts_list,
    tuning,
    handover,
    guarantee,
    card,
)
