"""The sheets for the next workshop: wiring and tuning."""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from calculators.declaring import Choice
from calculators.job.filling import (
    each_answer,
    facts_at,
    main_words,
    plain_words,
    printed_first,
    records,
    table_of,
    tables,
)
from calculators.job.paper import Paper, Table, Words
from calculators.job.parts import sheaths_of, value_in
from calculators.job.printed import BLANK, Printed, is_rows, printed_run
from calculators.job.run_done import RunDone
from calculators.job.working import Worked
from calculators.presenting.inputs import BAND_NAMES
from calculators.stages import find_calculator
from calculators.stages.wiring.wiring_schedule import leg_note
from calculators.vocabulary.names import name_key

NOT_AGREED = "Not agreed: two answers of this job contradict each other. Fit nothing by this sheet yet"


def wiring(worked: Worked) -> Paper:
    """Every run, with room for what was measured."""
    slug, totals = "wiring-schedule", ("size", "length", "runs")
    differ = worked.contradictions
    parts = (
        *((Words(NOT_AGREED, tuple(f"{words}." for words in differ)),) if differ else ()),
        *(
            Words(title, (main_words(answer, "verdict"),))
            for answer, title in each_answer(worked, slug, "Verdict")
        ),
        *(_wires(answer, title) for answer, title in each_answer(worked, slug, "Runs")),
        *(_legs(answer, title) for answer, title in each_answer(worked, slug, LEGS) if _legs_of(answer)),
        *tables(worked, slug, "totals", "Cable to bring", totals, ("Ordered", "Used")),
    )
    return Paper(
        name="wiring-schedule", title="Wiring schedule", says="for the next workshop", parts=parts,
        landscape=True, to_customer=False,
    )  # fmt: skip


def _wires(answer: Printed | None, title: str) -> Table | Words:
    """The runs, each with the sheath that its heat asks for behind its size."""
    columns = ("name", "start", "end", "size", "fuse", "length", "colour", "connector", "cold")
    table = table_of(answer, "runs", title, columns, ("Tested, Ω", "Initials"))
    if isinstance(table, Words) or answer is None:
        return table
    sheaths, at = sheaths_of(answer), columns.index("size") + 1
    rows = tuple(
        (*row[:at], sheaths.get(row[0], "") if answer.value("size", line) else "", *row[at:])
        for row, line in zip(table.rows, answer.rows("runs"), strict=True)
    )
    return Table(table.title, (*table.head[:at], "Sheath", *table.head[at:]), rows)


LEGS = "Fuse of a capacitor's leg"


def _legs_of(answer: Printed | None) -> list[str]:
    """What bounds the fuse of each leg of a capacitor: whoever fits it reads this sheet alone."""
    if answer is None:
        return []
    found = {str(value_in(line, "name")): value_in(line, "fuse") for line in answer.rows("runs")}
    fuses = {name: fuse for name, fuse in found.items() if isinstance(fuse, int | float)}
    legs = [run for run in _listed(answer.inputs.get("runs")) if value_in(run, "kind") == "capacitor"]
    names = [str(value_in(run, "name")) for run in legs]
    return [leg_note(name, fuses.get(name)) for name in names]


def _legs(answer: Printed | None, title: str) -> Words:
    return Words(title, tuple(_legs_of(answer)))


READ_BACK = "Read back"
CORNERS = ("Channel", "High-pass", "Low-pass", "Slope", "Polarity", READ_BACK)
JOINS: Mapping[str, tuple[str, str]] = {
    "tweeter": ("tweeter", ""),
    "subwoofer": ("", "subwoofer"),
    "woofer": ("subwoofer", "tweeter"),
}
"""By a word in a channel's name, the facts under ``crossovers`` of its high-pass and of its low-pass."""


def _corners(worked: Worked) -> Table:
    """Corner, slope and polarity of each channel as planned; a place for the pen where the job has none."""
    delays, trims = (printed_first(worked, slug) for slug in ("delay", "level-trim"))
    rows = (delays.rows("speakers") if delays else []) or (trims.rows("channels") if trims else [])
    holder = delays or trims
    names = [str(holder.value("name", row)) for row in rows] if holder else []
    lines = tuple(map(partial(_corner, worked), names))
    if facts_at(worked, "crossovers") is None:  # Which channel each of them is for, the job does not know.
        lines += tuple(_corner_of(run.name, printed_run(worked, run)) for run in _crossovers(worked))
    lines = _with_polarities(lines, facts_at(worked, "tuning.polarity"))
    return Table("Corners", CORNERS, lines or (("",) * len(CORNERS),))


def _with_polarities(lines: tuple[tuple[str, ...], ...], typed: Any) -> tuple[tuple[str, ...], ...]:
    """The lines with the polarity that was typed for each channel; a channel of no line gets one."""
    rows = [row for row in _listed(typed) if isinstance(row, dict)]
    left: dict[str, tuple[str, str]] = {}
    for row in rows:
        name, polarity = str(row.get("channel", "")), str(row.get("polarity", ""))
        _, before = left.get(name_key(name), ("", polarity))
        left[name_key(name)] = (name, polarity if polarity == before else TWO_POLARITIES)
    at, filled = CORNERS.index("Polarity"), []
    for line in lines:
        _, polarity = left.pop(name_key(line[0]), ("", ""))
        filled.append((*line[:at], polarity, *line[at + 1 :]))
    others = ((name, *("" for _ in CORNERS[1:at]), polarity, "") for name, polarity in left.values())
    return (*filled, *others)


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
    facts = [facts_at(worked, f"crossovers.{join}") if join else None for join in joins]
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


TWO_POLARITIES = "two lines differ: look"

FILTERS = {"kind": "Kind", "frequency": "Hz", "gain": "dB", "q": "Q"}


def _filters(worked: Worked) -> tuple[Table | Words, ...]:
    """The filters of each channel whose headroom was worked out; the job's own where of another."""
    answers = [answer for answer, _ in each_answer(worked, "equaliser-headroom", "") if answer]
    channel = facts_at(worked, "tuning.filters_of")
    own = not answers or bool(facts_at(worked, "tuning.filters"))
    if _key(channel) in {_key(answer.inputs.get("channel")) for answer in answers}:
        own = False
    title = f"Filters of {_channel(channel)}"
    held = (records(worked, "tuning.filters", title, FILTERS, (READ_BACK,)),) if own else ()
    return (*map(_filters_of, answers), *held, *_in_front(answers))


def _key(channel: Any) -> str:
    return name_key(str(channel or ""))


def _in_front(answers: Sequence[Printed]) -> tuple[Table, ...]:
    """The one gain in front of all channels: a cut in one alone would move the sound to the others."""
    known = [(cut, answer) for answer in answers if isinstance(cut := answer.value("cut"), int | float)]
    if not known:
        return ()
    deepest, answer = min(known, key=lambda pair: pair[0])
    kind = answer.calculator.output("cut").kind
    ticked = "" if answer.inputs.get("crossed") else "; crossovers in line are not counted: tick them"
    row = (f"{answer.words(kind, deepest)}{ticked}{answer.mark}", "")
    return (Table("Gain in front, the same for every channel", ("Gain", READ_BACK), (row,)),)


def _filters_of(answer: Printed) -> Table:
    """The filters and the moved sliders of one channel, with the gain in front that these ask for."""
    columns = next(entry.columns for entry in answer.calculator.inputs if entry.name == "filters")
    options = next(column.kind for column in columns if column.name == "kind")
    kinds = options.options if isinstance(options, Choice) else {}
    given, moved = (_listed(answer.inputs.get(name)) for name in ("filters", "gains"))
    rows = [
        (
            kinds.get(str(value_in(row, "kind")), ""),
            *(value_in(row, name) for name in list(FILTERS)[1:]),
        )
        for row in given
    ]
    sliders = zip(BAND_NAMES, moved, strict=False)
    rows += [("Slider", centre, gain, answer.inputs.get("q")) for centre, gain in sliders if gain]
    cells = tuple((*map(plain_words, row), "") for row in rows)
    channel, cut = _channel(answer.inputs.get("channel")), main_words(answer, "cut")
    title = f"Filters of {channel}; they ask for {cut} in front"
    head = (*FILTERS.values(), READ_BACK)
    return Table(title, head, cells or (("",) * len(head),))


def _listed(found: Any) -> Sequence[Any]:
    """Rows; none where no list stands there."""
    return found if is_rows(found) else ()


def _channel(name: Any) -> str:
    """A channel's name; what it is for the pen where nobody typed it."""
    return str(name or "").strip() or f"ONE channel: {BLANK}"


def tuning(worked: Worked) -> Paper:
    """What was typed into the processor."""
    source = f"Volume step {BLANK}   Tone, loudness, surround: off {BLANK}   Air in the cabin {BLANK} °C"
    parts = (
        *tables(worked, "delay", "speakers", "Delays", ("name", "set_delay", "samples"), (READ_BACK,)),
        *tables(worked, "level-trim", "channels", "Levels", ("name", "trim"), (READ_BACK,)),
        *_filters(worked),
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
