"""A result as HTML in two levels: dangers, what it is for, the main answer and what decided it, the first
chart, notes, tables; then, folded, all other figures and charts.

The site build and the worker call the same functions, so a page shows the same answer before and
after Python has woken.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from calculators.declaring import (
    Chart,
    Choice,
    Drawing,
    InputField,
    Made,
    Number,
    Outcome,
    Output,
    OutputBrief,
    OutputChart,
    OutputCurve,
    OutputDrawing,
    OutputField,
    OutputFile,
    OutputPaper,
    OutputRows,
    OutputSound,
    OutputText,
)
from calculators.declaring.inputs.kind import Kind, in_sentence
from calculators.declaring.outputs import Advice, OutputKind
from calculators.presenting.charts import chart
from calculators.presenting.chosen_units import outputs_shown
from calculators.presenting.drawings import drawing, paper
from calculators.presenting.escaping import text, texts
from calculators.presenting.inputs import shown_input
from calculators.presenting.listening import listening
from calculators.presenting.stacking import stack_mark, stacks, with_roles
from calculators.presenting.values import shown, shown_number

MOST_IN_BRIEF = 6
"""Rows that are told one by one over an answer; of more, how many there are."""
MAIN = '<div class="dc-main'
LONG_WORDS = 20
"""Letters of a main answer that are set smaller, for they are words and no figure."""
SENTENCE = 24
"""A column of words with a longer one gets room for sentences."""
SENTENCES = "dc-sentences"
TORN = 18
"""Letters of words behind numbers, of which a phone leaves no more than one torn word a line."""
MANY_OF_WORDS = 3
"""Columns of words that a phone cannot set side by side; numbers stay in columns, to be compared."""
SHOWN_AT_ONCE = 4
"""The main answer and what decided it: the three declared next."""
LEAST_FOLDED = 2
"""Fewer are not worth a fold."""


def result_html(done: Outcome, form: bool = True) -> str:
    """A whole result; if there are errors, one sentence that points to them.

    ``form`` says whether it stands under the form it answers: advice then leads to its row there.
    """
    if done.errors:
        return '<p class="dc-waiting">No answer yet: see the field marked above.</p>'
    rows = {entry.name: entry.kind for entry in done.calculator.inputs if form and entry.columns}
    dangers = "".join(advice_html(entry, rows) for entry in done.advice if entry.danger)
    notes = "".join(advice_html(entry, rows) for entry in done.advice if not entry.danger)
    singles: list[str] = []
    charts: list[str] = []
    blocks: list[str] = []
    outputs = {output.name: output for output in outputs_shown(done)}
    for output in outputs.values():
        value = getattr(done.result, output.name)
        block = BLOCKS.get(type(output.kind))
        if block is None:
            brief = outputs.get(getattr(output.kind, "brief", ""))
            singles.append(single_html(output, value, in_brief(brief, done) if brief else ""))
            continue
        html = block(output, value, form)
        (charts if html and isinstance(output.kind, OutputChart) else blocks).append(html)
    singles.sort(key=lambda html: not html.startswith(MAIN))  # The others stay as declared.
    first, rest = singles[:SHOWN_AT_ONCE], singles[SHOWN_AT_ONCE:]
    if len(rest) < LEAST_FOLDED:
        first, rest = singles, []
    return (
        f"{dangers}{given_html(done)}{answers_html(first)}{''.join(charts[:1])}{notes}{''.join(blocks)}"
        f"{folded('All figures', answers_html(rest))}{folded('More charts', ''.join(charts[1:]))}"
    )


def answers_html(singles: list[str]) -> str:
    """Answers as a list; without one, nothing."""
    return f'<dl class="dc-answers">{"".join(singles)}</dl>' if singles else ""


def folded(words: str, html: str) -> str:
    """The second level of a result, closed until it is asked for; without content, nothing."""
    return f'<details class="dc-second"><summary>{words}</summary>{html}</details>' if html else ""


def spoken(done: Outcome) -> str:
    """What a screen reader is told: the first thing wrong; or each danger, then the main answer."""
    if done.errors:
        return done.errors[0].message
    said = [f"Danger: {entry.message}" for entry in done.advice if entry.danger]
    for output in outputs_shown(done):
        if getattr(output.kind, "main", False):
            said.append(f"{output.kind.label}: {shown(output, getattr(done.result, output.name))}")
    return " ".join(said or ["Answer updated."])


def advice_html(entry: Advice, rows: Mapping[str, Kind]) -> str:
    """A warning that belongs to a result; one about a row of a long form leads to its field."""
    kind, word = ("dc-danger", "Danger") if entry.danger else ("dc-note", "Check")
    name, bracket, _ = entry.about.partition("[")
    one = getattr(rows.get(name), "one", None) if bracket else None
    leads = (
        f' <button type="button" class="dc-button dc-about" data-about="{text(entry.about)}">'
        f"To this {text(one)}</button>"
        if one
        else ""
    )
    return f'<p class="dc-advice {kind}"><strong>{word}:</strong> {text(entry.message)}{leads}</p>'


def in_brief(output: OutputField, done: Outcome) -> str:
    """Attributes of a main answer in words: what a phone shows over it as a figure, and its name."""
    figure = shown(output, getattr(done.result, output.name))
    return f' data-name="{text(output.kind.label)}" data-figure="{text(figure)}"'


def single_html(output: OutputField, value: object, brief: str = "") -> str:
    """One answer with its label and the attributes of ``in_brief``, and other units in brackets."""
    kind = output.kind
    words, more = shown(output, value), ""
    start = "<div>"
    if kind.main:
        start = f'{MAIN}{" dc-words" if len(words) > LONG_WORDS else ""}"{brief}>'
    if isinstance(kind, Output) and kind.also and isinstance(value, int | float):
        units = ", ".join(shown_number(kind, value, unit) for unit in kind.also)
        more = f' <span class="dc-also">({text(units)})</span>'
    told = in_lines(words) if kind.main else text(words)
    return f"{start}<dt>{text(kind.label)}</dt><dd>{told}{more}</dd></div>"


def in_lines(words: str) -> str:
    """A main answer of several parts, each on a line of its own: they are typed in one by one."""
    parts = words.split("; ")
    if len(parts) == 1:
        return text(words)
    return " ".join(f"<span>{text(part)}{';' if part is not parts[-1] else ''}</span>" for part in parts)


def file_html(output: OutputField, made: Made | None, live: bool) -> str:
    """A file made: what it is, and a link that the page gives an address once it has the bytes."""
    if made is None:
        return ""
    kind = output.kind
    assert isinstance(kind, OutputFile)
    told = f"{text(kind.label)}: {text(shown(output, made))}"
    sheet = ' data-sheet=""' if kind.sheet else ""
    if made.too_large:
        return f'<p class="dc-file">{told}, too large for a page to make</p>'
    return (
        f'<p class="dc-file">{told} '
        f'<a class="dc-button" data-file="{output.name}"{sheet} download="{text(made.name)}">'
        "Keep this file</a></p>"
    )


def table_html(output: OutputField, rows: tuple[object, ...], live: bool) -> str:
    """A table of records; it scrolls sideways by itself on a narrow screen. Without a record, nothing.

    Only a ``live`` one has a script that copies it.
    """
    if not rows:
        return ""
    kind = output.kind
    assert isinstance(kind, OutputRows)
    cells = [[shown(column, getattr(row, column.name)) for column in output.columns] for row in rows]
    by_column = list(zip(*cells, strict=True))
    marks = [mark_of_words(column, words) for column, words in zip(output.columns, by_column, strict=True)]
    heads = [column.kind.label for column in output.columns]
    head = "".join(
        f'<th scope="col"{mark}>{text(label)}</th>' for label, mark in zip(heads, marks, strict=True)
    )
    torn = any(
        mark and max(map(len, column)) > TORN for mark, column in list(zip(marks, by_column, strict=True))[1:]
    )
    told = torn or any(SENTENCES in mark for mark in marks) or sum(map(bool, marks)) >= MANY_OF_WORDS
    stacked = told and stacks(by_column)
    if stacked:
        marks = [mark + stack_mark(label) for mark, label in zip(marks, heads, strict=True)]
    body = "".join(f"<tr>{row_html(row, marks)}</tr>" for row in cells)
    copy = '<button type="button" class="dc-button dc-copy">Copy this table</button>'
    copy = copy if kind.copy and live else ""
    table = (
        f'<table class="dc-table"><caption>{text(kind.label)}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    )
    if stacked:
        table = with_roles(table).replace("<table ", '<table data-stacks="" ')
    table = (
        f'<div class="dc-table-block"><div class="dc-scroll" tabindex="0" role="group" '
        f'aria-label="{text(kind.label)}">{table}</div>{copy}</div>'
    )
    if kind.fold:
        return f'<details class="dc-fold"><summary>{text(kind.label)}</summary>{table}</details>'
    return table


def chart_html(output: OutputField, value: Chart | None, live: bool) -> str:
    """A chart, where there is something to draw."""
    return chart(value) if value else ""


def drawing_html(output: OutputField, value: Drawing, live: bool) -> str:
    """A picture in lines."""
    return drawing(value)


def nothing_html(output: OutputField, value: object, live: bool) -> str:
    """Nothing: a brief stands in a phone's bar, by ``in_brief``, and a response is shown by its chart."""
    return ""


def paper_html(output: OutputField, value: tuple[Drawing, ...], form: bool) -> str:
    """Sheets of paper, each printed alone on its page."""
    return "".join(map(paper, value))


BLOCKS: dict[type[OutputKind], Callable[[OutputField, Any, bool], str]] = {
    OutputRows: table_html,
    OutputChart: chart_html,
    OutputDrawing: drawing_html,
    OutputPaper: paper_html,
    OutputCurve: nothing_html,
    OutputBrief: nothing_html,
    OutputFile: file_html,
    OutputSound: listening,
}
"""The kinds that stand on a page as blocks of their own; the others are answers of one line."""


def mark_of_words(column: OutputField, cells: Sequence[str]) -> str:
    """The class of a column of words, which stand from the left; sentences get room."""
    if not isinstance(column.kind, OutputText):
        return ""
    return f' class="dc-words {SENTENCES}"' if max(map(len, cells)) > SENTENCE else ' class="dc-words"'


def row_html(cells: Sequence[str], marks: Sequence[str]) -> str:
    """The cells of one record; the first names the row."""
    name, *others = texts(cells)
    rest = (f"<td{mark}>{cell}</td>" for cell, mark in zip(others, marks[1:], strict=True))
    return f'<th scope="row">{name}</th>{"".join(rest)}'


def given_html(done: Outcome) -> str:
    """The values this answer is for: in a few lines over it, and as a table where fields are not printed."""
    used = [
        entry
        for entry in by_use(done.calculator.inputs)
        if done.arguments.get(getattr(entry.kind, "unless", "")) is None
    ]
    given = [line for entry in used for line in given_lines(entry, done)]
    plain = self_evident(done.calculator.inputs)
    if not given:
        return ""
    short = text("; ".join(words if label in plain else brief for brief, label, words in given if brief))
    body = "".join(
        f'<tr><th scope="row">{text(label)}</th><td>{text(value)}</td></tr>' for _, label, value in given
    )
    told = f'<p class="dc-for"><strong>For:</strong> {short}</p>' if short else ""
    return f'{told}<table class="dc-given"><caption>For these values</caption><tbody>{body}</tbody></table>'


def self_evident(inputs: tuple[InputField, ...]) -> set[str]:
    """Labels of inputs whose value says by itself what it is: a choice, the only number in its unit."""
    units = Counter(entry.kind.unit for entry in inputs if isinstance(entry.kind, Number))
    return {
        entry.kind.label
        for entry in inputs
        if isinstance(entry.kind, Choice)
        or (isinstance(entry.kind, Number) and entry.kind.unit.symbol and units[entry.kind.unit] == 1)
    }


def by_use(inputs: tuple[InputField, ...]) -> list[InputField]:
    """The inputs as they were declared, but what is seldom changed comes last."""
    return sorted(inputs, key=lambda entry: getattr(entry.kind, "seldom", False))


def given_lines(entry: InputField, done: Outcome) -> list[tuple[str, str, str]]:
    """One input, or one line for each of its rows: in brief, and as label and value.

    Many rows are counted in brief, so that the answer stays in sight of the form; a number left empty is told
    in full alone. A text left empty is not told: its label would stand there with nothing behind it.
    """
    value = done.arguments.get(entry.name)
    if entry.columns:
        rows = value or ()
        columns = [(column, done.units.get(f"{entry.name}[].{column.name}")) for column in entry.columns]
        cells = [
            [
                (column.kind.label, words)
                for column, unit in columns
                if (words := shown_input(column, getattr(row, column.name), unit))
            ]
            for row in rows
        ]
        if len(rows) > MOST_IN_BRIEF:
            briefs = [f"{len(rows)} {in_sentence(entry.kind.label)}"] + [""] * (len(rows) - 1)
        else:
            briefs = [", ".join(words for _, words in row) for row in cells]
        one = getattr(entry.kind, "one", "").capitalize()
        fulls = [", ".join(f"{label} {words}" for label, words in row) for row in cells]
        return [(brief, one, full) for brief, full in zip(briefs, fulls, strict=True)]
    label, words = entry.kind.label, shown_input(entry, value, done.units.get(entry.name))
    brief = "" if value is None else f"{label} {words}"
    return [(brief, label, words)] if words else []
