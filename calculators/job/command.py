"""`python -m calculators job FILE`: a job worked out whole, what is left of it, and its sheets."""

from collections.abc import Iterator

from calculators.job.changing import kept
from calculators.job.codes import coded
from calculators.job.papers import papers
from calculators.job.parts import parts_csv
from calculators.job.printing import page
from calculators.job.reading import write_job
from calculators.job.working import Worked

JOB_FILE = "job.json"
FINISHED, LEFT_TO_DO = 0, 1


def report(worked: Worked) -> str:
    """What stands, what is stale, missing and out of tolerance, in words for a terminal."""
    title = worked.job["sheet"]["title"]
    lines = [f"{title}: {len(worked.runs)} runs, {len(worked.proof)} lines of proof."]
    for run in worked.runs.values():
        lines.append(f"  {run.name:<24} {run.standing:<8} {run.why}".rstrip())
    stale = [f"{run.name}: {run.why}" for run in worked.stale]
    outside = [f"{line.name}: {line.measured:g} {line.unit}".rstrip() for line in worked.out_of_tolerance]
    outside += [f"{name}: {wrong}" for name, wrong in worked.failing]
    for head, entries in (("Stale", stale), ("Missing", worked.missing), ("Out of tolerance", outside)):
        lines += ["", f"{head}: {len(entries)}", *(f"  {entry}" for entry in entries)]
    return "\n".join(lines)


def status(worked: Worked) -> int:
    """0 for a job with nothing stale, missing or out of tolerance; 1 for any other."""
    return FINISHED if worked.finished else LEFT_TO_DO


def files(
    worked: Worked, date: str, version: str, renew: bool = False, address: str = "", shop: str = ""
) -> Iterator[tuple[str, bytes]]:
    """The sheets, those of customers in large type too, and the job with its answers, by file name.

    An answer that is out of date stays as it was kept, unless ``renew`` asks for today's and no
    signed hold point closes it. With a handbook's ``address`` the tuning sheet has codes that open there;
    ``shop`` stands on each sheet.
    """
    title = worked.job["sheet"]["title"]
    for paper in papers(worked):
        yield (
            f"{paper.name}.html",
            page(coded(paper, title, address), title, date, version, shop=shop).encode("utf-8", "replace"),
        )
        if paper.to_customer and not paper.card:
            yield (
                f"{paper.name}-large.html",
                page(paper, title, date, version, True, shop).encode("utf-8", "replace"),
            )
    yield "parts-list.csv", parts_csv(worked)
    yield JOB_FILE, write_job(kept(worked, renew, date))
