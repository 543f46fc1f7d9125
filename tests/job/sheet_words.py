"""The words of the sheets of a job."""

from collections.abc import Iterator

from calculators.job.paper import Code, Paper, Words
from calculators.job.papers import papers
from calculators.job.working import Worked


def words_of(paper: Paper) -> Iterator[str]:
    """Everything that stands on a sheet."""
    yield paper.title
    for part in paper.parts:
        yield part.title
        if isinstance(part, Words):
            yield from part.lines
        elif isinstance(part, Code):
            yield part.says
        else:
            yield from part.head
            for row in part.rows:
                yield from row


def on_paper(done: Worked, name: str) -> list[str]:
    """Everything that stands on one sheet of a job that was worked out, by the sheet's name."""
    (paper,) = (paper for paper in papers(done) if paper.name == name)
    return list(words_of(paper))
