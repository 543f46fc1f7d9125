"""What is typed on one page is known on the next: forms of a calculator stand for the same facts of a job."""

from collections import defaultdict

from calculators.declaring import example_fields
from calculators.job.reading import FACT, read_job, write_job
from calculators.site.fences import body, facts_of, resolved, running_job
from calculators.stages import find_calculator
from tests.job.test_carrying import EMPTY, ask, in_form, put, text_of
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


OF_THE_TWEETER = {"commissioning.tweeter_sensitivity", "commissioning.tweeter_rating", "tweeter.resonance"}


def test_a_tweeter_s_ohms_are_no_other_speaker_s() -> None:
    """On live forms and worked examples: the running job has 4 Ω everywhere and would not show it."""
    seen = set()
    for markdown in sources().values():
        for word, source in fences(markdown):
            if word not in ("calculator", "worked"):
                continue
            slug, settings = body(source)
            facts = facts_of(settings)
            labels = {entry.name: entry.kind.label for entry in find_calculator(slug).inputs}
            assert all("tweeter" in path for name, path in facts.items() if "Tweeter" in labels[name]), source
            if "load" in labels and "power" in facts and OF_THE_TWEETER & set(facts.values()):
                assert "load" in facts, source
            if "load" in facts and OF_THE_TWEETER & set(facts.values()):
                assert facts["load"] == "tweeter.load", source
                seen.add(slug)
    assert seen == {"gain-chain", "limiter", "noise-at-ear", "tweeter-limit"}


def form_of(page: str, slug: str) -> tuple[dict[str, str], dict[str, str]]:
    """A page's live form as it stands there: the text in its fields, and the facts that they stand for."""
    fence = next(
        (
            source
            for word, source in fences(sources()[page])
            if word == "calculator" and body(source)[0] == slug
        )
    )
    settings = body(fence)[1]
    settings.pop("as")
    facts = facts_of(settings)
    return example_fields(find_calculator(slug), resolved(settings)), facts


def test_a_tweeter_s_ohms_leave_the_woofer_s_lead_as_it_is() -> None:
    lead, of_lead = form_of("stages/wiring/routing/", "speaker-lead")
    job = put(EMPTY, "speaker-lead", lead | {"load": "2"}, of_lead)
    for page, slug in (
        ("stages/faults/rattle/", "tweeter-limit"), ("stages/tuning/crossovers/", "tweeter-limit"),
        ("stages/faults/hiss/", "noise-at-ear"), ("stages/verification/noise/", "noise-at-ear"),
        ("stages/commissioning/gain/", "limiter"), ("stages/design/gain-structure/", "gain-chain"),
    ):  # fmt: skip
        fields, facts = form_of(page, slug)
        assert "load" not in in_form(job, slug, facts)
        after = put(job, slug, fields | {"load": "8"}, facts)
        assert (after["woofer"]["load"], after["tweeter"]["load"]) == (2.0, 8.0)
        assert "speaker-lead" not in [entry["name"] for entry in ask("stand", job=text_of(after))["stale"]]


def test_a_job_whose_tweeter_took_the_woofer_s_ohms_opens_with_them_at_its_own_fact() -> None:
    fields, facts = form_of("stages/faults/rattle/", "tweeter-limit")
    old = put(EMPTY, "tweeter-limit", fields | {"load": "2"}, facts | {"load": "woofer.load"})
    job = put(read_job(write_job(old)), "tweeter-limit", fields | {"load": "8"}, facts)
    runs = [run for run in job["sheet"]["runs"] if run["calculator"] == "tweeter-limit"]
    assert [run["inputs"]["load"] for run in runs] == ["job:tweeter.load"]
    assert (job["woofer"]["load"], job["tweeter"]["load"]) == (2.0, 8.0)
