"""The sheets of a job, as what stands on them; how they are printed is for `printing`."""

from collections.abc import Callable, Mapping, Sequence
from math import floor
from typing import Any

from calculators.declaring import run_values
from calculators.job.entries import LINES
from calculators.job.paper import Paper, Table, Words
from calculators.job.parts import parts_list
from calculators.job.printed import BLANK, Printed, is_rows, printed_run
from calculators.job.reading import JobError
from calculators.job.sheet import HOLD_POINTS, signed, signers
from calculators.job.working import ProofLine, Worked, fact
from calculators.stages import find_calculator


def papers(worked: Worked) -> tuple[Paper, ...]:
    """All sheets of a job for which it has what they need, the order first."""
    return tuple(make(worked) for make in SHEETS)


def _printed(worked: Worked, slug: str) -> Printed | None:
    """The answer of the first run of a calculator; None where that has none: another run's is no stand-in."""
    run = next((run for run in worked.runs.values() if run.calculator == slug), None)
    return None if run is None or run.outcome is None else printed_run(worked, run)


def _figure(worked: Worked, slug: str, output: str) -> str:
    """One answer as a page shows it; a blank where the job has none."""
    answer = _printed(worked, slug)
    if answer is None:
        return BLANK
    return answer.words(answer.calculator.output(output).kind, answer.value(output)) + answer.mark


def _given(worked: Worked, slug: str, name: str) -> Any:
    """An input of the answer that is printed; None where there is none, or it was left empty."""
    answer = _printed(worked, slug)
    return (answer.inputs.get(name) or None) if answer else None


def _table(
    worked: Worked, slug: str, output: str, title: str, columns: Sequence[str], blanks: Sequence[str] = ()
) -> Table | Words:
    """Columns of a table of a run, with further ones for the pen."""
    answer = _printed(worked, slug)
    if answer is None:
        return Words(title, (f"Not worked out yet. {BLANK}",))
    known = {column.name: column.kind for column in answer.calculator.output(output).columns}
    rows = tuple(
        (
            *(answer.words(known[name], answer.value(name, row)) for name in columns),
            *("" for _ in blanks),
        )
        for row in answer.rows(output)
    )
    return Table(title + answer.mark, (*(known[name].label for name in columns), *blanks), rows)


def _facts(worked: Worked, path: str) -> Any:
    """Facts at a path; nothing where the job has none."""
    try:
        return fact(worked.job, path)
    except JobError:
        return None


def _records(
    worked: Worked, path: str, title: str, columns: Mapping[str, str], blanks: Sequence[str] = ()
) -> Table:
    """Rows of facts as a table; one line for the pen where there are none."""
    found = _facts(worked, path)
    rows = found if isinstance(found, list) else []
    cells = tuple(
        (*(_plain(row.get(name, "")) for name in columns), *("" for _ in blanks))
        for row in rows
        if isinstance(row, dict)
    )
    return Table(title, (*columns.values(), *blanks), cells or (("",) * (len(columns) + len(blanks)),))


def _plain(value: Any) -> str:
    """A fact as it is written; numbers with the digits they have."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, int | float) else str(value)


def _exceptions(worked: Worked) -> Table | Words:
    rows = worked.job["sheet"].get("exceptions", ())
    if not rows:
        return Words("Exceptions", ("None.",))
    return Table(
        "Exceptions: a limit that is not kept, and that you accepted",
        ("What", "Why", "Accepted"),
        tuple((row["what"], row["why"], row["accepted"]) for row in rows),
    )


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


def _proof(worked: Worked) -> Table:
    rows = tuple(
        (
            line.name,
            "" if line.measured is None else f"{line.measured:g} {line.unit}".strip(),
            line.limit,
            _verdict(line),
        )
        for line in worked.proof
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
    spare = _figure(worked, "quote", "contingency_total")
    dated, until = (_given(worked, "quote", name) or BLANK for name in ("quoted_on", "valid_until"))
    dates = f"Dated {dated}, valid until {until}."
    parts = (
        Words("Price", (_figure(worked, "quote", "price"), _figure(worked, "quote", "binding"), dates)),
        _records(worked, "brief.complaints", "Your words, and the test for each", asked),
        _order_lines(worked),
        _table(worked, "quote", "adding", "How it adds up", ("what", "amount")),
        _table(worked, "quote", "rates", "Tax", ("rate", "net", "tax", "reason")),
        Words(
            "To pay",
            (
                _figure(worked, "quote", "paying"),
                f"Not in it, only if needed, only after you agree: {spare}.",
                NOTHING_UNASKED,
            ),
        ),
        _records(worked, "quote.stays", "Stays for good", LINES["quote.stays"].columns),
        Table("Your consent, a box each", ("", "Yes", "No"), tuple((words, "☐", "☐") for words in CONSENTS)),
        Words("Signed", (f"Customer {BLANK}   Date {BLANK}   Shop {BLANK}",)),
    )
    agreed = "H1" in signed(worked.job["sheet"])
    says = "as agreed" if agreed else "draft, nothing agreed"
    return Paper(name="order", title="Order", says=says, parts=parts)


NOT_COUNTED = ("option, declined", "option, offered", "falls with")
"""How a line stands that is not in the price: its amount is printed in brackets."""


def _order_lines(worked: Worked) -> Table | Words:
    """The lines, with what their amounts hold in the heads."""
    table = _table(worked, "quote", "lines", "Lines", ("name", "hours", "amount", "stands", "change"))
    if isinstance(table, Words):
        return table
    tax = "with tax" if _given(worked, "quote", "prices_include_tax") else "without tax"
    rows = tuple(
        (name, hours, f"({amount})" if stands.startswith(NOT_COUNTED) else amount, stands, change)
        for name, hours, amount, stands, change in table.rows
    )
    return Table(
        table.title, ("Line", "Hours", f"Amount, {tax}", "Stands", "Total changes by, with tax"), rows
    )


def condition(worked: Worked) -> Paper:
    """The vehicle as it came."""
    facts, windows, marks = (LINES[f"condition.{name}"].columns for name in ("facts", "windows", "marks"))
    parts = (
        _records(worked, "condition.facts", "As it came", facts),
        _records(worked, "condition.windows", "Windows", windows, ("After, down", "After, up")),
        _records(worked, "condition.marks", "Marks, pointed at", marks),
        Words("Walked round together", (PHOTOGRAPHS, f"Customer {BLANK}   Date {BLANK}   Copy given ☐")),
    )
    return Paper(name="condition-record", title="Condition record", says="as found", parts=parts)


def bay_plan(worked: Worked) -> Paper:
    """Who does what when: for the wall of the shop alone."""
    columns = ("number", "name", "begins", "finishes", "who")
    parts = (
        Words("Ready", (_figure(worked, "job-hours", "ends"),)),
        _table(worked, "job-hours", "tasks", "Plan", columns, ("Took, h", "Done")),
        _table(worked, "job-hours", "nights", "Over night", ("night", "name", "until")),
        _hold_points(worked),
    )
    return Paper(
        name="bay-plan", title="Bay plan", says="stays in the shop", parts=parts,
        landscape=True, to_customer=False,
    )  # fmt: skip


def wiring(worked: Worked) -> Paper:
    """Every run, with room for what was measured."""
    columns = ("name", "start", "end", "size", "fuse", "length", "colour", "connector", "cold")
    totals = ("size", "length", "runs")
    parts = (
        Words("Verdict", (_figure(worked, "wiring-schedule", "verdict"),)),
        _table(worked, "wiring-schedule", "runs", "Runs", columns, ("Tested, Ω", "Initials")),
        _table(worked, "wiring-schedule", "totals", "Cable to bring", totals, ("Ordered", "Used")),
    )
    return Paper(
        name="wiring-schedule", title="Wiring schedule", says="for the next workshop", parts=parts,
        landscape=True, to_customer=False,
    )  # fmt: skip


def tuning(worked: Worked) -> Paper:
    """What was typed into the processor."""
    filters = {"kind": "Kind", "frequency": "Hz", "gain": "dB", "q": "Q"}
    source = f"Volume step {BLANK}   Tone, loudness, surround: off {BLANK}   Air in the cabin {BLANK} °C"
    parts = (
        _table(worked, "delay", "speakers", "Delays", ("name", "delay", "samples"), ("Read back",)),
        _table(worked, "level-trim", "channels", "Levels", ("name", "trim"), ("Read back",)),
        _records(
            worked,
            "tuning.filters",
            f"Filters of {_facts(worked, 'tuning.filters_of') or BLANK}",
            filters,
            ("Read back",),
        ),
        Words("Source", (source,)),
    )
    return Paper(
        name="tuning-sheet",
        title="Tuning sheet",
        says="as planned, until it is read back",
        parts=parts,
        to_customer=False,
    )


def handover(worked: Worked) -> Paper:
    """What the customer takes over."""
    words = LINES["brief.complaints"].columns
    parts = (
        _records(worked, "brief.complaints", "Your words, before and after", words),
        _proof(worked),
        _exceptions(worked),
        Words(
            "Good to know",
            (
                f"Parked and locked: {_parked(worked)} until the battery should be charged; "
                "in winter about half.",
                f"Main fuse: {_main_fuse(worked)}   Level knob at its mark: {BLANK}   Presets: {BLANK}",
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
    answer = _printed(worked, "battery-drain")
    days = answer.value("days") if answer else None
    if answer is None or not isinstance(days, int | float):
        return BLANK
    return f"about {_about(days)} days{answer.mark}"


def _ears(worked: Worked) -> tuple[str, ...]:
    """How long a week of music ears can take, at the customer's usual level and at a loud one."""
    usual = _facts(worked, "brief.usual_level")
    lines = []
    if isinstance(usual, int | float) and not isinstance(usual, bool) and (adult := _hours_a_week(usual)):
        lines.append(
            f"At your usual {usual:g} dB(A) an adult's ears can take about {adult[0]} hours of music a week, "
            f"a child's about {adult[1]}."
        )
    if loud := _hours_a_week(LOUD):
        lines.append(
            f"At {LOUD:g} dB(A) it is about {loud[0]} hours, a child's about {loud[1]}. "
            "Turn down with children on board."
        )
    return tuple(lines)


def _hours_a_week(level: float) -> tuple[str, str] | None:
    """Hours of music a week at a level, of an adult and of a child, as the noise dose has them."""
    outcome = run_values(find_calculator("noise-dose"), {"exposures": [{"level": level, "duration": 3600.0}]})
    if outcome.errors:
        return None
    times = (outcome.result.weekly_listening, outcome.result.weekly_listening_child)
    adult, child = (min(time / 3600, WEEK) for time in times)
    return _about(adult), _about(child)


def _about(time: float) -> str:
    """Hours or days as they are said: whole ones, rounded down, where there are many."""
    return f"{floor(time)}" if time >= 10 else f"{time:.2g}"


def guarantee(worked: Worked) -> Paper:
    """Rights, guarantee and the next visit."""
    parts = (Words("Your rights come first", RIGHTS), Words("Visits", VISITS))
    return Paper(name="guarantee", title="Guarantee and after-care", says="yours to keep", parts=parts)


def _main_fuse(worked: Worked) -> str:
    """The largest fuse of the runs that begin at a battery; a blank where the schedule has none."""
    answer = _printed(worked, "wiring-schedule")
    rows = answer.rows("runs") if answer else []
    fuses = [
        answer.value("fuse", row)
        for row in rows
        if answer and "battery" in str(answer.value("start", row)).casefold()
    ]
    sizes = [fuse for fuse in fuses if isinstance(fuse, int | float) and fuse]
    return f"{max(sizes):g} A{answer.mark}" if answer and sizes else BLANK


def _capacitor(worked: Worked) -> tuple[str, ...]:
    """What to know of a capacitor; nothing where none is worked out and the wiring names none."""
    runs = _given(worked, "wiring-schedule", "runs")
    kinds = [
        run.get("kind") if isinstance(run, dict) else getattr(run, "kind", "")
        for run in (runs if is_rows(runs) else ())
    ]
    charged = _printed(worked, "pre-charge")
    if charged is None and "capacitor" not in kinds:
        return ()
    bled = _figure(worked, "pre-charge", "bleed_time")
    bleed, charge = (
        f"{value:g} Ω" if isinstance(value, int | float) else BLANK
        for value in (_given(worked, "pre-charge", name) for name in ("bleed_resistance", "resistance"))
    )
    return (
        "A capacitor behind it stays charged and does not empty itself. "
        f"Clip {bleed} across its marked terminals for {bled}; prove under 1 V. Its box: {BLANK}",
        f"Battery off for an hour: {charge} in place of the capacitor's fuse first, until under 0.2 V stand "
        "across it, then that fuse.",
    )


def card(worked: Worked) -> Paper:
    """For the glove box: the only sheet that is in the vehicle in a year."""
    looms = _facts(worked, "condition.airbag_looms")
    words = (
        f"Main fuse {_main_fuse(worked)}, at the battery: pull it first.",
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
