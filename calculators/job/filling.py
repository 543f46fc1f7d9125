"""What the tables of a sheet are filled with: answers and facts of a job, and blanks where it has none."""

from collections.abc import Mapping, Sequence
from typing import Any

from calculators.job.paper import NOT_YET, Table, Words
from calculators.job.printed import BLANK, Printed, printed_run
from calculators.job.reading import JobError
from calculators.job.working import Worked, fact


def printed_first(worked: Worked, slug: str) -> Printed | None:
    """The answer of the first run of a calculator; None where that has none: another run's is no stand-in."""
    return each_answer(worked, slug, "")[0][0]


def each_answer(worked: Worked, slug: str, title: str) -> list[tuple[Printed | None, str]]:
    """The answer of every run of a calculator, with a title that names the run where there are more."""
    runs = [run for run in worked.runs.values() if run.calculator == slug]
    titles = [title] if len(runs) < 2 else [f"{title}: {run.name}" for run in runs]
    answers = [printed_run(worked, run) if run.outcome else None for run in runs]
    return list(zip(answers or [None], titles, strict=True))


def figure(worked: Worked, slug: str, output: str) -> str:
    """One answer as a page shows it; a blank where the job has none."""
    return main_words(printed_first(worked, slug), output)


def main_words(answer: Printed | None, output: str) -> str:
    """One output of an answer as a page shows it; a blank for no answer."""
    if answer is None:
        return BLANK
    return answer.words(answer.calculator.output(output).kind, answer.value(output)) + answer.mark


def given(worked: Worked, slug: str, name: str) -> Any:
    """An input of the answer that is printed; None where there is none, or it was left empty."""
    answer = printed_first(worked, slug)
    return (answer.inputs.get(name) or None) if answer else None


def table(
    worked: Worked, slug: str, output: str, title: str, columns: Sequence[str], blanks: Sequence[str] = ()
) -> Table | Words:
    """Columns of a table of a calculator's first run, with further ones for the pen."""
    return table_of(printed_first(worked, slug), output, title, columns, blanks)


def tables(
    worked: Worked, slug: str, output: str, title: str, columns: Sequence[str], blanks: Sequence[str] = ()
) -> tuple[Table | Words, ...]:
    """Such a table of each run."""
    each = each_answer(worked, slug, title)
    return tuple(table_of(answer, output, title, columns, blanks) for answer, title in each)


def table_of(
    answer: Printed | None, output: str, title: str, columns: Sequence[str], blanks: Sequence[str]
) -> Table | Words:
    """Columns of a table of an answer; words that say so where there is none."""
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


def facts_at(worked: Worked, path: str) -> Any:
    """Facts at a path; nothing where the job has none."""
    try:
        return fact(worked.job, path)
    except JobError:
        return None


def records(
    worked: Worked, path: str, title: str, columns: Mapping[str, str], blanks: Sequence[str] = ()
) -> Table:
    """Rows of facts as a table; one line for the pen where there are none."""
    found = facts_at(worked, path)
    rows = found if isinstance(found, list) else []
    cells = tuple(
        (*(plain_words(row.get(name, "")) for name in columns), *("" for _ in blanks))
        for row in rows
        if isinstance(row, dict)
    )
    return Table(title, (*columns.values(), *blanks), cells or (("",) * (len(columns) + len(blanks)),))


def plain_words(value: Any) -> str:
    """A fact as it is written; numbers with the digits they have."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, int | float) else str(value)
