"""The sheets of a job, as what stands on them; how they are printed is for `printing`."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from math import floor
from typing import Any

from calculators.declaring import Choice, run_values
from calculators.job.entries import LINES
from calculators.job.paper import NOT_YET, Paper, Table, Words
from calculators.job.parts import parts_list, sheaths_of, value_in
from calculators.job.printed import BLANK, Printed, is_rows, printed_run
from calculators.job.reading import JobError
from calculators.job.sheet import HOLD_POINTS, signed, signers
from calculators.job.working import ProofLine, RunDone, Worked, fact
from calculators.stages import find_calculator
from calculators.vocabulary.names import name_key


def papers(worked: Worked) -> tuple[Paper, ...]:
    """All sheets of a job for which it has what they need, the order first."""
    return tuple(make(worked) for make in SHEETS)


def _printed(worked: Worked, slug: str) -> Printed | None:
    """The answer of the first run of a calculator; None where that has none: another run's is no stand-in."""
    return _each(worked, slug, "")[0][0]


def _each(worked: Worked, slug: str, title: str) -> list[tuple[Printed | None, str]]:
    """The answer of every run of a calculator, with a title that names the run where there are more."""
    runs = [run for run in worked.runs.values() if run.calculator == slug]
    titles = [title] if len(runs) < 2 else [f"{title}: {run.name}" for run in runs]
    answers = [printed_run(worked, run) if run.outcome else None for run in runs]
    return list(zip(answers or [None], titles, strict=True))


def _figure(worked: Worked, slug: str, output: str) -> str:
    """One answer as a page shows it; a blank where the job has none."""
    return _words_of(_printed(worked, slug), output)


def _words_of(answer: Printed | None, output: str) -> str:
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
    """Columns of a table of a calculator's first run, with further ones for the pen."""
    return _table_of(_printed(worked, slug), output, title, columns, blanks)


def _tables(
    worked: Worked, slug: str, output: str, title: str, columns: Sequence[str], blanks: Sequence[str] = ()
) -> tuple[Table | Words, ...]:
    """Such a table of each run."""
    each = _each(worked, slug, title)
    return tuple(_table_of(answer, output, title, columns, blanks) for answer, title in each)


def _table_of(
    answer: Printed | None, output: str, title: str, columns: Sequence[str], blanks: Sequence[str]
) -> Table | Words:
    if answer is None:
        return Words(title, (f"{NOT_YET} {BLANK}",))
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
    slug, totals = "wiring-schedule", ("size", "length", "runs")
    parts = (
        *(Words(title, (_words_of(answer, "verdict"),)) for answer, title in _each(worked, slug, "Verdict")),
        *(_wires(answer, title) for answer, title in _each(worked, slug, "Runs")),
        *_tables(worked, slug, "totals", "Cable to bring", totals, ("Ordered", "Used")),
    )
    return Paper(
        name="wiring-schedule", title="Wiring schedule", says="for the next workshop", parts=parts,
        landscape=True, to_customer=False,
    )  # fmt: skip


def _wires(answer: Printed | None, title: str) -> Table | Words:
    """The runs, each with the sheath that its heat asks for behind its size."""
    columns = ("name", "start", "end", "size", "fuse", "length", "colour", "connector", "cold")
    table = _table_of(answer, "runs", title, columns, ("Tested, Ω", "Initials"))
    if isinstance(table, Words) or answer is None:
        return table
    sheaths, at = sheaths_of(answer), columns.index("size") + 1
    rows = tuple(
        (*row[:at], sheaths.get(row[0], "") if answer.value("size", line) else "", *row[at:])
        for row, line in zip(table.rows, answer.rows("runs"), strict=True)
    )
    return Table(table.title, (*table.head[:at], "Sheath", *table.head[at:]), rows)


CORNERS = ("Channel", "High-pass", "Low-pass", "Slope", "Polarity", "Read back")
JOINS: Mapping[str, tuple[str, str]] = {
    "tweeter": ("tweeter", ""),
    "subwoofer": ("", "subwoofer"),
    "woofer": ("subwoofer", "tweeter"),
}
"""By a word in a channel's name, the facts under ``crossovers`` of its high-pass and of its low-pass."""


def _corners(worked: Worked) -> Table:
    """Corner, slope and polarity of each channel as planned; a place for the pen where the job has none."""
    delays, trims = (_printed(worked, slug) for slug in ("delay", "level-trim"))
    rows = (delays.rows("speakers") if delays else []) or (trims.rows("channels") if trims else [])
    holder = delays or trims
    names = [str(holder.value("name", row)) for row in rows] if holder else []
    lines = tuple(map(partial(_corner, worked), names))
    if _facts(worked, "crossovers") is None:  # Which channel each of them is for, the job does not know.
        lines += tuple(_corner_of(run.name, printed_run(worked, run)) for run in _crossovers(worked))
    return Table("Corners", CORNERS, lines or (("",) * len(CORNERS),))


def _crossovers(worked: Worked) -> list[RunDone]:
    return [run for run in worked.runs.values() if run.calculator == "crossover" and run.outcome]


def _corner_of(name: str, answer: Printed) -> tuple[str, ...]:
    """The line of a crossover worked out by itself."""
    low, high = answer.inputs.get("low_pass"), answer.inputs.get("high_pass")
    slope = _slope({"slope": answer.inputs.get("slope"), "family": answer.inputs.get("family")})
    return (name, _hertz(high if high is not None else low), _hertz(low), slope, "", "")


def _corner(worked: Worked, name: str) -> tuple[str, ...]:
    """The line of one channel."""
    joins = next((joins for word, joins in JOINS.items() if word in name.casefold()), ("", ""))
    facts = [_facts(worked, f"crossovers.{join}") if join else None for join in joins]
    corners = [one if isinstance(one, dict) else {} for one in facts]
    slopes = dict.fromkeys(filter(None, map(_slope, corners)))
    return (name, *(_hertz(one.get("frequency")) for one in corners), ", ".join(slopes), "", "")


def _hertz(value: Any) -> str:
    return f"{value:g} Hz" if isinstance(value, int | float) else ""


def _slope(corner: Mapping[str, Any]) -> str:
    """Slope and family of a corner; nothing where the slope is not known."""
    slope, family = corner.get("slope"), str(corner.get("family"))
    kinds = (entry.kind for entry in find_calculator("crossover").inputs if entry.name == "family")
    families = next((kind.options for kind in kinds if isinstance(kind, Choice)), {})
    return f"{slope:g} dB/oct {families.get(family, '')}".strip() if isinstance(slope, int | float) else ""


def tuning(worked: Worked) -> Paper:
    """What was typed into the processor."""
    filters = {"kind": "Kind", "frequency": "Hz", "gain": "dB", "q": "Q"}
    source = f"Volume step {BLANK}   Tone, loudness, surround: off {BLANK}   Air in the cabin {BLANK} °C"
    parts = (
        *_tables(worked, "delay", "speakers", "Delays", ("name", "set_delay", "samples"), ("Read back",)),
        *_tables(worked, "level-trim", "channels", "Levels", ("name", "trim"), ("Read back",)),
        _records(
            worked,
            "tuning.filters",
            f"Filters of {_facts(worked, 'tuning.filters_of') or f'ONE channel: {BLANK}'}",
            filters,
            ("Read back",),
        ),
        _corners(worked),
        Words("Before it plays", ("Do not play a tweeter whose corner stands empty here.",)),
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


def _main_fuses(worked: Worked) -> tuple[str, str]:
    """What to call them, and the fuses of the feeds that no other run leads to; a blank for none."""
    answer = _printed(worked, "wiring-schedule")
    rows = answer.rows("runs") if answer else []
    kinds = {
        value_in(run, "name"): value_in(run, "kind")
        for run in _given(worked, "wiring-schedule", "runs") or ()
    }
    ends = {name_key(str(value_in(row, "end"))) for row in rows}
    fuses = {
        str(value_in(row, "name")): value_in(row, "fuse")
        for row in rows
        if kinds.get(value_in(row, "name")) == "feed" and name_key(str(value_in(row, "start"))) not in ends
    }
    known = {name: f"{fuse:g} A" for name, fuse in fuses.items() if isinstance(fuse, int | float) and fuse}
    if answer is None or not known:
        return "Main fuse", BLANK
    if len(known) == 1:
        return "Main fuse", f"{next(iter(known.values()))}{answer.mark}"
    return "Main fuses", ", ".join(f"{name} {fuse}{answer.mark}" for name, fuse in known.items())


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
