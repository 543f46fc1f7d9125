"""What is typed on one page is known on the next: forms of a calculator stand for the same facts of a job."""

from collections import defaultdict

from calculators.job.reading import FACT
from calculators.site.fences import body, facts_of, running_job
from tests.site.test_pages import fences, sources

MEANT = {
    ("battery-drain", "drains"): "before the upgrade, and after it",
    ("cure-time", "data_time"): "a sealant, and a primer",
    ("cure-time", "temperature"): "air at night, and a panel",
    ("hold-up", "duration"): "what is wanted, and what was measured",
    ("noise-dose", "exposures"): "a day of tuning, and a hunt for rattles",
}
"""Inputs that mean another thing on another page."""


def facts_by_input() -> dict[tuple[str, str], set[str]]:
    """The facts that each input stands for, on pages and in the running job's own runs."""
    found: dict[tuple[str, str], set[str]] = defaultdict(set)
    for run in running_job()["sheet"]["runs"]:
        for name, value in run["inputs"].items():
            if value.startswith(FACT):
                found[run["calculator"], name].add(value.removeprefix(FACT))
    for markdown in sources().values():
        for word, source in fences(markdown):
            if word == "calculator":
                slug, settings = body(source)
                for name, path in facts_of(settings).items():
                    found[slug, name].add(path)
    return found


def test_an_input_stands_for_one_fact_on_every_page() -> None:
    found = facts_by_input()
    assert len(found) > 100
    assert {entry for entry, paths in found.items() if len(paths) > 1} == set(MEANT)
    assert found["delay", "speakers"] == {"geometry.measured"}
