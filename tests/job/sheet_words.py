"""The words of a sheet of the job."""

from collections.abc import Iterator

from calculators.job.paper import Code, Paper, Words


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
