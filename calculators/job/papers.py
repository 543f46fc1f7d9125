"""The sheets of a job, as what stands on them; how they are printed is for `printing`."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from calculators.declaring.outputs import OutputKind
from calculators.job.reading import JobError
from calculators.job.sheet import HOLD_POINTS, signed
from calculators.job.working import ProofLine, RunDone, Worked, fact
from calculators.presenting.values import WORDS, shown

BLANK = "__________"
"""A place for the pen."""
STALE = " (out of date)"


@dataclass(frozen=True)
class Table:
    """A table with its heads; an empty cell is a place for the pen."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Words:
    """Lines of text under a title."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Paper:
    """One sheet: what it says of itself, whose it is, and its parts."""

    name: str
    title: str
    says: str
    parts: tuple[Table | Words, ...]
    landscape: bool = False
    card: bool = False
    to_customer: bool = field(default=True)


def papers(worked: Worked) -> tuple[Paper, ...]:
    """All sheets of a job for which it has what they need, the order first."""
    return tuple(make(worked) for make in SHEETS)


def _run(worked: Worked, slug: str) -> RunDone | None:
    """The first run of a calculator that has an answer."""
    return next((run for run in worked.runs.values() if run.calculator == slug and run.outcome), None)


def _mark(run: RunDone) -> str:
    return STALE if run.standing == "stale" else ""


def _figure(worked: Worked, slug: str, output: str) -> str:
    """One answer as a page shows it; a blank where the job has none."""
    run = _run(worked, slug)
    if run is None or run.outcome is None:
        return BLANK
    found = run.outcome.calculator.output(output)
    return shown(found, getattr(run.outcome.result, output)) + _mark(run)


def _table(
    worked: Worked, slug: str, output: str, title: str, columns: Sequence[str], blanks: Sequence[str] = ()
) -> Table | Words:
    """Columns of a table of a run, with further ones for the pen."""
    run = _run(worked, slug)
    if run is None or run.outcome is None:
        return Words(title, (f"Not worked out yet. {BLANK}",))
    known = {column.name: column for column in run.outcome.calculator.output(output).columns}
    rows = tuple(
        (*(_cell(known[name].kind, getattr(row, name)) for name in columns), *("" for _ in blanks))
        for row in getattr(run.outcome.result, output)
    )
    return Table(title + _mark(run), (*(known[name].kind.label for name in columns), *blanks), rows)


def _cell(kind: OutputKind, value: Any) -> str:
    return str(WORDS[type(kind)](kind, value))


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
        (point, what, have[point]["by"] if point in have else "", have[point]["at"] if point in have else "")
        for point, what in HOLD_POINTS.items()
    )
    return Table(
        "Hold points: signed by who did not do the work", ("", "Before it goes on", "Initials", "When"), rows
    )


def _verdict(line: ProofLine) -> str:
    if line.passes is False:
        return "exception, accepted" if line.accepted else "does not pass"
    return "passes" if line.passes else ""


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
    "Right to withdraw: notice received, where it applies",
)
PHOTOGRAPHS = (
    "Photographs are not in the job's file. They are deleted 24 months after the last visit, unless the shop "
    "says otherwise."
)
EARS = (
    "About 85 dB(A): an adult's ears can take about 12 hours of that in a week, a child's about 4. Turn down "
    "with children on board."
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
VISITS = (
    f"First visit: 30 days or 1500 km, free. Date {BLANK}. Then every year; its price: {BLANK}",
    f"Serial numbers: {BLANK}   Backup kept at: {BLANK}",
)


def order(worked: Worked) -> Paper:
    """What is ordered, for how much, and on which conditions."""
    complaints = {"words": "In your words", "test": "Test", "before": "Before"}
    spare = _figure(worked, "quote", "contingency_total")
    pay = f"Deposit {_figure(worked, 'quote', 'deposit')}, then {_figure(worked, 'quote', 'left')}."
    parts = (
        Words("Price", (_figure(worked, "quote", "price"), _figure(worked, "quote", "binding"))),
        _records(worked, "brief.complaints", "Your words, and the test for each", complaints),
        _table(worked, "quote", "lines", "Lines", ("name", "hours", "amount", "stands", "change")),
        _table(worked, "quote", "rates", "Tax", ("rate", "net", "tax", "reason")),
        Words("To pay", (pay, f"Not in it, only if needed, only after you agree: {spare}.", NOTHING_UNASKED)),
        Table("Your consent, a box each", ("", "Yes", "No"), tuple((words, "☐", "☐") for words in CONSENTS)),
        Words("Signed", (f"Customer {BLANK}   Date {BLANK}   Shop {BLANK}",)),
    )
    return Paper(name="order", title="Order", says="as agreed", parts=parts)


def condition(worked: Worked) -> Paper:
    """The vehicle as it came."""
    windows = {"name": "Window", "down": "Down", "up": "Up"}
    parts = (
        _records(worked, "condition.facts", "As it came", {"what": "What", "found": "Found"}),
        _records(worked, "condition.windows", "Windows, seconds", windows, ("After, down", "After, up")),
        _records(worked, "condition.marks", "Marks, pointed at", {"where": "Where", "what": "What"}),
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
        _records(worked, "tuning.filters", "Filters", filters, ("Read back",)),
        Words("Source", (source,)),
    )
    return Paper(
        name="tuning-sheet", title="Tuning sheet", says="as read back", parts=parts, to_customer=False
    )


def handover(worked: Worked) -> Paper:
    """What the customer takes over."""
    words = {
        "words": "In your words",
        "test": "Test",
        "before": "Before",
        "after": "After",
        "says": "You say",
    }
    parked = _figure(worked, "battery-drain", "days")
    parts = (
        _records(worked, "brief.complaints", "Your words, before and after", words),
        _proof(worked),
        _exceptions(worked),
        Words(
            "Good to know",
            (
                f"Parked and locked: {parked} until the battery should be charged; in winter about half.",
                f"Main fuse: {BLANK}   Level knob at its mark: {BLANK}   Presets: {BLANK}",
                EARS,
            ),
        ),
        Words("Received", (f"Customer {BLANK}   Date {BLANK}. This is a receipt, not a waiver.",)),
    )
    return Paper(name="handover", title="Handover", says="as measured", parts=parts)


def guarantee(worked: Worked) -> Paper:
    """Rights, guarantee and the next visit."""
    parts = (Words("Your rights come first", RIGHTS), Words("Visits", VISITS))
    return Paper(name="guarantee", title="Guarantee and after-care", says="yours to keep", parts=parts)


def card(worked: Worked) -> Paper:
    """For the glove box: the only sheet that is in the vehicle in a year."""
    run = _run(worked, "wiring-schedule")
    rows = getattr(run.outcome.result, "runs", ()) if run and run.outcome else ()
    fuse = next((f"{row.fuse:g} A" for row in rows if row.fuse), BLANK)
    bled = _figure(worked, "pre-charge", "bleed_time")
    filled = _run(worked, "pre-charge")
    given = filled.outcome.arguments if filled and filled.outcome else {}
    bleed, charge = (
        f"{given[name]:g} Ω" if given.get(name) else BLANK for name in ("bleed_resistance", "resistance")
    )
    words = (
        f"Main fuse {fuse}, at the battery: pull it first.",
        "A capacitor behind it stays charged and does not empty itself. "
        f"Clip {bleed} across its marked terminals for {bled}; prove under 1 V. Its box: {BLANK}",
        f"Battery off for an hour: {charge} in place of the capacitor's fuse first, until under 0.2 V stand "
        "across it, then that fuse.",
        "Airbag looms were not cut. Ask before you disconnect the processor or the battery.",
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
    tuning,
    handover,
    guarantee,
    card,
)


def words_of(paper: Paper) -> Iterable[str]:
    """Everything that stands on a sheet, for tests and for terminals."""
    yield paper.title
    for part in paper.parts:
        yield part.title
        if isinstance(part, Words):
            yield from part.lines
        else:
            yield from part.head
            for row in part.rows:
                yield from row
