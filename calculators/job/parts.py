"""What to buy for a job: the parts of all its answers, needed and with spare, on a sheet and as a table.

Spare is common practice, no source, and the same as on the page of parts: cable 10 % over, one fuse more of
each size, two connectors and fixings more of each kind; sheets as the treatment plan orders them, with the
plan's own spare, and board in whole sheets by its cut list.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import ceil
from typing import Any, Literal

from calculators.declaring import Choice, Output
from calculators.declaring.csv_rows import csv_text
from calculators.declaring.quantities import AREA, CURRENT, LENGTH
from calculators.job.agreement import unscheduled
from calculators.job.examples import OF_EXAMPLE, examples_in
from calculators.job.paper import Paper, Table, Words
from calculators.job.printed import Printed, is_rows, printed_run
from calculators.job.working import Worked
from calculators.presenting.values import shown_number

type Goods = Literal["cable", "fuse", "piece", "sheet", "board"]

OVER = 1.1
"""Cable, times what is needed."""

TO_ORDER: Mapping[Goods, Callable[[float], int]] = {
    "cable": lambda metres: ceil(round(OVER * metres, 6)),
    "fuse": lambda count: ceil(count) + 1,
    "piece": lambda count: ceil(count) + 2,
    "sheet": ceil,
    "board": ceil,
}
"""What to order of each kind of goods: cable in whole metres, all else in pieces."""

AREAS, SIZES = Output("", AREA, show="mm²", figures=3, trim=True), Output("", LENGTH, show="mm", decimals=0)
AMPERES = Output("", CURRENT, figures=3, trim=True)

HEAD = ("What", "Needed", "To order, with spare", "For")
SPARE = (
    "With spare: cable in whole metres and 10 % over, one fuse more of each size, two connectors and fixings "
    "more of each kind (common practice, no source); sheets as the plan orders them, its spare counted; "
    "board by the cut list. Charged is what was used."
)
ENDS = (
    "A connector is counted once a run, as the schedule names it: look at the run's other end. A fuse is of "
    "the series and size of its holder. Cable is counted by size, colour and sheath, "
    "speaker leads by size and sheath."
)
NOT_IN_IT = "Not in this list: fuse holders, blocks, relays, devices, clips"
WITHOUT: Mapping[str, str] = {"treatment-plan": "sheets", "box-volume": "board", "fixing-load": "bolts"}
"""What is not counted where a job has no answer of a calculator."""


@dataclass(frozen=True)
class Needed:
    """One kind of part: how much of it is needed, metres of cable and pieces of all else, and what for."""

    goods: Goods
    what: str
    count: float
    use: tuple[str, ...]

    @property
    def unit(self) -> str:
        """Of what is needed: metres, or nothing for pieces."""
        return " m" if self.goods == "cable" else ""

    @property
    def row(self) -> tuple[str, str, str, str]:
        """It as a line of the list."""
        count = f"{round(self.count, 1):g}{self.unit}"
        return self.what, count, f"{TO_ORDER[self.goods](self.count)}{self.unit}", ", ".join(self.use)


def parts_of(worked: Worked) -> tuple[Needed, ...]:
    """All parts of a job's answers: what is alike is added up, in the order in which it is first named.

    In a job with a wiring schedule a cable worked out by itself is a step on the way to a line of it; one
    that no line stands for is listed, and says so.
    """
    runs = [run for run in worked.runs.values() if run.outcome is not None]
    scheduled, left = any(run.calculator == "wiring-schedule" for run in runs), unscheduled(worked.runs)
    found: dict[tuple[Goods, str], Needed] = {}
    for run in runs:
        made = MAKERS.get(run.calculator)
        alone = scheduled and run.calculator in ("cable", "speaker-lead")
        if made is None or (alone and run.name not in left):
            continue
        note = ", not in the schedule" if alone else ""
        answer = printed_run(worked, run)
        for part in made(answer, run.name):
            have = found.get((part.goods, part.what), replace(part, count=0, use=()))
            use = dict.fromkeys((*have.use, *(words + note + answer.mark for words in part.use)))
            found[part.goods, part.what] = replace(part, count=have.count + part.count, use=tuple(use))
    goods = list(TO_ORDER)
    return tuple(sorted(found.values(), key=lambda part: goods.index(part.goods)))


def parts_list(worked: Worked) -> Paper:
    """What to buy, with columns for the pen."""
    blanks = ("Ordered", "Used")
    rows = tuple((*part.row, *("" for _ in blanks)) for part in parts_of(worked))
    list_ = Table("Parts", (*HEAD, *blanks), rows or (("",) * (len(HEAD) + len(blanks)),))
    return Paper(
        name="parts-list", title="Parts list", says="for the shop", to_customer=False,
        parts=(list_, Words("How it is counted", (SPARE, ENDS, *_unnamed(worked), _not_counted(worked)))),
    )  # fmt: skip


def _unnamed(worked: Worked) -> Iterator[str]:
    """Runs of schedules whose connector nobody named: none is counted for them."""
    schedules = [run for run in worked.runs.values() if run.calculator == "wiring-schedule" and run.outcome]
    rows = [row for run in schedules for row in printed_run(worked, run).rows("runs")]
    if bare := [str(value_in(row, "name")) for row in rows if not _connector(row)]:
        yield f"The schedule names no connector for {', '.join(bare)}: none is counted."


def _not_counted(worked: Worked) -> str:
    """What the list does not hold."""
    have = {run.calculator for run in worked.runs.values() if run.outcome is not None}
    lacking = [words for slug, words in WITHOUT.items() if slug not in have]
    return NOT_IN_IT + (f"; and, for want of an answer, {', '.join(lacking)}." if lacking else ".")


def parts_csv(worked: Worked) -> bytes:
    """The list as a table: counts as numbers, and their unit apart; under it what is still an example's."""
    rows: list[tuple[str, ...]] = [
        (what, f"{round(part.count, 1):g}", str(TO_ORDER[part.goods](part.count)), part.unit.strip(), use)
        for part, (what, _, _, use) in ((part, part.row) for part in parts_of(worked))
    ]
    head = (*HEAD[:3], "Unit", HEAD[3])
    lines = examples_in(worked.job)
    of_example: list[tuple[str, ...]] = [(), (OF_EXAMPLE,), *((line,) for line in lines)] if lines else []
    return csv_text([head, *rows, *of_example]).encode("utf-8", "replace")


def value_in(row: Any, name: str) -> Any:
    """A member of a row, worked out today or kept as plain data."""
    return row.get(name) if isinstance(row, dict) else getattr(row, name, None)


def _number(value: Any) -> float:
    """A number; 0 for what is none, or not over 0: of nothing less than nothing is bought."""
    good = isinstance(value, int | float) and not isinstance(value, bool) and value > 0
    return float(value) if good else 0.0


def _words(kind: Output, value: Any) -> str:
    return shown_number(kind, _number(value)).replace("\u00a0", " ")


def sheaths_of(answer: Printed) -> dict[str, str]:
    """The sheath of each run of a wiring schedule, in words, by the run's name."""
    return {
        str(value_in(row, "name")): _sheath(answer, value_in(row, "insulation"))
        for row in _rows_given(answer)
    }


def _rows_given(answer: Printed) -> Any:
    """The runs that were typed into a wiring schedule; none where what was kept is no list of them."""
    rows = answer.inputs.get("runs")
    return rows if is_rows(rows) else ()


def _sheath(answer: Printed, typed: Any) -> str:
    """A sheath in words; that of the whole form where it was left open."""
    kind = next(entry.kind for entry in answer.calculator.inputs if entry.name == "insulation")
    options = kind.options if isinstance(kind, Choice) else {}
    chosen = typed if isinstance(typed, str) and typed in options else answer.inputs.get("insulation")
    return str(options.get(str(chosen), ""))


def _cable(size: Any, colour: str, sheath: str) -> str:
    """A single cable as it is bought: size, colour without its label, sheath."""
    colour = colour.partition(",")[0].strip()
    return f"Cable {_words(AREAS, size)}{f', {colour}' if colour else ''}{f' ({sheath})' if sheath else ''}"


def _connector(row: Any) -> str:
    """The connector of a line of a schedule; nothing where none is named."""
    return str(value_in(row, "connector") or "").strip()


def _of_schedule(answer: Printed, name: str) -> Iterator[Needed]:
    given = {str(value_in(row, "name")): value_in(row, "kind") for row in _rows_given(answer)}
    sheaths = sheaths_of(answer)
    for row in answer.rows("runs"):
        run, size, fuse = (value_in(row, key) for key in ("name", "size", "fuse"))
        sheath = sheaths.get(str(run), "")
        use = (str(run),)
        what = (
            f"Speaker lead, two wires of {_words(AREAS, size)} ({sheath})"
            if given.get(str(run)) == "speaker"
            else _cable(size, str(value_in(row, "colour") or ""), sheath)
        )
        yield Needed(
            "cable", what if size else f"Cable as drawn, {run}", _number(value_in(row, "length")), use
        )
        if fuse:
            yield Needed("fuse", f"Fuse {_words(AMPERES, fuse)}", 1, use)
        if connector := _connector(row):
            yield Needed("piece", f"{connector}, {_words(AREAS, size)}" if size else connector, 1, use)


def _of_cable(answer: Printed, name: str) -> Iterator[Needed]:
    size, fuse = answer.value("size"), answer.value("fuse")
    if size:
        what = _cable(size, "", _sheath(answer, None))
        yield Needed("cable", what, _number(answer.value("loop")), (name,))
    if fuse:
        yield Needed("fuse", f"Fuse {_words(AMPERES, fuse)}", 1, (name,))


def _of_lead(answer: Printed, name: str) -> Iterator[Needed]:
    what = f"Speaker lead, two wires of {_words(AREAS, answer.inputs.get('area'))}"
    yield Needed("cable", what, _number(answer.value("one_way")), (name,))


def _of_treatment(answer: Printed, name: str) -> Iterator[Needed]:
    for row in answer.rows("orders"):
        if sheets := _number(value_in(row, "sheets")):
            yield Needed("sheet", f"Sheet, {value_in(row, 'goods')}", sheets, (name,))


def _of_box(answer: Printed, name: str) -> Iterator[Needed]:
    sides = (_words(SIZES, answer.inputs.get(side)) for side in ("sheet_length", "sheet_width"))
    kind = next(entry.kind for entry in answer.calculator.inputs if entry.name == "board")
    boards = kind.options if isinstance(kind, Choice) else {}
    label = boards.get(str(answer.inputs.get("board")), "Board")
    what = f"{label}, {_words(SIZES, answer.inputs.get('panel'))}"
    yield Needed("board", f"{what}, sheet of {' × '.join(sides)}", _number(answer.value("sheets")), (name,))


def _of_fixings(answer: Printed, name: str) -> Iterator[Needed]:
    if answer.inputs.get("holder") == "bolt":
        size, grade = 1000 * _number(answer.inputs.get("bolt")), answer.inputs.get("bolt_class")
        what = f"Bolt M{size:g}, {str(grade).upper()}, with nut and washer of its own class"
        yield Needed("piece", what, _number(answer.inputs.get("fixings_used")), (name,))


MAKERS: Mapping[str, Callable[[Printed, str], Iterator[Needed]]] = {
    "wiring-schedule": _of_schedule,
    "cable": _of_cable,
    "speaker-lead": _of_lead,
    "treatment-plan": _of_treatment,
    "box-volume": _of_box,
    "fixing-load": _of_fixings,
}
"""What each calculator's answer needs, with the name of its run."""
