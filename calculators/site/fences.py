"""What a page may hold besides Markdown: calculators, worked examples, look-up tables, figures, cautions,
answers in running text.

Each is a fence of pymdownx; its body names a calculator and, as YAML, the values it starts from.
``job:geometry.speakers`` stands for that value of the running job (``docs/job.json``). Whatever is
wrong is reported with page and line and stops the build.
"""

import json
import re
from collections.abc import Callable, Sequence
from functools import cache, wraps
from pathlib import Path
from typing import Any

import yaml
from markdown import Markdown
from pymdownx.inlinehilite import InlineHiliteException
from pymdownx.superfences import SuperFencesException

from calculators.cautions import CAUTIONS
from calculators.declaring import InputError, Outcome
from calculators.declaring.errors import DeclarationError
from calculators.presenting.drawings import drawing
from calculators.presenting.escaping import text
from calculators.presenting.inputs import shown_input
from calculators.presenting.values import find_input, find_value, shown, shown_number
from calculators.self_checks import BLOCKS
from calculators.site import blocks, look_up, memory
from calculators.site.figures import FIGURES
from calculators.site.pictures import pictures
from calculators.site.study import order_html
from calculators.site.yaml_text import from_yaml
from calculators.stages import find_calculator

JOB_FILE = Path("docs/job.json")
JOB = "job:"


class PageError(Exception):
    """Something on a page that cannot be shown; the message says what."""


@cache
def running_job() -> dict[str, Any]:
    """The running job's inputs, in SI units."""
    data: dict[str, Any] = json.loads(JOB_FILE.read_text(encoding="utf-8"))
    return data


def job_value(path: str) -> Any:
    """The value at a path of the running job, as a run names it; raises PageError if there is none."""
    value: Any = running_job()
    try:
        for step in path.replace("[", ".").replace("]", "").split("."):
            value = value[int(step)] if isinstance(value, list) else value[step]
    except (LookupError, TypeError, ValueError):
        raise PageError(f"the running job has no {path!r}") from None
    return value


def resolved(value: Any) -> Any:
    """A fence's values with every ``job:`` reference replaced by what the job holds."""
    if isinstance(value, str) and value.startswith(JOB):
        return job_value(value.removeprefix(JOB))
    if isinstance(value, dict):
        return {name: resolved(entry) for name, entry in value.items()}
    if isinstance(value, list):
        return [resolved(entry) for entry in value]
    return value


def body(source: str) -> tuple[str, dict[str, Any]]:
    """A fence's first line, and the YAML mapping under it."""
    first, _, rest = source.strip().partition("\n")
    try:
        settings = from_yaml(rest) or {}
    except yaml.YAMLError as error:
        raise PageError(f"its values are not YAML: {error}") from None
    if not isinstance(settings, dict):
        raise PageError("its values must be written as name: value")
    return first.strip(), settings


def run_example(slug: str, settings: dict[str, Any]) -> Outcome:
    """Run a calculator on a fence's values, or on its own example; raises PageError."""
    try:
        calculator = find_calculator(slug)
    except KeyError as error:
        raise PageError(error.args[0]) from None
    values = resolved(settings) if settings else dict(calculator.example)
    outcome = look_up.run_once(calculator, values)
    if outcome.errors:
        raise PageError("; ".join(str(error) for error in outcome.errors))
    return outcome


def reported(failure: type[Exception]) -> Callable[[Callable[..., str]], Callable[..., str]]:
    """Turn any exception of a formatter into the one its extension lets through, with its place.

    Any other exception would be swallowed there, and the page published with its source as code.
    """

    def wrap(formatter: Callable[..., str]) -> Callable[..., str]:
        @wraps(formatter)
        def formatted(source: str, *arguments: Any, **options: Any) -> str:
            markdown = next(entry for entry in (*arguments, *options.values()) if isinstance(entry, Markdown))
            try:
                return formatter(source, markdown)
            except Exception as error:
                said = f"{place(markdown, source)}: {formatter.__name__}: {reason(error)}"
                raise failure(said) from error

        return formatted

    return wrap


def reason(error: Exception) -> str:
    """What an exception says of a page: its words where they are ours, else its kind with them."""
    if isinstance(error, KeyError) and " " in str(error.args[0]):  # A sentence, and not the bare key.
        return str(error.args[0])
    ours = isinstance(error, PageError | look_up.TableError | InputError | DeclarationError)
    return str(error) if ours else repr(error)


def page_file(markdown: Markdown) -> Any:
    """MkDocs' record of the page being built, or None outside MkDocs."""
    if "relpath" not in markdown.treeprocessors:
        return None
    return getattr(markdown.treeprocessors["relpath"], "file", None)


def place(markdown: Markdown, source: str) -> str:
    """Page and line of a fence, as well as they can be known."""
    record = page_file(markdown)
    name = getattr(record, "src_uri", "page")
    first = source.strip().partition("\n")[0]
    if record is not None and getattr(record, "abs_src_path", None):
        lines = Path(record.abs_src_path).read_text(encoding="utf-8").splitlines()
        wanted = source.strip().splitlines()
        for number in range(len(lines)):
            if [line.strip() for line in lines[number : number + len(wanted)]] == [w.strip() for w in wanted]:
                return f"{name}:{number + 1}"
        for number, line in enumerate(lines, 1):
            if first in line:
                return f"{name}:{number}"
    return f"{name}: {first}"


def to_root(markdown: Markdown) -> str:
    """Relative address of the site's root from the page being built."""
    url = getattr(page_file(markdown), "url", "")
    return "../" * url.count("/") or "./"


def named_runs(markdown: Markdown) -> dict[str, Outcome]:
    """The runs of this page by name, for answers in its text."""
    if not hasattr(markdown, "doorcard_runs"):
        markdown.doorcard_runs = {}
    runs: dict[str, Outcome] = markdown.doorcard_runs
    return runs


def remember(markdown: Markdown, name: str, outcome: Outcome) -> None:
    """Keep a run under its name; the same name twice on a page is an error."""
    runs = named_runs(markdown)
    if name in runs and runs[name].arguments != outcome.arguments:
        raise PageError(f"two examples on this page are called {name!r}: give one a name with 'as:'")
    runs[name] = outcome


@reported(SuperFencesException)
def calculator(source: str, markdown: Markdown) -> str:
    """A live calculator: form, answer, equations, sources, cautions."""
    slug, settings = body(source)
    name = settings.pop("as", slug)
    facts = facts_of(settings)
    outcome = run_example(slug, settings)
    remember(markdown, name, outcome)
    prefix = f"{slug}-{len(named_runs(markdown))}"
    owed = cautions_owed(outcome.calculator.cautions, markdown)
    unknown = sorted(set(facts) - {entry.name for entry in outcome.calculator.inputs})
    if unknown:
        raise PageError(f"in_job: there is no such input: {', '.join(unknown)}")
    return blocks.calculator(outcome, resolved(settings) or None, prefix, to_root(markdown), owed, facts)


def facts_of(settings: dict[str, Any]) -> dict[str, str]:
    """The facts of a job that a form's inputs stand for, by input: those that it starts from, or as `in_job:`
    says, which is taken out of the settings: it is no input.
    """
    named = settings.pop("in_job", {})
    if not isinstance(named, dict) or not all(isinstance(path, str) for path in named.values()):
        raise PageError("in_job: must be written as {input: fact}")
    given = {
        entry: value.removeprefix(JOB)
        for entry, value in settings.items()
        if isinstance(value, str) and value.startswith(JOB)
    }
    return given | named


def cautions_owed(keys: Sequence[str], markdown: Markdown) -> list[str]:
    """The cautions that a calculator prints: those that its page does not print at the act, and once.

    A box that stands twice on one page is read by nobody.
    """
    if not hasattr(markdown, "doorcard_cautions"):
        record = page_file(markdown)
        written = Path(record.abs_src_path).read_text(encoding="utf-8") if record is not None else ""
        markdown.doorcard_cautions = {
            key
            for fence in re.findall(r"^ *`{3,} *caution *\n(.*?)`{3,}", written, re.M | re.S)
            for key in fence.split()
        }
    printed: set[str] = markdown.doorcard_cautions
    owed = [key for key in keys if key not in printed]
    printed.update(owed)
    return owed


@reported(SuperFencesException)
def worked(source: str, markdown: Markdown) -> str:
    """A worked example: values and answer, computed when the site is built."""
    slug, settings = body(source)
    name = settings.pop("as", slug)
    title = settings.pop("title", "")
    hidden = settings.pop("hidden", False)
    outcome = run_example(slug, settings)
    remember(markdown, name, outcome)
    return '<div class="dc-hidden"></div>' if hidden else blocks.worked(outcome, title)


@reported(SuperFencesException)
def look_up_table(source: str, markdown: Markdown) -> str:
    """A look-up table: one calculator run for every cell."""
    slug, settings = body(source)
    return look_up.table(find_calculator(slug), resolved(settings))


@reported(SuperFencesException)
def figure(source: str, markdown: Markdown) -> str:
    """A drawing of the handbook's own, by its name."""
    name = source.strip()
    if name not in FIGURES:
        raise PageError(f"there is no figure called {name!r}; there are: {', '.join(FIGURES)}")
    return drawing(FIGURES[name]())


@reported(SuperFencesException)
def caution(source: str, markdown: Markdown) -> str:
    """Safety cautions, each printed whole."""
    keys = source.split()
    unknown = [key for key in keys if key not in CAUTIONS]
    if unknown or not keys:
        raise PageError(f"there is no caution called {', '.join(unknown) or '(none named)'}")
    return blocks.cautions(keys)


@reported(SuperFencesException)
def sources(source: str, markdown: Markdown) -> str:
    """The bibliography."""
    return blocks.bibliography()


@reported(SuperFencesException)
def from_memory(source: str, markdown: Markdown) -> str:
    """What the pages rest on memory alone."""
    return memory.listed(to_root(markdown))


@reported(SuperFencesException)
def checks(source: str, markdown: Markdown) -> str:
    """The self-checks of a block of study."""
    block = source.strip()
    if block not in BLOCKS:
        raise PageError(f"there is no block of study called {block!r}; there are: {', '.join(BLOCKS)}")
    return blocks.checks(block, to_root(markdown))


@reported(SuperFencesException)
def study(source: str, markdown: Markdown) -> str:
    """The order of study."""
    return order_html(to_root(markdown))


@reported(InlineHiliteException)
def answer(source: str, markdown: Markdown) -> str:
    """An answer in running text: ``name.path``, and perhaps ``in UNIT`` and ``to N`` decimals."""
    words = source.split()
    outcome, path = run_and_path(words[0], markdown)
    output, value = find_value(outcome, path)
    options = dict(zip(words[1::2], words[2::2], strict=True))
    if options:
        decimals = int(options["to"]) if "to" in options else None
        digits = shown_number(output.kind, value, options.get("in"), decimals)  # type: ignore[arg-type]
    else:
        digits = shown(output, value)
    return f'<span class="dc-answer">{text(digits)}</span>'


@reported(InlineHiliteException)
def picture(source: str, markdown: Markdown) -> str:
    """A line picture of ours, by its name."""
    if source not in pictures():
        raise PageError(f"there is no picture called {source!r}; there are: {', '.join(pictures())}")
    return pictures()[source]


@reported(InlineHiliteException)
def given(source: str, markdown: Markdown) -> str:
    """A value that an example started from, in running text: ``name.path``."""
    outcome, path = run_and_path(source.strip(), markdown)
    entry, value = find_input(outcome, path)
    return f'<span class="dc-given-value">{text(shown_input(entry, value))}</span>'


def run_and_path(words: str, markdown: Markdown) -> tuple[Outcome, str]:
    """The named run of this page, and the rest of the path."""
    name, _, path = words.partition(".")
    runs = named_runs(markdown)
    if name not in runs:
        raise PageError(f"no example on this page is called {name!r}; there are: {', '.join(runs)}")
    return runs[name], path
